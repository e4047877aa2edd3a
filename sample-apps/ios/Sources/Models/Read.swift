import Fallaway

/// The keys for a tool: those of its marks, each of which is a whole reading, or digits.
struct Keypad {
  /// The keys of whole readings; empty for a tool on which any number can be read.
  let marks: [String]

  /// Whether a good eye splits a mark of it in half.
  let halves: Bool

  /// Whether fractions are read on it: on a rule in inches alone.
  private let fractions: Bool

  /// The key for what is below zero.
  static let sign = "±"

  /// The keys of any number; the sign stands in the place of fractions where none are read.
  func digits(_ quantity: Quantity?) -> [String] {
    let last = fractions || !Self.goesBelowZero(quantity) ? "/" : Self.sign
    return ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", last]
  }

  /// Whether a reading of it can be below zero: a back-bow, a board that rises, a note that is flat.
  static func goesBelowZero(_ quantity: Quantity?) -> Bool {
    switch quantity {
    case .relief?, .fallAway?, .pitch?, .intonation?: true
    default: false
    }
  }

  init(_ tool: Tool?) {
    switch tool {
    case .rule64: marks = (1...16).map { "\($0)" }
    case .rule32: marks = (1...12).map { "\($0)" }
    case .ruleMm: marks = (1...8).map { "\($0)" }
    case .ruleHalfMm: marks = (1...16).map { "\($0 / 2)" + ($0 % 2 == 0 ? "" : ".5") }
    default: marks = []
    }
    fractions = tool == .rule64 || tool == .rule32
    halves = tool == .rule64 || tool == .rule32 || tool == .ruleMm
  }
}

/// Enters a pass: string by string, with keys for the tool in hand. On a rule a key is a whole reading and goes
/// on to the next string, so that five strings are five taps.
final class Read: Screen {
  override var name: String { "read" }
  override var tab: Bool { true }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? { one.id == "there" ? one : nil }

  private struct Place {
    let location: Location
    let label: String
    let before: String?
  }

  private let wanted: Quantity?
  private var card: Card?
  private var usual: [UsualReading] = []
  /// What else can be read; shown when it is asked for.
  private var others: [UsualReading] = []
  private var choosesOther = false
  private var quantity: Quantity?
  private var tool: Tool?
  private var places: [Place] = []
  private var cells: [String] = []
  private var at = 0
  private var phase: Phase?
  private var digits = false
  private var choosesTool = false
  private var doubts: [Doubt] = []
  private var tunedAt: String?
  private var saved: String?

  private static let same = "="
  private static let skipped = "-"

  /// U+2212, for the hyphen stands for what was skipped.
  private static let minus = "\u{2212}"

  /// Keys whose sign is no good name.
  private static let keyNames = [".": "point", "/": "slash"]

  init(_ phone: Phone, wanted: Quantity? = nil) {
    self.wanted = wanted
    super.init(phone)
  }

  override func load() async throws {
    usual = try await phone.instrument().usualReadings()
    others = try await phone.instrument().otherReadings()
    card = try await phone.instrument().card(setup: phone.setup)
    if quantity == nil {
      try take(
        (usual + others).first { $0.quantity == wanted }
          ?? usual.first { $0.quantity != .pitch })
    } else {
      places = placesOf(quantity)
    }
  }

  private func take(_ one: UsualReading?) throws {
    quantity = one?.quantity ?? wanted
    tool = one?.tool
    places = placesOf(quantity)
    empty()
    digits = false
    choosesTool = false
    choosesOther = false
    doubts = []
  }

  private func empty() {
    cells = Array(repeating: "", count: places.count)
    at = 0
  }

  /// Where it is read: everywhere on the card, for the last pass may have been of one string.
  private func placesOf(_ of: Quantity?) -> [Place] {
    let lines = (card?.lines ?? []).filter { $0.quantity == of }
    let form = (usual + others).first { $0.quantity == of }
    let known = Array(zip(form?.locations ?? [], form?.locationTexts ?? []))
    if lines.count >= known.count {
      return lines.map {
        Place(
          location: $0.location, label: label($0.location, $0.placeText),
          before: $0.last?.value.text)
      }
    }
    return known.map { Place(location: $0, label: label($0, $1), before: nil) }
  }

  private func label(_ location: Location, _ place: String) -> String {
    location == .whole ? say(.theReading) : place.sentence
  }

  private var keypad: Keypad { Keypad(tool) }

  private var byMarks: Bool { !keypad.marks.isEmpty && !digits }

