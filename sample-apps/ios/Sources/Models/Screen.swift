import Fallaway
import Foundation

/// One screen: what it shows, and what a tap or a typed text does. It decides everything; what draws it nothing.
@MainActor
public class Screen {
  unowned let phone: Phone

  /// What went wrong last, in words, until it is put aside.
  private var problem: String?

  /// What it rests on and nobody has read or written yet, in words: without that there is nothing else on it.
  private var missing: String?

  init(_ phone: Phone) {
    self.phone = phone
  }

  /// Names it, for the way back after the process was ended.
  public var name: String { "" }

  /// Whether it is one of the screens between which an instrument's tabs switch.
  public var tab: Bool { false }

  /// Whether something on it writes into the record: whoever may only read sees it without that, see
  /// ``forReader(_:)``.
  var writes: Bool { false }

  /// An element as somebody sees it who may only read; `nil` if it is nothing for them.
  func forReader(_ one: Element) -> Element? { one }

  /// Reads from the core what is shown: one call where one is enough.
  func load() async throws {}

  /// What stands on it, in the order of reading.
  func body() throws -> [Element] { [] }

  /// A tap on an element.
  func touched(_ id: String) async throws {}

  /// A text was typed into a field, or a slider moved.
  func typed(_ id: String, _ text: String) async throws {}

  /// The person went back from it.
  func left() async {}

  /// What was typed and not yet saved, to be given to ``restore(_:)`` after the process was ended.
  func kept() -> [String: String] { [:] }

  /// Takes back what ``kept()`` gave, once it is loaded.
  func restore(_ kept: [String: String]) async throws {}

  /// What ``keeping()`` gave before the process was ended, until it is taken back.
  private var before: [String: String]?

  /// See ``kept()``; what could not be taken back yet is kept on.
  func keeping() -> [String: String] { before ?? kept() }

  /// Takes back what ``keeping()`` gave when the screen is loaded next: it may lie beneath another one.
  func goOn(_ kept: [String: String]) { before = kept.isEmpty ? nil : kept }

  /// Everything on it.
  public func elements() -> [Element] {
    let body: [Element]
    do {
      let all = try self.body()
      body = (writes && phone.readsOnly ? read(all) : all) + first
    } catch {
      return [Element("problem", .banner, error.localizedDescription)]
    }
    guard let problem else { return body }
    let banner = [
      Element("problem", .banner, problem),
      Element("problem.close", .button, say(.close)),
    ]
    return Array(body.prefix(1)) + banner + Array(body.dropFirst())
  }

  /// What is missing, and the ways to it.
  private var first: [Element] {
    guard let missing else { return [] }
    let said = [Element("missing", .text, missing)]
    if phone.readsOnly { return said }
    return said + [button("first.facts", .facts), button("first.read", .readNow, main: true)]
  }

  private func read(_ body: [Element]) -> [Element] {
    let said = Element("reads_only", .banner, say(.readsOnly), detail: say(.readsOnlyAbout))
    return Array(body.prefix(1)) + [said] + body.dropFirst().compactMap { forReader($0) }
  }

  /// See ``touched(_:)``; what the core refuses is shown, in its words.
  func tap(_ id: String) async {
    await tried {
      // What is saved once more is refused once more, or was put right.
      if id == "problem.close" || id == "save" { self.problem = nil }
      switch id {
      case "problem.close": break
      case "first.facts": await self.phone.go(Facts(self.phone))
      case "first.read": await self.phone.readNow()
      default: try await self.touched(id)
      }
    }
  }

  /// See ``typed(_:_:)``.
  func type(_ id: String, _ text: String) async {
    await tried { try await self.typed(id, text) }
  }

  /// Loads it, and shows what the core refuses.
  func loaded() async {
    await tried {
      self.missing = nil
      do {
        try await self.load()
        if let before = self.before {
          try await self.restore(before)
          self.before = nil
        }
      } catch FallawayError.badInput(_, let reason, _, .nothing(.unwritten), _, _) {
        self.missing = reason.sentence + "."
      }
      if self.writes { try await self.phone.learnRole() }
    }
  }

  /// Runs something for it, and shows what the core refuses.
  func tried(_ what: @MainActor () async throws -> Void) async {
    do {
      try await what()
    } catch is CancellationError {
      return
    } catch {
      problem = error.localizedDescription.sentence
    }
  }

  /// Shows a sentence as what went wrong.
  func show(_ text: String) {
    problem = text
  }

  func say(_ what: Say, _ with: CustomStringConvertible...) -> String {
    phone.text(what, with.map(\.description))
  }

  func title(_ what: Say) -> Element { Element("title", .heading, say(what)) }

  func heading(_ id: String, _ text: String) -> Element { Element(id, .heading, text) }

  func button(_ id: String, _ what: Say, main: Bool = false) -> Element {
    Element(id, .button, say(what), main: main)
  }

  func choice(_ id: String, _ text: String, _ chosen: Bool) -> Element {
    Element(id, .choice, text, state: chosen ? say(.chosen) : nil, chosen: chosen)
  }

  func toggle(_ id: String, _ what: Say, _ on: Bool) -> Element {
    Element(id, .toggle, say(what), state: say(on ? .on : .off), chosen: on)
  }

  /// A drawing of the core, and what it says in sentences, besides those that stand under it.
  func drawing(_ id: String, _ scene: Scene, besides: [String] = []) -> Element {
    let said = scene.sentences.filter { !besides.contains($0) }
    return Element(id, .drawing, scene.title, detail: said.joined(separator: " "), scene: scene)
  }
}

extension Scene {
  /// Whether it shows anything but words: those are read better as text.
  var shows: Bool {
    marks.contains { mark in
      if case .text = mark.shape { return false }
      return true
    }
  }
}

extension String {
  /// The place behind the last dot of an id, counted from 0: 1 of "line.2"; `nil` if it begins otherwise.
  func place(_ before: String) -> Int? {
    guard let number = after(before + ".").flatMap({ Int($0) }) else { return nil }
    return number - 1
  }

  /// What follows a beginning; `nil` if it begins otherwise.
  func after(_ beginning: String) -> String? {
    hasPrefix(beginning) ? String(dropFirst(beginning.count)) : nil
  }

  /// A text as the beginning of a line.
  var sentence: String { prefix(1).uppercased() + dropFirst() }

  /// Without blanks at its ends.
  var trimmed: String { trimmingCharacters(in: .whitespacesAndNewlines) }

  /// `nil` if nothing is in it.
  var unlessEmpty: String? { isEmpty ? nil : self }
}

extension Array {
  /// The element at a place, if there is one.
  func at(_ place: Int) -> Element? { indices.contains(place) ? self[place] : nil }

  /// In groups of one key each, in the order in which the keys are met.
  func grouped<Key: Hashable>(by key: (Element) -> Key) -> [[Element]] {
    var places: [Key: Int] = [:]
    var groups: [[Element]] = []
    for one in self {
      let its = key(one)
      if let place = places[its] {
        groups[place].append(one)
      } else {
        places[its] = groups.count
        groups.append([one])
      }
    }
    return groups
  }
}

extension Sequence where Element: Hashable {
  /// Each once, where it is met first.
  func distinct() -> [Element] {
    var met: Set<Element> = []
    return filter { met.insert($0).inserted }
  }
}
