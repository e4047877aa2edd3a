// swift-tools-version: 6.0
import PackageDescription

// On Apple systems the Rust library arrives as a dynamic framework for every platform, made on a Mac
// by `build-xcframework`. On Linux it is `lib/libfallaway_ffi.so` beside this file.
#if os(Linux)
  let library = Context.packageDirectory + "/lib"
  let native = Target.systemLibrary(name: "FallawayFFI", path: "Sources/FallawayFFI")
  // A package that is named by its URL may set no such flags: there the library is looked for on
  // `LIBRARY_PATH`.
  let byURL = Context.packageDirectory.contains("/checkouts/")
  let link: [LinkerSetting] =
    byURL ? [] : [.unsafeFlags(["-L", library, "-Xlinker", "-rpath", "-Xlinker", library])]
#else
  let native = Target.binaryTarget(name: "FallawayFFI", path: "FallawayFFI.xcframework")
  let link: [LinkerSetting] = []
#endif

let package = Package(
  name: "Fallaway",
  platforms: [.iOS(.v15), .macOS(.v12)],
  products: [.library(name: "Fallaway", targets: ["Fallaway"])],
  targets: [
    native,
    .target(name: "Fallaway", dependencies: ["FallawayFFI"], linkerSettings: link),
    .executableTarget(name: "fallaway-measure", dependencies: ["Fallaway"]),
    .executableTarget(name: "fallaway-device", dependencies: ["Fallaway"]),
    .testTarget(name: "FallawayTests", dependencies: ["Fallaway"]),
  ],
  swiftLanguageModes: [.v6]
)
