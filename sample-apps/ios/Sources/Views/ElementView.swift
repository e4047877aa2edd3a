import Models
import SwiftUI

/// One element, as its role is drawn; a screen reader hears what the element says of itself.
struct ElementView: View {
  let one: Element
  let palette: Palette
  let tap: @MainActor () -> Void
  let write: @MainActor (String) -> Void
  @ScaledMetric private var large: CGFloat = 40

  var body: some View {
    switch one.role {
    case .field: FieldView(one: one, palette: palette, write: write)
    case .slider: SliderView(one: one, palette: palette, write: write)
    case .drawing: DrawingView(one: one, palette: palette)
    case .code: CodeView(one: one, palette: palette)
    case .photo: PhotoView(one: one, palette: palette)
    default: touched
    }
  }

  @ViewBuilder private var touched: some View {
    if one.touch {
      Button(action: tap) { said }
        .accessibilityAddTraits(one.chosen ? [.isSelected] : [])
    } else {
      said.accessibilityAddTraits(one.role == .heading ? [.isHeader] : [])
    }
  }

  private var said: some View {
    VStack(alignment: .leading, spacing: 4) {
      if one.role == .number || one.role == .cell {
        line(one.value, .system(size: large, weight: .bold).monospacedDigit(), palette.ink)
        line(one.text, .body, palette.quiet)
      } else {
        line(one.text, font, colour)
        line(one.value, .headline, palette.ink)
      }
      line(one.state, .callout, palette.ink)
      line(one.detail, .callout, palette.quiet)
    }
    .padding(8)
    .frame(minWidth: 48, maxWidth: .infinity, minHeight: 48, alignment: .leading)
    .background(Color(framed ? palette.wash : palette.paper))
    .accessibilityElement(children: .ignore)
    .accessibilityLabel(Text(verbatim: one.spoken))
  }

  @ViewBuilder private func line(_ text: String?, _ font: Font, _ colour: Ink) -> some View {
    if let text { Text(verbatim: text).font(font).foregroundStyle(Color(colour)) }
  }

  private var font: Font {
    switch one.role {
    case .heading: .title2
    case .button, .key, .banner: .headline
    default: .body
    }
  }

  private var colour: Ink {
    switch one.role {
    case .caution: palette.caution
    case .button, .key, .tab: palette.act
    default: palette.ink
    }
  }

  private var framed: Bool { one.main || one.chosen || one.role == .key || one.role == .banner }
}

/// A text that is typed. It is kept here while it is typed, so that the cursor stays where it is.
struct FieldView: View {
  let one: Element
  let palette: Palette
  let write: @MainActor (String) -> Void
  @State private var text = ""

  var body: some View {
    VStack(alignment: .leading, spacing: 4) {
      Text(verbatim: one.text).font(.callout).foregroundStyle(Color(palette.quiet))
      TextField(text: $text) { Text(verbatim: one.text) }
        .font(.headline)
        .frame(minHeight: 48)
        .accessibilityLabel(Text(verbatim: one.text))
    }
    .onAppear { text = one.value ?? text }
    .onChange(of: one.value) { _, new in text = new ?? text }
    .onChange(of: text) { _, new in write(new) }
  }
}

/// A number that a finger moves.
struct SliderView: View {
  let one: Element
  let palette: Palette
  let write: @MainActor (String) -> Void

  var body: some View {
    if let travel = one.travel {
      VStack(alignment: .leading, spacing: 4) {
        Text(verbatim: one.text).font(.callout).foregroundStyle(Color(palette.quiet))
        Text(verbatim: one.value ?? one.text).font(.headline.monospacedDigit())
        Slider(
          value: Binding(get: { travel.at }, set: { @MainActor at in write(at.description) }),
          in: travel.from...travel.to, step: travel.step
        ) {
          Text(verbatim: one.text)
        }
        .frame(minHeight: 48)
        .accessibilityValue(Text(verbatim: one.value ?? one.text))
      }
    }
  }
}
