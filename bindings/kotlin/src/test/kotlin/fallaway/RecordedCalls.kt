package fallaway

import java.util.Base64

private val recordedCalls =
    setOf("plan", "what_changed", "card", "clearance", "history", "contested", "draw", "sheet", "merge")

/** The calls of a recorded instrument; `null` for one that is not here. */
internal fun recorded(call: String, given: Given): Map<String, Any?>? {
    if (call !in recordedCalls) return null
    val now = Moment(given.number("now_unix_s").toLong(), 0)
    val clock = object : TimeSource {
        override fun now(): Moment = now
    }
    return Workshop.inMemory("reader", clock).use { reader ->
        val welcome = Base64.getDecoder().decode(given.text("welcome"))
        reader.accept(given.text("invitation"), welcome).use { instrument ->
            val reports = given.list("bundles")
                .map { reader.bundleIn(Base64.getDecoder().decode(it as String)) }
            val setup = given.maybeText("setup")?.let { SetupId(it) }
            when (call) {
                "plan" -> plan(instrument.plan(setup))
                "what_changed" -> changed(
                    instrument.whatChanged(
                        given.occasion("before", "before_visit"), given.occasion("after", "after_visit"),
                    ),
                )
                "card" -> instrument.card(setup).let { mapOf("setup" to it.setup?.name, "lines" to it.lines.map(::line)) }
                "clearance" -> clearance(instrument, given)
                "history" -> instrument.history(HistoryFilter()).let { entries ->
                    mapOf(
                        "texts" to entries.map { it.text },
                        "devices" to entries.map { it.device },
                        "retracted" to entries.map { it.retracted.isNotEmpty() },
                    )
                }
                "contested" -> instrument.contested().sortedBy { it.label }.let { fields ->
                    mapOf(
                        "fields" to fields.map { it.label },
                        "versions" to fields.map { field ->
                            field.versions.map { "${it.shown}, by ${it.device}" }.sorted().joinToString(" / ")
                        },
                    )
                }
                "draw" -> draw(instrument, given)
                "sheet" -> {
                    val kind = if (given.text("kind") == "bench") SheetKind.BENCH else SheetKind.CUSTOMER
                    val page = instrument.sheet(kind)
                    mapOf(
                        "title" to page.title, "subtitle" to page.subtitle,
                        "text" to page.text, "html" to page.html,
                    )
                }
                else -> merge(instrument, reports.last())
            }
        }
    }
}

private fun plan(plan: Plan): Map<String, Any?> = buildMap {
    put("setup", plan.setup?.name)
    put("steps", plan.steps.map { "${it.title}: ${it.verdictText}" })
    put("offs", plan.steps.map { it.compared?.off?.value })
    put("text", plan.text)
    val next = plan.next ?: return@buildMap
    put("next_kind", snake(next.kind.name))
    put("next_title", next.title)
    put("next_verdict", next.verdictText)
    put("next_sentences", next.sentences)
    put("next_cautions", next.cautions.map { it.text })
    val work = (next.verdict as? StepVerdict.Adjust)?.work ?: return@buildMap
    val first = work.moves.firstOrNull()
    put("next_screw", first?.text)
    put("next_eighths", first?.turn?.eighths?.toInt())
    put("next_direction", first?.turn?.direction?.let { snake(it.name) })
    put("next_expect", work.expect?.value)
    put("next_left_over", work.leftOver?.value)
}

private fun Given.occasion(side: String, visit: String): Occasion = when (text(side)) {
    "as_found" -> Occasion.AsFound(VisitId(text(visit)))
    "as_left" -> Occasion.AsLeft(VisitId(text(visit)))
    "setup" -> Occasion.Setup(SetupId(maybeText("setup") ?: "stage"))
    else -> Occasion.Today
}

private fun changed(found: WhatChanged): Map<String, Any?> = mapOf(
    "parts" to found.parts.map { part(it.part) },
    "verdicts" to found.parts.map { snake(it.verdict.name) },
    "changes_mm" to found.parts.map { it.change.value },
    "lows_mm" to found.parts.map { it.lowMm ?: 0.0 },
    "highs_mm" to found.parts.map { it.highMm ?: 0.0 },
    "would_tell" to found.parts.map { it.wouldTell?.text },
    "common" to found.common,
    "contradicting" to found.contradicting.map { it.text },
    "outvoted" to found.outvoted.map { it.text },
    "noted" to found.noted.map { it.text },
    "sentences" to found.sentences,
)

