import Foundation

extension Workshop {
  /// Opens the workshop in a folder, which is made if it is missing.
  ///
  /// On an Apple system give a `KeychainKeeper`, so that the secrets stay out of backups.
  ///
  /// - Parameters:
  ///   - folder: A folder of the app's own. On a phone take one that may be read after the first
  ///     unlock, such as Application Support with `FileProtectionType.completeUntilFirstUserAuthentication`.
  ///   - label: How this device is shown to others, such as "tech".
  ///   - keeper: Keeps the secrets; without one they lie in private files inside the folder, which must
  ///     then stay out of backups.
  /// - Throws: `FallawayError`: `Storage`, `Keys`, `BadInput` for the label, `Busy`, `Full`.
  public static func open(
    folder: URL, label: String, keeper: SecretKeeper? = nil
  ) throws -> Workshop {
    try open(options: WorkshopOptions(folder: folder.path, label: label), keeper: keeper)
  }

  /// Opens the workshop in a folder, which is made if it is missing; the calling task is suspended
  /// meanwhile.
  ///
  /// - Parameters:
  ///   - folder: A folder of the app's own.
  ///   - label: How this device is shown to others, such as "tech".
  ///   - keeper: Keeps the secrets; without one they lie in private files inside the folder.
  ///   - queue: Where the work is done.
  /// - Throws: `FallawayError`: `Storage`, `Keys`, `BadInput` for the label, `Busy`, `Full`.
  public static func open(
    folder: URL, label: String, keeper: SecretKeeper? = nil, on queue: DispatchQueue = .fallaway
  ) async throws -> Workshop {
    try await blocking(on: queue) { try open(folder: folder, label: label, keeper: keeper) }
  }
}

extension Moment {
  /// A date as a moment at the place of this device.
  ///
  /// - Parameters:
  ///   - date: Seconds are kept, fractions dropped.
  ///   - zone: Where; it gives the offset from UTC that held then.
  public init(_ date: Date, in zone: TimeZone = .current) {
    self.init(
      unixS: Int64(date.timeIntervalSince1970.rounded(.down)),
      offsetMin: Int32(zone.secondsFromGMT(for: date) / 60))
  }

  /// The moment as a date.
  public var date: Date { Date(timeIntervalSince1970: TimeInterval(unixS)) }

  /// The time zone, as far as it is known: its offset.
  public var zone: TimeZone? { TimeZone(secondsFromGMT: Int(offsetMin) * 60) }
}

extension StringPlace: ExpressibleByIntegerLiteral {
  /// The only string of a course, or a course as a whole: `3` is the third from the treble side.
  public init(integerLiteral course: UInt32) {
    self.init(course: course)
  }
}

extension Figure: CustomStringConvertible {
  /// What to show: as it was written if it was, else the number with its unit.
  public var description: String { text }

  /// The value as a length; `nil` for what is none.
  public var length: Measurement<UnitLength>? {
    unit == .millimetre ? Measurement(value: value, unit: .millimeters) : nil
  }
}

extension InstrumentSummary: Identifiable {}

extension TemplateInfo: Identifiable {}
