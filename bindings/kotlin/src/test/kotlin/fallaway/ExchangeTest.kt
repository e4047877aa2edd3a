package fallaway

import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Two devices and nothing between them but files. */
class ExchangeTest {
    @Test
    fun `what two devices wrote apart ends equal on both`(): Unit = TwoDevices().use { pair ->
        assertEquals("walnut bass", pair.shared.name())
        pair.bass.addRemark("fret 3 is worn")
        pair.shared.addRemark("buzzes on the E string")
        val report = pair.tech.bundleIn(pair.shared.bundleUnsent()!!.file)
        assertEquals(listOf("player"), report.added.map { it.device })
        pair.exchange()
        assertEquals(pair.bass.details().historyDigest, pair.shared.details().historyDigest)
        assertEquals(
            pair.bass.history(HistoryFilter()).map { it.text }.sorted(),
            pair.shared.history(HistoryFilter()).map { it.text }.sorted(),
        )
        assertEquals(setOf("tech", "player"), pair.shared.details().people.map { it.label }.toSet())
    }

    @Test
    fun `an invitation shows what it is before it is accepted`(): Unit = workshop().use { tech ->
        val given = tech.walnutBass().invite(Role.VIEWER, 3u)
        val invitation = lookAtInvitation(given.words, given.welcome)
        assertEquals("walnut bass", invitation.name)
        assertEquals(Role.VIEWER, invitation.role)
        assertEquals(tech.device().fingerprint, invitation.inviterFingerprint)
    }

    @Test
    fun `an invitation that was withdrawn is open no more and lets nobody in`(): Unit = workshop().use { tech ->
        val bass = tech.walnutBass()
        val given = bass.invite(Role.CONTRIBUTOR, 7u)
        assertEquals(listOf(given.id), bass.openInvitations().map { it.id })
        bass.withdraw(given.id)
        assertTrue(bass.openInvitations().isEmpty())
        val again = refused<FallawayException.NotFound> { bass.withdraw(given.id) }
        assertEquals(NotFoundKind.INVITATION, again.what)
        workshop().use { player ->
            refused<FallawayException.Refused> { player.accept(given.words, bass.bundleOut().file) }
        }
    }

    @Test
    fun `two targets written apart are kept until somebody settles`(): Unit = TwoDevices().use { pair ->
        fun target(mm: String) =
            NewTarget(relief, Location.Whole, Entered("$mm mm"), Entered("0.05 mm"))
        pair.bass.setTarget(SetupId("stage"), target("0.25"))
        pair.shared.setTarget(SetupId("stage"), target("0.35"))
        val first = pair.shared.bundleOut().file
        pair.shared.setTarget(SetupId("stage"), target("0.40"))
        val second = pair.shared.bundleOut().file
        val report = pair.tech.bundleIn(first)
        assertEquals(1, report.newlyContested.size)
        val contested = pair.bass.contested().single()
        assertEquals(listOf("player", "tech"), contested.versions.map { it.device }.sorted())
        assertEquals(1u, pair.tech.instruments().single().contested)

        // The player had changed their mind: what was shown is no longer what there is.
        pair.tech.bundleIn(second)
        val keep = contested.versions.first { it.device == "tech" }
        val changed = refused<FallawayException.Contested> { pair.bass.settle(contested, keep.id) }
        assertTrue(changed.text().contains("newer values have arrived"))

        val again = pair.bass.contested().single()
        pair.bass.settle(again, again.versions.first { it.device == "tech" }.id)
        pair.exchange()
        assertTrue(pair.bass.contested().isEmpty())
        assertTrue(pair.shared.contested().isEmpty())
        val target = pair.shared.setups().single().targets.first { it.quantity == relief }
        assertEquals("0.25 mm", target.wanted.text)
    }

    @Test
    fun `bytes that were altered are set aside and harm nothing`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("one")
        val sound = pair.shared.bundleOut().file
        val before = pair.bass.details().historyDigest
        // The last bytes are in the last bundle: the others may be taken, that one never.
        val altered = sound.copyOf().also { it[it.size - 20] = (it[it.size - 20].toInt() xor 1).toByte() }
        try {
            val report = pair.tech.bundleIn(altered)
            assertEquals(1, report.refused.size, report.toString())
            assertTrue(report.refused.single().reason.isNotEmpty())
        } catch (refused: FallawayException.Refused) {
            assertTrue(refused.reason.isNotEmpty())
        }
        assertEquals(before, pair.bass.details().historyDigest)
        // The same file, sound, is taken afterwards.
        pair.tech.bundleIn(sound)
        assertEquals(pair.bass.details().historyDigest, pair.shared.details().historyDigest)
    }

    @Test
    fun `progress is told, and stops a call that then leaves nothing behind`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("one")
        val bundle = pair.shared.bundleOut().file
        val before = pair.bass.details().historyDigest
        val stop = object : ProgressListener {
            override fun at(done: ULong, total: ULong): ControlFlow = ControlFlow.BREAK
        }
        refused<FallawayException.Cancelled> { pair.tech.bundleIn(bundle, stop) }
        assertEquals(before, pair.bass.details().historyDigest)

        val steps = mutableListOf<Pair<ULong, ULong>>()
        val watch = object : ProgressListener {
            override fun at(done: ULong, total: ULong): ControlFlow {
                steps += done to total
                return ControlFlow.CONTINUE
            }
        }
        pair.tech.bundleIn(bundle, watch)
        assertTrue(steps.isNotEmpty())
        assertEquals(pair.bass.details().historyDigest, pair.shared.details().historyDigest)
    }
}

