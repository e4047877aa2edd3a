// What the app uses of VisionKit and Vision, declared for type-checking on Linux. Each declaration follows the page of
// Apple's documentation that is named above it, below https://developer.apple.com/documentation/ (written down from
// memory; compare when one is changed). On Apple systems this target does not exist.
import UIKit

// vision/vnbarcodesymbology
public struct VNBarcodeSymbology: Hashable, Sendable {
  public static let qr = VNBarcodeSymbology()
}

// visionkit/recognizeditem, visionkit/recognizeditem/barcode-swift.struct/payloadstringvalue
public enum RecognizedItem: Sendable {
  public struct Barcode: Sendable { public var payloadStringValue: String? { nil } }
  case barcode(Barcode)
}

// visionkit/datascannerviewcontroller/recognizeddatatype/barcode(symbologies:),
// visionkit/datascannerviewcontroller/delegate, visionkit/datascannerviewcontroller and its init(recognizeddatatypes:...) with what has a default left out
@MainActor open class DataScannerViewController: UIViewController {
  public struct RecognizedDataType: Hashable, Sendable {
    public static func barcode(symbologies: [VNBarcodeSymbology] = []) -> RecognizedDataType {
      RecognizedDataType()
    }
  }
  public init(recognizedDataTypes: Set<RecognizedDataType>) {}
  public weak var delegate: (any DataScannerViewControllerDelegate)?
  // visionkit/datascannerviewcontroller/startscanning(), stopscanning()
  public func startScanning() throws {}
  public func stopScanning() {}
}

// visionkit/datascannerviewcontrollerdelegate/datascanner(_:didadd:allitems:)
@MainActor public protocol DataScannerViewControllerDelegate: AnyObject {
  func dataScanner(
    _ dataScanner: DataScannerViewController, didAdd addedItems: [RecognizedItem],
    allItems: [RecognizedItem])
}
