import Fallaway

/// What no tool reads: a buzz, or what somebody says of the instrument.
final class Note: Screen {
  override var name: String { "note" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? { nil }

  private var spec: InstrumentSpec?
  private var remark = ""
  private var string: StringPlace?
  private var from = ""
  private var to = ""
  private var saved: String?

  override func load() async throws {
    spec = try await phone.instrument().details().spec
  }

  override func body() -> [Element] {
    var shown = [title(.note)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    shown.append(Element("remark", .field, say(.remark), value: remark))
    shown.append(button("save", .writeItDown, main: true))
    shown.append(heading("buzz", say(.aBuzz)))
    for (at, one) in (spec?.tuning ?? []).enumerated() {
      shown.append(
        choice(
          "string.\(at + 1)", say(.stringTuned, one.place.course, phone.note(one.note)),
          one.place == string))
    }
    shown.append(Element("from", .field, say(.fromFret), value: from))
    shown.append(Element("to", .field, say(.toFret), value: to))
    shown.append(button("save_buzz", .noteBuzz))
    return shown
  }

  override func touched(_ id: String) async throws {
    if let one = id.place("string").flatMap({ spec?.tuning.at($0) }) { string = one.place }
    if id == "save" {
      _ = try await phone.instrument().addRemark(text: remark)
      saved = say(.noted)
      remark = ""
    }
    if id == "save_buzz" {
      let end = to.trimmed.isEmpty ? from : to
      guard let string, let first = Int(from.trimmed), let last = Int(end.trimmed),
        min(first, last) >= 0
      else { return show(say(.whereItBuzzes)) }
      let buzz = BuzzNote(
        place: string, fromFret: first, toFret: last, note: remark.trimmed.unlessEmpty)
      _ = try await phone.instrument().addBuzz(buzz: buzz)
      saved = say(.noted)
      remark = ""
      from = ""
      to = ""
    }
  }

  override func typed(_ id: String, _ text: String) async {
    switch id {
    case "remark": remark = text
    case "from": from = text
    case "to": to = text
    default: break
    }
  }

  override func kept() -> [String: String] {
    var kept = ["remark": remark, "from": from, "to": to]
    kept["string"] = string.map { "\($0.course)" }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    remark = kept["remark"] ?? ""
    from = kept["from"] ?? ""
    to = kept["to"] ?? ""
    string = spec?.tuning.map(\.place).first { "\($0.course)" == kept["string"] }
  }
}
