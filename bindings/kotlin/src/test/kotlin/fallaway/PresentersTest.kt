package fallaway

import bench.History
import bench.Keypad
import bench.Notebook
import bench.Screens
import bench.Slider
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.flow.first
import kotlinx.coroutines.flow.toList
import kotlinx.coroutines.runBlocking
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertInstanceOf
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** The example with the presenters of a phone app (`examples/Presenters.kt`). */
class PresentersTest {
    private suspend fun read(bass: SuspendingInstrument, quantity: Quantity, tool: Tool, text: String) {
        val keypad = Keypad(bass, quantity, tool).apply { typed.value = text }
        assertInstanceOf(Attempt.Done::class.java, keypad.save(), text)
    }

    @Test
    fun `every screen draws, and its buttons do what they say`(): Unit = runBlocking {
        val workshop = workshop().on(Dispatchers.IO)
        val bass = workshop.addInstrument("bass-4", "walnut bass")
        val stage = SetupId("stage")
        val screens = Screens(workshop, bass, stage)
        assertEquals(listOf("walnut bass"), screens.list.first().map { it.name })

        read(bass, relief, Tool.FeelerThou, "12")
        read(bass, action, Tool.Rule64, "5 5 5 6")
        bass.takeSetup("stage")
        bass.endVisit()
        val lines = screens.card.first().lines
        assertTrue(lines.any { it.last?.value?.text == "12 thou" && it.target?.value?.text == "12 thou" })

        repeat(2) { read(bass, relief, Tool.FeelerThou, "20") }
        assertEquals(listOf("20 thou"), screens.form.first().first().before)
        val step = screens.plan.first().plan.next
        assertNotNull(step)
        assertEquals(relief, bass.done(step!!.id).thenMeasure.first().quantity)
        read(bass, relief, Tool.FeelerThou, "14")
        read(bass, action, Tool.Rule64, "5 5 5 6")
        assertTrue(screens.changed.first().changed.sentences.isNotEmpty())

        val keypad = Keypad(bass, relief, Tool.FeelerThou).apply { typed.value = "200" }
        val asked = assertInstanceOf(Attempt.Asked::class.java, keypad.save())
        assertEquals(1, asked.doubts.size)
        assertInstanceOf(Attempt.Done::class.java, keypad.save(yes = asked.doubts))
        assertInstanceOf(Attempt.Wrong::class.java, keypad.apply { typed.value = "many" }.save())
        val history = History(bass).apply { more() }
        bass.retract(history.entries.value.first().id, "a slip")

        assertEquals(4, screens.chart.first().size)
        assertTrue(screens.learned.first().sentences.isNotEmpty())
        assertEquals(4, Slider(bass, Touch(1.0, PluckDirection.TOWARD_BOARD)).apply { open() }.at(0.2).strings.size)
        workshop.setPreferences(workshop.preferences().copy(lowFirst = true))
        assertTrue(screens.settings.first().lowFirst)
        assertTrue(screens.sheet.first().html.contains("walnut bass"))
        assertTrue(screens.work.first().isEmpty())
        assertEquals(bass.unsent(), screens.unsent.first())
        assertEquals(0, screens.twoValues.first().size)
        val notebook = Notebook(bass, "date,relief (feeler 1 thou)\n2025-03-14,12\n")
        assertEquals(1, notebook.look().rows.toInt())
        assertInstanceOf(Attempt.Done::class.java, notebook.bringIn(emptyList()))

        assertEquals(1, screens.people.first().size)
        val other = workshop("player").on(Dispatchers.IO)
        val theirs = other.accept(bass.invite(Role.CONTRIBUTOR).words, bass.bundleOut().file)
        assertEquals("walnut bass", theirs.name())
        workshop.removeFromThisDevice(bass.handle.id)
        assertEquals(0, screens.list.first().size)
    }

    @Test
    fun `a screen on a stand-in draws what it was told`(): Unit = runBlocking {
        val workshop = object : SuspendingWorkshop {
            override suspend fun instruments(): List<InstrumentSummary> = emptyList()
        }
        assertEquals(listOf(emptyList<InstrumentSummary>()), workshop.drawn { workshop.instruments() }.toList())
    }

    @Test
    fun `a workshop in a folder takes a clock of its own`() = inFolder { folder ->
        val time = Ticking()
        Workshop.open(folder.toFile(), "tech", time = time).useThenShutDown { workshop ->
            val bass = workshop.addInstrument("bass-4", "walnut bass")
            bass.addRemark("on a day of its own")
            assertTrue(bass.history(HistoryFilter()).single { it.body is EntryBody.Remarked }.at.unixS < 1_800_000_000L)
        }
    }
}
