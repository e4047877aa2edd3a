package fallaway.app

import fallaway.Attempt
import fallaway.Card
import fallaway.CardLine
import fallaway.Doubt
import fallaway.FallawayException
import fallaway.Location
import fallaway.PassConditions
import fallaway.PassOptions
import fallaway.Phase
import fallaway.Quantity
import fallaway.Tool
import fallaway.ToolInfo
import fallaway.TuningChange
import fallaway.UsualReading
import fallaway.WriteOptions
import fallaway.attempt
import fallaway.parseReading
import fallaway.quantityLabel

/**
 * Enters a pass: string by string, with keys for the tool in hand. On a rule a key is a whole reading and goes
 * on to the next string, so that five strings are five taps.
 */
class Read(phone: Phone, private val wanted: Quantity? = null) : Screen(phone) {
    override val name = "read"
    override val tab get() = true
    override val writes get() = true

    override fun forReader(one: Element): Element? = one.takeIf { it.id == "there" }

    private class Place(val location: Location, val label: String, val before: String?)

    private var card: Card? = null
    private var usual = emptyList<UsualReading>()

    /** What else can be read; shown when it is asked for. */
    private var others = emptyList<UsualReading>()
    private var choosesOther = false
    private var tools = emptyList<ToolInfo>()
    private var quantity: Quantity? = null
    private var tool: Tool? = null
    private var places = emptyList<Place>()
    private var typed = mutableListOf<String>()

    /** What the core makes of a text with this tool: it is asked once. */
    private val heard = mutableMapOf<String, String?>()
    private var at = 0
    private var phase: Phase? = null
    private var digits = false
    private var choosesTool = false
    private var doubts = emptyList<Doubt>()
    private var tunedAt: String? = null
    private var saved: String? = null

    override fun load() {
        val form = phone.instrument.entryForm(phone.setup)
        usual = form.usual
        others = form.others
        card = form.card
        tools = form.tools
        phone.rights = form.role
        if (quantity == null) {
            take((usual + others).firstOrNull { it.quantity == wanted } ?: usual.firstOrNull { it.quantity != Quantity.Pitch })
        } else {
            places = placesOf(quantity)
        }
    }

    private fun take(one: UsualReading?) {
        quantity = one?.quantity ?: wanted
        withTool(one?.tool)
        places = placesOf(quantity)
        typed = MutableList(places.size) { "" }
        at = 0
        digits = false
        choosesTool = false
        choosesOther = false
        doubts = emptyList()
    }

    private fun withTool(chosen: Tool?) {
        tool = chosen
        heard.clear()
    }

    /** Where it is read: everywhere on the card, for the last pass may have been of one string. */
    private fun placesOf(of: Quantity?): List<Place> {
        val lines: List<CardLine> = card?.lines.orEmpty().filter { it.quantity == of }
        val known = (usual + others).firstOrNull { it.quantity == of }?.run { locations.zip(locationTexts) }.orEmpty()
        if (lines.size >= known.size) return lines.map { Place(it.location, label(it.location, it.placeText), it.last?.value?.text) }
        return known.map { (location, text) -> Place(location, label(location, text), null) }
    }

    private fun label(location: Location, place: String) = if (location is Location.Whole) say(Say.THE_READING) else place.sentence()

    private fun keys() = Keypad(tool)

    private fun byMarks() = keys().marks.isNotEmpty() && !digits

    override fun body() = buildList {
        add(heading(Say.READ_TITLE))
        if (phone.readsOnly) add(Element("there", Role.TEXT, say(Say.READ_STANDS_THERE)))
        saved?.let {
            add(Element("saved", Role.BANNER, it))
            add(button("undo", Say.UNDO))
        }
        if (doubts.isNotEmpty()) {
            add(Element("doubt", Role.BANNER, say(Say.LOOKS_UNUSUAL), detail = doubts.joinToString(" ") { it.reason.sentence() + "." }))
            add(button("sure", Say.IT_IS_RIGHT, main = true))
            add(button("correct", Say.CORRECT_IT))
        }
        // Nothing is read before it is in tune.
        add(button("tuned", Say.IT_IS_TUNED).copy(state = tunedAt?.let { say(Say.NOTED_AT, it) }))
        usual.forEachIndexed { index, one ->
            add(choice("quantity.${index + 1}", one.text.sentence(), one.quantity == quantity))
        }
        if (others.isNotEmpty()) {
            val other = others.firstOrNull { it.quantity == quantity }
            add(Element("others", Role.ROW, say(Say.OTHER_READING), value = other?.text?.sentence(), touch = true, chosen = other != null))
            if (choosesOther) {
                others.forEachIndexed { index, one -> add(choice("other.${index + 1}", one.text.sentence(), one == other)) }
            }
        }
        add(choice("phase.found", say(Say.AS_FOUND), phase == Phase.AS_FOUND))
        add(choice("phase.left", say(Say.AS_LEFT), phase == Phase.AS_LEFT))
        places.forEachIndexed { index, place -> add(cell(index, place)) }
        add(Element("tool", Role.ROW, say(Say.TOOL), value = toolText() ?: say(Say.NO_TOOL), touch = true))
        // Without a tool a bare number says nothing: that is asked first.
        if (choosesTool || tool == null) {
            tools.forEachIndexed { index, one -> if (fits(one)) add(choice("tool.${index + 1}", one.name, one.tool == tool)) }
        }
        // What is asked or chosen comes first: keys are there for a place and a tool.
        if (places.isNotEmpty() && doubts.isEmpty() && tool != null && !choosesTool && !choosesOther) keypad()
        val ready = typed.count { it.isNotEmpty() && it != SKIPPED }
        if (ready > 0 && doubts.isEmpty()) {
            add(Element("save", Role.BUTTON, phone.count(Count.SAVE_READINGS, ready), main = true))
        }
    }