  override func body() throws -> [Element] {
    var shown = [title(.readTitle)]
    if phone.readsOnly { shown.append(Element("there", .text, say(.readStandsThere))) }
    if let saved {
      shown.append(Element("saved", .banner, saved))
      shown.append(button("undo", .undo))
    }
    if !doubts.isEmpty {
      let reasons = doubts.map { $0.reason.sentence + "." }.joined(separator: " ")
      shown.append(Element("doubt", .banner, say(.looksUnusual), detail: reasons))
      shown.append(button("sure", .itIsRight, main: true))
      shown.append(button("correct", .correctIt))
    }
    // Nothing is read before it is in tune.
    shown.append(button("tuned", .itIsTuned).with(state: tunedAt.map { say(.notedAt, $0) }))
    for (index, one) in usual.enumerated() {
      shown.append(choice("quantity.\(index + 1)", one.text.sentence, one.quantity == quantity))
    }
    if !others.isEmpty {
      let other = others.first { $0.quantity == quantity }
      shown.append(
        Element(
          "others", .row, say(.otherReading), value: other?.text.sentence, touch: true,
          chosen: other != nil))
      if choosesOther {
        for (index, one) in others.enumerated() {
          shown.append(choice("other.\(index + 1)", one.text.sentence, one == other))
        }
      }
    }
    shown.append(choice("phase.found", say(.asFound), phase == .asFound))
    shown.append(choice("phase.left", say(.asLeft), phase == .asLeft))
    for (index, place) in places.enumerated() { shown.append(cell(index, place)) }
    let named = try tool.map { try toolName(tool: $0) }
    shown.append(Element("tool", .row, say(.tool), value: named ?? say(.noTool), touch: true))
    // Without a tool a bare number says nothing: that is asked first.
    if choosesTool || tool == nil {
      for (index, one) in usualTools().enumerated() where fits(one) {
        shown.append(choice("tool.\(index + 1)", one.name, one.tool == tool))
      }
    }
    // What is asked or chosen comes first: keys are there for a place and a tool.
    let choosing = choosesTool || choosesOther || tool == nil
    if !places.isEmpty && doubts.isEmpty && !choosing { shown += keys() }
    let ready = cells.filter { !$0.isEmpty && $0 != Self.skipped }.count
    if ready > 0 && doubts.isEmpty {
      shown.append(Element("save", .button, phone.count(.saveReadings, ready), main: true))
    }
    return shown
  }

  private func cell(_ index: Int, _ place: Place) -> Element {
    let text = cells[index]
    let understood = understood(text)
    var state: String?
    if text == Self.skipped {
      state = say(.notReadNow)
    } else if index == at {
      state = say(.typedNow)
    } else if text.isEmpty {
      state = say(.empty)
    } else if understood == nil && text != Self.same {
      state = say(.notUnderstood)
    }
    return Element(
      "cell.\(index + 1)", .cell, place.label, value: understood ?? phone.written(text),
      detail: place.before.map { say(.before, $0) }, state: state, chosen: index == at)
  }

  /// What the core makes of it, as it would be written down.
  private func understood(_ text: String) -> String? {
    guard let quantity, !text.isEmpty, text != Self.same, text != Self.skipped else { return nil }
    return try? parseReading(text: text, quantity: quantity, tool: tool).value.text
  }

  private func keys() -> [Element] {
    func key(_ id: String, _ text: String, _ words: String? = nil) -> Element {
      Element("key." + id, .key, text, detail: words)
    }
    let same = key("same", "=", say(.sameAsBefore))
    let skip = key("skip", "–", say(.notReadNow))
    let back = key("back", "⌫", say(.takeBack))
    let minus = key("minus", Keypad.sign, say(.belowZero))
    var keys: [Element] = []
    if byMarks {
      keys = keypad.marks.map { key($0.replacing(".", with: "_"), phone.written($0)) }
      if keypad.halves { keys.append(key("half", "½", say(.andAHalf))) }
      keys += [same, skip, back]
    } else {
      // Rows of three, and beside each what is done with it.
      for (row, one) in [same, skip, back, key("next", "→", say(.nextString))].enumerated() {
        let three = keypad.digits(quantity)[(3 * row)..<(3 * row + 3)]
        keys += three.map {
          $0 == Keypad.sign ? minus : key(Self.keyNames[$0] ?? $0, phone.written($0))
        }
        keys.append(one)
      }
    }
    if Keypad.goesBelowZero(quantity) && !keys.contains(where: { $0.id == minus.id }) {
      keys.append(minus)
    }
    if !keypad.marks.isEmpty {
      keys.append(key("mode", digits ? "1…16" : "0…9", say(digits ? .marks : .anyNumber)))
    }
    return keys
  }

  override func touched(_ id: String) async throws {
    saved = nil
    if let name = id.after("key.") {
      key(name)
    } else if id.hasPrefix("quantity.") {
      if let one = id.place("quantity").flatMap({ usual.at($0) }) { try take(one) }
    } else if id.hasPrefix("other.") {
      if let one = id.place("other").flatMap({ others.at($0) }) { try take(one) }
    } else if let index = id.place("cell") {
      at = index
    } else if id.hasPrefix("tool.") {
      if let one = id.place("tool").flatMap({ usualTools().at($0) }) {
        tool = one.tool
        choosesTool = false
        digits = false
      }
    } else {
      try await pressed(id)
    }
  }

  /// A tuner reads no lengths, and nothing else reads a pitch.
  private func fits(_ one: ToolInfo) -> Bool {
    let readsLengths = one.standardUncertaintyMm != nil
    switch quantity {
    case .pitch?, .intonation?: return !readsLengths
    default: return readsLengths
    }
  }

