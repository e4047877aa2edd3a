import Fallaway

/// What moved since the setup was written down, and what does not explain it.
final class Changed: Screen {
  override var name: String { "changed" }
  private var changed: WhatChanged?
  private var drawn: Scene?
  private var none = false

  override func load() async throws {
    let instrument = try phone.instrument()
    var setup = phone.setup
    if setup == nil { setup = try await instrument.setups().first?.id }
    none = setup == nil
    guard let setup else { return }
    let both = try await instrument.changesDrawn(
      before: .setup(setup: setup), after: .today, width: .phone)
    changed = both.changed
    drawn = both.scene
  }

  override func body() -> [Element] {
    var shown = [title(.whatChanged)]
    if none { shown.append(Element("none", .text, say(.noSetupYet))) }
    let said = changed?.sentences ?? []
    if let drawn, drawn.shows { shown.append(drawing("drawing", drawn, besides: said)) }
    for (at, text) in said.enumerated() {
      shown.append(Element("said.\(at + 1)", .text, text))
    }
    for (at, one) in (changed?.cautions ?? []).enumerated() {
      shown.append(Element("caution.\(at + 1)", .caution, one.text))
    }
    return shown
  }
}

/// The history, the newest first; what was wrong is crossed out and stays readable.
final class History: Screen {
  override var name: String { "history" }
  override var tab: Bool { true }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    ["cross", "bring_back", "undo"].contains(one.id) ? nil : one
  }

  private enum Only: String, CaseIterable {
    case all, read, done, said

    var words: Say {
      switch self {
      case .all: return .everything
      case .read: return .readings
      case .done: return .work
      case .said: return .remarks
      }
    }

    var kinds: [EntryKind] {
      switch self {
      case .all: return []
      case .read: return [.readings]
      case .done: return [.adjusted, .stringsChanged, .tuned]
      case .said: return [.remarked, .buzzed, .climateNoted]
      }
    }
  }

  private var only = Only.all
  private var entries: [HistoryEntry] = []
  private var older = false
  private var opened: HistoryEntry?
  private var drawn: Scene?
  private var draws = false

  private static let page = 30

  override func load() async throws {
    entries = []
    try await page()
    if draws { try await draw() }
  }

  private func page() async throws {
    let filter = HistoryFilter(kinds: only.kinds, before: entries.last?.id, last: Self.page)
    let page = try await phone.instrument().history(filter: filter)
    older = page.count == Self.page
    entries += page.reversed()
  }

  private func draw() async throws {
    let lines = try await phone.instrument().card(setup: phone.setup).lines
    let line = lines.first {
      if case .relief = $0.quantity { return true }
      return false
    }
    guard let line else {
      drawn = nil
      return
    }
    drawn = try await phone.instrument().drawHistory(
      quantity: line.quantity, location: .whole, setup: phone.setup, width: .phone)
  }

  override func body() -> [Element] {
    var shown = [title(.history)]
    for one in Only.allCases {
      shown.append(choice("only.\(one.rawValue)", say(one.words), one == only))
    }
    shown.append(toggle("draw", .drawRelief, draws))
    if draws {
      let what = drawn?.title ?? say(.relief)
      if let drawn, drawn.shows {
        shown += [heading("drawn", what), drawing("drawing", drawn)]
      } else {
        shown.append(Element("not_drawn", .text, what, value: say(.notRead)))
      }
    }
    if entries.isEmpty { shown.append(Element("empty", .text, say(.nothingYet).sentence)) }
    for (at, one) in entries.enumerated() {
      let here = one.id == opened?.id
      shown.append(
        Element(
          "entry.\(at + 1)", .row, said(one),
          detail: say(.whoAndWhen, one.who, phone.moment(one.at)),
          state: one.retracted.isEmpty ? nil : say(.crossedOut), touch: true, chosen: here))
      if here {
        if let why = one.retracted.last {
          shown.append(Element("reason", .text, say(.because, why.reason)))
          shown.append(button("bring_back", .bringBack))
        } else {
          shown.append(button("cross", .crossOut))
        }
      }
    }
    if older { shown.append(button("older", .showOlder)) }
    if !entries.isEmpty || only != .all { shown.append(button("undo", .undoLast)) }
    return shown
  }

  /// What somebody wrote stays as it was written.
  private func said(_ one: HistoryEntry) -> String {
    if case .remarked = one.body { return one.text }
    return one.text.sentence
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "older": try await page()
    case "draw":
      draws.toggle()
      if draws && drawn == nil { try await draw() }
    case "undo":
      _ = try await phone.instrument().undo()
      try await load()
    case "cross":
      guard let opened else { return }
      _ = try await phone.instrument().retract(entry: opened.id, reason: say(.aSlip))
      self.opened = nil
      try await load()
    case "bring_back":
      guard let opened else { return }
      _ = try await phone.instrument().bringBack(entry: opened.id)
      self.opened = nil
      try await load()
    default:
      if let chosen = id.after("only.").flatMap({ Only(rawValue: $0) }) {
        only = chosen
        try await load()
      }
      if let one = id.place("entry").flatMap({ entries.at($0) }) {
        opened = one.id == opened?.id ? nil : one
      }
    }
  }

  override func kept() -> [String: String] { ["only": only.rawValue, "draws": "\(draws)"] }

  override func restore(_ kept: [String: String]) async throws {
    only = kept["only"].flatMap { Only(rawValue: $0) } ?? only
    draws = kept["draws"] == "true"
    if only != .all || draws { try await load() }
  }
}

