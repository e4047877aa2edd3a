package fallaway.app.preview

import androidx.compose.ui.ImageComposeScene
import fallaway.app.Role
import java.lang.management.ManagementFactory
import kotlin.system.exitProcess

/** What the screens cost on a computer; the command that starts it takes the time until it says that it has drawn. */
object Measures {
    @JvmStatic
    fun main(words: Array<String>) {
        val asked = checkNotNull(Asked.of(words.drop(1))) { "not understood" }
        if (words.first() == "window") {
            return window(asked) {
                println("drawn")
                exitProcess(0)
            }
        }
        val (desk, scene) = begun(asked)
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
        val threads = ManagementFactory.getThreadMXBean()
        val (wall, own) = List(MOVES) {
            val (began, used) = System.nanoTime() to threads.currentThreadCpuTime
            move()
            System.nanoTime() - began to threads.currentThreadCpuTime - used
        }.unzip()
        println("a move of the clearance slider, composed, laid out, drawn: ${within(wall)}")
        // What else the machine does is not in it, nor what is done for it by other threads.
        println("the same, in processor time of its thread: ${within(own)}")
        System.gc()
        println("heap afterwards: ${Runtime.getRuntime().run { totalMemory() - freeMemory() } / 1_000_000} MB")
    }

    private fun within(times: List<Long>) = times.sorted().let { "median %.1f ms, 95 %% within %.1f ms".format(it[MOVES / 2] / 1e6, it[MOVES * 95 / 100 - 1] / 1e6) }

    private const val MOVES = 400
}
