// What the app uses of Uniform Type Identifiers, declared for type-checking on Linux; it follows
// https://developer.apple.com/documentation/uniformtypeidentifiers/uttype-swift.struct (written down from memory). On
// Apple systems this target does not exist.

public struct UTType: Hashable, Sendable {
  public static let data = UTType()
}
