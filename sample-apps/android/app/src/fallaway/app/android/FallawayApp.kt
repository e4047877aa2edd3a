package fallaway.app.android

import android.app.Application
import fallaway.FallawayException
import fallaway.HttpTransport
import fallaway.Moment
import fallaway.SecretKeeper
import fallaway.SyncOutcome
import fallaway.UrlConnectionTransport
import fallaway.Workshop
import fallaway.android.KeystoreKeeper
import fallaway.app.Nearby
import fallaway.open
import fallaway.setVoice
import java.io.File
import java.time.OffsetDateTime
import java.util.concurrent.Executor
import java.util.concurrent.Executors

/** The process: one workshop, and one thread on which its calls are made, one after the other. */
open class FallawayApp : Application() {
    private var workshop: Workshop? = null

    /** Where the core is called: never on the thread that draws. */
    open val hand: Executor by lazy { Executors.newSingleThreadExecutor() }

    /** Where the network and other phones are waited for. */
    open val apart: Executor by lazy { Executors.newCachedThreadPool() }

    /** The way to a relay. */
    open val http: HttpTransport by lazy { UrlConnectionTransport() }

    /** The way to a phone in the same room. */
    open val nearby: Nearby by lazy { NetworkNearby(this) }

    /** Who keeps the device's secrets. */
    open fun keeper(): SecretKeeper = KeystoreKeeper(this)

    /** The phone's clock. */
    open fun now(): Moment = OffsetDateTime.now().let { Moment(it.toEpochSecond(), it.offset.totalSeconds / 60) }

    /** The workshop of this device; what it throws while the phone is locked is said and tried again. */
    @Synchronized
    open fun workshop(): Workshop = workshop ?: run {
        val language = resources.configuration.locales[0].language
        if (language in fallaway.languages()) setVoice(language)
        Workshop.open(File(filesDir, "workshop"), android.os.Build.MODEL ?: "phone", keeper()).also { workshop = it }
    }

    /** Writes home what is open, when nothing of the app is seen, and asks for the network once. */
    fun pause() {
        hand.execute { workshop?.pause() }
        Exchanging.ask(this)
    }

    /** Exchanges every instrument that has a relay with it; says whether nothing is left to be tried again. */
    fun exchange(): Boolean = try {
        workshop().sync(http).all { it.failed == null && it.report?.outcome !is SyncOutcome.Later }
    } catch (_: FallawayException) {
        false
    }
}
