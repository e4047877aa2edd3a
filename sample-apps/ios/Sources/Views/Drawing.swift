import Fallaway
import Models
import SwiftUI

/// A drawing of the core: its marks to scale, and in a sentence what they say.
struct DrawingView: View {
  let one: Element
  let palette: Palette

  var body: some View {
    if let scene = one.scene {
      VStack(alignment: .leading, spacing: 4) {
        // What has no room beside is drawn aside by a finger.
        ScrollView(.horizontal) {
          Canvas { context, _ in
            context.scaleBy(x: one.drawingScale, y: one.drawingScale)
            for mark in one.marks {
              guard let paint = palette.paint(mark.role) else { continue }
              draw(mark.shape, of: scene, paint, context)
            }
          }
          .frame(
            width: scene.widthPt * one.drawingScale, height: scene.heightPt * one.drawingScale)
        }
        if let value = one.value {
          line(value, .title2, palette.act)
          line(one.text, .body, palette.ink)
          line(one.state, .body, palette.ink)
          line(one.detail, .callout, palette.quiet)
        }
      }
      .accessibilityElement(children: .ignore)
      .accessibilityLabel(Text(verbatim: one.spoken))
      .accessibilityAddTraits([.isImage])
    }
  }

  @ViewBuilder private func line(_ text: String?, _ font: Font, _ colour: Ink) -> some View {
    if let text { Text(verbatim: text).font(font).foregroundStyle(Color(colour)) }
  }
}

private func draw(
  _ shape: Fallaway.Shape, of scene: Fallaway.Scene, _ paint: Paint, _ context: GraphicsContext
) {
  let colour = GraphicsContext.Shading.color(Color(paint.colour))
  let dash: [CGFloat] = paint.dash.map { [CGFloat($0.onPt), CGFloat($0.offPt)] } ?? []
  let style = StrokeStyle(lineWidth: paint.widthPt, dash: dash)
  switch shape {
  case .line(let places, let arrow):
    context.stroke(through(places), with: colour, style: style)
    if arrow { context.fill(head(places, paint.widthPt), with: colour) }
  case .area(let places):
    var path = through(places)
    path.closeSubpath()
    context.fill(path, with: colour)
  case .dot(let at, let radius): context.fill(circle(at, radius), with: colour)
  case .ring(let at, let radius):
    // A ring is small: dashes would leave nothing of it.
    let whole = StrokeStyle(lineWidth: paint.widthPt)
    context.stroke(circle(at, radius), with: colour, style: whole)
  case .arc(let at, let radius, let sweep):
    var path = Path()
    // From twelve o'clock; `clockwise` is meant in a space whose y grows upward.
    path.addArc(
      center: point(at), radius: radius, startAngle: .degrees(-90), endAngle: .degrees(sweep - 90),
      clockwise: sweep.sign == .minus)
    context.stroke(path, with: colour, style: style)
    let end = at.arcEnd(radiusPt: radius, sweepDegrees: sweep)
    context.fill(head(end, paint.widthPt), with: colour)
  case .text(let at, let anchor, let size, let text):
    let all = CGSize(width: CGFloat.infinity, height: CGFloat.infinity)
    let wide = context.resolve(letters(text, size, paint)).measure(in: all).width
    let fits = size * scene.fitting(at, anchor, widePt: wide)
    let label = context.resolve(letters(text, fits, paint))
    // The place of a label is its base line.
    let top = CGPoint(x: at.xPt, y: at.yPt - label.firstBaseline(in: all))
    context.draw(label, at: top, anchor: unit(anchor))
  case .newer: break
  }
}

private func letters(_ text: String, _ size: Double, _ paint: Paint) -> Text {
  let font = Font.system(size: size, weight: paint.bold ? .bold : .regular)
  return Text(verbatim: text).font(font).foregroundStyle(Color(paint.colour))
}

private func unit(_ anchor: Anchor) -> UnitPoint {
  switch anchor {
  case .start: .topLeading
  case .middle: .top
  case .end: .topTrailing
  }
}

private func point(_ at: Spot) -> CGPoint { CGPoint(x: at.xPt, y: at.yPt) }

private func through(_ places: [Spot]) -> Path {
  var path = Path()
  if let first = places.first { path.move(to: point(first)) }
  for place in places.dropFirst() { path.addLine(to: point(place)) }
  return path
}

private func circle(_ at: Spot, _ radius: Double) -> Path {
  Path(
    ellipseIn: CGRect(x: at.xPt - radius, y: at.yPt - radius, width: 2 * radius, height: 2 * radius)
  )
}

/// The head of an arrow, three lines wide at each side.
private func head(_ places: [Spot], _ width: Double) -> Path {
  var path = Path()
  guard let end = places.last, let before = places.dropLast().last else { return path }
  let (x, y) = (end.xPt - before.xPt, end.yPt - before.yPt)
  let length = (x * x + y * y).squareRoot()
  guard length > 0 else { return path }
  let (along, across) = (x / length * width * 4, y / length * width * 4)
  path.move(to: point(end))
  path.addLine(to: CGPoint(x: end.xPt - along - across / 2, y: end.yPt - across + along / 2))
  path.addLine(to: CGPoint(x: end.xPt - along + across / 2, y: end.yPt - across - along / 2))
  path.closeSubpath()
  return path
}
