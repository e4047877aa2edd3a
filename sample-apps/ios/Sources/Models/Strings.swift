import Fallaway

/// The strings that are on, and others put on: a set of the shop, or gauges by hand.
final class Strings: Screen {
  override var name: String { "strings" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? { one.id.hasPrefix("string.") ? one : nil }

  private var spec: InstrumentSpec?
  private var sets: [StringSet] = []
  private var set = ""
  /// What is typed, by the course of the string.
  private var gauges: [Int: String] = [:]
  private var saved: String?

  override func load() async throws {
    let now = try await phone.instrument().details().spec
    spec = now
    sets = try await phone.workshop.stringSets().filter { $0.strings.count == now.tuning.count }
  }

  override func body() -> [Element] {
    var shown = [title(.strings)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    guard let spec else { return shown }
    for (at, one) in spec.tuning.enumerated() {
      let gauge = spec.strings.first { $0.place == one.place }?.string.gauge?.text
      shown.append(
        Element(
          "string.\(at + 1)", .row, tuned(one),
          value: gauge.map(phone.written) ?? say(.gaugeUnknown)))
    }
    shown.append(heading("new", say(.newStrings)))
    for (at, one) in sets.enumerated() {
      shown.append(choice("kept.\(at + 1)", one.name, set == one.name))
    }
    shown.append(Element("set", .field, say(.newSet), value: set))
    shown.append(Element("gauges", .text, say(.gaugesAbout)))
    for (at, one) in spec.tuning.enumerated() {
      let typed = gauges[one.place.course] ?? ""
      shown.append(Element("gauge.\(at + 1)", .field, say(.gaugeOf, tuned(one)), value: typed))
    }
    shown.append(Element("eyes", .caution, say(.stringsCaution)))
    shown.append(button("save", .stringsChanged, main: true))
    return shown
  }

  private func tuned(_ one: TunedString) -> String {
    say(.stringTuned, one.place.course, phone.note(one.note))
  }

  override func touched(_ id: String) async throws {
    if let chosen = id.place("kept").flatMap({ sets.at($0) }) { take(chosen) }
    guard id == "save" else { return }
    let change = StringChange(setName: set.trimmed.unlessEmpty, fitted: fitted())
    _ = try await phone.instrument().addStringChange(change: change)
    saved = say(.stringsNoted)
    set = ""
    gauges = [:]
    try await load()
  }

  /// A set of the shop, its strings counted from the highest.
  private func take(_ chosen: StringSet) {
    set = chosen.name
    gauges = [:]
    for (at, one) in chosen.strings.enumerated() { gauges[at + 1] = one.gauge?.text ?? "" }
  }

  /// What is typed without a unit is in inches, as it stands on a pack. What the set knows of a
  /// string comes with it.
  private func fitted() -> [FittedString] {
    let kept = sets.first { $0.name == set }?.strings ?? []
    return (spec?.tuning ?? []).compactMap { one in
      let typed = (gauges[one.place.course] ?? "").trimmed.replacing(",", with: ".")
      guard let last = typed.last else { return nil }
      if let known = kept.at(one.place.course - 1), known.gauge?.text == typed {
        return FittedString(place: one.place, string: known)
      }
      let gauge = Entered(text: last.isNumber ? typed + " in" : typed)
      return FittedString(place: one.place, string: StringSpec(gauge: gauge))
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "set" { set = text }
    if let one = id.place("gauge").flatMap({ spec?.tuning.at($0) }) {
      gauges[one.place.course] = text
    }
  }

  override func kept() -> [String: String] {
    var kept = ["set": set]
    for (course, text) in gauges { kept["gauge.\(course)"] = text }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    set = kept["set"] ?? ""
    for (key, text) in kept {
      if let course = key.place("gauge") { gauges[course + 1] = text }
    }
  }
}
