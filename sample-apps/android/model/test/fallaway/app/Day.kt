package fallaway.app

/** One thing that a person does with a phone; [look] records what it shows then. */
class Step(
    val phone: String,
    val does: String,
    val on: String = "",
    val with: String = "",
    val look: Boolean = false,
    val at: Long = 0,
)

/**
 * The scripted days of two phones: an instrument is set up, shared, wanted higher by one and lower by another,
 * and found again after a dry winter. Every number in it is invented.
 */
object Day {
    private const val MINUTES = 2L

    /** The steps, with the clock of each. */
    val steps: List<Step> = buildList {
        Telling(this).tell()
    }

    private class Telling(private val into: MutableList<Step>) {
        private var clock = 0L
        private var who = ""

        fun tell() {
            october()
            sharing()
            friday()
            saturday()
            january()
            february()
            march()
        }

        private fun on(phone: String, unixS: Long? = null) {
            who = phone
            unixS?.let { clock = it }
        }

        private fun add(does: String, on: String, with: String = "", look: Boolean = false) {
            clock += MINUTES * 60
            into += Step(who, does, on, with, look, clock)
        }

        private fun tap(vararg ids: String, look: Boolean = false) =
            ids.forEachIndexed { at, id -> add("tap", id, look = look && at == ids.lastIndex) }

        private fun type(id: String, text: String) = add("type", id, text)

        private fun look() = add("look", "", look = true)

        /** Types numbers on the digits, one for each string. */
        private fun numbers(vararg readings: String) = readings.forEachIndexed { at, reading ->
            for (sign in reading) tap("key." + (if (sign == '.') "point" else sign.toString()))
            if (at < readings.lastIndex) tap("key.next")
        }

        private fun read(quantity: String, vararg readings: String, look: Boolean = false) {
            tap("quantity.$quantity")
            numbers(*readings)
            tap("save", look = look)
        }

        private fun dial() = tap("tool", "tool.$DIAL")

        private fun october() {
            // 2025-10-06 09:00 +01:00
            on("tech", 1_759_737_600)
            look()
            tap("add", look = true)
            type("name", "blue five")
            tap("template.bass-5", "save", look = true)
            tap("facts", look = true)
            type("about", "walnut body, neck once reset")
            type("fits.rod", "5 mm hex")
            tap("floats", look = true)
            tap("floats", "save", look = true)
            tap("back")
            tap("tab.read", look = true)
            tap("tuned")
            tap("others", look = true)
            tap("quantity.1", "tool", look = true)
            tap("tool.$FEELER", "phase.found")
            numbers("0.58")
            look()
            tap("save", look = true)
            tap("quantity.2", "tool", "tool.$RULE", look = true)
            tap("key.6", "key.6", "key.7", "key.7", "key.8", look = true)
            tap("save", "phase.found", "tab.numbers", look = true)
            tap("tab.more", look = true)
            tap("setups")
            type("name", "stage")
            tap("add", look = true)
            type("target.1", "0.30 mm")
            type("within.1", "0.05 mm")
            for (string in 2..4) type("target.$string", "5/64 in")
            for (string in 5..6) type("target.$string", "6/64 in")
            type("within.2", "0.2 mm")
            tap("save", look = true)
            tap("back", "tab.plan", look = true)
            rod()
            saddles()
            tap("tab.read", "tuned", "phase.left")
            read("1", "0.31")
            tap("quantity.2")
            dial()
            numbers("1.93", "1.95", "1.93", "2.33", "2.31")
            tap("save", look = true)
            tap("tab.more", "setups", "take", look = true)
            tap("back", "tab.numbers", look = true)
        }

        private fun rod() {
            tap("why", look = true)
            tap("wait", look = true)
            tap("done", look = true)
            tap("tab.read", "tuned")
            read("1", "0.67", look = true)
            tap("sure", look = true)
            tap("tab.plan", look = true)
            tap("done", "tab.read", "tuned")
            read("1", "0.49")
            tap("tab.plan", "otherwise", look = true)
            tap("back", "done", "tab.read", "tuned")
            read("1", "0.31")
        }

        private fun saddles() {
            tap("tab.plan", look = true)
            tap("measure", look = true)
            tap("key.6", "key.6", "key.6", "key.7", "key.7", "save", "tab.plan", look = true)
            tap("raises", look = true)
            tap("could_not", look = true)
            tap("back", "done", look = true)
        }

        private fun sharing() {
            tap("tab.more", "people", look = true)
            tap("invite.contributor", look = true)
            tap("file")
            on("player")
            tap("join", look = true)
            add("hear", "words", "tech")
            add("receive", "", "tech", look = true)
            tap("join", look = true)
            tap("tab.more", "send", "all")
            on("tech")
            add("receive", "", "player", look = true)
            tap("open", "back", look = true)
        }

        private fun friday() {
            // 2025-10-10 20:00 +01:00
            on("player", 1_760_122_800)
            tap("back", "tab.numbers", "stage", look = true)
            tap("tab.more", "note", "string.5")
            type("from", "3")
            type("to", "5")
            type("remark", "played hard, near the neck")
            tap("save_buzz", look = true)
            type("remark", "second set: only at the third fret")
            tap("save", "back", "setups")
            type("target.6", "2.60 mm")
            tap("save", "back", "send", look = true)
            tap("new")
            type("address", "https://relay.example")
            tap("relay.use", look = true)
            tap("exchange", look = true)
            tap("relay.leave")
            on("tech")
            tap("instrument.1", "tab.more", "setups")
            type("target.6", "2.30 mm")
            tap("save", "back", "send", "new")
        }

