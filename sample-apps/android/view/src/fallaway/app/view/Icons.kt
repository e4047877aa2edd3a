package fallaway.app.view

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.unit.dp

/** Icons of our own, lines on a square of 24: each beside its word, but for the way back. */
@Composable
fun Icon(name: String, colour: Color, modifier: Modifier = Modifier, grows: Boolean = true) {
    // As large as the letters beside it, as far as there is room.
    val larger = if (grows) LocalDensity.current.fontScale.coerceIn(1f, 1.5f) else 1f
    Canvas(modifier.size(24.dp * larger)) {
        when (name) {
            "back" -> lines(colour, 15f, 5f, 8f, 12f, 15f, 19f)
            // Three gaps over frets.
            "numbers" -> {
                lines(colour, 4f, 6f, 20f, 6f)
                lines(colour, 4f, 12f, 14f, 12f)
                lines(colour, 4f, 18f, 17f, 18f)
            }
            // The tip of a rule under a string.
            "read" -> {
                lines(colour, 3f, 8f, 21f, 8f)
                lines(colour, 8f, 21f, 8f, 12f, 16f, 12f, 16f, 21f)
                lines(colour, 12f, 12f, 12f, 15f)
            }
            // A dial, turned an eighth.
            "plan" -> {
                circle(colour, 8f)
                lines(colour, 12f, 12f, 12f, 5f)
                lines(colour, 12f, 12f, 17f, 7f)
            }
            // What came after what.
            "history" -> for (y in listOf(6f, 12f, 18f)) {
                dot(colour, 5f, y)
                lines(colour, 9f, y, 20f, y)
            }
            "more" -> for (x in listOf(5f, 12f, 19f)) dot(colour, x, 12f)
            "caution" -> {
                lines(colour, 12f, 4f, 21f, 20f, 3f, 20f, 12f, 4f)
                lines(colour, 12f, 10f, 12f, 14f)
                dot(colour, 12f, 17f, 1.2f)
            }
            "chosen" -> lines(colour, 5f, 12f, 10f, 17f, 19f, 7f)
            "go" -> lines(colour, 9f, 5f, 16f, 12f, 9f, 19f)
        }
    }
}

private fun DrawScope.unit() = size.width / 24f

private fun DrawScope.lines(colour: Color, vararg at: Float) {
    for (n in 0 until at.size / 2 - 1) {
        drawLine(
            colour, Offset(at[2 * n], at[2 * n + 1]) * unit(), Offset(at[2 * n + 2], at[2 * n + 3]) * unit(),
            strokeWidth = 2f * unit(), cap = StrokeCap.Round,
        )
    }
}

private fun DrawScope.circle(colour: Color, radius: Float) =
    drawCircle(colour, radius * unit(), center, style = Stroke(2f * unit()))

private fun DrawScope.dot(colour: Color, x: Float, y: Float, radius: Float = 2f) =
    drawCircle(colour, radius * unit(), Offset(x, y) * unit())
