import Fallaway
import Foundation
import Observation

/// What the phone has to do for the app.
public enum Effect: Sendable {
  /// Offer a file to other apps; ``Phone/handedOver()`` says that it went.
  case share(name: String, bytes: Data)
  /// Let somebody choose a file; ``Phone/receive(_:)`` takes it.
  case chooseFile
  /// Let somebody take or choose a photo, a JPEG or a PNG file; ``Phone/photographed(_:)`` takes it.
  case choosePhoto
  /// Read a code with the camera; ``Phone/scanned(_:)`` takes its text.
  case scan
}

/// How the whole app looks, chosen in the settings.
public struct Looks: Equatable, Sendable {
  /// Large, white on black, for the stage.
  public var stage = false
  /// The screen stays on.
  public var awake = false
  /// The screen does not turn with the phone.
  public var locked = false
  /// Of the letters, in hundredths of what the phone asks for.
  public var size = 100
}

/// The app without a phone: its screens, one over the other, and what taps and texts do to them.
///
/// What is awaited here is done one after the other. Views hand over what a finger does with ``tapped(_:)`` and
/// ``wrote(_:_:)``, which keep that order and return at once, and draw ``shown``.
@MainActor
@Observable
public final class Phone {
  /// The instruments of this device.
  public let workshop: Workshop

  /// The screens that lie over one another: the list first, the one that is seen last.
  public private(set) var pages: [Page] = []

  /// How it looks.
  public internal(set) var looks = Looks()

  /// What the phone is to do now, taken away by whoever does it.
  public var effects: [Effect] = []

  /// The way to a relay; without one, everything goes as files.
  @ObservationIgnored let http: (any HttpTransport)?

  /// The way to a phone in the same room.
  @ObservationIgnored let nearby: (any Nearby)?

  @ObservationIgnored let now: () -> Moment
  @ObservationIgnored private let texts: (String?) -> any Texts

  /// The language that is chosen; `nil` for that of the phone.
  @ObservationIgnored var language: String?

  /// What has to be read anew, for something was written since.
  @ObservationIgnored private let old = Old()

  /// What this device may do with what is open: known after ``learnRole()``.
  @ObservationIgnored private(set) var rights: Fallaway.Role?

  /// Whether it was invited to read, and not to write.
  var readsOnly: Bool { rights == .viewer }

  @ObservationIgnored private var screens: [Screen] = []

  /// The instrument that is open.
  @ObservationIgnored private var open: Instrument?

  /// The setup that is looked at; `nil` for the first.
  @ObservationIgnored var setup: SetupId?

  /// What is done once a file went.
  @ObservationIgnored private var delivered: (@MainActor () async throws -> Void)?

  /// Asks the system for time to finish what is begun now, however far the app is put aside; what it answers says that
  /// it is done.
  @ObservationIgnored public var whileWorking: (@MainActor () -> @MainActor () -> Void)?

  /// What is waited for apart.
  @ObservationIgnored private var waiting: Task<Void, Never>?

  /// How much is waited for apart.
  @ObservationIgnored private(set) var underWay = 0

  /// What was handed over last.
  @ObservationIgnored private var last: Task<Void, Never>?

  /// - Parameters:
  ///   - workshop: The instruments of this device.
  ///   - texts: The app's texts in a language; without one, in that of the phone.
  ///   - now: The phone's clock.
  ///   - http: The way to a relay; without one, everything goes as files.
  ///   - nearby: The way to a phone in the same room.
  public init(
    workshop: Workshop, texts: @escaping (String?) -> any Texts, now: @escaping () -> Moment,
    http: (any HttpTransport)? = nil, nearby: (any Nearby)? = nil
  ) {
    self.http = http
    self.nearby = nearby
    self.workshop = workshop
    self.texts = texts
    self.now = now
    screens = [Instruments(self)]
  }

  /// Loads what is seen first.
  public func start() async {
    await screen.tried { _ = try self.workshop.listen(listener: self.old) }
    await screen.tried { self.language = try await self.workshop.preferences().language }
    await screen.loaded()
    await draw()
  }

