import Fallaway

/// The plan, one step at a time: what to turn, which way, why, and what may go wrong.
final class PlanSteps: Screen {
  override var name: String { "plan" }
  override var tab: Bool { true }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    one.role == .button || ["which", "see"].contains(one.id) ? nil : one
  }

  private var plan: Plan?
  private var dials: [Scene] = []
  private var why = false
  private var settled: Moment?
  private var then: String?

  /// The steps of a turn that may go either way, until it is said which way it went.
  private var asked: [StepId]?

  /// How long a neck is let to settle here: common practice, no source.
  private static let settlesS: Int64 = 10 * 60

  override func load() async throws {
    let drawn = try await phone.instrument().planDrawn(setup: phone.setup)
    plan = drawn.plan
    dials = drawn.turns
  }

  /// The steps that are done in one go: all saddles, for example.
  private func now(_ plan: Plan) -> [PlanStep] {
    let together = plan.steps.filter { plan.now.contains($0.id) }
    return together.isEmpty ? [plan.next].compactMap { $0 } : together
  }

  override func body() throws -> [Element] {
    var shown = [title(.plan)]
    guard let plan else { return shown }
    if let then { shown.append(Element("then", .banner, then)) }
    let now = now(plan)
    if let first = now.first {
      shown += try step(first, now)
    } else {
      shown.append(Element("nothing", .text, say(.nothingToDo)))
    }
    // What moved since the setup, where it was there once; before that it is only far from it.
    if let drift = plan.drift, drift.wasThere {
      // Where it begins and what follows from it; string by string for whoever asks why.
      for (at, text) in drift.sentences.enumerated()
      where why || now.isEmpty || at == 0 || at == drift.sentences.count - 1 {
        shown.append(Element("drift.\(at + 1)", .text, text))
      }
      for (at, one) in drift.cautions.enumerated() {
        shown.append(Element("drift.caution.\(at + 1)", .caution, one.text))
      }
    }
    let later = plan.steps.filter { !$0.settled && !now.contains($0) }
    if !later.isEmpty {
      shown.append(heading("later", say(.afterThat)))
      for (at, same) in together(later).enumerated() {
        shown.append(
          Element("later.\(at + 1)", .row, try title(same), detail: same[0].verdictText))
      }
    }
    return shown
  }

  private struct Alike: Hashable {
    let quantity: Quantity?
    let kind: StepKind
    let said: String
  }

  /// Steps of one quantity about which the same is to be said: one line for all strings.
  private func together(_ steps: [PlanStep]) -> [[PlanStep]] {
    steps.grouped {
      Alike(quantity: $0.quantity, kind: $0.kind, said: $0.verdictText + ($0.turns ?? ""))
    }
  }

  private func title(_ same: [PlanStep]) throws -> String {
    if same.count > 1, let quantity = same[0].quantity {
      return try quantityLabel(quantity: quantity).sentence
    }
    return same[0].title.sentence
  }

  private func step(_ first: PlanStep, _ now: [PlanStep]) throws -> [Element] {
    var shown = [heading("step", try title(now))]
    let parts = together(now)
    var turned = 0
    for (at, same) in parts.enumerated() {
      let verdict = same[0].verdictText
      let screws = screws(same)
      // A line that says the same as the heading says only what is to be done; a dial says the rest.
      let alone = parts.count == 1 || !screws.isEmpty
      shown.append(
        Element(
          "do.\(at + 1)", .row, alone ? verdict.sentence : try strings(same),
          detail: alone ? nil : verdict))
      for alike in screws {
        turned += 1
        shown.append(dial(turned, alike, same))
      }
    }
    for (at, text) in now.flatMap(\.cautions).map(\.text).distinct().enumerated() {
      shown.append(Element("caution.\(at + 1)", .caution, text))
    }
    shown += buttons(first)
    shown.append(toggle("why", .why, why))
    if why {
      let dials = shown.filter { $0.role == .drawing }.compactMap(\.detail)
      let reasons = now.flatMap(\.sentences).distinct()
      let unsaid = reasons.filter { text in !dials.contains { $0.contains(text) } }
      for (at, text) in unsaid.enumerated() {
        shown.append(Element("why.\(at + 1)", .text, text))
      }
    }
    return shown
  }

  /// The screws of these steps, those together that are turned alike: a screw that moves several strings is turned once.
  private func screws(_ same: [PlanStep]) -> [[ScrewMove]] {
    same.flatMap(\.moves).grouped(by: \.text).map { $0[0] }.grouped(by: \.turn.text)
  }

  /// How far these screws are turned, and what will then be read.
  private func dial(_ number: Int, _ alike: [ScrewMove], _ same: [PlanStep]) -> Element {
    let turn = alike[0].turn.text
    let drawn = alike.compactMap { move in
      dials.first { $0.title == "\(move.text): \(turn)".sentence }
    }
    // Words that the drawing has beside it are no sentences, and its title stands above.
    let said = drawn.map { one in
      one.sentences.filter { $0.hasSuffix(".") && $0 != "\(one.title)." }
    }
    let ofAll = (said.first ?? []).filter { sentence in said.allSatisfy { $0.contains(sentence) } }
    return Element(
      "dial.\(number)", .drawing, alike.map(\.text).joined(separator: ", ").sentence,
      value: turn.sentence, detail: ofAll.joined(separator: " ").unlessEmpty,
      // Where it is not the same for all.
      state: said.distinct().count < 2 ? nil : say(.thenReads, expected(same)), scene: drawn.first)
  }

  /// What will then be read: a number, and the strings of which it is.
  private func expected(_ same: [PlanStep]) -> String {
    let all = same.compactMap { step -> (reads: String, place: String?)? in
      guard case .adjust(let work) = step.verdict, let expect = work.expect else { return nil }
      return (expect.text, step.locationText)
    }
    let groups = all.grouped(by: \.reads).map { group -> String in
      let places = group.compactMap(\.place).joined(separator: ", ")
      return "\(phone.written(group[0].reads)) (\(places))"
    }
    return groups.joined(separator: "; ")
  }

  private func strings(_ same: [PlanStep]) throws -> String {
    if same.count == 1 { return try title(same) }
    let places = try same.compactMap(\.location).map { try locationLabel(location: $0) }
    return say(.stringsNamed, places.joined(separator: ", "))
  }

  private func buttons(_ step: PlanStep) -> [Element] {
    if asked != nil {
      return [
        Element("which", .banner, say(.whichWay)), button("clockwise", .clockwise, main: true),
        button("anticlockwise", .anticlockwise),
      ]
    }
    switch step.settledBy {
    case .adjustments:
      var shown = [
        button("done", .didAsSaid, main: true), button("otherwise", .didOtherwise),
        button("could_not", .couldNot), button("measure", .measureAgain),
      ]
      if unknown(step) {
        shown.append(Element("see", .text, say(.seeWhichWay)))
        shown.append(button("raises", .clockwiseMore))
        shown.append(button("lowers", .clockwiseLess))
      }
      let until = settled.map { say(.waitUntil, phone.clock($0)) }
      return shown + [button("wait", .letSettle).with(state: until)]
    case .tuning: return [button("done", .itIsTuned, main: true)]
    case .readings, .asLeft:
      return [button("measure", .readNow, main: true), button("could_not", .couldNot)]
    case .target: return [button("targets", .setTargets, main: true)]
    case .choice: return [button("settle", .settle, main: true)]
    case .screwFact:
      return [button("raises", .clockwiseMore, main: true), button("lowers", .clockwiseLess)]
    case .repairer, .nothing, .newer: return []
    }
  }

  /// Whether a look at the screw says which way it works: a rod's shows in readings only.
  private func unknown(_ step: PlanStep) -> Bool {
    step.moves.contains { $0.turn.direction == nil && $0.screw != .rod }
  }

  override func touched(_ id: String) async throws {
    then = nil
    guard let plan, let first = now(plan).first else { return }
    switch id {
    case "done": try await done(first, now(plan))
    case "clockwise": try await wrote(.clockwise)
    case "anticlockwise": try await wrote(.anticlockwise)
    case "otherwise": await phone.go(Otherwise(phone, first))
    case "could_not": await phone.go(CouldNotDo(phone, first))
    case "measure": await phone.switch(Read(phone, wanted: toRead(first)))
    case "wait":
      let now = phone.now()
      settled = Moment(unixS: now.unixS + Self.settlesS, offsetMin: now.offsetMin)
    case "why": why.toggle()
    case "targets": await phone.go(Setups(phone))
    case "settle": await phone.go(Settle(phone))
    case "raises": try await knows(first, .more)
    case "lowers": try await knows(first, .less)
    default: break
    }
  }

  private func toRead(_ step: PlanStep) -> Quantity? {
    switch step.settledBy {
    case .readings(let of), .asLeft(let of): return of.first?.quantity
    default: return step.quantity
    }
  }

  private func done(_ first: PlanStep, _ now: [PlanStep]) async throws {
    if case .adjustments(_, true) = first.settledBy {
      asked = now.map(\.id)
    } else {
      try await wrote(now.map(\.id), nil)
    }
  }

  private func wrote(_ turned: TurnDirection) async throws {
    guard let steps = asked else { return }
    asked = nil
    try await wrote(steps, turned)
  }

  private func wrote(_ steps: [StepId], _ turned: TurnDirection?) async throws {
    let written = try await phone.instrument().doneTogether(steps: steps, turned: turned)
    let next = try written.thenMeasure.map { try quantityLabel(quantity: $0.quantity) }.distinct()
    then = next.isEmpty ? say(.written) : say(.writtenThen, next.joined(separator: "; "))
    try await load()
  }

  /// Which way a screw works, seen on the instrument.
  private func knows(_ step: PlanStep, _ clockwise: Clockwise) async throws {
    var turned = step.moves.first?.screw
    if case .screwFact(let screw) = step.settledBy { turned = screw }
    let place: ScrewPlace
    switch turned {
    case .rod: place = .rod
    case .saddleHeight: place = .saddleHeight
    case .bridgePost: place = .bridgePost
    case .springClaw: place = .springClaw
    case .saddlePosition: place = .saddlePosition
    case .pickupHeight: place = .pickup
    case .newer, nil: return
    }
    let instrument = try phone.instrument()
    let known = try await instrument.details().spec.screws.first { $0.place == place }?.screw
    let screw = ScrewSpec(
      thread: known?.thread, pitch: known?.pitch, clockwise: clockwise, key: known?.key)
    try await instrument.setSpec(field: .screw(placed: PlacedScrew(place: place, screw: screw)))
    try await load()
  }

  override func kept() -> [String: String] {
    var kept: [String: String] = [:]
    kept["settled"] = settled.map { "\($0.unixS)" }
    if why { kept["why"] = "true" }
    if asked != nil { kept["asked"] = "true" }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    let offset = phone.now().offsetMin
    settled = kept["settled"].flatMap { Int64($0) }.map { Moment(unixS: $0, offsetMin: offset) }
    why = kept["why"] == "true"
    if let plan, kept["asked"] == "true" { asked = now(plan).map(\.id) }
  }
}

