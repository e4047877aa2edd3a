import Fallaway
import Foundation

/// What goes to the others and comes from them: over a relay, or as files over whatever way there is.
final class Send: Screen {
  override var name: String { "send" }
  private var unsent = 0
  private var relay: RelayView?
  private var address = ""
  private var exchanging = false
  private var exchanged: SyncReport?
  private var devices: [DeviceState] = []
  private var held: [HeldWork] = []

  override func load() async throws {
    let instrument = try phone.instrument()
    try await phone.learnRole()
    held = try await instrument.held()
    unsent = try await instrument.unsent()
    relay = try await instrument.relay()
    devices = try await instrument.deviceStates().filter { !$0.thisDevice }
  }

  override func body() -> [Element] {
    let byRelay = phone.http != nil && relay != nil
    var shown = [title(.sendAndReceive)]
    if phone.http != nil { shown += overRelay() }
    shown.append(heading("files", say(.asFiles)))
    shown.append(
      Element("unsent", .text, unsent == 0 ? say(.allSent) : phone.count(.unsent, unsent)))
    if unsent > 0 { shown.append(button("new", .sendNew, main: !byRelay)) }
    shown.append(button("all", .sendAll))
    shown.append(button("receive", .receive, main: unsent == 0 && !byRelay))
    shown.append(Element("about", .text, say(.sendAbout)))
    if phone.nearby != nil { shown.append(button("meet", .meeting)) }
    if !devices.isEmpty { shown.append(heading("devices", say(.whoHasWhat))) }
    for (at, one) in devices.enumerated() {
      let heard = one.lastHeard.map { say(.heardOf, phone.momentHere($0)) }
      shown.append(
        Element(
          "device.\(at + 1)", .row, one.label, detail: one.text.sentence, state: heard))
    }
    return shown + (held.isEmpty ? [] : heldAside())
  }

  /// What is kept beside the record: an owner can take it in.
  private func heldAside() -> [Element] {
    var shown = [
      heading("aside", say(.keptAside)), Element("aside.about", .text, say(.keptAsideAbout)),
    ]
    for (at, one) in held.enumerated() {
      let much = [(Count.entries, one.entryCount), (.values, one.values)].filter { $0.1 > 0 }
      let words = much.map { phone.count($0, $1) }.joined(separator: ", ")
      shown.append(
        Element(
          "held.\(at + 1)", .row, say(.from, one.device), detail: words.unlessEmpty,
          state: one.text))
      if phone.rights == .owner {
        shown.append(Element("take.\(at + 1)", .button, say(.takeIn, one.device)))
      }
    }
    return shown
  }

  private func overRelay() -> [Element] {
    var shown: [Element] = []
    if let exchanged {
      let said = exchanged.sentences.map { $0.sentence + "." }
      shown.append(Element("exchanged", .banner, said.joined(separator: " ")))
      shown += came(exchanged.merges)
    }
    guard let relay else {
      shown.append(Element("address", .field, say(.relayAddress), value: address))
      shown.append(button("relay.use", .useRelay))
      return shown
    }
    shown.append(Element("relay", .row, relay.url, detail: relay.text.sentence))
    if exchanging {
      shown.append(Element("exchanging", .text, say(.exchanging)))
    } else {
      shown.append(button("exchange", .exchangeNow, main: true))
    }
    shown.append(button("relay.leave", .leaveRelay))
    return shown
  }

  override func touched(_ id: String) async throws {
    let instrument = try phone.instrument()
    switch id {
    case "new":
      if let out = try await instrument.bundleUnsent() {
        phone.share(People.file, out, of: instrument)
      }
    case "all": phone.share(People.file, try await instrument.bundleOut(), of: instrument)
    case "receive": phone.effects.append(.chooseFile)
    case "meet": await phone.go(Meeting(phone))
    case "exchange": exchange(instrument)
    case "relay.use":
      try await instrument.setRelay(url: address.trimmed)
      address = ""
      try await load()
    case "relay.leave":
      try await instrument.setRelay(url: nil)
      try await load()
    default:
      guard let one = id.place("take").flatMap({ held.at($0) }) else { return }
      _ = try await instrument.acceptHeld(fingerprint: one.fingerprint)
      try await load()
    }
  }

