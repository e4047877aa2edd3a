import Fallaway

// The calls of the golden vectors that draw.

/// How drawings are painted; `nil` for another call.
func lookAnswer(_ call: String, _ given: Given) throws -> Answer? {
  guard call == "look" else { return nil }
  let theme: Theme
  switch try given.text("theme") {
  case "light": theme = .light
  case "dark": theme = .dark
  case "stage": theme = .stage
  default: theme = .print
  }
  let found = look(theme: theme)
  let colours = found.paints.map(\.colour) + [found.paper]
  return [
    "roles": Value(found.paints.map { snake($0.role) }),
    "colours": Value(colours.flatMap { [$0.red, $0.green, $0.blue] }),
    "widths_pt": Value(found.paints.map(\.widthPt)),
    "dashes_pt": Value(found.paints.map { $0.dash?.onPt ?? 0 }),
    "bold": .list(found.paints.map { Value($0.bold) }),
  ]
}

func drawAnswer(_ instrument: Instrument, _ given: Given) throws -> Answer {
  let scenes: [Scene]
  switch try given.text("drawing") {
  case "turns": scenes = try instrument.drawTurnsBlocking()
  case "neck": scenes = [try instrument.drawNeckBlocking()]
  case "clearance": scenes = [try instrument.drawClearanceBlocking()]
  case "saddles": scenes = [try instrument.drawSaddlesBlocking()]
  case "intonation": scenes = [try instrument.drawIntonationBlocking()]
  case "spacing": scenes = [try instrument.drawSpacingBlocking()]
  case "relief":
    scenes = [try instrument.drawHistoryBlocking(quantity: relief, location: .whole)]
  default:
    let before = Occasion.asLeft(visit: VisitId(try given.text("before_visit")))
    scenes = [try instrument.drawChangesBlocking(before: before, after: .today)]
  }
  let marks = scenes.flatMap(\.marks).map(told)
  return [
    "titles": Value(scenes.map(\.title)), "sentences": Value(scenes.flatMap(\.sentences)),
    "sizes_pt": Value(scenes.flatMap { [$0.widthPt, $0.heightPt] }),
    "marks": Value(marks.map(\.0)), "numbers": Value(marks.flatMap(\.1)),
  ]
}

/// A page to hand over.
func sheetAnswer(_ instrument: Instrument, _ given: Given) throws -> Answer {
  let kind: SheetKind = try given.text("kind") == "bench" ? .bench : .customer
  let page = try instrument.sheetBlocking(kind: kind)
  return [
    "title": Value(page.title), "subtitle": Value(page.subtitle),
    "text": Value(page.text), "html": Value(page.html),
  ]
}

/// What a mark is, and its numbers in points.
private func told(_ mark: Mark) -> (String, [Double]) {
  let along = { (places: [Spot]) in places.flatMap { [$0.xPt, $0.yPt] } }
  let form: (String, [Double])
  switch mark.shape {
  case .line(let places, let arrow): form = (arrow ? "arrow" : "line", along(places))
  case .area(let places): form = ("area", along(places))
  case .dot(let at, let radius): form = ("dot", along([at]) + [radius])
  case .ring(let at, let radius): form = ("ring", along([at]) + [radius])
  case .arc(let at, let radius, let sweep): form = ("arc", along([at]) + [radius, sweep])
  case .text(let at, let anchor, let size, let text):
    form = ("\(snake(anchor)): \(text)", along([at]) + [size])
  case .newer: form = ("newer", [])
  }
  return ("\(snake(mark.role)) \(form.0)", form.1)
}
