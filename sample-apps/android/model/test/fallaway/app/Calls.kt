package fallaway.app

import java.io.File

/** How many calls of the core each screen makes to show itself: read from its sources. */
object Calls {
    /** By the screen's class. */
    fun of(root: File): Map<String, Int> {
        val code = File(root, "sample-apps/android/model/src").walk().filter { it.extension == "kt" }.joinToString("\n") { it.readText() }
        val loads = Regex("""class (\w+)\([^\n]*\) : Screen\(phone\) \{.*?override fun load\(\)(.*?)\n\n""", RegexOption.DOT_MATCHES_ALL)
        val call = Regex("""phone\.(instrument|workshop)\.\w+\(""")
        return loads.findAll(code).associate { it.groupValues[1] to call.findAll(it.groupValues[2]).count() }
    }
}
