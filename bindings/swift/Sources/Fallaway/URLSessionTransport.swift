import Foundation

#if canImport(FoundationNetworking)
  import FoundationNetworking
#endif

/// Carries requests to relays by `URLSession`: certificates, proxies and App Transport Security are the
/// platform's. It keeps no cookies and no cache, and follows no redirect.
///
/// Keep one for the app. The library calls it on a queue that may block.
public final class URLSessionTransport: HttpTransport {
  private let session: URLSession
  private let exchanges: Exchanges

  /// - Parameter configuration: How the session works, for an app that has its own wishes; not one for the
  ///   background, whose transfers answer later than a call can wait.
  public init(configuration: URLSessionConfiguration = .ephemeral) {
    configuration.requestCachePolicy = .reloadIgnoringLocalCacheData
    configuration.httpShouldSetCookies = false
    exchanges = Exchanges()
    session = URLSession(configuration: configuration, delegate: exchanges, delegateQueue: nil)
  }

  deinit {
    session.finishTasksAndInvalidate()
  }

  /// Sends one request and waits for its answer; called by the library.
  ///
  /// - Throws: `TransportError`, if no answer came.
  public func send(request: HttpRequest) throws -> HttpResponse {
    guard let url = URL(string: request.url) else {
      throw TransportError.offline(reason: "the address is none")
    }
    var wanted = URLRequest(url: url, timeoutInterval: TimeInterval(request.timeoutS))
    wanted.httpMethod = request.method
    for header in request.headers {
      wanted.setValue(header.value, forHTTPHeaderField: header.name)
    }
    if request.method == "POST" || request.method == "PUT" { wanted.httpBody = request.body }
    let task = session.dataTask(with: wanted)
    let exchange = exchanges.begin(task, atMost: request.maxBody)
    task.resume()
    return try exchange.wait(seconds: request.timeoutS)
  }

  /// Ends every request that is under way; they count as offline. Use no transport after that.
  public func cancel() {
    session.invalidateAndCancel()
  }
}

/// One request that is under way.
private final class Exchange: @unchecked Sendable {
  // The lock guards what follows it.
  private let lock = NSLock()
  private var body = Data()
  private var result: Result<HttpResponse, TransportError>?
  private let done = DispatchSemaphore(value: 0)
  private let task: URLSessionTask
  private let most: Int

  init(_ task: URLSessionTask, atMost most: Int) {
    self.task = task
    self.most = most
  }

  func wait(seconds: Int) throws -> HttpResponse {
    // The session's own time begins anew with each piece.
    if done.wait(timeout: .now() + .seconds(seconds)) == .timedOut {
      end(.failure(.slow(reason: "no answer in time")))
      task.cancel()
    }
    let came = lock.withLock { result }
    return try (came ?? .failure(.offline(reason: "no answer"))).get()
  }

  func take(_ piece: Data) {
    let fits = lock.withLock {
      body.append(piece)
      return body.count <= most
    }
    if !fits {
      end(.failure(.garbage(reason: "the answer is too long")))
      task.cancel()
    }
  }

  func end(error: (any Error)?) {
    if let error {
      end(.failure(TransportError(error)))
      return
    }
    guard let response = task.response as? HTTPURLResponse else {
      end(.failure(.garbage(reason: "the answer is not HTTP")))
      return
    }
    let headers = response.allHeaderFields.compactMap { name, value -> HttpHeader? in
      guard let name = name as? String, let value = value as? String else { return nil }
      return HttpHeader(name: name, value: value)
    }
    let body = lock.withLock { self.body }
    end(.success(HttpResponse(status: response.statusCode, headers: headers, body: body)))
  }

  /// What came first counts.
  private func end(_ result: Result<HttpResponse, TransportError>) {
    let isFirst = lock.withLock {
      guard self.result == nil else { return false }
      self.result = result
      return true
    }
    if isFirst { done.signal() }
  }
}

/// Those of one session.
private final class Exchanges: NSObject, URLSessionDataDelegate, @unchecked Sendable {
  // The lock guards `underWay`, the only state.
  private let lock = NSLock()
  private var underWay: [Int: Exchange] = [:]

  func begin(_ task: URLSessionTask, atMost most: Int) -> Exchange {
    let exchange = Exchange(task, atMost: most)
    lock.withLock { underWay[task.taskIdentifier] = exchange }
    return exchange
  }

  func urlSession(_ session: URLSession, dataTask: URLSessionDataTask, didReceive data: Data) {
    lock.withLock { underWay[dataTask.taskIdentifier] }?.take(data)
  }

  func urlSession(
    _ session: URLSession, task: URLSessionTask, didCompleteWithError error: (any Error)?
  ) {
    lock.withLock { underWay.removeValue(forKey: task.taskIdentifier) }?.end(error: error)
  }

  func urlSession(
    _ session: URLSession, task: URLSessionTask,
    willPerformHTTPRedirection response: HTTPURLResponse, newRequest request: URLRequest,
    completionHandler: @escaping @Sendable (URLRequest?) -> Void
  ) {
    completionHandler(nil)
  }
}

extension TransportError {
  /// What a failure of the platform means. Its number is said and not its words, which may hold the address.
  fileprivate init(_ error: any Error) {
    let failed = error as NSError
    let reason = "\(failed.domain) \(failed.code)"
    let code = failed.domain == NSURLErrorDomain ? failed.code : 0
    switch code {
    case NSURLErrorTimedOut:
      self = .slow(reason: reason)
    case NSURLErrorServerCertificateUntrusted, NSURLErrorServerCertificateHasBadDate,
      NSURLErrorServerCertificateHasUnknownRoot, NSURLErrorServerCertificateNotYetValid,
      NSURLErrorSecureConnectionFailed, NSURLErrorAppTransportSecurityRequiresSecureConnection:
      self = .untrusted(reason: reason)
    case NSURLErrorBadServerResponse, NSURLErrorCannotParseResponse,
      NSURLErrorCannotDecodeRawData, NSURLErrorCannotDecodeContentData,
      NSURLErrorHTTPTooManyRedirects:
      self = .garbage(reason: reason)
    default:
      self = .offline(reason: reason)
    }
  }
}
