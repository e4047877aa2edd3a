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
  ///   - log: Takes lines for the app's log.
  ///   - time: Tells the time; the device's clock, if none is given.
  ///   - random: Draws keys; the system's source, if none is given.
  /// - Throws: `FallawayError`: `storage`, `keys`, `badInput` for the label, `busy`, `full`.
  public static func openBlocking(
    folder: URL, label: String, keeper: (any SecretKeeper)? = nil, log: (any LogSink)? = nil,
    time: (any TimeSource)? = nil, random: (any RandomSource)? = nil
  ) throws -> Workshop {
    try openBlocking(
      options: WorkshopOptions(folder: folder.path, label: label), keeper: keeper, log: log,
      time: time, random: random)
  }

  /// Opens the workshop in a folder, which is made if it is missing; the calling task is suspended
  /// meanwhile.
  ///
  /// - Parameters:
  ///   - folder: A folder of the app's own.
  ///   - label: How this device is shown to others, such as "tech".
  ///   - keeper: Keeps the secrets; without one they lie in private files inside the folder.
  ///   - log: Takes lines for the app's log.
  ///   - time: Tells the time; the device's clock, if none is given.
  ///   - random: Draws keys; the system's source, if none is given.
  ///   - queue: Where the work is done.
  /// - Throws: `FallawayError`: `storage`, `keys`, `badInput` for the label, `busy`, `full`.
  public static func open(
    folder: URL, label: String, keeper: (any SecretKeeper)? = nil, log: (any LogSink)? = nil,
    time: (any TimeSource)? = nil, random: (any RandomSource)? = nil,
    on queue: DispatchQueue = .fallaway
  ) async throws -> Workshop {
    try await blocking(on: queue) {
      try openBlocking(
        folder: folder, label: label, keeper: keeper, log: log, time: time, random: random)
    }
  }
}

extension InstrumentProtocol {
  /// The whole history, oldest first. For a screen take the last page: ``historyBlocking(filter:)``
  /// with `last`.
  ///
  /// - Throws: `FallawayError`, when the record cannot be read.
  public func historyBlocking() throws -> [HistoryEntry] {
    try historyBlocking(filter: HistoryFilter())
  }

  /// The whole history, oldest first; the calling task is suspended meanwhile.
  ///
  /// - Parameter queue: Where the work is done.
  /// - Throws: `FallawayError`, when the record cannot be read.
  public func history(on queue: DispatchQueue = .fallaway) async throws -> [HistoryEntry] {
    try await blocking(on: queue) { try self.historyBlocking() }
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

extension Quantity {
  /// Action, or a nut reading: from the string's underside to the crown of a fret.
  ///
  /// - Parameters:
  ///   - stopped: Where the string is stopped; 0 for an open string.
  ///   - over: The fret over which the gap is read.
  public static func action(stopped: Int, over: Int) -> Quantity {
    .gap(stoppedFret: stopped, overFret: over)
  }

  /// Height at the nut, over the first fret.
  ///
  /// - Parameter stopped: Where the string is held, commonly 3; 0 for an open string.
  public static func nut(stopped: Int = 0) -> Quantity { .action(stopped: stopped, over: 1) }

  /// Relief where it is largest, under a string that is stopped at both ends, or a straight edge.
  ///
  /// - Parameters:
  ///   - from: Where the line begins, commonly 1.
  ///   - to: Where it ends.
  public static func relief(from: Int, to: Int) -> Quantity {
    .relief(fromFret: from, toFret: to, atFret: nil)
  }
}

extension Location {
  /// The string of a course, or a course as a whole, counted from the treble side.
  public static func string(_ place: StringPlace) -> Location { .oneString(place: place) }
}

extension Entered: ExpressibleByStringLiteral {
  /// A value as a person writes it, with its unit: `"1.75 mm"`, `"5/64 in"`.
  public init(stringLiteral text: String) {
    self.init(text: text)
  }
}

extension Plan {
  /// The step to do next: show it first, the rest folded. `nil` if everything is settled.
  public var next: PlanStep? {
    guard let nextStep, steps.indices.contains(Int(nextStep)) else { return nil }
    return steps[Int(nextStep)]
  }
}

extension Instrument: Identifiable {}

extension HistoryEntry: Identifiable {}

extension ContestedVersion: Identifiable {}

extension ContestedField: Identifiable {
  /// The field's key in the record.
  public var id: String { field }
}

extension Setup: Identifiable {}

extension PlanStep: Identifiable {}

extension StringPlace: ExpressibleByIntegerLiteral {
  /// The only string of a course, or a course as a whole: `3` is the third from the treble side.
  public init(integerLiteral course: Int) {
    self.init(course: course)
  }
}

extension Estimate: CustomStringConvertible {
  /// What to show: as it was written if it was, else the number with its unit.
  public var description: String { text }

  /// The value as a length; `nil` for what is none.
  public var length: Measurement<UnitLength>? {
    unit == .millimetre ? Measurement(value: value, unit: .millimeters) : nil
  }
}

extension CardLine: Identifiable {
  /// What is read, and where: no card has two lines of one.
  public struct ID: Hashable, Sendable {
    let quantity: Quantity
    let location: Location
  }

  /// What is read, and where.
  public var id: ID { ID(quantity: quantity, location: location) }
}

extension Caution: Identifiable {
  /// Which.
  public var id: Hazard { hazard }
}

extension Person: Identifiable {
  /// The short text that names the device's key.
  public var id: String { fingerprint }
}

extension Suspect: Identifiable {
  /// The cause.
  public var id: BuzzCause { cause }
}

extension VisitLine: Identifiable {
  /// The entry that opened the visit.
  public var id: VisitId { visit.id }
}

extension Visit: Identifiable {}

extension InstrumentSummary: Identifiable {}

extension TemplateInfo: Identifiable {}
