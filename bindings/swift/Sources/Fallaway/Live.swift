// Apple systems have Observation; the one of Swift on Linux, where it is packaged by Debian, cannot be
// linked without a flag, which the tests give.
#if canImport(Darwin) || FALLAWAY_LIVE
  import Observation

  /// What a screen shows of an instrument, read anew each time that it changes.
  ///
  /// ```swift
  /// @State private var card = Live<Card>()
  ///
  /// var body: some View {
  ///   List(card.value?.lines ?? []) { CardRow(line: $0) }
  ///     .task { await card.follow(bass.id, in: workshop) { try await bass.card() } }
  /// }
  /// ```
  ///
  /// A plan and what is stale change with the day, too: read anew when the app comes to the front, with
  /// another `task(id:)`.
  @available(iOS 17, macOS 14, *)
  @MainActor
  @Observable
  public final class Live<Value: Sendable> {
    /// What was read last; `nil` until then, and kept when reading fails.
    public private(set) var value: Value?

    /// Why it could not be read the last time; `nil` if it could.
    public private(set) var error: (any Error)?

    /// Nothing read yet.
    public init() {}

    /// Reads now and after each change of the instrument, until the task is cancelled or the workshop is
    /// gone.
    ///
    /// - Parameters:
    ///   - instrument: The instrument's id.
    ///   - workshop: The workshop that keeps it.
    ///   - read: Reads what is shown.
    public func follow(
      _ instrument: InstrumentId, in workshop: Workshop, read: @Sendable () async throws -> Value
    ) async {
      do {
        let changes = try workshop.changes(of: instrument)
        await show(read)
        for await _ in changes { await show(read) }
      } catch {
        self.error = error
      }
    }

    private func show(_ read: @Sendable () async throws -> Value) async {
      do {
        value = try await read()
        error = nil
      } catch is CancellationError {
        // Nobody looks any more.
      } catch {
        self.error = error
      }
    }
  }
#endif
