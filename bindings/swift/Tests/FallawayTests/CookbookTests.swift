import Fallaway
import Foundation
import Testing

/// The cookbook's code, task by task: `cargo tool cookbook` takes it out of this file into
/// `docs/embedding/cookbook/swift.md`.
@Suite struct CookbookTests {
  @Test func task01() async throws {
    let support = try Folder()
    let folder = support.url.appendingPathComponent("workshop")
    // task 1
    // On an Apple system with `keeper: KeychainKeeper()`.
    let workshop = try await Workshop.open(folder: folder, label: "tech")
    print(try await workshop.instruments())
    // end
    try await workshop.shutDown()
  }

  @Test func task02() async throws {
    let (workshop, _) = try bench()
    // task 2
    for template in templates() { print(template.id, template.name, template.summary) }
    let bass = try await workshop.addInstrument(template: "bass-5", name: "loan bass")
    let same = try await workshop.instrumentNamed(name: "loan")  // or workshop.instrument(id:)
    // end
    #expect(same.id == bass.id)
  }

  @Test func task03() async throws {
    let (_, bass) = try bench()
    // task 3
    try await bass.setSpec(field: .about(text: "the one with the walnut top"))
    try await bass.setSpec(field: .pickups(count: 2))
    try await bass.unsetSpec(key: "pickups")
    let spec = try await bass.details().spec
    // end
    #expect(spec.about == "the one with the walnut top")
  }

  @Test func task04() async throws {
    let (_, bass) = try bench()
    // task 4
    try await bass.beginVisit(purpose: "too high")
    let action = Quantity.action(stopped: 1, over: 24)
    try await bass.addPassText(quantity: action, text: "6 6 - =", tool: .rule64)
    try await bass.addPassText(quantity: .pitch, text: "0 0 2 -1", tool: .tunerCent)
    try await bass.endVisit()
    // end
    #expect(try await bass.visits().count == 2)
  }

  @Test func task05() throws {
    // task 5
    let read = try parseReading(text: "5/64", quantity: action)
    print(read.value.asEntered ?? "", read.value.value, read.value.unit)
    do {
      _ = try parseReading(text: "five", quantity: action)
    } catch FallawayError.badInput(_, let reason, let accepted, _, _, _) {
      print(reason, accepted)
    }
    // end
    #expect(abs(read.value.value - 5.0 / 64.0 * 25.4) < 1e-9)
  }

  @Test func task06() async throws {
    let (_, bass) = try bench()
    // task 6
    do {
      try await bass.addPassText(quantity: relief, text: "120", tool: .feelerThou)
    } catch FallawayError.unsure(_, let doubts) {
      for doubt in doubts { print("Is that right?", doubt.given, doubt.reason) }
      try await bass.addPassText(
        quantity: relief, text: "120", tool: .feelerThou, options: WriteOptions(accept: doubts))
    }
    // end
    #expect(try await bass.history().last?.text.contains("120") == true)
  }

  @Test func task07() async throws {
    let (_, bass) = try bench()
    // task 7
    try await bass.addAdjustment(adjustment: Adjustment(part: .rod, turns: -0.25))
    try await bass.addStringChange(change: StringChange(setName: "45 to 105"))
    try await bass.addTuning(tuning: TuningChange())  // all strings, to their notes
    try await bass.addClimate(
      climate: Climate(temperature: "21 C", humidity: "45 %", hoursThere: 48))
    try await bass.addBuzz(
      buzz: BuzzNote(place: StringPlace(course: 4), fromFret: 5, toFret: 7))
    try await bass.addRemark(text: "fret 3 is worn")
    // end
    #expect(try await bass.history().count > 8)
  }

  @Test func task08() async throws {
    let (_, bass) = try bench()
    // task 8
    let studio = try await bass.takeSetup(name: "studio").id  // what was read last
    let low = Location.string(StringPlace(course: 4))
    try await bass.setTarget(
      setup: studio,
      target: NewTarget(quantity: action, location: low, wanted: "2.2 mm", tolerance: "0.1 mm"))
    for setup in try await bass.setups() { print(setup.name, setup.targets.count) }
    try await bass.renameSetup(setup: studio, name: "club")  // the id stays
    try await bass.deleteSetup(setup: studio)
    try await bass.bringBackSetup(setup: studio)
    // end
    #expect(try await bass.setupNamed(name: "club").id == studio)
    #expect(try await bass.setups().count == 2)
  }

