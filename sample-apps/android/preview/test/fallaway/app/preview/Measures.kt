package fallaway.app.preview

import androidx.compose.ui.ImageComposeScene
import fallaway.app.Role

/** What the screens cost on a computer; the command that starts it takes the time until it says that it has drawn. */
object Measures {
    @JvmStatic
    fun main(words: Array<String>) {
        val (desk, scene) = begun(checkNotNull(Asked.of(words.drop(1))) { "not understood" })
        scene.render(FRAME_NS).close()
        println("drawn")
        check(desk.shown.elements.any { it.role == Role.NUMBER }) { "no numbers on ${desk.shown.screen}" }
        if (words.first() == "slider") slider(desk, scene)
        scene.close()
        desk.close()
    }

    private fun slider(desk: Desk, scene: ImageComposeScene) {
        var frame = 1L
        fun move() {
            desk.type("rise", "${frame % 20 / 20.0}")
            scene.render(++frame * FRAME_NS).close()
        }
        repeat(200) { move() }
        val times = LongArray(400) { System.nanoTime().let { began -> move(); System.nanoTime() - began } }.sorted()
        println("a move of the clearance slider, composed, laid out, drawn: median %.1f ms, 95 %% within %.1f ms".format(times[200] / 1e6, times[379] / 1e6))
        System.gc()
        println("heap afterwards: ${Runtime.getRuntime().run { totalMemory() - freeMemory() } / 1_000_000} MB")
    }
}
