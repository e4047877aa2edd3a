import Fallaway
import Foundation
import Testing

/// Threads, closing, listeners, tasks.
@Suite struct LifetimeTests {
  @Test func everyHandleIsClosedByShuttingDown() throws {
    let (workshop, bass) = try bench()
    let other = try workshop.instrumentNamedBlocking(name: "walnut")
    try workshop.shutDownBlocking()
    for call in [
      { _ = try bass.detailsBlocking() }, { _ = try other.planBlocking() },
      { _ = try workshop.instrumentsBlocking() },
      { try workshop.shutDownBlocking() }, { _ = try bass.addRemarkBlocking(text: "late") },
    ] as [() throws -> Void] {
      #expect(error(of: call) == .closed)
    }
  }

  @Test func pausingIsNotClosing() throws {
    let folder = try Folder()
    let workshop = try Workshop.openBlocking(folder: folder.url, label: "tech")
    let bass = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
    try bass.addRemarkBlocking(text: "before")
    try workshop.pauseBlocking()
    try bass.addRemarkBlocking(text: "after")
    try workshop.trimBlocking()
    #expect(
      try bass.historyBlocking().filter { $0.text.contains("before") || $0.text.contains("after") }
        .count
        == 2)
    try workshop.shutDownBlocking()
    let again = try Workshop.openBlocking(folder: folder.url, label: "tech")
    #expect(
      try again.instrumentNamedBlocking(name: "walnut bass").historyBlocking().contains {
        $0.text.contains("after")
      })
    try again.shutDownBlocking()
  }

  @Test func closingWhileOthersAreInside() throws {
    let (workshop, bass) = try bench()
    let begun = DispatchSemaphore(value: 0)
    let ended = DispatchGroup()
    let outcomes = Outcomes()
    for number in 0..<4 {
      Thread.detachNewThread(in: ended) {
        begun.signal()
        for turn in 0..<1000 {
          do {
            try bass.addRemarkBlocking(text: "remark \(number) \(turn)")
          } catch {
            outcomes.add(error as? FallawayError)
            break
          }
        }
      }
    }
    for _ in 0..<4 { begun.wait() }
    try workshop.shutDownBlocking()
    ended.wait()
    // Each was either let finish or told; none crashed, none hung.
    #expect(outcomes.all.allSatisfy { $0 == .closed })
    #expect(error { _ = try bass.detailsBlocking() } == .closed)
  }

  @Test func twoThreadsWriteAtOnce() throws {
    let (_, bass) = try bench()
    let before = try bass.historyBlocking().count
    let ended = DispatchGroup()
    let outcomes = Outcomes()
    for number in 0..<2 {
      Thread.detachNewThread(in: ended) {
        for turn in 0..<25 {
          do {
            try bass.addRemarkBlocking(text: "remark \(number) \(turn)")
            _ = try bass.cardBlocking()
          } catch {
            outcomes.add(error as? FallawayError)
          }
        }
      }
    }
    ended.wait()
    #expect(outcomes.all.isEmpty)
    #expect(try bass.historyBlocking().count == before + 50)
  }

  @Test func aListenerIsToldUntilItIsCancelled() throws {
    let (workshop, bass) = try bench()
    let listener = Noting()
    let listening = try workshop.listen(listener: listener)
    try bass.addRemarkBlocking(text: "heard")
    #expect(listener.all == [[bass.id]])
    listening.cancel()
    listening.cancel()
    try bass.addRemarkBlocking(text: "not heard")
    #expect(listener.all.count == 1)
  }

  @Test func aListenerMayCallTheWorkshop() throws {
    let (workshop, bass) = try bench()
    let listener = Noting { _ = try bass.cardBlocking() }
    let listening = try workshop.listen(listener: listener)
    try bass.addRemarkBlocking(text: "heard")
    #expect(listener.all.count == 1 && listener.failed == 0)
    listening.cancel()
  }

  @Test func aListenerThatThrowsHarmsNothing() throws {
    struct Odd: Error {}
    let (workshop, bass) = try bench()
    let listening = try workshop.listen(listener: Noting { throw Odd() })
    let id = try bass.addRemarkBlocking(text: "written all the same")
    #expect(try bass.entryBlocking(id: id).text.contains("written all the same"))
    listening.cancel()
  }

  @Test func changesArriveAsAStream() async throws {
    let (workshop, bass) = try bench()
    let id = bass.id
    let stream = try workshop.changes()
    try await bass.addRemark(text: "one")
    try await bass.addRemark(text: "two")
    var heard: [[InstrumentId]] = []
    for await changed in stream {
      heard.append(changed)
      if heard.count == 2 { break }
    }
    #expect(heard == [[id], [id]])
  }

  @Test func theStreamEndsWithItsTask() async throws {
    let (workshop, bass) = try bench()
    let stream = try workshop.changes()
    let waiting = Task {
      var count = 0
      for await _ in stream { count += 1 }
      return count
    }
    try await bass.addRemark(text: "one")
    waiting.cancel()
    #expect(await waiting.value <= 1)
    try await bass.addRemark(text: "nobody listens")
  }

  @Test func theStreamEndsWhenTheWorkshopIsGone() async throws {
    let stream = try await Workshop.inMemory(label: "tech").changes()
    for await _ in stream {}
  }

  @Test func awaitedCallsKeepTheirOrderAndLeaveThePool() async throws {
    let (_, bass) = try bench()
    let queue = DispatchQueue(label: "of the caller")
    let (workshop, _) = try bench()
    let listener = Noting { dispatchPrecondition(condition: .onQueue(queue)) }
    let listening = try workshop.listen(listener: listener)
    let theirs = try await workshop.instrumentNamed(name: "walnut bass", on: queue)
    try await theirs.addRemark(text: "done on the caller's queue", on: queue)
    #expect(listener.all.count == 1)
    listening.cancel()
    try await withThrowingTaskGroup(of: EntryId.self) { group in
      for number in 0..<20 {
        group.addTask { try await bass.addRemark(text: "remark \(number)") }
      }
      for try await _ in group {}
    }
    #expect(try await bass.history().filter { $0.text.contains("remark") }.count == 20)
  }

  @Test func aCancelledTaskDoesNotBegin() async throws {
    let (_, bass) = try bench()
    let task = Task {
      withUnsafeCurrentTask { $0?.cancel() }
      try await bass.addRemark(text: "never")
    }
    await #expect(throws: CancellationError.self) { try await task.value }
    #expect(try await !bass.history().contains { $0.text.contains("never") })
  }

  @Test func aLongCallStopsWithItsTask() async throws {
    let tech = try bench()
    let player = try join(tech.bass, as: "player")
    try await tech.bass.addRemark(text: "to be brought over")
    let bytes = try await tech.bass.bundleOut().file
    // The task is cancelled by the first step that it is told of.
    let (gate, open) = AsyncStream.makeStream(of: Void.self)
    let progress = Cancelling()
    let task = Task {
      for await _ in gate {}
      return try await player.workshop.bundleIn(bytes: bytes, progress: progress)
    }
    progress.cancels(task)
    open.finish()
    await #expect(throws: FallawayError.cancelled) { try await task.value }
    #expect(try await !player.bass.history().contains { $0.text.contains("brought over") })
  }
}

