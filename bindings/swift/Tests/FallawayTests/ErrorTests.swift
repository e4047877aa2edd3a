import Fallaway
import Foundation
import Testing

/// An error of every kind an app can meet, each where it arises.
///
/// `internal` is not here: it would be a defect.
@Suite struct ErrorTests {
  @Test func notFoundSaysWhatThereIs() throws {
    let (workshop, _) = try bench()
    let met = error { _ = try workshop.instrumentNamedBlocking(name: "acoustic") }
    guard case .notFound(let what, let name, let accepted, let choices)? = met else {
      Issue.record("\(String(describing: met))")
      return
    }
    #expect(what == .instrument && name == "acoustic" && accepted.contains("walnut bass"))
    #expect(choices == ["walnut bass"])
    #expect(met?.errorDescription == "No instrument “acoustic” (\(accepted))")
  }

  @Test func badInputSaysWhatWouldBeTaken() throws {
    let (_, bass) = try bench()
    let met = error {
      try bass.addPassTextBlocking(quantity: action, text: "5 x 5 6", tool: .rule64)
    }
    guard case .badInput(let field, let reason, _, _, _, let why)? = met else {
      Issue.record("\(String(describing: met))")
      return
    }
    #expect(!field.isEmpty && reason.contains("x") && why == .unreadable)
  }

  @Test func unsureIsAQuestion() throws {
    let (_, bass) = try bench()
    let enter = { (accept: [Doubt]) in
      try bass.addPassTextBlocking(
        quantity: relief, text: "120", tool: .feelerThou, options: WriteOptions(accept: accept))
    }
    guard case .unsure(_, let doubts)? = error(of: { _ = try enter([]) }) else {
      Issue.record("3 mm of relief is implausible")
      return
    }
    #expect(doubts.count == 1 && !doubts[0].reason.isEmpty)
    #expect(try bass.entryBlocking(id: enter(doubts)).text.contains("120 thou"))
  }

  // `contested`: SharingTests.twoValuesAreShownAndSettled. `refused`: SharingTests.

  @Test func aNewerStoreIsReadOnly() throws {
    let folder = try Folder()
    let workshop = try Workshop.openBlocking(folder: folder.url, label: "tech")
    _ = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
    try workshop.shutDownBlocking()
    // The user version of an SQLite file lies at byte 60, big-endian (sqlite.org/fileformat2, 1.3).
    let file = folder.url.appendingPathComponent("fallaway.db")
    var bytes = try Data(contentsOf: file)
    bytes.replaceSubrange(60..<64, with: [0, 0, 0x7f, 0xff])
    try bytes.write(to: file)
    let older = try Workshop.openBlocking(folder: folder.url, label: "tech")
    let bass = try older.instrumentNamedBlocking(name: "walnut bass")
    let met = error(of: { _ = try bass.addRemarkBlocking(text: "late") })
    guard case .readOnly(let reason, _, .newerStore)? = met else {
      Issue.record("a store of a newer version was written")
      return
    }
    #expect(!reason.isEmpty)
    try older.shutDownBlocking()
  }

  @Test func aViewerMayNotWrite() throws {
    let tech = try bench()
    let guest = try join(tech.bass, as: "guest", role: .viewer)
    #expect(try guest.bass.detailsBlocking().role == .viewer)
    guard
      case .notAllowed(let reason, .viewer)? = error(of: {
        _ = try guest.bass.addRemarkBlocking(text: "x")
      })
    else {
      Issue.record("a viewer wrote")
      return
    }
    #expect(!reason.isEmpty)
  }

  @Test func aCallFromInsideProgressIsBusy() throws {
    final class Inside: ProgressListener, @unchecked Sendable {
      let bass: Instrument
      // Written on the one thread that calls, read after the call.
      var met: FallawayError?
      init(_ bass: Instrument) { self.bass = bass }
      func at(done: UInt64, total: UInt64) throws -> ControlFlow {
        met = error(of: { _ = try bass.addRemarkBlocking(text: "from inside") })
        return .continue
      }
    }
    let (_, bass) = try bench()
    let inside = Inside(bass)
    _ = try bass.bundleOutBlocking(progress: inside)
    guard case .busy? = inside.met else {
      Issue.record("\(String(describing: inside.met))")
      return
    }
  }

  @Test func storageThatCannotBeUsed() throws {
    let folder = try Folder()
    let file = folder.url.appendingPathComponent("a file")
    try Data("no folder".utf8).write(to: file)
    guard
      case .storage(let reason, _)? = error(of: {
        _ = try Workshop.openBlocking(folder: file, label: "tech")
      })
    else {
      Issue.record("a file was opened as a folder")
      return
    }
    #expect(!reason.isEmpty)
  }

  /// The script that runs the tests mounts a disk of 2 MiB.
  @Test(.enabled(if: FileManager.default.fileExists(atPath: "/fallaway/small")))
  func aFullDiskIsFullAndLosesNothing() throws {
    let folder = URL(fileURLWithPath: "/fallaway/small/workshop")
    let workshop = try Workshop.openBlocking(folder: folder, label: "tech")
    let bass = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
    let text = String(repeating: "a long remark ", count: 140)
    var written: Set<EntryId> = []
    var met: FallawayError?
    for _ in 0..<4000 where met == nil {
      met = error { written.insert(try bass.addRemarkBlocking(text: text)) }
    }
    guard case .full(let reason)? = met else {
      Issue.record("\(String(describing: met)) after \(written.count) remarks")
      return
    }
    #expect(!reason.isEmpty)
    #expect(written.isSubset(of: try bass.historyBlocking().map(\.id)))
    try? workshop.shutDownBlocking()
    try FileManager.default.removeItem(at: folder)
  }

