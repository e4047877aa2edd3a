import Fallaway
import Foundation

/// Whether it would buzz, and what if the saddles or the relief were another: sliders under the drawn neck.
final class ClearanceSliders: Screen {
  override var name: String { "clearance" }
  private var model: ClearanceModel?
  private var neck: Scene?
  private var answer: ClearanceAnswer?
  private var relief = 0.0
  private var rise = 0.0
  private var force = 1.0
  private var asRead = 0.0

  /// What is moved stays so, and is asked anew: what it was asked of may be another one now.
  override func load() async throws {
    let bent = relief != asRead
    let instrument = try phone.instrument()
    let model = try await instrument.clearanceModel(touch: touch)
    self.model = model
    neck = model.neck()
    answer = model.opened()
    asRead = model.basis().strings.first?.reliefMm ?? 0
    if !bent { relief = asRead }
    if moved { try await ask() }
  }

  /// Whether anything is asked but what is: how hard it is played is no change of it.
  private var moved: Bool { relief != asRead || rise != 0 }

  private var touch: Touch { Touch(forceN: force, direction: .towardBoard) }

  private func ask() async throws {
    guard let model else { return }
    let strings = model.basis().strings.count
    answer = try await model.ask(
      touch: touch,
      whatIf: ClearanceWhatIf(
        reliefMm: relief == asRead ? nil : relief,
        saddleRisesMm: rise == 0 ? [] : Array(repeating: rise, count: strings)))
  }

  override func body() -> [Element] {
    var shown = [title(.clearance)]
    if let neck { shown.append(drawing("neck", neck)) }
    guard let answer else { return shown }
    if let one = answer.strings.at(answer.limitingString) {
      shown.append(
        Element(
          "tightest", .number, say(.tightest, one.name), value: mm(one.smallest.marginMm),
          detail: say(.stoppedOver, one.smallest.stoppedFret, one.smallest.overFret),
          state: say(one.buzzes ? .buzzes : .isClean)))
    }
    shown.append(
      slider("rise", .saddlesHigher, Travel(from: -1, to: 1, step: 0.05, at: rise), mm(rise)))
    shown.append(
      slider("relief", .relief, Travel(from: 0, to: 1, step: 0.01, at: relief), mm(relief)))
    shown.append(
      slider(
        "force", .howHard, Travel(from: 0.5, to: 5, step: 0.1, at: force), number(force, 1) + " N"))
    shown.append(button("zero", .asItIs))
    for (at, one) in answer.strings.enumerated() {
      shown.append(
        Element(
          "string.\(at + 1)", .row, one.name, value: mm(one.smallest.marginMm),
          state: say(one.buzzes ? .buzzes : .isClean)))
    }
    shown.append(Element("caveat", .text, answer.caveat))
    return shown
  }

  private func slider(_ id: String, _ words: Say, _ travel: Travel, _ value: String) -> Element {
    Element(id, .slider, say(words), value: value, travel: travel)
  }

  /// Millimetres with the language's own decimal mark.
  private func mm(_ value: Double) -> String { number(value, 2) + " mm" }

  private func number(_ value: Double, _ places: Int) -> String {
    String(format: "%.\(places)f", value == 0 ? 0 : value)
      .replacing(".", with: say(.decimalMark)).replacing("-", with: "−")
  }

  override func touched(_ id: String) async throws {
    guard id == "zero" else { return }
    relief = asRead
    rise = 0
    force = 1
    try await ask()
  }

  override func typed(_ id: String, _ text: String) async throws {
    guard let value = Double(text) else { return }
    switch id {
    case "rise": rise = value
    case "relief": relief = value
    case "force": force = value
    default: break
    }
    try await ask()
  }

  override func kept() -> [String: String] {
    var kept: [String: String] = [:]
    if rise != 0 { kept["rise"] = "\(rise)" }
    if relief != asRead { kept["relief"] = "\(relief)" }
    if force != 1 { kept["force"] = "\(force)" }
    return kept
  }

  override func restore(_ kept: [String: String]) async throws {
    rise = kept["rise"].flatMap { Double($0) } ?? rise
    relief = kept["relief"].flatMap { Double($0) } ?? relief
    force = kept["force"].flatMap { Double($0) } ?? force
    try await ask()
  }
}
