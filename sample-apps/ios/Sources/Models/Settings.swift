import Fallaway

/// What holds for every instrument on this device.
final class Settings: Screen {
  override var name: String { "settings" }
  private var preferences = Preferences()
  private var label = ""

  /// What is typed for it.
  private var newLabel: String?

  private static let units: [(String, Say, LengthUnit)] = [
    ("as_read", .asRead, .asRead), ("mm", .millimetres, .millimetres),
    ("thou", .thousandths, .thou), ("fractions", .fractions, .inchFractions(denominator: nil)),
  ]

  private static let a4 = [432, 440, 442, 443]

  /// In hundredths of what the phone asks for.
  private static let sizes = [100, 130, 160, 200]

  /// Each in its own words, so that it is found in any language.
  private static let languages = [("en", "English"), ("de", "Deutsch")]

  override func load() async throws {
    preferences = try await phone.workshop.preferences()
    label = try await phone.workshop.device().label
  }

  override func body() -> [Element] {
    let unit = preferences.units?.action ?? .asRead
    let pitch = preferences.a4?.text ?? "440 Hz"
    let language = preferences.language
    var shown = [
      title(.settings), Element("label", .field, say(.thisDevice), value: newLabel ?? label),
      button("rename", .rename), heading("units", say(.units)),
    ]
    for (id, words, one) in Self.units {
      shown.append(choice("units.\(id)", say(words), unit == one))
    }
    shown.append(toggle("low_first", .lowFirst, preferences.lowFirst))
    shown.append(heading("a4", say(.a4)))
    for hertz in Self.a4 {
      shown.append(choice("a4.\(hertz)", "\(hertz) Hz", pitch == "\(hertz) Hz"))
    }
    shown.append(heading("language", say(.language)))
    shown.append(choice("language.system", say(.asThePhone), language == nil))
    for (tag, own) in Self.languages {
      shown.append(choice("language.\(tag)", own, language == tag))
    }
    shown.append(heading("size", say(.textSize)))
    for size in Self.sizes {
      let text = size == 100 ? say(.asThePhone) : "\(size) %"
      shown.append(choice("size.\(size)", text, phone.looks.size == size))
    }
    shown.append(heading("looks", say(.onStage)))
    shown.append(toggle("stage", .stage, phone.looks.stage))
    shown.append(toggle("awake", .keepAwake, phone.looks.awake))
    shown.append(toggle("locked", .lockOrientation, phone.looks.locked))
    shown.append(Element("version", .text, say(.version, version())))
    return shown
  }

  override func touched(_ id: String) async throws {
    if id == "rename" {
      try await phone.workshop.renameDevice(label: (newLabel ?? label).trimmed)
      newLabel = nil
      try await load()
    } else if id == "low_first" {
      try await prefer { $0.lowFirst.toggle() }
    } else if id == "stage" {
      phone.looks.stage.toggle()
    } else if id == "awake" {
      phone.looks.awake.toggle()
    } else if id == "locked" {
      phone.looks.locked.toggle()
    } else if let size = Self.sizes.first(where: { id == "size.\($0)" }) {
      phone.looks.size = size
    } else if let tag = id.after("language.") {
      try await prefer { $0.language = tag == "system" ? nil : tag }
    } else if let hertz = id.after("a4.") {
      try await prefer { $0.a4 = Entered(text: hertz + " Hz") }
    } else if let (_, _, unit) = Self.units.first(where: { id == "units.\($0.0)" }) {
      try await prefer { preferences in
        preferences.units = Units(
          relief: unit, action: unit, nut: unit, spacing: unit, pickup: unit, other: unit,
          temperature: preferences.units?.temperature ?? .asRead, convertReadings: unit != .asRead)
      }
    }
  }

  private func prefer(_ change: (inout Preferences) -> Void) async throws {
    var changed = preferences
    change(&changed)
    try await phone.workshop.setPreferences(preferences: changed)
    phone.language = changed.language
    try await load()
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "label" { newLabel = text }
  }

  override func kept() -> [String: String] { newLabel.map { ["label": $0] } ?? [:] }

  override func restore(_ kept: [String: String]) async { newLabel = kept["label"] }
}
