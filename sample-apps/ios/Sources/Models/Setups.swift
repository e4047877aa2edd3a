import Fallaway

/// What is wanted: setups, and the target of every number in them.
final class Setups: Screen {
  override var name: String { "setups" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    switch one.role {
    case .button: return nil
    case .field: return one.id == "name" || one.value?.isEmpty != false ? nil : one.asLine
    default: return one
    }
  }

  private struct Line {
    let quantity: Quantity
    let text: String
    let location: Location
    let place: String
    let target: String
    let within: String
  }

  private var card: Card?
  private var lines: [Line] = []
  private var wanted: [Int: String] = [:]
  private var within: [String: String] = [:]
  private var newName = ""
  private var saved: String?

  override func load() async throws {
    let card = try await phone.instrument().card(setup: phone.setup)
    let usual = try await phone.instrument().usualReadings().filter { $0.quantity != .pitch }
    self.card = card
    lines = card.lines.map { line in
      Line(
        quantity: line.quantity, text: line.quantityText, location: line.location,
        place: place(line.location, line.placeText), target: written(line.target?.value),
        within: written(line.target?.tolerance))
    }
    for one in usual where !card.lines.contains(where: { $0.quantity == one.quantity }) {
      lines += zip(one.locations, one.locationTexts).map {
        Line(
          quantity: one.quantity, text: one.text, location: $0, place: place($0, $1), target: "",
          within: "")
      }
    }
  }

  /// What was typed is written, or belonged to another setup.
  private func anew() async throws {
    wanted = [:]
    within = [:]
    try await load()
  }

  private func written(_ value: Estimate?) -> String {
    value.map { phone.written($0.asEntered ?? $0.text) } ?? ""
  }

  private func place(_ location: Location, _ words: String) -> String {
    location == .whole ? say(.target) : words.sentence
  }

  override func body() -> [Element] {
    var shown = [title(.setups)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    for (at, one) in (card?.setups ?? []).enumerated() {
      shown.append(choice("setup.\(at + 1)", one.name, one.id == card?.setup?.id))
    }
    shown.append(Element("name", .field, say(.newSetup), value: newName))
    shown.append(button("add", .addSetup))
    shown.append(button("take", .takeToday))
    if card?.setup == nil { return shown }
    let parts = Array(lines.indices).grouped { lines[$0].text }
    for (part, places) in parts.enumerated() {
      let first = lines[places[0]]
      shown.append(heading("quantity.\(part + 1)", first.text.sentence))
      for at in places {
        shown.append(
          Element(
            "target.\(at + 1)", .field, lines[at].place, value: wanted[at] ?? lines[at].target))
      }
      shown.append(
        Element(
          "within.\(part + 1)", .field, say(.within), value: within[first.text] ?? first.within))
    }
    shown.append(button("save", .saveTargets, main: true))
    return shown
  }

  override func touched(_ id: String) async throws {
    saved = nil
    switch id {
    case "add":
      phone.setup = try await phone.instrument().addSetup(name: newName.trimmed).id
      newName = ""
      try await anew()
    case "take":
      let name = newName.trimmed.unlessEmpty ?? card?.setup?.name ?? ""
      phone.setup = try await phone.instrument().takeSetup(name: name).id
      saved = say(.taken, name)
      newName = ""
      try await anew()
    case "save":
      if let setup = card?.setup { try await save(setup.id) }
    default:
      if let one = id.place("setup").flatMap({ card?.setups.at($0) }) {
        phone.setup = one.id
        try await anew()
      }
    }
  }

  private func save(_ setup: SetupId) async throws {
    for (at, line) in lines.enumerated() {
      let target = wanted[at] ?? line.target
      let tolerance = within[line.text] ?? line.within
      let same = target == line.target && tolerance == line.within
      if target.trimmed.isEmpty || same { continue }
      let wanted = NewTarget(
        quantity: line.quantity, location: line.location, wanted: Entered(text: target),
        tolerance: Entered(text: tolerance))
      try await phone.instrument().setTarget(setup: setup, target: wanted)
    }
    saved = say(.targetsSaved)
    try await anew()
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "name" { newName = text }
    if let at = id.place("target") { wanted[at] = text }
    if let part = id.place("within"), let name = lines.map(\.text).distinct().at(part) {
      within[name] = text
    }
  }

  override func kept() -> [String: String] {
    var kept = ["name": newName]
    for (at, text) in wanted { kept["target.\(at + 1)"] = text }
    for (part, name) in lines.map(\.text).distinct().enumerated() {
      kept["within.\(part + 1)"] = within[name]
    }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    for (id, text) in kept { await typed(id, text) }
  }
}
