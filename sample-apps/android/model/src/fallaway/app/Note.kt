package fallaway.app

import fallaway.Attempt
import fallaway.BuzzNote
import fallaway.Climate
import fallaway.Doubt
import fallaway.Entered
import fallaway.InstrumentSpec
import fallaway.StringPlace
import fallaway.WriteOptions
import fallaway.attempt

/** Something that no tool of the set-up reads: a buzz, the air, or what somebody says of the instrument. */
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

    /** What was typed of the air, and what looks unusual of it. */
    private val air = mutableMapOf<String, String>()
    private var doubts = emptyList<Doubt>()

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
        add(heading("climate", say(Say.CLIMATE)))
        add(Element("temperature", Role.FIELD, say(Say.TEMPERATURE), value = air("temperature")))
        add(Element("humidity", Role.FIELD, say(Say.HUMIDITY), value = air("humidity")))
        add(Element("where_kept", Role.FIELD, say(Say.WHERE_KEPT), value = air("where_kept")))
        add(Element("hours_there", Role.FIELD, say(Say.HOURS_THERE), value = air("hours_there")))
        if (doubts.isEmpty()) {
            add(button("save_climate", Say.NOTE_CLIMATE))
        } else {
            add(Element("doubt", Role.BANNER, say(Say.LOOKS_UNUSUAL), detail = doubts.joinToString(" ") { it.reason.sentence() + "." }))
            add(button("sure", Say.IT_IS_RIGHT))
            add(button("correct", Say.CORRECT_IT))
        }
    }

    private fun air(id: String) = air[id].orEmpty()

    /** A number of the air, with the unit that it has where none was typed. */
    private fun air(id: String, unit: String) =
        air(id).trim().ifEmpty { null }?.let { Entered(if (it.last().isDigit()) "$it $unit" else it) }

    private fun saveClimate(accept: List<Doubt>) {
        doubts = emptyList()
        val hours = air("hours_there").trim()
        if (hours.isNotEmpty() && hours.toUIntOrNull() == null) return show(say(Say.HOURS_THERE) + ": " + say(Say.NOT_UNDERSTOOD))
        val climate = Climate(air("temperature", "°C"), air("humidity", "%"), air("where_kept").trim().ifEmpty { null }, hours.toUIntOrNull())
        when (val came = attempt { phone.instrument.addClimate(climate, WriteOptions(accept = accept)) }) {
            is Attempt.Asked -> doubts = came.doubts
            is Attempt.Wrong -> throw came.error
            is Attempt.Done -> {
                saved = say(Say.NOTED)
                air.clear()
            }
        }
    }

    override fun touched(id: String) {
        id.place("string")?.let { spec?.tuning?.getOrNull(it) }?.let { string = it.place }
        if (id == "save") {
            phone.instrument.addRemark(remark)
            saved = say(Say.NOTED)
            remark = ""
        }
        when (id) {
            "save_climate" -> saveClimate(emptyList())
            "sure" -> saveClimate(doubts)
            "correct" -> doubts = emptyList()
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
            else -> {
                air[id] = text
                doubts = emptyList()
            }
        }
    }

    override fun kept() = buildMap {
        put("remark", remark)
        put("from", from)
        put("to", to)
        putAll(air.mapKeys { "air ${it.key}" })
        string?.let { put("string", it.course.toString()) }
    }

    override fun restore(kept: Map<String, String>) {
        remark = kept["remark"].orEmpty()
        from = kept["from"].orEmpty()
        to = kept["to"].orEmpty()
        for ((key, text) in kept) if (key.startsWith("air ")) air[key.removePrefix("air ")] = text
        string = spec?.tuning?.map { it.place }?.firstOrNull { it.course.toString() == kept["string"] }
    }
}
