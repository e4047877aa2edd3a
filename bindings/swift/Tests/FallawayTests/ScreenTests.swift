import Fallaway
import Foundation
import Testing

/// What an app shows: list, card, history, plan, what changed, clearance.
@Suite struct ScreenTests {
  @Test func whatIsEnteredIsOnTheCard() throws {
    let (workshop, bass) = try bench()
    #expect(try workshop.instruments().map(\.name) == ["walnut bass"])
    let card = try bass.card(setup: "stage")
    let read = card.lines.compactMap { $0.last }.filter { $0.value.asEntered != nil }
    #expect(read.count == 5, "one relief and four actions")
    let first = try #require(
      card.lines.first { $0.quantity == action && $0.location == .string(4) }?.last)
    // 6/64 in is 2.38125 mm: one inch is 25.4 mm exactly (NIST SP 811, appendix B.8).
    #expect(first.value.asEntered == "6/64 in")
    #expect(abs(first.value.value - 2.38125) < 1e-9)
    #expect(first.value.unit == .millimetre)
    #expect(first.value.basis == .measured)
    #expect(first.value.length == Measurement(value: first.value.value, unit: .millimeters))
  }

  @Test func theHistoryIsFilteredAndPaged() throws {
    let (_, bass) = try bench()
    try bass.addRemark(text: "buzzes at the twelfth", options: WriteOptions(by: "player"))
    let all = try bass.history()
    #expect(all.last?.text.contains("buzzes at the twelfth") == true)
    #expect(all.last?.by == "player")
    let page = try bass.history(filter: HistoryFilter(last: 2))
    #expect(page.map(\.id) == all.suffix(2).map(\.id))
    let before = try bass.history(filter: HistoryFilter(before: page[0].id, last: 1))
    #expect(before.map(\.id) == [all[all.count - 3].id])
    #expect(try bass.entryCalled(shortId: all[0].shortId).id == all[0].id)
  }

  @Test func whatIsCrossedOutStaysWithItsReason() throws {
    let (_, bass) = try bench()
    let draft = try bass.addRemark(text: "wrong instrument")
    #expect(try bass.retract(entry: draft, reason: "slip") == .erased)
    let kept = try #require(try bass.history().first { $0.text.contains("10 thou") })
    let tech = WriteOptions(by: "tech")
    #expect(try bass.retract(entry: kept.id, reason: "wrong leaf", options: tech) == .kept)
    let retracted = try bass.entry(id: kept.id).retracted
    #expect(retracted.map(\.reason) == ["wrong leaf"])
    #expect(
      try !bass.history(filter: HistoryFilter(hideRetracted: true)).contains { $0.id == kept.id })
  }

  @Test func thePlanNamesTheNextStep() throws {
    let (_, bass) = try bench()
    try bass.setTarget(
      setup: "stage",
      target: NewTarget(quantity: relief, location: .whole, wanted: "0.15 mm", tolerance: "0.03 mm")
    )
    try bass.beginVisit()
    try bass.addPassText(quantity: .pitch, text: "0 0 0 0", tool: .tunerCent)
    // Twice: one reading far from what nothing was done to change is asked for again.
    try bass.addPassText(quantity: relief, text: "20", tool: .feelerThou)
    try bass.addPassText(quantity: relief, text: "20", tool: .feelerThou)
    let plan = try bass.plan(setup: "stage")
    let next = try #require(plan.next)
    #expect(next.kind == .relief)
    guard case .adjust(let work) = next.verdict else {
      Issue.record("20 thou is 0.508 mm, wanted 0.15 mm: \(next.verdictText)")
      return
    }
    #expect(work.way == .lessRelief)
    #expect(work.moves.first?.screw == .rod)
    #expect(!next.cautions.isEmpty, "a truss rod is never turned without a caution")
    #expect(plan.text.lowercased().contains(next.title.lowercased()))
  }

  @Test func whatChangedComparesTwoVisits() throws {
    let (_, bass) = try bench()
    try bass.beginVisit(purpose: "after the winter")
    try bass.addPassText(quantity: relief, text: "16", tool: .feelerThou)
    try bass.endVisit()
    let visits = try bass.visits()
    #expect(visits.count == 2)
    let changed = try bass.whatChanged(
      before: .asLeft(visit: visits[0].visit.id), after: .asFound(visit: visits[1].visit.id))
    #expect(!changed.sentences.isEmpty)
  }

  @Test func clearanceAnswersWhatIf() throws {
    let (_, bass) = try bench()
    let touch = Touch(forceN: 1, direction: .towardBoard)
    let asRead = try bass.clearance(touch: touch)
    #expect(asRead.answer.strings.count == 4)
    let bench = try bass.clearanceModel()
    // A saddle that goes up leaves more room: geometry.
    let raised = try bench.ask(
      touch: touch, whatIf: ClearanceWhatIf(saddleRisesMm: [0.5, 0.5, 0.5, 0.5]))
    for (before, after) in zip(asRead.answer.strings, raised.strings) {
      #expect(after.smallest.gapMm > before.smallest.gapMm)
    }
    #expect(bench.basis().strings.count == 4)
  }

  @Test func conveniences() throws {
    let date = Date(timeIntervalSince1970: 1_780_000_000)
    let moment = Moment(date, in: try #require(TimeZone(secondsFromGMT: 3600)))
    #expect(moment == Moment(unixS: 1_780_000_000, offsetMin: 60))
    #expect(moment.date == date)
    #expect(moment.zone?.secondsFromGMT() == 3600)
    let place: StringPlace = 3
    #expect(place == StringPlace(course: 3, letter: nil))
    #expect(FallawayError.busy(reason: "x").mayPass && !FallawayError.closed.mayPass)
  }
}
