package fallaway.app

import fallaway.AcceptedValues
import fallaway.FallawayException
import fallaway.NothingAccepted

/** One screen: what it shows, and what a tap or a typed text does. It decides everything; what draws it nothing. */
abstract class Screen(internal val phone: Phone) {
    /** Names it, for the way back after the process was ended. */
    abstract val name: String

    /** Whether it is one of the screens between which an instrument's tabs switch. */
    open val tab: Boolean get() = false

    /** What went wrong last, in words, until it is put aside. */
    private var problem: String? = null

    /** What it rests on and nobody has read or written yet, in words: without that there is nothing else on it. */
    private var missing: String? = null

    /** Whether something on it writes into the record: whoever may only read sees it without that, see [forReader]. */
    protected open val writes: Boolean get() = false

    /** An element as somebody sees it who may only read; `null` if it is nothing for them. */
    protected open fun forReader(one: Element): Element? = one

    /** Reads from the core what is shown, in one call at most. */
    abstract fun load()

    /** What stands on it, in the order of reading. */
    protected abstract fun body(): List<Element>

    /** A tap on an element. */
    protected abstract fun touched(id: String)

    /** A text was typed into a field, or a slider moved. */
    protected open fun typed(id: String, text: String) = Unit

    /** The person went back from it. */
    open fun left() = Unit

    /** What was typed and not yet saved, to be given to [restore] after the process was ended. */
    protected open fun kept(): Map<String, String> = emptyMap()

    /** Takes back what [kept] gave, once it is loaded. */
    protected open fun restore(kept: Map<String, String>) = Unit

    /** What [keeping] gave before the process was ended, until it is taken back. */
    private var before: Map<String, String>? = null

    /** See [kept]; what could not be taken back yet is kept on. */
    fun keeping(): Map<String, String> = before ?: kept()

    /** Takes back what [keeping] gave when the screen is loaded next: it may lie beneath another one. */
    fun goOn(kept: Map<String, String>) {
        before = kept.takeIf { it.isNotEmpty() }
    }

    /** Everything on it. */
    fun elements(): List<Element> {
        val body = body().let { if (writes && phone.readsOnly) read(it) else it } + first()
        val wrong = problem ?: return body
        val banner = listOf(
            Element("problem", Role.BANNER, wrong),
            Element("problem.close", Role.BUTTON, phone.say(Say.CLOSE)),
        )
        return body.take(1) + banner + body.drop(1)
    }

    /** What is missing, and the ways to it. */
    private fun first(): List<Element> {
        val said = Element("missing", Role.TEXT, missing ?: return emptyList())
        val ways = listOf(button("first.facts", Say.FACTS), button("first.read", Say.READ_NOW, main = true))
        return listOf(said) + if (phone.readsOnly) emptyList() else ways
    }

    private fun read(body: List<Element>): List<Element> {
        val left = body.drop(1).mapNotNull(::forReader)
        return body.take(1) + Element("reads_only", Role.BANNER, say(Say.READS_ONLY), detail = say(Say.READS_ONLY_ABOUT)) + left
    }

    /** See [touched]; what the core refuses is shown, in its words. */
    fun tap(id: String) = tried {
        // What is saved once more is refused once more, or was put right.
        if (id == "problem.close" || id == "save") problem = null
        when (id) {
            "problem.close" -> Unit
            "first.facts" -> phone.go(Facts(phone))
            "first.read" -> phone.readNow()
            else -> touched(id)
        }
    }

    /** See [typed]. */
    fun type(id: String, text: String) = tried { typed(id, text) }

    /** Loads it, and shows what the core refuses. */
    fun loaded() = tried {
        missing = null
        try {
            load()
            before?.let(::restore)
            before = null
        } catch (refused: FallawayException.BadInput) {
            if (refused.values != AcceptedValues.Nothing(NothingAccepted.UNWRITTEN)) throw refused
            missing = refused.reason.sentence() + "."
        }
    }

    /** Runs something for it, and shows what the core refuses. */
    fun tried(what: () -> Unit) {
        try {
            what()
        } catch (refused: FallawayException) {
            problem = refused.text().sentence()
        }
    }

    /** Shows a sentence as what went wrong. */
    protected fun show(text: String) {
        problem = text
    }

    internal fun say(what: Say, vararg with: Any) = phone.say(what, *with)

    protected fun heading(what: Say, vararg with: Any) = heading("title", say(what, *with))

    protected fun heading(id: String, text: String) = Element(id, Role.HEADING, text)

    protected fun button(id: String, what: Say, main: Boolean = false) = Element(id, Role.BUTTON, say(what), main = main)

    protected fun choice(id: String, text: String, chosen: Boolean) =
        Element(id, Role.CHOICE, text, state = if (chosen) say(Say.CHOSEN) else null, chosen = chosen)

    /** What stands in a field, as a line. */
    protected fun line(field: Element): Element? =
        field.copy(role = Role.ROW, touch = false, chosen = false).takeIf { !it.value.isNullOrEmpty() }

    protected fun toggle(id: String, what: Say, on: Boolean) =
        Element(id, Role.TOGGLE, say(what), state = say(if (on) Say.ON else Say.OFF), chosen = on)
}

/** The number behind the last dot of an id: 2 of "line.2", counted from 1; `null` if it begins otherwise. */
internal fun String.place(before: String): Int? =
    takeIf { it.startsWith("$before.") }?.removePrefix("$before.")?.toIntOrNull()?.minus(1)

/** A text as the beginning of a line. */
internal fun String.sentence(): String = replaceFirstChar { it.uppercaseChar() }
