/** What the screens ask of what they are drawn on: an Android phone. */
package fallaway.app.view

import android.graphics.Bitmap
import android.graphics.BitmapFactory
import android.graphics.Matrix
import android.media.ExifInterface
import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.asImageBitmap
import androidx.compose.ui.platform.LocalContext
import androidx.compose.ui.text.font.FontFamily
import fallaway.app.android.R
import fallaway.app.android.speaking

/** The phone's own letters. */
val letters: FontFamily = FontFamily.Default

/** What a screen reader says of the way back, in a language of the person's choice or the phone's. */
@Composable
fun wayBack(language: String?): String {
    val context = LocalContext.current
    return remember(context, language) { context.speaking(language).getString(R.string.back) }
}

/** The side in pixels beyond which no screen shows more. */
private const val LARGE = 2048

/** The picture of a file, no larger than it is worth, with the side up that the file says. */
fun decoded(file: ByteArray): ImageBitmap? {
    val size = BitmapFactory.Options().apply { inJustDecodeBounds = true }
    BitmapFactory.decodeByteArray(file, 0, file.size, size)
    val options = BitmapFactory.Options().apply {
        inSampleSize = generateSequence(1) { it * 2 }.first { maxOf(size.outWidth, size.outHeight) / it <= LARGE }
    }
    val picture = BitmapFactory.decodeByteArray(file, 0, file.size, options) ?: return null
    val turn = when (ExifInterface(file.inputStream()).getAttributeInt(ExifInterface.TAG_ORIENTATION, 0)) {
        ExifInterface.ORIENTATION_ROTATE_90 -> 90f
        ExifInterface.ORIENTATION_ROTATE_180 -> 180f
        ExifInterface.ORIENTATION_ROTATE_270 -> 270f
        else -> return picture.asImageBitmap()
    }
    return Bitmap.createBitmap(picture, 0, 0, picture.width, picture.height, Matrix().apply { postRotate(turn) }, true).asImageBitmap()
}
