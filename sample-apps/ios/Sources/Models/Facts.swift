import Fallaway

/// What the instrument is: a template only supposes it, and turns and clearances are worked out
/// from it.
final class Facts: Screen {
  override var name: String { "facts" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    switch one.role {
    case .button: return nil
    case .field: return one.value?.isEmpty != false ? nil : one.asLine
    case .choice, .toggle:
      guard one.chosen else { return nil }
      return Element(one.id, .row, one.text, touch: false)
    default: return one
    }
  }

  private var spec: InstrumentSpec?
  /// What stands in the fields by what is written down, and what was typed over it.
  private var stands: [String: String] = [:]
  private var typed: [String: String] = [:]
  /// What was chosen, until it is saved.
  private var bridge: Bridge?
  private var floating: Bool?
  private var onPosts: Bool?
  private var rod: RodKind?
  private var saved: String?
  /// What looks unusual of what was typed, until it is answered.
  private var doubts: [Doubt] = []

  private enum Bridge: String, CaseIterable {
    case oneScrew = "one_screw"
    case twoScrews = "two_screws"
    case posts
    case fixed

    var words: Say {
      switch self {
      case .oneScrew: .saddlesOneScrew
      case .twoScrews: .saddlesTwoScrews
      case .posts: .bridgeOnPosts
      case .fixed: .bridgeFixed
      }
    }

    var height: BridgeHeight {
      switch self {
      case .oneScrew: .ownSaddles(screws: 1)
      case .twoScrews: .ownSaddles(screws: 2)
      case .posts: .twoPosts
      case .fixed: .fixed
      }
    }
  }

  private static let rods: [(String, RodKind, Say)] = [
    ("one_way", .oneWay, .rodOneWay), ("two_way", .twoWay, .rodTwoWay),
    ("absent", .absent, .rodNone),
  ]

  /// What is typed for a board without a curve.
  private static let flat = "0"

  /// No scale and no radius is so many millimetres, or inches.
  private static let inchesBelow = 100.0

  /// Under which key stands what is taken away by an empty field.
  private static let keys = [
    ("about", "about"), ("scale", "scale"), ("frets", "frets"), ("joint", "joint-fret"),
    ("radius", "board"), ("nut_spread", "nut-spread"), ("bridge_spread", "bridge-spread"),
    ("pickups", "pickups"), ("springs", "springs"),
  ]

  override func load() async throws {
    let now = try await phone.instrument().details().spec
    spec = now
    var there: [String: String] = [:]
    there["name"] = now.name
    there["about"] = now.about
    there["frets"] = now.frets.map { "\($0.count)" }
    there["joint"] = now.jointFret.map { "\($0.number)" }
    there["nut_spread"] = now.nutSpread.map(written)
    there["bridge_spread"] = now.bridgeSpread.map(written)
    there["pickups"] = now.pickups.map { "\($0)" }
    there["springs"] = now.springs.map { "\($0)" }
    there["saddle_thread"] = screw(.saddleHeight).thread
    there["post_thread"] = screw(.bridgePost).thread
    there["rod_key"] = screw(.rod).key
    switch now.scale {
    case .same(let length)?: there["scale"] = written(length)
    case .fanned(let bass, let treble)?:
      there["scale"] = written(treble)
      there["scale_low"] = written(bass)
    default: break
    }
    switch now.board {
    case .flat?: there["radius"] = Self.flat
    case .cylinder(let radius)?: there["radius"] = written(radius)
    case .compound(let nut, let lastFret)?:
      there["radius"] = written(nut)
      there["radius_end"] = written(lastFret)
    default: break
    }
    for (at, one) in now.tuning.enumerated() {
      there["tuning.\(at + 1)"] = phone.note(one.note)
    }
    stands = there
  }

  private func written(_ length: Entered) -> String { phone.written(length.text) }

  private func screw(_ place: ScrewPlace) -> ScrewSpec {
    spec?.screws.first { $0.place == place }?.screw ?? ScrewSpec()
  }

  private func text(_ id: String) -> String { typed[id] ?? stands[id] ?? "" }

  private var floats: Bool { floating ?? (spec?.bridge?.floating == true) }

  private var posts: Bool { onPosts ?? (spec?.bridge?.posts == true) }

