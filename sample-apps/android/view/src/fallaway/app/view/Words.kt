package fallaway.app.view

import androidx.compose.material3.Text
import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.Modifier
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.style.TextAlign

/** A text of a screen, broken where nobody stumbles over it. */
@Composable
fun Words(text: String, modifier: Modifier = Modifier, style: TextStyle, textAlign: TextAlign? = null, maxLines: Int = Int.MAX_VALUE) =
    Text(remember(text) { held(text) }, modifier, style = style, textAlign = textAlign, maxLines = maxLines)

/** The text with no line's end between what is read in one: a number and its unit, a string and its note, a fret and its number, a whole and its fraction. */
fun held(text: String): String = TOGETHER.fold(text) { so, one -> one.replace(so, "\u00A0") }

/** The spaces at which no line ends. */
private val TOGETHER = listOf(
    Regex("(?<=[0-9]) (?=(?:mm|in|Zoll|thou|Hz|N|cents?|Cent|%)(?!\\p{L}))"),
    Regex("(?<=(?:fret|string|saddle|course|Saite|Reiter)) (?=[0-9])", RegexOption.IGNORE_CASE),
    Regex("(?<=[0-9]\\.) (?=Bund)"),
    Regex("(?<=[0-9]) (?=(?:to|zu) 1(?![0-9]))"),
    Regex("(?<=[0-9]\u00A0(?:to|zu)) (?=1(?![0-9]))"),
    Regex("(?<=±) (?=[0-9])"),
    Regex("(?<=[0-9]) (?=[0-9]+/[0-9])"),
    Regex("(?<=[0-9]) (?=\\(\\p{Lu}[^ )]{0,3}\\))"),
    // What is short does not end a text of several words on a line of its own.
    Regex("(?<= [^ ]{1,40}) (?=[^ ]{1,2}$)"),
)
