package fallaway.app

import fallaway.Adjustment
import fallaway.Moment
import fallaway.NewBody
import fallaway.Plan
import fallaway.PlanStep
import fallaway.ScrewMove
import fallaway.SettledBy
import fallaway.StepId
import fallaway.StepVerdict
import fallaway.TurnDirection
import fallaway.TurnedScrew
import fallaway.next
import fallaway.quantityLabel

/** The plan, one step at a time: what to turn, which way, why, and what may go wrong. */
class PlanSteps(phone: Phone) : Screen(phone) {
    override val name = "plan"
    override val tab get() = true
    override val writes get() = true

    override fun forReader(one: Element) = one.takeIf { it.role != Role.BUTTON && it.id !in listOf("which", "see") }

    private var plan: Plan? = null
    private var dials = emptyList<fallaway.Scene>()
    private var why = false
    private var settled: Moment? = null
    private var asked: Hand? = null
    private var then: String? = null

    /** A turn that may go either way waits for the word which way it went. */
    private class Hand(val steps: List<StepId>)

    override fun load() {
        val drawn = phone.instrument.planDrawn(phone.setup, null)
        plan = drawn.plan
        phone.rights = drawn.role
        dials = drawn.turns
    }

    /** The steps that are done in one go: all saddles, for example. */
    private fun now(plan: Plan): List<PlanStep> =
        plan.steps.filter { it.id in plan.now }.ifEmpty { listOfNotNull(plan.next) }

    override fun body() = buildList {
        add(heading(Say.PLAN))
        val plan = plan ?: return@buildList
        then?.let { add(Element("then", Role.BANNER, it)) }
        val now = now(plan)
        val first = now.firstOrNull()
        if (first == null) add(Element("nothing", Role.TEXT, say(Say.NOTHING_TO_DO))) else step(first, now)
        // What moved since the setup, where it was there once; before that it is only far from it.
        // Where it begins and what follows from it; string by string for whoever asks why.
        plan.drift?.takeIf { it.wasThere }?.sentences?.let { told ->
            told.forEachIndexed { at, text ->
                if (why || first == null || at == 0 || at == told.lastIndex) add(Element("drift.${at + 1}", Role.TEXT, text))
            }
        }
        plan.drift?.takeIf { it.wasThere }?.cautions?.forEachIndexed { at, one ->
            add(Element("drift.caution.${at + 1}", Role.CAUTION, one.text))
        }
        val later = plan.steps.filter { !it.settled && it !in now }
        if (later.isNotEmpty()) {
            add(heading("later", say(Say.AFTER_THAT)))
            together(later).forEachIndexed { at, same ->
                add(Element("later.${at + 1}", Role.ROW, title(same), detail = same.first().verdictText))
            }
        }
    }

    /** Steps of one quantity about which the same is to be said: one line for all strings. */
    private fun together(steps: List<PlanStep>): List<List<PlanStep>> =
        steps.groupBy { Triple(it.quantity, it.kind, it.verdictText + turns(it).orEmpty()) }.values.toList()

    private fun title(same: List<PlanStep>): String {
        val quantity = same.first().quantityText
        return (if (same.size > 1 && quantity != null) quantity else same.first().title).sentence()
    }

    private fun MutableList<Element>.step(first: PlanStep, now: List<PlanStep>) {
        add(heading("step", title(now)))
        val parts = together(now)
        var turned = 0
        parts.forEachIndexed { at, same ->
            val verdict = same.first().verdictText
            val turns = turns(same)
            // A line that says the same as the heading says only what is to be done; a dial says the rest.
            val alone = parts.size == 1 || turns.isNotEmpty()
            val text = if (alone) verdict.sentence() else strings(same)
            add(Element("do.${at + 1}", Role.ROW, text, detail = verdict.takeIf { !alone }))
            turns.forEach { add(dial(++turned, it, same)) }
        }
        now.flatMap { it.cautions }.distinctBy { it.text }.forEachIndexed { at, one ->
            add(Element("caution.${at + 1}", Role.CAUTION, one.text))
        }
        buttons(first)
        add(toggle("why", Say.WHY, why))
        if (why) {
            val dials = filter { it.role == Role.DRAWING }.mapNotNull { it.detail }
            now.flatMap { it.sentences }.distinct().filter { text -> dials.none { text in it } }.forEachIndexed { at, text ->
                add(Element("why.${at + 1}", Role.TEXT, text))
            }
        }
    }