extension PlanStep {
  /// The screws to turn, if it is to be adjusted.
  var moves: [ScrewMove] {
    if case .adjust(let work) = verdict { return work.moves }
    return []
  }

  /// How far, in words.
  var turns: String? { moves.map(\.turn.text).joined(separator: ", ").unlessEmpty }
}

/// What is said of one step of the plan, until it is written down; after the end of the process it is found again.
class OfStep: Screen {
  fileprivate var step: PlanStep?

  init(_ phone: Phone, _ step: PlanStep? = nil) {
    self.step = step
    super.init(phone)
  }

  override func kept() -> [String: String] { step.map { ["step": $0.id.text] } ?? [:] }

  override func restore(_ kept: [String: String]) async throws {
    let plan = try await phone.instrument().planDrawn(setup: phone.setup).plan
    step = plan.steps.first { $0.id.text == kept["step"] }
  }
}

/// Something else was done than was proposed: the same screws, by another turn.
final class Otherwise: OfStep {
  override var name: String { "otherwise" }

  /// What was said of it, where that is another turn than was proposed.
  private var said: (eighths: Int?, direction: TurnDirection?) = (nil, nil)

  private var moves: [ScrewMove] { step?.moves ?? [] }
  private var eighths: Int { said.eighths ?? moves.first?.turn.eighths ?? 1 }
  private var direction: TurnDirection {
    said.direction ?? moves.first?.turn.direction ?? .clockwise
  }

