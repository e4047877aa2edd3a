package fallaway

import java.io.File
import java.nio.ByteBuffer

/**
 * Opens the workshop in [folder], which is created if need be.
 *
 * [label] is how this device is shown to others, such as "tech" (1 to 64 bytes). [keeper] keeps the
 * device's secrets: pass one that uses the platform's keystore on a phone, a [FileKeeper] elsewhere;
 * without one they lie in the folder "keys" inside [folder], which must then stay out of backups.
 * [log] takes lines for the app's log; [time] and [random] stand in for the device's own in tests.
 *
 * Closing the workshop lets go of it once its instruments are closed too; [shutDown][Workshop.shutDown]
 * does so at once, for every handle.
 *
 * @throws FallawayException.Storage for a folder that cannot be used.
 * @throws FallawayException.Keys if the keeper is locked, fails, or has lost the device's secrets.
 * @throws FallawayException.BadInput for the label.
 */
// Inline, so that the app carries the face that it was compiled on, not the one it runs with.
@Suppress("NOTHING_TO_INLINE")
public inline fun Workshop.Companion.open(
    folder: File,
    label: String,
    keeper: SecretKeeper? = null,
    log: LogSink? = null,
    time: TimeSource? = null,
    random: RandomSource? = null,
): Workshop = open(WorkshopOptions(folder.path, label, face = FACE), keeper, log, time, random)

/**
 * Calls [block] with this workshop and shuts it down when the block ends, however it ends: every
 * handle that came from it answers [FallawayException.Closed] from then on. What the block throws goes
 * before what the shutting down throws.
 */
public inline fun <R> Workshop.useThenShutDown(block: (Workshop) -> R): R = use {
    var failed: Throwable? = null
    try {
        block(it)
    } catch (e: Throwable) {
        failed = e
        throw e
    } finally {
        it.shutDownAfter(failed)
    }
}

/** Shuts down; what went wrong before goes before what goes wrong now. */
@PublishedApi
internal fun Workshop.shutDownAfter(failed: Throwable?) {
    try {
        shutDown()
    } catch (_: FallawayException.Closed) {
        // The block did it.
    } catch (e: FallawayException) {
        failed?.addSuppressed(e) ?: throw e
    }
}

/**
 * Brings the bundles of a file into the record that they belong to; [Workshop.bundleIn] says what
 * comes of it.
 */
public fun Workshop.bundleIn(bytes: ByteArray, progress: ProgressListener? = null): MergeReport =
    bundleIn(bytes.direct(), progress)

/** Joins the record of an invitation; [Workshop.accept] says with what. */
public fun Workshop.accept(invitation: String, bundle: ByteArray): Instrument =
    accept(invitation, bundle.direct())

/** Makes this device an owner of a record by its recovery words; see [Workshop.recover]. */
public fun Workshop.recover(words: String, bundle: ByteArray): Instrument =
    recover(words, bundle.direct())

/** Founds a record out of what [Instrument.export] wrote; see [Workshop.importRecord]. */
public fun Workshop.importRecord(file: ByteArray, name: String? = null): Instrument =
    importRecord(file.direct(), name)

/** What an invitation says, before it is accepted; [bundle] is the file that came with its words. */
public fun lookAtInvitation(invitation: String, bundle: ByteArray): InvitationInfo =
    lookAtInvitation(invitation, bundle.direct())

/** The same bytes where the library reads them, which has to be outside Java's heap. */
internal fun ByteArray.direct(): ByteBuffer =
    ByteBuffer.allocateDirect(size).also { it.duplicate().put(this) }

/** Which instrument this is; the same on every device. [Workshop.instrument] takes it. */
public val Instrument.id: InstrumentId get() = id()

/** The answer for the instrument as it stood when this model was made. */
public val ClearanceModel.opened: ClearanceAnswer get() = opened()

/** What the answers of this model rest on. */
public val ClearanceModel.basis: ClearanceBasis get() = basis()
