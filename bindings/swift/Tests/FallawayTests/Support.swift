import Fallaway
import Foundation
import Testing

/// A clock that is wound by hand: each look at it is a minute later.
final class Ticking: TimeSource, @unchecked Sendable {
  // The lock guards the moment.
  private let lock = NSLock()
  private var unixS: Int64

  init(from unixS: Int64 = 1_780_000_000) {
    self.unixS = unixS
  }

  func now() throws -> Moment {
    lock.withLock {
      unixS += 60
      return Moment(unixS: unixS, offsetMin: 60)
    }
  }
}

/// A folder that is gone when the test is over.
final class Folder: Sendable {
  let url: URL

  init() throws {
    url = FileManager.default.temporaryDirectory.appendingPathComponent(UUID().uuidString)
    try FileManager.default.createDirectory(at: url, withIntermediateDirectories: true)
  }

  deinit {
    try? FileManager.default.removeItem(at: url)
  }
}

/// Files that all languages share.
func shared(_ path: String) -> URL {
  let folder = ProcessInfo.processInfo.environment["FALLAWAY_TESTS"] ?? "/fallaway/tests"
  return URL(fileURLWithPath: folder).appendingPathComponent(path)
}

/// A device and its handle to the shared instrument.
typealias Device = (workshop: Workshop, bass: Instrument)

let action = Quantity.action(stopped: 1, over: 24)
let relief = Quantity.relief(from: 1, to: 24)

/// A four-string bass with a setup, read and adjusted once.
func bench(_ label: String = "tech", time: (any TimeSource)? = Ticking()) throws -> Device {
  let workshop = try Workshop.inMemoryBlocking(label: label, time: time)
  let bass = try workshop.addInstrumentBlocking(template: "bass-4", name: "walnut bass")
  try bass.beginVisitBlocking(purpose: "set-up")
  try bass.addPassTextBlocking(quantity: relief, text: "10", tool: .feelerThou)
  try bass.addPassTextBlocking(quantity: action, text: "5 5 5.5 6", tool: .rule64)
  try bass.takeSetupBlocking(name: "stage")
  try bass.endVisitBlocking()
  return (workshop, bass)
}

/// A second device that shares the record.
func join(_ bass: Instrument, as label: String, role: Role = .contributor) throws -> Device {
  let workshop = try Workshop.inMemoryBlocking(label: label, time: Ticking(from: 1_780_100_000))
  let invitation = try bass.inviteBlocking(role: role)
  let everything = try bass.bundleOutBlocking().file
  let theirs = try workshop.acceptBlocking(invitation: invitation.words, bundle: everything)
  return (workshop, theirs)
}

/// Brings each device what the other has.
func exchange(_ one: Device, _ two: Device) throws {
  try one.workshop.bundleInBlocking(bytes: two.bass.bundleOutBlocking().file)
  try two.workshop.bundleInBlocking(bytes: one.bass.bundleOutBlocking().file)
}

/// The error that a call throws, if it is one of the library's.
func error(of call: () throws -> Void) -> FallawayError? {
  do {
    try call()
    return nil
  } catch {
    return error as? FallawayError
  }
}
