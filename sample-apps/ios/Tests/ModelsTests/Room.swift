import Fallaway
import Foundation

@testable import Models

/// Phones in one room, joined without a network: whoever listens waits until another one comes with its digits.
actor Room {
  private struct Listening {
    let label: String
    let comes: CheckedContinuation<Connection?, Never>
  }

  private var listening: [String: Listening] = [:]

  func waits(_ label: String) -> Bool { listening.values.contains { $0.label == label } }

  func listen(_ label: String, _ digits: String) async -> Connection? {
    await withCheckedContinuation { listening[digits] = Listening(label: label, comes: $0) }
  }

  func find(_ digits: String) -> Connection? {
    guard let one = listening.removeValue(forKey: digits) else { return nil }
    let (there, back) = (Pipe(), Pipe())
    one.comes.resume(returning: Self.connection(there, back))
    return Self.connection(back, there)
  }

  func stop(_ label: String) {
    for (digits, one) in listening where one.label == label {
      listening[digits] = nil
      one.comes.resume(returning: nil)
    }
  }

  private static func connection(_ from: Pipe, _ to: Pipe) -> Connection {
    Connection(stream: Piped(from: from, to: to)) { to.put(Data()) }
  }
}

/// The room as one of the phones has it.
struct InRoom: Nearby {
  let room: Room
  let label: String

  func listen(digits: String) async -> Connection? { await room.listen(label, digits) }
  func find(digits: String) async -> Connection? { await room.find(digits) }
  func stop() async { await room.stop(label) }
}

/// Two pipes, one each way.
final class Piped: ByteStream {
  private let from: Pipe
  private let to: Pipe

  init(from: Pipe, to: Pipe) {
    self.from = from
    self.to = to
  }

  func read(most: Int, timeoutMs: Int) throws -> Data { try from.take(most, timeoutMs) }
  func write(bytes: Data, timeoutMs: Int) throws { to.put(bytes) }
}

/// Bytes one way; a piece without any is the end.
final class Pipe: @unchecked Sendable {
  // The condition guards the pieces.
  private let condition = NSCondition()
  private var pieces: [Data] = []

  func put(_ bytes: Data) {
    condition.lock()
    pieces.append(bytes)
    condition.signal()
    condition.unlock()
  }

  func take(_ most: Int, _ timeoutMs: Int) throws -> Data {
    condition.lock()
    defer { condition.unlock() }
    let until = Date().addingTimeInterval(Double(timeoutMs) / 1000)
    while pieces.isEmpty {
      guard condition.wait(until: until) else { throw StreamError.slow(reason: "nothing came") }
    }
    let first = pieces.removeFirst()
    let piece = Data(first.prefix(most))
    if piece.count < first.count { pieces.insert(Data(first.dropFirst(most)), at: 0) }
    return piece
  }
}
