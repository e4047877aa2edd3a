// What the app uses of Network, declared for type-checking on Linux. Each declaration follows the page of Apple's
// documentation that is named above it, below https://developer.apple.com/documentation/network/ (written down from
// memory; compare when one is changed). On Apple systems this target does not exist.
import Foundation

// nwparameters/tcp
public final class NWParameters: Sendable { public static let tcp = NWParameters() }

// nwerror
public enum NWError: Error { case posix(Int32) }

// nwinterface, nwendpoint/service(name:type:domain:interface:)
public struct NWInterface: Hashable, Sendable {}
public enum NWEndpoint: Hashable, Sendable {
  case service(name: String, type: String, domain: String, interface: NWInterface?)
}

// nwconnection, nwconnection/contentcontext, nwconnection/sendcompletion, nwconnection/start(queue:),
// nwconnection/receive(minimumincompletelength:maximumlength:completion:),
// nwconnection/send(content:contentcontext:iscomplete:completion:), nwconnection/cancel()
public final class NWConnection: Sendable {
  public final class ContentContext: Sendable {}
  public enum SendCompletion: Sendable {
    case contentProcessed(@Sendable (NWError?) -> Void)
  }
  public init(to: NWEndpoint, using: NWParameters) {}
  public func start(queue: DispatchQueue) {}
  public func receive(
    minimumIncompleteLength: Int, maximumLength: Int,
    completion: @escaping @Sendable (Data?, ContentContext?, Bool, NWError?) -> Void
  ) {}
  public func send(content: Data?, completion: SendCompletion) {}
  public func cancel() {}
}

// nwlistener, nwlistener/service, nwlistener/newconnectionhandler
public final class NWListener: @unchecked Sendable {
  public struct Service: Sendable { public init(name: String?, type: String) {} }
  public init(using: NWParameters) throws {}
  public var service: Service?
  public var newConnectionHandler: (@Sendable (NWConnection) -> Void)?
  public func start(queue: DispatchQueue) {}
  public func cancel() {}
}

// nwbrowser, nwbrowser/descriptor, nwbrowser/result, nwbrowser/result/change,
// nwbrowser/browseresultschangedhandler
public final class NWBrowser: @unchecked Sendable {
  public enum Descriptor: Sendable { case bonjour(type: String, domain: String?) }
  public struct Result: Hashable, Sendable {
    public enum Change: Hashable, Sendable { case identical }
    public let endpoint: NWEndpoint
  }
  public init(for descriptor: Descriptor, using: NWParameters) {}
  public var browseResultsChangedHandler: (@Sendable (Set<Result>, Set<Result.Change>) -> Void)?
  public func start(queue: DispatchQueue) {}
  public func cancel() {}
}