        private fun saturday() {
            // 2025-10-11 10:00 +01:00
            on("tech", 1_760_173_200)
            add("receive", "", "player", look = true)
            on("player")
            add("receive", "", "tech")
            tap("open", look = true)
            tap("settle", look = true)
            tap("value.1.2", look = true)
            tap("keep", look = true)
            tap("back", "tab.more", "send", "new")
            on("tech")
            add("receive", "", "player", look = true)
            tap("open", "tab.read", "tuned")
            read("1", "0.31")
            tap("quantity.2", "key.same", "key.same", "key.same", "key.same", "key.same", look = true)
            tap("save", "tab.plan", look = true)
            tap("done", "tab.read", "tuned", "phase.left", "quantity.2", "cell.5")
            numbers("2.60")
            tap("save", look = true)
        }

        private fun january() {
            // 2026-01-20 09:00 +01:00
            on("tech", 1_768_896_000)
            tap("tab.numbers", look = true)
            tap("tab.read", "tuned", "phase.found")
            read("1", "0.60")
            read("2", "2.15", "2.17", "2.15", "2.55", "2.82")
            tap("tab.plan", look = true)
            tap("measure")
            numbers("0.60")
            tap("save", "tab.plan", look = true)
            tap("tab.more", "changed", look = true)
            tap("back", "tab.plan", "done", "tab.read", "tuned")
            read("1", "0.42")
            tap("tab.plan", look = true)
            tap("done", "tab.read", "tuned", "phase.left")
            read("1", "0.33")
            read("2", "1.95", "1.97", "1.95", "2.35", "2.62")
            tap("tab.plan", look = true)
            tap("tab.history", look = true)
            tap("only.done", "entry.1", look = true)
            tap("cross", look = true)
            tap("entry.1", "bring_back", look = true)
            tap("only.all", "draw", look = true)
            tap("tab.more", "strings", look = true)
            tap("back", "clearance", look = true)
            type("rise", "-0.5")
            look()
            tap("back", "sheet", look = true)
            tap("kind.bench", look = true)
            tap("send")
            tap("back", "send", look = true)
            tap("new")
            on("player")
            add("receive", "", "tech", look = true)
            tap("open", look = true)
            tap("tab.more", "people", look = true)
            tap("back", "back", "settings", look = true)
            tap("units.mm", "low_first", look = true)
            tap("units.as_read", "low_first")
            tap("back", look = true)
        }

        /** The player may only read for a while: what they wrote before they knew is kept aside, what writes is not offered. */
        private fun february() {
            // 2026-02-10 19:00 +01:00
            on("tech", 1_770_746_400)
            tap("back", "people", "person.2")
            tap("role.viewer", look = true)
            tap("back", "send", "new")
            on("player")
            tap("instrument.1", "tab.more", "note")
            type("remark", "a new strap")
            tap("save", "back", "send")
            tap("new", look = true)
            on("tech")
            add("receive", "", "player", look = true)
            tap("open", "back", look = true)
            tap("instrument.1", "tab.more", "send", look = true)
            tap("take.1", look = true)
            on("player")
            add("receive", "", "tech")
            tap("open", "tab.read", look = true)
            tap("tab.plan", look = true)
            tap("tab.history", "entry.1", look = true)
            tap("tab.more", "setups", look = true)
            tap("back", "settle", look = true)
            tap("back", "strings", look = true)
            tap("back", "facts", look = true)
            tap("back", "people", look = true)
            tap("back", "back")
            on("tech")
            tap("back", "people", "person.2", "role.contributor", "back", "send", "new")
            on("player")
            add("receive", "", "tech")
            tap("open", "tab.read", look = true)
            tap("tab.more", "send", "all")
            tap("back", "back")
            on("tech")
            add("receive", "", "player")
            tap("open", "back", "instrument.1", "tab.more", "send")
        }

        /** Both in one room: a photo, and a meeting in which it goes over. */
        private fun march() {
            // 2026-03-02 18:00 +01:00
            on("tech", 1_772_470_800)
            tap("back", "photos", look = true)
            type("caption", "crown of the seventh fret")
            tap("add")
            add("photograph", "", PHOTO, look = true)
            tap("back", "send", "meet", look = true)
            tap("show", look = true)
            on("player")
            tap("instrument.1", "tab.more", "photos", look = true)
            tap("back", "send", "meet")
            type("digits", "000000")
            tap("come", look = true)
            add("hear", "digits", "tech")
            look()
            tap("come", look = true)
            on("tech")
            add("see", "", look = true)
            tap("back", look = true)
            on("player")
            tap("back", look = true)
            tap("back", "photos", "photo.1", look = true)
            tap("cross", look = true)
        }
    }

    /** Grey bars, a PNG of 12 by 8 in hexadecimal digits: invented, as every number here. */
    private const val PHOTO =
        "89504e470d0a1a0a0000000d494844520000000c000000080800000000e88f412d000000474944415478da25c3a11100" +
            "310804c02b0c814020100804254744444444bc8848212f6e67162232060b54754e5698d95a6c70f7bdd91111e7702033" +
            "bf8f1355752f17bafb3dee1fcb802d414debe27d0000000049454e44ae426082"

    private const val RULE = 1
    private const val FEELER = 5
    private const val DIAL = 8
}
