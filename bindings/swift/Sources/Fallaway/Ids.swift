// Ids, each a type of its own: what names an entry names no instrument.

/// Names an instrument: the same on every device.
public struct InstrumentId: Hashable, Codable, Sendable, CustomStringConvertible {
  /// How it is written; a text that is none is refused by the call that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}

/// Names an entry of a history: the same on every device.
public struct EntryId: Hashable, Codable, Sendable, CustomStringConvertible {
  /// How it is written; a text that is none is refused by the call that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}

/// Names a visit, by the entry that opened it.
public struct VisitId: Hashable, Codable, Sendable, CustomStringConvertible {
  /// How it is written; a text that is none is refused by the call that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}

/// Names a step of a plan: the same as long as nothing changes that the step rests on.
public struct StepId: Hashable, Codable, Sendable, CustomStringConvertible {
  /// How it is written; a text that is none is refused by the call that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}

/// Names a setup within the record of an instrument: it stays when the setup is called something else.
public struct SetupId: Hashable, Codable, Sendable, CustomStringConvertible,
  ExpressibleByStringLiteral
{
  /// How it is written, 1 to 40 of a to z, 0 to 9 and -; a text that is none is refused by the call
  /// that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// The id that is written so: `"stage"`.
  public init(stringLiteral text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}

/// Names one of several values of a field.
public struct VersionId: Hashable, Codable, Sendable, CustomStringConvertible {
  /// How it is written; a text that is none is refused by the call that it is given to.
  public let text: String

  /// The id that is written so.
  public init(_ text: String) { self.text = text }

  /// How it is written.
  public var description: String { text }
}
