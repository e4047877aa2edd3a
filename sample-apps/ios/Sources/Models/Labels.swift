import Fallaway
import Foundation

/// Where on its drawing a label and an arrow head stand, reckoned for the view that draws them.
extension Scene {
  /// How much smaller than asked for the letters of a label are drawn so that it stays on the drawing; 1 where it does.
  /// A phone's letters may be wider than those that the drawing was laid out with.
  ///
  /// - Parameters:
  ///   - at: Where it is anchored.
  ///   - anchor: What of it stands there.
  ///   - widePt: How wide it is in the phone's letters.
  public func fitting(_ at: Spot, _ anchor: Anchor, widePt: Double) -> Double {
    let room =
      switch anchor {
      case .start: self.widthPt - at.xPt
      case .middle: 2 * min(at.xPt, self.widthPt - at.xPt)
      case .end: at.xPt
      }
    return room > 0 && widePt > room ? room / widePt : 1
  }
}

extension Element {
  /// What is drawn of it: words that begin beside a dial are left out, since they stand below as text.
  public var marks: [Mark] {
    (scene?.marks ?? []).filter { mark in
      guard value != nil, case .text(_, .start, _, _) = mark.shape else { return true }
      return false
    }
  }
}

extension Spot {
  /// Where an arc about this place ends that begins at twelve o'clock, and before it a place from which its arrow head
  /// comes; none where it is too short for one.
  ///
  /// - Parameters:
  ///   - radiusPt: Its radius.
  ///   - sweepDegrees: How far it goes, clockwise positive.
  public func arcEnd(radiusPt: Double, sweepDegrees: Double) -> [Spot] {
    guard abs(sweepDegrees) >= 1 else { return [] }
    let back = min(8, abs(sweepDegrees) / 2) * (sweepDegrees < 0 ? -1 : 1)
    return [sweepDegrees - back, sweepDegrees].map { degrees in
      let turn = degrees * Double.pi / 180
      return Spot(xPt: xPt + radiusPt * sin(turn), yPt: yPt - radiusPt * cos(turn))
    }
  }
}
