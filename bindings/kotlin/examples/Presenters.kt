// The presenters of a phone app: what each screen shows and what its buttons do, without a view. A screen
// collects the flow, a button launches the function; the tests drive them as they stand.
package bench

import fallaway.*
import java.time.Duration
import java.time.LocalDate
import java.time.ZonedDateTime
import kotlinx.coroutines.delay
import kotlinx.coroutines.flow.Flow
import kotlinx.coroutines.flow.MutableStateFlow
import kotlinx.coroutines.flow.conflate
import kotlinx.coroutines.flow.flow
import kotlinx.coroutines.flow.map
import kotlinx.coroutines.flow.merge
import kotlinx.coroutines.flow.onStart

/** Draws at once, again after every change, whoever made it, and at the turn of a day. */
fun <T> SuspendingWorkshop.drawn(draw: suspend () -> T): Flow<T> {
    val midnights = flow {
        while (true) {
            val now = ZonedDateTime.now()
            delay(Duration.between(now, LocalDate.now().plusDays(1).atStartOfDay(now.zone)).toMillis())
            emit(emptyList<InstrumentId>())
        }
    }
    return merge(changes(), midnights).onStart { emit(emptyList()) }.conflate().map { draw() }
}

class ListScreen(private val workshop: SuspendingWorkshop) {
    val rows = workshop.drawn { workshop.instruments() }

    suspend fun add(template: String, name: String) = workshop.addInstrument(template, name)

    suspend fun takeOffThisDevice(row: InstrumentSummary) = workshop.removeFromThisDevice(row.id)
}

class CardScreen(workshop: SuspendingWorkshop, private val bass: SuspendingInstrument, setup: SetupId?) {
    data class Line(val what: String, val read: String, val wanted: String, val standing: CardStanding)

    val lines = workshop.drawn {
        bass.card(setup).lines.map {
            val read = it.last?.value?.text ?: "–"
            Line("${it.quantityText} ${it.placeText}", read, it.target?.value?.text ?: "", it.standing)
        }
    }
}

/** The keypad: every key is checked, and what looks like a slip is asked about before it is saved. */
class KeypadScreen(private val bass: SuspendingInstrument, val quantity: Quantity, val tool: Tool) {
    val typed = MutableStateFlow("")
    val wrong = MutableStateFlow<String?>(null)
    val asked = MutableStateFlow<List<Doubt>>(emptyList())

    suspend fun save(yes: List<Doubt> = emptyList()): Boolean = try {
        bass.addPassText(quantity, typed.value, tool, options = WriteOptions(accept = yes))
        true
    } catch (question: FallawayException.Unsure) {
        asked.value = question.doubts
        false
    } catch (bad: FallawayException.BadInput) {
        wrong.value = bad.text()
        false
    }
}

class PlanScreen(workshop: SuspendingWorkshop, private val bass: SuspendingInstrument, setup: SetupId?) {
    val plan = workshop.drawn { bass.plan(setup) }

    /** What was proposed was done; what is to be measured next. */
    suspend fun done(step: PlanStep, turned: TurnDirection? = null) = bass.done(step.id, turned).thenMeasure

    suspend fun couldNot(step: PlanStep, reason: String) = bass.couldNot(step.id, reason)
}

class ChangedScreen(workshop: SuspendingWorkshop, bass: SuspendingInstrument, setup: SetupId) {
    val changed = workshop.drawn { bass.whatChanged(Occasion.Setup(setup), Occasion.Today) }
}

class HistoryScreen(private val bass: SuspendingInstrument) {
    val entries = MutableStateFlow<List<HistoryEntry>>(emptyList())

    suspend fun more() {
        val page = HistoryFilter(before = entries.value.lastOrNull()?.id, last = 30u)
        entries.value += bass.history(page).reversed()
    }

    suspend fun crossOut(entry: HistoryEntry, reason: String) = bass.retract(entry.id, reason)
}

class ChartScreen(private val bass: SuspendingInstrument) {
    /** Day and value of everything that was read of a quantity at a place. */
    suspend fun points(quantity: Quantity, at: Location) =
        bass.series(quantity, at).map { it.at.instant to it.value.value }
}

class NotebookScreen(private val bass: SuspendingInstrument) {
    /** What stands in the way, and what to ask, cell by cell. */
    suspend fun look(table: String) = bass.checkTable(table)

    suspend fun bringIn(table: String, yes: List<Doubt>) = bass.importTable(table, ImportOptions(accept = yes))
}

class TwoValuesScreen(workshop: SuspendingWorkshop, private val bass: SuspendingInstrument) {
    val fields = workshop.drawn { bass.contested() }

    suspend fun keep(field: ContestedField, version: ContestedVersion) = bass.settle(field, version.id)
}

class PeopleScreen(workshop: SuspendingWorkshop, private val bass: SuspendingInstrument) {
    val people = workshop.drawn { bass.details().people }

    suspend fun invite(role: Role) = bass.invite(role)
}

class ShareScreen(private val workshop: SuspendingWorkshop, private val bass: SuspendingInstrument) {
    suspend fun send(): ByteArray = bass.bundleOut().file

    suspend fun receive(bytes: ByteArray): MergeReport = workshop.bundleIn(bytes)
}

class SliderScreen(private val model: SuspendingClearanceModel, private val touch: Touch) {
    suspend fun at(riseMm: Double): ClearanceAnswer {
        val strings = model { basis() }.strings.size
        return model.ask(touch, ClearanceWhatIf(saddleRisesMm = List(strings) { riseMm }))
    }
}

class LearnedScreen(workshop: SuspendingWorkshop, bass: SuspendingInstrument) {
    val sentences = workshop.drawn { bass.learned().sentences }
}

class SettingsScreen(private val workshop: SuspendingWorkshop) {
    suspend fun shown() = workshop.preferences()

    suspend fun keep(wishes: Preferences) = workshop.setPreferences(wishes)
}
