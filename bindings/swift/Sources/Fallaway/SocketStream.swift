import Foundation

#if canImport(Darwin)
  import Darwin
#elseif canImport(Glibc)
  import Glibc
#elseif canImport(Musl)
  import Musl
#elseif canImport(Android)
  import Android
#endif

/// Carries a meeting over a connected socket.
///
/// It is the plain socket that every system has. An app for Apple's systems may prefer a stream of its own
/// over Network, which knows of Bonjour and of a network that changes; either way the system asks the person
/// for access to the local network.
public final class SocketStream: ByteStream {
  private let descriptor: Int32

  /// - Parameter descriptor: A connected stream socket, which is closed when this stream is given up.
  public init(descriptor: Int32) {
    self.descriptor = descriptor
    keepSignalsAway(from: descriptor)
  }

  /// Connects to a device that listens.
  ///
  /// - Throws: `StreamError`, if it does not answer.
  public convenience init(host: String, port: Int) throws {
    var connected: Int32 = -1
    try eachAddress(of: host, port: port, listens: false) { address in
      let one = socket(address.ai_family, address.ai_socktype, address.ai_protocol)
      guard one >= 0 else { return false }
      if connect(one, address.ai_addr, address.ai_addrlen) == 0 {
        connected = one
        return true
      }
      _ = close(one)
      return false
    }
    self.init(descriptor: connected)
  }

  deinit {
    _ = close(descriptor)
  }

  /// Ends the connection when the meeting is over: the other device waits for that.
  public func end() {
    _ = shutdown(descriptor, Int32(SHUT_RDWR))
  }

  /// Waits for bytes; called by the library.
  ///
  /// - Throws: `StreamError`, if none came in time, or the connection is gone.
  public func read(most: Int, timeoutMs: Int) throws -> Data {
    let until = DispatchTime.now() + .milliseconds(timeoutMs)
    var piece = [UInt8](repeating: 0, count: max(1, min(most, 65_536)))
    while true {
      try wait(for: Int16(POLLIN), until: until)
      let count = piece.withUnsafeMutableBytes { recv(descriptor, $0.baseAddress, $0.count, 0) }
      if count >= 0 { return Data(piece[..<count]) }
      if !isPassing(errno) { throw gone() }
    }
  }

  /// Sends all of these; called by the library.
  ///
  /// - Throws: `StreamError`, if that took too long, or the connection is gone.
  public func write(bytes: Data, timeoutMs: Int) throws {
    let until = DispatchTime.now() + .milliseconds(timeoutMs)
    var left = bytes[...]
    while !left.isEmpty {
      try wait(for: Int16(POLLOUT), until: until)
      let count = left.withUnsafeBytes { send(descriptor, $0.baseAddress, $0.count, unblocked) }
      if count >= 0 {
        left = left.dropFirst(count)
      } else if !isPassing(errno) {
        throw gone()
      }
    }
  }

  private func wait(for event: Int16, until: DispatchTime) throws {
    while true {
      let now = DispatchTime.now().uptimeNanoseconds
      let left = until.uptimeNanoseconds > now ? until.uptimeNanoseconds - now : 0
      var asked = pollfd(fd: descriptor, events: event, revents: 0)
      let ready = poll(&asked, 1, Int32(clamping: left / 1_000_000 + 1))
      if ready > 0 { return }
      if ready == 0 { throw StreamError.slow(reason: "nothing in time") }
      if !isPassing(errno) { throw gone() }
    }
  }
}

/// Waits for the other device of a meeting.
///
/// ```swift
/// let listener = try SocketListener()
/// // Show the person `listener.port`, the device's address, and the digits of the meeting.
/// let stream = try listener.accept()
/// ```
public final class SocketListener: Sendable {
  private let descriptor: Int32

  /// The port at which it waits.
  public let port: Int

  /// Waits at an address of this device.
  ///
  /// - Parameters:
  ///   - host: Which address; every one of the device if none is named.
  ///   - port: Which port; a free one if it is 0.
  /// - Throws: `StreamError`, if that cannot be had.
  public init(host: String? = nil, port: Int = 0) throws {
    var listening: Int32 = -1
    try eachAddress(of: host, port: port, listens: true) { address in
      let one = socket(address.ai_family, address.ai_socktype, address.ai_protocol)
      guard one >= 0 else { return false }
      if bind(one, address.ai_addr, address.ai_addrlen) == 0, listen(one, 1) == 0 {
        listening = one
        return true
      }
      _ = close(one)
      return false
    }
    var name = sockaddr_storage()
    var length = socklen_t(MemoryLayout<sockaddr_storage>.size)
    let named = withUnsafeMutablePointer(to: &name) {
      $0.withMemoryRebound(to: sockaddr.self, capacity: 1) { getsockname(listening, $0, &length) }
    }
    guard named == 0 else {
      _ = close(listening)
      throw gone()
    }
    // Both families have the port in the two bytes behind the family.
    self.port = withUnsafeBytes(of: name) { Int($0[2]) << 8 | Int($0[3]) }
    descriptor = listening
  }

  deinit {
    _ = close(descriptor)
  }

  /// The next device that comes. Waits for it.
  ///
  /// - Throws: `StreamError`, if the listener is gone.
  public func accept() throws -> SocketStream {
    while true {
      let came = acceptConnection(descriptor)
      if came >= 0 { return SocketStream(descriptor: came) }
      if !isPassing(errno) { throw gone() }
    }
  }
}

/// The name of the method hides that of the call.
private func acceptConnection(_ descriptor: Int32) -> Int32 {
  accept(descriptor, nil, nil)
}

/// Tries the addresses of a host one after the other, until one is taken.
private func eachAddress(
  of host: String?, port: Int, listens: Bool, _ take: (addrinfo) -> Bool
) throws {
  var hints = addrinfo()
  #if canImport(Glibc)
    hints.ai_socktype = Int32(SOCK_STREAM.rawValue)
  #else
    hints.ai_socktype = SOCK_STREAM
  #endif
  hints.ai_flags = listens ? AI_PASSIVE : 0
  // A family that is missing on the device must not take the other one with it.
  hints.ai_family = listens && host == nil ? AF_INET : AF_UNSPEC
  var found: UnsafeMutablePointer<addrinfo>?
  guard getaddrinfo(host, String(port), &hints, &found) == 0 else {
    throw StreamError.gone(reason: "no such address")
  }
  defer { freeaddrinfo(found) }
  var next = found
  while let address = next {
    if take(address.pointee) { return }
    next = address.pointee.ai_next
  }
  throw gone()
}

/// The number of the failure, which holds no address.
private func gone() -> StreamError { .gone(reason: "errno \(errno)") }

private func isPassing(_ number: Int32) -> Bool {
  number == EINTR || number == EAGAIN || number == EWOULDBLOCK
}

#if canImport(Darwin)
  private let unblocked = Int32(MSG_DONTWAIT)
#else
  private let unblocked = Int32(MSG_DONTWAIT) | Int32(MSG_NOSIGNAL)
#endif

/// A connection that is gone is an answer, and no reason to end the app.
private func keepSignalsAway(from descriptor: Int32) {
  #if canImport(Darwin)
    var on: Int32 = 1
    _ = setsockopt(
      descriptor, SOL_SOCKET, SO_NOSIGPIPE, &on, socklen_t(MemoryLayout<Int32>.size))
  #endif
}
