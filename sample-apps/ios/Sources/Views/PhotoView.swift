import Models
import SwiftUI

#if canImport(ImageIO)
  import ImageIO
#endif

/// A photo, as large as the screen is wide and no larger than it is worth decoding.
struct PhotoView: View {
  let one: Element
  let palette: Palette

  var body: some View {
    VStack(alignment: .leading, spacing: 4) {
      #if canImport(ImageIO)
        if let image { image.resizable().scaledToFit() }
      #endif
      Text(verbatim: one.text).font(.callout).foregroundStyle(Color(palette.quiet))
    }
    .accessibilityElement(children: .ignore)
    .accessibilityLabel(Text(verbatim: one.spoken))
    .accessibilityAddTraits([.isImage])
  }

  #if canImport(ImageIO)
    // https://developer.apple.com/documentation/imageio/cgimagesourcecreatethumbnailatindex(_:_:_:), with the side that
    // the file says is up.
    private var image: Image? {
      guard let bytes = one.picture,
        let source = CGImageSourceCreateWithData(bytes as CFData, nil),
        let drawn = CGImageSourceCreateThumbnailAtIndex(
          source, 0,
          [
            kCGImageSourceCreateThumbnailFromImageAlways: true,
            kCGImageSourceCreateThumbnailWithTransform: true,
            kCGImageSourceThumbnailMaxPixelSize: 2048,
          ] as CFDictionary)
      else { return nil }
      return Image(decorative: drawn, scale: 1)
    }
  #endif
}
