package fallaway

/** The calls that need no record; `null` for one that is not here. */
internal fun formula(call: String, given: Given): Map<String, Any?>? = with(given) {
    when (call) {
        "fret_position_mm" -> value(fretPositionMm(number("scale_mm"), count("fret")))
        "fret_spacing_constant" -> value(fretSpacingConstant())
        "gap_from_readings" -> estimate(gapFromReadings(neck(), readings(), count("stopped"), count("over")))
        "nut_gap_from_readings" ->
            estimate(nutGapFromReadings(neck(), readings(), nutWay(yes("wanted_held_at_3"))))
        "saddle_height_from_readings" -> estimate(saddleHeightFromReadings(neck(), readings()))
        "saddle_factor" -> value(saddleFactor(neck(), count("stopped"), count("over")))
        "saddle_move_mm" -> estimate(
            saddleMoveMm(
                neck(), count("stopped"), count("over"),
                Uncertain(number("read_mm"), number("read_uncertainty_mm", 0.0)), number("wanted_mm"),
            ),
        )
        "gap_change_by_relief_mm" -> estimate(
            gapChangeByReliefMm(neck(), reliefWay(), exact(number("change_mm")), count("stopped"), count("over")),
        )
        "neck_curvature_per_mm" -> value(neckCurvaturePerMm(neck(), number("relief_mm"), reliefWay()))
        "crown_drop_mm" -> value(crownDropMm(number("radius_mm"), number("offset_mm")))
        "board_radius_at_mm" -> value(boardRadiusAtMm(board(), number("from_nut_mm")))
        "board_hump" -> boardHump(board(), path()).let { mapOf("gap_mm" to it.gapMm, "fret" to it.fret.toInt()) }
        "saddle_heights_mm" -> {
            val paths = numbers("nut_offsets_mm").zip(numbers("saddle_offsets_mm")) { nut, saddle -> path(nut, saddle) }
            value(saddleHeightsMm(board(), paths, count("stopped"), count("over"), numbers("wanted_mm")))
        }
        "sideways_gap_change_mm" ->
            value(sidewaysGapChangeMm(board(), path(), count("stopped"), count("over"), number("shift_mm")))
        "bend_clearance" ->
            bendClearance(board(), path(), count("stopped"), number("push_mm"), number("saddle_height_mm")).let {
                mapOf(
                    "next_before_mm" to it.nextBeforeMm,
                    "next_bent_mm" to it.nextBentMm,
                    "smallest_bent_mm" to it.smallestBentMm,
                    "smallest_at_fret" to it.smallestAtFret.toInt(),
                )
            }
        "screw_thread" -> screwThread(text("designation")).let {
            mapOf(
                "pitch_mm" to it.pitchMm,
                "pitch_diameter_mm" to it.pitchDiameterMm,
                "minor_diameter_mm" to it.minorDiameterMm,
            )
        }
        "turns_for_rise" -> turnsForRise(
            number("rise_mm"), number("pitch_mm"),
            maybeText("raises")?.let { TurnDirection.valueOf(it.uppercase()) },
            if (yes("short_of")) TurnRounding.SHORT_OF else TurnRounding.NEAREST,
        ).let {
            mapOf(
                "eighths" to it.turn.eighths.toInt(),
                "direction" to it.turn.direction?.let { way -> snake(way.name) },
                "gives_mm" to it.givesMm,
                "left_over_mm" to it.leftOverMm,
                "text" to it.turn.text,
            )
        }
        "note_frequency_hz" -> value(noteFrequencyHz(text("note"), number("a4_hz")))
        "nearest_note" -> nearestNote(number("frequency_hz"), number("a4_hz"), false).let {
            mapOf("note" to it.note.name, "cents" to it.cents)
        }
        "string_unit_mass" -> mapOf("kg_per_m" to stringUnitMass(make()).kgPerM.value)
        "string_tension_n" ->
            estimate(stringTensionN(exact(number("kg_per_m")), number("scale_mm"), number("frequency_hz")))
        "string_tension_lbf" -> value(
            stringTensionLbf(number("lb_per_in"), number("scale_in"), number("frequency_hz"), number("gravity_in_s2")),
        )
        "plain_string_stress" -> plainStringStress(number("scale_mm"), number("frequency_hz"), maybe("gauge_mm")).let {
            mapOf("stress_gpa" to it.stressGpa, "limit_gpa" to it.limitGpa, "refused" to it.refused)
        }
        "string_inharmonicity" -> value(
            stringInharmonicity(number("core_mm"), maybe("modulus_gpa"), number("tension_n"), number("scale_mm")),
        )
        "wood_moisture_percent" -> value(woodMoisturePercent(number("temperature_c"), number("humidity_percent")))
        "saddle_mm_per_cent" -> value(saddleMmPerCent(number("scale_mm"), count("fret")))
        "predicted_cents" -> value(predictedCents(model(), number("saddle_mm"), number("nut_mm"), count("fret")))
        "predict_set_back" -> {
            val fret = count("fret")
            val aim = if (yes("with_nut")) SetBackAim.SaddleAndNutUpTo(fret) else SetBackAim.SaddleForFret(fret)
            predictSetBack(model(), aim).let {
                mapOf(
                    "saddle_mm" to it.saddleMm,
                    "nut_mm" to it.nutMm,
                    "rms_cents" to it.rmsCents,
                    "rms_with_open_cents" to it.rmsWithOpenCents,
                )
            }
        }
        "pluck_depth_mm" -> value(
            pluckDepthMm(number("stopped_length_mm"), number("from_saddle_mm"), number("tension_n"), number("force_n")),
        )
        "ideal_swing_depth_mm" -> value(
            idealSwingDepthMm(
                number("stopped_length_mm"), number("from_saddle_mm"), number("tension_n"), number("force_n"),
                direction(), number("place_from_saddle_mm"),
            ),
        )
        "clearance_of_numbers" -> clearanceOfOne()
        "look" -> look(Theme.valueOf(text("theme").uppercase())).let {
            mapOf(
                "roles" to it.paints.map { paint -> snake(paint.role.name) },
                "colours" to (it.paints.map { paint -> paint.colour } + it.paper)
                    .flatMap { colour -> listOf(colour.red, colour.green, colour.blue) },
                "widths_pt" to it.paints.map { paint -> paint.widthPt },
                "dashes_pt" to it.paints.map { paint -> paint.dash?.onPt ?: 0.0 },
                "bold" to it.paints.map { paint -> paint.bold },
            )
        }
        "parse_reading" -> {
            val quantity = if (maybeText("measures") == "interval") Quantity.Pitch else Quantity.relief(1, 12)
            parseReading(text("text"), quantity, maybeText("tool")?.let { Tool.Other(it) }).let {
                mapOf("shown" to it.value.asEntered, "form" to form(it.kind), "low" to it.low, "high" to it.high)
            }
        }
        else -> null
    }
}