/// Errors that threads met.
final class Outcomes: @unchecked Sendable {
  private let lock = NSLock()
  private var errors: [FallawayError?] = []
  var all: [FallawayError?] { lock.withLock { errors } }
  func add(_ error: FallawayError?) { lock.withLock { errors.append(error) } }
}

/// Notes what it is told, and does something.
final class Noting: ChangeListener, @unchecked Sendable {
  private let lock = NSLock()
  private var told: [[InstrumentId]] = []
  private var failures = 0
  private let deed: @Sendable () throws -> Void

  init(_ deed: @escaping @Sendable () throws -> Void = {}) {
    self.deed = deed
  }

  var all: [[InstrumentId]] { lock.withLock { told } }
  var failed: Int { lock.withLock { failures } }

  func changed(instruments: [InstrumentId]) throws {
    lock.withLock { told.append(instruments) }
    do {
      try deed()
    } catch {
      lock.withLock { failures += 1 }
      throw error
    }
  }
}

/// Cancels a task as soon as it is told of a step.
final class Cancelling: ProgressListener, @unchecked Sendable {
  private let lock = NSLock()
  private var cancel: (@Sendable () -> Void)?

  func cancels<Answer: Sendable>(_ task: Task<Answer, any Error>) {
    lock.withLock { cancel = { task.cancel() } }
  }

  func at(done: UInt64, total: UInt64) throws -> ControlFlow {
    lock.withLock { cancel }?()
    return .continue
  }
}

extension Thread {
  static func detachNewThread(in group: DispatchGroup, _ work: @escaping @Sendable () -> Void) {
    group.enter()
    detachNewThread {
      work()
      group.leave()
    }
  }
}
