package fallaway.app.android

import android.app.Activity
import android.app.job.JobScheduler
import android.content.Intent
import android.graphics.Bitmap
import android.graphics.Color
import android.os.Bundle
import android.os.Looper
import android.provider.MediaStore
import androidx.compose.ui.input.key.Key
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.assert
import androidx.compose.ui.test.assertContentDescriptionEquals
import androidx.compose.ui.test.assertCountEquals
import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.assertIsOn
import androidx.compose.ui.test.assertTextContains
import androidx.compose.ui.test.hasAnyAncestor
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasTestTag
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.onAllNodesWithText
import androidx.compose.ui.test.onNodeWithTag
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performKeyInput
import androidx.compose.ui.test.performScrollTo
import androidx.compose.ui.test.performTextInput
import androidx.compose.ui.test.pressKey
import androidx.compose.ui.test.requestFocus
import androidx.lifecycle.Lifecycle
import androidx.test.core.app.ActivityScenario
import androidx.test.platform.app.InstrumentationRegistry
import com.google.zxing.BarcodeFormat
import com.google.zxing.qrcode.QRCodeWriter
import fallaway.Care
import fallaway.FallawayException
import fallaway.WhyKeys
import fallaway.app.Day
import fallaway.app.Playing
import fallaway.app.Role
import fallaway.app.Step
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
        // What the hand came for stands below what is scrolled.
        if (rule.onAllNodes(hasTestTag(tag).and(hasAnyAncestor(hasScrollAction()))).fetchSemanticsNodes().isNotEmpty()) rule.onNodeWithTag(tag).performScrollTo()
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
            tap("save")
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
    fun afterTheSystemEndedTheProcessWhyAStepCouldNotBeDoneIsStillThere(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "why" }.forEach(playing::play)
        TestApp.of(playing.phones.getValue("tech"))
        val left = Bundle()
        Robolectric.buildActivity(MainActivity::class.java).use { first ->
            first.setup()
            tap("instrument.1")
            tap("tab.plan")
            far("could_not")
            rule.onNodeWithTag("why").performScrollTo().performTextInput("the nut is round")
            rule.waitForIdle()
            first.saveInstanceState(left)
        }
        Robolectric.buildActivity(MainActivity::class.java).use { second ->
            second.setup(left)
            rule.onNodeWithTag("why").assertTextContains("the nut is round")
            far("save")
            tap("tab.history")
            rule.onNodeWithTag("entry.1").assertTextContains("the nut is round", substring = true)
        }
    }

    @Test
    fun afterMidnightWhatIsSeenIsOfTheNewDay(): Unit = playing().use { playing ->
        Day.steps.takeWhile { it.on != "key.7" }.forEach(playing::play)
        val phone = playing.phones.getValue("tech")
        phone.workshop.instrument(phone.workshop.instruments().single().id).use { it.setCare(Care(afterMonths = 6u)) }
        // The evening before it is due: 2026-04-05 23:50 +01:00.
        val evening = 1_775_429_400L
        playing.play(Step("tech", "see", at = evening))
        TestApp.of(phone)
        ActivityScenario.launch(MainActivity::class.java).use {
            rule.onAllNodesWithText("due since", substring = true, useUnmergedTree = true).assertCountEquals(0)
            playing.play(Step("tech", "see", at = evening + 20 * 60))
            RuntimeEnvironment.getApplication().sendBroadcast(Intent(Intent.ACTION_DATE_CHANGED))
            shadowOf(Looper.getMainLooper()).idle()
            rule.waitForIdle()
            rule.onAllNodesWithText("due since 2026-04-06", substring = true, useUnmergedTree = true).assertCountEquals(1)
        }
    }

    @Test
    fun aKeyboardDoesWhatAFingerDoes(): Unit = playing().use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        InstrumentationRegistry.getInstrumentation().setInTouchMode(false)
        ActivityScenario.launch(MainActivity::class.java).use {
            fun press(tag: String) {
                rule.onNodeWithTag(tag).requestFocus().performKeyInput { pressKey(Key.Enter) }
                rule.waitForIdle()
            }
            press("add")
            rule.onNodeWithTag("name").performTextInput("loan bass")
            press("template.bass-4")
            press("save")
            press("tab.read")
            press("quantity.2")
            press("tool")
            press("tool.1")
            listOf("key.5", "key.5", "key.5", "key.6").forEach(::press)
            press("save")
            press("tab.numbers")
            rule.onNodeWithTag("line.1").assertTextContains("5/64 in")
            press("stage")
            rule.onNodeWithTag("stage").assertIsOn()
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
    fun anAppInAnotherLanguageThanThePhonesIsSoThroughout(): Unit = Playing("de", AndroidTexts(RuntimeEnvironment.getApplication(), "de")).use { playing ->
        TestApp.of(playing.phones.getValue("tech"))
        ActivityScenario.launch(MainActivity::class.java).use {
            tap("settings")
            rule.onNodeWithTag("back").assertContentDescriptionEquals("Zurück")
            // That something is chosen is seen by its mark, and said to a screen reader.
            rule.onNodeWithTag("language.de").assert(SemanticsMatcher.expectValue(SemanticsProperties.StateDescription, "gewählt"))
            rule.onAllNodesWithText("gewählt", useUnmergedTree = true).assertCountEquals(0)
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
