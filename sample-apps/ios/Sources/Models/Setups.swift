import Fallaway

/// What is wanted: setups, and the target of every number in them.
final class Setups: Screen {
  override var name: String { "setups" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    switch one.role {
    case .button: return nil
    case .row: return one.id == "others" ? nil : one
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
  /// What else can have a target, and of it what was chosen to get one; the latter stand last.
  private var others: [UsualReading] = []
  private var added: [Quantity] = []
  private var choosesOther = false
  private var wanted: [Int: String] = [:]
  private var within: [String: String] = [:]
  private var newName = ""
  private var saved: String?
  /// What looks unusual of what was typed, until it is answered, and what was written meanwhile, by
  /// its line.
  private var doubts: [Doubt] = []
  private var stored: Set<Int> = []

  override func load() async throws {
    let card = try await phone.instrument().card(setup: phone.setup)
    let usual = try await phone.instrument().usualReadings().filter { $0.quantity != .pitch }
    others = try await phone.instrument().otherReadings().filter { $0.quantity != .pitch }
    self.card = card
    lines = card.lines.map { line in
      Line(
        quantity: line.quantity, text: line.quantityText, location: line.location,
        place: place(line.location, line.placeText), target: written(line.target?.value),
        within: written(line.target?.tolerance))
    }
    for one in usual where !card.lines.contains(where: { $0.quantity == one.quantity }) {
      lines += unread(one)
    }
    // What has a target now stands among the usual ones.
    let chosen = added.filter { isOpen($0) }
    added = []
    for quantity in chosen {
      if let one = others.first(where: { $0.quantity == quantity }) { take(one) }
    }
  }

  private func unread(_ one: UsualReading) -> [Line] {
    zip(one.locations, one.locationTexts).map {
      Line(
        quantity: one.quantity, text: one.text, location: $0, place: place($0, $1), target: "",
        within: "")
    }
  }

  /// Whether it has no line yet.
  private func isOpen(_ quantity: Quantity) -> Bool {
    !lines.contains { $0.quantity == quantity }
  }

  private func take(_ one: UsualReading) {
    added.append(one.quantity)
    lines += unread(one)
  }

  /// What was typed is written, or belonged to another setup.
  private func anew() async throws {
    wanted = [:]
    within = [:]
    added = []
    choosesOther = false
    doubts = []
    stored = []
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
    let left = others.enumerated().filter { isOpen($0.element.quantity) }
    if !left.isEmpty {
      shown.append(Element("others", .row, say(.otherTarget), touch: true))
      if choosesOther {
        shown += left.map { choice("other.\($0.offset + 1)", $0.element.text.sentence, false) }
      }
    }
    if doubts.isEmpty { return shown + [button("save", .saveTargets, main: true)] }
    let reasons = doubts.map { $0.reason.sentence + "." }.joined(separator: " ")
    return shown + [
      Element("doubt", .banner, say(.looksUnusual), detail: reasons),
      button("sure", .itIsRight, main: true),
      button("correct", .correctIt),
    ]
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
      if let setup = card?.setup { try await save(setup.id, accept: []) }
    case "sure":
      if let setup = card?.setup { try await save(setup.id, accept: doubts) }
    case "correct": doubts = []
    case "others": choosesOther.toggle()
    default:
      if let one = id.place("other").flatMap({ others.at($0) }) {
        take(one)
        choosesOther = false
      }
      if let one = id.place("setup").flatMap({ card?.setups.at($0) }) {
        phone.setup = one.id
        try await anew()
      }
    }
  }

  private func save(_ setup: SetupId, accept: [Doubt]) async throws {
    var asked: [Doubt] = []
    for (at, line) in lines.enumerated() {
      let target = wanted[at] ?? line.target
      let tolerance = within[line.text] ?? line.within
      let same = target == line.target && tolerance == line.within
      if target.trimmed.isEmpty || same || stored.contains(at) { continue }
      let wanted = NewTarget(
        quantity: line.quantity, location: line.location, wanted: Entered(text: target),
        tolerance: Entered(text: tolerance))
      do {
        try await phone.instrument().setTarget(
          setup: setup, target: wanted, options: WriteOptions(accept: accept))
        stored.insert(at)
      } catch FallawayError.unsure(_, let doubts) {
        asked += doubts
      }
    }
    doubts = asked
    if !asked.isEmpty { return }
    saved = say(.targetsSaved)
    try await anew()
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "name" {
      newName = text
    } else {
      doubts = []
      stored = []
    }
    if let at = id.place("target") { wanted[at] = text }
    if let part = id.place("within"), let name = lines.map(\.text).distinct().at(part) {
      within[name] = text
    }
  }

  override func kept() -> [String: String] {
    var kept = ["name": newName, "others": "\(choosesOther)"]
    kept["added"] = added.compactMap { quantity in
      others.firstIndex { $0.quantity == quantity }.map { "\($0)" }
    }.joined(separator: ";")
    for (at, text) in wanted { kept["target.\(at + 1)"] = text }
    for (part, name) in lines.map(\.text).distinct().enumerated() {
      kept["within.\(part + 1)"] = within[name]
    }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    for number in (kept["added"] ?? "").split(separator: ";") {
      if let one = Int(number).flatMap({ others.at($0) }), isOpen(one.quantity) { take(one) }
    }
    choosesOther = kept["others"] == "true"
    for (id, text) in kept { await typed(id, text) }
  }
}
