// Not run where the project is checked, which has no Apple system: see README.md.
import Fallaway
import Foundation
import Models
import Network

/// Finds another phone in the same network: the digits are the name of a service.
/// https://developer.apple.com/documentation/network/nwlistener and https://developer.apple.com/documentation/network/nwbrowser
final class NetworkNearby: Nearby {
  /// Longer than this nobody waits in a room.
  private static let patience: Duration = .seconds(120)
  private static let type = "_fallaway._tcp"
  private let queue = DispatchQueue(label: "nearby")
  private let waiting = Waiting()

  func listen(digits: String) async -> Models.Connection? {
    guard let listener = try? NWListener(using: .tcp) else { return nil }
    listener.service = NWListener.Service(name: digits, type: Self.type)
    defer { listener.cancel() }
    return await first { found in
      listener.newConnectionHandler = found
      listener.start(queue: self.queue)
    }
  }

  func find(digits: String) async -> Models.Connection? {
    let browser = NWBrowser(for: .bonjour(type: Self.type, domain: nil), using: .tcp)
    defer { browser.cancel() }
    return await first { found in
      browser.browseResultsChangedHandler = { results, _ in
        let theirs = results.first { one in
          if case .service(let name, _, _, _) = one.endpoint { name == digits } else { false }
        }
        if let theirs { found(NWConnection(to: theirs.endpoint, using: .tcp)) }
      }
      browser.start(queue: self.queue)
    }
  }

  func stop() async { waiting.end(with: nil) }

  /// The first connection that is found, until patience ends.
  private func first(_ search: (@escaping @Sendable (NWConnection) -> Void) -> Void) async
    -> Models.Connection?
  {
    let waiting = waiting
    let timer = Task {
      try await Task.sleep(for: Self.patience)
      waiting.end(with: nil)
    }
    defer { timer.cancel() }
    let found = await withCheckedContinuation { continuation in
      waiting.begin(continuation)
      search { waiting.end(with: $0) }
    }
    guard let found else { return nil }
    found.start(queue: queue)
    return Models.Connection(stream: NetworkStream(found)) { found.cancel() }
  }

  /// Whoever waits is answered once.
  private final class Waiting: @unchecked Sendable {
    // The lock guards the continuation.
    private let lock = NSLock()
    private var continuation: CheckedContinuation<NWConnection?, Never>?

    func begin(_ continuation: CheckedContinuation<NWConnection?, Never>) {
      lock.withLock { self.continuation = continuation }
    }

    func end(with connection: NWConnection?) {
      let waits = lock.withLock {
        defer { continuation = nil }
        return continuation
      }
      if let waits { waits.resume(returning: connection) } else { connection?.cancel() }
    }
  }
}

/// Carries a meeting over a connection: the library waits for bytes, Network tells of them.
final class NetworkStream: ByteStream {
  private let connection: NWConnection

  init(_ connection: NWConnection) {
    self.connection = connection
  }

  func read(most: Int, timeoutMs: Int) throws -> Data {
    try answer(within: timeoutMs) { put in
      self.connection.receive(minimumIncompleteLength: 1, maximumLength: most) {
        data, _, _, error in
        if let data, !data.isEmpty { put(.success(data)) } else { put(Self.ended(error)) }
      }
    }
  }

  func write(bytes: Data, timeoutMs: Int) throws {
    _ = try answer(within: timeoutMs) { put in
      self.connection.send(
        content: bytes,
        completion: .contentProcessed { error in
          put(Self.ended(error))
        })
    }
  }

  private static func ended(_ error: NWError?) -> Result<Data, any Error> {
    guard let error else { return .success(Data()) }
    return .failure(StreamError.gone(reason: String(describing: error)))
  }

  private func answer(
    within timeoutMs: Int, _ ask: (@escaping @Sendable (Result<Data, any Error>) -> Void) -> Void
  ) throws -> Data {
    let answered = DispatchSemaphore(value: 0)
    let kept = Kept()
    ask { result in
      kept.put(result)
      answered.signal()
    }
    guard answered.wait(timeout: .now() + .milliseconds(timeoutMs)) == .success else {
      throw StreamError.slow(reason: "no answer in time")
    }
    return try kept.taken().get()
  }

  private final class Kept: @unchecked Sendable {
    // The lock guards the result.
    private let lock = NSLock()
    private var result: Result<Data, any Error> = .success(Data())

    func put(_ result: Result<Data, any Error>) { lock.withLock { self.result = result } }
    func taken() -> Result<Data, any Error> { lock.withLock { result } }
  }
}
