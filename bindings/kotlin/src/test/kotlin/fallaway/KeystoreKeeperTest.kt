package fallaway

import android.content.Context
import android.security.keystore.KeyPermanentlyInvalidatedException
import android.security.keystore.StandIn
import android.security.keystore.UserNotAuthenticatedException
import fallaway.android.KeystoreKeeper
import java.nio.file.Path
import java.security.Security
import kotlin.io.path.createDirectories
import kotlin.io.path.readBytes
import kotlin.io.path.writeBytes
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertArrayEquals
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertInstanceOf
import org.junit.jupiter.api.BeforeEach
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/** The keeper for Android, on a keystore that stands in for Android's. */
class KeystoreKeeperTest {
    @TempDir
    lateinit var folder: Path

    private val secret = ByteArray(32) { it.toByte() }

    private fun keeper() = KeystoreKeeper(Context(folder.toFile()))

    private fun file() = folder.resolve("fallaway/seed.sealed")

    @BeforeEach
    fun begin() {
        Security.addProvider(StandIn)
    }

    @AfterEach
    fun end() {
        StandIn.held.clear()
        StandIn.refuses = null
        Security.removeProvider(StandIn.name)
    }

    private fun assertLost() {
        assertInstanceOf(KeptSecret.Lost::class.java, keeper().get("seed"))
    }

    @Test
    fun `what is put is found again, sealed on the disk`() {
        assertEquals(KeptSecret.Absent, keeper().get("seed"))
        keeper().put("seed", ByteArray(32))
        keeper().put("seed", secret)
        assertArrayEquals(secret, (keeper().get("seed") as KeptSecret.Found).secret)
        assertFalse(String(file().readBytes(), Charsets.ISO_8859_1).contains(String(secret, Charsets.ISO_8859_1)))
        // A workshop opens with it, twice as the same device.
        val options = WorkshopOptions(folder.resolve("workshop").toString(), "tech")
        val prints = List(2) { Workshop.open(options, keeper()).useThenShutDown { it.device().fingerprint } }
        assertEquals(prints[0], prints[1])
    }

    @Test
    fun `a file that was cut is lost, wherever it was cut`() {
        keeper().put("seed", secret)
        val whole = file().readBytes()
        for (left in 0 until whole.size) {
            file().writeBytes(whole.copyOf(left))
            assertLost()
        }
        file().writeBytes(whole)
        assertInstanceOf(KeptSecret.Found::class.java, keeper().get("seed"))
    }

    @Test
    fun `a file that is not what was written is lost`() {
        keeper().put("seed", secret)
        val whole = file().readBytes()
        for (place in whole.indices step 7) {
            file().writeBytes(whole.copyOf().also { it[place] = (it[place].toInt() xor 1).toByte() })
            assertLost()
        }
        // One secret's file under another's name.
        file().parent.createDirectories().resolve("count.sealed").writeBytes(whole)
        assertInstanceOf(KeptSecret.Lost::class.java, keeper().get("count"))
    }

    @Test
    fun `a key that is gone is lost, and one that is locked is locked`() {
        keeper().put("seed", secret)
        StandIn.refuses = UserNotAuthenticatedException()
        assertEquals(KeptSecret.Locked, keeper().get("seed"))
        StandIn.refuses = KeyPermanentlyInvalidatedException()
        assertLost()
        StandIn.refuses = null
        StandIn.held.clear()
        assertLost()
    }
}
