package fallaway.app

import fallaway.MeetOptions
import fallaway.MeetReport

/**
 * Two phones in one room exchange all that they share, with no relay and no file: one shows six digits, the other one
 * types them. With an [invitation] this phone joins what the other one shares.
 */
class Meeting(phone: Phone, private var invitation: String? = null) : Screen(phone) {
    override val name = "meeting"
    private var typed = ""
    private var shows: String? = null
    private var waits = false
    private var nobody = false
    private var report: MeetReport? = null

    override fun load() = Unit

    override fun body() = buildList {
        add(heading(Say.MEETING))
        add(Element("about", Role.TEXT, say(Say.MEETING_ABOUT)))
        report?.let { came(it) }
        if (nobody) add(Element("nobody", Role.BANNER, say(Say.NOBODY_CAME)))
        if (waits) {
            shows?.let { add(Element("digits", Role.NUMBER, say(Say.DIGITS_TO_TYPE), value = it, varies = true)) }
            add(Element("waiting", Role.TEXT, say(Say.WAITING_FOR_PHONE)))
            add(button("stop", Say.STOP_WAITING))
            return@buildList
        }
        val ready = typed.trim().length == DIGITS
        add(button("show", Say.SHOW_DIGITS, main = report == null && !ready))
        add(Element("digits", Role.FIELD, say(Say.THE_DIGITS), value = typed, varies = typed.isNotEmpty()))
        if (ready) add(button("come", Say.MEET_NOW, main = true))
    }

    private fun MutableList<Element>.came(report: MeetReport) {
        // Of one instrument how it ended is how the meeting ended, and its first sentence names it.
        if (report.met.size != 1) add(Element("met", Role.BANNER, report.text.sentence()))
        report.met.forEachIndexed { at, one ->
            val said = one.sentences.map { it.sentence().removeSuffix(".") + "." }
            val role = if (report.met.size == 1) Role.BANNER else Role.ROW
            add(Element("met.${at + 1}", role, said.firstOrNull() ?: one.name, detail = said.drop(1).joinToString(" ").ifEmpty { null }))
        }
        addAll(came(report.met.flatMap { it.merges }))
        if (invitation != null && report.met.isNotEmpty()) add(button("open", Say.OPEN, main = true))
    }

    override fun touched(id: String) {
        when (id) {
            "show" -> {
                val digits = phone.workshop.meetingDigits()
                shows = digits
                meet(listens = true, digits)
            }
            "come" -> {
                shows = null
                meet(listens = false, typed.trim())
            }
            "stop" -> phone.nearby?.stop()
            "open" -> report?.met?.firstOrNull()?.let { phone.openFromList(it.instrument) }
        }
    }

    /** The person sees the screen meanwhile, and may go elsewhere: what has come stays. */
    private fun meet(listens: Boolean, digits: String) {
        val nearby = phone.nearby ?: return
        val options = MeetOptions(listens, digits, invitation = invitation)
        waits = true
        nobody = false
        report = null
        phone.effects.addLast(
            Effect.Apart {
                val met = runCatching {
                    (if (listens) nearby.listen(digits) else nearby.find(digits))?.use { phone.workshop.meet(it.stream, options) }
                }
                val then = {
                    waits = false
                    tried {
                        report = met.getOrThrow()
                        nobody = report == null
                        typed = ""
                    }
                }
                then
            },
        )
    }

    override fun left() {
        if (waits) phone.nearby?.stop()
    }

    override fun typed(id: String, text: String) {
        if (id == "digits") typed = text
    }

    override fun kept() = mapOf("digits" to typed) + invitation?.let { mapOf("invitation" to it) }.orEmpty()

    override fun restore(kept: Map<String, String>) {
        typed = kept["digits"].orEmpty()
        invitation = kept["invitation"]
    }

    private companion object {
        const val DIGITS = 6
    }
}
