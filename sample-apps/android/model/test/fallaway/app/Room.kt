package fallaway.app

import fallaway.ByteStream
import fallaway.StreamException
import java.util.concurrent.CompletableFuture
import java.util.concurrent.LinkedBlockingQueue
import java.util.concurrent.TimeUnit
import java.util.concurrent.locks.ReentrantLock
import kotlin.concurrent.withLock

/** Phones in one room, joined without a network: whoever listens waits until another one comes with its digits. */
class Room {
    private val lock = ReentrantLock()
    private val changed = lock.newCondition()
    private val listening = mutableMapOf<String, Pair<String, CompletableFuture<Connection?>>>()

    /** Who waits for another phone. */
    val waiting: Set<String> get() = lock.withLock { listening.values.map { it.first }.toSet() }

    /** Wakes whoever awaits something. */
    fun happened() = lock.withLock { changed.signalAll() }

    /** Waits until it holds. */
    fun await(holds: () -> Boolean) = lock.withLock { while (!holds()) changed.await() }

    /** The room as one of the phones has it. */
    fun of(label: String) = object : Nearby {
        override fun listen(digits: String): Connection? {
            val comes = CompletableFuture<Connection?>()
            lock.withLock { listening[digits] = label to comes }
            happened()
            return comes.get()
        }

        override fun find(digits: String): Connection? {
            val (_, comes) = lock.withLock { listening.remove(digits) } ?: return null
            val (there, back) = Pipe() to Pipe()
            comes.complete(connection(there, back))
            return connection(back, there)
        }

        override fun stop() = lock.withLock { listening.values.filter { it.first == label } }.forEach { mine ->
            lock.withLock { listening.values.remove(mine) }
            mine.second.complete(null)
        }
    }

    private fun connection(from: Pipe, to: Pipe): Connection {
        val stream = object : ByteStream {
            override fun read(most: UInt, timeoutMs: UInt) = from.take(most.toInt(), timeoutMs.toLong())

            override fun write(bytes: ByteArray, timeoutMs: UInt) = to.put(bytes)
        }
        return Connection(stream) { to.put(ByteArray(0)) }
    }

    /** Bytes one way; a piece without any is the end. */
    private class Pipe {
        private val pieces = LinkedBlockingQueue<ByteArray>()
        private var rest = ByteArray(0)

        fun put(bytes: ByteArray) = pieces.put(bytes)

        fun take(most: Int, timeoutMs: Long): ByteArray {
            if (rest.isEmpty()) rest = pieces.poll(timeoutMs, TimeUnit.MILLISECONDS) ?: throw StreamException.Slow("nothing came")
            val piece = rest.copyOf(minOf(most, rest.size))
            rest = rest.copyOfRange(piece.size, rest.size)
            return piece
        }
    }
}
