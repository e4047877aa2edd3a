package fallaway.app.preview

import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import fallaway.Moment
import fallaway.UrlConnectionTransport
import fallaway.Workshop
import fallaway.app.Effect
import fallaway.app.Phone
import fallaway.app.XmlTexts
import fallaway.app.view.Shown
import fallaway.open
import fallaway.setVoice
import java.io.File
import java.time.OffsetDateTime
import java.util.Locale
import java.util.concurrent.Executor

/** The app's texts out of a file of its resources, in a language of the person's choice or the computer's. */
fun spoken(language: String?, file: String = "strings.xml") =
    XmlTexts(File(System.getProperty("fallaway.root") ?: "../../..", "sample-apps/android/app/res"), language ?: Locale.getDefault().language, file)

/** Opens the workshop, and does what is to be done first. */
fun opened(asked: Asked): Phone {
    Locale.setDefault(Locale.forLanguageTag(asked.language))
    val workshop = Workshop.open(asked.data, "tech")
    if (workshop.preferences().language == null) setVoice(asked.language)
    val now = { OffsetDateTime.now().let { Moment(it.toEpochSecond(), it.offset.totalSeconds / 60) } }
    return Phone(workshop, { spoken(it) }, now, UrlConnectionTransport())
}

/**
 * The phone on a computer: taps go to the view models, and what they show is seen.
 *
 * @param hand where the core is called, one call after the other.
 * @param outside does what a phone would do for the app.
 */
class Desk(private val phone: Phone, private val hand: Executor, private val outside: Desk.(Effect) -> Unit) : AutoCloseable {
    /** What is seen now. */
    var shown by mutableStateOf(Shown.of(phone))
        private set

    fun tap(id: String) = after { it.tap(id) }

    fun tapInList(id: String) = after { it.tapInList(id) }

    fun type(id: String, text: String) = after { it.type(id, text) }

    /** Does something with the phone, and shows what came of it. */
    fun after(what: (Phone) -> Unit): Unit = hand.execute {
        what(phone)
        generateSequence { phone.effects.removeFirstOrNull() }.forEach { outside(it) }
        shown = Shown.of(phone)
    }

    override fun close() = phone.workshop.close()
}
