package fallaway.app

import fallaway.BuzzNote
import fallaway.InstrumentSpec
import fallaway.StringPlace

/** Something that no tool reads: a buzz, or what somebody says of the instrument. */
class Note(phone: Phone) : Screen(phone) {
    override val name = "note"
    override val writes get() = true

    override fun forReader(one: Element): Element? = null

    private var spec: InstrumentSpec? = null
    private var remark = ""
    private var string: StringPlace? = null
    private var from = ""
    private var to = ""
    private var saved: String? = null

    override fun load() {
        val details = phone.instrument.details()
        spec = details.spec
        phone.rights = details.role
    }

    override fun body() = buildList {
        add(heading(Say.NOTE))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        add(Element("remark", Role.FIELD, say(Say.REMARK), value = remark))
        add(button("save", Say.WRITE_IT_DOWN, main = true))
        add(heading("buzz", say(Say.A_BUZZ)))
        spec?.tuning?.forEachIndexed { at, one ->
            add(choice("string.${at + 1}", say(Say.STRING_TUNED, one.place.course.toInt(), phone.note(one.note)), one.place == string))
        }
        add(Element("from", Role.FIELD, say(Say.FROM_FRET), value = from))
        add(Element("to", Role.FIELD, say(Say.TO_FRET), value = to))
        add(button("save_buzz", Say.NOTE_BUZZ))
    }

    override fun touched(id: String) {
        id.place("string")?.let { spec?.tuning?.getOrNull(it) }?.let { string = it.place }
        if (id == "save") {
            phone.instrument.addRemark(remark)
            saved = say(Say.NOTED)
            remark = ""
        }
        if (id == "save_buzz") {
            val first = from.trim().toUIntOrNull()
            val last = to.trim().ifEmpty { from.trim() }.toUIntOrNull()
            val on = string
            if (on == null || first == null || last == null) return show(say(Say.WHERE_IT_BUZZES))
            phone.instrument.addBuzz(BuzzNote(on, first, last, remark.trim().ifEmpty { null }))
            saved = say(Say.NOTED)
            remark = ""
            from = ""
            to = ""
        }
    }

    override fun typed(id: String, text: String) {
        when (id) {
            "remark" -> remark = text
            "from" -> from = text
            "to" -> to = text
        }
    }

    override fun kept() = buildMap {
        put("remark", remark)
        put("from", from)
        put("to", to)
        string?.let { put("string", it.course.toString()) }
    }

    override fun restore(kept: Map<String, String>) {
        remark = kept["remark"].orEmpty()
        from = kept["from"].orEmpty()
        to = kept["to"].orEmpty()
        string = spec?.tuning?.map { it.place }?.firstOrNull { it.course.toString() == kept["string"] }
    }
}
