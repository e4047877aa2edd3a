package fallaway.app

import fallaway.ChangeListener
import fallaway.HttpTransport
import fallaway.Instrument
import fallaway.InstrumentId
import fallaway.Moment
import fallaway.Role as Rights
import fallaway.SetupId
import fallaway.Workshop
import fallaway.written
import java.time.format.DateTimeFormatter
import java.util.Locale
import java.util.concurrent.atomic.AtomicBoolean

/** What the phone has to do for the app. */
sealed interface Effect {
    /** Offer a file to other apps; [Phone.handedOver] says that it went. */
    class Share(val name: String, val bytes: ByteArray) : Effect

    /** Let somebody choose a file; [Phone.receive] takes it. */
    data object ChooseFile : Effect

    /** Let somebody take or choose a photo, a JPEG or a PNG file; [Phone.photographed] takes it. */
    data object ChoosePhoto : Effect

    /** Read a code with the camera; [Phone.scanned] takes its text. */
    data object Scan : Effect

    /** Wait for the network, or for another phone, where nothing else waits; what the work answers is done then where everything is done. */
    class Apart(val work: () -> () -> Unit) : Effect
}

/**
 * How the whole app looks, chosen in the settings.
 *
 * @property size of the letters, in hundredths of what the phone asks for.
 */
data class Look(val stage: Boolean = false, val awake: Boolean = false, val locked: Boolean = false, val size: Int = 100)

/**
 * The app without a phone: its screens, one over the other, and what taps and texts do to them.
 *
 * Its calls block, and are made one after the other: on a phone by a thread of their own.
 *
 * @property workshop the instruments of this device.
 * @param texts the app's texts in a language, or in the phone's own.
 * @property now the phone's clock.
 * @property http the way to a relay; without one, everything goes as files.
 * @property nearby the way to a phone in the same room.
 */
