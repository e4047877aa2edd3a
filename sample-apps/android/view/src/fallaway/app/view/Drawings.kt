package fallaway.app.view

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.Spacer
import androidx.compose.foundation.layout.aspectRatio
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.CacheDrawScope
import androidx.compose.ui.draw.drawBehind
import androidx.compose.ui.draw.drawWithCache
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Canvas
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.PathEffect
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.drawscope.CanvasDrawScope
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.graphics.drawscope.translate
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.dp
import com.google.zxing.BarcodeFormat
import com.google.zxing.EncodeHintType
import com.google.zxing.qrcode.QRCodeWriter
import com.google.zxing.qrcode.decoder.ErrorCorrectionLevel
import fallaway.Anchor
import fallaway.Colour
import fallaway.MarkRole
import fallaway.Paint
import fallaway.Scene
import fallaway.Shape
import fallaway.Spot
import fallaway.Theme
import fallaway.look
import kotlin.math.PI
import kotlin.math.abs
import kotlin.math.ceil
import kotlin.math.cos
import kotlin.math.min
import kotlin.math.sin

/** The core's own paints, asked for once. */
private val PAINTS = Theme.entries.associateWith { lazy { look(it).paints.associateBy { one -> one.role } } }

/** A part of a drawing's width, from 0 to 1. */
class Part(val from: Float, val to: Float)

/** The paints of a drawing as it is seen now. */
@Composable
fun paints(): Map<MarkRole, Paint> = PAINTS.getValue(Design.now.theme).value

/** A drawing's letters, none smaller than [point] for each of its points, in a drawing so wide. */
@Composable
fun lettered(scene: Scene, wide: Dp, point: Dp): Lettered {
    val density = LocalDensity.current
    val measurer = rememberTextMeasurer(TEXTS)
    val paints = paints()
    return remember(scene, wide, point, density, measurer, paints) {
        with(density) { measurer.lettered(scene, paints, wide.toPx(), point.toPx(), READABLE.toPx()) { it.toSp() } }
    }
}

/** A point of a drawing's letters is at least so large: its smallest are of 9 points. */
internal val READABLE = 1.33.dp

/** So many texts of a drawing are not measured anew where a number changes. */
private const val TEXTS = 64

/**
 * A drawing of the core: its marks with the core's own paints, so wide, with these letters.
 *
 * @param kept whether it is kept as a picture: what moves beside it is shown without each of its marks being painted anew.
 */
@Composable
fun Drawn(scene: Scene, wide: Dp, lettered: Lettered = lettered(scene, wide, 0.dp), kept: Boolean = false) {
    val paints = paints()
    val high = with(LocalDensity.current) { lettered.high.toDp() }
    val all: DrawScope.() -> Unit = {
        val scale = size.width / scene.widthPt.toFloat()
        translate(top = lettered.down) { marks(scene, paints, scale) }
        for (one in lettered.letters) drawText(one.laid, topLeft = one.at)
    }
    val drawn = if (kept) {
        Modifier.drawWithCache {
            val picture = picture(all)
            onDrawBehind { drawImage(picture) }
        }
    } else {
        Modifier.drawBehind(all)
    }
    Spacer(Modifier.size(wide, high).then(drawn))
}

/** What is drawn so, as a picture. */
private fun CacheDrawScope.picture(all: DrawScope.() -> Unit) = ImageBitmap(ceil(size.width).toInt(), ceil(size.height).toInt()).also {
    CanvasDrawScope().draw(this, layoutDirection, Canvas(it), size, all)
}

/** All of a drawing without its letters: which [part] of it is looked at is to be seen. */
@Composable
fun Overview(scene: Scene, part: Part, modifier: Modifier = Modifier) {
    val act = Design.now.act
    val paints = paints()
    Canvas(modifier.aspectRatio((scene.widthPt / scene.heightPt).toFloat())) {
        marks(scene, paints, size.width / scene.widthPt.toFloat())
        drawRect(act, Offset(part.from * size.width, 0f), Size((part.to - part.from) * size.width, size.height), style = Stroke(1.dp.toPx()))
    }
}

private fun DrawScope.marks(scene: Scene, paints: Map<MarkRole, Paint>, scale: Float) {
    for (mark in scene.marks) paints[mark.role]?.let { shape(mark.shape, mark.role, it, scale) }
}

/** A drawing without the words that begin beside what it shows, as wide and as high as that: where they stand as text. */
fun Scene.withoutWordsBeside(): Scene {
    val left = marks.filterNot { mark -> mark.shape.let { it is Shape.Text && it.anchor == Anchor.START } }
    val spots = spots()
    if (spots.isEmpty()) return this
    // As much room at its end as before it.
    return copy(
        widthPt = spots.minOf { it.xPt } + spots.maxOf { it.xPt }, heightPt = spots.minOf { it.yPt } + spots.maxOf { it.yPt },
        marks = left,
    )
}

