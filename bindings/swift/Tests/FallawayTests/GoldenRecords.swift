import Fallaway
import Foundation

// The calls of the golden vectors that need a workshop.

/// The calls of an empty workshop; `nil` for one that is not here.
func workshopAnswer(_ call: String, _ given: Given) throws -> Answer? {
  let workshop = try Workshop.inMemoryBlocking(label: "tech")
  switch call {
  case "instrument_named": _ = try workshop.instrumentNamedBlocking(name: given.text("name"))
  case "add_instrument":
    _ = try workshop.addInstrumentBlocking(
      template: given.text("template"), name: given.text("name"))
  case "instrument": _ = try workshop.instrumentBlocking(id: InstrumentId(given.text("id")))
  case "after_shut_down":
    try workshop.shutDownBlocking()
    _ = try workshop.instrumentsBlocking()
  default: return nil
  }
  return [:]
}

private final class Standing: TimeSource {
  let moment: Moment
  init(at unixS: Int64) { moment = Moment(unixS: unixS, offsetMin: 0) }
  func now() throws -> Moment { moment }
}

/// The calls of a recorded instrument; `nil` for one that is not here.
func recordAnswer(_ call: String, _ given: Given) throws -> Answer? {
  guard let bundles = given.fields["bundles"], case .list = bundles else { return nil }
  let time = Standing(at: Int64(try given.number("now_unix_s")))
  let workshop = try Workshop.inMemoryBlocking(label: "reader", time: time)
  guard let welcome = Data(base64Encoded: try given.text("welcome")) else {
    throw Given.Missing(field: "welcome")
  }
  let instrument = try workshop.acceptBlocking(
    invitation: given.text("invitation"), bundle: welcome)
  var report: MergeReport?
  for text in given.texts("bundles") {
    guard let bytes = Data(base64Encoded: text) else { throw Given.Missing(field: "base64") }
    report = try workshop.bundleInBlocking(bytes: bytes)
  }
  switch call {
  case "plan":
    return planAnswer(
      try instrument.planBlocking(setup: given.maybeText("setup").map { SetupId($0) }))
  case "what_changed":
    return changedAnswer(
      try instrument.whatChangedBlocking(
        before: given.occasion("before"), after: given.occasion("after")))
  case "card":
    return cardAnswer(
      try instrument.cardBlocking(setup: given.maybeText("setup").map { SetupId($0) }))
  case "clearance":
    let touch = Touch(forceN: try given.number("force_n"), direction: .towardBoard)
    let found = try instrument.clearanceBlocking(touch: touch).answer
    let strings = found.strings
    return [
      "limiting": Value(strings[Int(found.limitingString)].name),
      "names": Value(strings.map(\.name)), "buzzes": .list(strings.map { Value($0.buzzes) }),
      "smallest_mm": Value(strings.map(\.smallest.marginMm)),
      "lowest_clean_mm": Value(strings.map(\.lowestClean?.actionMm)),
    ]
  case "history":
    let history = try instrument.historyBlocking()
    return [
      "texts": Value(history.map(\.text)), "devices": Value(history.map(\.device)),
      "retracted": .list(history.map { Value(!$0.retracted.isEmpty) }),
    ]
  case "contested":
    let fields = try instrument.contestedBlocking().sorted { $0.label < $1.label }
    let versions = fields.map { field in
      field.versions.map { "\($0.shown), by \($0.device)" }.sorted().joined(separator: " / ")
    }
    return ["fields": Value(fields.map(\.label)), "versions": Value(versions)]
  case "draw": return try drawAnswer(instrument, given)
  case "sheet": return try sheetAnswer(instrument, given)
  case "merge":
    guard let report else { throw Given.Missing(field: "bundles") }
    let view = try instrument.detailsBlocking()
    let added = report.added.map { author in
      "\(author.device): \(author.entries.reduce(0) { $0 + $1.count }), \(author.values)"
    }
    return [
      "added": Value(added), "refused": .number(Double(report.refused.count)),
      "newly_contested": Value(report.newlyContested.map(\.label).sorted()),
      "waiting": Value(report.waiting), "name": Value(view.name),
      "people": Value(view.people.map(\.label).filter { $0 != "reader" }.sorted()),
      "state": Value(view.historyDigest),
    ]
  default: return nil
  }
}

extension Given {
  fileprivate func occasion(_ which: String) throws -> Occasion {
    switch try text(which) {
    case "as_found": return .asFound(visit: VisitId(try text("\(which)_visit")))
    case "as_left": return .asLeft(visit: VisitId(try text("\(which)_visit")))
    case "setup": return .setup(setup: SetupId(maybeText("setup") ?? "stage"))
    default: return .today
    }
  }
}

private func planAnswer(_ plan: Plan) -> Answer {
  var answer: Answer = [
    "setup": Value(plan.setup?.name),
    "steps": Value(plan.steps.map { "\($0.title): \($0.verdictText)" }),
    "offs": Value(plan.steps.map(\.compared?.off.value)), "text": Value(plan.text),
  ]
  guard let next = plan.next else { return answer }
  var work: StepWork?
  if case .adjust(let found) = next.verdict { work = found }
  let turn = work?.moves.first?.turn
  answer.merge([
    "next_kind": Value(snake(next.kind)), "next_title": Value(next.title),
    "next_verdict": Value(next.verdictText), "next_sentences": Value(next.sentences),
    "next_cautions": Value(next.cautions.map(\.text)),
    "next_screw": Value(work?.moves.first?.text), "next_eighths": Value(turn?.eighths),
    "next_direction": Value(turn?.direction.map(snake)),
    "next_expect": Value(work?.expect?.value), "next_left_over": Value(work?.leftOver?.value),
  ]) { _, new in new }
  return answer
}

private func changedAnswer(_ changed: WhatChanged) -> Answer {
  let name = { (part: InstrumentPart) -> String in
    switch part {
    case .neck: return "neck"
    case .twist: return "twist"
    case .joint: return "joint"
    case .saddle(let place): return "saddle \(place.course)\(place.letter ?? "")"
    case .nutSlot(let place): return "nut \(place.course)\(place.letter ?? "")"
    case .heights: return "heights"
    case .newer: return "newer"
    }
  }
  return [
    "parts": Value(changed.parts.map { name($0.part) }),
    "verdicts": Value(changed.parts.map { snake($0.verdict) }),
    "changes_mm": Value(changed.parts.map(\.change.value)),
    "lows_mm": Value(changed.parts.map { $0.lowMm ?? 0 }),
    "highs_mm": Value(changed.parts.map { $0.highMm ?? 0 }),
    "would_tell": .list(changed.parts.map { Value($0.wouldTell?.text) }),
    "common": Value(changed.common), "contradicting": Value(changed.contradicting.map(\.text)),
    "outvoted": Value(changed.outvoted.map(\.text)), "noted": Value(changed.noted.map(\.text)),
    "sentences": Value(changed.sentences),
  ]
}

private func cardAnswer(_ card: Card) -> Answer {
  let lines = card.lines.map { line in
    [
      line.quantityText, line.placeText, line.last?.value.text ?? "",
      line.target?.value.text ?? "", snake(line.standing),
    ].joined(separator: "; ")
  }
  return ["setup": Value(card.setup?.name), "lines": Value(lines)]
}
