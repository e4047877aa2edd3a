// swift-tools-version: 6.0
import PackageDescription

// The core's package: made beside this folder by `cargo tool install swift ../fallaway-swift` on Linux, or by
// `bindings/swift/build-xcframework` on a Mac; see README.md.
let core = Context.environment["FALLAWAY_PACKAGE"] ?? "../../target/bindings/swift-package"

// Debian's library of Observation lacks a symbol, which nothing here calls.
#if os(Linux)
  let link: [LinkerSetting] = [.unsafeFlags(["-Xlinker", "--allow-shlib-undefined"])]
#else
  let link: [LinkerSetting] = []
#endif

// On Linux there is no SwiftUI: modules of its and its neighbours' names, with declarations of our own alone, let the
// views and the app be type-checked. On Apple systems these targets do not exist.
#if os(Linux)
  let standIn: [Target] = [
    .target(name: "UIKit", path: "StandIn/UIKit"),
    .target(name: "BackgroundTasks", path: "StandIn/BackgroundTasks"),
    .target(name: "Network", path: "StandIn/Network"),
    .target(name: "PhotosUI", dependencies: ["SwiftUI"], path: "StandIn/PhotosUI"),
    .target(name: "VisionKit", dependencies: ["UIKit"], path: "StandIn/VisionKit"),
    .target(name: "UniformTypeIdentifiers", path: "StandIn/UniformTypeIdentifiers"),
    .target(
      name: "SwiftUI", dependencies: ["UIKit", "UniformTypeIdentifiers"], path: "StandIn/SwiftUI"),
    // What Xcode compiles from the folder App, here against the declarations alone.
    .executableTarget(
      name: "OnApple",
      dependencies: [
        "Fallaway", "Models", "Views", "SwiftUI", "UIKit", "VisionKit", "UniformTypeIdentifiers",
        "BackgroundTasks", "Network", "PhotosUI",
      ],
      path: ".",
      exclude: [
        "App/project.yml", "App/InfoPlist.xcstrings", "App/Localizable.xcstrings",
        "App/PrivacyInfo.xcprivacy", "Sources", "Tests", "StandIn/SwiftUI", "StandIn/UIKit",
        "StandIn/UniformTypeIdentifiers", "StandIn/VisionKit", "StandIn/BackgroundTasks",
        "StandIn/Network", "StandIn/PhotosUI",
        "README.md", "FROM-HERE-TO-A-PHONE.md",
      ],
      sources: ["App", "StandIn/App"], linkerSettings: link),
  ]
  let drawnWith: [Target.Dependency] = ["SwiftUI"]
#else
  let standIn: [Target] = []
  let drawnWith: [Target.Dependency] = []
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
