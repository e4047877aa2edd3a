package fallaway

import java.io.IOException
import java.nio.file.Files
import java.nio.file.attribute.PosixFilePermissions
import java.util.concurrent.CopyOnWriteArrayList
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** What an app lends to the library, and what comes of it when it throws. */
class CallbacksTest {
    private class MemoryKeeper : SecretKeeper {
        val secrets = HashMap<String, ByteArray>()

        override fun get(name: String): KeptSecret =
            secrets[name]?.let { KeptSecret.Found(it) } ?: KeptSecret.Absent

        override fun put(name: String, secret: ByteArray) {
            secrets[name] = secret
        }
    }

    @Test
    fun `a keeper keeps the device's identity`(): Unit = inFolder { folder ->
        val keeper = MemoryKeeper()
        val first = Workshop.open(folder.toFile(), "tech", keeper).useThenShutDown { it.device() }
        assertTrue(keeper.secrets.isNotEmpty())
        assertTrue(keeper.secrets.values.all { it.size <= 32 })
        val again = Workshop.open(folder.toFile(), "tech", keeper).useThenShutDown { it.device() }
        assertEquals(first, again)
        assertFalse(Files.exists(folder.resolve("keys")))
    }

    @Test
    fun `a keeper that throws, is locked or has lost its secret is an error that an app can act on`(): Unit = inFolder { folder ->
        val throwing = object : SecretKeeper {
            override fun get(name: String): KeptSecret = throw IOException("the keystore is on fire")
            override fun put(name: String, secret: ByteArray) = Unit
        }
        val thrown = refused<FallawayException.Keys> { Workshop.open(folder.toFile(), "tech", throwing) }
        assertTrue(thrown.reason.contains("the keystore is on fire"), thrown.reason)
        // A person may read it: no stack trace.
        assertFalse(thrown.reason.contains("\n"), thrown.reason)

        fun answering(secret: KeptSecret) = object : SecretKeeper {
            override fun get(name: String): KeptSecret = secret
            override fun put(name: String, secret: ByteArray): Unit = throw ForeignException.Failed("read only")
        }
        refused<FallawayException.Keys> { Workshop.open(folder.toFile(), "tech", answering(KeptSecret.Locked)) }
        refused<FallawayException.Keys> { Workshop.open(folder.toFile(), "tech", answering(KeptSecret.Absent)) }

        val keeper = MemoryKeeper()
        Workshop.open(folder.toFile(), "tech", keeper).useThenShutDown { it.walnutBass() }
        val lost = answering(KeptSecret.Lost("the person removed the screen lock"))
        val told = refused<FallawayException.Keys> { Workshop.open(folder.toFile(), "tech", lost) }
        assertTrue(told.reason.contains("screen lock"), told.reason)
        // Nothing was lost by it.
        Workshop.open(folder.toFile(), "tech", keeper).useThenShutDown { assertEquals(1, it.instruments().size) }
    }

    @Test
    fun `a file keeper returns what it was given, and only to its owner`(): Unit = inFolder { folder ->
        val keeper = FileKeeper(folder.resolve("keys"))
        assertEquals(KeptSecret.Absent, keeper.get("device seed"))
        keeper.put("device seed", ByteArray(32) { 7 })
        keeper.put("device seed", ByteArray(32) { 8 })
        val found = keeper.get("device seed") as KeptSecret.Found
        assertTrue(found.secret.contentEquals(ByteArray(32) { 8 }))
        val files = Files.list(keeper.folder).use { it.toList() }
        assertEquals(1, files.size, files.toString())
        assertEquals("rw-------", PosixFilePermissions.toString(Files.getPosixFilePermissions(files.single())))
        refused<ForeignException.Failed> { FileKeeper(files.single()).put("device seed", ByteArray(1)) }
    }

    @Test
    fun `a listener is told after the change, may call the workshop, and ends when it is cancelled`(): Unit = workshop().use { tech ->
        val told = CopyOnWriteArrayList<List<InstrumentId>>()
        val listening = tech.listen(
            object : ChangeListener {
                override fun changed(instruments: List<InstrumentId>) {
                    // No lock is held, and the change is there.
                    check(tech.instruments().map { it.id }.containsAll(instruments))
                    told += instruments
                }
            },
        )
        val bass = tech.addInstrument("bass-4", "walnut bass")
        bass.addRemark("one")
        assertEquals(listOf(listOf(bass.id), listOf(bass.id)), told.toList())
        listening.cancel()
        listening.cancel()
        bass.addRemark("two")
        assertEquals(2, told.size)
        listening.close()
    }

    @Test
    fun `closing a listener's place does not end it, and garbage collection neither`(): Unit = workshop().use { tech ->
        var told = 0
        tech.listen(
            object : ChangeListener {
                override fun changed(instruments: List<InstrumentId>) {
                    told++
                }
            },
        ).close()
        System.gc()
        tech.walnutBass()
        assertTrue(told > 0)
    }

    @Test
    fun `a listener that throws is noted in the log, and the change stands`(): Unit = inFolder { folder ->
        val lines = CopyOnWriteArrayList<kotlin.Pair<LogLevel, String>>()
        val log = object : LogSink {
            override fun log(level: LogLevel, line: String) {
                lines += level to line
                throw IllegalStateException("a log that throws too")
            }
        }
        Workshop.open(WorkshopOptions(folder.toString(), "tech"), log = log).useThenShutDown { tech ->
            tech.listen(
                object : ChangeListener {
                    override fun changed(instruments: List<InstrumentId>) = throw IllegalStateException("the view is gone")
                },
            )
            tech.addInstrument("bass-4", "walnut bass").addRemark("one")
            assertEquals(1, tech.instruments().size)
        }
        val warnings = lines.filter { it.first == LogLevel.WARNING }.map { it.second }
        assertTrue(warnings.any { it.contains("the view is gone") }, lines.toString())
        assertFalse(warnings.any { it.contains("\n") }, "a line is one line")
    }

    @Test
    fun `a progress that throws stops the call`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("one")
        val bundle = pair.shared.bundleOut().file
        val before = pair.bass.details().historyDigest
        val throwing = object : ProgressListener {
            override fun at(done: ULong, total: ULong): ControlFlow = throw IllegalStateException("the view is gone")
        }
        refused<FallawayException.Cancelled> { pair.tech.bundleIn(bundle, throwing) }
        assertEquals(before, pair.bass.details().historyDigest)
    }

    @Test
    fun `a clock that throws is replaced by the device's, and random bytes that fail are an error`() {
        val clock = object : TimeSource {
            override fun now(): Moment = throw IllegalStateException("no clock")
        }
        Workshop.inMemory("tech", clock).use { it.walnutBass() }
        val random = object : RandomSource {
            override fun draw(count: UInt): ByteArray = throw IllegalStateException("no entropy")
        }
        refused<FallawayException.Keys> { Workshop.inMemory("tech", Ticking(), random) }
    }
}
