import Fallaway
import Foundation
import Testing

/// Two devices and the bundles between them.
@Suite struct SharingTests {
  @Test func twoDevicesEndEqual() throws {
    let tech = try bench()
    let player = try join(tech.bass, as: "player")
    #expect(try player.bass.nameBlocking() == "walnut bass")
    try tech.bass.addRemarkBlocking(text: "new strings next time")
    try player.bass.addRemarkBlocking(text: "plays well")
    try exchange(tech, player)
    try exchange(tech, player)
    let (ours, theirs) = (try tech.bass.detailsBlocking(), try player.bass.detailsBlocking())
    #expect(ours.historyDigest == theirs.historyDigest)
    #expect(Set(ours.people.map(\.label)) == ["tech", "player"])
    let read = { (bass: Instrument) in Set(try bass.historyBlocking().map(\.id)) }
    #expect(try read(tech.bass) == read(player.bass))
  }

  @Test func anInvitationIsLookedAtFirst() throws {
    let tech = try bench(time: nil)
    let given = try tech.bass.inviteBlocking(role: .viewer, validDays: 3)
    let seen = try lookAtInvitation(invitation: given.words, bundle: given.welcome)
    #expect(seen.name == "walnut bass" && seen.role == .viewer)
    #expect(try seen.inviterFingerprint == tech.workshop.deviceBlocking().fingerprint)
  }

  @Test func anInvitationThatWasWithdrawnLetsNobodyIn() throws {
    let tech = try bench()
    let given = try tech.bass.inviteBlocking(role: .contributor, validDays: 7)
    #expect(try tech.bass.openInvitationsBlocking().map(\.id) == [given.id])
    try tech.bass.withdrawBlocking(invitation: given.id)
    #expect(try tech.bass.openInvitationsBlocking().isEmpty)
    #expect(throws: FallawayError.self) {
      try tech.bass.withdrawBlocking(invitation: given.id)
    }
    let player = try Workshop.inMemoryBlocking(label: "player")
    #expect(throws: FallawayError.self) {
      try player.acceptBlocking(
        invitation: given.words, bundle: tech.bass.bundleOutBlocking().file)
    }
  }

  @Test func aReportSaysWhatCameIn() throws {
    let tech = try bench()
    let player = try join(tech.bass, as: "player")
    try player.bass.addRemarkBlocking(text: "plays well")
    let report = try tech.workshop.bundleInBlocking(
      bytes: player.bass.bundleUnsentBlocking()!.file)
    #expect(report.peopleAdded == ["player"])
    #expect(report.added.map(\.device) == ["player"])
    #expect(report.refused.isEmpty && report.waiting == 0)
    let again = try tech.workshop.bundleInBlocking(bytes: player.bass.bundleOutBlocking().file)
    #expect(again.added.isEmpty, "it was here already")
  }

  @Test func twoValuesAreShownAndSettled() throws {
    let tech = try bench()
    let player = try join(tech.bass, as: "player")
    let target = { (wanted: Entered) in
      NewTarget(quantity: relief, location: .whole, wanted: wanted, tolerance: "0.05 mm")
    }
    try tech.bass.setTargetBlocking(setup: "stage", target: target("0.25 mm"))
    try player.bass.setTargetBlocking(setup: "stage", target: target("0.35 mm"))
    try tech.workshop.bundleInBlocking(bytes: player.bass.bundleOutBlocking().file)

    let field = try #require(try tech.bass.contestedBlocking().first)
    #expect(Set(field.versions.map(\.device)) == ["tech", "player"])
    #expect(field.versions.filter(\.displayed).count == 1)
    // The plan does not choose.
    let step = try tech.bass.planBlocking(setup: "stage").steps.first { $0.kind == .relief }
    guard case .twoValues(let values)? = step?.verdict else {
      Issue.record("the plan chose: \(step?.verdictText ?? "no step")")
      return
    }
    #expect(values.count == 2)

    let mine = try #require(field.versions.first { $0.device == "tech" })
    // The player, who has not seen the tech's value, writes again before it is settled here.
    try player.bass.setTargetBlocking(setup: "stage", target: target("0.4 mm"))
    try tech.workshop.bundleInBlocking(bytes: player.bass.bundleOutBlocking().file)
    #expect(
      error { try tech.bass.settleBlocking(shown: field, keep: mine.id) }
        == .contested(field: field.label))
    let anew = try #require(try tech.bass.contestedBlocking().first)
    try tech.bass.settleBlocking(shown: anew, keep: mine.id)
    #expect(try tech.bass.contestedBlocking().isEmpty)
    try exchange(tech, player)
    #expect(try player.bass.contestedBlocking().isEmpty)
  }

  @Test func whatIsNoBundleIsRefused() throws {
    let tech = try bench()
    let refused = error { try tech.workshop.bundleInBlocking(bytes: Data("not a bundle".utf8)) }
    guard case .refused(let reason, .notABundle)? = refused else {
      Issue.record("\(String(describing: refused))")
      return
    }
    #expect(!reason.isEmpty)
  }

  @Test func alteredBytesAreRefusedAndHarmNothing() throws {
    let tech = try bench()
    let player = try join(tech.bass, as: "player")
    try player.bass.addRemarkBlocking(text: "plays well")
    let before = try tech.bass.detailsBlocking().historyDigest
    var bytes = try player.bass.bundleOutBlocking().file
    bytes[bytes.count - 40] ^= 1
    let report = try? tech.workshop.bundleInBlocking(bytes: bytes)
    #expect(report?.refused.isEmpty != true)
    let after = try tech.bass.detailsBlocking()
    #expect(report != nil || after.historyDigest == before)
    // The sound bundle still goes in.
    let sound = try tech.workshop.bundleInBlocking(bytes: player.bass.bundleOutBlocking().file)
    #expect(sound.refused.isEmpty)
    #expect(
      try tech.bass.detailsBlocking().historyDigest == player.bass.detailsBlocking().historyDigest)
  }

  @Test func whatANewerVersionWroteIsSetAsideOrWaits() throws {
    let folder = try Folder()
    let store = folder.url.appendingPathComponent("store")
    try FileManager.default.copyItem(at: shared("compat/v1/store"), to: store)
    let workshop = try Workshop.openBlocking(folder: store, label: "tech")
    let report = try workshop.bundleInBlocking(
      bytes: Data(contentsOf: shared("compat/v1/newer.fallaway")))
    #expect(report.refused.count == 1 && report.waiting == 1)
    #expect(report.refused[0].reason.contains("newer"))
    try workshop.shutDownBlocking()
  }
}
