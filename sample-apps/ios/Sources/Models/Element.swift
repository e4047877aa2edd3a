import Fallaway
import Foundation

/// One thing on a screen. A screen is the list of them, in the order in which they are read: what is drawn and
/// what is spoken come from the same list.
public struct Element: Equatable, Identifiable, Sendable {
  /// What an element is: how it is drawn and what a screen reader calls it.
  public enum Role: String, CaseIterable, Sendable {
    /// Begins a part of the screen; the first one is the screen's title.
    case heading
    /// A sentence.
    case text
    /// One number, large: `text` says of what, `value` is the number.
    case number
    /// A caution; it is never left out.
    case caution
    /// What has to be known first: a question, an error, two values.
    case banner
    /// A line of a list.
    case row
    /// Does something.
    case button
    /// One of several, of which one is chosen.
    case choice
    /// On or off.
    case toggle
    /// Takes a text.
    case field
    /// One place of a pass on the keypad; its `value` is what was typed.
    case cell
    /// A key of the keypad.
    case key
    /// A number that a finger moves.
    case slider
    /// A drawing of the core; `detail` says the same in sentences.
    case drawing
    /// A code for a camera; `value` is its text.
    case code
    /// A photo; `picture` is its file.
    case photo
    /// One of the screens of an instrument.
    case tab
  }

  /// Names it on its screen, the same in every language and on every kind of phone.
  public var id: String
  /// What it is.
  public var role: Role
  /// Its words.
  public var text: String
  /// A number or what was typed.
  public var value: String?
  /// A second line, or what a drawing says in sentences.
  public var detail: String?
  /// Its state in words, never by colour alone.
  public var state: String?
  /// Whether a tap does something.
  public var touch: Bool
  /// Of a choice, a toggle, a cell, a tab.
  public var chosen: Bool
  /// Whether it is what the hand came for: one at most on a screen.
  public var main: Bool
  /// Whether its text is another one each time (words of an invitation, a fingerprint).
  public var varies: Bool
  /// Of a drawing: its marks.
  public var scene: Scene?
  /// Of a slider.
  public var travel: Travel?
  /// Of a photo: the bytes of its file.
  public var picture: Data?

  init(
    _ id: String, _ role: Role, _ text: String, value: String? = nil, detail: String? = nil,
    state: String? = nil, touch: Bool? = nil, chosen: Bool = false, main: Bool = false,
    varies: Bool = false, scene: Scene? = nil, travel: Travel? = nil,
    picture: Data? = nil
  ) {
    self.id = id
    self.role = role
    self.text = text
    self.value = value
    self.detail = detail
    self.state = state
    self.touch = touch ?? Self.touched.contains(role)
    self.chosen = chosen
    self.main = main
    self.varies = varies
    self.scene = scene
    self.travel = travel
    self.picture = picture
  }

  private static let touched: Set<Role> = [.button, .choice, .toggle, .cell, .key, .tab]

  /// What a screen reader says of it, without its role.
  public var spoken: String {
    [text, value, state, detail].compactMap { $0 }.filter { !$0.isEmpty }.joined(separator: ", ")
  }

  func with(state: String?) -> Element {
    var other = self
    other.state = state
    return other
  }

  /// What stands in a field or is a choice, as a line that nothing can be done with.
  var asLine: Element {
    Element(id, .row, text, value: value, detail: detail, state: state, varies: varies)
  }

  func with(detail: String?) -> Element {
    var other = self
    other.detail = detail
    return other
  }
}

/// Where a slider goes, in steps.
public struct Travel: Equatable, Sendable {
  /// Its lowest value.
  public var from: Double
  /// Its highest value.
  public var to: Double
  /// How far a step goes.
  public var step: Double
  /// Where it is.
  public var at: Double
}
