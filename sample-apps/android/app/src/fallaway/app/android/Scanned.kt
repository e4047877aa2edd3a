package fallaway.app.android

import android.graphics.Bitmap
import com.google.zxing.BinaryBitmap
import com.google.zxing.RGBLuminanceSource
import com.google.zxing.ReaderException
import com.google.zxing.common.HybridBinarizer
import com.google.zxing.qrcode.QRCodeReader

/** What a code in a picture says; `null` if there is none. */
fun codeIn(picture: Bitmap): String? {
    val pixels = IntArray(picture.width * picture.height)
    picture.getPixels(pixels, 0, picture.width, 0, 0, picture.width, picture.height)
    val source = RGBLuminanceSource(picture.width, picture.height, pixels)
    return try {
        QRCodeReader().decode(BinaryBitmap(HybridBinarizer(source))).text
    } catch (_: ReaderException) {
        null
    }
}
