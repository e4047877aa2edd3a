package fallaway.app.preview

import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.withFrameNanos
import androidx.compose.ui.ImageComposeScene
import androidx.compose.ui.input.key.Key
import androidx.compose.ui.input.key.KeyEventType
import androidx.compose.ui.input.key.key
import androidx.compose.ui.input.key.type
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.DpSize
import androidx.compose.ui.unit.dp
import androidx.compose.ui.window.Window
import androidx.compose.ui.window.application
import androidx.compose.ui.window.rememberWindowState
import fallaway.FallawayException
import fallaway.app.Effect
import fallaway.app.Look
import fallaway.app.Role
import fallaway.app.view.Designed
import fallaway.app.view.ScreenView
import fallaway.app.view.Shown
import java.awt.EventQueue
import java.awt.FileDialog
import java.awt.Frame
import java.io.File
import java.util.concurrent.ExecutionException
import java.util.concurrent.Executor
import java.util.concurrent.Executors
import java.util.concurrent.FutureTask
import kotlin.concurrent.thread
import kotlin.system.exitProcess
import org.jetbrains.skia.Image

/** The app's own screens on a computer: in a window, or on a picture, for which no display is needed. */
fun main(words: Array<String>) {
    val asked = Asked.of(words.toList()) ?: ends(Asked.UNDERSTOOD, 2)
    val picture = asked.picture
    try {
        if (picture == null) window(asked) else write(asked, picture)
    } catch (refused: FallawayException) {
        ends(refused.text(), 1)
    } catch (refused: IllegalArgumentException) {
        ends(refused.message.orEmpty(), 1)
    }
}

private fun ends(why: String, code: Int): Nothing {
    System.err.println(why)
    exitProcess(code)
}

/** What is seen, as it was asked for. */
@Composable
fun Seen(asked: Asked, desk: Desk) {
    val shown = desk.shown
    val look = if (asked.theme == "stage") shown.look.copy(stage = true) else shown.look
    Designed(look, asked.theme == "dark") { ScreenView(shown, desk::tap, desk::type, desk::tapInList) }
}

/** What is seen before the workshop is open, as on a phone: the ground. */
private val ground = Shown("", emptyList(), false, Look())

/** The screen without a window, and the desk behind it: the workshop is opened while what draws is made ready. */
fun begun(asked: Asked): Pair<Desk, ImageComposeScene> {
    val opening = FutureTask { alone(asked) }.also { thread(block = it::run) }
    val density = Density(PIXELS.toFloat(), asked.letters / 100f)
    val scene = ImageComposeScene(asked.width * PIXELS, asked.height * PIXELS, density)
    if (!opening.isDone) {
        scene.setContent {
            Designed(Look(asked.theme == "stage"), asked.theme == "dark") { ScreenView(ground, {}, { _, _ -> }) }
        }
        scene.render().close()
    }
    val desk = try {
        opening.get()
    } catch (failed: ExecutionException) {
        throw failed.cause ?: failed
    }
    scene.setContent { Seen(asked, desk) }
    return desk to scene
}

/** As many pixels to a dp as most phones have. */
const val PIXELS = 3

/** Draws until nothing moves. */
fun ImageComposeScene.still(): Image {
    var frame = 1L
    var image = render(FRAME_NS)
    while (hasInvalidations() && frame < FRAMES) {
        image.close()
        image = render(++frame * FRAME_NS)
    }
    return image
}

private const val FRAMES = 120
const val FRAME_NS = 16_666_667L

/** A desk at which nobody sits: what would go to another app went, and what would be waited for is done at once. */
fun alone(asked: Asked): Desk = Desk(opened(asked), Executor { it.run() }) { effect ->
    when (effect) {
        is Effect.Share -> after { it.handedOver() }
        is Effect.Apart -> effect.work().let { done -> after { done() } }
        Effect.ChooseFile, Effect.ChoosePhoto, Effect.Scan -> Unit
    }
}.also { desk -> desk.first(asked) }

private fun Desk.first(asked: Asked) = asked.taps.forEach { said ->
    after { phone ->
        val (id, text) = said.split('=', limit = 2) + null
        require(phone.elements().any { it.id == id } || id == "back") {
            "nothing is called $id on ${phone.screen.name}: ${phone.elements().joinToString(" ") { it.id }}"
        }
        if (text == null) phone.tap(id.orEmpty()) else phone.type(id.orEmpty(), text)
    }
}

private fun write(asked: Asked, picture: File) {
    val (desk, scene) = begun(asked)
    scene.still().use { image -> picture.writeBytes(checkNotNull(image.encodeToData()) { "no picture" }.bytes) }
    scene.close()
    desk.close()
}

/**
 * Shows it in a window.
 *
 * @param presented what is done when the first numbers are to be seen.
 */
fun window(asked: Asked, presented: () -> Unit = {}) {
    val hand = Executors.newSingleThreadExecutor { Thread(it).apply { isDaemon = true } }
    val desk = Desk(opened(asked), hand) { outside(it) }
    desk.first(asked)
    application {
        val size = rememberWindowState(size = DpSize(asked.width.dp, asked.height.dp))
        Window(
            ::exitApplication, size, title = "Fallaway",
            onKeyEvent = { key -> (key.key == Key.Escape && key.type == KeyEventType.KeyUp && desk.shown.deeper).also { if (it) desk.tap("back") } },
        ) {
            val phone = Density(LocalDensity.current.density, asked.letters / 100f)
            CompositionLocalProvider(LocalDensity provides phone) { Seen(asked, desk) }
            if (desk.shown.elements.any { it.role == Role.NUMBER }) {
                LaunchedEffect(Unit) {
                    // A frame begins when the one before it is on the window.
                    repeat(2) { withFrameNanos {} }
                    presented()
                }
            }
        }
    }
}

/** Does what a phone would: files go to the disk and come from there. */
private fun Desk.outside(effect: Effect) {
    when (effect) {
        is Effect.Share -> file(FileDialog.SAVE, effect.name) { file ->
            file.writeBytes(effect.bytes)
            after { it.handedOver() }
        }
        Effect.ChooseFile -> file(FileDialog.LOAD) { file -> after { it.receive(file.readBytes()) } }
        Effect.ChoosePhoto -> file(FileDialog.LOAD) { file -> after { it.photographed(file.readBytes()) } }
        Effect.Scan -> Unit
        is Effect.Apart -> Thread { effect.work().let { done -> after { done() } } }.apply { isDaemon = true }.start()
    }
}

private fun file(mode: Int, name: String? = null, then: (File) -> Unit) = EventQueue.invokeLater {
    val dialog = FileDialog(null as Frame?, "Fallaway", mode).apply { file = name }
    dialog.isVisible = true
    dialog.files.firstOrNull()?.let(then)
}