  private func pressed(_ id: String) async throws {
    switch id {
    case "tool": choosesTool.toggle()
    case "others": choosesOther.toggle()
    case "phase.found": phase = phase == .asFound ? nil : .asFound
    case "phase.left": phase = phase == .asLeft ? nil : .asLeft
    case "tuned":
      _ = try await phone.instrument().addTuning(tuning: TuningChange())
      tunedAt = phone.clock(phone.now())
    case "save": try await save(accept: [])
    case "sure": try await save(accept: doubts)
    case "correct": doubts = []
    case "undo":
      _ = try await phone.instrument().undo()
      try await load()
    default: break
    }
  }

  private func key(_ key: String) {
    guard cells.indices.contains(at) else { return }
    doubts = []
    switch key {
    case "half": halve()
    case "minus": turnSign()
    case "same": put(Self.same)
    case "skip": put(Self.skipped)
    case "next": next()
    case "mode": digits.toggle()
    case "back": takeBack()
    default:
      let sign = Self.keyNames.first { $0.value == key }?.key ?? key.replacing("_", with: ".")
      if byMarks {
        put((cells[at] == Self.minus ? Self.minus : "") + sign)
      } else {
        cells[at] = number(at) + sign
      }
    }
  }

  private func put(_ text: String) {
    cells[at] = text
    next()
  }

  private func next() {
    if at < cells.count - 1 { at += 1 }
  }

  /// Half a mark more in the reading that was typed last.
  private func halve() {
    let last = cells[at].isEmpty ? at - 1 : at
    if let text = cells.at(last), Int(text.after(Self.minus) ?? text) != nil {
      cells[last] = text + ".5"
    }
  }

  /// What is typed there of a number.
  private func number(_ place: Int) -> String {
    guard let text = cells.at(place), text != Self.same, text != Self.skipped else { return "" }
    return text
  }

  /// To the other side of zero: on marks the reading that was typed last, if there is one.
  private func turnSign() {
    let last = byMarks && cells[at].isEmpty && !number(at - 1).isEmpty ? at - 1 : at
    let text = number(last)
    cells[last] = text.after(Self.minus) ?? Self.minus + text
  }

  private func takeBack() {
    if cells[at].isEmpty && at > 0 { at -= 1 }
    cells[at] = byMarks ? "" : String(cells[at].dropLast())
  }

  private func save(accept: [Doubt]) async throws {
    guard let quantity else { return }
    let read = places.indices.filter { !cells[$0].isEmpty && cells[$0] != Self.skipped }
    if read.isEmpty { return }
    // In a pass a sign alone is a place that was not read; typed here it is half a number.
    if let alone = read.first(where: { cells[$0] == Self.minus }) {
      at = alone
      _ = try parseReading(text: Self.minus, quantity: quantity, tool: tool)
    }
    let text = read.map { cells[$0] }.joined(separator: "; ")
    let taken = PassOptions(
      locations: read.map { places[$0].location },
      conditions: phase.map { PassConditions(phase: $0) })
    do {
      _ = try await phone.instrument().addPassText(
        quantity: quantity, text: text, tool: tool, taken: taken,
        options: WriteOptions(accept: accept))
    } catch FallawayError.unsure(_, let asked) {
      doubts = asked
      return
    } catch let error as FallawayError {
      if case .badInput(_, _, _, _, let cell, _) = error, let position = cell?.position {
        at = read.at(position - 1) ?? at
      }
      throw error
    }
    saved = say(.saved, try quantityLabel(quantity: quantity))
    doubts = []
    try await load()
    empty()
  }

  override func kept() -> [String: String] {
    var kept = ["cells": cells.joined(separator: ";"), "at": "\(at)", "digits": "\(digits)"]
    kept["tools"] = "\(choosesTool)"
    kept["others"] = "\(choosesOther)"
    kept["quantity"] = (usual + others).firstIndex { $0.quantity == quantity }.map { "\($0)" }
    kept["tool"] = usualTools().firstIndex { $0.tool == tool }.map { "\($0)" }
    kept["tuned"] = tunedAt
    if phase == .asFound { kept["phase"] = "found" }
    if phase == .asLeft { kept["phase"] = "left" }
    return kept
  }

  override func restore(_ kept: [String: String]) async throws {
    let all = usual + others
    if let one = kept["quantity"].flatMap({ Int($0) }).flatMap({ all.at($0) }) { try take(one) }
    if let one = kept["tool"].flatMap({ Int($0) }).flatMap({ usualTools().at($0) }) {
      tool = one.tool
    }
    let typed = (kept["cells"] ?? "").split(separator: ";", omittingEmptySubsequences: false)
    if typed.count == places.count { cells = typed.map(String.init) }
    at = kept["at"].flatMap { Int($0) }.flatMap { cells.indices.contains($0) ? $0 : nil } ?? 0
    digits = kept["digits"] == "true"
    choosesTool = kept["tools"] == "true"
    choosesOther = kept["others"] == "true"
    tunedAt = kept["tuned"]
    phase = kept["phase"].flatMap { ["found": .asFound, "left": .asLeft][$0] }
  }
}
