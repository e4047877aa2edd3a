import Fallaway
import Foundation

// The calls of the golden vectors that need no record.

private func exact(_ value: Double) -> Uncertain {
  Uncertain(value: value, standardUncertainty: 0)
}

private func one(_ value: Double?) -> Answer { ["value": Value(value)] }

private func one(_ value: Uncertain) -> Answer {
  ["value": Value(value.value), "standard_uncertainty": Value(value.standardUncertainty)]
}

private func nutWay(_ heldAt3: Bool) -> NutWay { heldAt3 ? .heldAt3Over1 : .openOver1 }

extension Given {
  fileprivate func neck() throws -> NeckShape {
    NeckShape(
      scaleMm: try number("scale_mm"), frets: try count("frets"),
      jointFret: try number("joint_fret"), jointUncertaintyFrets: 0,
      setBackMm: maybe("set_back_mm") ?? 0, crownHeightsMm: [])
  }

  fileprivate func reliefWay() throws -> ReliefWay {
    ReliefWay(fromFret: 1, toFret: try count("frets"), atFret: nil)
  }

  fileprivate func readings() throws -> NeckReadings {
    NeckReadings(
      relief: exact(try number("relief_mm")), reliefWay: try reliefWay(),
      action: exact(try number("action_mm")), actionStopped: try count("action_stopped"),
      actionOver: try count("action_over"), nut: exact(try number("nut_mm")),
      nutWay: nutWay(yes("nut_held_at_3")))
  }

  fileprivate func board() throws -> BoardShape {
    if let radius = maybe("radius_mm") { return .cylinder(radiusMm: radius) }
    return .compound(
      firstAtMm: try number("first_at_mm"), firstRadiusMm: try number("first_radius_mm"),
      secondAtMm: try number("second_at_mm"), secondRadiusMm: try number("second_radius_mm"))
  }

  fileprivate func path(nut: Double, saddle: Double) throws -> StringPath {
    StringPath(
      scaleMm: try number("scale_mm"), frets: try count("frets"), nutOffsetMm: nut,
      saddleOffsetMm: saddle)
  }

  fileprivate func path() throws -> StringPath {
    try path(nut: number("nut_offset_mm"), saddle: number("saddle_offset_mm"))
  }

  fileprivate func make() throws -> StringMake {
    let density = maybe("density_kg_m3")
    switch try text("make") {
    case "plain": return .plain(diameterMm: try number("diameter_mm"), densityKgM3: density)
    case "round_wound":
      let layers = numbers("wires_mm").map { WindingLayer(wireMm: $0, densityKgM3: density) }
      return .roundWound(
        coreMm: try number("core_mm"), coreDensityKgM3: density, layers: layers)
    case "pack_unit_weight": return .packUnitWeight(lbPerIn: try number("lb_per_in"))
    case let other: throw Missing(field: "make \(other)")
    }
  }

  fileprivate func model() throws -> IntonationModel {
    let ends: EndsHeld
    switch try text("ends") {
    case "clamped_pinned": ends = .clampedPinned
    case "clamped_clamped": ends = .clampedClamped
    default: ends = .pinnedPinned
    }
    return IntonationModel(
      scaleMm: try number("scale_mm"), nutHeightMm: try number("nut_height_mm"),
      saddleRiseMm: try number("saddle_rise_mm"),
      tensionPerStretch: try number("tension_per_stretch"),
      stiffnessRatio: try number("stiffness_ratio"), ends: ends,
      stiffnessFollows: yes("stiffness_with_tension") ? .lengthAndTension : .length)
  }

  fileprivate var direction: PluckDirection {
    yes("away_from_board") ? .awayFromBoard : .towardBoard
  }
}

/// The answer of a call; `nil` for one that is not here.
func formulaAnswer(_ call: String, _ given: Given) throws -> Answer? {
  if let found = try neckAnswer(call, given) { return found }
  if let found = try boardAnswer(call, given) { return found }
  if let found = try stringAnswer(call, given) { return found }
  switch call {
  case "clearance_of_numbers": return try clearanceAnswer(given)
  case "parse_reading":
    let read = try parseReading(
      text: given.text("text"),
      quantity: given.text("measures") == "interval" ? .pitch : .relief(from: 1, to: 12),
      tool: given.maybeText("tool").map { .other(label: $0) })
    let form = read.kind == .exact ? "value" : snake(read.kind)
    return [
      "shown": Value(read.value.asEntered),
      "form": Value(form.replacingOccurrences(of: "_", with: " ")),
      "low": Value(read.low), "high": Value(read.high),
    ]
  default: return nil
  }
}