  // MARK: what a finger does

  /// A tap. The app is drawn anew when it is done.
  public func tapped(_ id: String) {
    hand { await $0.tap(id) }
  }

  /// A text in a field, or the place of a slider.
  public func wrote(_ id: String, _ text: String) {
    hand { await $0.type(id, text) }
  }

  /// A tap in the list that stands beside what is open, on a wide screen.
  public func tappedInList(_ id: String) {
    hand {
      $0.screens.removeLast($0.screens.count - 1)
      await $0.tap(id)
    }
  }

  /// The system went back so that this many screens are left.
  public func wentBack(to count: Int) {
    hand {
      while $0.screens.count > max(count, 1) { await $0.back() }
      await $0.draw()
    }
  }

  /// Does something after all that was handed over before.
  public func hand(_ what: @escaping @MainActor (Phone) async -> Void) {
    let before = last
    let done = whileWorking?()
    last = Task { [weak self] in
      await before?.value
      if let self { await what(self) }
      done?()
    }
  }

  /// Waits for something, the network, while everything else goes on; what it answers is done in its order then.
  func apart(_ work: @escaping @MainActor () async -> @MainActor () async -> Void) {
    let done = whileWorking?()
    underWay += 1
    waiting = Task { [weak self] in
      let then = await work()
      self?.hand { phone in
        await then()
        await phone.draw()
        phone.underWay -= 1
      }
      done?()
    }
  }

  /// Waits until what was waited for apart is done.
  func settled() async {
    await waiting?.value
    await last?.value
  }

  // MARK: what is awaited

  /// A tap.
  public func tap(_ id: String) async {
    switch id {
    case "back": await back()
    case "tab.numbers": await `switch`(Numbers(self))
    case "tab.read": await `switch`(Read(self))
    case "tab.plan": await `switch`(PlanSteps(self))
    case "tab.history": await `switch`(History(self))
    case "tab.more": await `switch`(More(self))
    default: await screen.tap(id)
    }
    await draw()
  }

  /// A text in a field, or the place of a slider.
  public func type(_ id: String, _ text: String) async {
    await screen.type(id, text)
    await draw()
  }

  /// Something changed, here or elsewhere: reads anew what is seen.
  public func changed() async {
    await screen.loaded()
    await draw()
  }

  /// The file was handed over.
  public func handedOver() async {
    guard let gone = delivered else { return }
    delivered = nil
    await screen.tried { try await gone() }
    await changed()
  }

  /// A file came.
  public func receive(_ bytes: Data) async {
    if let join = screen as? Join {
      await join.received(bytes)
    } else {
      await go(Received(self, bytes))
    }
    await draw()
  }

  /// A photo was taken or chosen.
  public func photographed(_ bytes: Data) async {
    await (screen as? Photos)?.took(bytes)
    await draw()
  }

  /// A code was read.
  public func scanned(_ text: String) async {
    if screen is Join { await type("words", text) }
  }

  /// Takes away what the phone is to do next.
  public func nextEffect() -> Effect? {
    effects.isEmpty ? nil : effects.removeFirst()
  }

  // MARK: screens

  /// The screen that is seen.
  public var screen: Screen { screens[screens.count - 1] }

  /// Whether there is a way back within the app.
  public var deeper: Bool { pages.count > 1 }

  /// What is on the screen, with the tabs of the instrument.
  public var shown: [Element] { pages.last?.elements ?? [] }

  private func draw() async {
    // On an iPad the list stays in sight.
    if screens.count > 1 && old.takeList() { await screens[0].loaded() }
    pages = screens.enumerated().map { depth, one in
      Page(
        id: depth, name: one.name,
        elements: one.elements() + (one.tab ? tabs(of: one) : []))
    }
  }

  func instrument() throws -> Instrument {
    guard let open else { throw NoInstrument() }
    return open
  }

