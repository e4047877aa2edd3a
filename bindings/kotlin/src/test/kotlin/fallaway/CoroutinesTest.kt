package fallaway

import java.util.concurrent.CopyOnWriteArrayList
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicReference
import kotlinx.coroutines.CompletableDeferred
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.Job
import kotlinx.coroutines.asCoroutineDispatcher
import kotlinx.coroutines.async
import kotlinx.coroutines.cancelAndJoin
import kotlinx.coroutines.flow.first
import kotlinx.coroutines.flow.take
import kotlinx.coroutines.flow.toList
import kotlinx.coroutines.launch
import kotlinx.coroutines.runBlocking
import kotlinx.coroutines.withTimeout
import kotlinx.coroutines.yield
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Calls that suspend, on a dispatcher that the caller chose, and the flow of changes. */
class CoroutinesTest {
    private class NamedThread : AutoCloseable {
        val dispatcher = Executors.newSingleThreadExecutor { Thread(it, "workshop") }.asCoroutineDispatcher()

        override fun close() = dispatcher.close()
    }

    @Test
    fun `calls are made where the caller said, and their handles too`(): Unit = runBlocking {
        NamedThread().use { named ->
            val threads = CopyOnWriteArrayList<String>()
            workshop().use { handle ->
                val tech = handle.on(named.dispatcher)
                val listening = handle.listen(
                    object : ChangeListener {
                        override fun changed(instruments: List<InstrumentId>) {
                            threads += Thread.currentThread().name
                        }
                    },
                )
                val bass = tech.addInstrument("bass-4", "walnut bass")
                bass.addRemark("one")
                assertEquals("walnut bass", bass.name())
                assertEquals(listOf("workshop"), threads.distinct().map { it.substringBefore(" @") })
                assertEquals("workshop", tech { Thread.currentThread().name.substringBefore(" @") })
                listening.cancel()
                bass.close()
            }
        }
    }

    @Test
    fun `an error of a call reaches the caller`(): Unit = runBlocking {
        val tech = workshop().on(Dispatchers.IO)
        val thrown = runCatching { tech.instrumentNamed("maple") }.exceptionOrNull()
        assertTrue(thrown is FallawayException.NotFound)
        tech.close()
    }

    @Test
    fun `a workshop is opened without blocking the caller`(): Unit = inFolder { folder ->
        runBlocking {
            val tech = Workshop.openOn(Dispatchers.IO, folder.toFile(), "tech")
            val bass = tech.addInstrument("bass-4", "walnut bass")
            assertEquals("tech", tech.device().label)
            tech.shutDown()
            bass.close()
            tech.close()
        }
    }

    @Test
    fun `cancelling the coroutine stops a call that tells its progress`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("one")
        val bundle = pair.shared.bundleOut().file
        val before = pair.bass.details().historyDigest
        runBlocking {
            val merging = AtomicReference<Job>()
            val begun = CompletableDeferred<Unit>()
            val cancelsItself = object : ProgressListener {
                override fun at(done: ULong, total: ULong): ControlFlow {
                    begun.complete(Unit)
                    merging.get().cancel()
                    return ControlFlow.CONTINUE
                }
            }
            val job = async(start = kotlinx.coroutines.CoroutineStart.LAZY) {
                pair.tech.on(Dispatchers.IO).bundleIn(bundle, cancelsItself)
            }
            merging.set(job)
            job.start()
            job.join()
            assertTrue(begun.isCompleted)
            assertTrue(job.isCancelled)
        }
        // Between two tells of progress it may have come to its end: then it is whole.
        val after = pair.bass.details().historyDigest
        assertTrue(after == before || after == pair.shared.details().historyDigest)
    }

    @Test
    fun `changes flow as long as they are collected`(): Unit = runBlocking {
        val tech = workshop()
        val bass = tech.addInstrument("bass-4", "walnut bass")
        val other = tech.addInstrument("bass-5", "ash bass")
        val all = async(Dispatchers.IO) { tech.changes().take(3).toList() }
        val one = async(Dispatchers.IO) { tech.changesOf(bass.id).first() }
        // Written until both have begun to listen and have seen enough.
        withTimeout(60_000) {
            while (!(all.isCompleted && one.isCompleted)) {
                other.addRemark("there")
                bass.addRemark("here")
                yield()
            }
        }
        assertEquals(3, all.await().size)
        assertTrue(all.await().flatten().toSet() == setOf(bass.id, other.id))
        tech.close()
    }

    @Test
    fun `a collector that ends has its listener cancelled`(): Unit = runBlocking {
        val tech = workshop()
        val bass = tech.addInstrument("bass-4", "walnut bass")
        val seen = CopyOnWriteArrayList<List<InstrumentId>>()
        val first = CompletableDeferred<Unit>()
        val collecting = launch(Dispatchers.IO) {
            tech.changes().collect {
                seen += it
                first.complete(Unit)
            }
        }
        while (!first.isCompleted) {
            bass.addRemark("one")
            yield()
        }
        collecting.cancelAndJoin()
        val before = seen.size
        bass.addRemark("two")
        assertEquals(before, seen.size)
        tech.shutDown()
        val closed = runCatching { tech.changes().first() }.exceptionOrNull()
        assertTrue(closed is FallawayException.Closed, closed.toString())
        assertFalse(closed is IllegalStateException)
        tech.close()
    }

    @Test
    fun `a stand-in for tests and previews needs no library`(): Unit = runBlocking {
        val bass = object : SuspendingInstrument {
            override suspend fun name(): String = "walnut bass"
        }
        assertEquals("walnut bass", bass.name())
        assertEquals("card", runCatching { bass.card() }.exceptionOrNull()?.message?.substringAfterLast(' '))
        assertEquals("FeelerThou", Tool.FeelerThou.toString())
        val line = CardLine(Quantity.action(1, 24), "action", Location.string(1), "1 (G)", standing = CardStanding.NO_TARGET)
        assertEquals(null, line.last)
    }
}
