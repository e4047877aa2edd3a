package fallaway

import java.io.File

/** An app with a branch for everything that it was built on, and none other. */
fun main(arguments: Array<String>) {
    Workshop.open(File(arguments.first()), "tech").useThenShutDown { workshop ->
        workshop.addInstrument("bass-4", "walnut bass").use { bass ->
            val said = when (bass.retract(bass.addRemark("wrong instrument"), "slip")) {
                RetractOutcome.ERASED -> "erased"
                RetractOutcome.KEPT -> "crossed out"
                RetractOutcome.NEWER -> "newer"
            }
            println("${face()}: $said")
        }
    }
}
