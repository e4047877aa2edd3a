package fallaway.app

import fallaway.KeptSecret
import fallaway.Moment
import fallaway.Preferences
import fallaway.SecretKeeper
import fallaway.Workshop
import fallaway.open
import java.io.File
import java.nio.file.Files
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Assume.assumeTrue
import org.junit.Test

/** The view models over a workshop on the disk: nothing that was typed is lost, whatever the disk and others do. */
class StoredTest {
    private val folder = Files.createTempDirectory("fallaway-app").toFile()
    private val secrets = File(folder, "secrets").apply { mkdirs() }
    private val texts = XmlTexts(File(System.getProperty("fallaway.root") ?: "../..", "sample-apps/android/app/res"), "en")
    private val workshop = Workshop.open(File(folder, "workshop"), "tech", FileKeeper(secrets))
        .apply { setPreferences(Preferences(language = "en")) }
    private val phone = Phone(workshop, { texts }, { Moment(1_759_737_600, 60) })

    @After
    fun close() {
        workshop.close()
        folder.deleteRecursively()
    }

    private fun typed() = phone.elements().filter { it.role == Role.CELL }.map { it.value }

    private fun typeAPass() {
        phone.tap("add")
        phone.type("name", "loan bass")
        listOf("save", "tab.read", "quantity.2", "tool", "tool.1", "key.5", "key.5", "key.5", "key.6").forEach(phone::tap)
        assertEquals(listOf("5/64 in", "5/64 in", "5/64 in", "6/64 in"), typed())
    }

    private fun saved() = phone.elements().any { it.id == "saved" }

    @Test
    fun anotherProgramWritesWhileAPassIsTyped() {
        typeAPass()
        val java = File(System.getProperty("java.home"), "bin/java").path
        val other = ProcessBuilder(
            java, "-cp", System.getProperty("java.class.path"), Other::class.java.name,
            File(folder, "workshop").path, secrets.path, "hums at the seventh fret",
        ).redirectErrorStream(true).start()
        val said = other.inputStream.readAllBytes().decodeToString()
        assertEquals(said, 0, other.waitFor())
        phone.changed()
        assertEquals(listOf("5/64 in", "5/64 in", "5/64 in", "6/64 in"), typed())
        phone.tap("save")
        assertTrue(saved())
        phone.tap("tab.history")
        assertTrue(phone.elements().any { "hums at the seventh fret" in it.text })
        assertTrue(phone.elements().any { "5/64" in it.text })
    }

    @Test
    fun aDiskThatTakesNothingMoreLosesNothing() {
        assumeTrue("prlimit is there", File("/usr/bin/prlimit").canExecute())
        typeAPass()
        // No file of this process may grow: what is written is refused as on a full disk.
        limit("1:")
        phone.tap("save")
        limit("unlimited:")
        assertTrue(phone.elements().any { it.id == "problem" })
        assertEquals(listOf("5/64 in", "5/64 in", "5/64 in", "6/64 in"), typed())
        phone.tap("problem.close")
        phone.tap("save")
        assertTrue(saved())
    }

    private fun limit(size: String) {
        val pid = ProcessHandle.current().pid().toString()
        assertEquals(0, ProcessBuilder("/usr/bin/prlimit", "--pid", pid, "--fsize=$size").inheritIO().start().waitFor())
    }

    /** Secrets in files, for two programs on one workshop. */
    class FileKeeper(private val folder: File) : SecretKeeper {
        private fun file(name: String) = File(folder, name.toByteArray().joinToString("") { "%02x".format(it) })

        override fun get(name: String): KeptSecret = file(name).let { if (it.exists()) KeptSecret.Found(it.readBytes()) else KeptSecret.Absent }

        override fun put(name: String, secret: ByteArray) = file(name).writeBytes(secret)
    }

    /** Another program on the same workshop. */
    object Other {
        @JvmStatic
        fun main(args: Array<String>) {
            Workshop.open(File(args[0]), "tech", FileKeeper(File(args[1]))).use { workshop ->
                workshop.instrument(workshop.instruments().single().id).use { it.addRemark(args[2]) }
            }
        }
    }
}
