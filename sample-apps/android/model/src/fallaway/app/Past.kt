package fallaway.app

import fallaway.ContestedField
import fallaway.DrawingWidth
import fallaway.EntryBody
import fallaway.EntryKind
import fallaway.HistoryEntry
import fallaway.HistoryFilter
import fallaway.Scene
import fallaway.Shape
import fallaway.VersionId
import fallaway.WhatChanged

/** What moved since the setup was written down, and what does not explain it. */
class Changed(phone: Phone) : Screen(phone) {
    override val name = "changed"
    private var changed: WhatChanged? = null
    private var drawn: Scene? = null
    private var none = false

    override fun load() {
        val both = phone.instrument.changesSinceSetup(phone.setup, null, DrawingWidth.PHONE)
        none = both == null
        changed = both?.changed
        drawn = both?.scene
    }

    override fun body() = buildList {
        add(heading(Say.WHAT_CHANGED))
        if (none) add(Element("none", Role.TEXT, say(Say.NO_SETUP_YET)))
        val said = changed?.sentences.orEmpty()
        drawn?.takeIf { it.shows }?.let { add(drawing("drawing", it, besides = said)) }
        said.forEachIndexed { at, text -> add(Element("said.${at + 1}", Role.TEXT, text)) }
        changed?.cautions?.forEachIndexed { at, one -> add(Element("caution.${at + 1}", Role.CAUTION, one.text)) }
    }

    override fun touched(id: String) = Unit
}

/** A drawing of the core, and what it says in sentences, [besides] those that stand under it. */
internal fun drawing(id: String, scene: Scene, besides: List<String> = emptyList()) =
    Element(id, Role.DRAWING, scene.title, detail = (scene.sentences - besides.toSet()).joinToString(" "), scene = scene)

/** Whether it shows anything but words: those are read better as text. */
internal val Scene.shows get() = marks.any { it.shape !is Shape.Text }

/** The history, the newest first; what was wrong is crossed out and stays readable. */
class History(phone: Phone) : Screen(phone) {
    override val name = "history"
    override val tab get() = true
    override val writes get() = true

    override fun forReader(one: Element) = one.takeIf { it.id !in listOf("cross", "bring_back", "undo") }

    private enum class Only(val words: Say, val kinds: List<EntryKind>) {
        ALL(Say.EVERYTHING, emptyList()),
        READ(Say.READINGS, listOf(EntryKind.READINGS)),
        DONE(Say.WORK, listOf(EntryKind.ADJUSTED, EntryKind.STRINGS_CHANGED, EntryKind.TUNED)),
        SAID(Say.REMARKS, listOf(EntryKind.REMARKED, EntryKind.BUZZED, EntryKind.CLIMATE_NOTED)),
    }

    private var only = Only.ALL
    private var entries = emptyList<HistoryEntry>()
    private var older = false
    private var opened: HistoryEntry? = null
    private var drawn: Scene? = null
    private var draws = false

    override fun load() {
        entries = emptyList()
        page()
    }

    private fun page() {
        val filter = HistoryFilter(kinds = only.kinds, before = entries.lastOrNull()?.id, last = PAGE)
        val page = asked(filter)
        older = page.size == PAGE.toInt()
        entries = entries + page
    }

    /** The newest first. */
    private fun asked(filter: HistoryFilter): List<HistoryEntry> {
        val page = phone.instrument.historyPage(filter, draws, phone.setup, null, DrawingWidth.PHONE)
        phone.rights = page.role
        drawn = page.relief
        return page.entries.reversed()
    }

    override fun body() = buildList {
        add(heading(Say.HISTORY))
        Only.entries.forEach { add(choice("only.${it.name.lowercase()}", say(it.words), it == only)) }
        add(toggle("draw", Say.DRAW_RELIEF, draws))
        if (draws) {
            val scene = drawn?.takeIf { it.shows }
            val what = drawn?.title ?: say(Say.RELIEF)
            if (scene == null) {
                add(Element("not_drawn", Role.TEXT, what, value = say(Say.NOT_READ)))
            } else {
                add(heading("drawn", what))
                add(drawing("drawing", scene))
            }
        }
        if (entries.isEmpty()) add(Element("empty", Role.TEXT, say(Say.NOTHING_YET).sentence()))
        entries.forEachIndexed { at, one ->
            val here = one.id == opened?.id
            add(
                Element(
                    "entry.${at + 1}", Role.ROW, said(one),
                    detail = say(Say.WHO_AND_WHEN, one.who, phone.moment(one.at)),
                    state = if (one.retracted.isNotEmpty()) say(Say.CROSSED_OUT) else null,
                    touch = true, chosen = here,
                ),
            )
            if (here) {
                one.retracted.lastOrNull()?.let { add(Element("reason", Role.TEXT, say(Say.BECAUSE, it.reason))) }
                if (one.retracted.isEmpty()) add(button("cross", Say.CROSS_OUT)) else add(button("bring_back", Say.BRING_BACK))
            }
        }
        if (older) add(button("older", Say.SHOW_OLDER))
        if (entries.isNotEmpty() || only != Only.ALL) add(button("undo", Say.UNDO_LAST))
    }

