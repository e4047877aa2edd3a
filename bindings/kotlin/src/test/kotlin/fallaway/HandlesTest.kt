package fallaway

import java.util.concurrent.CountDownLatch
import java.util.concurrent.Executors
import java.util.concurrent.Future
import java.util.concurrent.TimeUnit.SECONDS
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Closing, shutting down, and several threads. */
class HandlesTest {
    @Test
    fun `a closed handle says so, and the others go on`(): Unit = workshop().use { tech ->
        val bass = tech.walnutBass()
        bass.close()
        bass.close()
        refused<IllegalStateException> { bass.name() }
        assertEquals("walnut bass", tech.instrumentNamed("walnut").use { it.name() })
    }

    @Test
    fun `an instrument outlives the handle of its workshop, but not its shutting down`() {
        val tech = workshop()
        val bass = tech.walnutBass()
        val other = tech.instrumentNamed("walnut")
        tech.shutDown()
        tech.close()
        refused<FallawayException.Closed> { bass.plan(SetupId("stage")) }
        refused<FallawayException.Closed> { other.name() }

        val second = workshop()
        val kept = second.walnutBass()
        second.close()
        assertEquals("walnut bass", kept.name())
        kept.close()
    }

    @Test
    fun `a workshop that was used and shut down opens again with everything in it`(): Unit = inFolder { folder ->
        val escaped = Workshop.open(folder.toFile(), "tech").useThenShutDown { tech -> tech.walnutBass() }
        refused<FallawayException.Closed> { escaped.name() }
        Workshop.open(folder.toFile(), "tech").useThenShutDown { tech ->
            tech.pause()
            assertEquals("walnut bass", tech.instrumentNamed("walnut").use { it.name() })
            tech.shutDown()
        }
    }

    @Test
    fun `a block that throws shuts down too, and its error is the one that arrives`() {
        val tech = workshop()
        val bass = tech.walnutBass()
        refused<NoSuchElementException> { tech.useThenShutDown { throw NoSuchElementException() } }
        refused<FallawayException.Closed> { bass.name() }
    }

    @Test
    fun `closing and shutting down while another thread is inside lets it finish`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("from the player")
        val bundle = pair.shared.bundleOut().file
        val inside = CountDownLatch(1)
        val go = CountDownLatch(1)
        // Stands inside the call, which holds the workshop, until it is let go.
        val standing = object : ProgressListener {
            override fun at(done: ULong, total: ULong): ControlFlow {
                inside.countDown()
                check(go.await(60, SECONDS))
                return ControlFlow.CONTINUE
            }
        }
        val threads = Executors.newFixedThreadPool(2)
        try {
            val tech = pair.tech.instrument(pair.bass.id)
            val merging = threads.submit<MergeReport> { pair.tech.bundleIn(bundle, standing) }
            assertTrue(inside.await(60, SECONDS))
            pair.tech.close()
            go.countDown()
            val report = merging.get(60, SECONDS)
            refused<IllegalStateException> { pair.tech.instruments() }
            assertEquals(listOf("player"), report.added.map { it.device })
            assertEquals(1, tech.history(HistoryFilter(kinds = listOf(EntryKind.REMARKED))).size)
            tech.close()
        } finally {
            threads.shutdownNow()
        }
    }

    @Test
    fun `what was written before a shutting down on another thread is there afterwards`(): Unit = inFolder { folder ->
        val tech = Workshop.open(folder.toFile(), "tech")
        val bass = tech.walnutBass()
        val threads = Executors.newFixedThreadPool(2)
        try {
            val some = CountDownLatch(4)
            val writing: List<Future<Int>> = (1..2).map { writer ->
                threads.submit<Int> {
                    var written = 0
                    try {
                        while (true) {
                            bass.addRemark("writer $writer, line $written")
                            written++
                            some.countDown()
                        }
                    } catch (_: FallawayException.Closed) {
                        // Shut down meanwhile.
                    }
                    written
                }
            }
            assertTrue(some.await(60, SECONDS))
            tech.shutDown()
            val written = writing.sumOf { it.get(60, SECONDS) }
            bass.close()
            tech.close()
            // Every line whose call returned, and no other.
            Workshop.open(folder.toFile(), "tech").useThenShutDown { again ->
                val lines = again.instrumentNamed("walnut").use { it.history(HistoryFilter(kinds = listOf(EntryKind.REMARKED))) }
                assertEquals(written, lines.size)
            }
        } finally {
            threads.shutdownNow()
        }
    }

    @Test
    fun `two threads write at once and nothing is lost`(): Unit = inFolder { folder ->
        Workshop.open(folder.toFile(), "tech").useThenShutDown { tech ->
            val bass = tech.walnutBass()
            val threads = Executors.newFixedThreadPool(2)
            try {
                (1..2).map { writer ->
                    threads.submit { repeat(25) { bass.addRemark("writer $writer, line $it") } }
                }.forEach { it.get(60, SECONDS) }
            } finally {
                threads.shutdownNow()
            }
            val texts = bass.history(HistoryFilter(kinds = listOf(EntryKind.REMARKED)))
                .map { (it.body as EntryBody.Remarked).text }
            assertEquals(50, texts.toSet().size)
        }
    }
}
