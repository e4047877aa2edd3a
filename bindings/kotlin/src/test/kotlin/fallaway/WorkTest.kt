package fallaway

import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** One device: what a technician does at the bench. */
class WorkTest {
    @Test
    fun `what is entered stands in the history as it was written`(): Unit = workshop().use { tech ->
        val bass = tech.addInstrument("bass-4", "walnut bass")
        assertEquals(listOf("walnut bass"), tech.instruments().map { it.name })
        assertEquals(bass.id, tech.instrumentNamed("walnut").id)

        val entry = bass.entry(bass.readAction("5 5 5 6"))
        val pass = (entry.body as EntryBody.Readings).taken
        assertEquals(listOf("5/64 in", "5/64 in", "5/64 in", "6/64 in"), pass.readings.map { it.reading.value.text })
        val first = pass.readings.first().reading.value
        assertTrue(first.isMeasured)
        assertEquals(EstimateUnit.MILLIMETRE, first.unit)
        // 5/64 of an inch of exactly 25.4 mm.
        assertEquals(5.0 / 64.0 * 25.4, first.value, 1e-9)
        assertNotNull(first.standardUncertainty)
        // The visit that the pass opened, and the pass.
        assertEquals(2, bass.history(HistoryFilter()).size)
    }

    @Test
    fun `a whole visit with everything that can be written down`(): Unit = workshop().use { tech ->
        val bass = tech.addInstrument("bass-4", "walnut bass")
        bass.beginVisit("too high")
        bass.addClimate(Climate(Entered("21 C"), Entered("48 %"), "bench", 24u))
        bass.addAdjustment(Adjustment(AdjustedPart.Rod, turns = 0.25, note = "to the right"))
        bass.addStringChange(StringChange(setName = "45 to 105"))
        bass.addTuning(TuningChange(changed = listOf(TunedString(StringPlace(4u), "D1"))))
        bass.addBuzz(BuzzNote(StringPlace(1u), 5u, 7u, "only when played hard"))
        val remark = bass.addRemark("worn at 3")
        assertEquals(RetractOutcome.ERASED, bass.retract(remark, "wrong instrument"))
        bass.endVisit()
        val kinds = bass.history(HistoryFilter()).map { it.body::class.simpleName }
        assertEquals(
            listOf("VisitBegun", "ClimateNoted", "Adjusted", "StringsChanged", "Tuned", "Buzzed", "VisitEnded"),
            kinds,
        )
        assertEquals(listOf("too high"), bass.visits().map { it.visit.purpose })
    }

    @Test
    fun `the plan names the next step with its turn, and what will be read`() {
        val clock = Ticking()
        workshop(clock = clock).use { tech ->
            val bass = tech.walnutBass()
            val settled = bass.plan(SetupId("stage")).next!!
            assertEquals(StepKind.AS_LEFT, settled.kind, "just set up: only the final numbers are left")
            bass.endVisit()
            // A damp summer later the neck has bowed by six thousandths.
            clock.goOn(days = 90)
            bass.readRelief("18")
            bass.readAction("6 6 6 7")
            val plan = bass.plan(SetupId("stage"))
            val next = plan.next!!
            assertEquals(StepKind.RELIEF, next.kind)
            assertFalse(next.settled)
            assertTrue(next in plan.openSteps)
            val work = (next.verdict as StepVerdict.Adjust).work
            assertEquals(PartWay.LESS_RELIEF, work.way)
            assertEquals("truss rod", work.moves.single().text)
            assertEquals(AdjustedPart.Rod, work.moves.single().part)
            assertTrue(next.cautions.any { it.hazard == Hazard.ROD_QUARTER || it.hazard == Hazard.ROD_TRY })
            assertTrue(plan.text.contains(next.title), plan.text)
        }
    }

    @Test
    fun `what changed is told of the neck and not of the strings that follow it`() {
        val clock = Ticking()
        workshop(clock = clock).use { tech ->
            val bass = tech.walnutBass()
            bass.endVisit()
            clock.goOn(days = 90)
            bass.readRelief("22")
            bass.readAction("6 6 6 7")
            val changed = bass.whatChanged(Occasion.Setup(SetupId("stage")), Occasion.Today)
            val neck = changed.parts.first { it.part == InstrumentPart.Neck }
            assertEquals(PartVerdict.MOVED, neck.verdict, changed.sentences.toString())
            // Ten thousandths of an inch, within what leaves and rule can tell.
            assertTrue(neck.lowMm!! < 0.254 && 0.254 < neck.highMm!!, neck.toString())
            val saddles = changed.parts.filter { it.part is InstrumentPart.Saddle }
            assertTrue(saddles.none { it.verdict == PartVerdict.MOVED }, changed.sentences.toString())
        }
    }

    @Test
    fun `clearance answers a question and a slider`(): Unit = workshop().use { tech ->
        val bass = tech.walnutBass()
        bass.addStringChange(
            StringChange(
                fitted = listOf(".045", ".065", ".085", ".105").mapIndexed { place, gauge ->
                    FittedString(StringPlace((place + 1).toUInt()), StringSpec(gauge = Entered("$gauge in")))
                },
            ),
        )
        val touch = Touch(1.0, PluckDirection.TOWARD_BOARD)
        val clearance = bass.clearance(touch)
        assertEquals(4, clearance.answer.strings.size)
        assertNotNull(clearance.answer.limiting)
        assertTrue(clearance.answer.caveat.isNotEmpty())
        bass.clearanceModel(touch).use { bench ->
            assertEquals(clearance.basis, bench.basis)
            val now = bench.opened
            assertEquals(clearance.answer, now)
            val higher = bench.ask(touch, ClearanceWhatIf(saddleRisesMm = List(4) { 0.5 }))
            now.strings.zip(higher.strings).forEach { (low, high) ->
                assertTrue(high.smallest.marginMm > low.smallest.marginMm, "a higher string has more room")
            }
        }
    }

    @Test
    fun `the numbers card has the setup's targets beside what was read`(): Unit = workshop().use { tech ->
        val card = tech.walnutBass().card(SetupId("stage"))
        assertEquals("walnut bass", card.name)
        assertEquals(listOf("stage"), card.setups.map { it.name })
        val line = card.lines.first { it.quantity == relief }
        val last = line.last!!
        assertEquals("12 thou", last.value.text)
        assertFalse(last.stale)
        assertEquals("12 thou", line.target!!.value.text)
    }

    @Test
    fun `an id that names itself, templates, tools and labels need no workshop`() {
        assertTrue(templates().any { it.id == "bass-4" })
        assertTrue(usualTools().any { it.label == "rule 1/64" })
        assertTrue(quantityLabel(action).contains("24"))
    }
}
