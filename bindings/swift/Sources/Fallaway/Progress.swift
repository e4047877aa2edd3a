import Dispatch
import Foundation

/// Does blocking work that can be stopped on a queue: if the calling task is cancelled, the library is
/// told to stop at its next step, leaves things as they were, and the call throws
/// `FallawayError.cancelled`.
func blocking<Answer: Sendable>(
  on queue: DispatchQueue,
  progress: (any ProgressListener)?,
  _ work: @escaping @Sendable (any ProgressListener) throws -> Answer
) async throws -> Answer {
  let watched = StoppedByTask(progress)
  return try await withTaskCancellationHandler {
    try await blocking(on: queue) { try work(watched) }
  } onCancel: {
    watched.stop()
  }
}

/// Passes progress on, and stops once the task was cancelled.
private final class StoppedByTask: ProgressListener, @unchecked Sendable {
  // The lock guards `stopped`, the only state that changes.
  private let lock = NSLock()
  private var stopped = false
  private let progress: (any ProgressListener)?

  init(_ progress: (any ProgressListener)?) {
    self.progress = progress
  }

  func stop() {
    lock.withLock { stopped = true }
  }

  func at(done: UInt64, total: UInt64) throws -> ControlFlow {
    let go = try progress?.at(done: done, total: total) ?? .continue
    return lock.withLock({ stopped }) ? .break : go
  }
}
