import Fallaway

/// Finds another phone in the room. Who waits is answered `nil` if nobody came or ``stop()`` was called.
public protocol Nearby: Sendable {
  /// Waits for the phone that is given these digits.
  func listen(digits: String) async -> Connection?
  /// Goes to the phone that shows these digits.
  func find(digits: String) async -> Connection?
  /// Ends the waiting.
  func stop() async
}

/// Two phones are connected.
public struct Connection: Sendable {
  /// What carries the meeting.
  public let stream: any ByteStream
  /// Ends it when the meeting is over: the other phone waits for that.
  public let end: @Sendable () -> Void

  /// - Parameters:
  ///   - stream: What carries the meeting.
  ///   - end: Ends it.
  public init(stream: any ByteStream, end: @escaping @Sendable () -> Void) {
    self.stream = stream
    self.end = end
  }
}