    private fun strings(same: List<PlanStep>): String =
        if (same.size == 1) title(same) else say(Say.STRINGS_NAMED, same.mapNotNull { it.locationText }.joinToString())

    private fun moves(step: PlanStep) = (step.verdict as? StepVerdict.Adjust)?.work?.moves.orEmpty()

    private fun turns(step: PlanStep): String? = moves(step).joinToString { it.turn.text }.ifEmpty { null }

    /** The screws of these steps, those together that are turned alike: a screw that moves several strings is turned once. */
    private fun turns(same: List<PlanStep>): List<List<ScrewMove>> =
        same.flatMap(::moves).distinctBy { it.text }.groupBy { it.turn.text }.values.toList()

    /** How far these screws are turned, and what will then be read. */
    private fun dial(number: Int, alike: List<ScrewMove>, same: List<PlanStep>): Element {
        val turn = alike.first().turn.text
        val drawn = alike.mapNotNull { move -> dials.firstOrNull { it.title == "${move.text}: $turn".sentence() } }
        // Words that the drawing has beside it are no sentences, and its title stands above.
        val said = drawn.map { one -> one.sentences.filter { it.endsWith(".") && it != "${one.title}." } }
        val ofAll = said.firstOrNull().orEmpty().filter { sentence -> said.all { sentence in it } }
        return Element(
            "dial.$number", Role.DRAWING, alike.joinToString { it.text }.sentence(), value = turn.sentence(),
            detail = ofAll.joinToString(" ").ifEmpty { null },
            // Where it is not the same for all.
            state = if (said.distinct().size < 2) null else say(Say.THEN_READS, expected(same)),
            scene = drawn.firstOrNull(),
        )
    }

    /** What will then be read: a number, and the strings of which it is. */
    private fun expected(same: List<PlanStep>): String {
        val all = same.mapNotNull { step -> (step.verdict as? StepVerdict.Adjust)?.work?.expect?.let { it.text to step.locationText } }
        return all.groupBy({ it.first }, { it.second }).entries.joinToString("; ") { (reads, strings) ->
            "${phone.written(reads)} (${strings.filterNotNull().joinToString()})"
        }
    }

    private fun MutableList<Element>.buttons(step: PlanStep) {
        if (asked != null) {
            add(Element("which", Role.BANNER, say(Say.WHICH_WAY)))
            add(button("clockwise", Say.CLOCKWISE, main = true))
            add(button("anticlockwise", Say.ANTICLOCKWISE))
            return
        }
        when (step.settledBy) {
            is SettledBy.Adjustments -> {
                add(button("done", Say.DID_AS_SAID, main = true))
                add(button("otherwise", Say.DID_OTHERWISE))
                add(button("could_not", Say.COULD_NOT))
                add(button("measure", Say.MEASURE_AGAIN))
                if (unknown(step)) {
                    add(Element("see", Role.TEXT, say(Say.SEE_WHICH_WAY)))
                    add(button("raises", Say.CLOCKWISE_MORE))
                    add(button("lowers", Say.CLOCKWISE_LESS))
                }
                val until = settled?.let { phone.moment(it).takeLast(CLOCK) }
                add(button("wait", Say.LET_SETTLE).copy(state = until?.let { say(Say.WAIT_UNTIL, it) }))
            }
            is SettledBy.Tuning -> add(button("done", Say.IT_IS_TUNED, main = true))
            is SettledBy.Readings, is SettledBy.AsLeft -> {
                add(button("measure", Say.READ_NOW, main = true))
                add(button("could_not", Say.COULD_NOT))
            }
            is SettledBy.Target -> add(button("targets", Say.SET_TARGETS, main = true))
            is SettledBy.Choice -> add(button("settle", Say.SETTLE, main = true))
            is SettledBy.ScrewFact -> {
                add(button("raises", Say.CLOCKWISE_MORE, main = true))
                add(button("lowers", Say.CLOCKWISE_LESS))
            }
            is SettledBy.Repairer, is SettledBy.Nothing, is SettledBy.Newer -> Unit
        }
    }

    /** Whether a look at the screw says which way it works: a rod's shows in readings only. */
    private fun unknown(step: PlanStep) = (step.verdict as? StepVerdict.Adjust)?.work?.moves.orEmpty()
        .any { it.turn.direction == null && it.screw !is TurnedScrew.Rod }