private func neckAnswer(_ call: String, _ given: Given) throws -> Answer? {
  let (n, c) = (given.number, given.count)
  switch call {
  case "fret_position_mm":
    return one(try fretPositionMm(scaleMm: n("scale_mm"), fret: c("fret")))
  case "fret_spacing_constant": return one(fretSpacingConstant())
  case "gap_from_readings":
    return one(
      try gapFromReadings(
        neck: given.neck(), readings: given.readings(), stopped: c("stopped"), over: c("over")))
  case "nut_gap_from_readings":
    return one(
      try nutGapFromReadings(
        neck: given.neck(), readings: given.readings(),
        way: nutWay(given.yes("wanted_held_at_3"))))
  case "saddle_height_from_readings":
    return one(try saddleHeightFromReadings(neck: given.neck(), readings: given.readings()))
  case "saddle_factor":
    return one(try saddleFactor(neck: given.neck(), stopped: c("stopped"), over: c("over")))
  case "saddle_move_mm":
    let read = Uncertain(
      value: try n("read_mm"), standardUncertainty: given.maybe("read_uncertainty_mm") ?? 0)
    return one(
      try saddleMoveMm(
        neck: given.neck(), stopped: c("stopped"), over: c("over"), readMm: read,
        wantedMm: n("wanted_mm")))
  case "gap_change_by_relief_mm":
    return one(
      try gapChangeByReliefMm(
        neck: given.neck(), way: given.reliefWay(), changeMm: exact(n("change_mm")),
        stopped: c("stopped"), over: c("over")))
  case "neck_curvature_per_mm":
    return one(
      try neckCurvaturePerMm(
        neck: given.neck(), reliefMm: n("relief_mm"), way: given.reliefWay()))
  case "saddle_mm_per_cent":
    return one(try saddleMmPerCent(scaleMm: n("scale_mm"), fret: c("fret")))
  case "predicted_cents":
    return one(
      try predictedCents(
        model: given.model(), saddleMm: n("saddle_mm"), nutMm: n("nut_mm"), fret: c("fret")))
  case "predict_set_back":
    let fret = try c("fret")
    let found = try predictSetBack(
      model: given.model(),
      aim: given.yes("with_nut") ? .saddleAndNutUpTo(fret: fret) : .saddleForFret(fret: fret))
    return [
      "saddle_mm": Value(found.saddleMm), "nut_mm": Value(found.nutMm),
      "rms_cents": Value(found.rmsCents), "rms_with_open_cents": Value(found.rmsWithOpenCents),
    ]
  default: return nil
  }
}

private func boardAnswer(_ call: String, _ given: Given) throws -> Answer? {
  let (n, c) = (given.number, given.count)
  switch call {
  case "crown_drop_mm":
    return one(try crownDropMm(radiusMm: n("radius_mm"), offsetMm: n("offset_mm")))
  case "board_radius_at_mm":
    return one(try boardRadiusAtMm(board: given.board(), fromNutMm: n("from_nut_mm")))
  case "board_hump":
    let found = try boardHump(board: given.board(), path: given.path())
    return ["gap_mm": Value(found.gapMm), "fret": Value(found.fret)]
  case "saddle_heights_mm":
    let ends = zip(given.numbers("nut_offsets_mm"), given.numbers("saddle_offsets_mm"))
    let heights = try saddleHeightsMm(
      board: given.board(), paths: ends.map { try given.path(nut: $0, saddle: $1) },
      stopped: c("stopped"), over: c("over"), wantedMm: given.numbers("wanted_mm"))
    return ["value": Value(heights)]
  case "sideways_gap_change_mm":
    return one(
      try sidewaysGapChangeMm(
        board: given.board(), path: given.path(), stopped: c("stopped"), over: c("over"),
        shiftMm: n("shift_mm")))
  case "bend_clearance":
    let found = try bendClearance(
      board: given.board(), path: given.path(), stopped: c("stopped"), pushMm: n("push_mm"),
      saddleHeightMm: n("saddle_height_mm"))
    return [
      "next_before_mm": Value(found.nextBeforeMm), "next_bent_mm": Value(found.nextBentMm),
      "smallest_bent_mm": Value(found.smallestBentMm),
      "smallest_at_fret": Value(found.smallestAtFret),
    ]
  case "screw_thread":
    let found = try screwThread(designation: given.text("designation"))
    return [
      "pitch_mm": Value(found.pitchMm), "pitch_diameter_mm": Value(found.pitchDiameterMm),
      "minor_diameter_mm": Value(found.minorDiameterMm),
    ]
  case "turns_for_rise":
    let raises = given.maybeText("raises").map { way -> TurnDirection in
      way == "clockwise" ? .clockwise : .anticlockwise
    }
    let found = try turnsForRise(
      riseMm: n("rise_mm"), pitchMm: n("pitch_mm"), raises: raises,
      rounding: given.yes("short_of") ? .shortOf : .nearest)
    return [
      "eighths": Value(found.turn.eighths), "direction": Value(found.turn.direction.map(snake)),
      "gives_mm": Value(found.givesMm), "left_over_mm": Value(found.leftOverMm),
      "text": Value(found.turn.text),
    ]
  default: return nil
  }
}

