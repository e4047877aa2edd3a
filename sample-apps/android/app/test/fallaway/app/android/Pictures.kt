package fallaway.app.android

import android.content.res.Configuration
import android.graphics.Bitmap
import android.graphics.Canvas
import android.graphics.Color
import androidx.activity.compose.setContent
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.graphics.asAndroidBitmap
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.test.captureToImage
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.onRoot
import androidx.compose.ui.unit.Density
import fallaway.app.Day
import fallaway.app.Look
import fallaway.app.Playing
import fallaway.app.view.Designed
import fallaway.app.view.ScreenView
import fallaway.app.view.Shown
import java.io.File
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/**
 * Pictures of every screen of the scripted days and of what they do not come by, in every look and at both text sizes, on a
 * phone, a small one, one that lies and a tablet; and all of one look on sheets, to be looked at.
 */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-hdpi", application = TestApp::class)
class Pictures {
    @get:Rule val rule = createEmptyComposeRule()
    private val into = File(System.getProperty("fallaway.pictures") ?: "pictures").apply { mkdirs() }

    @Test
    fun phone() = take("phone", "en", Sheets(220, 7, 3))

    @Test
    @Config(qualifiers = "w320dp-h568dp-hdpi")
    fun small() = take("small", "de", Sheets(220, 7, 4))

    @Test
    @Config(qualifiers = "w740dp-h360dp-land-hdpi")
    fun landscape() = take("landscape", "de", Sheets(380, 4, 7))

    @Test
    @Config(qualifiers = "w1000dp-h700dp-land-hdpi")
    fun tablet() = take("tablet", "en", Sheets(380, 4, 5))

    /** How pictures are laid on a sheet: how wide each is, and how many stand in a row and in a column. */
    private class Sheets(val width: Int, val across: Int, val down: Int)

    private fun take(size: String, language: String, sheets: Sheets) {
        val app = RuntimeEnvironment.getApplication()
        var shown by mutableStateOf(Shown("", emptyList(), false, Look()))
        var theme by mutableStateOf("light")
        var scale by mutableStateOf(1f)
        val small = mutableMapOf<String, MutableList<Bitmap>>()
        val lying = mutableMapOf<String, Int>()

        /** A sheet that is full is written, or the last one. */
        fun lay(look: String) {
            val these = small[look].orEmpty()
            if (these.isEmpty()) return
            val high = these.maxOf { it.height }
            val sheet = Bitmap.createBitmap(sheets.width * sheets.across, high * sheets.down, Bitmap.Config.ARGB_8888)
            val canvas = Canvas(sheet).apply { drawColor(Color.GRAY) }
            these.forEachIndexed { at, one ->
                canvas.drawBitmap(one, (at % sheets.across * sheets.width).toFloat(), (at / sheets.across * high).toFloat(), null)
            }
            val number = (lying[look] ?: 0) + 1
            lying[look] = number
            small.remove(look)
            write(sheet, "sheet-$look-$number.png")
        }

        Playing(language, AndroidTexts(app, language)).use { playing ->
            emptyActivity().use { scenario ->
                scenario.onActivity { activity ->
                    activity.setContent {
                        val there = Configuration(activity.resources.configuration).apply { fontScale = scale }
                        CompositionLocalProvider(LocalDensity provides Density(activity.createConfigurationContext(there))) {
                            Designed(Look(theme == "stage"), theme == "dark") { ScreenView(shown, {}, { _, _ -> }) }
                        }
                    }
                }
                fun photograph(name: String, what: Shown) {
                    shown = what
                    for (one in listOf("light", "dark", "stage")) for (large in listOf(1f, 2f)) {
                        theme = one
                        scale = large
                        rule.waitForIdle()
                        val picture = rule.onRoot().captureToImage().asAndroidBitmap()
                        val look = "%s-%s-%d".format(size, one, (large * 100).toInt())
                        write(picture, "$look-$name.png")
                        val high = picture.height * sheets.width / picture.width
                        small.getOrPut(look) { mutableListOf() } += Bitmap.createScaledBitmap(picture, sheets.width - 4, high - 4, true)
                        if (small.getValue(look).size == sheets.across * sheets.down) lay(look)
                    }
                }
                var number = 0
                for (step in Day.steps) {
                    playing.play(step)
                    if (!step.look) continue
                    number++
                    val here = Shown.of(playing.phones.getValue(step.phone))
                    photograph("%02d-%s".format(number, here.screen), here)
                }
                for ((name, here) in States.of(app, playing)) photograph(name, here)
                small.keys.toList().forEach(::lay)
            }
        }
    }

    private fun write(picture: Bitmap, name: String) =
        File(into, name).outputStream().use { picture.compress(Bitmap.CompressFormat.PNG, 100, it) }
}