    override fun touched(id: String) {
        val plan = plan ?: return
        then = null
        val now = now(plan)
        val first = now.firstOrNull() ?: return
        when (id) {
            "done" -> done(first, now)
            "clockwise" -> wrote(TurnDirection.CLOCKWISE)
            "anticlockwise" -> wrote(TurnDirection.ANTICLOCKWISE)
            "otherwise" -> phone.go(Otherwise(phone, first))
            "could_not" -> phone.go(CouldNotDo(phone, first))
            "measure" -> phone.switch(Read(phone, toRead(first)))
            "wait" -> settled = phone.now().let { it.copy(unixS = it.unixS + SETTLES_S) }
            "why" -> why = !why
            "targets" -> phone.go(Setups(phone))
            "settle" -> phone.go(Settle(phone))
            "raises" -> knows(first, fallaway.Clockwise.MORE)
            "lowers" -> knows(first, fallaway.Clockwise.LESS)
        }
    }

    private fun toRead(step: PlanStep) = when (val by = step.settledBy) {
        is SettledBy.Readings -> by.of.firstOrNull()?.quantity
        is SettledBy.AsLeft -> by.of.firstOrNull()?.quantity
        else -> step.quantity
    }

    private fun done(first: PlanStep, now: List<PlanStep>) {
        val by = first.settledBy
        if (by is SettledBy.Adjustments && by.eitherWay) {
            asked = Hand(now.map { it.id })
        } else {
            wrote(now.map { it.id }, null)
        }
    }

    private fun wrote(turned: TurnDirection) {
        val steps = asked?.steps ?: return
        asked = null
        wrote(steps, turned)
    }

    private fun wrote(steps: List<StepId>, turned: TurnDirection?) {
        val written = phone.instrument.doneTogether(steps, turned)
        then = written.thenMeasure.map { quantityLabel(it.quantity) }.distinct().takeIf { it.isNotEmpty() }
            ?.let { say(Say.WRITTEN_THEN, it.joinToString("; ")) } ?: say(Say.WRITTEN)
        load()
    }

    /** Which way a screw works, seen on the instrument. */
    private fun knows(step: PlanStep, clockwise: fallaway.Clockwise) {
        val moved = (step.verdict as? StepVerdict.Adjust)?.work?.moves?.firstOrNull()?.screw
        val screw = (step.settledBy as? SettledBy.ScrewFact)?.screw ?: moved ?: return
        val place = when (screw) {
            is TurnedScrew.Rod -> fallaway.ScrewPlace.ROD
            is TurnedScrew.SaddleHeight -> fallaway.ScrewPlace.SADDLE_HEIGHT
            is TurnedScrew.BridgePost -> fallaway.ScrewPlace.BRIDGE_POST
            is TurnedScrew.SpringClaw -> fallaway.ScrewPlace.SPRING_CLAW
            is TurnedScrew.SaddlePosition -> fallaway.ScrewPlace.SADDLE_POSITION
            is TurnedScrew.PickupHeight -> fallaway.ScrewPlace.PICKUP
            is TurnedScrew.Newer -> return
        }
        val known = phone.instrument.details().spec.screws.firstOrNull { it.place == place }?.screw
        val screwSpec = (known ?: fallaway.ScrewSpec()).copy(clockwise = clockwise)
        phone.instrument.setSpec(fallaway.SpecField.Screw(fallaway.PlacedScrew(place, screwSpec)))
        load()
    }

    override fun kept() = buildMap {
        settled?.let { put("settled", it.unixS.toString()) }
        if (why) put("why", "true")
        if (asked != null) put("asked", "true")
    }

    override fun restore(kept: Map<String, String>) {
        settled = kept["settled"]?.toLongOrNull()?.let { phone.now().copy(unixS = it) }
        why = kept["why"] == "true"
        asked = plan?.takeIf { kept["asked"] == "true" }?.let { Hand(now(it).map(PlanStep::id)) }
    }

    private companion object {
        /** How long a neck is let to settle here: common practice, no source. */
        const val SETTLES_S = 10 * 60L

        /** Characters of "09:21". */
        const val CLOCK = 5
    }
}

/** What is said of one step of the plan, until it is written down; after the end of the process it is found again. */
abstract class OfStep(phone: Phone, protected var step: PlanStep?) : Screen(phone) {
    /** What is asked of the step when it is known. */
    protected open fun found(step: PlanStep) = Unit

    override fun kept(): Map<String, String> = step?.let { mapOf("step" to it.id.text) }.orEmpty()