private func stringAnswer(_ call: String, _ given: Given) throws -> Answer? {
  let (n, c) = (given.number, given.count)
  switch call {
  case "note_frequency_hz":
    return one(try noteFrequencyHz(name: given.text("note"), a4Hz: n("a4_hz")))
  case "nearest_note":
    let found = try nearestNote(frequencyHz: n("frequency_hz"), a4Hz: n("a4_hz"), flats: false)
    return ["note": Value(found.note.name), "cents": Value(found.cents)]
  case "string_unit_mass":
    return ["kg_per_m": Value(try stringUnitMass(make: given.make()).kgPerM.value)]
  case "string_tension_n":
    return one(
      try stringTensionN(
        kgPerM: exact(n("kg_per_m")), scaleMm: n("scale_mm"), frequencyHz: n("frequency_hz")))
  case "string_tension_lbf":
    return one(
      try stringTensionLbf(
        lbPerIn: n("lb_per_in"), scaleIn: n("scale_in"), frequencyHz: n("frequency_hz"),
        gravityInS2: n("gravity_in_s2")))
  case "plain_string_stress":
    let found = try plainStringStress(
      scaleMm: n("scale_mm"), frequencyHz: n("frequency_hz"), gaugeMm: given.maybe("gauge_mm"))
    return [
      "stress_gpa": Value(found.stressGpa), "limit_gpa": Value(found.limitGpa),
      "refused": Value(found.refused),
    ]
  case "string_inharmonicity":
    return one(
      try stringInharmonicity(
        coreMm: n("core_mm"), modulusGpa: given.maybe("modulus_gpa"), tensionN: n("tension_n"),
        scaleMm: n("scale_mm")))
  case "stopped_inharmonicity":
    return one(
      try stoppedInharmonicity(openInharmonicity: n("open_inharmonicity"), fret: c("fret")))
  case "wood_moisture_percent":
    return one(
      try woodMoisturePercent(
        temperatureC: n("temperature_c"), humidityPercent: n("humidity_percent")))
  case "pluck_depth_mm":
    return one(
      try pluckDepthMm(
        stoppedLengthMm: n("stopped_length_mm"), fromSaddleMm: n("from_saddle_mm"),
        tensionN: n("tension_n"), forceN: n("force_n")))
  case "ideal_swing_depth_mm":
    return one(
      try idealSwingDepthMm(
        stoppedLengthMm: n("stopped_length_mm"), fromSaddleMm: n("from_saddle_mm"),
        tensionN: n("tension_n"), forceN: n("force_n"), direction: given.direction,
        placeFromSaddleMm: n("place_from_saddle_mm")))
  default: return nil
  }
}

/// One string, everything as it was read.
private func clearanceAnswer(_ given: Given) throws -> Answer {
  let string = StringNumbers(
    name: "string", neck: try given.neck(), frequencyHz: try given.number("frequency_hz"),
    tensionN: try given.number("tension_n"), inharmonicity: try given.number("inharmonicity"),
    relief: exact(try given.number("relief_mm")), reliefWay: try given.reliefWay(),
    action: exact(try given.number("action_mm")), actionStopped: try given.count("action_stopped"),
    actionOver: try given.count("action_over"))
  let touch = Touch(
    forceN: try given.number("force_n"), direction: given.direction,
    fromSaddleMm: try given.number("from_saddle_mm"), spareMm: 0)
  let whatIf = ClearanceWhatIf(
    reliefMm: given.maybe("what_if_relief_mm"),
    saddleRisesMm: given.numbers("what_if_saddle_rise_mm"))
  let found = try clearanceOfNumbers(strings: [string], touch: touch, whatIf: whatIf).strings[0]
  return [
    "buzzes": Value(found.buzzes), "smallest_margin_mm": Value(found.smallest.marginMm),
    "first_stopped_fret": Value(found.smallest.stoppedFret),
    "first_over_fret": Value(found.smallest.overFret),
    "lowest_clean_action_mm": Value(found.lowestClean?.actionMm),
    "best_relief_mm": Value(found.bestRelief?.reliefMm),
    "best_relief_action_mm": Value(found.bestRelief?.actionMm),
    "hardest_touch_n": Value(found.hardestTouch?.forceN), "action_mm": Value(found.actionMm),
  ]
}