  @Test func stoppingIsCancelled() throws {
    final class Stopping: ProgressListener {
      func at(done: UInt64, total: UInt64) throws -> ControlFlow { .break }
    }
    final class Throwing: ProgressListener {
      struct Odd: Error {}
      func at(done: UInt64, total: UInt64) throws -> ControlFlow { throw Odd() }
    }
    let (_, bass) = try bench()
    for progress in [Stopping(), Throwing()] as [any ProgressListener] {
      #expect(
        error(of: { _ = try bass.bundleOutBlocking(progress: progress) })
          == .cancelled)
    }
  }

  @Test func everyKindHasAText() {
    let reason = "because"
    let kinds: [FallawayError] = [
      .notFound(what: .entry, name: "b", accepted: "", choices: []),
      .badInput(
        field: "a", reason: reason, accepted: "", values: .nothing(why: .otherValue), cell: nil,
        why: .empty),
      .unsure(
        field: "a",
        doubts: [
          Doubt(
            id: "1", quantity: .pitch, location: .whole, given: "9 c", reason: reason,
            why: .unusual)
        ]), .contested(field: "a"),
      .readOnly(reason: reason, askedBy: ["player"], why: .newerDevices),
      .refused(reason: reason, why: .damaged), .notAllowed(reason: reason, why: .viewer),
      .busy(reason: reason, why: .callback), .full(reason: reason),
      .storage(reason: reason, why: .failed), .keys(reason: reason, why: .lost), .closed,
      .cancelled,
      .internal(reportId: "1a2b", reason: reason),
    ]
    let texts = Set(kinds.map(\.localizedDescription))
    #expect(texts.count == kinds.count && !texts.contains { $0.contains("FallawayError") })
  }
}

/// Keepers that work, are locked, or throw something odd.
@Suite struct KeeperTests {
  final class Keeper: SecretKeeper, @unchecked Sendable {
    enum Way { case works, locked, throwsOnGet, throwsOnPut }
    struct Odd: Error {}

    // The lock guards both.
    private let lock = NSLock()
    private var secrets: [String: Data] = [:]
    private var way = Way.works

    func behaves(_ way: Way) { lock.withLock { self.way = way } }

    func get(name: String) throws -> KeptSecret {
      try lock.withLock {
        if way == .throwsOnGet { throw Odd() }
        if way == .locked { return .locked }
        return secrets[name].map { .found(secret: $0) } ?? .absent
      }
    }

    func put(name: String, secret: Data) throws {
      try lock.withLock {
        if way == .throwsOnPut { throw Odd() }
        secrets[name] = secret
      }
    }
  }

  @Test func secretsLieWithTheKeeper() throws {
    let (folder, keeper) = (try Folder(), Keeper())
    let workshop = try Workshop.openBlocking(folder: folder.url, label: "tech", keeper: keeper)
    let fingerprint = try workshop.deviceBlocking().fingerprint
    try workshop.shutDownBlocking()
    let again = try Workshop.openBlocking(folder: folder.url, label: "tech", keeper: keeper)
    #expect(try again.deviceBlocking().fingerprint == fingerprint)
    try again.shutDownBlocking()
    #expect(!FileManager.default.fileExists(atPath: folder.url.appendingPathComponent("keys").path))
  }

  @Test(arguments: [Keeper.Way.locked, .throwsOnGet])
  func aKeeperThatCannotAnswerIsAnError(way: Keeper.Way) throws {
    let (folder, keeper) = (try Folder(), Keeper())
    let workshop = try Workshop.openBlocking(folder: folder.url, label: "tech", keeper: keeper)
    let fingerprint = try workshop.deviceBlocking().fingerprint
    try workshop.shutDownBlocking()
    keeper.behaves(way)
    let open = { try Workshop.openBlocking(folder: folder.url, label: "tech", keeper: keeper) }
    guard case .keys(let reason, let why)? = error(of: { _ = try open() }) else {
      Issue.record("opened without its keys")
      return
    }
    #expect(!reason.isEmpty)
    #expect(why == (way == .locked ? .locked : .keeper))
    // Nothing was taken for lost: with the keeper back, it is the same device.
    keeper.behaves(.works)
    #expect(try open().deviceBlocking().fingerprint == fingerprint)
  }

  @Test func aKeeperThatCannotStoreIsAnError() throws {
    let (folder, keeper) = (try Folder(), Keeper())
    keeper.behaves(.throwsOnPut)
    let met = error {
      _ = try Workshop.openBlocking(folder: folder.url, label: "tech", keeper: keeper)
    }
    guard case .keys? = met else {
      Issue.record("\(String(describing: met))")
      return
    }
  }

  @Test func aLogSinkThatThrowsHarmsNothing() throws {
    final class Sink: LogSink {
      struct Odd: Error {}
      func log(level: LogLevel, line: String) throws { throw Odd() }
    }
    let folder = try Folder()
    let workshop = try Workshop.openBlocking(folder: folder.url, label: "tech", log: Sink())
    _ = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
    _ = try? workshop.bundleInBlocking(bytes: Data("not a bundle".utf8))
    #expect(try workshop.instrumentsBlocking().count == 1)
    try workshop.shutDownBlocking()
  }
}
