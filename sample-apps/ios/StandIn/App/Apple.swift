// What the app uses that the core's package and Foundation have on Apple systems alone, for type-checking on Linux.
import Fallaway
import Foundation

/// As `KeychainKeeper` of the core's package declares it, with `get` and `put`.
final class KeychainKeeper: SecretKeeper {
  init(service: String = "dev.fallaway.workshop", accessGroup: String? = nil) {}
  func get(name: String) throws -> KeptSecret { .absent }
  func put(name: String, secret: Data) throws {}
}

extension URL {
  // https://developer.apple.com/documentation/foundation/url/applicationsupportdirectory
  static var applicationSupportDirectory: URL { URL(fileURLWithPath: "") }
  // https://developer.apple.com/documentation/foundation/nsurl/startaccessingsecurityscopedresource()
  func startAccessingSecurityScopedResource() -> Bool { false }
  // https://developer.apple.com/documentation/foundation/nsurl/stopaccessingsecurityscopedresource()
  func stopAccessingSecurityScopedResource() {}
}
