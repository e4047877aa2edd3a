import Fallaway

/// The strings that are on, and others put on.
final class Strings: Screen {
  override var name: String { "strings" }
  private var spec: InstrumentSpec?
  private var set = ""
  private var saved: String?

  override func load() async throws {
    spec = try await phone.instrument().details().spec
  }

  override func body() -> [Element] {
    var shown = [title(.strings)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    guard let spec else { return shown }
    for (at, one) in spec.tuning.enumerated() {
      let gauge = spec.strings.first { $0.place == one.place }?.string.gauge?.text
      shown.append(
        Element(
          "string.\(at + 1)", .row, say(.stringTuned, one.place.course, phone.note(one.note)),
          value: gauge.map(phone.written) ?? say(.gaugeUnknown)))
    }
    shown.append(Element("set", .field, say(.newSet), value: set))
    shown.append(button("save", .stringsChanged, main: true))
    shown.append(Element("eyes", .caution, say(.stringsCaution)))
    return shown
  }

  override func touched(_ id: String) async throws {
    guard id == "save" else { return }
    let change = StringChange(setName: set.trimmed.unlessEmpty)
    _ = try await phone.instrument().addStringChange(change: change)
    saved = say(.stringsNoted)
    set = ""
    try await load()
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "set" { set = text }
  }

  override func kept() -> [String: String] { ["set": set] }

  override func restore(_ kept: [String: String]) async { set = kept["set"] ?? "" }
}
