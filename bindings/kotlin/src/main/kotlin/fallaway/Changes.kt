package fallaway

import kotlinx.coroutines.channels.Channel.Factory.UNLIMITED
import kotlinx.coroutines.channels.awaitClose
import kotlinx.coroutines.flow.Flow
import kotlinx.coroutines.flow.buffer
import kotlinx.coroutines.flow.callbackFlow
import kotlinx.coroutines.flow.filter
import kotlinx.coroutines.flow.map

/**
 * The ids of the instruments that changed, list by list, as long as it is collected: read anew what
 * you show of them.
 *
 * Every collector has a listener of its own, which is cancelled when the collector ends, however it
 * ends. Nothing is lost while the collector is busy. The flow itself never ends; it fails with
 * [FallawayException.Closed] if the workshop is shut down already.
 */
public fun Workshop.changes(): Flow<List<InstrumentId>> = callbackFlow {
    val listening = listen(
        object : ChangeListener {
            // On the thread that made the change: handed over, and back to its work.
            override fun changed(instruments: List<InstrumentId>) {
                trySend(instruments)
            }
        },
    )
    awaitClose { listening.use { it.cancel() } }
}.buffer(UNLIMITED)

/** One item each time that this instrument changed; see [Workshop.changes]. */
public fun Workshop.changesOf(instrument: InstrumentId): Flow<Unit> =
    changes().filter { instrument in it }.map { }
