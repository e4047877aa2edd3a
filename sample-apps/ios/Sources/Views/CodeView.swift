import Models
import SwiftUI

#if canImport(CoreImage)
  import CoreImage.CIFilterBuiltins
#endif

/// A code for another phone's camera, in black on white whatever the colours are.
struct CodeView: View {
  let one: Element
  let palette: Palette

  var body: some View {
    VStack(alignment: .leading, spacing: 4) {
      #if canImport(CoreImage)
        if let image { image.interpolation(.none).resizable().scaledToFit() }
      #endif
      Text(verbatim: one.text).font(.callout).foregroundStyle(Color(palette.quiet))
    }
    .accessibilityElement(children: .ignore)
    .accessibilityLabel(Text(verbatim: one.text))
    .accessibilityAddTraits([.isImage])
  }

  #if canImport(CoreImage)
    // https://developer.apple.com/documentation/coreimage/cifilter/qrcodegenerator()
    private var image: Image? {
      let filter = CIFilter.qrCodeGenerator()
      filter.message = Data((one.value ?? String()).utf8)
      guard let code = filter.outputImage,
        let drawn = CIContext().createCGImage(code, from: code.extent)
      else { return nil }
      return Image(decorative: drawn, scale: 1)
    }
  #endif
}
