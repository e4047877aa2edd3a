import Fallaway
import Testing

@testable import Models

/// What a phone draws of a drawing with letters of its own.
@MainActor
struct LabelsTests {
  @Test("a label that would leave its drawing is made smaller, and no other")
  func fitting() {
    let scene = Scene(
      title: "dial", sentences: [], widthPt: 330, heightPt: 130, marks: [], svg: nil)
    for anchor in [Anchor.start, .middle, .end] {
      for x in stride(from: 10.0, through: 320, by: 10) {
        for wide in [1.0, 20, 90, 329, 700] {
          let at = Spot(xPt: x, yPt: 60)
          let own = ends(at, anchor, wide)
          let parts = scene.fitting(at, anchor, widePt: wide)
          let drawn = ends(at, anchor, wide * parts)
          #expect(drawn.lowerBound >= -1e-9 && drawn.upperBound <= 330 + 1e-9)
          let stays = own.lowerBound >= 0 && own.upperBound <= 330
          #expect((parts == 1) == stays, "\(anchor) \(x) \(wide)")
        }
      }
    }
  }

  @Test("the head of a turn stands at its end, and points the way it goes")
  func heads() throws {
    let middle = Spot(xPt: 65, yPt: 65)
    // A quarter from twelve o'clock ends at three, coming from above; the other way at nine.
    for (sweep, x) in [(90.0, 117.0), (-90.0, 13.0)] {
      let end = middle.arcEnd(radiusPt: 52, sweepDegrees: sweep)
      let (before, tip) = (try #require(end.first), try #require(end.last))
      #expect(abs(tip.xPt - x) < 1e-9 && abs(tip.yPt - 65) < 1e-9)
      #expect(before.yPt < tip.yPt - 1)
    }
    #expect(middle.arcEnd(radiusPt: 52, sweepDegrees: 0).isEmpty)
  }
}

/// From where to where a label goes that is so wide.
private func ends(_ at: Spot, _ anchor: Anchor, _ widePt: Double) -> ClosedRange<Double> {
  switch anchor {
  case .start: at.xPt...(at.xPt + widePt)
  case .middle: (at.xPt - widePt / 2)...(at.xPt + widePt / 2)
  case .end: (at.xPt - widePt)...at.xPt
  }
}

// Days are played one after the other: what is said outside of a workshop is of the language that was set last.
extension ModelTests {
  @Test("every label of the drawings of the days stays on them in letters half as wide again")
  func labels() async throws {
    let steps = try #require(try Days.read().languages["de"])
    let playing = try await Playing("de")
    var (labels, smaller) = (0, 0)
    for step in steps {
      for scene in try await playing.play(step).shown.compactMap(\.scene) {
        for case .text(let at, let anchor, let size, let text) in scene.marks.map(\.shape) {
          // Widths of Helvetica's digits, half as wide again (Adobe, "Font Metrics for PDF Core 14 Fonts"; from memory).
          let wide = Double(text.count) * size * 0.556 * 1.5
          let drawn = ends(at, anchor, wide * scene.fitting(at, anchor, widePt: wide))
          #expect(drawn.lowerBound >= -1e-9 && drawn.upperBound <= scene.widthPt + 1e-9, "\(text)")
          labels += 1
          smaller += drawn.upperBound - drawn.lowerBound < wide - 1e-9 ? 1 : 0
        }
      }
    }
    #expect(smaller > 0 && smaller < labels)
  }
}
