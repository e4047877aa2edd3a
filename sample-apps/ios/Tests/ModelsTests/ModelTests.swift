import Fallaway
import Foundation
import Testing

@testable import Models

/// The view models, without a phone.
@MainActor
@Suite(.serialized)
struct ModelTests {
  @Test(
    "the scripted days show what is recorded, on this phone as on the other kind",
    arguments: ["en", "de"])
  func days(_ language: String) async throws {
    let steps = try #require(try Days.read().languages[language])
    let playing = try await Playing(language)
    var looked = 0
    for step in steps {
      let phone = try await playing.play(step)
      let what = "\(language) \(step.at) \(step.phone) \(step.do) \(step.on ?? "")"
      try #require(phone.pages.last?.name == step.screen, "\(what)")
      wellMade(phone.shown, what)
      guard let expected = step.elements else { continue }
      looked += 1
      let shown = phone.shown.map { Days.Shown($0) }
      #expect(shown.map(\.id) == expected.map(\.id), "\(what)")
      for (seen, was) in zip(shown, expected) { #expect(seen == was, "\(what)") }
    }
    #expect(looked > 50)
  }

  /// What a screen reader needs of every screen.
  private func wellMade(_ shown: [Element], _ what: String) {
    #expect(Set(shown.map(\.id)).count == shown.count, "\(what): an id is there twice")
    #expect(shown.filter(\.main).count <= 1, "\(what): two things are the main one")
    for one in shown {
      #expect(!one.spoken.isEmpty, "\(what): \(one.id) has no name")
      if one.role == .drawing {
        #expect(one.detail?.isEmpty == false, "\(what): \(one.id) says nothing")
      }
      if one.chosen && [.choice, .toggle, .tab].contains(one.role) {
        #expect(one.state?.isEmpty == false, "\(what): \(one.id) is chosen without a word")
      }
      if one.role == .slider { #expect(one.travel != nil, "\(what): \(one.id) goes nowhere") }
      #expect(!one.spoken.contains("$@"), "\(what): \(one.id) has an unfilled part")
    }
  }

  @Test("what was typed is there after the process was ended")
  func restored() async throws {
    let steps = try #require(try Days.read().languages["en"])
    let playing = try await Playing("en")
    for step in steps.prefix(while: { $0.on != "key.7" }) { _ = try await playing.play(step) }
    let phone = try playing.phone("tech")
    #expect(phone.shown.contains { $0.role == .cell && $0.value == "6/64 in" })
    let texts = try Catalogue.read("en")
    let again = Phone(workshop: phone.workshop, texts: { _ in texts }, now: phone.now)
    await again.restore(phone.kept())
    #expect(again.shown.map(\.spoken) == phone.shown.map(\.spoken))
  }

  @Test("whatever is typed on any screen outlives the process, also beneath another one")
  func typedOutlives() async throws {
    let steps = try #require(try Days.read().languages["en"])
    let playing = try await Playing("en")
    var typed: Set<String> = []
    for step in steps {
      let phone = try await playing.play(step)
      if step.elements != nil { try await walk(phone, &typed) }
    }
    let tech = try playing.phone("tech")
    while tech.deeper { await tech.tap("back") }
    for number in 1...8 {
      _ = try await tech.workshop.addInstrument(template: "bass-4", name: "bass \(number)")
    }
    await tech.changed()
    await tech.type("search", "bass")
    await tech.tap("instrument.1")
    try await walk(tech, &typed)
    await tech.tap("back")
    try await walk(tech, &typed)
    // Every field and slider that there is.
    let folder = checkout("sample-apps/ios/Sources/Models")
    let files = try FileManager.default.contentsOfDirectory(
      at: folder, includingPropertiesForKeys: nil)
    var all: Set<String> = []
    for file in files {
      let code = try String(contentsOf: file, encoding: .utf8)
      let fields = code.matches(of: #/"([a-z_]+)(?:\.[^"]*)?", \.field/#)
      let sliders = code.matches(of: #/slider\(\s*"([a-z]+)"/#)
      for found in fields + sliders { all.insert(String(found.output.1)) }
    }
    #expect(typed == all)
  }

  /// Types into every field of a screen on a phone of its own, and ends the process of that.
  private func walk(_ seen: Phone, _ typed: inout Set<String>) async throws {
    let texts = try Catalogue.read("en")
    func begun(_ kept: [String: String]) async -> Phone {
      let phone = Phone(
        workshop: seen.workshop, texts: { _ in texts }, now: seen.now, http: seen.http,
        nearby: seen.nearby)
      await phone.restore(kept)
      return phone
    }
    let here = await begun(seen.kept())
    // What a file brought is in the record: nobody comes back to it. Who waits for another phone
    // has typed nothing.
    let waits = seen.shown.contains { $0.id == "waiting" }
    if seen.screen.name == "received" || waits { return }
    #expect(here.screen.name == seen.screen.name)
    #expect(typedOn(here) == typedOn(seen), "\(seen.screen.name)")
    if let id = Self.chosen[here.screen.name] {
      let there = here.shown.contains { $0.id == id && $0.touch }
      if there { await here.tap(id) }
    }
    for one in here.shown {
      if one.role == .field {
        await here.type(one.id, "7")
      } else if one.role == .slider, let travel = one.travel {
        await here.type(one.id, "\(travel.from + travel.step)")
      } else {
        continue
      }
      typed.insert(one.id.split(separator: ".").first.map(String.init) ?? one.id)
    }
    let after = await begun(here.kept())
    // It may lie beneath others.
    while true {
      #expect(after.screen.name == here.screen.name)
      #expect(typedOn(after) == typedOn(here), "\(here.screen.name)")
      if !here.deeper { return }
      await here.tap("back")
      await after.tap("back")
    }
  }

  /// What a person has typed, or chosen.
  private func typedOn(_ phone: Phone) -> [[String]] {
    let typed: [Element.Role] = [.field, .cell, .slider, .choice, .number]
    return phone.shown.filter { typed.contains($0.role) }
      .map { [$0.id, $0.value ?? "", "\($0.chosen)"] }
  }

  /// What can be chosen without writing it down, by its screen.
  private static let chosen = [
    "add": "template.bass-4", "note": "string.2", "settle": "value.1.1", "sheet": "kind.bench",
    "could_not": "reason.2", "otherwise": "anticlockwise", "plan": "wait",
    "facts": "rod.one_way",
  ]

  @Test("where nothing was read yet a page says so and leads there", arguments: ["en", "de"])
  func first(_ language: String) async throws {
    let phone = try await Playing(language).phone("tech")
    await phone.tap("add")
    await phone.type("name", "walnut four")
    for id in ["template.bass-4", "save", "tab.history", "draw"] { await phone.tap(id) }
    #expect(phone.shown.contains { $0.id == "not_drawn" })
    #expect(!phone.shown.contains { $0.id == "drawing" })
    for id in ["tab.plan", "targets"] { await phone.tap(id) }
    await phone.type("name", "mine")
    await phone.tap("add")
    await phone.type("target.1", "0.30 mm")
    await phone.type("within.1", "0.05 mm")
    for id in ["save", "back"] { await phone.tap(id) }
    for page in ["clearance", "changed"] {
      for id in ["tab.more", page] { await phone.tap(id) }
      let wanted = ["title", "missing", "first.facts", "first.read"]
      #expect(phone.shown.map(\.id) == wanted, "\(page)")
      for id in ["first.facts", "back", "first.read"] { await phone.tap(id) }
      #expect(phone.pages.map(\.name) == ["instruments", "read"])
    }
  }

  @Test("what fingers do is done in their order, whatever it waits for")
  func order() async throws {
    let playing = try await Playing("en")
    let phone = try playing.phone("tech")
    phone.tapped("add")
    phone.wrote("name", "first")
    phone.wrote("name", "blue five")
    phone.tapped("template.bass-5")
    phone.tapped("save")
    phone.tapped("tab.more")
    await withCheckedContinuation { done in phone.hand { _ in done.resume() } }
    #expect(phone.pages.map(\.name) == ["instruments", "more"])
    phone.tapped("back")
    await withCheckedContinuation { done in phone.hand { _ in done.resume() } }
    #expect(phone.shown.contains { $0.text == "blue five" })
  }

  @Test("time to finish is asked for around whatever a finger does, and given back")
  func timeToFinish() async throws {
    let playing = try await Playing("en")
    let phone = try playing.phone("tech")
    var (asked, givenBack) = (0, 0)
    phone.whileWorking = {
      asked += 1
      return { givenBack += 1 }
    }
    phone.tapped("add")
    phone.wrote("name", "blue five")
    phone.tapped("save")
    #expect(asked == 3)
    await withCheckedContinuation { done in phone.hand { _ in done.resume() } }
    while givenBack < 4 { await Task.yield() }
    #expect(asked == 4)
  }

  @Test("strings are put on from a set of the shop or by gauge, and what was refused stays typed")
  func strings() async throws {
    let phone = try await Playing("en").phone("tech")
    let wound = [".045", ".065", ".085", ".105"].map {
      StringSpec(gauge: Entered(text: $0 + " in"), construction: .roundWound)
    }
    try await phone.workshop.keepStringSet(set: StringSet(name: "shop medium", strings: wound))
    await phone.tap("add")
    await phone.type("name", "loan bass")
    for id in ["template.bass-4", "save", "tab.more", "strings", "kept.1"] { await phone.tap(id) }
    await phone.type("gauge.1", "1,1 mm")
    await phone.type("gauge.2", ",070")
    await phone.tap("save")
    let on = try await phone.instrument().details().spec.strings
      .sorted { $0.place.course < $1.place.course }
    #expect(on.map(\.string.gauge?.text) == ["1.1 mm", "0.070 in", "0.085 in", "0.105 in"])
    #expect(on.last?.string.construction == .roundWound)
    await phone.type("gauge.1", "40 mm")
    await phone.tap("save")
    #expect(phone.shown.contains { $0.id == "problem" })
    #expect(phone.shown.contains { $0.id == "gauge.1" && $0.value == "40 mm" })
  }

  @Test("whoever comes with an invitation that was used is told, as on the other kind of phone")
  func usedInvitation() async throws {
    var phones: [String: Phone] = [:]
    for label in ["tech", "player", "friend"] {
      let workshop = try await Workshop.inMemory(label: label)
      try await workshop.setPreferences(preferences: Preferences(language: "en"))
      let texts = try Catalogue.read("en")
      let now = { Moment(unixS: 1_759_737_600, offsetMin: 60) }
      phones[label] = Phone(workshop: workshop, texts: { _ in texts }, now: now)
      await phones[label]?.start()
    }
    func file(_ id: String, of phone: Phone) async throws -> Data {
      await phone.tap(id)
      guard case .share(_, let bytes)? = phone.nextEffect() else {
        throw Playing.Stuck(description: "no file is handed over")
      }
      await phone.handedOver()
      return bytes
    }
    let tech = try #require(phones["tech"])
    await tech.tap("add")
    await tech.type("name", "loan bass")
    for id in ["save", "tab.more", "people", "invite.contributor"] { await tech.tap(id) }
    let words = try #require(tech.shown.first { $0.id == "words" }).text
    let invitation = try await file("file", of: tech)
    var answers: [Data] = []
    for label in ["player", "friend"] {
      let phone = try #require(phones[label])
      await phone.tap("join")
      await phone.type("words", words)
      await phone.receive(invitation)
      for id in ["join", "tab.more", "send"] { await phone.tap(id) }
      answers.append(try await file("all", of: phone))
    }
    for answer in answers { await tech.receive(answer) }
    func told() -> [Element.Role] { tech.shown.filter { $0.id == "second.1" }.map(\.role) }
    #expect(told() == [.caution])
    for id in ["open", "tab.more", "people"] { await tech.tap(id) }
    #expect(told() == [.caution])
    // Which of the two is let in is not for this test to say.
    let said = try #require(tech.shown.first { $0.id == "second.1" }).text.lowercased()
    #expect(said.contains("friend") && said.contains("player"), "\(said)")
  }

  @Test("the instrument with work stands first")
  func work() async throws {
    let phone = try await Playing("en").phone("tech")
    for name in ["first", "second", "third"] {
      await phone.tap("add")
      await phone.type("name", name)
      for id in ["template.bass-4", "save", "back"] { await phone.tap(id) }
    }
    let second = try #require(try await phone.workshop.instruments().first { $0.name == "second" })
    let bass = try await phone.workshop.instrument(id: second.id)
    _ = try await bass.keepJob(job: Job(what: "new nut", begun: phone.now()))
    await phone.changed()
    let rows = phone.shown.filter { $0.role == .row }
    #expect(rows.first?.text == "second")
    #expect(rows.map(\.state) == ["one job open", nil, nil])
  }

  @Test("a back-bow is typed, with the key for numbers below zero", arguments: ["en", "de"])
  func backBow(_ language: String) async throws {
    let phone = try await Playing(language).phone("tech")
    let point = language == "en" ? "." : ","
    func tap(_ ids: String...) async throws {
      for id in ids {
        try #require(
          phone.shown.contains { $0.id == id && $0.touch }, "\(id) on \(phone.screen.name)")
        await phone.tap(id)
      }
    }
    func cell() -> String? { phone.shown.first { $0.id == "cell.1" }?.value }
    func relief() -> String? { phone.shown.first { $0.role == .number }?.value }
    func there(_ id: String) -> Bool { phone.shown.contains { $0.id == id } }
    try await tap("add")
    await phone.type("name", "walnut four")
    try await tap("template.bass-4", "save", "tab.read", "tool", "tool.5")
    // The sign may come first, last or between, and goes away as it came.
    try await tap("key.minus", "key.0", "key.point", "key.1", "key.5")
    #expect(cell() == "\u{2212}0\(point)15 mm")
    try await tap("key.minus")
    #expect(cell() == "0\(point)15 mm")
    try await tap("key.minus", "save", "tab.numbers")
    #expect(relief() == "\u{2212}0\(point)15 mm")

    // A sign alone is no number, and not what is skipped.
    try await tap("tab.read", "tool", "tool.5", "key.skip", "key.minus")
    #expect(cell() == "\u{2212}")
    try await tap("save")
    #expect(there("problem"))
    #expect(cell() == "\u{2212}")
    try await tap("key.minus")
    #expect(cell() == "" && !there("save"))

    // On a rule it is the reading that was typed last, and ½ a mark further from zero.
    try await tap("tool", "tool.1", "key.1", "key.minus", "key.half")
    let mark = try #require(cell())
    #expect(mark.hasPrefix("\u{2212}1\(point)5/64"), "\(mark)")
    try await tap("key.minus")
    #expect(cell() == String(mark.dropFirst()))
    try await tap("key.back", "key.minus", "key.1", "key.half")
    #expect(cell() == mark)
    try await tap("save", "sure", "tab.numbers")
    #expect(relief() == mark)

    try await tap("tab.read")
    #expect(there("key.minus"))
    try await tap("quantity.2", "tool", "tool.1")
    #expect(!there("key.minus"), "no action is below zero")
  }

  @Test("targets are set of what was never read, and outlive the process")
  func otherTargets() async throws {
    let phone = try await Playing("en").phone("tech")
    await phone.tap("add")
    await phone.type("name", "walnut four")
    for id in ["template.bass-4", "save", "tab.more", "setups"] { await phone.tap(id) }
    await phone.type("name", "mine")
    for id in ["add", "others"] { await phone.tap(id) }
    let offered = phone.shown.filter { $0.id.hasPrefix("other.") }
    #expect(offered.count == 9)
    for (number, one) in offered.enumerated() {
      if number > 0 { await phone.tap("others") }
      await phone.tap(one.id)
      let last = try #require(phone.shown.lastIndex { $0.id.hasPrefix("quantity.") })
      #expect(phone.shown[last].text == one.text)
      for field in phone.shown[last...].filter({ $0.role == .field }) {
        await phone.type(field.id, one.text.contains("Intonation") ? "2 cents" : "2 mm")
      }
    }
    let texts = try Catalogue.read("en")
    let again = Phone(workshop: phone.workshop, texts: { _ in texts }, now: phone.now)
    await again.restore(phone.kept())
    #expect(again.shown.map(\.spoken) == phone.shown.map(\.spoken))
    // What is unusual on a bass is asked about, all of it at once.
    for id in ["save", "correct", "save", "sure"] { await phone.tap(id) }
    #expect(phone.shown.contains { $0.id == "saved" })
    #expect(!phone.shown.contains { $0.id == "others" })
    let lines = try await phone.instrument().card(setup: phone.setup).lines
    #expect(Set(lines.filter { $0.target != nil }.map(\.quantityText)).count == 9)
  }

  @Test("every fact can be entered, and the air noted, as on the other kind of phone")
  func everyFact() async throws {
    let phone = try await Playing("en").phone("tech")
    func facts() async throws -> [String: String] {
      let spec = try await phone.instrument().details().spec
      let pairs = Mirror(reflecting: spec).children.map { ($0.label ?? "", "\($0.value)") }
      return Dictionary(uniqueKeysWithValues: pairs)
    }
    await phone.tap("add")
    await phone.type("name", "red six")
    for id in ["template.guitar-6", "save", "facts"] { await phone.tap(id) }
    let before = try await facts()
    for one in phone.shown where one.role == .toggle { await phone.tap(one.id) }
    let offered = phone.shown.filter { $0.role == .choice }
    let choices = offered.grouped { $0.id.split(separator: ".")[0] }
    for group in choices {
      if let other = group.first(where: { !$0.chosen }) { await phone.tap(other.id) }
    }
    let values = [
      "name": "red one", "about": "with a strap", "tuning": "D4", "concert_pitch": "442",
      "nut_spread": "42", "trees": "1 2", "scale": "24.75", "scale_low": "25.25", "frets": "21",
      "crown": "1.1", "joint": "15", "radius": "10", "radius_end": "16", "bridge_spread": "51",
      "springs": "4", "pickups": "3", "thread": "#4-40", "fits": "2 mm hex",
    ]
    for one in phone.shown where one.role == .field {
      let kind = one.id.split(separator: ".").first.map(String.init) ?? one.id
      if kind == "tuning" && one.id != "tuning.1" { continue }
      await phone.type(one.id, try #require(values[kind]))
    }
    await phone.type("thread.claw", "1.8")
    await phone.tap("save")
    if phone.shown.contains(where: { $0.id == "sure" }) { await phone.tap("sure") }
    #expect(phone.shown.contains { $0.id == "saved" }, "\(phone.shown.map(\.spoken))")
    let after = try await facts()
    // What the template is, what has a page of its own, and what is no fact.
    let left = Set(before.keys.filter { before[$0] == after[$0] })
    #expect(left == ["family", "courses", "strings", "places", "newerFacts"])
    let spec = try await phone.instrument().details().spec
    #expect(spec.frets?.height?.text == "1.1 mm" && spec.rod?.access != nil)

    await phone.tap("back")
    for id in ["tab.more", "note"] { await phone.tap(id) }
    await phone.type("temperature", "122 °F")
    await phone.type("humidity", "45")
    for id in ["save_climate", "correct", "save_climate", "sure"] { await phone.tap(id) }
    let entries = try await phone.instrument().history(filter: HistoryFilter())
    let airs = entries.compactMap { entry -> Climate? in
      if case .climateNoted(let climate) = entry.body { climate } else { nil }
    }
    #expect(airs.map(\.humidity?.text) == ["45%"])
  }

  @Test("the list beside what is open is as new as what is written")
  func listBeside() async throws {
    let playing = try await Playing("en")
    let phone = try playing.phone("tech")
    await phone.tap("add")
    await phone.type("name", "loan bass")
    await phone.tap("save")
    func row() -> String? { phone.pages[0].elements.first { $0.id == "instrument.1" }?.detail }
    #expect(row() == "last entry 1970-01-01")
    for id in ["tab.more", "note"] { await phone.tap(id) }
    await phone.type("remark", "hums")
    _ = try await playing.play(
      Days.Step(
        at: 1_759_737_600, phone: "tech", do: "tap", on: "save", with: nil, screen: "note",
        elements: nil))
    #expect(row() == "last entry 2025-10-06")
  }

  @Test("letters stay as large as was chosen")
  func letters() async throws {
    let phone = try await Playing("en").phone("tech")
    await phone.tap("settings")
    await phone.tap("size.160")
    let texts = try Catalogue.read("en")
    let again = Phone(workshop: phone.workshop, texts: { _ in texts }, now: phone.now)
    await again.restore(phone.kept())
    #expect(again.looks.size == 160)
    #expect(again.shown.contains { $0.id == "size.160" && $0.chosen })
  }

  @Test("a note is called as it is in the language, and a length is written so")
  func notes() async throws {
    let phone = try await Playing("de").phone("tech")
    #expect(["B0", "Bb1", "E1"].map(phone.note) == ["H0", "B1", "E1"])
    #expect(phone.written("0.045 in") == "0,045 Zoll")
  }

  @Test("the catalogue holds every text in both languages, and no other")
  func texts() throws {
    let names = Set(Say.allCases.map(\.rawValue) + Count.allCases.map(\.rawValue))
    let there = try Catalogue.read("en").strings
    #expect(names.subtracting(there.keys) == [])
    for (name, entry) in there {
      #expect(Set(entry.localizations.keys) == ["en", "de"], "\(name)")
      for (language, one) in entry.localizations {
        let forms = one.variations?.plural.mapValues(\.stringUnit.value) ?? [:]
        let texts = [one.stringUnit?.value].compactMap { $0 } + forms.values
        #expect(!texts.isEmpty && !texts.contains(""), "\(language) \(name)")
        #expect(forms.isEmpty || Set(forms.keys) == ["one", "other"], "\(language) \(name)")
      }
    }
  }
}
