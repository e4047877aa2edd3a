package fallaway.app.view

import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.unit.TextUnit
import fallaway.Anchor
import fallaway.MarkRole
import fallaway.Paint
import fallaway.Scene
import fallaway.Shape
import fallaway.Spot
import kotlin.math.abs
import kotlin.math.max
import kotlin.math.min

/** A text of a drawing where it is drawn, in pixels. */
class Letters(val laid: TextLayoutResult, val at: Offset) {
    /** Where its letters are: a line is a little higher than they are. */
    val box = Rect(at.x, at.y + laid.size.height * AIR, at.x + laid.size.width, at.y + laid.size.height * (1 - AIR))

    private companion object {
        const val AIR = 0.1f
    }
}

/**
 * The letters of a drawing.
 *
 * @property down how far everything else stands below the upper edge: letters over it may need more room than they had.
 * @property high how high the drawing has become.
 * @property fits whether all are as large as they were to be, none was pushed away from what it belongs to, and none grew into a line.
 */
class Lettered(val letters: List<Letters>, val down: Float, val high: Float, val fits: Boolean)

/** A text, and how it is painted. */
private class Line(val text: Shape.Text, val paint: Paint)

/** Texts under each other, about one place. */
private class Block(val lines: List<Line>, val laid: List<TextLayoutResult>) {
    val first get() = lines.first().text
    val last get() = lines.last().text

    /** A fret's number: where there is no room for all, some are enough. */
    val isMark get() = lines.size == 1 && first.text.all(Char::isDigit)

    /** From its upper edge to the base of its last line. */
    val toLastBase get() = laid.dropLast(1).sumOf { it.size.height } + laid.last().firstBaseline
}

/**
 * Sets the letters of a drawing that is [wide] pixels wide, none smaller than [point] pixels for each of its points. Where they
 * are larger than drawn, what stands over the drawing's middle grows up and what stands under it down; what would lie on
 * another is moved down, as far as there is nothing beside which it stands.
 *
 * @param readable so many pixels a point, and the letters are large enough as they are drawn.
 * @param inSp what a size in pixels is in the letters of the phone.
 */
fun TextMeasurer.lettered(scene: Scene, paints: Map<MarkRole, Paint>, wide: Float, point: Float, readable: Float, inSp: (Float) -> TextUnit): Lettered {
    val scale = wide / scene.widthPt.toFloat()
    val edge = EDGE_PT * scale
    val larger = point > scale
    var fits = true

    fun laid(line: Line): TextLayoutResult {
        val style = TextStyle(
            color = line.paint.colour.shown(), fontSize = inSp(line.text.sizePt.toFloat() * max(scale, point)), fontFamily = letters,
            fontWeight = if (line.paint.bold) FontWeight.Bold else FontWeight.Normal,
        )
        val x = line.text.at.xPt.toFloat() * scale
        val room = when (line.text.anchor) {
            Anchor.START -> wide - x - edge
            // Larger letters may be moved from what they are about.
            Anchor.MIDDLE -> if (larger) wide - 2 * edge else 2 * (minOf(x, wide - x) - edge)
            Anchor.END -> x - edge
        }
        return fitting(line.text.text, style, room).also {
            val own = measure(line.text.text, style, softWrap = false, maxLines = 1)
            if (larger && it.size.width < own.size.width * SMALLER) fits = false
        }
    }

    fun left(line: Line, laid: TextLayoutResult): Float {
        val x = line.text.at.xPt.toFloat() * scale
        val own = when (line.text.anchor) {
            Anchor.START -> x
            Anchor.MIDDLE -> x - laid.size.width / 2f
            Anchor.END -> x - laid.size.width
        }
        return if (larger) own.coerceAtMost(wide - edge - laid.size.width).coerceAtLeast(edge) else own
    }

    val blocks = blocks(scene, paints).map { lines -> Block(lines, lines.map(::laid)) }
    val high = scene.heightPt.toFloat() * scale
    if (!larger) {
        val own = blocks.flatMap { block ->
            block.lines.zip(block.laid).map { (line, laid) -> Letters(laid, Offset(left(line, laid), line.text.at.yPt.toFloat() * scale - laid.firstBaseline)) }
        }
        return Lettered(own, 0f, high, fits = true)
    }
    val (over, under) = blocks.partition { it.last.at.yPt < scene.heightPt / 2 }
    val down = over.maxOfOrNull { it.toLastBase + edge - it.last.at.yPt.toFloat() * scale }?.coerceAtLeast(0f) ?: 0f
    val grown = point / scale
    val begin = over.map { it to down + it.last.at.yPt.toFloat() * scale - it.toLastBase } +
        under.map { it to down + it.first.at.yPt.toFloat() * scale - it.laid.first().firstBaseline / grown }
    val lowest = scene.spots().maxOfOrNull { it.yPt } ?: 0.0
    val placed = mutableListOf<Letters>()
    for ((block, top) in begin.sortedBy { it.second }) {
        fun at(begins: Float): List<Letters> {
            var next = begins
            return block.lines.zip(block.laid).map { (line, laid) -> Letters(laid, Offset(left(line, laid), next)).also { next += laid.size.height } }
        }
        var here = at(top)
        fun inTheWay() = placed.firstOrNull { other -> here.any { it.box.overlaps(other.box) } }
        // Two numbers that touch would be read as one.
        val apart = block.laid.first().size.height * APART
        if (block.isMark && placed.any { other -> here.any { it.box.inflate(apart).overlaps(other.box) } }) continue
        // Each time it comes to stand below one of those that are there.
        repeat(placed.size) {
            inTheWay()?.let { other -> here = at(here.first().at.y + other.box.bottom - here.minOf { it.box.top } + apart) }
        }
        // What stands beside something belongs there.
        val free = block.first.run { at.yPt - sizePt } >= lowest
        if (inTheWay() != null || !free && here.first().at.y - top > block.laid.first().size.height * PUSHED) fits = false
        placed += here
    }
    // Letters that are large enough as they are drawn do not grow into a line.
    if (scale >= readable * NEARLY) {
        val own = lettered(scene, paints, wide, 0f, readable, inSp)
        if (scene.met(placed, scale, down) > scene.met(own.letters, scale, 0f)) fits = false
    }
    return Lettered(placed, down, max(down + high, (placed.maxOfOrNull { it.box.bottom } ?: 0f) + edge), fits)
}

