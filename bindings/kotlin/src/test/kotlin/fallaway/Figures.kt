package fallaway

import java.lang.management.ManagementFactory
import java.nio.file.Path
import java.util.concurrent.TimeUnit.SECONDS
import org.junit.jupiter.api.Test

/**
 * Measures, and asserts nothing: what a foreign call costs, how many each screen makes, how long a
 * screen takes, and how long an app waits at a cold start. `cargo tool measure kotlin` runs it with the
 * library as it is shipped.
 */
class Figures {
    private fun microseconds(times: Int, call: () -> Unit): Double {
        repeat(times, { call() })
        val samples = LongArray(times) {
            val begun = System.nanoTime()
            call()
            System.nanoTime() - begun
        }
        samples.sort()
        return samples[times / 2] / 1000.0
    }

    private fun line(what: String, calls: Int, times: Int, call: () -> Unit) {
        println("| %s | %d | %.1f |".format(java.util.Locale.ROOT, what, calls, microseconds(times, call)))
    }

    @Test
    fun screens(): Unit = inFolder { folder ->
        Workshop.open(folder.toFile(), "tech").useThenShutDown { tech ->
            val bass = worked(tech)
            val touch = Touch(1.0, PluckDirection.TOWARD_BOARD)
            println("| what | foreign calls | median, microseconds |")
            println("|---|---|---|")
            line("a call that answers a short text, without the store", 1, 20_000) { bass.id }
            line("list of 20 instruments", 1, 2_000) { tech.instruments() }
            line("numbers card", 1, 2_000) { bass.card(SetupId("stage")) }
            line("history, the last 50 entries", 1, 500) { bass.history(HistoryFilter(last = 50u)) }
            line("plan", 1, 500) { bass.plan(SetupId("stage")) }
            line("what changed", 1, 500) { bass.whatChanged(Occasion.Setup(SetupId("stage")), Occasion.Today) }
            line("clearance, first question", 1, 10) { bass.clearance(touch) }
            bass.clearanceModel(touch).use { bench ->
                var force = 1.0
                line("clearance, each further question of a slider", 1, 500) {
                    force += 0.001
                    bench.ask(Touch(force, PluckDirection.TOWARD_BOARD))
                }
            }
            line("view of the instrument with contested fields", 2, 500) {
                bass.details()
                bass.contested()
            }
            line("a pass written down, durable", 1, 200) { bass.readAction("6 6 6 7") }
        }
    }

    /** A store of 20 instruments, one of them with 40 visits. */
    private fun worked(tech: Workshop): Instrument {
        repeat(19) { tech.addInstrument("bass-4", "bass $it").close() }
        val bass = tech.walnutBass()
        bass.addStringChange(
            StringChange(
                fitted = listOf(".045", ".065", ".085", ".105").mapIndexed { place, gauge ->
                    FittedString(StringPlace((place + 1).toUInt()), StringSpec(gauge = Entered("$gauge in")))
                },
            ),
        )
        repeat(40) { visit ->
            bass.beginVisit("visit $visit")
            bass.readRelief("${12 + visit % 5}")
            bass.readAction("5 5 5 6")
            bass.addRemark("nothing else")
            bass.endVisit()
        }
        bass.readRelief("16")
        bass.readAction("6 6 6 7")
        return bass
    }

    @Test
    fun `cold start`(): Unit = inFolder { folder ->
        Workshop.open(folder.toFile(), "tech").useThenShutDown { worked(it).close() }
        val java = Path.of(System.getProperty("java.home"), "bin", "java").toString()
        val path = System.getProperty("surefire.test.class.path") ?: System.getProperty("java.class.path")
        val runs = List(11) {
            val process = ProcessBuilder(java, "-cp", path, "fallaway.ColdStart", folder.toString()).start()
            val said = process.inputStream.bufferedReader().readText().trim()
            check(process.waitFor(60, SECONDS) && process.exitValue() == 0) { said }
            said.split(' ').map { it.toLong() }
        }
        for ((place, what) in listOf("library loaded", "workshop open", "card shown").withIndex()) {
            val sorted = runs.map { it[place] }.sorted()
            println("cold start: $what ${sorted[sorted.size / 2]} ms after main (median of ${runs.size})")
        }
        val begun = runs.map { it[3] }.sorted()
        println("cold start: main begins ${begun[begun.size / 2]} ms after the Java machine")
    }
}

/** A process that does nothing but show a card. */
internal object ColdStart {
    @JvmStatic
    fun main(arguments: Array<String>) {
        val begun = System.currentTimeMillis()
        val machine = begun - ManagementFactory.getRuntimeMXBean().startTime
        uniffiEnsureInitialized()
        val loaded = System.currentTimeMillis() - begun
        val tech = Workshop.open(java.io.File(arguments[0]), "tech")
        val open = System.currentTimeMillis() - begun
        tech.instrumentNamed("walnut").use { check(it.card(SetupId("stage")).lines.isNotEmpty()) }
        println("$loaded $open ${System.currentTimeMillis() - begun} $machine")
        tech.shutDown()
    }
}
