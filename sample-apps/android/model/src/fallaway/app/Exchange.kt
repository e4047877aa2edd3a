package fallaway.app

import fallaway.HeldWork
import fallaway.MergeReport
import fallaway.SharingState
import fallaway.SyncReport
import fallaway.accept
import fallaway.bundleIn
import fallaway.lookAtInvitation

/** What goes to the others and comes from them: over a relay, or as files over whatever way there is. */
class Send(phone: Phone) : Screen(phone) {
    override val name = "send"
    private var state: SharingState? = null
    private var address = ""
    private var exchanging = false
    private var exchanged: SyncReport? = null

    override fun load() {
        state = phone.instrument.sharingState().also { phone.rights = it.role }
    }

    private val held: List<HeldWork> get() = state?.held.orEmpty()

    override fun body() = buildList {
        add(heading(Say.SEND_AND_RECEIVE))
        val state = state ?: return@buildList
        val unsent = state.unsent.toInt()
        val byRelay = phone.http != null && state.relay != null
        if (phone.http != null) overRelay()
        add(heading("files", say(Say.AS_FILES)))
        add(Element("unsent", Role.TEXT, if (unsent == 0) say(Say.ALL_SENT) else phone.count(Count.UNSENT, unsent)))
        if (unsent > 0) add(button("new", Say.SEND_NEW, main = !byRelay))
        add(button("all", Say.SEND_ALL))
        add(button("receive", Say.RECEIVE, main = unsent == 0 && !byRelay))
        add(Element("about", Role.TEXT, say(Say.SEND_ABOUT)))
        if (phone.nearby != null) add(button("meet", Say.MEETING))
        val devices = state.devices.filterNot { it.thisDevice }
        if (devices.isNotEmpty()) add(heading("devices", say(Say.WHO_HAS_WHAT)))
        devices.forEachIndexed { at, one ->
            val heard = one.lastHeard?.let { say(Say.HEARD_OF, phone.momentHere(it)) }
            add(Element("device.${at + 1}", Role.ROW, one.label, detail = one.text.sentence(), state = heard))
        }
        if (held.isNotEmpty()) heldAside()
    }

    /** What is kept beside the record: an owner can take it in. */
    private fun MutableList<Element>.heldAside() {
        add(heading("aside", say(Say.KEPT_ASIDE)))
        add(Element("aside.about", Role.TEXT, say(Say.KEPT_ASIDE_ABOUT)))
        held.forEachIndexed { at, one ->
            val much = listOf(Count.ENTRIES to one.entryCount, Count.VALUES to one.values).filter { it.second > 0u }
            val words = much.joinToString { (what, number) -> phone.count(what, number.toInt()) }
            add(Element("held.${at + 1}", Role.ROW, say(Say.FROM, one.device), detail = words.ifEmpty { null }, state = one.text))
            if (phone.rights == fallaway.Role.OWNER) add(Element("take.${at + 1}", Role.BUTTON, say(Say.TAKE_IN, one.device)))
        }
    }

    private fun MutableList<Element>.overRelay() {
        exchanged?.let { add(Element("exchanged", Role.BANNER, it.sentences.joinToString(" ") { one -> one.sentence() + "." })) }
        exchanged?.let { addAll(came(it.merges)) }
        val at = state?.relay
        if (at == null) {
            add(Element("address", Role.FIELD, say(Say.RELAY_ADDRESS), value = address))
            add(button("relay.use", Say.USE_RELAY))
        } else {
            add(Element("relay", Role.ROW, at.url, detail = at.text.sentence()))
            if (exchanging) add(Element("exchanging", Role.TEXT, say(Say.EXCHANGING))) else add(button("exchange", Say.EXCHANGE_NOW, main = true))
            add(button("relay.leave", Say.LEAVE_RELAY))
        }
    }

    override fun touched(id: String) {
        val instrument = phone.instrument
        when (id) {
            "new" -> instrument.bundleUnsent()?.let { out ->
                phone.share(People.FILE, out.file) { instrument.delivered(out.token) }
            }
            "all" -> instrument.bundleOut().let { out ->
                phone.share(People.FILE, out.file) { instrument.delivered(out.token) }
            }
            "receive" -> phone.effects.addLast(Effect.ChooseFile)
            "meet" -> phone.go(Meeting(phone))
            "exchange" -> exchange()
            "relay.use" -> {
                instrument.setRelay(address.trim())
                address = ""
                load()
            }
            "relay.leave" -> {
                instrument.setRelay(null)
                load()
            }
            else -> id.place("take")?.let(held::getOrNull)?.let {
                instrument.acceptHeld(it.fingerprint)
                load()
            }
        }
    }

    /** The instrument is opened anew for it: the person may go to another one while the relay answers. */
    private fun exchange() {
        val http = phone.http ?: return
        val id = phone.instrument.id()
        exchanging = true
        exchanged = null
        phone.effects.addLast(
            Effect.Apart {
                val came = runCatching { phone.workshop.instrument(id).use { it.sync(http, null) } }
                val then = {
                    exchanging = false
                    tried { exchanged = came.getOrThrow() }
                    loaded()
                }
                then
            },
        )
    }

