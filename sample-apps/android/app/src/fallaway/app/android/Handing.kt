package fallaway.app.android

import android.content.ContentProvider
import android.content.ContentValues
import android.content.Context
import android.database.Cursor
import android.database.MatrixCursor
import android.net.Uri
import android.os.ParcelFileDescriptor
import android.provider.OpenableColumns
import java.io.File

/** Hands a file to the app that the person chose in the share sheet, and to no other. */
class Handing : ContentProvider() {
    override fun onCreate() = true

    private fun file(uri: Uri) = File(folder(checkNotNull(context)), uri.lastPathSegment.orEmpty().substringAfterLast('/'))

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor =
        ParcelFileDescriptor.open(file(uri), ParcelFileDescriptor.MODE_READ_ONLY)

    override fun query(uri: Uri, projection: Array<String>?, selection: String?, args: Array<String>?, order: String?): Cursor =
        MatrixCursor(arrayOf(OpenableColumns.DISPLAY_NAME, OpenableColumns.SIZE)).apply {
            addRow(arrayOf<Any>(file(uri).name, file(uri).length()))
        }

    override fun getType(uri: Uri) = type(uri.lastPathSegment.orEmpty())

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null

    override fun delete(uri: Uri, selection: String?, args: Array<String>?) = 0

    override fun update(uri: Uri, values: ContentValues?, selection: String?, args: Array<String>?) = 0

    companion object {
        /** What a sealed file is to other apps. */
        const val TYPE = "application/octet-stream"

        /** What a file of this name is to other apps. */
        fun type(name: String) = if (name.endsWith(".html")) "text/html" else TYPE

        private const val AUTHORITY = "fallaway.app.android.handing"

        private fun folder(context: Context) = File(context.cacheDir, "handing")

        /** Lays a file where the other app may read it; what was laid before is gone. */
        fun lay(context: Context, name: String, bytes: ByteArray): Uri {
            val folder = folder(context)
            folder.deleteRecursively()
            folder.mkdirs()
            File(folder, name).writeBytes(bytes)
            return Uri.Builder().scheme("content").authority(AUTHORITY).appendPath(name).build()
        }
    }
}
