package android.content

import java.io.File

/** As much of Android's class as `KeystoreKeeper` uses. */
open class Context(val noBackupFilesDir: File)
