import Fallaway
import Foundation
import Testing

/// What an app shows: list, card, history, plan, what changed, clearance.
@Suite struct ScreenTests {
  @Test func whatIsEnteredIsOnTheCard() throws {
    let (workshop, bass) = try bench()
    #expect(try workshop.instrumentsBlocking().map(\.name) == ["walnut bass"])
    let card = try bass.cardBlocking(setup: "stage")
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
    try bass.addRemarkBlocking(text: "buzzes at the twelfth", options: WriteOptions(by: "player"))
    let all = try bass.historyBlocking()
    #expect(all.last?.text.contains("buzzes at the twelfth") == true)
    #expect(all.last?.by == "player")
    let page = try bass.historyBlocking(filter: HistoryFilter(last: 2))
    #expect(page.map(\.id) == all.suffix(2).map(\.id))
    let before = try bass.historyBlocking(filter: HistoryFilter(before: page[0].id, last: 1))
    #expect(before.map(\.id) == [all[all.count - 3].id])
    #expect(try bass.entryCalledBlocking(shortId: all[0].shortId).id == all[0].id)
  }

  @Test func whatIsCrossedOutStaysWithItsReason() throws {
    let (_, bass) = try bench()
    let draft = try bass.addRemarkBlocking(text: "wrong instrument")
    #expect(try bass.retractBlocking(entry: draft, reason: "slip") == .erased)
    let kept = try #require(try bass.historyBlocking().first { $0.text.contains("10 thou") })
    let tech = WriteOptions(by: "tech")
    #expect(try bass.retractBlocking(entry: kept.id, reason: "wrong leaf", options: tech) == .kept)
    let retracted = try bass.entryBlocking(id: kept.id).retracted
    #expect(retracted.map(\.reason) == ["wrong leaf"])
    #expect(
      try !bass.historyBlocking(filter: HistoryFilter(hideRetracted: true)).contains {
        $0.id == kept.id
      })
  }

  @Test func thePlanNamesTheNextStep() throws {
    let (_, bass) = try bench()
    try bass.setTargetBlocking(
      setup: "stage",
      target: NewTarget(quantity: relief, location: .whole, wanted: "0.15 mm", tolerance: "0.03 mm")
    )
    try bass.beginVisitBlocking()
    try bass.addPassTextBlocking(quantity: .pitch, text: "0 0 0 0", tool: .tunerCent)
    // Twice: one reading far from what nothing was done to change is asked for again.
    try bass.addPassTextBlocking(quantity: relief, text: "20", tool: .feelerThou)
    try bass.addPassTextBlocking(quantity: relief, text: "20", tool: .feelerThou)
    let plan = try bass.planBlocking(setup: "stage")
    let next = try #require(plan.next)
    #expect(next.kind == .relief)
    guard case .adjust(let work) = next.verdict else {
      Issue.record("20 thou is 0.508 mm, wanted 0.15 mm: \(next.verdictText)")
      return
    }
    #expect(work.way == .lessRelief)
    #expect(work.moves.first?.screw == .rod)
    #expect(work.moves.first?.part == .rod, "what is written down when it is turned")
    #expect(!next.cautions.isEmpty, "a truss rod is never turned without a caution")
    #expect(plan.text.lowercased().contains(next.title.lowercased()))
  }

  @Test func whatChangedComparesTwoVisits() throws {
    let (_, bass) = try bench()
    try bass.beginVisitBlocking(purpose: "after the winter")
    try bass.addPassTextBlocking(quantity: relief, text: "16", tool: .feelerThou)
    try bass.endVisitBlocking()
    let visits = try bass.visitsBlocking()
    #expect(visits.count == 2)
    let changed = try bass.whatChangedBlocking(
      before: .asLeft(visit: visits[0].visit.id), after: .asFound(visit: visits[1].visit.id))
    #expect(!changed.sentences.isEmpty)
  }

  @Test func clearanceAnswersWhatIf() throws {
    let (_, bass) = try bench()
    let touch = Touch(forceN: 1, direction: .towardBoard)
    let asRead = try bass.clearanceBlocking(touch: touch)
    #expect(asRead.answer.strings.count == 4)
    let bench = try bass.clearanceModelBlocking(touch: touch)
    #expect(bench.opened() == asRead.answer)
    // A saddle that goes up leaves more room: geometry.
    let raised = try bench.askBlocking(
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
    #expect(FallawayError.busy(reason: "x", why: .otherProgram).mayPass)
    #expect(!FallawayError.busy(reason: "x", why: .callback).mayPass)
    #expect(!FallawayError.closed.mayPass)
  }
}

/// An instrument that a preview draws: nothing of it is kept anywhere.
private final class Drawn: InstrumentProtocol {
  let id = InstrumentId("drawn")

  func cardBlocking(setup: SetupId?) throws -> Card {
    Card(name: "drawn", setup: nil, setups: [], lines: [], readWhenText: nil, photos: 0)
  }
}

@Suite struct StandIns {
  @Test func aStandInAnswersWhatItHasAndThrowsForTheRest() async throws {
    let drawn: any InstrumentProtocol = Drawn()
    #expect(try await drawn.card(setup: nil).name == "drawn")
    await #expect(throws: FallawayError.self) { try await drawn.plan(setup: nil) }
  }

  #if canImport(Darwin) || FALLAWAY_LIVE
    @MainActor @Test func aLiveValueIsReadAnewWhenTheInstrumentChanges() async throws {
      let (workshop, bass) = try bench()
      let count = Live<Int>()
      let screen = Task {
        await count.follow(bass.id, in: workshop) { try await bass.history().count }
      }
      while count.value == nil { await Task.yield() }
      let before = try #require(count.value)
      try await bass.addRemark(text: "buzzes at the twelfth")
      while count.value == before { await Task.yield() }
      #expect(count.value == before + 1)
      #expect(count.error == nil)
      screen.cancel()
      await screen.value
    }
  #endif
}
