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
  /// - Throws: `FallawayError.closed`.
  public func changes() throws -> AsyncStream<[InstrumentId]> {
    let (stream, continuation) = AsyncStream.makeStream(of: [InstrumentId].self)
    let listening = try listen(listener: Forwarder(continuation))
    continuation.onTermination = { _ in listening.cancel() }
    return stream
  }

  /// One item each time that this instrument changed; see ``changes()``. What a screen shows of it,
  /// such as an `@Observable` model, is read anew then.
  ///
  /// - Throws: `FallawayError.closed`.
  public func changes(of instrument: InstrumentId) throws -> AsyncStream<Void> {
    let (stream, continuation) = AsyncStream.makeStream(of: Void.self)
    let listening = try listen(listener: OneOf(instrument, continuation))
    continuation.onTermination = { _ in listening.cancel() }
    return stream
  }
}

/// Hands the changes of one instrument on to a stream.
private final class OneOf: ChangeListener {
  private let instrument: InstrumentId
  private let continuation: AsyncStream<Void>.Continuation

  init(_ instrument: InstrumentId, _ continuation: AsyncStream<Void>.Continuation) {
    self.instrument = instrument
    self.continuation = continuation
  }

  deinit {
    continuation.finish()
  }

  func changed(instruments: [InstrumentId]) throws {
    if instruments.contains(instrument) { continuation.yield() }
  }
}

/// Hands changes on to a stream. When the library lets go of it, nothing more can come.
private final class Forwarder: ChangeListener {
  private let continuation: AsyncStream<[InstrumentId]>.Continuation

  init(_ continuation: AsyncStream<[InstrumentId]>.Continuation) {
    self.continuation = continuation
  }

  deinit {
    continuation.finish()
  }

  func changed(instruments: [InstrumentId]) throws {
    continuation.yield(instruments)
  }
}
