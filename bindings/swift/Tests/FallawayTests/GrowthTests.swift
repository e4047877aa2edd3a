import Fallaway
import Foundation
import Testing

/// A library that may be newer than the generated code: one of its choices then has a variant more.
/// `cargo tool test swift` runs this once more with such a library.
@Suite struct GrowthTests {
  @Test func theLibrarySaysItsVersion() throws {
    #expect(version().split(separator: ".").count == 3)
    let workshop = try Workshop.inMemoryBlocking(label: "tech")
    #expect(try workshop.diagnosticsBlocking().hasPrefix("fallaway: \(version())\n"))
  }

  @Test func whatCameLaterIsNewer() throws {
    let folder = URL(fileURLWithPath: NSTemporaryDirectory()).appendingPathComponent(
      UUID().uuidString)
    let options = WorkshopOptions(folder: folder.path, label: "tech")
    let grown = ProcessInfo.processInfo.environment["FALLAWAY_GROWN"] != nil
    #expect(options.face == 1)
    #expect(face() == (grown ? 2 : 1))
    let workshop = try Workshop.openBlocking(options: options)
    let bass = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
    let draft = try bass.addRemarkBlocking(text: "wrong instrument")
    #expect(try bass.retractBlocking(entry: draft, reason: "slip") == (grown ? .newer : .erased))
    try workshop.shutDownBlocking()
    try FileManager.default.removeItem(at: folder)
  }
}
