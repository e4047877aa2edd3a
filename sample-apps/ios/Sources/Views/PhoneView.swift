import Models
import SwiftUI

/// The app: the screens of a phone, the list beside them where there is room.
public struct PhoneView: View {
  private let phone: Phone
  @Environment(\.horizontalSizeClass) private var width
  @Environment(\.colorScheme) private var scheme

  /// At least so large: 17 points of text grow to 23, 28, 33 (Apple, "Human Interface Guidelines", Typography; from memory).
  private static let letters: [Int: DynamicTypeSize] = [
    130: .xxxLarge, 160: .accessibility1, 200: .accessibility2,
  ]

  public init(phone: Phone) {
    self.phone = phone
  }

  public var body: some View {
    let palette = Palette(stage: phone.looks.stage, dark: scheme == .dark)
    HStack(spacing: 0) {
      if width == .regular, let list = phone.pages.first {
        PageView(
          page: list, palette: palette, tap: phone.tappedInList, write: phone.wrote
        )
        .frame(minWidth: 320, maxWidth: 360)
        Divider()
      }
      NavigationStack(path: path) {
        page(0, palette).navigationDestination(for: Int.self) { page($0, palette) }
      }
    }
    .dynamicTypeSize((Self.letters[phone.looks.size] ?? .xSmall)...)
    .preferredColorScheme(phone.looks.stage ? .dark : nil)
    .sensoryFeedback(trigger: phone.shown) { _, _ in phone.looks.stage ? nil : .selection }
  }

  /// The screens over the first one; the system's way back takes some of them away.
  private var path: Binding<[Int]> {
    Binding(
      get: { @MainActor in phone.pages.dropFirst().map(\.id) },
      set: { @MainActor left in phone.wentBack(to: left.count + 1) })
  }

  @ViewBuilder private func page(_ depth: Int, _ palette: Palette) -> some View {
    if let page = phone.pages.first(where: { $0.id == depth }) {
      PageView(page: page, palette: palette, tap: phone.tapped, write: phone.wrote)
    }
  }
}

/// One screen: its blocks under each other, its tabs within the reach of a thumb.
struct PageView: View {
  let page: Page
  let palette: Palette
  let tap: @MainActor (String) -> Void
  let write: @MainActor (String, String) -> Void

  var body: some View {
    ScrollView {
      LazyVStack(alignment: .leading, spacing: 16) {
        ForEach(page.blocks) { block in
          switch block.way {
          case .line: elements(block)
          case .numbers: grid(block, [GridItem(.adaptive(minimum: 150), spacing: 8)])
          case .keys: grid(block, [GridItem(), GridItem(), GridItem(), GridItem()])
          }
        }
      }
      .padding(16)
    }
    .safeAreaInset(edge: .bottom) {
      HStack(spacing: 8) { ForEach(page.tabs) { element($0) } }.background(Color(palette.paper))
    }
    .background(Color(palette.paper))
    .navigationTitle(Text(verbatim: page.title))
  }

  private func grid(_ block: Block, _ columns: [GridItem]) -> some View {
    LazyVGrid(columns: columns, spacing: 8) { elements(block) }
  }

  private func elements(_ block: Block) -> some View {
    ForEach(block.elements) { element($0) }
  }

  private func element(_ one: Element) -> some View {
    ElementView(one: one, palette: palette, tap: { tap(one.id) }, write: { write(one.id, $0) })
  }
}

extension Color {
  /// A colour of the core.
  init(_ ink: Ink) {
    self.init(red: ink.red, green: ink.green, blue: ink.blue)
  }
}