  override func kept() -> [String: String] {
    let kept = ["eighths": "\(eighths)", "clockwise": "\(direction == .clockwise)"]
    return super.kept().merging(kept) { $1 }
  }

  override func restore(_ kept: [String: String]) async throws {
    try await super.restore(kept)
    said.eighths = kept["eighths"].flatMap { Int($0) }
    said.direction = kept["clockwise"].map { $0 == "true" ? .clockwise : .anticlockwise }
  }

  override func body() -> [Element] {
    var shown = [title(.didOtherwise)]
    for (at, move) in moves.enumerated() {
      shown.append(Element("screw.\(at + 1)", .text, move.text.sentence))
    }
    shown.append(Element("turns", .number, say(.turnedBy), value: turnsText(eighths: eighths)))
    shown.append(button("less", .anEighthLess))
    shown.append(button("more", .anEighthMore))
    shown.append(choice("clockwise", say(.clockwise), direction == .clockwise))
    shown.append(choice("anticlockwise", say(.anticlockwise), direction == .anticlockwise))
    shown.append(button("save", .writeItDown, main: true))
    return shown
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "less": said.eighths = max(eighths - 1, 1)
    case "more": said.eighths = eighths + 1
    case "clockwise": said.direction = .clockwise
    case "anticlockwise": said.direction = .anticlockwise
    case "save":
      let turns = Double(eighths) / 8 * (direction == .clockwise ? 1 : -1)
      let done = moves.map {
        NewBody.adjusted(adjustment: Adjustment(part: $0.part, turns: turns))
      }
      if let step {
        _ = try await phone.instrument().didOtherwise(step: step.id, what: done)
      }
      await phone.back()
    default: break
    }
  }
}