/** How far everything goes that is no letter. */
internal fun Scene.spots(): List<Spot> = marks.flatMap { mark ->
    when (val shape = mark.shape) {
        is Shape.Line -> shape.places
        is Shape.Area -> shape.places
        is Shape.Dot -> around(shape.at, shape.radiusPt)
        is Shape.Ring -> around(shape.at, shape.radiusPt)
        is Shape.Arc -> around(shape.at, shape.radiusPt)
        is Shape.Text, is Shape.Newer -> emptyList()
    }
}

private fun around(middle: Spot, radius: Double) =
    listOf(Spot(middle.xPt - radius, middle.yPt - radius), Spot(middle.xPt + radius, middle.yPt + radius))

internal fun Colour.shown() = Color(red.toFloat(), green.toFloat(), blue.toFloat())

private fun DrawScope.shape(shape: Shape, role: MarkRole, paint: Paint, scale: Float) {
    fun Spot.there() = Offset(xPt.toFloat() * scale, yPt.toFloat() * scale)
    val colour = paint.colour.shown()
    val dash = paint.dash
    val stroke = Stroke(
        width = paint.widthPt.toFloat() * scale,
        cap = StrokeCap.Round,
        pathEffect = dash?.let { PathEffect.dashPathEffect(floatArrayOf(it.onPt.toFloat() * scale, it.offPt.toFloat() * scale)) },
    )
    when (shape) {
        is Shape.Line -> {
            val places = shape.places.map { it.there() }
            drawPath(path(places), colour, style = stroke)
            if (shape.arrow && places.size > 1) head(places[places.size - 2], places.last(), colour, 6f * scale)
        }
        is Shape.Area -> drawPath(path(shape.places.map { it.there() }).apply { close() }, colour)
        is Shape.Dot -> {
            val radius = shape.radiusPt.toFloat() * scale
            if (role == MarkRole.FORECAST) drawCircle(colour, radius, shape.at.there(), style = stroke) else drawCircle(colour, radius, shape.at.there())
        }
        is Shape.Ring -> {
            // A ring is small: dashes would leave nothing of it.
            val whole = Stroke(width = paint.widthPt.toFloat() * scale)
            drawCircle(colour, shape.radiusPt.toFloat() * scale, shape.at.there(), style = whole)
        }
        is Shape.Arc -> arc(shape, shape.at.there(), colour, stroke, scale)
        is Shape.Text, is Shape.Newer -> Unit
    }
}

/** A phone's letters may be wider than those that the drawing was laid out with: smaller ones, where they would leave it. */
fun TextMeasurer.fitting(text: String, style: TextStyle, room: Float): TextLayoutResult {
    var laid = measure(text, style, softWrap = false, maxLines = 1)
    // A phone's large letters do not grow in proportion: made smaller once, they may still be too wide.
    while (laid.size.width > room && room >= 1f) {
        val smaller = laid.layoutInput.style.fontSize * (room / (laid.size.width + 1))
        laid = measure(text, style.copy(fontSize = smaller), softWrap = false, maxLines = 1)
    }
    return laid
}

private fun path(places: List<Offset>) = Path().apply {
    places.forEachIndexed { at, place -> if (at == 0) moveTo(place.x, place.y) else lineTo(place.x, place.y) }
}

/** An arc from twelve o'clock, clockwise if its sweep is positive, with its head. */
private fun DrawScope.arc(arc: Shape.Arc, middle: Offset, colour: Color, stroke: Stroke, scale: Float) {
    val radius = arc.radiusPt.toFloat() * scale
    val sweep = arc.sweepDegrees.toFloat()
    drawArc(colour, -90f, sweep, false, middle - Offset(radius, radius), Size(2 * radius, 2 * radius), style = stroke)
    if (abs(sweep) < 1f) return
    fun at(degrees: Float): Offset {
        val turn = (degrees - 90f) * PI.toFloat() / 180f
        return middle + Offset(cos(turn), sin(turn)) * radius
    }
    head(at(sweep - 8f * if (sweep > 0) 1 else -1), at(sweep), colour, 8f * scale)
}

/** The head of an arrow. */
private fun DrawScope.head(from: Offset, to: Offset, colour: Color, long: Float) {
    val along = to - from
    val length = along.getDistance()
    if (length == 0f) return
    val back = along / length * long
    val aside = Offset(-back.y, back.x) * 0.5f
    drawPath(path(listOf(to, to - back + aside, to - back - aside)).apply { close() }, colour)
}

/** A code that a camera reads, black on white in every theme. */
@Composable
fun Code(text: String, modifier: Modifier = Modifier) {
    val cells = remember(text) {
        val hints = mapOf(EncodeHintType.MARGIN to 4, EncodeHintType.ERROR_CORRECTION to ErrorCorrectionLevel.M)
        QRCodeWriter().encode(text, BarcodeFormat.QR_CODE, 0, 0, hints)
    }
    Canvas(modifier.size(240.dp)) {
        drawRect(Color.White)
        val side = min(size.width, size.height) / cells.width
        for (y in 0 until cells.height) {
            for (x in 0 until cells.width) {
                if (cells[x, y]) drawRect(Color.Black, Offset(x * side, y * side), Size(side + 0.5f, side + 0.5f))
            }
        }
    }
}
