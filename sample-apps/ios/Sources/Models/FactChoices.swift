import Fallaway

/// Facts of which one of a few holds: what the ids of their choices begin with.
enum FewFact: String, CaseIterable {
  case hand
  case order
  case nut
  case attached
  case rod
  case rodAt = "rod_at"
  case intonation
}

/// One of the few, by its name in ids.
protocol OneOfFew: Equatable {
  /// Each, in the order in which they are offered; without what only a newer version knows.
  static var offered: [Self] { get }

  /// Its name in ids, and what it is called; `nil` for what only a newer version knows.
  var named: (id: String, words: Say)? { get }
}

extension OneOfFew {
  static func of(_ id: String?) -> Self? { offered.first { $0.named?.id == id } }
}

extension Handedness: OneOfFew {
  static let offered: [Handedness] = [.right, .left]

  var named: (id: String, words: Say)? {
    switch self {
    case .right: ("right", .rightHanded)
    case .left: ("left", .leftHanded)
    case .newer: nil
    }
  }
}

extension Stringing: OneOfFew {
  static let offered: [Stringing] = [.usual, .reversed]

  var named: (id: String, words: Say)? {
    switch self {
    case .usual: ("usual", .orderUsual)
    case .reversed: ("reversed", .orderReversed)
    case .newer: nil
    }
  }
}

extension NutKind: OneOfFew {
  static let offered: [NutKind] = [.slotted, .zeroFret, .locking, .compensated, .roller]

  var named: (id: String, words: Say)? {
    switch self {
    case .slotted: ("slotted", .nutSlotted)
    case .zeroFret: ("zero_fret", .nutZeroFret)
    case .locking: ("locking", .nutLocking)
    case .compensated: ("compensated", .nutCompensated)
    case .roller: ("roller", .nutRoller)
    case .newer: nil
    }
  }
}

extension NeckJoint: OneOfFew {
  static let offered: [NeckJoint] = [.boltOn, .glued, .through]

  var named: (id: String, words: Say)? {
    switch self {
    case .boltOn: ("bolt_on", .neckBolted)
    case .glued: ("glued", .neckGlued)
    case .through: ("through", .neckThrough)
    case .newer: nil
    }
  }
}

extension RodKind: OneOfFew {
  static let offered: [RodKind] = [.oneWay, .twoWay, .absent]

  var named: (id: String, words: Say)? {
    switch self {
    case .oneWay: ("one_way", .rodOneWay)
    case .twoWay: ("two_way", .rodTwoWay)
    case .absent: ("absent", .rodNone)
    case .newer: nil
    }
  }
}

extension RodAccess: OneOfFew {
  static let offered: [RodAccess] = [.head, .heel]

  var named: (id: String, words: Say)? {
    switch self {
    case .head: ("head", .rodAtHead)
    case .heel: ("heel", .rodAtHeel)
    case .newer: nil
    }
  }
}

extension IntonationBy: OneOfFew {
  static let offered: [IntonationBy] = [.ownSaddles, .sharedSaddles, .wholeBridge, .fixed]

  var named: (id: String, words: Say)? {
    switch self {
    case .ownSaddles: ("own_saddles", .intonationEachSaddle)
    case .sharedSaddles: ("shared_saddles", .intonationSharedSaddles)
    case .wholeBridge: ("whole_bridge", .intonationWholeBridge)
    case .fixed: ("fixed", .intonationFixed)
    case .newer: nil
    }
  }
}
