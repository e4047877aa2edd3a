package fallaway.app.android

import androidx.activity.compose.setContent
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.dp
import androidx.compose.ui.unit.sp
import fallaway.Anchor
import fallaway.Scene
import fallaway.Shape
import fallaway.app.Day
import fallaway.app.Playing
import fallaway.app.Role
import fallaway.app.view.fitting
import fallaway.app.view.lettered
import fallaway.app.view.withoutWordsBeside
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/** What a phone draws of a drawing with letters of its own. */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-xxhdpi", application = TestApp::class)
class DrawingTest {
    @get:Rule val rule = createEmptyComposeRule()

    @Test
    fun aLabelThatWouldLeaveTheDrawingIsMadeSmaller() {
        val text = "1/4 turn anticlockwise"
        val style = TextStyle(fontSize = 17.sp, fontWeight = FontWeight.Bold)
        var own = 0
        var laid = emptyList<TextLayoutResult>()
        emptyActivity().use { scenario ->
            scenario.onActivity { activity ->
                activity.setContent {
                    val measurer = rememberTextMeasurer()
                    own = measurer.measure(text, style).size.width
                    laid = listOf(0.5f, 0.95f, 1f).map { measurer.fitting(text, style, own * it) }
                }
            }
            rule.waitForIdle()
        }
        val (half, nearly, whole) = laid.map { it.size.width }
        assertTrue("$half of $own", half in 1..own / 2)
        assertTrue("$nearly of $own", nearly in half..(own * 95 / 100))
        assertEquals(own, whole)
        assertTrue(laid.all { it.lineCount == 1 && it.layoutInput.text.text == text })
    }

    /** A phone's large letters do not grow in proportion: what is made smaller by proportion alone is cut off. */
    @Test
    @Config(fontScale = 2f)
    fun lettersOfASmallDrawingLieOnNoOtherWhereThePhonesAreLarge() = lettersOfASmallDrawingLieOnNoOther()

    /** Readable where the drawing is small, or it says that there is no room: then it is drawn larger, and aside by a finger. */
    @Test
    fun lettersOfASmallDrawingLieOnNoOther() {
        val wrong = mutableListOf<String>()
        var fitted = 0
        for (language in listOf("en", "de")) {
            val scenes = Playing(language, AndroidTexts(RuntimeEnvironment.getApplication(), language)).use { playing ->
                Day.steps.flatMap { step ->
                    playing.play(step)
                    playing.shown(step).elements().filter { it.role == Role.DRAWING && it.value == null }.mapNotNull { it.scene }
                }.distinct()
            }
            assertTrue("${scenes.size}", scenes.size > 2)
            emptyActivity().use { scenario ->
                scenario.onActivity { activity ->
                    activity.setContent {
                        for (scene in scenes) for (wide in listOf(288, 328, 600)) for (larger in listOf(1f, 1.3f, 1.6f)) {
                            val set = lettered(scene, wide.dp, (1.33f * larger).dp)
                            val edge = with(LocalDensity.current) { wide.dp.toPx() }
                            val name = "${scene.title} in $language, $wide dp, $larger"
                            if (!set.fits && wide >= PHONE_DP && larger == 1f) wrong += "$name: has no room"
                            if (!set.fits) continue
                            fitted++
                            for (one in set.letters) {
                                val box = one.box
                                val text = one.laid.layoutInput.text.text
                                if (box.left < 0 || box.top < 0 || box.right > edge || box.bottom > set.high) wrong += "$name: $text is cut off"
                                if (scene.widthPt < LAID_OUT_PT && level(scene, edge / scene.widthPt.toFloat()).any { box.overlaps(it.translate(0f, set.down)) }) wrong += "$name: $text lies on a line"
                                if (set.letters.any { it !== one && it.box.overlaps(box) }) wrong += "$name: $text lies on another"
                            }
                        }
                    }
                }
                rule.waitForIdle()
            }
        }
        assertTrue("$fitted", fitted > 15)
        assertEquals(wrong.distinct().joinToString("\n"), 0, wrong.size)
    }

    @Test
    fun aDialIsDrawnWithoutTheWordsBesideIt() {
        val scenes = Playing("en", AndroidTexts(RuntimeEnvironment.getApplication(), "en")).use { playing ->
            Day.steps.flatMap { step ->
                playing.play(step)
                playing.shown(step).elements().filter { it.id.startsWith("dial.") }.map { checkNotNull(it.scene) }
            }
        }
        assertTrue(scenes.isNotEmpty())
        for (scene in scenes.map { it.withoutWordsBeside() }) {
            assertTrue("${scene.widthPt}", scene.widthPt in 100.0..140.0 && scene.heightPt in 100.0..140.0)
            // How many whole turns stays within the ring.
            assertTrue(scene.marks.mapNotNull { it.shape as? Shape.Text }.all { it.anchor == Anchor.MIDDLE })
        }
    }

    /** The level lines of a drawing, a pixel thick. */
    private fun level(scene: Scene, scale: Float) = scene.marks.mapNotNull { it.shape as? Shape.Line }.filter { it.places.size == 2 && it.places[0].yPt == it.places[1].yPt }.map { line ->
        val (from, to) = line.places.map { it.xPt.toFloat() * scale }.sorted()
        val high = line.places[0].yPt.toFloat() * scale
        Rect(from, high - 0.5f, to, high + 0.5f)
    }

    private companion object {
        /** Narrower drawings were laid out for a phone. */
        const val LAID_OUT_PT = 300

        /** What a phone of 360 dp has between its margins: there a drawing is seen whole. */
        const val PHONE_DP = 328
    }
}
