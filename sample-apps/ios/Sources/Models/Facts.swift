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
  private var chosen: [FewFact: String] = [:]
  private var turned: [Switch: Bool] = [:]
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

  /// What is so or not.
  private enum Switch: String, CaseIterable {
    case headless
    case posts
    case floats
    case sideways

    var words: Say {
      switch self {
      case .headless: .headless
      case .posts: .standsOnPosts
      case .floats: .floats
      case .sideways: .sideways
      }
    }

    func stands(_ spec: InstrumentSpec) -> Bool? {
      switch self {
      case .headless: spec.headless
      case .posts: spec.bridge?.posts
      case .floats: spec.bridge?.floating
      case .sideways: spec.bridge?.sideways
      }
    }
  }

  /// A screw or nut, its thread and what turns it; of a rod no thread, for what its turn does is
  /// read.
  private enum Turns: String, CaseIterable {
    case rod
    case saddle
    case intonation
    case post
    case claw
    case pickup

    var place: ScrewPlace {
      switch self {
      case .rod: .rod
      case .saddle: .saddleHeight
      case .intonation: .saddlePosition
      case .post: .bridgePost
      case .claw: .springClaw
      case .pickup: .pickup
      }
    }

    var thread: Say? {
      switch self {
      case .rod: nil
      case .saddle: .factSaddleThread
      case .intonation: .factIntonationThread
      case .post: .factPostThread
      case .claw: .factClawThread
      case .pickup: .factPickupThread
      }
    }

    var fits: Say {
      switch self {
      case .rod: .factRodKey
      case .saddle: .factSaddleKey
      case .intonation: .factIntonationKey
      case .post: .factPostKey
      case .claw: .factClawKey
      case .pickup: .factPickupKey
      }
    }
  }

  /// What is typed for a board without a curve.
  private static let flat = "0"

  /// No scale and no radius is so many millimetres, or inches.
  private static let inchesBelow = 100.0

  /// The same of outer strings, and of a fret's height.
  private static let spread = 10.0
  private static let crown = 0.2

  /// What is typed where there are no trees.
  private static let none = "0"

  /// Under which key stands what is taken away by an empty field.
  private static let keys = [
    ("about", "about"), ("scale", "scale"), ("frets", "frets"), ("joint", "joint-fret"),
    ("radius", "board"), ("nut_spread", "nut-spread"), ("bridge_spread", "bridge-spread"),
    ("pickups", "pickups"), ("springs", "springs"), ("concert_pitch", "a4"), ("trees", "trees"),
  ]

  override func load() async throws {
    let now = try await phone.instrument().details().spec
    spec = now
    var there: [String: String] = [:]
    there["name"] = now.name
    there["about"] = now.about
    there["frets"] = now.frets.map { "\($0.count)" }
    there["crown"] = now.frets?.height.map(written)
    there["concert_pitch"] = now.a4.map(written)
    if let trees = now.trees {
      there["trees"] = trees.map { "\($0.course)" }.joined(separator: " ").unlessEmpty ?? Self.none
    }
    there["joint"] = now.jointFret.map { "\($0.number)" }
    there["nut_spread"] = now.nutSpread.map(written)
    there["bridge_spread"] = now.bridgeSpread.map(written)
    there["pickups"] = now.pickups.map { "\($0)" }
    there["springs"] = now.springs.map { "\($0)" }
    for one in Turns.allCases {
      let known = screw(one.place)
      there["thread.\(one.rawValue)"] = known.thread ?? known.pitch.map(written)
      there["fits.\(one.rawValue)"] = known.key
    }
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

  private func isOn(_ one: Switch) -> Bool {
    turned[one] ?? (spec.flatMap(one.stands) == true)
  }

  /// What was chosen, or else stands.
  private func now<One: OneOfFew>(_ of: FewFact, _ stands: One?) -> One? {
    One.of(chosen[of]) ?? stands
  }

  override func body() -> [Element] {
    var shown = [title(.facts)]
    if let saved { shown.append(Element("saved", .banner, saved)) }
    shown.append(Element("supposed", .text, say(.factsAbout)))
    shown.append(Element("name", .field, say(.itsName), value: text("name")))
    shown.append(Element("about", .field, say(.factAbout), value: text("about")))
    shown += head() + neck() + bridgeAndPickups()
    if doubts.isEmpty { return shown + [button("save", .factsSave, main: true)] }
    let reasons = doubts.map { $0.reason.sentence + "." }.joined(separator: " ")
    return shown + [
      Element("doubt", .banner, say(.looksUnusual), detail: reasons),
      button("sure", .itIsRight, main: true),
      button("correct", .correctIt),
    ]
  }

  private func choices<One: OneOfFew>(_ of: FewFact, _ stands: One?) -> [Element] {
    let now = now(of, stands)
    return One.offered.compactMap { one in
      one.named.map { choice("\(of.rawValue).\($0.id)", say($0.words), one == now) }
    }
  }

  private func toggle(_ one: Switch) -> Element { toggle(one.rawValue, one.words, isOn(one)) }

  private func turns(_ one: Turns) -> [Element] {
    let (thread, fits) = (text("thread.\(one.rawValue)"), text("fits.\(one.rawValue)"))
    var shown: [Element] = []
    if let words = one.thread {
      shown.append(Element("thread.\(one.rawValue)", .field, say(words), value: thread))
    }
    return shown + [Element("fits.\(one.rawValue)", .field, say(one.fits), value: fits)]
  }

  /// What the player meets: hand, strings, nut.
  private func head() -> [Element] {
    var shown = [heading("hand", say(.factHand))]
    shown += choices(.hand, spec?.handedness) + choices(.order, spec?.stringing)
    shown += [toggle(.headless), heading("strings", say(.strings))]
    for (at, one) in (spec?.tuning ?? []).enumerated() {
      let typed = text("tuning.\(at + 1)")
      shown.append(
        Element("tuning.\(at + 1)", .field, say(.factNote, one.place.course), value: typed))
    }
    shown.append(
      Element("concert_pitch", .field, say(.factA4), value: text("concert_pitch")))
    shown.append(heading("nut", say(.factNut)))
    shown += choices(.nut, spec?.nut)
    shown.append(Element("nut_spread", .field, say(.factNutSpread), value: text("nut_spread")))
    shown.append(Element("trees", .field, say(.factTrees), value: text("trees")))
    return shown
  }

  private func neck() -> [Element] {
    var shown = [
      heading("neck", say(.factNeck)),
      Element("scale", .field, say(.factScale), value: text("scale")),
      Element("scale_low", .field, say(.factScaleLow), value: text("scale_low")),
      Element("frets", .field, say(.factFrets), value: text("frets")),
      Element("crown", .field, say(.factCrown), value: text("crown")),
      Element("joint", .field, say(.factJoint), value: text("joint")),
      Element("radius", .field, say(.factRadius), value: text("radius")),
      Element("radius_end", .field, say(.factRadiusEnd), value: text("radius_end")),
      heading("attached", say(.factAttached)),
    ]
    shown += choices(.attached, spec?.neckJoint)
    shown.append(heading("rod", say(.factRod)))
    shown += choices(.rod, spec?.rod?.kind)
    if let kind = now(.rod, spec?.rod?.kind), kind != .absent {
      shown += choices(.rodAt, spec?.rod?.access)
    }
    return shown + turns(.rod)
  }

  private func bridgeAndPickups() -> [Element] {
    var shown = [heading("bridge", say(.factBridge))]
    let height = bridge?.height ?? spec?.bridge?.height
    for one in Bridge.allCases {
      shown.append(choice("bridge.\(one.rawValue)", say(one.words), one.height == height))
    }
    shown += [toggle(.posts), toggle(.floats)]
    if isOn(.floats) {
      shown.append(Element("springs", .field, say(.factSprings), value: text("springs")))
      shown += turns(.claw)
    }
    shown += turns(.saddle) + turns(.post)
    shown.append(
      Element("bridge_spread", .field, say(.factBridgeSpread), value: text("bridge_spread")))
    if height != nil {
      shown += [toggle(.sideways), heading("intonation", say(.factIntonation))]
      shown += choices(.intonation, spec?.bridge?.intonation)
    }
    shown += turns(.intonation)
    shown.append(heading("pickup", say(.pickups)))
    shown.append(Element("pickups", .field, say(.factPickups), value: text("pickups")))
    return shown + turns(.pickup)
  }

  override func touched(_ id: String) async throws {
    saved = nil
    switch id {
    case "save": try await save(accept: [])
    case "sure": try await save(accept: doubts)
    case "correct": doubts = []
    default:
      if let one = Switch(rawValue: id) { turned[one] = !isOn(one) }
      for of in FewFact.allCases {
        if let one = id.after(of.rawValue + ".") { chosen[of] = one }
      }
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
    chosen = [:]
    turned = [:]
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
    if isSet("frets", "crown") || isSet("crown") {
      let frets = try count("frets", .factFrets)
      let height = text("crown").trimmed.isEmpty ? nil : long("crown", Self.crown)
      fields.append(.frets(frets: FretsSpec(count: frets, height: height)))
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
    if isSet("nut_spread") { fields.append(.nutSpread(width: long("nut_spread", Self.spread))) }
    if isSet("bridge_spread") {
      fields.append(.bridgeSpread(width: long("bridge_spread", Self.spread)))
    }
    if isSet("pickups") { fields.append(.pickups(count: try count("pickups", .factPickups))) }
    if isSet("springs") { fields.append(.springs(count: try count("springs", .factSprings))) }
    if isSet("concert_pitch") {
      let typed = text("concert_pitch").trimmed
      let bare = typed.last?.isNumber == true
      fields.append(.a4(frequency: Entered(text: bare ? typed + " Hz" : typed)))
    }
    if isSet("trees") { fields.append(.trees(places: try trees())) }
    return fields + few() + screws()
  }

  /// Of what was chosen, what is a fact by itself.
  private func few() -> [SpecField] {
    var fields: [SpecField] = []
    if let one = Handedness.of(chosen[.hand]) { fields.append(.builtFor(hand: one)) }
    if let one = Stringing.of(chosen[.order]) { fields.append(.strung(order: one)) }
    if let one = NutKind.of(chosen[.nut]) { fields.append(.nut(kind: one)) }
    if let one = NeckJoint.of(chosen[.attached]) { fields.append(.joint(joint: one)) }
    if let on = turned[.headless] { fields.append(.headless(yes: on)) }
    return fields
  }

  /// The strings under a tree, by the numbers typed; none for 0.
  private func trees() throws -> [StringPlace] {
    let numbers = text("trees").split { " ,;".contains($0) }.map(String.init)
    if numbers == [Self.none] { return [] }
    return try numbers.flatMap { number in
      let here = (spec?.places ?? []).filter { "\($0.course)" == number }
      if here.isEmpty { throw Unread(label: .factTrees) }
      return here
    }
  }

  private func screws() -> [SpecField] {
    var fields: [SpecField] = []
    let rod = now(.rod, spec?.rod?.kind)
    if chosen[.rod] != nil || chosen[.rodAt] != nil, let rod {
      let access = now(.rodAt, spec?.rod?.access)
      fields.append(.rod(rod: RodSpec(kind: rod, access: access)))
    }
    for one in Turns.allCases
    where isChanged("thread.\(one.rawValue)", "fits.\(one.rawValue)") {
      fields.append(.screw(placed: PlacedScrew(place: one.place, screw: turned(one))))
    }
    let turns = turned.keys.contains { $0 != .headless }
    let said = bridge != nil || chosen[.intonation] != nil || turns
    if said, let height = bridge?.height ?? spec?.bridge?.height {
      let stood = spec?.bridge
      let bridge = BridgeSpec(
        height: height, floating: isOn(.floats), intonation: now(.intonation, stood?.intonation),
        sideways: turned[.sideways] ?? stood?.sideways, posts: turned[.posts] ?? stood?.posts)
      fields.append(.bridge(bridge: bridge))
    }
    return fields
  }

  /// A thread by its name, or by how far a turn moves.
  private func turned(_ one: Turns) -> ScrewSpec {
    let id = "thread.\(one.rawValue)"
    let old = screw(one.place)
    let key = text("fits.\(one.rawValue)").trimmed.unlessEmpty
    if !isChanged(id) {
      return ScrewSpec(
        thread: old.thread, pitch: old.pitch, clockwise: old.clockwise, key: key)
    }
    let thread = text(id).trimmed.unlessEmpty
    let isPitch = thread?.wholeMatch(of: #/[0-9.,]+ *(mm|in|Zoll)?/#) != nil
    return ScrewSpec(
      thread: isPitch ? nil : thread, pitch: isPitch ? long(id, 0) : nil,
      clockwise: old.clockwise, key: key)
  }

  private func curve() -> BoardCurve {
    if text("radius").trimmed == Self.flat { return .flat }
    if text("radius_end").trimmed.isEmpty { return .cylinder(radius: long("radius")) }
    return .compound(nut: long("radius"), lastFret: long("radius_end"))
  }

  /// A length: without a unit small numbers are inches and large ones millimetres, as people say
  /// them.
  private func long(_ id: String, _ inchesBelow: Double = inchesBelow) -> Entered {
    let text = text(id).trimmed
    guard let number = Double(text.replacing(",", with: ".")) else { return Entered(text: text) }
    return Entered(text: text + (number < inchesBelow ? " in" : " mm"))
  }

  override func kept() -> [String: String] {
    var kept: [String: String] = [:]
    for (id, text) in typed { kept["typed " + id] = text }
    kept["bridge"] = bridge?.rawValue
    for (one, on) in turned { kept["turned " + one.rawValue] = "\(on)" }
    for (of, one) in chosen { kept["chosen " + of.rawValue] = one }
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    for (key, text) in kept {
      if let id = key.after("typed ") { typed[id] = text }
    }
    bridge = kept["bridge"].flatMap(Bridge.init)
    for one in Switch.allCases {
      if let on = kept["turned " + one.rawValue] { turned[one] = on == "true" }
    }
    for of in FewFact.allCases {
      if let one = kept["chosen " + of.rawValue] { chosen[of] = one }
    }
  }
}
