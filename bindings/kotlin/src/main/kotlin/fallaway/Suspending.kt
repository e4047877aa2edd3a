package fallaway

import java.io.File
import kotlinx.coroutines.CoroutineDispatcher
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.ensureActive
import kotlinx.coroutines.isActive
import kotlinx.coroutines.withContext

/**
 * A handle whose calls suspend the caller and are made on a [dispatcher], so that no call blocks the
 * caller's thread. Every blocking call of [Workshop], [Instrument] and [ClearanceModel] is there once
 * more under its own name.
 *
 * ```
 * val workshop = Workshop.openOn(Dispatchers.IO, File(filesDir, "workshop"), "tech", keeper)
 * val bass = workshop.instrumentNamed("walnut bass")
 * show(bass.plan(SetupId("stage")))
 * ```
 *
 * Several calls in one hop, on the blocking handle: `bass { plan(SetupId("stage")) to card(SetupId("stage")) }`.
 *
 * What a call throws reaches the caller. A call that has begun runs to its end even if the coroutine
 * is cancelled meanwhile, for each is whole or not at all; those that take a [ProgressListener] are stopped,
 * and leave things as they were.
 *
 * For tests and previews [SuspendingWorkshop], [SuspendingInstrument] and [SuspendingClearanceModel]
 * can be implemented without a library: what is not overridden throws `UnsupportedOperationException`.
 */
public interface Suspending<out H : AutoCloseable> : AutoCloseable {
    /** The workshop, instrument or model itself, with its blocking calls. A stand-in has none. */
    public val handle: H get() = standIn("handle")

    /**
     * Where the calls are made. Its threads must be allowed to block: `Dispatchers.IO`, or an executor
     * of your own.
     */
    public val dispatcher: CoroutineDispatcher get() = Dispatchers.Unconfined

    /** Makes the blocking calls of [block] on the [dispatcher] and answers what it answers. */
    public suspend operator fun <R> invoke(block: H.() -> R): R =
        withContext(dispatcher) { handle.block() }

    /** Lets go of the handle. */
    override fun close(): Unit = Unit
}

/** What a stand-in was not told. */
internal fun standIn(name: String): Nothing =
    throw UnsupportedOperationException("this stand-in does not implement $name")

/** This workshop with calls that suspend, made on [dispatcher]. */
public fun Workshop.on(dispatcher: CoroutineDispatcher): SuspendingWorkshop =
    WorkshopOn(this, dispatcher)

/** This instrument with calls that suspend, made on [dispatcher]. */
public fun Instrument.on(dispatcher: CoroutineDispatcher): SuspendingInstrument =
    InstrumentOn(this, dispatcher)

/** This clearance model with questions that suspend, answered on [dispatcher]: for a slider. */
public fun ClearanceModel.on(dispatcher: CoroutineDispatcher): SuspendingClearanceModel =
    ClearanceModelOn(this, dispatcher)

/** The answer for the instrument as it stood when this model was made; it came with the model. */
public val SuspendingClearanceModel.opened: ClearanceAnswer get() = handle.opened()

/** What the answers of this model rest on; it came with the model. */
public val SuspendingClearanceModel.basis: ClearanceBasis get() = handle.basis()

/** The neck in profile as it was when this model was made; it came with the model. */
public val SuspendingClearanceModel.neck: Scene get() = handle.neck()

/**
 * Opens the workshop in [folder] without blocking the caller; its calls suspend, and are made on
 * [dispatcher]. Otherwise as [Workshop.Companion.open].
 */
@Suppress("NOTHING_TO_INLINE")
public suspend inline fun Workshop.Companion.openOn(
    dispatcher: CoroutineDispatcher,
    folder: File,
    label: String,
    keeper: SecretKeeper? = null,
    log: LogSink? = null,
    time: TimeSource? = null,
    random: RandomSource? = null,
): SuspendingWorkshop =
    withContext(dispatcher) { open(folder, label, keeper, log, time, random) }.on(dispatcher)

/** Brings the bundles of a file into the record that they belong to; stopped if the caller is cancelled. */
public suspend fun SuspendingWorkshop.bundleIn(
    bytes: ByteArray,
    progress: ProgressListener? = null,
): MergeReport = watching(progress) { watched -> bundleIn(bytes, watched) }

/** Joins the record of an invitation; [Workshop.accept] says with what. */
public suspend fun SuspendingWorkshop.accept(
    invitation: String,
    bundle: ByteArray,
): SuspendingInstrument = accept(invitation, bundle.direct())

/** Founds a record out of what [Instrument.export] wrote; see [Workshop.importRecord]. */
public suspend fun SuspendingWorkshop.importRecord(
    file: ByteArray,
    name: String? = null,
): SuspendingInstrument = importRecord(file.direct(), name)

/** Makes this device an owner of a record by its recovery words; see [Workshop.recover]. */
public suspend fun SuspendingWorkshop.recover(
    words: String,
    bundle: ByteArray,
): SuspendingInstrument = recover(words, bundle.direct())

/** A call that takes a [ProgressListener], stopped when the caller is cancelled. */
internal suspend fun <H : AutoCloseable, R> Suspending<H>.watching(
    progress: ProgressListener?,
    call: H.(ProgressListener) -> R,
): R = withContext(dispatcher) {
    val scope = this
    val watched = object : ProgressListener {
        override fun at(done: ULong, total: ULong): ControlFlow = when {
            !scope.isActive -> ControlFlow.BREAK
            progress != null -> progress.at(done, total)
            else -> ControlFlow.CONTINUE
        }
    }
    try {
        handle.call(watched)
    } catch (stopped: FallawayException.Cancelled) {
        // Cancelled from outside: the coroutine ends as any cancelled one does.
        ensureActive()
        throw stopped
    }
}
