// swift-tools-version: 6.0
import PackageDescription

// The core's package: made beside this folder by `cargo tool install swift ../fallaway-swift` on Linux, or by
// `bindings/swift/build-xcframework` on a Mac; see README.md.
let core = Context.environment["FALLAWAY_PACKAGE"] ?? "../../target/bindings/swift-package"

// On Linux there is no SwiftUI: a module of that name of our own, with declarations alone, lets the views be
// type-checked. On Apple systems its target does not exist.
#if os(Linux)
  let standIn: [Target] = [.target(name: "SwiftUI", path: "StandIn/SwiftUI")]
  let drawnWith: [Target.Dependency] = ["SwiftUI"]
  // Debian's library of Observation lacks a symbol, which nothing here calls.
  let link: [LinkerSetting] = [.unsafeFlags(["-Xlinker", "--allow-shlib-undefined"])]
#else
  let standIn: [Target] = []
  let drawnWith: [Target.Dependency] = []
  let link: [LinkerSetting] = []
#endif

let package = Package(
  name: "FallawayApp",
  defaultLocalization: "en",
  platforms: [.iOS(.v17), .macOS(.v14)],
  products: [
    .library(name: "Models", targets: ["Models"]),
    .library(name: "Views", targets: ["Views"]),
  ],
  dependencies: [.package(name: "Fallaway", path: core)],
  targets: standIn + [
    .target(name: "Models", dependencies: ["Fallaway"], linkerSettings: link),
    .target(
      name: "Views", dependencies: ["Fallaway", "Models"] + drawnWith, linkerSettings: link),
    .testTarget(
      name: "ModelsTests", dependencies: ["Models", "Fallaway", "Views"], linkerSettings: link),
  ],
  swiftLanguageModes: [.v6]
)
