import Foundation

extension FallawayError: LocalizedError {
  /// What went wrong, in a sentence that a person can be shown.
  public var errorDescription: String? {
    switch self {
    case .NotFound(let what, let name, let accepted):
      return "There is no \(what) “\(name)”." + (accepted.isEmpty ? "" : " (\(accepted))")
    case .BadInput(let field, let reason, let accepted):
      return "\(field): \(reason)" + (accepted.isEmpty ? "" : " (\(accepted))")
    case .Unsure(let field, let reason):
      return "\(field): \(reason). Is it right?"
    case .Contested(let field):
      return "\(field): other values have arrived since. Look at them first."
    case .ReadOnly(let reason): return "Read only: \(reason)"
    case .Refused(let reason): return "Refused: \(reason)"
    case .NotAllowed(let reason): return "Not allowed: \(reason)"
    case .Busy(let reason): return "The store is busy: \(reason)"
    case .Full(let reason): return "No room left: \(reason)"
    case .Storage(let reason): return "The store cannot be used: \(reason)"
    case .Keys(let reason): return "This device's keys are unavailable: \(reason)"
    case .Closed: return "The workshop was shut down."
    case .Cancelled: return "Cancelled."
    case .Internal(let reportId, let reason): return "Internal error \(reportId): \(reason)"
    }
  }

  /// Whether the same call may succeed if it is simply made again a little later.
  public var mayPass: Bool {
    if case .Busy = self { return true }
    return false
  }
}

extension ForeignError: LocalizedError {
  /// What happened, in words.
  public var errorDescription: String? {
    switch self {
    case .Failed(let reason): return reason
    }
  }
}