/** The calls of an empty workshop in memory; `null` for one that is not here. */
internal fun emptyWorkshop(call: String, given: Given): Map<String, Any?>? {
    if (call !in setOf("instrument_named", "add_instrument", "instrument", "after_shut_down")) return null
    return Workshop.inMemory("tech").use { tech ->
        when (call) {
            "instrument_named" -> tech.instrumentNamed(given.text("name")).close()
            "add_instrument" -> tech.addInstrument(given.text("template"), given.text("name")).close()
            "instrument" -> tech.instrument(InstrumentId(given.text("id"))).close()
            else -> {
                tech.shutDown()
                tech.instruments()
            }
        }
        emptyMap()
    }
}

private fun value(value: Any?): Map<String, Any?> = mapOf("value" to value)

private fun estimate(value: Uncertain): Map<String, Any?> =
    mapOf("value" to value.value, "standard_uncertainty" to value.standardUncertainty)

private fun exact(value: Double): Uncertain = Uncertain(value, 0.0)

private fun Given.neck(): NeckShape = NeckShape(
    scaleMm = number("scale_mm"),
    frets = count("frets"),
    jointFret = number("joint_fret"),
    jointUncertaintyFrets = 0.0,
    setBackMm = number("set_back_mm", 0.0),
    crownHeightsMm = emptyList(),
)

/** Between the first and the last fret, where it is largest. */
private fun Given.reliefWay(): ReliefWay = ReliefWay(1u, count("frets"), null)

