extension Workshop {
  /// The ids of instruments that changed, came or went, each time that something was written, until
  /// the task that waits for them is cancelled, the stream is let go, or the workshop is gone.
  ///
  /// ```swift
  /// for await changed in try workshop.changes() where changed.contains(id) {
  ///   card = try await instrument.card()
  /// }
  /// ```
  ///
  /// Changes that this device makes are told as well as those that bundles bring. Nothing is lost
  /// between two turns of the loop; several changes may arrive one after the other.
  ///
  /// - Throws: `FallawayError.Closed`.
  public func changes() throws -> AsyncStream<[String]> {
    let (stream, continuation) = AsyncStream.makeStream(of: [String].self)
    let listening = try listen(listener: Forwarder(continuation))
    continuation.onTermination = { _ in listening.cancel() }
    return stream
  }
}

/// Hands changes on to a stream. When the library lets go of it, nothing more can come.
private final class Forwarder: ChangeListener {
  private let continuation: AsyncStream<[String]>.Continuation

  init(_ continuation: AsyncStream<[String]>.Continuation) {
    self.continuation = continuation
  }

  deinit {
    continuation.finish()
  }

  func changed(instruments: [String]) throws {
    continuation.yield(instruments)
  }
}
