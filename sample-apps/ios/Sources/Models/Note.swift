import Fallaway

/// What no tool of the set-up reads: a buzz, the air, or what somebody says of the instrument.
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
  /// What was typed of the air, and what looks unusual of it.
  private var air: [String: String] = [:]
  private var doubts: [Doubt] = []

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
    return shown + climate()
  }

  private func climate() -> [Element] {
    let shown = [
      heading("climate", say(.climate)),
      Element("temperature", .field, say(.temperature), value: air["temperature"] ?? ""),
      Element("humidity", .field, say(.humidity), value: air["humidity"] ?? ""),
      Element("where_kept", .field, say(.whereKept), value: air["where_kept"] ?? ""),
      Element("hours_there", .field, say(.hoursThere), value: air["hours_there"] ?? ""),
    ]
    if doubts.isEmpty { return shown + [button("save_climate", .noteClimate)] }
    let reasons = doubts.map { $0.reason.sentence + "." }.joined(separator: " ")
    return shown + [
      Element("doubt", .banner, say(.looksUnusual), detail: reasons),
      button("sure", .itIsRight), button("correct", .correctIt),
    ]
  }

  /// A number of the air, with the unit that it has where none was typed.
  private func air(_ id: String, _ unit: String) -> Entered? {
    guard let text = air[id]?.trimmed.unlessEmpty else { return nil }
    return Entered(text: text.last?.isNumber == true ? text + " " + unit : text)
  }

  private func saveClimate(accept: [Doubt]) async throws {
    doubts = []
    let hours = air["hours_there"]?.trimmed.unlessEmpty
    let number = hours.flatMap { UInt32($0) }
    if hours != nil && number == nil {
      return show(say(.hoursThere) + ": " + say(.notUnderstood))
    }
    let climate = Climate(
      temperature: air("temperature", "°C"), humidity: air("humidity", "%"),
      whereKept: air["where_kept"]?.trimmed.unlessEmpty, hoursThere: number.map { Int($0) })
    do {
      _ = try await phone.instrument().addClimate(
        climate: climate, options: WriteOptions(accept: accept))
    } catch FallawayError.unsure(_, let asked) {
      doubts = asked
      return
    }
    saved = say(.noted)
    air = [:]
  }

  override func touched(_ id: String) async throws {
    if let one = id.place("string").flatMap({ spec?.tuning.at($0) }) { string = one.place }
    if id == "save" {
      _ = try await phone.instrument().addRemark(text: remark)
      saved = say(.noted)
      remark = ""
    }
    switch id {
    case "save_climate": try await saveClimate(accept: [])
    case "sure": try await saveClimate(accept: doubts)
    case "correct": doubts = []
    default: break
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
    default:
      air[id] = text
      doubts = []
    }
  }

  override func kept() -> [String: String] {
    var kept = ["remark": remark, "from": from, "to": to]
    for (id, text) in air { kept["air " + id] = text }
    kept["string"] = string.map { "\($0.course)" }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    remark = kept["remark"] ?? ""
    from = kept["from"] ?? ""
    to = kept["to"] ?? ""
    for (key, text) in kept {
      if let id = key.after("air ") { air[id] = text }
    }
    string = spec?.tuning.map(\.place).first { "\($0.course)" == kept["string"] }
  }
}
