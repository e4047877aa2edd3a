package fallaway.app

import fallaway.Attempt
import fallaway.Card
import fallaway.Doubt
import fallaway.Entered
import fallaway.Estimate
import fallaway.Location
import fallaway.NewTarget
import fallaway.Quantity
import fallaway.SetupId
import fallaway.UsualReading
import fallaway.WriteOptions
import fallaway.attempt

/** What is wanted: setups, and the target of every number in them. */
class Setups(phone: Phone) : Screen(phone) {
    override val name = "setups"
    override val writes get() = true

    override fun forReader(one: Element) = when (one.role) {
        Role.BUTTON -> null
        Role.FIELD -> line(one).takeIf { one.id != "name" }
        Role.ROW -> one.takeIf { it.id != "others" }
        else -> one
    }

    private class Line(val quantity: Quantity, val text: String, val location: Location, val place: String, val target: String, val within: String)

    private var card: Card? = null
    private var lines = emptyList<Line>()

    /** What else can have a target, and of it what was chosen to get one; the latter stand last. */
    private var others = emptyList<UsualReading>()
    private val added = mutableListOf<Quantity>()
    private var choosesOther = false
    private var wanted = mutableMapOf<Int, String>()
    private var within = mutableMapOf<String, String>()
    private var newName = ""
    private var saved: String? = null

    /** What looks unusual of what was typed, until it is answered, and what was written meanwhile, by its line. */
    private var doubts = emptyList<Doubt>()
    private val written = mutableSetOf<Int>()

    override fun load() {
        val form = phone.instrument.entryForm(phone.setup)
        val (card, usual) = form.card to form.usual.filter { it.quantity != Quantity.Pitch }
        others = form.others.filter { it.quantity != Quantity.Pitch }
        phone.rights = form.role
        this.card = card
        lines = card.lines.map { line ->
            Line(
                line.quantity, line.quantityText, line.location, place(line.location, line.placeText),
                written(line.target?.value),
                written(line.target?.tolerance),
            )
        } + usual.filter { one -> card.lines.none { it.quantity == one.quantity } }.flatMap(::unread)
        // What has a target now stands among the usual ones.
        added.retainAll { quantity -> others.any { it.quantity == quantity } && lines.none { it.quantity == quantity } }
        lines = lines + added.mapNotNull { quantity -> others.firstOrNull { it.quantity == quantity } }.flatMap(::unread)
    }

    /** What can still be chosen to have a target, by its place among the others. */
    private fun choices() = others.withIndex().filter { (_, one) -> lines.none { it.quantity == one.quantity } }

    private fun unread(one: UsualReading) =
        one.locations.zip(one.locationTexts) { location, text -> Line(one.quantity, one.text, location, place(location, text), "", "") }

    private fun written(value: Estimate?) = value?.let { phone.written(it.asEntered ?: it.text) }.orEmpty()

    private fun place(location: Location, words: String) = if (location is Location.Whole) say(Say.TARGET) else words.sentence()

    override fun body() = buildList {
        add(heading(Say.SETUPS))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        card?.setups?.forEachIndexed { at, one -> add(choice("setup.${at + 1}", one.name, one.id == card?.setup?.id)) }
        add(Element("name", Role.FIELD, say(Say.NEW_SETUP), value = newName))
        add(button("add", Say.ADD_SETUP))
        add(button("take", Say.TAKE_TODAY))
        if (card?.setup == null) return@buildList
        var part = 0
        lines.groupBy { it.text }.forEach { (text, ofQuantity) ->
            part++
            add(heading("quantity.$part", text.sentence()))
            ofQuantity.forEach { line ->
                val at = lines.indexOf(line)
                add(Element("target.${at + 1}", Role.FIELD, line.place, value = wanted[at] ?: line.target))
            }
            add(Element("within.$part", Role.FIELD, say(Say.WITHIN), value = within[text] ?: ofQuantity.first().within))
        }
        val left = choices()
        if (left.isNotEmpty()) {
            add(Element("others", Role.ROW, say(Say.OTHER_TARGET), touch = true))
            if (choosesOther) left.forEach { (at, one) -> add(choice("other.${at + 1}", one.text.sentence(), false)) }
        }
        if (doubts.isEmpty()) {
            add(button("save", Say.SAVE_TARGETS, main = true))
            return@buildList
        }
        add(Element("doubt", Role.BANNER, say(Say.LOOKS_UNUSUAL), detail = doubts.joinToString(" ") { it.reason.sentence() + "." }))
        add(button("sure", Say.IT_IS_RIGHT, main = true))
        add(button("correct", Say.CORRECT_IT))
    }