    /** What somebody wrote stays as it was written. */
    private fun said(one: HistoryEntry) = if (one.body is EntryBody.Remarked) one.text else one.text.sentence()

    override fun touched(id: String) {
        when (id) {
            "older" -> page()
            "draw" -> {
                draws = !draws
                // Only the drawing is missing: the entries stay as far as they were read.
                if (draws && drawn == null) asked(HistoryFilter(last = 1u))
            }
            "undo" -> {
                phone.instrument.undo()
                load()
            }
            "cross" -> opened?.let {
                phone.instrument.retract(it.id, say(Say.A_SLIP))
                opened = null
                load()
            }
            "bring_back" -> opened?.let {
                phone.instrument.bringBack(it.id)
                opened = null
                load()
            }
            else -> {
                Only.entries.firstOrNull { id == "only.${it.name.lowercase()}" }?.let {
                    only = it
                    load()
                }
                id.place("entry")?.let(entries::getOrNull)?.let { opened = if (it.id == opened?.id) null else it }
            }
        }
    }

    override fun kept() = mapOf("only" to only.name, "draws" to draws.toString())

    override fun restore(kept: Map<String, String>) {
        val before = only to draws
        only = Only.entries.firstOrNull { it.name == kept["only"] } ?: only
        draws = kept["draws"] == "true"
        if (before != only to draws) load()
    }

    private companion object {
        const val PAGE = 30u
    }
}

/** Two values that people wrote apart: both stand until somebody chooses. */
class Settle(phone: Phone) : Screen(phone) {
    override val name = "settle"
    override val writes get() = true

    override fun forReader(one: Element) =
        if (one.role == Role.CHOICE) one.copy(role = Role.ROW, touch = false, chosen = false) else one.takeIf { it.id != "keep" }

    private var fields = emptyList<ContestedField>()
    private var chosen: VersionId? = null
    private var settled: String? = null

    override fun load() {
        val answer = phone.instrument.toSettle()
        fields = answer.fields
        phone.rights = answer.role
        if (fields.none { field -> field.versions.any { it.id == chosen } }) chosen = null
    }

    override fun body() = buildList {
        add(heading(Say.TWO_VALUES_TITLE))
        settled?.let { add(Element("settled", Role.BANNER, it)) }
        if (fields.isEmpty()) add(Element("none", Role.TEXT, say(Say.NOTHING_TO_SETTLE)))
        if (fields.isNotEmpty()) add(Element("about", Role.TEXT, say(Say.BOTH_ARE_KEPT)))
        fields.forEachIndexed { at, field ->
            add(heading("field.${at + 1}", field.label))
            field.versions.forEachIndexed { index, one ->
                val here = one.id == chosen
                add(
                    Element(
                        "value.${at + 1}.${index + 1}", Role.CHOICE, one.shown,
                        detail = say(Say.WHO_AND_WHEN, one.device, phone.momentHere(one.at)),
                        state = listOfNotNull(
                            say(Say.CHOSEN).takeIf { here },
                            say(Say.USED_UNTIL_SETTLED).takeIf { one.displayed },
                        ).joinToString().ifEmpty { null },
                        chosen = here,
                    ),
                )
            }
        }
        if (chosen != null) add(button("keep", Say.KEEP_THIS, main = true))
    }

    override fun touched(id: String) {
        if (id.startsWith("value.")) {
            val parts = id.split(".").drop(1).mapNotNull { it.toIntOrNull() }
            chosen = parts.firstOrNull()?.let { fields.getOrNull(it - 1) }?.versions?.getOrNull(parts.last() - 1)?.id
        }
        val keep = chosen
        if (id == "keep" && keep != null) {
            val field = fields.first { field -> field.versions.any { it.id == keep } }
            phone.instrument.settle(field, keep)
            settled = say(Say.SETTLED, field.label, field.versions.first { it.id == keep }.shown)
            load()
        }
    }

    override fun kept() = chosen?.let { mapOf("chosen" to it.text) }.orEmpty()

    override fun restore(kept: Map<String, String>) {
        val there = fields.flatMap { field -> field.versions.map { it.id } }
        chosen = there.firstOrNull { it.text == kept["chosen"] }
    }
}
