package fallaway.app

import fallaway.InstrumentSummary
import fallaway.TemplateInfo
import fallaway.templates

/** The instruments of this device: first those with values to settle, then those with work, then the one used last. */
class Instruments(phone: Phone) : Screen(phone) {
    override val name = "instruments"
    private var all = emptyList<InstrumentSummary>()
    private var search = ""

    /** Those that are alike in all of it stay by name, as the core has them. */
    override fun load() {
        all = phone.workshop.instruments().sortedWith(
            compareByDescending<InstrumentSummary> { it.contested > 0u }
                .thenByDescending { it.openWork > 0u || it.due != null }
                .thenByDescending { it.lastEntry?.unixS ?: 0 },
        )
    }

    private fun shown() = all.filter { it.name.contains(search.trim(), ignoreCase = true) }

    override fun body() = buildList {
        add(heading(Say.INSTRUMENTS))
        if (all.isEmpty()) add(Element("empty", Role.TEXT, say(Say.NO_INSTRUMENT)))
        if (all.size >= SEARCHED) add(Element("search", Role.FIELD, say(Say.SEARCH), value = search))
        shown().forEachIndexed { at, one ->
            val last = one.lastEntry
            add(
                Element(
                    "instrument.${at + 1}", Role.ROW, one.name,
                    detail = if (last == null) say(Say.NOTHING_YET) else say(Say.LAST_ENTRY, phone.day(last)),
                    state = waits(one),
                    touch = true, chosen = one.id == phone.openOverList,
                ),
            )
        }
        if (all.isNotEmpty() && shown().isEmpty()) add(Element("none", Role.TEXT, say(Say.NONE_FOUND, search)))
        add(button("add", Say.ADD_INSTRUMENT, main = all.isEmpty()))
        add(button("join", Say.JOIN_INSTRUMENT))
        add(button("settings", Say.SETTINGS))
    }

    private fun waits(one: InstrumentSummary): String? {
        val due = one.due
        return when {
            one.contested > 0u -> phone.count(Count.TWO_VALUES, one.contested.toInt())
            one.openWork > 0u -> phone.count(Count.OPEN_WORK, one.openWork.toInt())
            due != null -> say(Say.DUE_SINCE, phone.day(due))
            one.setAside > 0u -> phone.count(Count.ASIDE, one.setAside.toInt())
            one.waiting > 0u -> phone.count(Count.WAITING, one.waiting.toInt())
            else -> null
        }
    }

    override fun touched(id: String) {
        when (id) {
            "add" -> phone.go(Add(phone))
            "join" -> phone.go(Join(phone))
            "settings" -> phone.go(Settings(phone))
            else -> id.place("instrument")?.let { shown().getOrNull(it) }?.let { phone.open(it.id) }
        }
    }

    override fun typed(id: String, text: String) {
        if (id == "search") search = text
    }

    override fun kept() = mapOf("search" to search)

    override fun restore(kept: Map<String, String>) {
        search = kept["search"].orEmpty()
    }

    private companion object {
        /** From so many on, a list is searched and not read. */
        const val SEARCHED = 8
    }
}

/** A new instrument, from one of the core's templates. */
class Add(phone: Phone) : Screen(phone) {
    override val name = "add"
    private var all = emptyList<TemplateInfo>()
    private var template = ""
    private var called = ""

    override fun load() {
        all = templates()
        if (template.isEmpty()) template = all.firstOrNull()?.id.orEmpty()
    }

    override fun body() = buildList {
        add(heading(Say.ADD_INSTRUMENT))
        add(Element("name", Role.FIELD, say(Say.ITS_NAME), value = called))
        for (one in all) {
            add(choice("template.${one.id}", one.name, one.id == template).copy(detail = one.summary))
        }
        add(button("save", Say.ADD, main = true))
    }

    override fun touched(id: String) {
        if (id.startsWith("template.")) template = id.removePrefix("template.")
        if (id == "save") {
            val added = phone.workshop.addInstrument(template, called.trim()).use { it.id() }
            phone.openFromList(added)
        }
    }

    override fun typed(id: String, text: String) {
        if (id == "name") called = text
    }

    override fun kept() = mapOf("template" to template, "name" to called)

    override fun restore(kept: Map<String, String>) {
        template = kept["template"] ?: template
        called = kept["name"].orEmpty()
    }
}
