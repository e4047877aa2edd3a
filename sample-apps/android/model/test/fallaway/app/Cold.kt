package fallaway.app

import fallaway.Moment
import fallaway.Workshop
import fallaway.open
import java.io.File
import java.lang.management.ManagementFactory

/** How long it takes from the start of Java to the numbers of an instrument: the second of two programs on one folder says it. */
object Cold {
    @JvmStatic
    fun main(args: Array<String>) {
        val folder = File(args[0])
        val secrets = File(folder, "secrets").apply { mkdirs() }
        val begun = System.nanoTime()
        Workshop.open(File(folder, "workshop"), "tech", StoredTest.FileKeeper(secrets)).use { workshop ->
            val texts = XmlTexts(File(System.getProperty("fallaway.root") ?: "../..", "sample-apps/android/app/res"), "en")
            val phone = Phone(workshop, { texts }, { Moment(1_759_737_600, 60) })
            if (workshop.instruments().isEmpty()) {
                phone.tap("add")
                phone.type("name", "loan bass")
                listOf("save", "tab.read", "quantity.2", "tool", "tool.1", "key.5", "key.5", "key.5", "key.6", "save").forEach(phone::tap)
                return
            }
            phone.tap("instrument.1")
            check(phone.elements().any { it.role == Role.NUMBER })
            val own = (System.nanoTime() - begun) / 1_000_000
            println("cold start to numbers, view models: ${ManagementFactory.getRuntimeMXBean().uptime} ms from the start of Java, $own ms of it ours")
        }
    }
}
