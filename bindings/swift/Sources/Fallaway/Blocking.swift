import Dispatch

extension DispatchQueue {
  /// Where the `await` calls of this library do their work, unless another queue is given.
  ///
  /// It is serial: calls given to it are done one after another, in the order in which they were made,
  /// so that what was entered stands in the plan that is asked for next. Give a queue of your own to a
  /// call that may take long, such as bringing in a large bundle, and the others need not wait for it.
  ///
  /// Calls of the library block their thread, for a millisecond or for a disk that is slow. On a queue
  /// of their own they never hold a thread of Swift's cooperative pool.
  public static let fallaway = DispatchQueue(label: "dev.fallaway.calls", qos: .userInitiated)

  /// Where exchanges with relays do their work, unless another queue is given: beside the other calls,
  /// which go on while an exchange waits for its answer.
  public static let fallawayNetwork = DispatchQueue(
    label: "dev.fallaway.network", qos: .utility, attributes: .concurrent)
}

/// Does blocking work on a queue, while the calling task is suspended.
///
/// A task that was cancelled before the work has begun throws `CancellationError`, and nothing is done;
/// work that has begun is finished.
func blocking<Answer: Sendable>(
  on queue: DispatchQueue,
  _ work: @escaping @Sendable () throws -> Answer
) async throws -> Answer {
  try Task.checkCancellation()
  return try await withCheckedThrowingContinuation { continuation in
    queue.async { continuation.resume(with: Result { try work() }) }
  }
}
