package fallaway.app

import fallaway.Moment
import fallaway.Preferences
import fallaway.UrlConnectionTransport
import fallaway.Workshop
import java.io.File
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Assume.assumeTrue
import org.junit.Test

/** Two phones and a relay, which is a program of its own on this machine. */
class RelayTest {
    private val address: String? = System.getenv("FALLAWAY_RELAY")
    private val texts = XmlTexts(File(System.getProperty("fallaway.root") ?: "../..", "sample-apps/android/app/res"), "en")

    private fun phone(label: String): Phone {
        val workshop = Workshop.inMemory(label)
        workshop.setPreferences(Preferences(language = "en"))
        return Phone(workshop, { texts }, { Moment(1_759_737_600, 60) }, UrlConnectionTransport())
    }

    private fun Phone.does(vararg ids: String) = ids.forEach { id ->
        assertTrue("$id on ${screen.name}: ${elements().map { it.id }}", elements().any { it.id == id && it.touch })
        tap(id)
        generateSequence { effects.removeFirstOrNull() }.toList().forEach { if (it is Effect.Apart) it.work()() }
    }

    private fun Phone.text(id: String) = elements().first { it.id == id }.text

    @Test
    fun whatOneWritesIsOnTheOtherAfterBothExchanged() {
        assumeTrue("a relay runs", address != null)
        val (tech, player) = phone("tech") to phone("player")
        tech.does("add")
        tech.type("name", "loan bass")
        tech.does("save", "tab.more", "send")
        tech.type("address", address.orEmpty())
        tech.does("relay.use", "exchange")
        assertTrue(tech.text("exchanged").isNotEmpty())
        tech.tap("back")
        tech.does("people", "invite.contributor")
        val words = tech.text("words")
        tech.tap("file")
        val file = (tech.effects.removeFirst() as Effect.Share).bytes
        tech.handedOver()
        player.does("join")
        player.type("words", words)
        player.receive(file)
        player.does("join", "tab.more", "note")
        player.type("remark", "hums at the seventh fret")
        player.does("save")
        player.tap("back")
        player.does("send", "exchange")
        tech.tap("back")
        tech.does("send", "exchange")
        player.does("exchange")
        tech.does("exchange")
        assertTrue("waits: ${tech.elements().map { it.spoken }}", tech.elements().none { it.id == "problem" })
        tech.tap("back")
        tech.does("tab.history")
        assertEquals(1, tech.elements().count { "hums at the seventh fret" in it.text })
        player.does("relay.leave")
        assertTrue(player.elements().any { it.id == "address" })
    }
}
