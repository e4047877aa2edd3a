import Fallaway
import Foundation

/// What goes to the others and comes from them, as files over whatever way there is.
final class Send: Screen {
  override var name: String { "send" }
  private var unsent = 0

  override func load() async throws {
    unsent = try await phone.instrument().unsent()
  }

  override func body() -> [Element] {
    var shown = [title(.sendAndReceive)]
    shown.append(
      Element("unsent", .text, unsent == 0 ? say(.allSent) : phone.count(.unsent, unsent)))
    if unsent > 0 { shown.append(button("new", .sendNew, main: true)) }
    shown.append(button("all", .sendAll))
    shown.append(button("receive", .receive, main: unsent == 0))
    shown.append(Element("about", .text, say(.sendAbout)))
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
    default: break
    }
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
    for (at, one) in report.peopleAdded.enumerated() {
      shown.append(Element("joined.\(at + 1)", .row, say(.hasJoined, one)))
    }
    for (at, one) in report.added.enumerated() {
      let values = one.values > 0 ? [phone.count(.values, one.values)] : []
      shown.append(
        Element(
          "from.\(at + 1)", .row, say(.from, one.device),
          detail: (one.entries.map(\.text) + values).joined(separator: ", ")))
    }
    if report.added.isEmpty && report.peopleAdded.isEmpty {
      shown.append(Element("nothing", .text, say(.nothingNew)))
    }
    if report.waiting > 0 {
      shown.append(Element("waiting", .text, phone.count(.waiting, report.waiting)))
    }
    for (at, one) in report.newlyContested.enumerated() {
      shown.append(Element("contested.\(at + 1)", .banner, say(.twoValuesOf, one.label)))
    }
    for (at, one) in report.setAside.enumerated() {
      shown.append(Element("aside.\(at + 1)", .text, one.text.sentence))
    }
    for (at, one) in report.refused.enumerated() {
      shown.append(Element("refused.\(at + 1)", .caution, one.reason.sentence))
    }
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