private fun nutWay(heldAt3: Boolean): NutWay = if (heldAt3) NutWay.HELD_AT3_OVER1 else NutWay.OPEN_OVER1

private fun Given.readings(): NeckReadings = NeckReadings(
    relief = exact(number("relief_mm")),
    reliefWay = reliefWay(),
    action = exact(number("action_mm")),
    actionStopped = count("action_stopped"),
    actionOver = count("action_over"),
    nut = exact(number("nut_mm")),
    nutWay = nutWay(yes("nut_held_at_3")),
)

private fun Given.board(): BoardShape = maybe("radius_mm")?.let { BoardShape.Cylinder(it) }
    ?: BoardShape.Compound(
        number("first_at_mm"), number("first_radius_mm"), number("second_at_mm"), number("second_radius_mm"),
    )

private fun Given.path(
    nut: Double = number("nut_offset_mm"),
    saddle: Double = number("saddle_offset_mm"),
): StringPath = StringPath(number("scale_mm"), count("frets"), nut, saddle)

private fun Given.make(): StringMake = when (val make = text("make")) {
    "plain" -> StringMake.Plain(number("diameter_mm"), maybe("density_kg_m3"))
    "round_wound" -> StringMake.RoundWound(
        number("core_mm"), maybe("density_kg_m3"),
        numbers("wires_mm").map { WindingLayer(it, maybe("density_kg_m3")) },
    )
    "pack_unit_weight" -> StringMake.PackUnitWeight(number("lb_per_in"))
    else -> error("no such make: $make")
}

private fun Given.model(): IntonationModel = IntonationModel(
    scaleMm = number("scale_mm"),
    nutHeightMm = number("nut_height_mm"),
    saddleRiseMm = number("saddle_rise_mm"),
    tensionPerStretch = number("tension_per_stretch"),
    stiffnessRatio = number("stiffness_ratio"),
    ends = EndsHeld.valueOf(text("ends").uppercase()),
    stiffnessFollows =
        if (yes("stiffness_with_tension")) StiffnessFollows.LENGTH_AND_TENSION else StiffnessFollows.LENGTH,
)

private fun Given.direction(): PluckDirection =
    if (yes("away_from_board")) PluckDirection.AWAY_FROM_BOARD else PluckDirection.TOWARD_BOARD

private fun form(kind: ReadingKind): String = when (kind) {
    ReadingKind.EXACT -> "value"
    ReadingKind.AT_MOST -> "at most"
    ReadingKind.AT_LEAST -> "at least"
    ReadingKind.BETWEEN -> "between"
}

/** One string, everything as it was read. */
private fun Given.clearanceOfOne(): Map<String, Any?> {
    val string = StringNumbers(
        name = "string",
        neck = neck(),
        frequencyHz = number("frequency_hz"),
        tensionN = number("tension_n"),
        inharmonicity = number("inharmonicity"),
        relief = exact(number("relief_mm")),
        reliefWay = reliefWay(),
        action = exact(number("action_mm")),
        actionStopped = count("action_stopped"),
        actionOver = count("action_over"),
        openOver1Mm = null,
    )
    val touch = Touch(number("force_n"), direction(), number("from_saddle_mm"), 0.0)
    val whatIf = ClearanceWhatIf(
        reliefMm = maybe("what_if_relief_mm"),
        saddleRisesMm = listOfNotNull(maybe("what_if_saddle_rise_mm")),
    )
    val found = clearanceOfNumbers(listOf(string), touch, whatIf, false).strings.single()
    return mapOf(
        "buzzes" to found.buzzes,
        "smallest_margin_mm" to found.smallest.marginMm,
        "first_stopped_fret" to found.smallest.stoppedFret.toInt(),
        "first_over_fret" to found.smallest.overFret.toInt(),
        "lowest_clean_action_mm" to found.lowestClean?.actionMm,
        "best_relief_mm" to found.bestRelief?.reliefMm,
        "best_relief_action_mm" to found.bestRelief?.actionMm,
        "hardest_touch_n" to found.hardestTouch?.forceN,
        "action_mm" to found.actionMm,
    )
}