    override fun typed(id: String, text: String) {
        if (id == "address") address = text
    }

    override fun kept() = mapOf("address" to address)

    override fun restore(kept: Map<String, String>) {
        address = kept["address"].orEmpty()
    }
}

/** What came in, whichever way: who joined and wrote what, what has two values now, and what was not taken. */
internal fun Screen.came(merges: List<MergeReport>): List<Element> = buildList {
    merges.flatMap { it.peopleAdded }.forEachIndexed { at, one -> add(Element("joined.${at + 1}", Role.ROW, say(Say.HAS_JOINED, one))) }
    merges.flatMap { it.secondUses }.forEachIndexed { at, one -> add(Element("second.${at + 1}", Role.CAUTION, one.text.sentence())) }
    merges.flatMap { it.added }.forEachIndexed { at, one ->
        val parts = one.entries.map { it.text } +
            if (one.values > 0u) listOf(phone.count(Count.VALUES, one.values.toInt())) else emptyList()
        add(Element("from.${at + 1}", Role.ROW, say(Say.FROM, one.device), detail = parts.joinToString().ifEmpty { null }))
    }
    val waits = merges.sumOf { it.waiting.toInt() }
    if (waits > 0) add(Element("waits", Role.TEXT, phone.count(Count.WAITING, waits)))
    merges.flatMap { it.newlyContested }.forEachIndexed { at, one ->
        add(Element("contested.${at + 1}", Role.BANNER, say(Say.TWO_VALUES_OF, one.label)))
    }
    merges.flatMap { it.aside }.forEachIndexed { at, one -> add(Element("aside.${at + 1}", Role.ROW, say(Say.KEPT_ASIDE), detail = one.text.sentence())) }
    merges.flatMap { it.refused }.forEachIndexed { at, one ->
        add(Element("refused.${at + 1}", Role.CAUTION, one.reason.sentence()))
    }
}

/** What a file brought. */
class Received(phone: Phone, private var bytes: ByteArray?) : Screen(phone) {
    override val name = "received"
    private var report: MergeReport? = null

    override fun load() {
        val file = bytes ?: return
        bytes = null
        report = phone.workshop.bundleIn(file)
    }

    override fun body() = buildList {
        add(heading(Say.RECEIVED))
        val report = report ?: return@buildList
        add(Element("into", Role.TEXT, say(Say.MERGED_INTO, report.name)))
        if (came(listOf(report)).isEmpty()) add(Element("nothing", Role.TEXT, say(Say.NOTHING_NEW)))
        addAll(came(listOf(report)))
        add(button("open", Say.OPEN, main = true))
    }

    override fun touched(id: String) {
        if (id == "open") report?.let { phone.openFromList(it.instrument) }
    }
}

/** Joins an instrument by the words of an invitation, read out or scanned, and a file. */
class Join(phone: Phone) : Screen(phone) {
    override val name = "join"
    private var words = ""
    private var file: ByteArray? = null
    private var invited: fallaway.InvitationInfo? = null

    override fun load() = Unit

    override fun body() = buildList {
        add(heading(Say.JOIN_INSTRUMENT))
        add(Element("about", Role.TEXT, say(Say.JOIN_ABOUT)))
        add(Element("words", Role.FIELD, say(Say.THE_WORDS), value = words, varies = words.isNotEmpty()))
        add(button("scan", Say.SCAN))
        add(button("file", Say.CHOOSE_FILE).copy(state = file?.let { say(Say.FILE_IS_HERE) }))
        invited?.let {
            add(Element("invited", Role.BANNER, say(Say.INVITED_TO, it.name), detail = say(Say.VALID_UNTIL, phone.day(it.expires))))
        }
        if (file != null && words.isNotBlank()) add(button("join", Say.JOIN, main = true))
        if (phone.nearby != null && words.isNotBlank()) add(button("meet", Say.MEETING))
    }

    /** The file that belongs to the words. */
    fun received(bytes: ByteArray) = tried {
        file = bytes
        look()
    }

    private fun look() {
        val bytes = file ?: return
        if (words.isNotBlank()) invited = lookAtInvitation(words.trim(), bytes)
    }

    override fun touched(id: String) {
        when (id) {
            "scan" -> phone.effects.addLast(Effect.Scan)
            "meet" -> phone.go(Meeting(phone, words.trim()))
            "file" -> phone.effects.addLast(Effect.ChooseFile)
            "join" -> file?.let { bytes ->
                val joined = phone.workshop.accept(words.trim(), bytes).use { it.id() }
                phone.openFromList(joined)
            }
        }
    }

    override fun typed(id: String, text: String) {
        if (id == "words") words = text
    }

    override fun kept() = mapOf("words" to words)

    override fun restore(kept: Map<String, String>) {
        words = kept["words"].orEmpty()
    }
}
