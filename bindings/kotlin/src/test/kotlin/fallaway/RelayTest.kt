package fallaway

import java.net.InetAddress
import java.net.ServerSocket
import kotlin.concurrent.thread
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.async
import kotlinx.coroutines.runBlocking
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assumptions.assumeTrue
import org.junit.jupiter.api.Test

/** Two devices that never meet share an instrument by a relay: the program itself, over HTTP. */
class RelayTest {
    private val http = UrlConnectionTransport()

    /** `cargo tool test kotlin` starts a relay and names it. */
    private fun relay(): String {
        val relay: String? = System.getenv("FALLAWAY_RELAY")
        assumeTrue(relay != null, "FALLAWAY_RELAY names no relay")
        return relay!!
    }

    /** Two devices that know each other by the relay alone. */
    private fun twoByRelay(tell: (Workshop, Instrument, Workshop, Instrument) -> Unit) {
        workshop("tech").use { tech ->
            workshop("player").use { player ->
                val here = tech.walnutBass()
                here.setRelay(relay())
                val invitation = here.invite(Role.CONTRIBUTOR, 7u)
                here.sync(http)
                // The welcome holds no history: that comes by the relay.
                val there = player.accept(invitation.words, invitation.welcome)
                there.sync(http)
                here.sync(http)
                there.sync(http)
                tell(tech, here, player, there)
            }
        }
    }

    @Test
    fun `two devices share an instrument by a relay alone`() = twoByRelay { tech, here, _, there ->
        there.addRemark("tried at the rehearsal")
        here.addRemark("fret 3 is worn")
        val waits = there.relay()!!
        assertEquals(relay(), waits.url)
        assertTrue(waits.waiting > 0u && waits.text.contains("wait"), waits.toString())
        val sent = there.sync(http)
        assertEquals(SyncOutcome.UpToDate, sent.outcome)
        assertTrue(sent.sent > 0u)
        assertEquals("everything is exchanged", sent.sentences.first())
        assertEquals(0u, there.relay()!!.waiting)
        val all = tech.sync(http)
        assertEquals(listOf(here.id), all.map { it.instrument })
        val merged = all.single().report!!.merges.flatMap { it.added }
        assertEquals(listOf("player"), merged.map { it.device })
        there.sync(http)
        assertEquals(here.details().historyDigest, there.details().historyDigest)
    }

    @Test
    fun `news reaches who waits, and the workshop is free meanwhile`() = twoByRelay { _, here, _, there ->
        runBlocking {
            val waits = async(Dispatchers.IO) { there.on(Dispatchers.IO).waitForNews(http) }
            there.addRemark("the workshop can be used")
            here.addRemark("fret 3 is worn")
            here.sync(http)
            assertEquals(SyncOutcome.UpToDate, waits.await().outcome)
        }
        there.sync(http)
        assertTrue(there.history(HistoryFilter()).any { it.text == "fret 3 is worn" })
    }

    @Test
    fun `a relay is set before anything is exchanged`() = workshop("tech").use { tech ->
        val bass = tech.walnutBass()
        assertNull(bass.relay())
        refused<FallawayException.NotFound> { bass.sync(http) }
        refused<FallawayException.BadInput> { bass.setRelay("http://relay.example") }
        bass.setRelay("https://relay.example/")
        assertEquals("https://relay.example", bass.relay()!!.url)
        bass.setRelay(null)
        assertNull(bass.relay())
    }

    /** How an exchange with this transport ends. */
    private fun ends(url: String, transport: HttpTransport): SyncOutcome = workshop("tech").use { tech ->
        tech.walnutBass().apply { setRelay(url) }.sync(transport).outcome
    }

    private fun why(outcome: SyncOutcome): ExchangeFault = (outcome as SyncOutcome.Later).why

    /** Somebody who says the same to everybody, and hangs up. */
    private fun answering(answer: String, tell: (String) -> Unit) {
        ServerSocket(0, 50, InetAddress.getByName("127.0.0.1")).use { server ->
            thread(isDaemon = true) {
                while (!server.isClosed) {
                    try {
                        server.accept().use {
                            it.getInputStream().read(ByteArray(65_536))
                            it.getOutputStream().write(answer.toByteArray())
                        }
                    } catch (_: java.io.IOException) {
                        // Closed at the end, or hung up before the answer.
                    }
                }
            }
            tell("http://127.0.0.1:${server.localPort}")
        }
    }

    @Test
    fun `what answers and is no relay is told apart`() {
        val gone = ServerSocket(0).use { it.localPort }
        assertEquals(ExchangeFault.OFFLINE, why(ends("http://127.0.0.1:$gone", http)))
        answering("HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nhi") {
            assertEquals(ExchangeFault.GARBAGE, why(ends(it, http)))
        }
        answering("HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1:9/\r\nContent-Length: 0\r\n\r\n") {
            assertEquals(ExchangeFault.GARBAGE, why(ends(it, http)))
        }
        answering("HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n${"x".repeat(100)}") {
            val request = HttpRequest("GET", it, listOf(), ByteArray(0), 9u, 99u)
            refused<TransportException.Garbage> { http.send(request) }
        }
    }

    @Test
    fun `a transport of the app's own says why, or counts as offline`() {
        fun throwing(error: () -> Exception) = object : HttpTransport {
            override fun send(request: HttpRequest): HttpResponse = throw error()
        }
        val here = "http://127.0.0.1:9"
        assertEquals(ExchangeFault.SLOW, why(ends(here, throwing { TransportException.Slow("an hour") })))
        assertEquals(ExchangeFault.OFFLINE, why(ends(here, throwing { IllegalStateException("a defect") })))
    }
}
