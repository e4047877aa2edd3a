// This language's device in the end-to-end test; `tests/end-to-end/PROTOCOL.md` says what it answers.
import Fallaway
import Foundation

struct Usage: Error {}

/// One device: an open workshop, and the instrument that the commands mean.
struct Device {
  var workshop: Workshop?
  var instrument: Instrument?

  /// How many fields each command has.
  static let fields = [
    "open": 2, "add": 2, "invite": 2, "accept": 2, "remark": 1, "pass": 2, "turn": 1, "about": 1,
    "target": 1, "end": 0, "out": 2, "in": 1, "contested": 0, "settle": 0, "state": 0,
    "remarks": 0, "pause": 0, "shut": 0,
  ]

  private func open() throws -> Workshop {
    guard let workshop else { throw Usage() }
    return workshop
  }

  private func meant() throws -> Instrument {
    guard let instrument else { throw Usage() }
    return instrument
  }

  /// Does what was asked and answers the fields after `ok`.
  mutating func answer(_ command: String, _ given: [String]) throws -> [String] {
    // A command with a field too few or too many is none.
    guard given.count == Self.fields[command] else { throw Usage() }
    func field(_ number: Int) -> String { given[number] }
    switch command {
    case "open":
      workshop = try Workshop.openBlocking(
        folder: URL(fileURLWithPath: field(0)), label: field(1))
      // A device that comes back means the instrument that it has.
      instrument = try workshop?.instrumentsBlocking().first.map {
        try open().instrumentBlocking(id: $0.id)
      }
    case "add":
      instrument = try open().addInstrumentBlocking(template: field(0), name: field(1))
      return [try meant().id.text]
    case "invite":
      let invitation = try meant().inviteBlocking(role: .contributor, validDays: 7)
      try write(Data(invitation.words.utf8), to: field(0))
      try write(invitation.welcome, to: field(1))
    case "accept":
      let text = String(
        decoding: try Data(contentsOf: URL(fileURLWithPath: field(0))), as: UTF8.self)
      let welcome = try Data(contentsOf: URL(fileURLWithPath: field(1)))
      instrument = try open().acceptBlocking(invitation: text, bundle: welcome)
      return [try meant().id.text]
    case "remark": try meant().addRemarkBlocking(text: field(0))
    case "pass":
      let (bass, tool, line) = (try meant(), Tool.other(label: field(0)), field(1))
      let read = { (options: WriteOptions?) in
        _ = try bass.addPassTextBlocking(
          quantity: .action(stopped: 1, over: 12), text: line, tool: tool, options: options)
      }
      do {
        try read(nil)
      } catch FallawayError.unsure(_, let doubts) {
        try read(WriteOptions(accept: doubts))
      }
    case "turn":
      guard let eighths = Double(field(0)) else { throw Usage() }
      try meant().addAdjustmentBlocking(adjustment: Adjustment(part: .rod, turns: eighths / 8))
    case "about": try meant().setSpecBlocking(field: .about(text: field(0)))
    case "target":
      guard let hundredths = Double(field(0)) else { throw Usage() }
      let wanted = Entered(text: String(format: "%.2f mm", hundredths / 100))
      try meant().setTargetBlocking(
        setup: "stage",
        target: NewTarget(
          quantity: .relief(from: 1, to: 20), location: .whole, wanted: wanted, tolerance: "0.05 mm"
        ))
    case "end":
      if try meant().detailsBlocking().openVisit != nil { try meant().endVisitBlocking() }
    case "out":
      let bundle =
        field(1) == "new" ? try meant().bundleUnsentBlocking() : try meant().bundleOutBlocking()
      // Nothing new: no file.
      if let bundle {
        try meant().deliveredBlocking(token: bundle.token)
        try write(bundle.file, to: field(0))
      }
    case "in":
      let report = try open().bundleInBlocking(
        bytes: Data(contentsOf: URL(fileURLWithPath: field(0))))
      let entries = report.added.flatMap(\.entries).reduce(0) { $0 + $1.count }
      return ["\(entries)", "\(report.newlyContested.count)", "\(report.refused.count)"]
    case "contested": return ["\(try meant().contestedBlocking().count)"]
    case "settle":
      let fields = try meant().contestedBlocking().sorted { $0.label < $1.label }
      if let first = fields.first, let shown = first.versions.first(where: \.displayed) {
        try meant().settleBlocking(shown: first, keep: shown.id)
      }
    case "state":
      return [
        try meant().detailsBlocking().historyDigest, "\(try meant().historyBlocking().count)",
      ]
    case "remarks":
      return try meant().historyBlocking().compactMap { entry in
        if case .remarked(let text, _, _, _) = entry.body { text } else { nil }
      }
    case "pause": try open().pauseBlocking()
    case "shut": try shut()
    default: throw Usage()
    }
    return []
  }

  mutating func shut() throws {
    try open().shutDownBlocking()
    (workshop, instrument) = (nil, nil)
  }

  private func write(_ bytes: Data, to path: String) throws {
    try bytes.write(to: URL(fileURLWithPath: path))
  }
}

/// The name of an error's kind: `badInput` of `BadInput(field: ...)`, in snake case.
func kind(of error: FallawayError) -> String {
  let name = String(describing: error).prefix { $0 != "(" }
  return name.reduce(into: "") { told, letter in
    if letter.isUppercase && !told.isEmpty { told.append("_") }
    told.append(contentsOf: letter.lowercased())
  }
}

func say(_ fields: [String]) {
  let plain = fields.map { $0.replacing(/[\t\r\n]/, with: " ") }
  print(plain.joined(separator: "\t"))
  fflush(nil)
}

var device = Device()
while let line = readLine() {
  let fields = line.split(separator: "\t", omittingEmptySubsequences: false).map(String.init)
  if fields[0] == "quit" {
    if device.workshop != nil { try? device.shut() }
    say(["ok"])
    break
  }
  do {
    say(["ok"] + (try device.answer(fields[0], Array(fields.dropFirst()))))
  } catch let error as FallawayError {
    say(["err", kind(of: error), error.localizedDescription])
  } catch is Usage {
    say(["err", "usage", fields[0]])
  } catch {
    say(["err", "other", "\(error)"])
  }
}