  @Test func task09() async throws {
    let (_, bass) = try bench()
    // task 9
    let card = try await bass.card(setup: "stage")
    for line in card.lines {
      print(
        line.quantityText, line.placeText, line.last?.value.text ?? "not read", line.standing)
    }
    // end
    #expect(card.lines.count >= 5)
  }

  @Test func task10() async throws {
    let (_, bass) = try bench()
    try await bass.addPassText(quantity: relief, text: "18", tool: .feelerThou)
    // task 10
    let plan = try await bass.plan(setup: "stage")
    if let step = plan.next {
      print(step.title, "-", step.verdictText)
      for sentence in step.sentences { print(sentence) }
      for caution in step.cautions { print("Caution:", caution.text) }
    }
    // end
    #expect(plan.next != nil)
  }

  @Test func task11() async throws {
    let (_, bass) = try bench()
    try await bass.addPassText(quantity: relief, text: "18", tool: .feelerThou)
    try await bass.addPassText(quantity: relief, text: "18", tool: .feelerThou)
    // task 11
    if let step = try await bass.plan(setup: "stage").next {
      // As it was proposed; else didOtherwise, or couldNot with the reason.
      let written = try await bass.done(step: step.id)
      for what in written.thenMeasure { print("then measure:", what.text) }
    }
    try await bass.addTuning(tuning: TuningChange())
    try await bass.addPassText(quantity: relief, text: "14", tool: .feelerThou)
    print(try await bass.plan(setup: "stage").text)
    // end
  }

  @Test func task12() async throws {
    let (_, bass) = try bench()
    try await bass.addPassText(quantity: relief, text: "22", tool: .feelerThou)
    try await bass.addPassText(quantity: action, text: "6 6 6 7", tool: .rule64)
    // task 12
    let changed = try await bass.whatChanged(before: .setup(setup: "stage"), after: .today)
    for part in changed.parts { print(part.part, part.verdict, part.change.text) }
    for sentence in changed.sentences { print(sentence) }
    // end
    #expect(!changed.parts.isEmpty)
  }

  @Test func task13() async throws {
    let (_, bass) = try bench()
    try await bass.addClimate(climate: Climate(humidity: "45 %", hoursThere: 48))
    try await bass.addPassText(quantity: relief, text: "10", tool: .feelerThou)
    // task 13
    for sentence in try await bass.learned().sentences { print(sentence) }
    let dry = ForecastClimate(name: "the dry tour", humidityPercent: 25)
    do {
      let forecast = try await bass.forecast(climates: [dry], setup: "stage")
      for sentence in forecast.sentences { print(sentence) }
    } catch FallawayError.badInput(_, let reason, _, _, _, _) {
      print(reason)  // no season is known yet
    }
    // end
  }

  @Test func task14() async throws {
    let (_, bass) = try bench()
    let gauges: [Entered] = [".045 in", ".065 in", ".085 in", ".105 in"]
    try await bass.addStringChange(
      change: StringChange(
        fitted: gauges.enumerated().map { at, gauge in
          FittedString(
            place: StringPlace(course: Int(at + 1)), string: StringSpec(gauge: gauge))
        }))
    // task 14
    for known in try await bass.fretFindings() { print(known.text) }
    let touch = Touch(forceN: 1, direction: .towardBoard)
    let model = try await bass.clearanceModel(touch: touch)
    var answer = model.opened()
    for rise in [0.2, 0.4] {
      let tightest = answer.strings[Int(answer.limitingString)]
      print(tightest.name, tightest.smallest.marginMm, tightest.buzzes, "then \(rise) mm higher")
      let saddles = ClearanceWhatIf(saddleRisesMm: Array(repeating: rise, count: 4))
      answer = try await model.ask(touch: touch, whatIf: saddles)
    }
    // end
  }

  @Test func task15() async throws {
    let (_, bass) = try bench()
    // task 15
    var page = HistoryFilter(last: 30)
    while true {
      let entries = try await bass.history(filter: page)
      guard let first = entries.first else { break }
      for entry in entries.reversed() { print(entry.at.date, entry.text) }
      page.before = first.id
    }
    // end
  }

  @Test func task16() async throws {
    let (_, bass) = try bench()
    // task 16
    try await bass.addPassText(quantity: relief, text: "21", tool: .feelerThou)
    print(try await bass.undoable() ?? [])  // for the menu; nil if there is nothing
    let undone = try await bass.undo()
    for line in undone.lines { print(line.text, line.how) }
    _ = try await bass.redo()
    // end
    // task 16
    let first = try await bass.history()[0]
    _ = try await bass.retract(entry: first.id, reason: "on the wrong instrument")
    // end
    #expect(!undone.lines.isEmpty)
  }

