package fallaway

import java.nio.file.Path
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/**
 * A library that is newer than the classes: one of the choices that it answers has a variant more.
 * `cargo tool test kotlin` builds it.
 */
class GrowthTest {
    @Test
    fun theFaceIsThatOfTheLibrary() {
        assertEquals(FACE, face())
        assertEquals(FACE, WorkshopOptions("", "").face)
    }

    @Test
    fun theLibrarySaysItsVersion() {
        assertTrue(Regex("""\d+\.\d+\.\d+""").matches(version()), version())
        assertTrue(workshop().use { it.diagnostics() }.startsWith("fallaway: ${version()}\n"))
    }

    @Test
    fun whatCameLaterIsNewer(@TempDir folder: Path) {
        val grown = System.getenv("FALLAWAY_GROWN_LIBRARY") ?: return
        val classes = System.getProperty("surefire.test.class.path") ?: System.getProperty("java.class.path")
        val java = Path.of(System.getProperty("java.home"), "bin", "java").toString()
        val override = "-Duniffi.component.fallaway.libraryOverride=$grown"
        val app = ProcessBuilder(java, override, "-cp", classes, "fallaway.OlderAppKt", folder.toString())
            .redirectErrorStream(true).start()
        val said = app.inputStream.bufferedReader().readText().trim()
        assertEquals("2: newer", said.lines().last(), said)
    }
}
