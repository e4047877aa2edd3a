package fallaway.app.preview

import androidx.compose.ui.ImageComposeScene
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.semantics.getOrNull
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.sp
import fallaway.app.view.Design
import fallaway.app.view.letters
import java.awt.Color
import java.io.File
import javax.imageio.ImageIO
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Test

/** The app's screens on a computer, without a window, with the demo's data. */
class PreviewTest {
    private val demo = checkNotNull(System.getProperty("fallaway.demo")) { "no demo was made" }

    private fun asked(vararg words: String) = checkNotNull(Asked.of(listOf("--data", demo) + words)) { words.joinToString() }

    @Test
    fun numbersPlanAndClearanceAreDrawnWithEverythingThatTheyHold() {
        for (looks in listOf(arrayOf(), arrayOf("--theme", "stage"), arrayOf("--language", "de", "--text-size", "200"))) {
            for (taps in listOf(listOf("tab.numbers"), listOf("tab.plan"), listOf("tab.more", "clearance", "rise=-0.5"))) {
                val asked = asked(*looks, "instrument.1", *taps.toTypedArray())
                everythingIsDrawn(asked)
            }
        }
    }

    private fun everythingIsDrawn(asked: Asked) {
        val (desk, scene) = begun(asked)
        try {
            scene.still().close()
            val nodes = scene.nodes()
            val drawn = nodes.mapNotNull { it.config.getOrNull(SemanticsProperties.TestTag) }
            assertTrue("little to see on ${desk.shown.screen}", desk.shown.elements.size > 5)
            for (one in desk.shown.elements) assertTrue("${desk.shown.screen}: ${one.id} is not drawn", one.id in drawn)
            for (node in nodes) whole(node, asked)
        } finally {
            scene.close()
            desk.close()
        }
    }

    /** Fails if a text is cut off or leaves the picture to a side. */
    private fun whole(node: SemanticsNode, asked: Asked) {
        val laid = mutableListOf<TextLayoutResult>()
        node.config.getOrNull(SemanticsActions.GetTextLayoutResult)?.action?.invoke(laid)
        for (text in laid) {
            val words = text.layoutInput.text.text
            val wide = (0 until text.lineCount).maxOf { text.getLineRight(it) - text.getLineLeft(it) }
            assertTrue("cut off: $words", !text.didOverflowHeight && wide <= text.size.width + 1)
            val left = node.positionInRoot.x
            assertTrue("leaves the picture: $words", left >= 0 && left + node.size.width <= asked.width * PIXELS)
        }
    }

    @Test
    fun aPictureIsOfTheSizeAskedForAndOnItsGround() {
        val into = File.createTempFile("preview", ".png")
        try {
            for ((theme, design) in listOf("light" to Design.LIGHT, "dark" to Design.DARK, "stage" to Design.STAGE)) {
                main(arrayOf("--data", demo, "--png", into.path, "--theme", theme, "--size", "320x568", "instrument.1"))
                val picture = ImageIO.read(into)
                assertEquals(320 * PIXELS to 568 * PIXELS, picture.width to picture.height)
                val ground = design.paper.run { Color(red, green, blue) }.rgb
                assertEquals(theme, ground, picture.getRGB(0, 0))
                val seen = (0 until picture.width * picture.height).count { picture.getRGB(it % picture.width, it / picture.width) != ground }
                assertTrue("$theme: $seen pixels", seen > picture.width * picture.height / 100)
            }
        } finally {
            into.delete()
        }
    }

    /** All figures of Roboto are 1150 of 2048 wide: without its file the computer's own letters were drawn. */
    @Test
    fun lettersAreThoseOfAPhone() {
        var width = 0
        val scene = ImageComposeScene(100, 100, Density(1f)) {
            width = rememberTextMeasurer().measure("0".repeat(100), TextStyle(fontFamily = letters, fontSize = 20.sp), softWrap = false).size.width
        }
        scene.render().close()
        scene.close()
        assertEquals(20.0 * 100 * 1150 / 2048, width.toDouble(), 10.0)
    }

    @Test
    fun whatIsNotUnderstoodIsRefused() {
        fun read(vararg words: String) = Asked.of(words.toList())
        assertNotNull(read("--data", "x"))
        for (words in listOf("", "--png a.png", "--data", "--data x --them dark", "--data x --theme red", "--data x --text-size much", "--data x --size 360", "--data x --size 9x9", "--data x --language xx")) {
            assertNull(words, read(*words.split(' ').filter { it.isNotEmpty() }.toTypedArray()))
        }
        assertEquals(listOf("instrument.1", "rise=-0.5"), read("--data", "x", "instrument.1", "rise=-0.5")?.taps)
    }

    @Test
    fun aTapOnNothingIsRefusedWithWhatThereIs() {
        val refused = assertThrows(IllegalArgumentException::class.java) { begun(asked("instrument.1", "tab.play")) }
        assertTrue(refused.message, "tab.play" in refused.message.orEmpty() && "tab.plan" in refused.message.orEmpty())
    }

    private fun ImageComposeScene.nodes(): List<SemanticsNode> {
        fun below(node: SemanticsNode): List<SemanticsNode> = listOf(node) + node.children.flatMap(::below)
        return semanticsOwners.flatMap { below(it.unmergedRootSemanticsNode) }
    }
}