  @Test func task17() async throws {
    let (workshop, bass) = try bench()
    // task 17
    try await workshop.archiveInstrument(id: bass.id)  // out of the list, with all that it holds
    try await workshop.bringBackInstrument(id: bass.id)
    try await workshop.removeFromThisDevice(id: bass.id)  // off this device
    // end
    #expect(try await workshop.instruments().isEmpty)
  }

  @Test func task18() async throws {
    let (workshop, bass) = try bench()
    // task 18
    let changes = try workshop.changes()
    let screen = Task {
      for await ids in changes where ids.contains(bass.id) {
        print("draw again:", try await bass.card(setup: "stage").lines.count, "lines")
        break
      }
    }
    // end
    try await bass.addRemark(text: "seen")
    try await screen.value
  }

  @Test func task19() async throws {
    let (_, bass) = try bench()
    // task 19
    let own = DispatchQueue(label: "workshop")
    let plan = try await bass.plan(setup: "stage", on: own)
    let card = try await bass.card(setup: "stage")  // on the library's own queue
    // end
    #expect(!plan.text.isEmpty && !card.lines.isEmpty)
  }

  @Test func task20() async throws {
    let (workshop, bass) = try bench()
    // task 20
    try await workshop.pause()  // inside beginBackgroundTask
    // end
    #expect(try await bass.name() == "walnut bass")
  }

  @Test func task21() async throws {
    let base = try Folder()
    let folder = base.url.appendingPathComponent("workshop")
    let copy = base.url.appendingPathComponent("bench.backup")
    let files = FileManager.default
    let workshop = try await Workshop.open(folder: folder, label: "tech")
    _ = try await workshop.addInstrument(template: "bass-4", name: "walnut bass")
    // task 21
    try backUp(folder: folder.path, file: copy.path)
    // end
    try await workshop.shutDown()
    for name in try files.contentsOfDirectory(atPath: folder.path) where name != "keys" {
      try files.removeItem(at: folder.appendingPathComponent(name))
    }
    // task 21
    try restore(file: copy.path, folder: folder.path)
    do {
      let restored = try await Workshop.open(folder: folder, label: "tech")
      for notice in try await restored.notices() { print(notice.text) }
      // end
      #expect(try await restored.instruments().map(\.name) == ["walnut bass"])
      try await restored.shutDown()
      // task 21
    } catch FallawayError.keys(let reason, _) {
      print(reason)  // locked: try again later; lost: ask somebody to invite this device
    }
    // end
  }

  @Test func task22() async throws {
    let (_, bass) = try bench()
    let notebook =
      "day,relief (feeler 1 thou),action (rule 1/64)\n"
      + "2025-06-01T12:00Z,12,5 5 5 6\n2025-12-01T12:00Z,17,6 6 6 7\n"
    // task 22
    let report = try await bass.checkTable(table: notebook)  // writes nothing
    for it in report.problems { print("row \(it.row), \(it.column): \(it.reason)") }
    for it in report.doubts { print("Is that right? row \(it.row): \(it.doubt.reason)") }
    let sure = ImportOptions(by: "tech", accept: report.doubts.map(\.doubt))
    try await bass.importTable(table: notebook, options: sure)  // all of it, or nothing
    // end
    #expect(try await bass.history().contains { $0.at.unixS == 1_764_590_400 })
  }

  @Test func task23() async throws {
    // task 23
    final class Clock: TimeSource, @unchecked Sendable {
      var unixS: Int64 = 1_780_000_000
      func now() throws -> Moment { Moment(unixS: unixS, offsetMin: 60) }
    }
    let clock = Clock()
    let workshop = try await Workshop.inMemory(label: "tech", time: clock)
    let bass = try await workshop.addInstrument(template: "bass-4", name: "walnut bass")
    try await bass.addPassText(quantity: relief, text: "12", tool: .feelerThou)
    clock.unixS += 90 * 86_400  // a season later
    let last = try await bass.card().lines.first?.last
    // end
    #expect(last?.at.unixS == 1_780_000_000)
  }