/** How often letters lie on a line or a dot of the drawing, which stands so far down. */
private fun Scene.met(letters: List<Letters>, scale: Float, down: Float) =
    letters.sumOf { one -> marks.count { it.shape.meets(one.box.translate(0f, -down), scale) } }

private fun Shape.meets(box: Rect, scale: Float): Boolean {
    fun Spot.there() = Offset(xPt.toFloat(), yPt.toFloat()) * scale
    fun round(at: Spot, radius: Double) = Rect(at.there(), radius.toFloat() * scale).overlaps(box)
    return when (this) {
        is Shape.Line -> places.zipWithNext().any { (from, to) -> box.isCrossed(from.there(), to.there()) }
        is Shape.Dot -> round(at, radiusPt)
        is Shape.Ring -> round(at, radiusPt)
        is Shape.Area, is Shape.Arc, is Shape.Text, is Shape.Newer -> false
    }
}

/** Whether a part of the line from one place to another lies within. */
private fun Rect.isCrossed(from: Offset, to: Offset): Boolean {
    var begin = 0f
    var end = 1f
    for ((start, way, sides) in listOf(Triple(from.x, to.x - from.x, left to right), Triple(from.y, to.y - from.y, top to bottom))) {
        if (way == 0f) {
            if (start <= sides.first || start >= sides.second) return false
        } else {
            val (near, far) = listOf((sides.first - start) / way, (sides.second - start) / way).sorted()
            begin = max(begin, near)
            end = min(end, far)
        }
    }
    return begin < end || begin == end && from == to
}

private fun blocks(scene: Scene, paints: Map<MarkRole, Paint>): List<List<Line>> {
    val found = mutableListOf<MutableList<Line>>()
    for (mark in scene.marks) {
        val text = mark.shape as? Shape.Text ?: continue
        val line = Line(text, paints[mark.role] ?: continue)
        val before = found.lastOrNull()?.last()?.text
        val below = before != null && before.anchor == text.anchor && abs(before.at.xPt - text.at.xPt) < SAME_PLACE_PT &&
            text.at.yPt > before.at.yPt && text.at.yPt - before.at.yPt < LINES_APART * max(text.sizePt, before.sizePt)
        if (below) found.last().add(line) else found.add(mutableListOf(line))
    }
    return found
}

/** So far letters stay from the edge of a drawing. */
private const val EDGE_PT = 3f

/** What would be drawn smaller than so much of what it should be has no room. */
private const val SMALLER = 0.85f

/** Texts so close under each other, in parts of their size, are read together. */
private const val LINES_APART = 1.6

private const val SAME_PLACE_PT = 0.5

/** So much of a line's height is left between what was moved, or is only a mark, and what it would lie on. */
private const val APART = 0.2f

/** A drawing whose letters are so nearly large enough is one for a phone. */
private const val NEARLY = 0.9f

/** What was moved by more than so much of its line stands elsewhere. */
private const val PUSHED = 0.5f