private fun part(part: InstrumentPart): String = when (part) {
    InstrumentPart.Neck -> "neck"
    InstrumentPart.Twist -> "twist"
    InstrumentPart.Joint -> "joint"
    is InstrumentPart.Saddle -> "saddle ${part.place.course}"
    is InstrumentPart.NutSlot -> "nut ${part.place.course}"
    InstrumentPart.Heights -> "heights"
    InstrumentPart.Newer -> "newer"
}

private fun line(line: CardLine): String {
    val last = line.last?.value?.text.orEmpty()
    val target = line.target?.value?.text.orEmpty()
    return "${line.quantityText}; ${line.placeText}; $last; $target; ${snake(line.standing.name)}"
}

private fun clearance(instrument: Instrument, given: Given): Map<String, Any?> {
    val touch = Touch(given.number("force_n"), PluckDirection.TOWARD_BOARD)
    val found = instrument.clearance(touch).answer
    return mapOf(
        "limiting" to found.limiting?.name,
        "names" to found.strings.map { it.name },
        "buzzes" to found.strings.map { it.buzzes },
        "smallest_mm" to found.strings.map { it.smallest.marginMm },
        "lowest_clean_mm" to found.strings.map { it.lowestClean?.actionMm },
    )
}

private fun draw(instrument: Instrument, given: Given): Map<String, Any?> {
    val scenes = when (given.text("drawing")) {
        "turns" -> instrument.drawTurns()
        "neck" -> listOf(instrument.drawNeck())
        "clearance" -> listOf(instrument.drawClearance())
        "saddles" -> listOf(instrument.drawSaddles())
        "intonation" -> listOf(instrument.drawIntonation())
        "spacing" -> listOf(instrument.drawSpacing())
        "relief" -> listOf(instrument.drawHistory(Quantity.relief(1, 24), Location.Whole))
        else -> {
            val before = Occasion.AsLeft(VisitId(given.text("before_visit")))
            listOf(instrument.drawChanges(before, Occasion.Today))
        }
    }
    val marks = scenes.flatMap { it.marks }.map(::mark)
    return mapOf(
        "titles" to scenes.map { it.title },
        "sentences" to scenes.flatMap { it.sentences },
        "sizes_pt" to scenes.flatMap { listOf(it.widthPt, it.heightPt) },
        "marks" to marks.map { it.first },
        "numbers" to marks.flatMap { it.second },
    )
}

/** What a mark is, and its numbers in points. */
private fun mark(mark: Mark): Pair<String, List<Double>> {
    fun along(places: List<Spot>) = places.flatMap { listOf(it.xPt, it.yPt) }
    val (form, numbers) = when (val shape = mark.shape) {
        is Shape.Line -> (if (shape.arrow) "arrow" else "line") to along(shape.places)
        is Shape.Area -> "area" to along(shape.places)
        is Shape.Dot -> "dot" to along(listOf(shape.at)) + shape.radiusPt
        is Shape.Ring -> "ring" to along(listOf(shape.at)) + shape.radiusPt
        is Shape.Arc -> "arc" to along(listOf(shape.at)) + shape.radiusPt + shape.sweepDegrees
        is Shape.Text -> "${snake(shape.anchor.name)}: ${shape.text}" to along(listOf(shape.at)) + shape.sizePt
        Shape.Newer -> "newer" to emptyList()
    }
    return "${snake(mark.role.name)} $form" to numbers
}

private fun merge(instrument: Instrument, report: MergeReport): Map<String, Any?> {
    val view = instrument.details()
    return mapOf(
        "added" to report.added.map { "${it.device}: ${it.entries.sumOf { kind -> kind.count }}, ${it.values}" }.sorted(),
        "refused" to report.refused.size,
        "newly_contested" to report.newlyContested.map { it.label }.sorted(),
        "waiting" to report.waiting.toInt(),
        "name" to view.name,
        "people" to view.people.map { it.label }.filter { it != "reader" }.sorted(),
        "state" to view.historyDigest,
    )
}
