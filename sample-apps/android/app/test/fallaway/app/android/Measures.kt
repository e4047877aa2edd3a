package fallaway.app.android

import androidx.activity.compose.setContent
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.onNodeWithTag
import androidx.compose.ui.test.performClick
import androidx.test.core.app.ActivityScenario
import fallaway.app.Day
import fallaway.app.Look
import fallaway.app.Phone
import fallaway.app.Playing
import fallaway.app.view.Designed
import fallaway.app.view.ScreenView
import fallaway.app.view.Shown
import java.lang.management.ManagementFactory
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/** What screens cost on this machine: nothing of a phone follows from it but the proportions. */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-xxhdpi", application = TestApp::class)
class Measures {
    @get:Rule val rule = createEmptyComposeRule()

    @Test
    fun measure() {
        val texts = AndroidTexts(RuntimeEnvironment.getApplication(), "en")
        Playing("en", texts).use { playing ->
            Day.steps.forEach(playing::play)
            val tech = playing.phones.getValue("tech")
            fun phone() = Phone(tech.workshop, { texts }, tech.now)
            timed("list and numbers, view models") { phone().apply { tap("instrument.1") }.elements() }
            val phone = phone().apply { tap("instrument.1") }
            timed("plan with its dials, view models") { phone.tap("tab.plan"); phone.elements() }
            timed("history, view models") { phone.tap("tab.history"); phone.elements() }
            phone.tap("tab.more")
            phone.tap("clearance")
            var at = 0
            timed("a move of the clearance slider, view models") { phone.type("rise", "${at++ % 20 / 20.0}"); phone.elements() }
            emptyActivity().use { scenario ->
                var shown by mutableStateOf(Shown.of(phone))
                scenario.onActivity { activity -> activity.setContent { Designed(Look(), false) { ScreenView(shown, {}, { _, _ -> }) } } }
                timed("the same, composed, laid out and drawn") {
                    phone.type("rise", "${at++ % 20 / 20.0}")
                    shown = Shown.of(phone)
                    rule.waitForIdle()
                }
            }
            TestApp.of(tech)
            val began = System.nanoTime()
            ActivityScenario.launch(MainActivity::class.java).use {
                rule.onNodeWithTag("instrument.1").performClick()
                rule.onNodeWithTag("line.1").assertExists()
                println("from starting the activity to numbers, two screens: ${(System.nanoTime() - began) / 1_000_000} ms")
            }
            System.gc()
            val used = Runtime.getRuntime().run { totalMemory() - freeMemory() } / 1_000_000
            println("heap after: $used MB; from the start of Java: ${ManagementFactory.getRuntimeMXBean().uptime} ms")
        }
    }

    private fun timed(what: String, one: () -> Unit) {
        repeat(20) { one() }
        val times = LongArray(100) { System.nanoTime().let { began -> one(); System.nanoTime() - began } }.sorted()
        println("%s: median %.2f ms, 95th %.2f ms".format(what, times[49] / 1e6, times[94] / 1e6))
    }
}
