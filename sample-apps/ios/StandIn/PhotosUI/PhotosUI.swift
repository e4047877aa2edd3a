// What the app uses of PhotosUI, declared for type-checking on Linux. Each declaration follows the page of Apple's
// documentation that is named above it, below https://developer.apple.com/documentation/photosui/ (written down from
// memory; compare when one is changed). On Apple systems this target does not exist.
import Foundation
import SwiftUI

// photospickeritem, loadtransferable(type:), encodingdisambiguationpolicy
public struct PhotosPickerItem: Hashable, Sendable {
  public struct EncodingDisambiguationPolicy: Sendable {
    public static let compatible = EncodingDisambiguationPolicy()
  }
  public func loadTransferable(type: Data.Type) async throws -> Data? { nil }
}

// phpickerfilter/images
public struct PHPickerFilter: Sendable { public static let images = PHPickerFilter() }

extension View {
  // https://developer.apple.com/documentation/swiftui/view/photospicker(ispresented:selection:matching:preferreditemencoding:)
  public func photosPicker(
    isPresented: Binding<Bool>, selection: Binding<PhotosPickerItem?>,
    matching filter: PHPickerFilter? = nil,
    preferredItemEncoding: PhotosPickerItem.EncodingDisambiguationPolicy
  ) -> some View { self }
}
