package fallaway.app

import fallaway.InstrumentSpec
import fallaway.StringChange

/** The strings that are on, and others put on. */
class Strings(phone: Phone) : Screen(phone) {
    override val name = "strings"
    private var spec: InstrumentSpec? = null
    private var set = ""
    private var saved: String? = null

    override fun load() {
        spec = phone.instrument.details().spec
    }

    override fun body() = buildList {
        add(heading(Say.STRINGS))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        val spec = spec ?: return@buildList
        spec.tuning.forEachIndexed { at, one ->
            val gauge = spec.strings.firstOrNull { it.place == one.place }?.string?.gauge?.text
            add(
                Element(
                    "string.${at + 1}", Role.ROW, say(Say.STRING_TUNED, one.place.course.toInt(), phone.note(one.note)),
                    value = gauge?.let(phone::written) ?: say(Say.GAUGE_UNKNOWN),
                ),
            )
        }
        add(Element("set", Role.FIELD, say(Say.NEW_SET), value = set))
        add(button("save", Say.STRINGS_CHANGED, main = true))
        add(Element("eyes", Role.CAUTION, say(Say.STRINGS_CAUTION)))
    }

    override fun touched(id: String) {
        if (id != "save") return
        phone.instrument.addStringChange(StringChange(setName = set.trim().ifEmpty { null }))
        saved = say(Say.STRINGS_NOTED)
        set = ""
        load()
    }

    override fun typed(id: String, text: String) {
        if (id == "set") set = text
    }

    override fun kept() = mapOf("set" to set)

    override fun restore(kept: Map<String, String>) {
        set = kept["set"].orEmpty()
    }
}
