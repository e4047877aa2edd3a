import Fallaway

/// The numbers of an instrument, to be read at arm's length in the dark.
final class Numbers: Screen {
  override var name: String { "numbers" }
  override var tab: Bool { true }
  private var card: Card?

  override func load() async throws {
    card = try await phone.instrument().card(setup: phone.setup)
  }

  override func body() -> [Element] {
    var shown = [heading("title", card?.name ?? "")]
    guard let card else { return shown }
    if card.lines.contains(where: { $0.standing == .twoValues }) {
      shown.append(
        Element("settle", .banner, say(.twoTargets), detail: say(.tapToSettle), touch: true))
    }
    if card.setups.count > 1 {
      for (at, one) in card.setups.enumerated() {
        shown.append(choice("setup.\(at + 1)", one.name, one.id == card.setup?.id))
      }
    } else if let setup = card.setup {
      shown.append(Element("setup", .text, say(.setupNamed, setup.name)))
    }
    if card.lines.isEmpty {
      shown.append(Element("empty", .text, say(.noNumbers)))
      shown.append(button("facts", .facts))
      shown.append(button("read", .readNow, main: true))
    }
    var quantity = ""
    var parts = 0
    for (at, line) in card.lines.enumerated() {
      if line.quantityText != quantity {
        quantity = line.quantityText
        parts += 1
        shown.append(heading("quantity.\(parts)", quantity.sentence))
      }
      shown.append(number("line.\(at + 1)", line))
    }
    if let read = card.readWhenText { shown.append(Element("last", .text, read)) }
    shown.append(toggle("stage", .stage, phone.looks.stage))
    return shown
  }

  private func number(_ id: String, _ line: CardLine) -> Element {
    Element(
      id, .number, line.location == .whole ? say(.theReading) : line.placeText,
      value: line.last?.value.text ?? say(.notRead),
      detail: line.target.map { say(.targetOf, $0.value.text) },
      state: standing(line))
  }

  private func standing(_ line: CardLine) -> String? {
    switch line.standing {
    case .within: return say(.onTarget)
    case .sameAsFarAsReadable: return say(.onTargetAsRead)
    case .above: return say(.above)
    case .below: return say(.below)
    case .measureAgain: return say(.outOfDate)
    case .twoValues: return say(.twoTargetsShort)
    case .noTarget, .notRead, .cannotTell, .newer: return nil
    }
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "settle": await phone.go(Settle(phone))
    case "read": await phone.switch(Read(phone))
    case "facts": await phone.go(Facts(phone))
    case "stage": phone.looks.stage.toggle()
    default:
      if let one = id.place("setup").flatMap({ card?.setups.at($0) }) {
        phone.setup = one.id
        try await load()
      }
    }
  }
}

/// What else there is of an instrument.
final class More: Screen {
  override var name: String { "more" }
  override var tab: Bool { true }

  private static let pages: [(String, Say)] = [
    ("note", .note), ("changed", .whatChanged), ("clearance", .clearance), ("setups", .setups),
    ("settle", .twoValuesTitle), ("strings", .strings), ("facts", .facts),
    ("sheet", .sheet), ("photos", .photos), ("people", .people), ("send", .sendAndReceive),
  ]

  override func body() -> [Element] {
    [title(.more)] + Self.pages.map { Element($0, .row, say($1), touch: true) }
  }

  override func touched(_ id: String) async {
    switch id {
    case "note": await phone.go(Note(phone))
    case "changed": await phone.go(Changed(phone))
    case "clearance": await phone.go(ClearanceSliders(phone))
    case "settle": await phone.go(Settle(phone))
    case "setups": await phone.go(Setups(phone))
    case "strings": await phone.go(Strings(phone))
    case "facts": await phone.go(Facts(phone))
    case "sheet": await phone.go(Sheet(phone))
    case "photos": await phone.go(Photos(phone))
    case "people": await phone.go(People(phone))
    case "send": await phone.go(Send(phone))
    default: break
    }
  }
}
