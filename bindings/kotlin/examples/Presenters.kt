// What the screens of a phone app show, without a view. A screen collects a flow; a button calls the workshop
// or the instrument itself: `bass.done(step.id)`, `bass.settle(field, version.id)`, `workshop.bundleIn(bytes)`.
// Only what keeps something between two touches has a class of its own. The tests drive all of it.
package bench

import fallaway.*
import kotlinx.coroutines.flow.MutableStateFlow

/** Everything that is drawn, one call a screen. */
class Screens(workshop: SuspendingWorkshop, bass: SuspendingInstrument, setup: SetupId) {
    val list = workshop.drawn { workshop.instruments() }
    val card = workshop.drawn { bass.card(setup) }
    val form = workshop.drawn { bass.usualReadings() }
    val plan = workshop.drawn { bass.planDrawn(setup) }
    val changed = workshop.drawn { bass.changesDrawn(Occasion.Setup(setup), Occasion.Today) }
    val learned = workshop.drawn { bass.learned() }
    val facts = workshop.drawn { bass.details() }
    val people = workshop.drawn { bass.details().people }
    val twoValues = workshop.drawn { bass.contested() }
    val chart = workshop.drawn { bass.series(Quantity.relief(1, 24)) }
    val unsent = workshop.drawn { bass.unsent() }
    val sheet = workshop.drawn { bass.sheet(SheetKind.CUSTOMER) }
    val work = workshop.drawn { workshop.openWork() }
    val settings = workshop.drawn { workshop.preferences() }
}

/** The keypad: what looks like a slip is asked about before it is saved. */
class Keypad(private val bass: SuspendingInstrument, val quantity: Quantity, val tool: Tool? = null) {
    val typed = MutableStateFlow("")

    suspend fun save(yes: List<Doubt> = emptyList()) =
        attempt { bass.addPassText(quantity, typed.value, tool, options = WriteOptions(accept = yes)) }
}

/** The history, page by page, the newest first. */
class History(private val bass: SuspendingInstrument) {
    val entries = MutableStateFlow<List<HistoryEntry>>(emptyList())

    suspend fun more() {
        val page = HistoryFilter(before = entries.value.lastOrNull()?.id, last = 30u)
        entries.value += bass.history(page).reversed()
    }
}

/** A notebook: looked at cell by cell, then brought in. */
class Notebook(private val bass: SuspendingInstrument, private val table: String) {
    suspend fun look() = bass.checkTable(table)

    suspend fun bringIn(yes: List<Doubt>) = attempt { bass.importTable(table, ImportOptions(accept = yes)) }
}

/** What if all saddles were higher by so much: a question at each move of the slider. */
class Slider(private val bass: SuspendingInstrument, private val touch: Touch) {
    private lateinit var model: SuspendingClearanceModel

    suspend fun open() = bass.clearanceModel(touch).also { model = it }.opened

    suspend fun at(riseMm: Double) = model.ask(touch, ClearanceWhatIf(saddleRisesMm = listOf(riseMm)))
}