  private func exchange(_ instrument: Instrument) {
    guard let http = phone.http else { return }
    exchanging = true
    exchanged = nil
    phone.apart {
      let came = await Result { try await instrument.sync(http: http) }
      return {
        self.exchanging = false
        await self.tried { self.exchanged = try came.get() }
        await self.loaded()
      }
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "address" { address = text }
  }

  override func kept() -> [String: String] { ["address": address] }

  override func restore(_ kept: [String: String]) async { address = kept["address"] ?? "" }
}

extension Result where Failure == any Error {
  /// What a call answers or throws.
  @MainActor init(_ call: @MainActor () async throws -> Success) async {
    do { self = .success(try await call()) } catch { self = .failure(error) }
  }
}

extension Screen {
  /// What came in, whichever way: who joined and wrote what, what has two values now, and what was not taken.
  func came(_ merges: [MergeReport]) -> [Element] {
    var shown: [Element] = []
    for (at, one) in merges.flatMap(\.peopleAdded).enumerated() {
      shown.append(Element("joined.\(at + 1)", .row, say(.hasJoined, one)))
    }
    for (at, one) in merges.flatMap(\.secondUses).enumerated() {
      shown.append(Element("second.\(at + 1)", .caution, one.text.sentence))
    }
    for (at, one) in merges.flatMap(\.added).enumerated() {
      let values = one.values > 0 ? [phone.count(.values, one.values)] : []
      let parts = (one.entries.map(\.text) + values).joined(separator: ", ")
      shown.append(
        Element("from.\(at + 1)", .row, say(.from, one.device), detail: parts.unlessEmpty))
    }
    let waits = merges.reduce(0) { $0 + $1.waiting }
    if waits > 0 { shown.append(Element("waits", .text, phone.count(.waiting, waits))) }
    for (at, one) in merges.flatMap(\.newlyContested).enumerated() {
      shown.append(Element("contested.\(at + 1)", .banner, say(.twoValuesOf, one.label)))
    }
    for (at, one) in merges.flatMap(\.aside).enumerated() {
      shown.append(
        Element("aside.\(at + 1)", .row, say(.keptAside), detail: one.text.sentence))
    }
    for (at, one) in merges.flatMap(\.refused).enumerated() {
      shown.append(Element("refused.\(at + 1)", .caution, one.reason.sentence))
    }
    return shown
  }
}

/// What a file brought.
final class Received: Screen {
  override var name: String { "received" }
  private var bytes: Data?
  private var report: MergeReport?

  init(_ phone: Phone, _ bytes: Data) {
    self.bytes = bytes
    super.init(phone)
  }

  override func load() async throws {
    guard let file = bytes else { return }
    bytes = nil
    report = try await phone.workshop.bundleIn(bytes: file)
  }

  override func body() -> [Element] {
    var shown = [title(.received)]
    guard let report else { return shown }
    shown.append(Element("into", .text, say(.mergedInto, report.name)))
    if came([report]).isEmpty {
      shown.append(Element("nothing", .text, say(.nothingNew)))
    }
    shown += came([report])
    shown.append(button("open", .open, main: true))
    return shown
  }

  override func touched(_ id: String) async throws {
    if id == "open", let report { try await phone.openFromList(report.instrument) }
  }
}

/// Joins an instrument by the words of an invitation, read out or scanned, and a file.
final class Join: Screen {
  override var name: String { "join" }
  private var words = ""
  private var file: Data?
  private var invited: InvitationInfo?

  override func body() -> [Element] {
    var shown = [
      title(.joinInstrument), Element("about", .text, say(.joinAbout)),
      Element("words", .field, say(.theWords), value: words, varies: !words.isEmpty),
      button("scan", .scan),
      button("file", .chooseFile).with(state: file.map { _ in say(.fileIsHere) }),
    ]
    if let invited {
      shown.append(
        Element(
          "invited", .banner, say(.invitedTo, invited.name),
          detail: say(.validUntil, phone.day(invited.expires))))
    }
    if file != nil && !words.trimmed.isEmpty { shown.append(button("join", .join, main: true)) }
    if phone.nearby != nil && !words.trimmed.isEmpty { shown.append(button("meet", .meeting)) }
    return shown
  }

  /// The file that belongs to the words.
  func received(_ bytes: Data) async {
    await tried {
      self.file = bytes
      if !self.words.trimmed.isEmpty {
        self.invited = try lookAtInvitation(invitation: self.words.trimmed, bundle: bytes)
      }
    }
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "scan": phone.effects.append(.scan)
    case "meet": await phone.go(Meeting(phone, words.trimmed))
    case "file": phone.effects.append(.chooseFile)
    case "join":
      guard let file else { return }
      let joined = try await phone.workshop.accept(invitation: words.trimmed, bundle: file)
      try await phone.openFromList(joined.id)
    default: break
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "words" { words = text }
  }

  override func kept() -> [String: String] { ["words": words] }

  override func restore(_ kept: [String: String]) async { words = kept["words"] ?? "" }
}
