package fallaway.app

import fallaway.Entered
import fallaway.FittedString
import fallaway.InstrumentSpec
import fallaway.StringChange
import fallaway.StringSet
import fallaway.StringSpec
import fallaway.TunedString

/** The strings that are on, and others put on: a set of the shop, or gauges by hand. */
class Strings(phone: Phone) : Screen(phone) {
    override val name = "strings"
    override val writes get() = true

    override fun forReader(one: Element) = one.takeIf { it.id.startsWith("string.") }

    private var spec: InstrumentSpec? = null
    private var sets = emptyList<StringSet>()
    private var set = ""

    /** What is typed, by the course of the string. */
    private var gauges = mapOf<Int, String>()
    private var saved: String? = null

    override fun load() {
        val page = phone.instrument.stringsPage()
        spec = page.spec
        sets = page.sets
        phone.rights = page.role
    }

    override fun body() = buildList {
        add(heading(Say.STRINGS))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        val spec = spec ?: return@buildList
        spec.tuning.forEachIndexed { at, one ->
            val gauge = spec.strings.firstOrNull { it.place == one.place }?.string?.gauge?.text
            add(Element("string.${at + 1}", Role.ROW, tuned(one), value = gauge?.let(phone::written) ?: say(Say.GAUGE_UNKNOWN)))
        }
        add(heading("new", say(Say.NEW_STRINGS)))
        sets.forEachIndexed { at, one -> add(choice("kept.${at + 1}", one.name, set == one.name)) }
        add(Element("set", Role.FIELD, say(Say.NEW_SET), value = set))
        add(Element("gauges", Role.TEXT, say(Say.GAUGES_ABOUT)))
        spec.tuning.forEachIndexed { at, one ->
            add(Element("gauge.${at + 1}", Role.FIELD, say(Say.GAUGE_OF, tuned(one)), value = gauges[course(one)].orEmpty()))
        }
        add(Element("eyes", Role.CAUTION, say(Say.STRINGS_CAUTION)))
        add(button("save", Say.STRINGS_CHANGED, main = true))
    }

    private fun tuned(one: TunedString) = say(Say.STRING_TUNED, course(one), phone.note(one.note))

    private fun course(one: TunedString) = one.place.course.toInt()

    override fun touched(id: String) {
        id.place("kept")?.let(sets::getOrNull)?.let(::take)
        if (id != "save") return
        phone.instrument.addStringChange(StringChange(setName = set.trim().ifEmpty { null }, fitted = fitted()))
        saved = say(Say.STRINGS_NOTED)
        set = ""
        gauges = emptyMap()
        load()
    }

    /** A set of the shop, its strings counted from the highest. */
    private fun take(chosen: StringSet) {
        set = chosen.name
        gauges = chosen.strings.withIndex().associate { (at, one) -> at + 1 to one.gauge?.text.orEmpty() }
    }

    /** What is typed without a unit is in inches, as it stands on a pack. What the set knows of a string comes with it. */
    private fun fitted(): List<FittedString> {
        val kept = sets.firstOrNull { it.name == set }?.strings.orEmpty()
        return spec?.tuning.orEmpty().mapNotNull { one ->
            val typed = gauges[course(one)].orEmpty().trim().replace(',', '.')
            val known = kept.getOrNull(course(one) - 1)
            val string = when {
                typed.isEmpty() -> null
                known?.gauge?.text == typed -> known
                else -> StringSpec(gauge = Entered(if (typed.last().isDigit()) "$typed in" else typed))
            }
            string?.let { FittedString(one.place, it) }
        }
    }

    override fun typed(id: String, text: String) {
        if (id == "set") set = text
        id.place("gauge")?.let { spec?.tuning?.getOrNull(it) }?.let { gauges = gauges + (course(it) to text) }
    }

    override fun kept() = mapOf("set" to set) + gauges.map { (course, text) -> "gauge.$course" to text }

    override fun restore(kept: Map<String, String>) {
        set = kept["set"].orEmpty()
        gauges = kept.entries.mapNotNull { (key, text) -> key.place("gauge")?.let { it + 1 to text } }.toMap()
    }
}