/// Two values that people wrote apart: both stand until somebody chooses.
final class Settle: Screen {
  override var name: String { "settle" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    one.role == .choice ? one.asLine : one.id == "keep" ? nil : one
  }

  private var fields: [ContestedField] = []
  private var chosen: VersionId?
  private var settled: String?

  override func load() async throws {
    fields = try await phone.instrument().contested()
    if !fields.contains(where: { $0.versions.contains { $0.id == chosen } }) { chosen = nil }
  }

  override func body() -> [Element] {
    var shown = [title(.twoValuesTitle)]
    if let settled { shown.append(Element("settled", .banner, settled)) }
    shown.append(
      fields.isEmpty
        ? Element("none", .text, say(.nothingToSettle))
        : Element("about", .text, say(.bothAreKept)))
    for (at, field) in fields.enumerated() {
      shown.append(heading("field.\(at + 1)", field.label))
      for (index, one) in field.versions.enumerated() {
        let here = one.id == chosen
        let states = [here ? say(.chosen) : nil, one.displayed ? say(.usedUntilSettled) : nil]
        shown.append(
          Element(
            "value.\(at + 1).\(index + 1)", .choice, one.shown,
            detail: say(.whoAndWhen, one.device, phone.momentHere(one.at)),
            state: states.compactMap { $0 }.joined(separator: ", ").unlessEmpty, chosen: here))
      }
    }
    if chosen != nil { shown.append(button("keep", .keepThis, main: true)) }
    return shown
  }

  override func touched(_ id: String) async throws {
    if let place = id.after("value.") {
      let parts = place.split(separator: ".").compactMap { Int($0) }
      if let field = parts.first, let value = parts.last {
        chosen = fields.at(field - 1)?.versions.at(value - 1)?.id
      }
    }
    if id == "keep", let keep = chosen {
      for field in fields {
        guard let version = field.versions.first(where: { $0.id == keep }) else { continue }
        try await phone.instrument().settle(shown: field, keep: keep)
        settled = say(.settled, field.label, version.shown)
      }
      try await load()
    }
  }

  override func kept() -> [String: String] { chosen.map { ["chosen": $0.text] } ?? [:] }

  override func restore(_ kept: [String: String]) async {
    chosen = fields.flatMap(\.versions).map(\.id).first { $0.text == kept["chosen"] }
  }
}