  override func body() -> [Element] {
    var shown = [title(.facts)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    shown.append(Element("supposed", .text, say(.factsAbout)))
    shown.append(Element("name", .field, say(.itsName), value: text("name")))
    shown.append(Element("about", .field, say(.factAbout), value: text("about")))
    shown.append(heading("strings", say(.strings)))
    for (at, one) in (spec?.tuning ?? []).enumerated() {
      let typed = text("tuning.\(at + 1)")
      shown.append(
        Element("tuning.\(at + 1)", .field, say(.factNote, one.place.course), value: typed))
    }
    return shown + neck() + hardware()
  }

  private func neck() -> [Element] {
    var shown = [
      heading("neck", say(.factNeck)),
      Element("scale", .field, say(.factScale), value: text("scale")),
      Element("scale_low", .field, say(.factScaleLow), value: text("scale_low")),
      Element("frets", .field, say(.factFrets), value: text("frets")),
      Element("joint", .field, say(.factJoint), value: text("joint")),
      Element("radius", .field, say(.factRadius), value: text("radius")),
      Element("radius_end", .field, say(.factRadiusEnd), value: text("radius_end")),
      Element("nut_spread", .field, say(.factNutSpread), value: text("nut_spread")),
      heading("rod", say(.factRod)),
    ]
    let kind = rod ?? spec?.rod?.kind
    for (id, one, words) in Self.rods {
      shown.append(choice("rod.\(id)", say(words), one == kind))
    }
    shown.append(Element("rod_key", .field, say(.factRodKey), value: text("rod_key")))
    return shown
  }

  private func hardware() -> [Element] {
    var shown = [heading("bridge", say(.factBridge))]
    let height = bridge?.height ?? spec?.bridge?.height
    for one in Bridge.allCases {
      shown.append(choice("bridge.\(one.rawValue)", say(one.words), one.height == height))
    }
    shown.append(toggle("posts", .standsOnPosts, posts))
    shown.append(toggle("floats", .floats, floats))
    if floats {
      shown.append(Element("springs", .field, say(.factSprings), value: text("springs")))
    }
    shown += [
      Element("saddle_thread", .field, say(.factSaddleThread), value: text("saddle_thread")),
      Element("post_thread", .field, say(.factPostThread), value: text("post_thread")),
      Element("bridge_spread", .field, say(.factBridgeSpread), value: text("bridge_spread")),
      Element("pickups", .field, say(.factPickups), value: text("pickups")),
    ]
    if doubts.isEmpty { return shown + [button("save", .factsSave, main: true)] }
    let reasons = doubts.map { $0.reason.sentence + "." }.joined(separator: " ")
    return shown + [
      Element("doubt", .banner, say(.looksUnusual), detail: reasons),
      button("sure", .itIsRight, main: true),
      button("correct", .correctIt),
    ]
  }

  override func touched(_ id: String) async throws {
    saved = nil
    switch id {
    case "floats": floating = !floats
    case "posts": onPosts = !posts
    case "save": try await save(accept: [])
    case "sure": try await save(accept: doubts)
    case "correct": doubts = []
    default:
      if let one = id.after("rod.") { rod = Self.rods.first { $0.0 == one }?.1 ?? rod }
      if let one = id.after("bridge.") { bridge = Bridge(rawValue: one) ?? bridge }
    }
  }

  override func typed(_ id: String, _ text: String) async {
    saved = nil
    doubts = []
    typed[id] = text
  }

  /// A field whose text is no whole number.
  private struct Unread: Error {
    let label: Say
  }

  private func save(accept: [Doubt]) async throws {
    doubts = []
    do {
      let fields = try changed()
      if !fields.isEmpty {
        let options = WriteOptions(accept: accept)
        try await phone.instrument().setSpecs(fields: fields, options: options)
      }
    } catch FallawayError.unsure(_, let asked) {
      doubts = asked
      return
    } catch let unread as Unread {
      show(say(unread.label) + ": " + say(.notUnderstood))
      return
    }
    for (id, key) in Self.keys where isChanged(id) && text(id).trimmed.isEmpty {
      try await phone.instrument().unsetSpec(key: key)
    }
    saved = say(.noted)
    typed = [:]
    bridge = nil
    floating = nil
    onPosts = nil
    rod = nil
    try await load()
  }

  private func isChanged(_ ids: String...) -> Bool {
    ids.contains { text($0).trimmed != stands[$0] ?? "" }
  }

  /// Whether something was typed there, and is not only taken away.
  private func isSet(_ id: String, _ other: String? = nil) -> Bool {
    (isChanged(id) || other.map { isChanged($0) } == true) && !text(id).trimmed.isEmpty
  }

  private func count(_ id: String, _ label: Say) throws -> Int {
    guard let number = UInt32(text(id).trimmed) else { throw Unread(label: label) }
    return Int(number)
  }

  private func changed() throws -> [SpecField] {
    var fields: [SpecField] = []
    if isChanged("name") { fields.append(.name(text: text("name").trimmed)) }
    if isSet("about") { fields.append(.about(text: text("about").trimmed)) }
    for (at, one) in (spec?.tuning ?? []).enumerated() where isChanged("tuning.\(at + 1)") {
      let note = phone.noteTyped(text("tuning.\(at + 1)").trimmed)
      fields.append(.tuning(tuned: TunedString(place: one.place, note: note)))
    }
    if isSet("scale", "scale_low") {
      let low = text("scale_low").trimmed
      let all = long("scale")
      fields.append(
        .scale(
          length: low.isEmpty
            ? .same(length: all) : .fanned(bass: long("scale_low"), treble: all)))
    }
    if isSet("frets") {
      let frets = try count("frets", .factFrets)
      fields.append(.frets(frets: FretsSpec(count: frets, height: spec?.frets?.height)))
    }
    if isSet("joint") {
      let number = try count("joint", .factJoint)
      let known = spec?.jointFret?.uncertainByFrets
      let joint =
        known.map { JointFretSpec(number: number, uncertainByFrets: $0) }
        ?? JointFretSpec(number: number)
      fields.append(.jointFret(joint: joint))
    }
    if isSet("radius", "radius_end") { fields.append(.board(curve: curve())) }
    if isSet("nut_spread") { fields.append(.nutSpread(width: Entered(text: text("nut_spread")))) }
    if isSet("bridge_spread") {
      fields.append(.bridgeSpread(width: Entered(text: text("bridge_spread"))))
    }
    if isSet("pickups") { fields.append(.pickups(count: try count("pickups", .factPickups))) }
    if isSet("springs") { fields.append(.springs(count: try count("springs", .factSprings))) }
    return fields + screws()
  }

  private func screws() -> [SpecField] {
    var fields: [SpecField] = []
    if let rod { fields.append(.rod(rod: RodSpec(kind: rod, access: spec?.rod?.access))) }
    if isChanged("rod_key") {
      let old = screw(.rod)
      let key = ScrewSpec(
        thread: old.thread, pitch: old.pitch, clockwise: old.clockwise,
        key: text("rod_key").trimmed.unlessEmpty)
      fields.append(.screw(placed: PlacedScrew(place: .rod, screw: key)))
    }
    for (id, place) in [("saddle_thread", ScrewPlace.saddleHeight), ("post_thread", .bridgePost)]
    where isChanged(id) {
      let old = screw(place)
      let thread = ScrewSpec(
        thread: text(id).trimmed.unlessEmpty, clockwise: old.clockwise, key: old.key)
      fields.append(.screw(placed: PlacedScrew(place: place, screw: thread)))
    }
    if let height = bridge?.height ?? spec?.bridge?.height,
      bridge != nil || floating != nil || onPosts != nil
    {
      let stood = spec?.bridge
      let bridge = BridgeSpec(
        height: height, floating: floats, intonation: stood?.intonation, sideways: stood?.sideways,
        posts: onPosts ?? stood?.posts)
      fields.append(.bridge(bridge: bridge))
    }
    return fields
  }

  private func curve() -> BoardCurve {
    if text("radius").trimmed == Self.flat { return .flat }
    if text("radius_end").trimmed.isEmpty { return .cylinder(radius: long("radius")) }
    return .compound(nut: long("radius"), lastFret: long("radius_end"))
  }

  /// A scale or a radius: without a unit small numbers are inches and large ones millimetres, as
  /// people say them.
  private func long(_ id: String) -> Entered {
    let text = text(id).trimmed
    guard let number = Double(text.replacing(",", with: ".")) else { return Entered(text: text) }
    return Entered(text: text + (number < Self.inchesBelow ? " in" : " mm"))
  }

  override func kept() -> [String: String] {
    var kept: [String: String] = [:]
    for (id, text) in typed { kept["typed " + id] = text }
    kept["bridge"] = bridge?.rawValue
    kept["floats"] = floating.map { "\($0)" }
    kept["posts"] = onPosts.map { "\($0)" }
    kept["rod"] = Self.rods.first { $0.1 == rod }?.0
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    for (key, text) in kept {
      if let id = key.after("typed ") { typed[id] = text }
    }
    bridge = kept["bridge"].flatMap(Bridge.init)
    floating = kept["floats"].map { $0 == "true" }
    onPosts = kept["posts"].map { $0 == "true" }
    rod = Self.rods.first { $0.0 == kept["rod"] }?.1
  }
}