/// A step that could not be done, and why.
final class CouldNotDo: OfStep {
  override var name: String { "could_not" }
  private var why = ""

  private static let reasons: [Say] = [.doesNotTurn, .noRoom, .doesNothing, .noToolHere]

  override func kept() -> [String: String] { super.kept().merging(["why": why]) { $1 } }

  override func restore(_ kept: [String: String]) async throws {
    try await super.restore(kept)
    why = kept["why"] ?? ""
  }

  override func body() -> [Element] {
    var shown = [title(.couldNot)]
    if let step { shown.append(Element("step", .text, step.title.sentence)) }
    for (at, one) in Self.reasons.enumerated() {
      shown.append(choice("reason.\(at + 1)", say(one), why == say(one)))
    }
    shown.append(Element("why", .field, say(.ownWords), value: why))
    shown.append(Element("repairer", .caution, say(.forARepairer)))
    shown.append(button("save", .writeItDown, main: true))
    return shown
  }

  override func touched(_ id: String) async throws {
    if let reason = id.place("reason").flatMap({ Self.reasons.at($0) }) { why = say(reason) }
    if id == "save" {
      if let step {
        _ = try await phone.instrument().couldNot(step: step.id, reason: why)
      }
      await phone.back()
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "why" { why = text }
  }
}