    override fun touched(id: String) {
        saved = null
        when (id) {
            "add" -> {
                phone.setup = phone.instrument.addSetup(newName.trim()).id
                newName = ""
                anew()
            }
            "take" -> {
                val name = newName.trim().ifEmpty { card?.setup?.name.orEmpty() }
                phone.setup = phone.instrument.takeSetup(name).id
                saved = say(Say.TAKEN, name)
                newName = ""
                anew()
            }
            "save" -> card?.setup?.let { save(it.id, emptyList()) }
            "sure" -> card?.setup?.let { save(it.id, doubts) }
            "correct" -> doubts = emptyList()
            "others" -> choosesOther = !choosesOther
            else -> id.place("other")?.let(others::getOrNull)?.let {
                added += it.quantity
                lines = lines + unread(it)
                choosesOther = false
            } ?: id.place("setup")?.let { card?.setups?.getOrNull(it) }?.let {
                phone.setup = it.id
                anew()
            }
        }
    }

    /** What was typed is written, or belonged to another setup. */
    private fun anew() {
        wanted.clear()
        within.clear()
        added.clear()
        choosesOther = false
        doubts = emptyList()
        written.clear()
        load()
    }

    private fun save(setup: SetupId, accept: List<Doubt>) {
        val asked = mutableListOf<Doubt>()
        lines.forEachIndexed { at, line ->
            val target = wanted[at] ?: line.target
            val tolerance = within[line.text] ?: line.within
            val same = target == line.target && tolerance == line.within
            if (target.isBlank() || same || at in written) return@forEachIndexed
            val new = NewTarget(line.quantity, line.location, Entered(target), Entered(tolerance))
            when (val came = attempt { phone.instrument.setTarget(setup, new, WriteOptions(accept = accept)) }) {
                is Attempt.Asked -> asked += came.doubts
                is Attempt.Wrong -> throw came.error
                is Attempt.Done -> written += at
            }
        }
        doubts = asked
        if (asked.isNotEmpty()) return
        saved = say(Say.TARGETS_SAVED)
        anew()
    }

    override fun typed(id: String, text: String) {
        if (id == "name") newName = text
        else {
            doubts = emptyList()
            written.clear()
        }
        id.place("target")?.let { wanted[it] = text }
        id.place("within")?.let { part -> lines.map { it.text }.distinct().getOrNull(part)?.let { within[it] = text } }
    }

    override fun kept() = mapOf(
        "name" to newName, "others" to choosesOther.toString(),
        "added" to added.joinToString(";") { quantity -> others.indexOfFirst { it.quantity == quantity }.toString() },
    ) +
        wanted.map { (at, text) -> "target.${at + 1}" to text } +
        lines.map { it.text }.distinct().mapIndexedNotNull { part, of -> within[of]?.let { "within.${part + 1}" to it } }

    override fun restore(kept: Map<String, String>) {
        val chosen = kept["added"].orEmpty().split(";").mapNotNull { it.toIntOrNull() }.mapNotNull(others::getOrNull)
        for (one in chosen) if (lines.none { it.quantity == one.quantity }) {
            added += one.quantity
            lines = lines + unread(one)
        }
        choosesOther = kept["others"] == "true"
        kept.forEach { (id, text) -> typed(id, text) }
    }
}
