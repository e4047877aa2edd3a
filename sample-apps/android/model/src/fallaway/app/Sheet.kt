package fallaway.app

import fallaway.SheetKind
import fallaway.SheetTexts

/** A page to hand over: to whoever takes the instrument home, or to whoever sets it up next. */
class Sheet(phone: Phone) : Screen(phone) {
    override val name = "sheet"
    private var kind = SheetKind.CUSTOMER
    private var page: SheetTexts? = null

    override fun load() {
        page = null
        page = phone.instrument.sheet(kind, null, phone.setup, null)
    }

    override fun body() = buildList {
        add(heading(Say.SHEET))
        add(choice("kind.customer", say(Say.SHEET_FOR_OWNER), kind == SheetKind.CUSTOMER))
        add(choice("kind.bench", say(Say.SHEET_FOR_BENCH), kind == SheetKind.BENCH))
        val page = page ?: return@buildList
        add(button("send", Say.SEND_THE_SHEET, main = true))
        add(Element("of", Role.TEXT, page.title, detail = page.subtitle))
        var begins = false
        // The first two lines are the title and what is below it.
        page.text.lines().drop(2).forEachIndexed { at, line ->
            val id = "line.${at + 1}"
            when {
                line.isBlank() -> begins = true
                begins -> add(heading(id, line)).also { begins = false }
                line.startsWith("! ") -> add(Element(id, Role.CAUTION, line.drop(2)))
                else -> add(Element(id, Role.TEXT, line.removePrefix("- ").trim().sentence()))
            }
        }
    }

    override fun touched(id: String) {
        when (id) {
            "kind.customer" -> turnTo(SheetKind.CUSTOMER)
            "kind.bench" -> turnTo(SheetKind.BENCH)
            "send" -> page?.let { phone.share(FILE, it.html.toByteArray()) }
        }
    }

    private fun turnTo(wanted: SheetKind) {
        kind = wanted
        load()
    }

    override fun kept() = mapOf("kind" to kind.name)

    override fun restore(kept: Map<String, String>) {
        SheetKind.entries.firstOrNull { it.name == kept["kind"] }?.let(::turnTo)
    }

    private companion object {
        /** What the page is called that goes to other people. */
        const val FILE = "set-up.html"
    }
}
