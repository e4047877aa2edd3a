package fallaway.app.view

import androidx.compose.foundation.isSystemInDarkTheme
import androidx.compose.material3.MaterialTheme
import androidx.compose.material3.Typography
import androidx.compose.material3.darkColorScheme
import androidx.compose.material3.lightColorScheme
import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.Immutable
import androidx.compose.runtime.staticCompositionLocalOf
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.style.LineBreak
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.dp
import androidx.compose.ui.unit.sp
import fallaway.Theme
import fallaway.app.Look

/**
 * The whole design: colours by what they mean, type, and space. Form carries the meaning and colour repeats it;
 * there is no red against green, and strings have no colours. The drawings' own paints come from the core.
 *
 * @property paper the ground.
 * @property ink numbers and text.
 * @property quiet labels.
 * @property line rules and frames.
 * @property act what can be touched, and what to do.
 * @property onAct text on a filled button.
 * @property caution what to look out for.
 * @property wash bands and cards.
 */
@Immutable
class Design(
    val theme: Theme,
    val paper: Color,
    val ink: Color,
    val quiet: Color,
    val line: Color,
    val act: Color,
    val onAct: Color,
    val caution: Color,
    val wash: Color,
) {
    /** Whether numbers are as large as they can be. */
    val stage: Boolean get() = theme == Theme.STAGE

    /** A number that is read at arm's length. */
    val number: TextStyle get() = figures.copy(fontSize = if (stage) 64.sp else 34.sp, lineHeight = if (stage) 72.sp else 42.sp, color = ink)

    /** The one number of a screen. */
    val large: TextStyle get() = figures.copy(fontSize = if (stage) 64.sp else 48.sp, lineHeight = if (stage) 72.sp else 56.sp, color = ink)

    val title = TextStyle(fontSize = 24.sp, lineHeight = 32.sp, fontWeight = FontWeight.SemiBold, fontFamily = letters, lineBreak = LineBreak.Heading, color = ink)
    val heading = TextStyle(fontSize = 18.sp, lineHeight = 24.sp, fontWeight = FontWeight.SemiBold, fontFamily = letters, lineBreak = LineBreak.Heading, color = ink)
    val body = TextStyle(fontSize = 17.sp, lineHeight = 24.sp, fontFamily = letters, color = ink)
    val label = TextStyle(fontSize = 15.sp, lineHeight = 20.sp, fontFamily = letters, color = quiet)
    val key = figures.copy(fontSize = 22.sp, lineHeight = 28.sp, color = ink)

    companion object {
        /** Figures of one width, so that numbers under each other line up. */
        private val figures = TextStyle(fontFeatureSettings = "tnum", fontWeight = FontWeight.Medium, fontFamily = letters)

        val LIGHT = Design(
            Theme.LIGHT, Color(0xFFFAF9F6), Color(0xFF1C1F22), Color(0xFF5B6168), Color(0xFF8A9096),
            Color(0xFF005A6E), Color(0xFFFFFFFF), Color(0xFF8F3D00), Color(0xFFE7ECEA),
        )
        val DARK = Design(
            Theme.DARK, Color(0xFF15181B), Color(0xFFECEAE4), Color(0xFFA6ACB2), Color(0xFF6F767D),
            Color(0xFF7CCFE0), Color(0xFF10262C), Color(0xFFF0A868), Color(0xFF23292C),
        )
        val STAGE = Design(
            Theme.STAGE, Color(0xFF000000), Color(0xFFF4F1EA), Color(0xFFB9B6AF), Color(0xFF7A7872),
            Color(0xFF9ADCEA), Color(0xFF001A20), Color(0xFFFFBE7D), Color(0xFF141414),
        )

        /** What is drawn with now. */
        val now: Design @Composable get() = local.current

        internal val local = staticCompositionLocalOf { LIGHT }
    }
}

/** Space in steps of eight, and the least that a finger meets. */
object Space {
    val half: Dp = 4.dp
    val one: Dp = 8.dp
    val two: Dp = 16.dp
    val three: Dp = 24.dp
    val finger: Dp = 48.dp

    /** A line of text longer than this is hard to follow. */
    val column: Dp = 640.dp
}

/** What the library's own controls write with. */
private val TYPE = Typography().run {
    copy(bodyLarge = bodyLarge.copy(fontFamily = letters), bodySmall = bodySmall.copy(fontFamily = letters))
}

/** Draws with the design that the phone and the person ask for. */
@Composable
fun Designed(look: Look, dark: Boolean = isSystemInDarkTheme(), content: @Composable () -> Unit) {
    val design = if (look.stage) Design.STAGE else if (dark) Design.DARK else Design.LIGHT
    val base = if (design.theme == Theme.LIGHT) lightColorScheme() else darkColorScheme()
    val scheme = base.copy(
        primary = design.act, onPrimary = design.onAct, surface = design.paper, onSurface = design.ink,
        background = design.paper, onBackground = design.ink, onSurfaceVariant = design.quiet, outline = design.line,
        surfaceVariant = design.wash, secondaryContainer = design.wash, onSecondaryContainer = design.ink,
        surfaceContainerHighest = design.wash, outlineVariant = design.line,
    )
    val phone = LocalDensity.current
    val sized = Density(phone.density, phone.fontScale * look.size / 100)
    CompositionLocalProvider(Design.local provides design, LocalDensity provides sized) {
        MaterialTheme(colorScheme = scheme, typography = TYPE, content = content)
    }
}
