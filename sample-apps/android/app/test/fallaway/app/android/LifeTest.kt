package fallaway.app.android

import android.app.Activity
import android.app.job.JobScheduler
import android.content.Intent
import android.graphics.Bitmap
import android.graphics.Color
import android.os.Bundle
import android.provider.MediaStore
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.assertTextContains
import androidx.compose.ui.test.hasClickAction
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.onNodeWithTag
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollTo
import androidx.compose.ui.test.performTextInput
import androidx.lifecycle.Lifecycle
import androidx.test.core.app.ActivityScenario
import com.google.zxing.BarcodeFormat
import com.google.zxing.qrcode.QRCodeWriter
import fallaway.FallawayException
import fallaway.WhyKeys
import fallaway.app.Day
import fallaway.app.Playing
import fallaway.app.Role
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/** The real activity through the life of its process: nothing that was typed is lost. */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-xxhdpi", application = TestApp::class)
class LifeTest {
    @get:Rule val rule = createEmptyComposeRule()

    private fun playing() = Playing("en", AndroidTexts(RuntimeEnvironment.getApplication(), "en"))

    private fun tap(tag: String) {
        rule.onNodeWithTag(tag).performClick()
        rule.waitForIdle()
    }

    private fun far(tag: String) {
        rule.onNodeWithTag(tag).performScrollTo()
        tap(tag)
    }

    @Test
    fun anInstrumentIsAddedAndReadByFinger(): Unit = playing().use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use {
            tap("add")
            rule.onNodeWithTag("name").performTextInput("loan bass")
            far("save")
            rule.onNodeWithTag("title").assertTextContains("loan bass")
            tap("tab.read")
            far("quantity.2")
            far("tool")
            far("tool.1")
            listOf("key.5", "key.5", "key.5", "key.6").forEach(::tap)
            far("save")
            tap("tab.numbers")
            rule.onNodeWithTag("line.1").assertTextContains("5/64 in")
            far("stage")
            tap("back")
            rule.onNodeWithTag("instrument.1").assertIsDisplayed()
        }
    }

    @Test
    fun rotationAndTheEndOfTheProcessLoseNothing(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "key.7" }.forEach(playing::play)
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use { scenario ->
            tap("instrument.1")
            tap("tab.read")
            far("quantity.2")
            far("tool")
            far("tool.1")
            tap("key.6")
            rule.onNodeWithTag("cell.1").assertTextContains("6/64 in")
            scenario.recreate()
            rule.onNodeWithTag("cell.1").assertTextContains("6/64 in")
        }
    }

    @Test
    fun afterTheSystemEndedTheProcessAPassGoesOn(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "key.7" }.forEach(playing::play)
        TestApp.of(playing.phones.getValue("tech"))
        val left = Bundle()
        Robolectric.buildActivity(MainActivity::class.java).use { first ->
            first.setup()
            tap("instrument.1")
            tap("tab.read")
            far("quantity.2")
            far("tool")
            far("tool.1")
            tap("key.6")
            first.saveInstanceState(left)
        }
        // Another activity, another model: all that is left is what the system kept.
        Robolectric.buildActivity(MainActivity::class.java).use { second ->
            second.setup(left)
            rule.onNodeWithTag("cell.1").assertTextContains("6/64 in")
        }
    }

    @Test
    fun whenTheAppIsLeftItAsksForTheNetworkOnce(): Unit = playing().use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use { scenario ->
            repeat(2) {
                scenario.moveToState(Lifecycle.State.CREATED)
                scenario.moveToState(Lifecycle.State.RESUMED)
            }
            val jobs = RuntimeEnvironment.getApplication().getSystemService(JobScheduler::class.java).allPendingJobs
            assertEquals(listOf(Exchanging::class.java.name), jobs.map { it.service.className })
            // No instrument has a relay: there is nothing to try again.
            assertTrue((RuntimeEnvironment.getApplication() as TestApp).exchange())
        }
    }

    @Test
    fun whileTheKeystoreIsLockedTheAppSaysSoAndTriesAgain(): Unit = playing().use { playing ->
        val phone = playing.phones.getValue("tech")
        var locked = true
        TestApp.of(phone)
        TestApp.open = { if (locked) throw FallawayException.Keys("the phone is locked", WhyKeys.LOCKED) else phone.workshop }
        ActivityScenario.launch(MainActivity::class.java).use {
            rule.onNodeWithTag("reason").assertIsDisplayed()
            locked = false
            tap("again")
            rule.onNodeWithTag("add").assertIsDisplayed()
        }
    }

    @Test
    fun theCameraReadsTheWordsOfAnInvitation(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "file" }.forEach(playing::play)
        val code = playing.phones.getValue("tech").elements().single { it.role == Role.CODE }
        val player = playing.phones.getValue("player")
        TestApp.of(player)
        ActivityScenario.launch(MainActivity::class.java).use { scenario ->
            tap("join")
            tap("scan")
            fun photographed(picture: Bitmap) = scenario.onActivity { activity ->
                val asked = shadowOf(activity).nextStartedActivityForResult
                assertEquals(MediaStore.ACTION_IMAGE_CAPTURE, asked.intent.action)
                shadowOf(activity).receiveResult(asked.intent, Activity.RESULT_OK, Intent().putExtra("data", picture))
            }
            // A picture without a code changes nothing, and can be taken again.
            photographed(Bitmap.createBitmap(240, 240, Bitmap.Config.ARGB_8888))
            rule.waitForIdle()
            tap("scan")
            photographed(printed(checkNotNull(code.value)))
            rule.waitForIdle()
            rule.onNodeWithTag("words").assertTextContains(code.value.orEmpty(), substring = true)
        }
    }

    /** A code as a picture of it shows it: black on white, four pixels a module and a rim. */
    private fun printed(text: String): Bitmap {
        val cells = QRCodeWriter().encode(text, BarcodeFormat.QR_CODE, 0, 0)
        val side = cells.width * 4
        val pixels = IntArray(side * side) { if (cells[it % side / 4, it / side / 4]) Color.BLACK else Color.WHITE }
        return Bitmap.createBitmap(pixels, side, side, Bitmap.Config.ARGB_8888)
    }

    @Test
    fun whateverAFingerTouchesTakesTheFocusOfAKeyboard(): Unit = playing().use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use {
            for (screen in listOf("add", "settings")) {
                tap(screen)
                val touched = rule.onAllNodes(hasClickAction()).fetchSemanticsNodes()
                assertTrue("${touched.size}", touched.size > 5)
                for (one in touched) assertTrue("$one", SemanticsActions.RequestFocus in one.config)
                tap("back")
            }
        }
    }

    @Test
    fun theSystemsWayBackGoesThroughTheApp(): Unit = playing().use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use { scenario ->
            tap("settings")
            scenario.onActivity { it.onBackPressedDispatcher.onBackPressed() }
            rule.waitForIdle()
            rule.onNodeWithTag("add").assertIsDisplayed()
            // From the first screen the system itself goes back, and shows so while the finger still moves.
            scenario.onActivity { assertFalse(it.onBackPressedDispatcher.hasEnabledCallbacks()) }
        }
    }

    @Test
    fun aFileGoesThroughTheShareSheet(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "file" }.forEach(playing::play)
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use {
            tap("instrument.1")
            tap("tab.more")
            far("send")
            tap("all")
            val sent = shadowOf(RuntimeEnvironment.getApplication()).nextStartedActivity
            assertNotNull(sent)
            assertEquals(android.content.Intent.ACTION_CHOOSER, sent.action)
        }
    }
}