    override fun restore(kept: Map<String, String>) {
        val plan = phone.instrument.planDrawn(phone.setup, null).plan
        step = plan.steps.firstOrNull { it.id.text == kept["step"] }?.also(::found)
    }
}

/** Something else was done than was proposed: the same screws, by another turn. */
class Otherwise(phone: Phone, step: PlanStep? = null) : OfStep(phone, step) {
    override val name = "otherwise"
    private var moves = emptyList<ScrewMove>()
    private var eighths = 1
    private var direction = TurnDirection.CLOCKWISE
    private var turns = ""

    init {
        step?.let(::found)
    }

    override fun found(step: PlanStep) {
        moves = (step.verdict as? StepVerdict.Adjust)?.work?.moves.orEmpty()
        val turn = moves.firstOrNull()?.turn
        eighths = turn?.eighths?.toInt() ?: 1
        direction = turn?.direction ?: TurnDirection.CLOCKWISE
    }

    override fun load() {
        turns = fallaway.turnsText(eighths.toUInt())
    }

    override fun kept() = super.kept() + mapOf("eighths" to eighths.toString(), "direction" to direction.name)

    override fun restore(kept: Map<String, String>) {
        super.restore(kept)
        kept["eighths"]?.toIntOrNull()?.let { eighths = it }
        TurnDirection.entries.firstOrNull { it.name == kept["direction"] }?.let { direction = it }
        load()
    }

    override fun body() = buildList {
        add(heading(Say.DID_OTHERWISE))
        moves.forEachIndexed { at, move -> add(Element("screw.${at + 1}", Role.TEXT, move.text.sentence())) }
        add(Element("turns", Role.NUMBER, say(Say.TURNED_BY), value = turns))
        add(button("less", Say.AN_EIGHTH_LESS))
        add(button("more", Say.AN_EIGHTH_MORE))
        add(choice("clockwise", say(Say.CLOCKWISE), direction == TurnDirection.CLOCKWISE))
        add(choice("anticlockwise", say(Say.ANTICLOCKWISE), direction == TurnDirection.ANTICLOCKWISE))
        add(button("save", Say.WRITE_IT_DOWN, main = true))
    }

    override fun touched(id: String) {
        when (id) {
            "less" -> turn((eighths - 1).coerceAtLeast(1))
            "more" -> turn(eighths + 1)
            "clockwise" -> direction = TurnDirection.CLOCKWISE
            "anticlockwise" -> direction = TurnDirection.ANTICLOCKWISE
            "save" -> {
                val turns = eighths / EIGHTHS * if (direction == TurnDirection.CLOCKWISE) 1 else -1
                val done = moves.map { NewBody.Adjusted(Adjustment(it.part, turns = turns)) }
                step?.let { phone.instrument.didOtherwise(it.id, done) }
                phone.back()
            }
        }
    }

    private fun turn(by: Int) {
        eighths = by
        load()
    }

    private companion object {
        const val EIGHTHS = 8.0
    }
}

/** A step that could not be done, and why. */
class CouldNotDo(phone: Phone, step: PlanStep? = null) : OfStep(phone, step) {
    override val name = "could_not"
    private var why = ""

    override fun kept() = super.kept() + mapOf("why" to why)

    override fun restore(kept: Map<String, String>) {
        super.restore(kept)
        why = kept["why"].orEmpty()
    }

    override fun load() = Unit

    override fun body() = buildList {
        add(heading(Say.COULD_NOT))
        step?.let { add(Element("step", Role.TEXT, it.title.sentence())) }
        REASONS.forEachIndexed { at, one -> add(choice("reason.${at + 1}", say(one), why == say(one))) }
        add(Element("why", Role.FIELD, say(Say.OWN_WORDS), value = why))
        add(Element("repairer", Role.CAUTION, say(Say.FOR_A_REPAIRER)))
        add(button("save", Say.WRITE_IT_DOWN, main = true))
    }

    override fun touched(id: String) {
        id.place("reason")?.let(REASONS::getOrNull)?.let { why = say(it) }
        if (id == "save") {
            step?.let { phone.instrument.couldNot(it.id, why) }
            phone.back()
        }
    }

    override fun typed(id: String, text: String) {
        if (id == "why") why = text
    }

    private companion object {
        val REASONS = listOf(Say.DOES_NOT_TURN, Say.NO_ROOM, Say.DOES_NOTHING, Say.NO_TOOL_HERE)
    }
}