  @Test func task24() async throws {
    func draw(_ card: Card) { #expect(!card.lines.isEmpty) }
    // task 24
    let preview = try await Workshop.inMemory(label: "preview")
    let bass = try await preview.addInstrument(template: "bass-4", name: "walnut bass")
    try await bass.addPassText(quantity: action, text: "5 5 5 6", tool: .rule64)
    draw(try await bass.card())
    // end
  }

  @Test func task25() async throws {
    let base = try Folder()
    let folder = base.url.appendingPathComponent("workshop")
    // task 25
    let app = try await Workshop.open(folder: folder, label: "tech")
    let widget = try await Workshop.open(folder: folder, label: "tech")
    _ = try await app.addInstrument(template: "bass-4", name: "walnut bass")
    try await widget.instrumentNamed(name: "walnut bass").addRemark(text: "from the widget")
    let bass = try await app.instrumentNamed(name: "walnut bass")
    print(try await bass.history(filter: HistoryFilter(last: 1)).map(\.text))
    // end
    try await app.shutDown()
    try await widget.shutDown()
  }

  @Test func task26() async throws {
    let (_, bass) = try bench()
    let other = try await Workshop.inMemory(label: "player", time: Ticking(from: 1_780_100_000))
    // task 26
    let invitation = try await bass.invite(role: .contributor, validDays: 7)
    print(invitation.words)  // to be read out, or as a code: invitation.code
    let everything = try await bass.bundleOut()

    // On the other device, with the words and the file:
    print(try lookAtInvitation(invitation: invitation.words, bundle: everything.file).name)
    let shared = try await other.accept(invitation: invitation.words, bundle: everything.file)
    try await bass.delivered(token: everything.token)  // not before: a share may be cancelled

    // Later, what was written since:
    try await bass.addRemark(text: "new strings on Friday")
    print(try await bass.unsent(), "not sent yet")
    if let news = try await bass.bundleUnsent() {  // nil if there is nothing
      try await bass.delivered(token: news.token)
    }
    // end
    #expect(try await shared.name() == "walnut bass")
    #expect(try await bass.unsent() == 0)
  }

  @Test func task27() async throws {
    let (workshop, bass) = try bench()
    let (_, shared) = try join(bass, as: "player")
    try await shared.addRemark(text: "plays well")
    let received = try await shared.bundleOut().file
    // task 27
    let report = try await workshop.bundleIn(bytes: received)
    for added in report.added {
      print(added.device, added.entries.map { "\($0.count) \($0.kind)" })
    }
    print(report.peopleAdded, report.waiting, report.newlyContested.count)
    // end
    #expect(report.peopleAdded == ["player"])
  }

  @Test func task28() async throws {
    let (workshop, bass) = try bench()
    let theirs = try join(bass, as: "player")
    try exchange((workshop, bass), theirs)
    try await bass.setSpec(field: .about(text: "the walnut one"))
    try await theirs.bass.setSpec(field: .about(text: "my spare"))
    try exchange((workshop, bass), theirs)
    #expect(try await bass.contested().count == 1)
    // task 28
    for field in try await bass.contested() {
      print(field.label)
      for version in field.versions { print(version.shown, version.device, version.at.date) }
      try await bass.settle(shown: field, keep: field.versions[0].id)
    }
    // end
    #expect(try await bass.contested().isEmpty)
  }

  @Test func task29() async throws {
    // Other tests run beside this one, and the language is the process's: so it stays English, and high strings first.
    let (workshop, bass) = try bench()
    // task 29
    print(languages())
    var wishes = try await workshop.preferences()
    wishes.language = "en"
    wishes.lowFirst = false
    try await workshop.setPreferences(preferences: wishes)
    print(try await bass.plan(setup: "stage").text)
    // end
  }

  @Test func task30() async throws {
    let base = try Folder()
    let folder = base.url.appendingPathComponent("workshop")
    // task 30
    final class Log: LogSink {
      func log(level: LogLevel, line: String) throws { print(level, line) }
    }
    let workshop = try await Workshop.open(folder: folder, label: "tech", log: Log())
    do {
      _ = try await workshop.instrumentNamed(name: "ash")
    } catch FallawayError.notFound(_, _, let accepted, _) {
      print(accepted)
    } catch let error as FallawayError {
      print(error.localizedDescription)
    }
    print(version(), try await workshop.diagnostics())
    // end
    try await workshop.shutDown()
  }

  @Test func task31() async throws {
    let (_, bass) = try bench()
    let folder = try Folder()
    // task 31
    let page = try await bass.sheet(kind: .customer)  // of the last visit
    print(page.title, page.subtitle, page.text)
    let file = folder.url.appendingPathComponent("sheet.html")
    try page.html.write(to: file, atomically: true, encoding: .utf8)
    // end
    #expect(page.html.contains("walnut bass"))
  }

  @Test func task32() async throws {
    let (_, bass) = try bench()
    // task 32
    let shown = try await bass.planDrawn(setup: "stage")
    print(shown.plan.text, shown.turns.map(\.title))
    let neck = try await bass.drawNeck()
    for mark in neck.marks {  // look(theme: .light) has colours and lines for the canvas
      switch mark.shape {
      case .line(let places, _): print(mark.role, places)
      default: print(mark.role, mark.shape)
      }
    }
    print(neck.sentences.joined(separator: "\n"))  // for accessibilityLabel
    // end
    #expect(try await bass.plan(setup: "stage") == shown.plan)
  }

  @Test func task33() async throws {
    let (workshop, bass) = try bench()
    // task 33
    let file = try await bass.export()
    let table = try await bass.exportTable()
    let again = try await workshop.importRecord(file: file, name: "walnut bass, again")
    // end
    #expect(try await again.history().count == bass.history().count)
    #expect(try await bass.checkTable(table: table).problems.isEmpty)
  }

  @Test func task34() async throws {
    let (workshop, bass) = try bench()
    // task 34
    try await bass.setCustomer(customer: Customer(name: "player"))
    let now = Date()
    let due = Moment(now.addingTimeInterval(7 * 86_400))
    _ = try await bass.keepJob(job: Job(what: "dress the frets", begun: Moment(now), due: due))
    for one in try await workshop.openWork() {  // of all instruments, what is due first
      print(one.name, one.customer?.name ?? "", one.job.what, one.job.due?.date ?? now)
    }
    let job = try await bass.jobs()[0]
    let done = Job(
      what: job.what, begun: job.begun, number: job.number, due: job.due, done: Moment(now),
      minutes: 90)
    _ = try await bass.keepJob(job: done)
    // end
    #expect(try await workshop.openWork().isEmpty)
  }

  @Test func task35() async throws {
    let (workshop, bass) = try bench()
    try await bass.addRemark(text: "fret 3 is worn")
    // task 35
    for found in try await workshop.search(text: "worn") {
      print(found.name, found.foundIn, found.text)
    }
    // end
    #expect(try await workshop.search(text: "WORN").map(\.name) == ["walnut bass"])
  }

  @Test func task36() async throws {
    let (_, bass) = try bench()
    let address = "http://127.0.0.1:9"  // nobody answers there
    // task 36
    try await bass.setRelay(url: address)  // for everybody who shares the instrument
    let report = try await bass.sync(http: URLSessionTransport())
    for sentence in report.sentences { print(sentence) }
    if case .later(_, let waitMs) = report.outcome {
      print("again in", waitMs, "ms, or when the network is back")
    }
    print(try await bass.relay()?.text ?? "no relay")  // how much waits here for the others
    // end
    #expect(!report.sentences.isEmpty)
  }

  @Test func task37() async throws {
    let (workshop, bass) = try bench()
    let other = try await Workshop.inMemory(label: "player", time: Ticking(from: 1_780_100_000))
    let invitation = try await bass.invite(role: .contributor, validDays: 7)
    // task 37
    // Where one listens, on every address of the device; its person is shown address and digits.
    let listener = try SocketListener()
    let digits = try await workshop.meetingDigits()
    let listening = Task.detached {
      let stream = try listener.accept()
      let report = try await workshop.meet(
        stream: stream, options: MeetOptions(listens: true, digits: digits))
      stream.end()
      return report
    }

    // Where the other one comes, who has been told both, and the words of an invitation.
    let stream = try SocketStream(host: "127.0.0.1", port: listener.port)
    let report = try await other.meet(
      stream: stream,
      options: MeetOptions(listens: false, digits: digits, invitation: invitation.words))
    stream.end()
    for one in report.met { for sentence in one.sentences { print(sentence) } }
    // end
    _ = try await listening.value
    let theirs = try await other.instrumentNamed(name: "walnut bass")
    #expect(theirs.id == bass.id)
  }

  @Test func task38() async throws {
    let (_, bass) = try bench()
    // task 38
    let then = try Date("2026-01-05T10:00:00Z", strategy: .iso8601)
    let owner = WriteOptions(at: Moment(then), by: "owner")
    let bought = try await bass.addRemark(text: "bought used", options: owner)
    try await bass.setSpec(field: .about(text: "of walnut"), options: owner)
    for fact in try await bass.factsWritten() {
      print(fact.key, fact.at, fact.by ?? "", fact.device)
    }
    for event in try await bass.details().peopleHistory {
      print(event.at, event.text)
    }
    // end
    #expect(try await bass.details().peopleHistory.map(\.deed) == [.founded])
    let entry = try await bass.entry(id: bought)
    #expect(entry.at == owner.at && entry.by == "owner")
  }
}
