package fallaway.app.android

import android.content.ComponentName
import androidx.activity.ComponentActivity
import androidx.test.core.app.ActivityScenario
import fallaway.Moment
import fallaway.SecretKeeper
import fallaway.Workshop
import fallaway.app.NoNetwork
import fallaway.app.Phone
import java.util.concurrent.Executor
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf

/** The app in a test: its workshop is given, and its calls are made at once. */
class TestApp : FallawayApp() {
    override val hand = Executor { it.run() }

    override val apart = hand

    override val http = NoNetwork

    override fun keeper(): SecretKeeper = error("a test gives the workshop")

    override fun now(): Moment = clock()

    override fun workshop(): Workshop = open()

    companion object {
        /** The workshop of the next activity. */
        var open: () -> Workshop = { error("no workshop was given") }

        /** The clock of the next activity. */
        var clock: () -> Moment = { Moment(1_759_737_600, 60) }

        /** Gives both of a phone. */
        fun of(phone: Phone) {
            open = { phone.workshop }
            clock = phone.now
        }
    }
}

/** An activity of no app, in which a test shows screens of its own. */
fun emptyActivity(): ActivityScenario<ComponentActivity> {
    val app = RuntimeEnvironment.getApplication()
    shadowOf(app.packageManager).addActivityIfNotPresent(ComponentName(app, ComponentActivity::class.java))
    return ActivityScenario.launch(ComponentActivity::class.java)
}
