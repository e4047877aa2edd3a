// swift-tools-version: 6.0
import PackageDescription

// The core's package: made beside this folder by `cargo tool install swift ../fallaway-swift` on Linux, or by
// `bindings/swift/build-xcframework` on a Mac; see README.md.
let core = Context.environment["FALLAWAY_PACKAGE"] ?? "../../target/bindings/swift-package"

#if os(Linux)
  // Debian's library of Observation lacks a symbol, which nothing here calls.
  let link: [LinkerSetting] = [.unsafeFlags(["-Xlinker", "--allow-shlib-undefined"])]
#else
  let link: [LinkerSetting] = []
#endif

let package = Package(
  name: "FallawayApp",
  defaultLocalization: "en",
  platforms: [.iOS(.v17), .macOS(.v14)],
  products: [
    .library(name: "Models", targets: ["Models"])
  ],
  dependencies: [.package(name: "Fallaway", path: core)],
  targets: [
    .target(name: "Models", dependencies: ["Fallaway"], linkerSettings: link),
    .testTarget(name: "ModelsTests", dependencies: ["Models", "Fallaway"], linkerSettings: link),
  ],
  swiftLanguageModes: [.v6]
)
