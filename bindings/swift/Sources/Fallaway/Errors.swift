import Foundation

extension FallawayError: LocalizedError {
  /// What went wrong, in a sentence that a person can be shown.
  public var errorDescription: String? { text() }

  /// Whether the same call may succeed if it is simply made again a little later.
  public var mayPass: Bool {
    if case .busy = self { return true }
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
