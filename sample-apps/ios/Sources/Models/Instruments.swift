import Fallaway
import Foundation

/// The instruments of this device: first those with values to settle, then those with work, then the one used last.
final class Instruments: Screen {
  override var name: String { "instruments" }
  private var all: [InstrumentSummary] = []
  private var search = ""

  /// From so many on, a list is searched and not read.
  private static let searched = 8

  /// Those that are alike in all of it stay by name, as the core has them.
  override func load() async throws {
    let byName = try await phone.workshop.instruments().enumerated()
    all = byName.sorted {
      let (one, other) = ($0.element, $1.element)
      let waits = (one.contested > 0, other.contested > 0)
      if waits.0 != waits.1 { return waits.0 }
      let works = (Self.hasWork(one), Self.hasWork(other))
      if works.0 != works.1 { return works.0 }
      let used = (one.lastEntry?.unixS ?? 0, other.lastEntry?.unixS ?? 0)
      return used.0 == used.1 ? $0.offset < $1.offset : used.0 > used.1
    }
    .map(\.element)
  }

  private func found() -> [InstrumentSummary] {
    let wanted = search.trimmed.lowercased()
    return wanted.isEmpty ? all : all.filter { $0.name.lowercased().contains(wanted) }
  }

  override func body() -> [Element] {
    var shown = [title(.instruments)]
    if all.isEmpty { shown.append(Element("empty", .text, say(.noInstrument))) }
    if all.count >= Self.searched {
      shown.append(Element("search", .field, say(.search), value: search))
    }
    for (at, one) in found().enumerated() {
      shown.append(
        Element(
          "instrument.\(at + 1)", .row, one.name,
          detail: one.lastEntry.map { say(.lastEntry, phone.day($0)) } ?? say(.nothingYet),
          state: waits(one), touch: true))
    }
    if !all.isEmpty && found().isEmpty {
      shown.append(Element("none", .text, say(.noneFound, search)))
    }
    shown.append(button("add", .addInstrument, main: all.isEmpty))
    shown.append(button("join", .joinInstrument))
    shown.append(button("settings", .settings))
    return shown
  }

  private static func hasWork(_ one: InstrumentSummary) -> Bool {
    one.openWork > 0 || one.due != nil
  }

  private func waits(_ one: InstrumentSummary) -> String? {
    if one.contested > 0 { return phone.count(.twoValues, one.contested) }
    if one.openWork > 0 { return phone.count(.openWork, one.openWork) }
    if let due = one.due { return say(.dueSince, phone.day(due)) }
    if one.setAside > 0 { return phone.count(.aside, one.setAside) }
    return one.waiting > 0 ? phone.count(.waiting, one.waiting) : nil
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "add": await phone.go(Add(phone))
    case "join": await phone.go(Join(phone))
    case "settings": await phone.go(Settings(phone))
    default:
      if let one = id.place("instrument").flatMap({ found().at($0) }) {
        try await phone.open(one.id)
      }
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "search" { search = text }
  }

  override func kept() -> [String: String] { ["search": search] }

  override func restore(_ kept: [String: String]) async { search = kept["search"] ?? "" }
}

/// A new instrument, from one of the core's templates.
final class Add: Screen {
  override var name: String { "add" }
  private var all: [TemplateInfo] = []
  private var template = ""
  private var called = ""

  override func load() async {
    all = templates()
    if template.isEmpty { template = all.first?.id ?? "" }
  }

  override func body() -> [Element] {
    var shown = [title(.addInstrument), Element("name", .field, say(.itsName), value: called)]
    for one in all {
      let here = one.id == template
      shown.append(choice("template.\(one.id)", one.name, here).with(detail: one.summary))
    }
    shown.append(button("save", .add, main: true))
    return shown
  }

  override func touched(_ id: String) async throws {
    if let chosen = id.after("template.") { template = chosen }
    if id == "save" {
      let added = try await phone.workshop.addInstrument(template: template, name: called.trimmed)
      try await phone.openFromList(added.id)
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "name" { called = text }
  }

  override func kept() -> [String: String] { ["template": template, "name": called] }

  override func restore(_ kept: [String: String]) async {
    template = kept["template"] ?? template
    called = kept["name"] ?? ""
  }
}
