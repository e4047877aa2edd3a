package fallaway

import java.time.Duration
import java.time.ZonedDateTime
import kotlinx.coroutines.channels.Channel.Factory.UNLIMITED
import kotlinx.coroutines.channels.awaitClose
import kotlinx.coroutines.delay
import kotlinx.coroutines.flow.Flow
import kotlinx.coroutines.flow.buffer
import kotlinx.coroutines.flow.callbackFlow
import kotlinx.coroutines.flow.conflate
import kotlinx.coroutines.flow.emptyFlow
import kotlinx.coroutines.flow.filter
import kotlinx.coroutines.flow.flow
import kotlinx.coroutines.flow.map
import kotlinx.coroutines.flow.merge
import kotlinx.coroutines.flow.onStart

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

/** The ids of the instruments that changed; see [Workshop.changes]. */
public fun SuspendingWorkshop.changes(): Flow<List<InstrumentId>> =
    handle.changes()

/** One item each time that this instrument changed; see [Workshop.changes]. */
public fun SuspendingWorkshop.changesOf(instrument: InstrumentId): Flow<Unit> =
    handle.changesOf(instrument)

/**
 * What a screen shows: [draw] at once, again after every change, whoever made it, and at the turn of a
 * day, which changes a plan and what is stale. Changes while it draws come to one more time. A stand-in
 * is drawn once.
 *
 * ```
 * val plan = workshop.drawn { bass.plan(setup) }
 * ```
 */
public fun <T> SuspendingWorkshop.drawn(draw: suspend () -> T): Flow<T> {
    val told = try {
        merge(changes().map { }, midnights())
    } catch (_: UnsupportedOperationException) {
        emptyFlow()
    }
    return told.onStart { emit(Unit) }.conflate().map { draw() }
}

private fun midnights(): Flow<Unit> = flow {
    while (true) {
        val now = ZonedDateTime.now()
        val tomorrow = now.toLocalDate().plusDays(1).atStartOfDay(now.zone)
        delay(Duration.between(now, tomorrow).toMillis())
        emit(Unit)
    }
}
