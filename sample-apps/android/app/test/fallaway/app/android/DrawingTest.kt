package fallaway.app.android

import androidx.activity.compose.setContent
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.sp
import fallaway.app.view.fitting
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
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
}
