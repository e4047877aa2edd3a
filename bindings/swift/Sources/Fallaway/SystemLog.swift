// Compiled on Apple systems only, and so not verified on the machine where the project is checked.
#if canImport(os)
  import os

  /// Writes the library's lines into the unified log of an Apple system.
  public final class SystemLog: LogSink {
    private let logger: Logger

    /// - Parameters:
    ///   - subsystem: The app's subsystem.
    ///   - category: The category under which the lines stand.
    public init(subsystem: String = "dev.fallaway", category: String = "library") {
      logger = Logger(subsystem: subsystem, category: category)
    }

    /// Writes one line. The library's lines hold no names, readings or secrets.
    public func log(level: LogLevel, line: String) throws {
      switch level {
      case .info: logger.info("\(line, privacy: .public)")
      case .warning: logger.warning("\(line, privacy: .public)")
      case .failure: logger.error("\(line, privacy: .public)")
      }
    }
  }
#endif
