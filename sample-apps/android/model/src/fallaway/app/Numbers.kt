package fallaway.app

import fallaway.Card
import fallaway.CardLine
import fallaway.CardStanding
import fallaway.Location

/** The numbers of an instrument, to be read at arm's length in the dark. */
class Numbers(phone: Phone) : Screen(phone) {
    override val name = "numbers"
    override val tab get() = true
    private var card: Card? = null

    override fun load() {
        card = phone.instrument.card(phone.setup)
    }

    override fun body() = buildList {
        val card = card
        add(heading("title", card?.name.orEmpty()))
        if (card == null) return@buildList
        if (card.lines.any { it.standing == CardStanding.TWO_VALUES }) {
            add(Element("settle", Role.BANNER, say(Say.TWO_TARGETS), detail = say(Say.TAP_TO_SETTLE), touch = true))
        }
        if (card.setups.size > 1) {
            card.setups.forEachIndexed { at, one ->
                add(choice("setup.${at + 1}", one.name, one.id == card.setup?.id))
            }
        } else {
            card.setup?.let { add(Element("setup", Role.TEXT, say(Say.SETUP_NAMED, it.name))) }
        }
        if (card.lines.isEmpty()) {
            add(Element("empty", Role.TEXT, say(Say.NO_NUMBERS)))
            add(button("facts", Say.FACTS))
            add(button("read", Say.READ_NOW, main = true))
        }
        var quantity = ""
        var parts = 0
        card.lines.forEachIndexed { at, line ->
            if (line.quantityText != quantity) {
                quantity = line.quantityText
                parts++
                add(heading("quantity.$parts", quantity.sentence()))
            }
            add(number("line.${at + 1}", line))
        }
        card.readWhenText?.let { add(Element("last", Role.TEXT, it)) }
        add(toggle("stage", Say.STAGE, phone.look.stage))
    }

    private fun number(id: String, line: CardLine): Element {
        val target = line.target
        return Element(
            id, Role.NUMBER, if (line.location is Location.Whole) say(Say.THE_READING) else line.placeText,
            value = line.last?.value?.text ?: say(Say.NOT_READ),
            detail = target?.let { say(Say.TARGET_OF, it.value.text) },
            state = standing(line),
        )
    }

    private fun standing(line: CardLine): String? = when (line.standing) {
        CardStanding.WITHIN -> say(Say.ON_TARGET)
        CardStanding.SAME_AS_FAR_AS_READABLE -> say(Say.ON_TARGET_AS_READ)
        CardStanding.ABOVE -> say(Say.ABOVE)
        CardStanding.BELOW -> say(Say.BELOW)
        CardStanding.MEASURE_AGAIN -> say(Say.OUT_OF_DATE)
        CardStanding.TWO_VALUES -> say(Say.TWO_TARGETS_SHORT)
        CardStanding.NO_TARGET, CardStanding.NOT_READ, CardStanding.CANNOT_TELL, CardStanding.NEWER -> null
    }

    override fun touched(id: String) {
        when (id) {
            "settle" -> phone.go(Settle(phone))
            "read" -> phone.switch(Read(phone))
            "facts" -> phone.go(Facts(phone))
            "stage" -> phone.look = phone.look.copy(stage = !phone.look.stage)
            else -> id.place("setup")?.let { card?.setups?.getOrNull(it) }?.let {
                phone.setup = it.id
                load()
            }
        }
    }
}

/** What else there is of an instrument. */
class More(phone: Phone) : Screen(phone) {
    override val name = "more"
    override val tab get() = true

    override fun load() = Unit

    override fun body() = listOf(heading(Say.MORE)) + PAGES.map { (id, words) ->
        Element(id, Role.ROW, say(words), touch = true)
    }

    override fun touched(id: String) {
        when (id) {
            "note" -> phone.go(Note(phone))
            "changed" -> phone.go(Changed(phone))
            "clearance" -> phone.go(ClearanceSliders(phone))
            "settle" -> phone.go(Settle(phone))
            "setups" -> phone.go(Setups(phone))
            "strings" -> phone.go(Strings(phone))
            "facts" -> phone.go(Facts(phone))
            "sheet" -> phone.go(Sheet(phone))
            "photos" -> phone.go(Photos(phone))
            "people" -> phone.go(People(phone))
            "send" -> phone.go(Send(phone))
        }
    }

    private companion object {
        val PAGES = listOf(
            "note" to Say.NOTE,
            "changed" to Say.WHAT_CHANGED,
            "clearance" to Say.CLEARANCE,
            "setups" to Say.SETUPS,
            "settle" to Say.TWO_VALUES_TITLE,
            "strings" to Say.STRINGS,
            "facts" to Say.FACTS,
            "sheet" to Say.SHEET,
            "photos" to Say.PHOTOS,
            "people" to Say.PEOPLE,
            "send" to Say.SEND_AND_RECEIVE,
        )
    }
}
