import Fallaway

/// A screen as it is drawn.
public struct Page: Equatable, Identifiable, Sendable {
  /// How many lie beneath it.
  public let id: Int
  /// Names the screen.
  public let name: String
  /// Everything on it, in the order of reading.
  public let elements: [Element]

  /// Its title.
  public var title: String { elements.first?.text ?? "" }

  /// What stands under the title, in blocks; the tabs are apart.
  public var blocks: [Block] {
    var blocks: [Block] = []
    for one in elements.dropFirst() where one.role != .tab {
      let way = Block.Way(one.role)
      if let last = blocks.indices.last, blocks[last].way == way, way != .line {
        blocks[last].elements.append(one)
      } else {
        blocks.append(Block(way: way, elements: [one]))
      }
    }
    return blocks
  }

  /// The tabs under it.
  public var tabs: [Element] { elements.filter { $0.role == .tab } }
}

/// What is drawn together: a line alone, or several side by side.
public struct Block: Equatable, Identifiable, Sendable {
  /// How it is laid.
  public enum Way: Sendable {
    /// One over the width.
    case line
    /// Numbers or cells, as many side by side as have room.
    case numbers
    /// The keypad, four in a row.
    case keys

    init(_ role: Element.Role) {
      switch role {
      case .number, .cell: self = .numbers
      case .key: self = .keys
      default: self = .line
      }
    }
  }

  /// How it is laid.
  public let way: Way
  /// What is in it.
  public internal(set) var elements: [Element]

  /// The id of the first in it.
  public var id: String { elements.first?.id ?? "" }
}

extension Element {
  /// How large a point of its drawing is: of a wide one more, for its smallest letters are of 9 points.
  public var drawingScale: Double { (scene?.widthPt ?? 0) < 300 || value != nil ? 1 : 1.25 }
}

/// A colour, each part from 0 to 1.
public typealias Ink = Colour

/// The colours and lines of the app: those of the core's drawings, so that a screen and what is drawn on it are one.
public struct Palette: Sendable {
  private let look: Look

  /// - Parameters:
  ///   - stage: For the stage, whatever the phone is set to.
  ///   - dark: Whether the phone is set to dark.
  public init(stage: Bool, dark: Bool) {
    look = Fallaway.look(theme: stage ? .stage : dark ? .dark : .light)
  }

  /// What everything stands on.
  public var paper: Ink { look.paper }
  /// Numbers and text.
  public var ink: Ink { colour(.number) }
  /// What is written beside them.
  public var quiet: Ink { colour(.label) }
  /// Rules and frames.
  public var line: Ink { colour(.fret) }
  /// What can be touched.
  public var act: Ink { colour(.act) }
  /// A caution.
  public var caution: Ink { colour(.caution) }
  /// Behind bands and cards.
  public var wash: Ink { colour(.tolerance) }

  /// How a mark of a drawing is painted; `nil` for one that this version does not know.
  public func paint(_ role: MarkRole) -> Paint? { look.paints.first { $0.role == role } }

  private func colour(_ role: MarkRole) -> Ink { paint(role)?.colour ?? look.paper }
}