  func back() async {
    guard screens.count > 1 else { return }
    await screens.removeLast().left()
    await screen.loaded()
  }

  /// Shows a screen over this one.
  func go(_ next: Screen) async {
    screens.append(next)
    await next.loaded()
  }

  /// Shows a screen in the place of this one.
  func `switch`(_ next: Screen) async {
    screens.removeLast()
    await go(next)
  }

  /// Shows in the place of a page, and of the tab beneath it, where readings are entered.
  func readNow() async {
    while screens.count > 1 && !screen.tab { await screens.removeLast().left() }
    await self.switch(Read(self))
  }

  /// Opens an instrument at its numbers.
  func open(_ id: InstrumentId) async throws {
    try await hold(id)
    await go(Numbers(self))
  }

  /// Opens an instrument at its numbers, over the list alone.
  func openFromList(_ id: InstrumentId) async throws {
    try await hold(id)
    screens.removeLast(screens.count - 1)
    // On an iPad it stays in sight, and there is one more in it, perhaps.
    await screen.loaded()
    await go(Numbers(self))
  }

  /// Asks what this device may do, if that may have changed.
  func learnRole() async throws {
    if old.takeRole() { rights = try await instrument().details().role }
  }

  private func hold(_ id: InstrumentId) async throws {
    open = try await workshop.instrument(id: id)
    setup = nil
    rights = nil
    old.all()
  }

  /// Offers a file to other apps.
  func share(_ name: String, _ bytes: Data, whenGone: @escaping @MainActor () async throws -> Void)
  {
    delivered = whenGone
    effects.append(.share(name: name, bytes: bytes))
  }

  private func tabs(of screen: Screen) -> [Element] {
    let tabs: [(String, Say)] = [
      ("numbers", .numbers), ("read", .read), ("plan", .plan), ("history", .history),
      ("more", .more),
    ]
    return tabs.map { name, word in
      let here = screen.name == name
      return Element(
        "tab.\(name)", .tab, text(word), state: here ? text(.chosen) : nil, chosen: here)
    }
  }

  // MARK: words

  /// A text of the app.
  func text(_ what: Say, _ with: [String] = []) -> String { texts(language).text(what, with) }

  /// A text of the app that counts.
  func count(_ what: Count, _ number: Int) -> String { texts(language).count(what, number) }

  /// A moment, as the clock of whoever wrote it showed it.
  func moment(_ at: Moment) -> String { day(at) + " " + clock(at) }

  /// A moment that is known without the clock of whoever wrote it, on this phone's clock.
  func momentHere(_ at: Moment) -> String {
    moment(Moment(unixS: at.unixS, offsetMin: now().offsetMin))
  }

  /// A note as it is called in this language: what is B in English is H in German, and B flat is B.
  func note(_ name: String) -> String {
    if let rest = name.after("Bb") ?? name.after("B♭") { return text(.bFlat) + rest }
    return name.after("B").map { text(.bNatural) + $0 } ?? name
  }

  /// A note as the core reads it, of what was typed in this language.
  func noteTyped(_ typed: String) -> String {
    let (natural, flat) = (text(.bNatural), text(.bFlat))
    if natural == "B" { return typed }
    let large = typed.prefix(1).uppercased() + typed.dropFirst()
    if let rest = large.after(natural) { return "B" + rest }
    if large.hasPrefix("Bb") || large.hasPrefix("B♭") { return typed }
    return large.after(flat).map { "Bb" + $0 } ?? typed
  }

  /// A length that the core keeps as it was entered, with this language's signs and its word for inches.
  func written(_ length: String) -> String {
    let below = length.after("-").map { "−" + $0 } ?? length
    let marked = below.replacing(".", with: text(.decimalMark))
    return marked.hasSuffix(" in") ? marked.dropLast(2) + text(.inch) : marked
  }

  /// Hour and minute of it.
  func clock(_ at: Moment) -> String {
    let parts = parts(of: at)
    return two(parts.hour) + ":" + two(parts.minute)
  }

