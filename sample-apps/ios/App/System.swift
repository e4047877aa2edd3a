// Not run where the project is checked, which has no Apple system: see README.md.
import Models
import SwiftUI
import VisionKit

/// The texts of the catalogue, in a language that need not be the phone's.
/// https://developer.apple.com/documentation/foundation/bundle/localizedstring(forkey:value:table:)
struct BundleTexts: Texts {
  private let bundle: Bundle
  private let locale: Locale

  /// The language of the phone, of those that there are.
  static var ofThePhone: String { Bundle.main.preferredLocalizations.first ?? "en" }

  init(_ chosen: String?) {
    let language = chosen ?? Self.ofThePhone
    let folder = Bundle.main.path(forResource: language, ofType: "lproj")
    bundle = folder.flatMap(Bundle.init(path:)) ?? .main
    locale = Locale(identifier: language)
  }

  func text(_ say: Say, _ with: [String]) -> String {
    bundle.localizedString(forKey: say.rawValue, value: nil, table: nil).filled(with)
  }

  func count(_ say: Count, _ number: Int) -> String {
    let format = bundle.localizedString(forKey: say.rawValue, value: nil, table: nil)
    return String(format: format, locale: locale, number)
  }
}

/// The system's sheet for sharing.
/// https://developer.apple.com/documentation/uikit/uiactivityviewcontroller
struct SharingSheet: UIViewControllerRepresentable {
  let file: URL
  let gone: @MainActor () -> Void

  func makeUIViewController(context: Context) -> UIActivityViewController {
    let sheet = UIActivityViewController(activityItems: [file], applicationActivities: nil)
    sheet.completionWithItemsHandler = { _, done, _, _ in if done { gone() } }
    return sheet
  }

  func updateUIViewController(_ sheet: UIActivityViewController, context: Context) {}
}

/// Reads a code with the camera.
/// https://developer.apple.com/documentation/visionkit/datascannerviewcontroller
struct CameraView: UIViewControllerRepresentable {
  let found: @MainActor (String) -> Void

  func makeUIViewController(context: Context) -> DataScannerViewController {
    let scanner = DataScannerViewController(recognizedDataTypes: [.barcode(symbologies: [.qr])])
    scanner.delegate = context.coordinator
    return scanner
  }

  func updateUIViewController(_ scanner: DataScannerViewController, context: Context) {
    try? scanner.startScanning()
  }

  func makeCoordinator() -> Finder { Finder(found) }

  @MainActor
  final class Finder: NSObject, DataScannerViewControllerDelegate {
    private let found: @MainActor (String) -> Void

    init(_ found: @escaping @MainActor (String) -> Void) {
      self.found = found
    }

    func dataScanner(
      _ scanner: DataScannerViewController, didAdd added: [RecognizedItem],
      allItems: [RecognizedItem]
    ) {
      for case .barcode(let code) in added {
        guard let text = code.payloadStringValue else { continue }
        scanner.stopScanning()
        return found(text)
      }
    }
  }
}

/// Holds the screen as it is turned now.
/// https://developer.apple.com/documentation/uikit/uiapplicationdelegate/application(_:supportedinterfaceorientationsfor:)
@MainActor
final class Orientation: NSObject, UIApplicationDelegate {
  private static var allowed = UIInterfaceOrientationMask.all

  static func hold(_ locked: Bool) {
    let scenes = UIApplication.shared.connectedScenes.compactMap { $0 as? UIWindowScene }
    guard let scene = scenes.first else { return }
    let now: UIInterfaceOrientationMask =
      scene.interfaceOrientation.isLandscape ? .landscape : .portrait
    allowed = locked ? now : .all
    scene.keyWindow?.rootViewController?.setNeedsUpdateOfSupportedInterfaceOrientations()
  }

  func application(
    _ application: UIApplication, supportedInterfaceOrientationsFor window: UIWindow?
  ) -> UIInterfaceOrientationMask { Self.allowed }
}
