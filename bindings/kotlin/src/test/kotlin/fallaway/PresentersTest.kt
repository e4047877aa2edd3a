package fallaway

import bench.CardScreen
import bench.ChangedScreen
import bench.ChartScreen
import bench.HistoryScreen
import bench.KeypadScreen
import bench.LearnedScreen
import bench.ListScreen
import bench.PeopleScreen
import bench.PlanScreen
import bench.SettingsScreen
import bench.ShareScreen
import bench.SliderScreen
import bench.TwoValuesScreen
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.flow.first
import kotlinx.coroutines.runBlocking
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** The example with the presenters of a phone app (`examples/Presenters.kt`). */
class PresentersTest {
    private suspend fun read(bass: SuspendingInstrument, quantity: Quantity, tool: Tool, text: String) {
        val keypad = KeypadScreen(bass, quantity, tool).apply { typed.value = text }
        assertTrue(keypad.save(), text)
    }

    @Test
    fun `every screen draws, and its buttons do what they say`(): Unit = runBlocking {
        val workshop = workshop().on(Dispatchers.IO)
        val list = ListScreen(workshop)
        val bass = list.add("bass-4", "walnut bass")
        assertEquals(listOf("walnut bass"), list.rows.first().map { it.name })

        read(bass, relief, Tool.FeelerThou, "12")
        read(bass, action, Tool.Rule64, "5 5 5 6")
        bass.takeSetup("stage")
        bass.endVisit()
        val card = CardScreen(workshop, bass, SetupId("stage")).lines.first()
        assertEquals("12 thou", card.first { it.wanted.isNotEmpty() && it.read == "12 thou" }.wanted)

        repeat(2) { read(bass, relief, Tool.FeelerThou, "20") }
        val plan = PlanScreen(workshop, bass, SetupId("stage"))
        val step = plan.plan.first().next
        assertNotNull(step)
        assertEquals(relief, plan.done(step!!).first().quantity)
        read(bass, relief, Tool.FeelerThou, "14")
        read(bass, action, Tool.Rule64, "5 5 5 6")
        assertTrue(ChangedScreen(workshop, bass, SetupId("stage")).changed.first().sentences.isNotEmpty())

        val keypad = KeypadScreen(bass, relief, Tool.FeelerThou).apply { typed.value = "200" }
        assertFalse(keypad.save())
        assertEquals(1, keypad.asked.value.size)
        assertTrue(keypad.save(yes = keypad.asked.value))
        val history = HistoryScreen(bass).apply { more() }
        history.crossOut(history.entries.value.first(), "a slip")

        assertEquals(4, ChartScreen(bass).points(relief, Location.Whole).size)
        assertTrue(LearnedScreen(workshop, bass).sentences.first().isNotEmpty())
        val slider = SliderScreen(bass.clearanceModel(), Touch(1.0, PluckDirection.TOWARD_BOARD))
        assertEquals(4, slider.at(0.2).strings.size)
        val settings = SettingsScreen(workshop)
        settings.keep(settings.shown().copy(lowFirst = true))
        assertEquals(0, TwoValuesScreen(workshop, bass).fields.first().size)

        val people = PeopleScreen(workshop, bass)
        assertEquals(1, people.people.first().size)
        val other = workshop("player").on(Dispatchers.IO)
        val theirs = other.accept(people.invite(Role.CONTRIBUTOR))
        ShareScreen(other, theirs).receive(ShareScreen(workshop, bass).send())
        assertEquals("walnut bass", theirs.name())
        list.takeOffThisDevice(list.rows.first().single())
        assertEquals(0, list.rows.first().size)
    }
}
