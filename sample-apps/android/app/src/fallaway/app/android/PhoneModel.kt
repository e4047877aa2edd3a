package fallaway.app.android

import android.content.Context
import android.os.Bundle
import androidx.lifecycle.SavedStateHandle
import androidx.lifecycle.ViewModel
import androidx.lifecycle.ViewModelProvider.AndroidViewModelFactory.Companion.APPLICATION_KEY
import androidx.lifecycle.createSavedStateHandle
import androidx.lifecycle.viewmodel.initializer
import androidx.lifecycle.viewmodel.viewModelFactory
import fallaway.FallawayException
import fallaway.app.Effect
import fallaway.app.Element
import fallaway.app.Look
import fallaway.app.Phone
import fallaway.app.Role
import fallaway.app.sentence
import fallaway.app.view.Shown
import kotlinx.coroutines.flow.MutableStateFlow
import kotlinx.coroutines.flow.StateFlow

/** What is seen where the workshop cannot be opened, and why: the keys are locked, for example. */
fun closed(context: Context, why: String) = Shown(
    "closed",
    listOf(
        Element("title", Role.HEADING, context.getString(R.string.cannot_open)),
        Element("reason", Role.BANNER, why.sentence()),
        Element("again", Role.BUTTON, context.getString(R.string.try_again), main = true),
    ),
    false, Look(),
)

/** Carries taps to the view models on the core's own thread, and what they show back. */
class PhoneModel(private val app: FallawayApp, private val saved: SavedStateHandle) : ViewModel() {
    private var phone: Phone? = null
    private val seen = MutableStateFlow(Shown("", emptyList(), false, Look()))

    /** What is seen now. */
    val shown: StateFlow<Shown> get() = seen

    /** Where the app is and what was typed, for a process that is ended at any moment. */
    @Volatile
    private var kept: Bundle = saved.get<Bundle>(KEPT) ?: Bundle.EMPTY

    init {
        saved.setSavedStateProvider(KEPT) { kept }
        app.hand.execute(::begin)
    }

    private fun begin() {
        try {
            val workshop = app.workshop()
            val before = saved.get<Bundle>(KEPT)
            val opened = Phone(workshop, { AndroidTexts(app, it) }, app::now, app.http, app.nearby)
            if (before != null) opened.restore(before.keySet().associateWith { before.getString(it).orEmpty() })
            phone = opened
            show(opened)
        } catch (locked: FallawayException) {
            seen.value = closed(app, locked.text())
        }
    }

    /** A tap. */
    fun tap(id: String) = onPhone { it.tap(id) }

    /** A text, or the place of a slider. */
    fun type(id: String, text: String) = onPhone { it.type(id, text) }

    /** A tap in the list that stands beside what is open. */
    fun tapInList(id: String) = onPhone { it.tapInList(id) }

    /** A file came. */
    fun receive(bytes: ByteArray) = onPhone { it.receive(bytes) }

    /** A code was read. */
    fun scanned(text: String) = onPhone { it.scanned(text) }

    /** A photo was chosen. */
    fun photographed(bytes: ByteArray) = onPhone { it.photographed(bytes) }

    /** The file went to another app. */
    fun handedOver() = onPhone { it.handedOver() }

    /** Something may have changed elsewhere. */
    fun changed() = onPhone { it.changed() }

    private fun onPhone(what: (Phone) -> Unit) = app.hand.execute {
        val phone = phone
        if (phone == null) {
            begin()
        } else {
            what(phone)
            show(phone)
        }
    }

    private fun show(phone: Phone) {
        kept = Bundle().apply { phone.kept().forEach(::putString) }
        val (apart, effects) = generateSequence { phone.effects.removeFirstOrNull() }.toList().partition { it is Effect.Apart }
        seen.value = Shown.of(phone, effects)
        for (one in apart.filterIsInstance<Effect.Apart>()) {
            app.apart.execute { one.work().let { then -> onPhone { then() } } }
        }
    }

    companion object {
        private const val KEPT = "phone"

        /** Makes it with the process's workshop. */
        val factory = viewModelFactory {
            initializer { PhoneModel(this[APPLICATION_KEY] as FallawayApp, createSavedStateHandle()) }
        }
    }
}
