import Foundation

extension FallawayError: LocalizedError {
  /// What went wrong, in a sentence that a person can be shown.
  public var errorDescription: String? { text() }

  /// Whether the same call may succeed if it is simply made again a little later.
  public var mayPass: Bool {
    // Called from inside one of its own callbacks, the library would answer so for ever.
    if case .busy(_, let why) = self { return why != .callback }
    return false
  }
}

extension ForeignError: LocalizedError {
  /// What happened, in words.
  public var errorDescription: String? {
    switch self {
    case .failed(let reason): return reason
    }
  }
}
