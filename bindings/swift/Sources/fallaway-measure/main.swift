// What an app pays: one foreign call, each screen, a cold start. Prints a table in Markdown.
//
//   fallaway-measure FOLDER          all, in a new folder
//   fallaway-measure cold FOLDER     only a cold start over what is there, for a process of its own
import Fallaway
import Foundation

let relief = Quantity.relief(from: 1, to: 24)
let action = Quantity.action(stopped: 1, over: 24)

/// Milliseconds of one run.
func milliseconds(_ work: () throws -> Void) rethrows -> Double {
  let clock = ContinuousClock()
  let taken = try clock.measure(work)
  return Double(taken.components.seconds) * 1e3 + Double(taken.components.attoseconds) / 1e15
}

/// Median and greatest of so many runs, in milliseconds, after a few that are not counted.
func measure(_ runs: Int, _ work: () throws -> Void) rethrows -> (median: Double, greatest: Double)
{
  for _ in 0..<max(1, runs / 10) { try work() }
  let times = try (0..<runs).map { _ in try milliseconds(work) }.sorted()
  return (times[times.count / 2], times[times.count - 1])
}

func line(_ what: String, calls: Int, _ times: (median: Double, greatest: Double), runs: Int) {
  let numbers = String(format: "%.4f | %.3f", times.median, times.greatest)
  print("| \(what) | \(calls) | \(numbers) | \(runs) |")
}

/// An instrument with a past: visits of a relief, an action and a pitch pass, and a turn of the rod.
func furnish(_ workshop: Workshop, visits: Int) throws -> Instrument {
  let bass = try workshop.addInstrumentBlocking(template: "bass-5", name: "walnut bass")
  for visit in 0..<visits {
    try bass.beginVisitBlocking(purpose: "check")
    try bass.addPassTextBlocking(quantity: .pitch, text: "0 0 0 0 0", tool: .tunerCent)
    try bass.addPassTextBlocking(quantity: relief, text: "\(9 + visit % 4)", tool: .feelerThou)
    try bass.addPassTextBlocking(
      quantity: action, text: "5 5 5.5 6 \(6 + visit % 2)", tool: .rule64)
    if visit == 0 { try bass.takeSetupBlocking(name: "stage") }
    try bass.addAdjustmentBlocking(adjustment: Adjustment(part: .rod, turns: 0.125))
    try bass.endVisitBlocking()
  }
  // Today's readings stand; no turn has touched them.
  try bass.addPassTextBlocking(quantity: .pitch, text: "0 0 0 0 0", tool: .tunerCent)
  try bass.addPassTextBlocking(quantity: relief, text: "14", tool: .feelerThou)
  try bass.addPassTextBlocking(quantity: action, text: "5 5 5.5 6 6", tool: .rule64)
  try bass.endVisitBlocking()
  return bass
}

/// Open, list and card in a process that has done nothing yet: what a person waits for.
func cold(_ folder: URL) throws -> Double {
  try milliseconds {
    let workshop = try Workshop.openBlocking(folder: folder, label: "tech")
    guard let first = try workshop.instrumentsBlocking().first else { return }
    _ = try workshop.instrumentBlocking(id: first.id).cardBlocking()
  }
}

func child(_ folder: URL) throws -> Double {
  let process = Process()
  process.executableURL = URL(fileURLWithPath: CommandLine.arguments[0])
  process.arguments = ["cold", folder.path]
  let pipe = Pipe()
  process.standardOutput = pipe
  try process.run()
  let told = pipe.fileHandleForReading.readDataToEndOfFile()
  process.waitUntilExit()
  return Double(
    String(decoding: told, as: UTF8.self).trimmingCharacters(in: .whitespacesAndNewlines)) ?? .nan
}

let arguments = CommandLine.arguments
if arguments.count == 3, arguments[1] == "cold" {
  print(try cold(URL(fileURLWithPath: arguments[2])))
  exit(0)
}
guard arguments.count == 2 else {
  print("fallaway-measure FOLDER")
  exit(2)
}

let folder = URL(fileURLWithPath: arguments[1])
let workshop = try Workshop.openBlocking(folder: folder, label: "tech")
let bass = try furnish(workshop, visits: 100)
let touch = Touch(forceN: 1, direction: .towardBoard)
let visits = try bass.visitsBlocking()
guard let first = visits.first?.visit.id, let last = visits.last?.visit.id else { exit(1) }

print("| what | foreign calls | median ms | greatest ms | runs |")
print("|---|---|---|---|---|")
let thousand = measure(100) { for _ in 0..<1000 { _ = fretSpacingConstant() } }
line("a thousand calls that answer a number", calls: 1000, thousand, runs: 100)
line(
  "list of instruments", calls: 1, try measure(200) { _ = try workshop.instrumentsBlocking() },
  runs: 200)
line(
  "numbers card", calls: 1, try measure(200) { _ = try bass.cardBlocking(setup: "stage") },
  runs: 200)
line("instrument", calls: 1, try measure(100) { _ = try bass.detailsBlocking() }, runs: 100)
line(
  "history, last 30", calls: 1,
  try measure(100) { _ = try bass.historyBlocking(filter: HistoryFilter(last: 30)) }, runs: 100)
line("plan", calls: 1, try measure(100) { _ = try bass.planBlocking(setup: "stage") }, runs: 100)
line(
  "what changed, first visit to last", calls: 1,
  try measure(50) {
    _ = try bass.whatChangedBlocking(before: .asFound(visit: first), after: .asFound(visit: last))
  }, runs: 50)
line(
  "clearance, first question", calls: 1,
  try measure(10) {
    _ = try bass.clearanceModelBlocking(touch: touch).opened()
  }, runs: 10)
let slider = try bass.clearanceModelBlocking(touch: touch)
line(
  "clearance, each further question", calls: 1,
  try measure(200) {
    _ = try slider.askBlocking(touch: touch, whatIf: ClearanceWhatIf(reliefMm: 0.2))
  },
  runs: 200)
line("contested", calls: 1, try measure(100) { _ = try bass.contestedBlocking() }, runs: 100)
line(
  "enter a pass, durable", calls: 1,
  try measure(100) {
    try bass.addPassTextBlocking(quantity: relief, text: "12", tool: .feelerThou)
  },
  runs: 100)
try bass.endVisitBlocking()
try workshop.shutDownBlocking()

let starts = try (0..<20).map { _ in try child(folder) }.sorted()
line("cold start: open, list, card, in a new process", calls: 4, (starts[10], starts[19]), runs: 20)
let whole = try (0..<20).map { _ in try milliseconds { _ = try child(folder) } }.sorted()
line("the same with the process's own start and end", calls: 4, (whole[10], whole[19]), runs: 20)
