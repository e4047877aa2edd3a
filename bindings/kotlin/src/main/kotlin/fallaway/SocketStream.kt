package fallaway

import java.io.IOException
import java.net.Socket
import java.net.SocketTimeoutException
import java.util.Timer
import java.util.concurrent.atomic.AtomicBoolean
import kotlin.concurrent.schedule

/**
 * Carries a meeting over a connected [Socket]. Close the socket when the meeting is over: the other device
 * waits for that.
 *
 * On Android the app needs the permission `android.permission.INTERNET`, and a call must not be made on the
 * main thread.
 *
 * @property socket The connection; a call that takes longer than it may closes it.
 */
public class SocketStream(public val socket: Socket) : ByteStream {
    // A socket has no time for writing. The timer's thread ends with this stream.
    private val watch by lazy { Timer("fallaway stream", true) }

    /**
     * Waits for bytes; called by the library.
     *
     * @throws StreamException if none came in time, or the connection is gone.
     */
    override fun read(most: UInt, timeoutMs: UInt): ByteArray = try {
        socket.soTimeout = timeoutMs.toInt().coerceAtLeast(1)
        val piece = ByteArray(most.toInt().coerceIn(1, LARGEST))
        val count = socket.getInputStream().read(piece)
        piece.copyOf(count.coerceAtLeast(0))
    } catch (e: SocketTimeoutException) {
        throw StreamException.Slow(said(e))
    } catch (e: IOException) {
        throw StreamException.Gone(said(e))
    }

    /**
     * Sends all of these; called by the library.
     *
     * @throws StreamException if that took too long, or the connection is gone.
     */
    override fun write(bytes: ByteArray, timeoutMs: UInt) {
        val late = AtomicBoolean()
        val watching = watch.schedule(timeoutMs.toLong().coerceAtLeast(1)) {
            late.set(true)
            socket.close()
        }
        try {
            socket.getOutputStream().write(bytes)
        } catch (e: IOException) {
            throw if (late.get()) StreamException.Slow(said(e)) else StreamException.Gone(said(e))
        } finally {
            watching.cancel()
        }
    }

    /** The kind of a failure and not its words, which may hold the address. */
    private fun said(e: IOException): String = e.javaClass.simpleName

    private companion object {
        const val LARGEST = 65_536
    }
}
