/** What the screens ask of what they are drawn on: a computer. */
package fallaway.app.view

import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.toComposeImageBitmap
import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontVariation
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.platform.Font
import fallaway.app.preview.spoken
import org.jetbrains.skia.Image

/** A phone's letters, which a computer does not have: one file, of which each weight is drawn. */
val letters: FontFamily by lazy {
    FontFamily(
        listOf(FontWeight.Normal, FontWeight.Medium, FontWeight.SemiBold, FontWeight.Bold).map {
            Font("Roboto.ttf", it, variationSettings = FontVariation.Settings(FontVariation.weight(it.weight)))
        },
    )
}

/** What a screen reader says of the way back, in a language of the person's choice or the computer's. */
@Composable
fun wayBack(language: String?): String = remember(language) { spoken(language, "platform.xml").texts.getValue("back") }

/** The picture of a file; `null` if it is none. */
fun decoded(file: ByteArray): ImageBitmap? = try {
    Image.makeFromEncoded(file).toComposeImageBitmap()
} catch (_: IllegalArgumentException) {
    null
}
