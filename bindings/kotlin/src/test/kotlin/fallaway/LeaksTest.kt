package fallaway

import java.nio.file.Files
import java.nio.file.Path
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Many cycles of create, use and close: memory stays bounded and no thread stays behind. */
class LeaksTest {
    /** Memory of the whole process that is really there, in kB: native and Java together. */
    private fun residentKb(): Long =
        Files.readAllLines(Path.of("/proc/self/status"))
            .first { it.startsWith("VmRSS:") }
            .split(Regex("\\s+"))[1].toLong()

    private fun threads(): Set<String> =
        Thread.getAllStackTraces().keys.filter { it.isAlive }.map { it.name }.toSet()

    /**
     * Runs [cycle] so often; fails if the process grows by more than [boundKb] after the warm-up. Java's
     * heap is given whole from the beginning (see the pom): what grows is native memory, and what stays
     * on the heap ends in an error of its own.
     */
    private fun bounded(cycles: Int, boundKb: Long, warmUp: Int = cycles / 4, cycle: (Int) -> Unit) {
        repeat(warmUp, cycle)
        System.gc()
        val threads = threads()
        val before = residentKb()
        repeat(cycles, cycle)
        System.gc()
        val grown = residentKb() - before
        println("$cycles cycles: grown by $grown kB")
        assertTrue(grown < boundKb, "grown by $grown kB in $cycles cycles")
        assertEquals(emptySet<String>(), threads() - threads, "threads that stayed behind")
    }

    @Test
    fun `a hundred thousand handles are made, used and closed`(): Unit = workshop().use { tech ->
        val id = tech.walnutBass().use { it.id }
        // A handle is some eighty bytes in Rust: 100,000 that leak are twice the bound. (Measured: 1 MB.)
        bounded(100_000, boundKb = 4 * 1024) {
            tech.instrument(id).use { bass -> assertEquals("walnut bass", bass.name()) }
        }
    }

    @Test
    fun `ten thousand handles that nobody closes are closed by the garbage collector`(): Unit = workshop().use { tech ->
        val id = tech.walnutBass().use { it.id }
        bounded(10_000, boundKb = 32 * 1024) { number ->
            assertEquals(id, tech.instrument(id).id)
            if (number % 1000 == 0) System.gc()
        }
    }

    @Test
    fun `listeners and errors leave nothing behind`(): Unit = workshop().use { tech ->
        val listener = object : ChangeListener {
            override fun changed(instruments: List<InstrumentId>) = Unit
        }
        bounded(10_000, boundKb = 4 * 1024, warmUp = 10_000) {
            tech.listen(listener).use { it.cancel() }
            refused<FallawayException.NotFound> { tech.instrumentNamed("maple") }
        }
    }

    @Test
    fun `workshops are opened, used and closed`() {
        bounded(300, boundKb = 8 * 1024) { number ->
            Workshop.inMemory("tech").useThenShutDown { tech ->
                tech.addInstrument("bass-4", "bass $number").use { it.addRemark("one") }
            }
        }
        inFolder { folder ->
            bounded(100, boundKb = 8 * 1024) {
                Workshop.open(folder.toFile(), "tech").useThenShutDown { it.instruments() }
            }
        }
    }
}
