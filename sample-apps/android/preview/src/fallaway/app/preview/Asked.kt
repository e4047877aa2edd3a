package fallaway.app.preview

import java.io.File

/**
 * What is to be shown, and how.
 *
 * @property data the folder of a workshop.
 * @property picture the file that is written, in place of a window.
 * @property theme `light`, `dark` or `stage`.
 * @property letters their size, in hundredths.
 * @property language the phone's own.
 * @property width in dp, as is the [height].
 * @property taps what is done first: the id of an element that is tapped, or `id=text` for what is typed.
 */
class Asked(
    val data: File,
    val picture: File?,
    val theme: String,
    val letters: Int,
    val language: String,
    val width: Int,
    val height: Int,
    val taps: List<String>,
) {
    companion object {
        /** What [of] reads. */
        const val UNDERSTOOD =
            "--data FOLDER [--png FILE] [--theme light|dark|stage] [--text-size 50 to 300] [--language en|de] [--size 360x740] " +
                "[id or id=text ...]"

        /** Reads the words of a command; `null` if they are not understood. */
        fun of(words: List<String>): Asked? {
            val left = ArrayDeque(words)
            val said = mutableMapOf<String, String>()
            while (left.firstOrNull()?.startsWith("--") == true) {
                val name = left.removeFirst().takeIf { it in NAMES } ?: return null
                said[name] = left.removeFirstOrNull() ?: return null
            }
            val size = said["--size"].orEmpty().ifEmpty { "360x740" }.split('x').map { it.toIntOrNull() ?: return null }
            if (size.size != 2 || size.any { it !in 200..4000 }) return null
            return Asked(
                data = File(said["--data"] ?: return null),
                picture = said["--png"]?.let(::File),
                theme = (said["--theme"] ?: "light").takeIf { it in THEMES } ?: return null,
                letters = (said["--text-size"] ?: "100").toIntOrNull()?.takeIf { it in 50..300 } ?: return null,
                language = (said["--language"] ?: LANGUAGES.first()).takeIf { it in LANGUAGES } ?: return null,
                width = size[0],
                height = size[1],
                taps = left.toList(),
            )
        }

        private val NAMES = setOf("--data", "--png", "--theme", "--text-size", "--language", "--size")
        private val THEMES = setOf("light", "dark", "stage")
        private val LANGUAGES = listOf("en", "de")
    }
}
