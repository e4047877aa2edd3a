// Not verified on the machine where the project is checked, which has no Keychain: compile and try it
// on a Mac and on a phone.
#if canImport(Security)
  import Foundation
  import Security

  /// Keeps the device's secrets in the Keychain of an Apple system.
  ///
  /// Items can be read after the first unlock, so that work in the background goes on, and they stay on
  /// this device: neither a backup nor the synchronised Keychain carries them to another one, where two
  /// devices would write as one.
  public final class KeychainKeeper: SecretKeeper {
    private let service: String
    private let accessGroup: String?

    /// - Parameters:
    ///   - service: Tells the items of one workshop from those of another; one for each folder.
    ///   - accessGroup: The Keychain access group, for an app that shares its folder with an extension.
    public init(service: String = "dev.fallaway.workshop", accessGroup: String? = nil) {
      self.service = service
      self.accessGroup = accessGroup
    }

    private func item(_ name: String) -> [CFString: Any] {
      var item: [CFString: Any] = [
        kSecClass: kSecClassGenericPassword,
        kSecAttrService: service,
        kSecAttrAccount: name,
        kSecUseDataProtectionKeychain: true,
      ]
      if let accessGroup { item[kSecAttrAccessGroup] = accessGroup }
      return item
    }

    /// The secret stored under `name`.
    ///
    /// - Throws: `ForeignError` with the Keychain's words.
    public func get(name: String) throws -> KeptSecret {
      var query = item(name)
      query[kSecReturnData] = true
      query[kSecMatchLimit] = kSecMatchLimitOne
      var found: CFTypeRef?
      switch SecItemCopyMatching(query as CFDictionary, &found) {
      case errSecSuccess:
        guard let secret = found as? Data else {
          return .lost(reason: "the Keychain answered something that is no data")
        }
        return .found(secret: secret)
      case errSecItemNotFound: return .absent
      case errSecInteractionNotAllowed: return .locked
      case let status: throw ForeignError.failed(reason: Self.words(status))
      }
    }

    /// Stores `secret` under `name`, replacing what was there.
    ///
    /// - Throws: `ForeignError` with the Keychain's words.
    public func put(name: String, secret: Data) throws {
      let values: [CFString: Any] = [
        kSecValueData: secret,
        kSecAttrAccessible: kSecAttrAccessibleAfterFirstUnlockThisDeviceOnly,
      ]
      var status = SecItemUpdate(item(name) as CFDictionary, values as CFDictionary)
      if status == errSecItemNotFound {
        let added = item(name).merging(values) { _, new in new }
        status = SecItemAdd(added as CFDictionary, nil)
      }
      guard status == errSecSuccess else {
        throw ForeignError.failed(reason: Self.words(status))
      }
    }

    private static func words(_ status: OSStatus) -> String {
      let words = SecCopyErrorMessageString(status, nil) as String? ?? "unknown"
      return "Keychain: \(words) (\(status))"
    }
  }
#endif