  /// The day of it.
  func day(_ at: Moment) -> String {
    let parts = parts(of: at)
    return text(.date, [String(parts.year ?? 0), two(parts.month), two(parts.day)])
  }

  private func parts(of at: Moment) -> DateComponents {
    var calendar = Calendar(identifier: .gregorian)
    calendar.timeZone = at.zone ?? .gmt
    return calendar.dateComponents([.year, .month, .day, .hour, .minute], from: at.date)
  }

  private func two(_ number: Int?) -> String {
    let text = String(number ?? 0)
    return text.count < 2 ? "0" + text : text
  }

  // MARK: a life of the process

  /// Where the app is and what was typed, to go on from after the process was ended.
  public func kept() -> [String: String] {
    var kept = [
      "screens": screens.map(\.name).joined(separator: " "),
      "stage": String(looks.stage), "awake": String(looks.awake), "locked": String(looks.locked),
      "size": String(looks.size),
    ]
    kept["instrument"] = open?.id.text
    kept["setup"] = setup?.text
    for (depth, one) in screens.enumerated() {
      for (key, value) in one.keeping() { kept["typed.\(depth).\(key)"] = value }
    }
    return kept
  }

  /// Goes on from what ``kept()`` gave.
  public func restore(_ kept: [String: String]) async {
    looks = Looks(
      stage: kept["stage"] == "true", awake: kept["awake"] == "true",
      locked: kept["locked"] == "true", size: kept["size"].flatMap { Int($0) } ?? 100)
    screens = [Instruments(self)]
    if let id = kept["instrument"] {
      await screen.tried {
        try await self.hold(InstrumentId(id))
        self.setup = kept["setup"].map { SetupId($0) }
      }
    }
    for (depth, name) in (kept["screens"] ?? "").split(separator: " ").enumerated() {
      guard let lies = depth == 0 ? screen : named(String(name)) else { continue }
      var typed: [String: String] = [:]
      for (key, value) in kept {
        if let name = key.after("typed.\(depth).") { typed[name] = value }
      }
      lies.goOn(typed)
      if depth > 0 { screens.append(lies) }
    }
    // On an iPad the list stays in sight.
    old.all()
    await screen.loaded()
    await draw()
  }

  private func named(_ name: String) -> Screen? {
    switch name {
    case "add": return Add(self)
    case "join": return Join(self)
    case "meeting": return Meeting(self)
    case "settings": return Settings(self)
    default: return open == nil ? nil : ofInstrument(name)
    }
  }

  private func ofInstrument(_ name: String) -> Screen? {
    switch name {
    case "numbers": return Numbers(self)
    case "read": return Read(self)
    case "plan": return PlanSteps(self)
    case "otherwise": return Otherwise(self)
    case "could_not": return CouldNotDo(self)
    case "history": return History(self)
    case "more": return More(self)
    case "note": return Note(self)
    case "changed": return Changed(self)
    case "settle": return Settle(self)
    case "setups": return Setups(self)
    case "photos": return Photos(self)
    case "people": return People(self)
    case "send": return Send(self)
    case "clearance": return ClearanceSliders(self)
    case "strings": return Strings(self)
    case "facts": return Facts(self)
    case "sheet": return Sheet(self)
    default: return nil
    }
  }
}

/// Told by the core of whatever is written: what was read before is old then.
private final class Old: ChangeListener, @unchecked Sendable {
  // The lock guards both.
  private let lock = NSLock()
  private var list = false
  private var role = true

  func changed(instruments: [InstrumentId]) throws { all() }

  func all() {
    lock.withLock {
      list = true
      role = true
    }
  }

  /// Whether the list was old; it is read now.
  func takeList() -> Bool {
    lock.withLock {
      defer { list = false }
      return list
    }
  }

  /// Whether what this device may do was; it is asked now.
  func takeRole() -> Bool {
    lock.withLock {
      defer { role = false }
      return role
    }
  }
}

/// A screen of an instrument was asked for, and none is open: a defect of the app.
struct NoInstrument: Error {}
