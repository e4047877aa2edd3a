import Fallaway

/// Who has this instrument, and what each may do; invites, compares and removes.
final class People: Screen {
  override var name: String { "people" }
  private var people: [Person] = []
  private var mayInvite = false
  private var secondUses: [SecondUse] = []
  private var opened: String?
  private var removes = false
  private var invitation: NewInvitation?
  private var recovery: String?

  /// What a file is called that goes to other people.
  static let file = "set-up.fallaway"

  private static let roles: [(String, Fallaway.Role)] = [
    ("viewer", .viewer), ("contributor", .contributor), ("owner", .owner),
  ]

  override func load() async throws {
    let details = try await phone.instrument().details()
    secondUses = try await phone.instrument().secondUses()
    people = details.people
    mayInvite = details.role == .owner
  }

  override func body() -> [Element] {
    var shown = [title(.people)]
    if let invitation { shown += invited(invitation) }
    for (at, one) in people.enumerated() {
      let here = one.fingerprint == opened
      let known = one.compared ? Say.compared : .notCompared
      shown.append(
        Element(
          "person.\(at + 1)", .row, one.label, detail: role(one.role),
          state: say(one.thisDevice ? .thisDeviceIsIt : known), touch: true, chosen: here))
      if here { shown += about(one) }
    }
    for (at, one) in secondUses.enumerated() {
      shown.append(Element("second.\(at + 1)", .caution, one.text.sentence))
    }
    guard mayInvite && invitation == nil else { return shown }
    shown.append(button("invite.contributor", .inviteToWrite, main: true))
    shown.append(button("invite.viewer", .inviteToRead))
    shown.append(button("invite.own", .inviteOwn))
    shown.append(button("recovery", .recoveryWords))
    if let recovery {
      shown.append(Element("recovery.words", .text, recovery, varies: true))
      shown.append(Element("recovery.about", .caution, say(.recoveryAbout)))
      shown.append(button("recovery.written", .writtenDown))
    }
    return shown
  }

  private func invited(_ it: NewInvitation) -> [Element] {
    [
      Element(
        "invitation", .banner, say(.invitationReady),
        detail: say(.invitationAbout, phone.day(it.expires))),
      Element("words", .text, it.words, varies: true),
      Element("code", .code, say(.codeForCamera), value: it.code, varies: true),
      button("file", .sendTheFile, main: true), button("invitation.close", .close),
    ]
  }

  private func about(_ one: Person) -> [Element] {
    var shown = [
      Element("fingerprint", .text, one.fingerprint, detail: say(.compareAbout), varies: true)
    ]
    if one.thisDevice { return shown }
    if !one.compared { shown.append(button("compared", .itIsTheSame)) }
    if !mayInvite { return shown }
    shown += Self.roles.map { choice("role.\($0)", role($1).sentence, one.role == $1) }
    if removes {
      shown.append(Element("remove.sure", .caution, say(.removeAbout, one.label)))
      shown.append(button("remove.yes", .removeNow))
    } else {
      shown.append(button("remove", .remove))
    }
    return shown
  }

  private func role(_ role: Fallaway.Role) -> String {
    switch role {
    case .owner: return say(.owner)
    case .contributor: return say(.contributor)
    case .viewer: return say(.viewer)
    case .newer: return say(.newerRole)
    }
  }

  override func touched(_ id: String) async throws {
    let instrument = try phone.instrument()
    switch id {
    case "invite.contributor": invitation = try await instrument.invite(role: .contributor)
    case "invite.viewer": invitation = try await instrument.invite(role: .viewer)
    case "invite.own": invitation = try await instrument.inviteOwnDevice(role: .owner)
    case "invitation.close": invitation = nil
    case "file": phone.share(Self.file, try await instrument.bundleOut(), of: instrument)
    case "recovery": recovery = try await instrument.recoveryWords() ?? say(.noRecovery)
    case "recovery.written":
      try await instrument.recoveryWordsWrittenDown()
      recovery = nil
    case "compared":
      if let opened { try await instrument.compared(fingerprint: opened) }
    case "remove": removes = true
    case "remove.yes":
      if let opened { try await instrument.removeMember(fingerprint: opened, allDevices: true) }
      removes = false
    default:
      if let (_, role) = Self.roles.first(where: { id == "role.\($0.0)" }), let opened {
        try await instrument.setRole(fingerprint: opened, role: role)
      }
      if let one = id.place("person").flatMap({ people.at($0) }) {
        opened = one.fingerprint == opened ? nil : one.fingerprint
        removes = false
        return
      }
    }
    try await load()
  }

  override func kept() -> [String: String] { opened.map { ["opened": $0] } ?? [:] }

  override func restore(_ kept: [String: String]) async {
    opened = people.map(\.fingerprint).first { $0 == kept["opened"] }
  }
}

extension Phone {
  /// Offers a file of changes; once it went, they count as sent.
  func share(_ name: String, _ out: OutgoingBundle, of instrument: Instrument) {
    share(name, out.file) { _ = try await instrument.delivered(token: out.token) }
  }
}