    /** A tuner reads no lengths, and nothing else reads a pitch. */
    private fun fits(one: ToolInfo): Boolean {
        val heard = quantity is Quantity.Pitch || quantity is Quantity.Intonation
        return heard == (one.standardUncertaintyMm == null)
    }

    private fun toolText() = tools.firstOrNull { it.tool == tool }?.name ?: (usual + others).firstOrNull { it.tool == tool }?.toolText

    private fun cell(index: Int, place: Place): Element {
        val text = typed[index]
        val understood = understood(text)
        return Element(
            "cell.${index + 1}", Role.CELL, place.label,
            value = understood ?: phone.written(text),
            detail = place.before?.let { say(Say.BEFORE, it) },
            state = when {
                text == SKIPPED -> say(Say.NOT_READ_NOW)
                index == at -> say(Say.TYPED_NOW)
                text.isEmpty() -> say(Say.EMPTY)
                understood == null && text != SAME -> say(Say.NOT_UNDERSTOOD)
                else -> null
            },
            chosen = index == at,
        )
    }

    /** What the core makes of it, as it would be written down. */
    private fun understood(text: String): String? {
        val of = quantity ?: return null
        if (text.isEmpty() || text == SAME || text == SKIPPED) return null
        if (text !in heard) {
            heard[text] = try {
                parseReading(text, of, tool).value.text
            } catch (_: FallawayException) {
                null
            }
        }
        return heard[text]
    }

    private fun MutableList<Element>.keypad() {
        fun key(id: String, text: String, words: String? = null) = Element("key.$id", Role.KEY, text, detail = words)
        val same = key("same", "=", say(Say.SAME_AS_BEFORE))
        val skip = key("skip", "–", say(Say.NOT_READ_NOW))
        val minus = key("minus", Keypad.SIGN, say(Say.BELOW_ZERO))
        val back = key("back", "⌫", say(Say.TAKE_BACK))
        if (byMarks()) {
            keys().marks.forEach { add(key(it.replace('.', '_'), phone.written(it))) }
            if (keys().halves) add(key("half", "½", say(Say.AND_A_HALF)))
            addAll(listOf(same, skip, back))
        } else {
            // Rows of three, and beside each what is done with it.
            val beside = listOf(same, skip, back, key("next", "→", say(Say.NEXT_STRING)))
            keys().digits(quantity).chunked(3).zip(beside).forEach { (three, one) ->
                three.forEach { add(if (it == Keypad.SIGN) minus else key(KEY_NAMES[it] ?: it, phone.written(it))) }
                add(one)
            }
        }
        if (Keypad.goesBelowZero(quantity) && minus !in this) add(minus)
        if (keys().marks.isNotEmpty()) add(key("mode", if (digits) "1…16" else "0…9", say(if (digits) Say.MARKS else Say.ANY_NUMBER)))
    }

    override fun touched(id: String) {
        saved = null
        when {
            id.startsWith("key.") -> key(id.removePrefix("key."))
            id.startsWith("quantity.") -> id.place("quantity")?.let(usual::getOrNull)?.let(::take)
            id.startsWith("other.") -> id.place("other")?.let(others::getOrNull)?.let(::take)
            id.startsWith("cell.") -> id.place("cell")?.let { at = it }
            id.startsWith("tool.") -> id.place("tool")?.let(tools::getOrNull)?.let {
                withTool(it.tool)
                choosesTool = false
                digits = false
            }
            else -> button(id)
        }
    }

    private fun button(id: String) {
        when (id) {
            "tool" -> choosesTool = !choosesTool
            "others" -> choosesOther = !choosesOther
            "phase.found" -> phase = Phase.AS_FOUND.takeIf { phase != it }
            "phase.left" -> phase = Phase.AS_LEFT.takeIf { phase != it }
            "tuned" -> {
                phone.instrument.addTuning(TuningChange())
                tunedAt = phone.moment(phone.now()).takeLast(CLOCK)
            }
            "save" -> save(emptyList())
            "sure" -> save(doubts)
            "correct" -> doubts = emptyList()
            "undo" -> {
                phone.instrument.undo()
                load()
            }
        }
    }

