package fallaway.app

import fallaway.ByteStream

/** Finds another phone in the room. Its calls block, and answer `null` if nobody came or [stop] was called. */
interface Nearby {
    /** Waits for the phone that is given these digits. */
    fun listen(digits: String): Connection?

    /** Goes to the phone that shows these digits. */
    fun find(digits: String): Connection?

    /** Ends the waiting. */
    fun stop()
}

/**
 * Two phones are connected.
 *
 * @property stream what carries the meeting.
 */
class Connection(val stream: ByteStream, private val end: () -> Unit) : AutoCloseable {
    override fun close() = end()
}