class Phone(
    val workshop: Workshop,
    private val texts: (String?) -> Texts,
    val now: () -> Moment,
    val http: HttpTransport? = null,
    val nearby: Nearby? = null,
) {
    private val screens = ArrayDeque<Screen>()

    /** The instrument that is open. */
    private var open: Instrument? = null

    /** Which one that is. */
    private var openId: InstrumentId? = null

    /** The language that was chosen; `null` for the phone's own. */
    var language: String? = workshop.preferences().language
        private set

    /** What the app says in it. */
    private var spoken = texts(language)

    /** The setup that is looked at; `null` for the first. */
    var setup: SetupId? = null

    /** How it looks. */
    var look = Look()

    /** What the phone is to do now, taken away by whoever does it. */
    val effects = ArrayDeque<Effect>()

    /** What is done once a file went. */
    private var delivered: (() -> Unit)? = null

    /** Whether something was written since the list was read that stands beneath what is open, or beside it. */
    private val listIsOld = AtomicBoolean()

    /** What this device may do with what is open: the answer to a screen that writes says it. */
    var rights: Rights? = null
        internal set

    /** Whether it was invited to read, and not to write. */
    val readsOnly get() = rights == Rights.VIEWER

    /** Listens as long as the workshop is open. */
    private val listening = workshop.listen(
        object : ChangeListener {
            override fun changed(instruments: List<InstrumentId>) = listIsOld.set(true)
        },
    )

    init {
        start(Instruments(this))
    }

    /** The instrument that is open. */
    val instrument: Instrument get() = checkNotNull(open) { "no instrument is open" }

    /** The screen that is seen. */
    val screen: Screen get() = screens.last()

    /** Whether there is a way back within the app. */
    val deeper: Boolean get() = screens.size > 1

    /** What is on the screen, with the tabs of the instrument. */
    fun elements(): List<Element> = screen.elements() + if (screen.tab) tabs() else emptyList()

    /** The instrument that is open over the list; none where something else is. */
    val openOverList: InstrumentId? get() = openId.takeIf { screens.getOrNull(1)?.tab == true }

    /** The list of instruments, to stand beside what is open where there is room. */
    fun list(): List<Element> {
        if (listIsOld.getAndSet(false)) screens.first().loaded()
        return screens.first().elements()
    }

    /** A tap in the list that stands beside what is open. */
    fun tapInList(id: String) {
        while (deeper) screens.removeLast()
        screen.loaded()
        screen.tap(id)
    }

    /** A tap. */
    fun tap(id: String) {
        when (id) {
            "back" -> back()
            "tab.numbers" -> switch(Numbers(this))
            "tab.read" -> switch(Read(this))
            "tab.plan" -> switch(PlanSteps(this))
            "tab.history" -> switch(History(this))
            "tab.more" -> switch(More(this))
            else -> screen.tap(id)
        }
    }

    /** A text in a field, or the place of a slider. */
    fun type(id: String, text: String) = screen.type(id, text)

    /** One screen back. */
    fun back() {
        if (!deeper) return
        screens.removeLast().left()
        screen.loaded()
    }

    /** Shows a screen over this one. */
    fun go(next: Screen) {
        screens.addLast(next)
        next.loaded()
    }

    /** Shows a screen in the place of this one. */
    fun switch(next: Screen) {
        screens.removeLast()
        go(next)
    }

    /** Shows in the place of a page, and of the tab beneath it, where readings are entered. */
    internal fun readNow() {
        while (deeper && !screen.tab) screens.removeLast().left()
        switch(Read(this))
    }

    /** Opens an instrument at its numbers. */
    fun open(id: InstrumentId) {
        hold(id)
        go(Numbers(this))
    }

    /** Opens an instrument at its numbers, over the list alone. */
    fun openFromList(id: InstrumentId) {
        hold(id)
        while (deeper) screens.removeLast()
        // On a tablet it stays in sight, and there is one more in it, perhaps.
        screen.loaded()
        go(Numbers(this))
    }

    private fun hold(id: InstrumentId) {
        open?.close()
        open = null
        open = workshop.instrument(id)
        openId = id
        setup = null
        rights = null
    }

    /** Something changed, here or elsewhere: reads anew what is seen. */
    fun changed() = screen.loaded()

    /** Offers a file to other apps. */
    fun share(name: String, bytes: ByteArray, whenGone: () -> Unit = {}) {
        delivered = whenGone
        effects.addLast(Effect.Share(name, bytes))
    }

    /** The file was handed over. */
    fun handedOver() {
        val gone = delivered ?: return
        delivered = null
        screen.tried { gone() }
        screen.loaded()
    }

    /** A file came. */
    fun receive(bytes: ByteArray) {
        val here = screen
        if (here is Join) here.received(bytes) else go(Received(this, bytes))
    }

    /** A code was read. */
    fun scanned(text: String) {
        (screen as? Join)?.type("words", text)
    }

    /** A photo was taken or chosen. */
    fun photographed(bytes: ByteArray) {
        (screen as? Photos)?.took(bytes)
    }

    /** Speaks another language from now on; the phone's own if it is `null`. */
    internal fun speak(language: String?) {
        this.language = language
        spoken = texts(language)
    }

    /** A text of the app. */
    fun say(what: Say, vararg with: Any): String = spoken.text(what, with.toList())

    /** A text of the app that counts. */
    fun count(what: Count, number: Int): String = spoken.count(what, number)

    /** A moment, as the clock of whoever wrote it showed it. */
    fun moment(at: Moment): String = day(at) + " " + at.written.format(MINUTES)

    /** A moment that is known without the clock of whoever wrote it, on this phone's clock. */
    fun momentHere(at: Moment): String = moment(at.copy(offsetMin = now().offsetMin))

    /** A note as it is called in this language: what is B in English is H in German, and B flat is B. */
    fun note(name: String): String = when {
        name.startsWith("Bb") || name.startsWith("B♭") -> say(Say.B_FLAT) + name.drop(2)
        name.startsWith("B") -> say(Say.B_NATURAL) + name.drop(1)
        else -> name
    }

    /** A note as the core reads it, of what was typed in this language. */
    fun noteTyped(text: String): String {
        val (natural, flat) = say(Say.B_NATURAL) to say(Say.B_FLAT)
        return when {
            natural == "B" -> text
            text.startsWith(natural, ignoreCase = true) -> "B" + text.drop(natural.length)
            text.startsWith(flat, ignoreCase = true) && !text.startsWith("Bb") && !text.startsWith("B♭") -> "Bb" + text.drop(flat.length)
            else -> text
        }
    }

    /** A length that the core keeps as it was entered, with this language's signs and its word for inches. */
    fun written(length: String): String = length.replace(".", say(Say.DECIMAL_MARK)).replaceFirst(Regex("^-"), "−")
        .let { if (it.endsWith(" in")) it.dropLast(2) + say(Say.INCH) else it }

    /** The day of it. */
    fun day(at: Moment): String = at.written.run {
        say(Say.DATE, year.toString(), "%02d".format(Locale.ROOT, monthValue), "%02d".format(Locale.ROOT, dayOfMonth))
    }

    /** Where the app is and what was typed, to go on from after the process was ended. */
    fun kept(): Map<String, String> = buildMap {
        put("screens", screens.joinToString(" ") { it.name })
        openId?.let { put("instrument", it.text) }
        setup?.let { put("setup", it.text) }
        put("stage", look.stage.toString())
        put("awake", look.awake.toString())
        put("locked", look.locked.toString())
        put("size", look.size.toString())
        screens.forEachIndexed { depth, one ->
            for ((key, value) in one.keeping()) put("typed.$depth.$key", value)
        }
    }

    /** Goes on from what [kept] gave. */
    fun restore(kept: Map<String, String>) {
        look = Look(
            kept["stage"] == "true", kept["awake"] == "true", kept["locked"] == "true", kept["size"]?.toIntOrNull() ?: 100,
        )
        screens.clear()
        screens.addLast(Instruments(this))
        kept["instrument"]?.let { id ->
            screen.tried {
                hold(InstrumentId(id))
                setup = kept["setup"]?.let(::SetupId)
            }
        }
        kept["screens"].orEmpty().split(" ").forEachIndexed { depth, name ->
            val lies = if (depth == 0) screen else named(name) ?: return@forEachIndexed
            val typed = "typed.$depth."
            lies.goOn(kept.filterKeys { it.startsWith(typed) }.mapKeys { it.key.removePrefix(typed) })
            if (depth > 0) screens.addLast(lies)
        }
        // On a tablet the list stays in sight.
        listIsOld.set(deeper)
        screen.loaded()
    }

    private fun named(name: String): Screen? = when (name) {
        "add" -> Add(this)
        "join" -> Join(this)
        "meeting" -> Meeting(this)
        "settings" -> Settings(this)
        else -> if (open == null) null else ofInstrument(name)
    }

    private fun ofInstrument(name: String): Screen? = when (name) {
        "numbers" -> Numbers(this)
        "read" -> Read(this)
        "plan" -> PlanSteps(this)
        "otherwise" -> Otherwise(this)
        "could_not" -> CouldNotDo(this)
        "history" -> History(this)
        "more" -> More(this)
        "note" -> Note(this)
        "changed" -> Changed(this)
        "settle" -> Settle(this)
        "setups" -> Setups(this)
        "people" -> People(this)
        "photos" -> Photos(this)
        "send" -> Send(this)
        "clearance" -> ClearanceSliders(this)
        "strings" -> Strings(this)
        "facts" -> Facts(this)
        "sheet" -> Sheet(this)
        else -> null
    }

    private fun start(first: Screen) {
        screens.addLast(first)
        first.loaded()
    }

    private fun tabs(): List<Element> = listOf(
        "numbers" to Say.NUMBERS,
        "read" to Say.READ,
        "plan" to Say.PLAN,
        "history" to Say.HISTORY,
        "more" to Say.MORE,
    ).map { (name, word) ->
        val here = screen.name == name
        Element("tab.$name", Role.TAB, say(word), state = if (here) say(Say.CHOSEN) else null, chosen = here)
    }

    private companion object {
        val MINUTES: DateTimeFormatter = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT)
    }
}