    private fun key(key: String) {
        if (at !in typed.indices) return
        doubts = emptyList()
        when (key) {
            "half" -> halve()
            "minus" -> turnSign()
            "same" -> put(SAME)
            "skip" -> put(SKIPPED)
            "next" -> next()
            "mode" -> digits = !digits
            "back" -> takeBack()
            else -> {
                val text = KEY_NAMES.entries.firstOrNull { it.value == key }?.key ?: key.replace('_', '.')
                if (byMarks()) put(typed[at].takeIf { it == MINUS }.orEmpty() + text) else typed[at] = number(at) + text
            }
        }
    }

    private fun put(text: String) {
        typed[at] = text
        next()
    }

    private fun next() {
        if (at < typed.lastIndex) at++
    }

    /** Half a mark more in the reading that was typed last. */
    private fun halve() {
        val last = if (typed[at].isEmpty()) at - 1 else at
        val text = typed.getOrNull(last) ?: return
        if (text.removePrefix(MINUS).toIntOrNull() != null) typed[last] = "$text.5"
    }

    /** What is typed there of a number. */
    private fun number(place: Int) = typed.getOrNull(place)?.takeIf { it != SAME && it != SKIPPED }.orEmpty()

    /** To the other side of zero: on marks the reading that was typed last, if there is one. */
    private fun turnSign() {
        val last = if (byMarks() && typed[at].isEmpty() && number(at - 1).isNotEmpty()) at - 1 else at
        val text = number(last)
        typed[last] = if (text.startsWith(MINUS)) text.removePrefix(MINUS) else MINUS + text
    }

    private fun takeBack() {
        if (typed[at].isEmpty() && at > 0) at--
        typed[at] = if (byMarks()) "" else typed[at].dropLast(1)
    }

    private fun save(accept: List<Doubt>) {
        val of = quantity ?: return
        val read = places.indices.filter { typed[it].isNotEmpty() && typed[it] != SKIPPED }
        if (read.isEmpty()) return
        // In a pass a sign alone is a place that was not read; typed here it is half a number.
        read.firstOrNull { typed[it] == MINUS }?.let {
            at = it
            parseReading(MINUS, of, tool)
        }
        val text = read.joinToString("; ") { typed[it] }
        val taken = PassOptions(
            locations = read.map { places[it].location },
            conditions = phase?.let { PassConditions(phase = it) },
        )
        val came = attempt {
            phone.instrument.addPassText(of, text, tool, taken, WriteOptions(accept = accept))
        }
        when (came) {
            is Attempt.Asked -> doubts = came.doubts
            is Attempt.Wrong -> {
                came.error.cell?.position?.let { at = read.getOrElse(it.toInt() - 1) { at } }
                show(came.error.text())
            }
            is Attempt.Done -> {
                saved = say(Say.SAVED, quantityLabel(of))
                doubts = emptyList()
                load()
                typed = MutableList(places.size) { "" }
                at = 0
            }
        }
    }

    override fun kept() = buildMap {
        quantity?.let { here -> put("quantity", (usual + others).indexOfFirst { it.quantity == here }.toString()) }
        put("tool", tools.indexOfFirst { it.tool == tool }.toString())
        put("cells", typed.joinToString(";"))
        put("at", at.toString())
        put("digits", digits.toString())
        put("tools", choosesTool.toString())
        put("others", choosesOther.toString())
        tunedAt?.let { put("tuned", it) }
        phase?.let { put("phase", it.name) }
    }

    override fun restore(kept: Map<String, String>) {
        kept["quantity"]?.toIntOrNull()?.let((usual + others)::getOrNull)?.let(::take)
        kept["tool"]?.toIntOrNull()?.let(tools::getOrNull)?.let { withTool(it.tool) }
        val cells = kept["cells"].orEmpty().split(";")
        if (cells.size == places.size) typed = cells.toMutableList()
        at = kept["at"]?.toIntOrNull()?.takeIf(typed.indices::contains) ?: 0
        digits = kept["digits"] == "true"
        choosesTool = kept["tools"] == "true"
        choosesOther = kept["others"] == "true"
        tunedAt = kept["tuned"]
        phase = kept["phase"]?.let { name -> Phase.entries.firstOrNull { it.name == name } }
    }

    private companion object {
        const val SAME = "="
        const val SKIPPED = "-"

        /** U+2212, for the hyphen stands for what was skipped. */
        const val MINUS = "\u2212"

        /** Characters of "09:21". */
        const val CLOCK = 5

        /** Keys whose sign is no good name. */
        val KEY_NAMES = mapOf("." to "point", "/" to "slash")
    }
}
