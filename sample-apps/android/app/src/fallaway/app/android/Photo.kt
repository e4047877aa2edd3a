package fallaway.app.android

import android.graphics.Bitmap
import android.graphics.BitmapFactory
import android.graphics.Matrix
import android.media.ExifInterface
import androidx.compose.foundation.Image
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.Modifier
import androidx.compose.ui.graphics.asImageBitmap
import androidx.compose.ui.layout.ContentScale
import androidx.compose.ui.platform.testTag
import fallaway.app.Element

/** A photo, as wide as there is room. */
@Composable
fun Photo(one: Element) {
    val image = remember(one.picture) { one.picture?.let(::decoded)?.asImageBitmap() } ?: return
    Image(image, one.spoken, Modifier.fillMaxWidth().testTag(one.id), contentScale = ContentScale.FillWidth)
}

/** The side in pixels beyond which no screen shows more. */
private const val LARGE = 2048

/** The picture of a file, no larger than it is worth, with the side up that the file says. */
internal fun decoded(file: ByteArray): Bitmap? {
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
        else -> return picture
    }
    return Bitmap.createBitmap(picture, 0, 0, picture.width, picture.height, Matrix().apply { postRotate(turn) }, true)
}
