package fallaway

import java.nio.file.Files
import java.nio.file.Path
import java.util.concurrent.atomic.AtomicLong
import kotlin.io.path.ExperimentalPathApi
import kotlin.io.path.deleteRecursively
import org.junit.jupiter.api.Assertions.assertThrows

/** A clock that is a minute later at each look. */
internal class Ticking(from: Long = 1_780_000_000) : TimeSource {
    private val next = AtomicLong(from)

    override fun now(): Moment = Moment(next.getAndAdd(60), 60)

    /** So many days go by. */
    fun goOn(days: Long) {
        next.addAndGet(days * 86_400)
    }
}

internal fun workshop(label: String = "tech", clock: TimeSource = Ticking()): Workshop =
    Workshop.inMemory(label, clock)

@OptIn(ExperimentalPathApi::class)
internal inline fun <R> inFolder(block: (Path) -> R): R {
    val folder = Files.createTempDirectory("fallaway-test")
    return try {
        block(folder)
    } finally {
        folder.deleteRecursively()
    }
}

internal inline fun <reified E : Throwable> refused(crossinline call: () -> Unit): E =
    assertThrows(E::class.java) { call() }

internal val action = Quantity.action(stopped = 1, over = 24)
internal val relief = Quantity.relief(from = 1, to = 24)

internal fun Instrument.readAction(text: String, options: WriteOptions? = null): EntryId =
    addPassText(action, text, Tool.Rule64, options = options)

internal fun Instrument.readRelief(text: String): EntryId =
    addPassText(relief, text, Tool.FeelerThou)

/** A bass that was set up, and read again after its neck moved. */
internal fun Workshop.walnutBass(): Instrument = addInstrument("bass-4", "walnut bass").also { bass ->
    bass.readRelief("12")
    bass.readAction("5 5 5 6")
    bass.takeSetup("stage")
}

/** Two devices that share a record: "tech" founded it, "player" joined. */
internal class TwoDevices : AutoCloseable {
    val tech = workshop("tech")
    val player = workshop("player")
    val bass = tech.walnutBass()
    val shared: Instrument

    init {
        shared = player.accept(bass.invite(Role.CONTRIBUTOR, 7u).words, bass.bundleOut().file)
        tech.bundleIn(shared.bundleOut().file)
    }

    fun exchange() {
        player.bundleIn(bass.bundleOut().file)
        tech.bundleIn(shared.bundleOut().file)
        player.bundleIn(bass.bundleOut().file)
    }

    override fun close() = listOf(bass, shared, tech, player).forEach { it.close() }
}
