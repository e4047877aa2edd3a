package fallaway.app.android

import android.content.res.Configuration
import android.graphics.Bitmap
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
import java.io.File
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/** Pictures of every screen of the scripted days, in every look and at both text sizes, to be looked at. */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-xhdpi", application = TestApp::class)
class Pictures {
    @get:Rule val rule = createEmptyComposeRule()
    private val into = File(System.getProperty("fallaway.pictures") ?: "pictures").apply { mkdirs() }

    @Test
    fun phone() = take("phone", "en", listOf("light", "dark", "stage"), listOf(1f, 2f))

    @Test
    @Config(qualifiers = "w320dp-h568dp-xhdpi")
    fun small() = take("small", "de", listOf("light"), listOf(1f))

    @Test
    @Config(qualifiers = "w740dp-h360dp-land-xhdpi")
    fun landscape() = take("landscape", "en", listOf("dark"), listOf(1f))

    @Test
    @Config(qualifiers = "w1000dp-h700dp-land-hdpi")
    fun tablet() = take("tablet", "de", listOf("light"), listOf(1f))

    private fun take(size: String, language: String, themes: List<String>, scales: List<Float>) {
        val playing = Playing(language, AndroidTexts(RuntimeEnvironment.getApplication(), language))
        var shown by mutableStateOf(Shown("", emptyList(), false, fallaway.app.Look()))
        var theme by mutableStateOf("light")
        var scale by mutableStateOf(1f)
        playing.use {
            emptyActivity().use { scenario ->
                scenario.onActivity { activity ->
                    activity.setContent {
                        val there = Configuration(activity.resources.configuration).apply { fontScale = scale }
                        CompositionLocalProvider(LocalDensity provides Density(activity.createConfigurationContext(there))) {
                            Designed(Look(theme == "stage"), theme == "dark") { ScreenView(shown, {}, { _, _ -> }) }
                        }
                    }
                }
                var number = 0
                for (step in Day.steps) {
                    playing.play(step)
                    if (!step.look) continue
                    number++
                    val phone = playing.phones.getValue(step.phone)
                    shown = Shown.of(phone)
                    for (one in themes) for (large in scales) {
                        theme = one
                        scale = large
                        rule.waitForIdle()
                        val picture = rule.onRoot().captureToImage().asAndroidBitmap()
                        val name = "%s-%02d-%s-%s-%d.png".format(size, number, shown.screen, one, (large * 100).toInt())
                        File(into, name).outputStream().use { picture.compress(Bitmap.CompressFormat.PNG, 100, it) }
                    }
                }
            }
        }
    }
}
