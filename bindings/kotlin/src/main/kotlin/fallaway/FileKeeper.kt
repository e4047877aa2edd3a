package fallaway

import java.io.IOException
import java.nio.ByteBuffer
import java.nio.channels.FileChannel
import java.nio.file.FileSystems
import java.nio.file.Files
import java.nio.file.NoSuchFileException
import java.nio.file.Path
import java.nio.file.StandardCopyOption.ATOMIC_MOVE
import java.nio.file.StandardOpenOption.CREATE
import java.nio.file.StandardOpenOption.TRUNCATE_EXISTING
import java.nio.file.StandardOpenOption.WRITE
import java.nio.file.attribute.FileAttribute
import java.nio.file.attribute.PosixFilePermissions

/**
 * Keeps each secret in a file of its own in [folder] that only its owner may read (where the file
 * system knows owners). For computers without a keystore; on Android keep them in the platform's
 * keystore.
 *
 * Leave the folder out of backups: a copy of it is a copy of the device's identity. Use one folder
 * for each workshop.
 *
 * @property folder where the files lie; it is created when the first secret is put.
 */
public class FileKeeper(public val folder: Path) : SecretKeeper {
    override fun get(name: String): KeptSecret = try {
        KeptSecret.Found(Files.readAllBytes(file(name)))
    } catch (_: NoSuchFileException) {
        KeptSecret.Absent
    } catch (e: IOException) {
        throw ForeignException.Failed("${file(name)} cannot be read: $e")
    }

    @Synchronized
    override fun put(name: String, secret: ByteArray) {
        try {
            Files.createDirectories(folder, *private("rwx------"))
            // Written beside it and moved over it: at every instant the old or the new one is there.
            val fresh = Files.createTempFile(folder, "fresh", ".tmp", *private("rw-------"))
            FileChannel.open(fresh, WRITE, CREATE, TRUNCATE_EXISTING).use { channel ->
                val bytes = ByteBuffer.wrap(secret)
                while (bytes.hasRemaining()) channel.write(bytes)
                channel.force(true)
            }
            Files.move(fresh, file(name), ATOMIC_MOVE)
        } catch (e: IOException) {
            throw ForeignException.Failed("${file(name)} cannot be written: $e")
        }
    }

    private fun file(name: String): Path =
        folder.resolve(name.map { if (it in 'a'..'z' || it in '0'..'9') it else '-' }.joinToString("") + ".secret")

    private fun private(mode: String): Array<FileAttribute<*>> =
        if ("posix" in FileSystems.getDefault().supportedFileAttributeViews()) {
            arrayOf(PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString(mode)))
        } else {
            emptyArray()
        }
}
