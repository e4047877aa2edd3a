package fallaway

/**
 * Reads JSON (RFC 8259) into maps, lists, texts, numbers, booleans and null: enough for the golden
 * vectors, which are sound. Numbers are doubles.
 */
internal class Json private constructor(private val text: String) {
    private var at = 0

    private fun value(): Any? {
        skip()
        return when (val first = text[at]) {
            '{' -> members()
            '[' -> elements()
            '"' -> string()
            't' -> word("true", true)
            'f' -> word("false", false)
            'n' -> word("null", null)
            else -> number(first)
        }
    }

    private fun members(): Map<String, Any?> = buildMap {
        each('}') {
            val name = string()
            skip()
            take(':')
            put(name, value())
        }
    }

    private fun elements(): List<Any?> = buildList { each(']') { add(value()) } }

    private fun each(end: Char, one: () -> Unit) {
        at++
        skip()
        if (text[at] == end) {
            at++
            return
        }
        while (true) {
            skip()
            one()
            skip()
            if (text[at] == end) break
            take(',')
        }
        at++
    }

    private fun string(): String = buildString {
        take('"')
        while (text[at] != '"') {
            if (text[at] != '\\') {
                append(text[at++])
                continue
            }
            when (val escaped = text[at + 1]) {
                'u' -> append(text.substring(at + 2, at + 6).toInt(16).toChar()).also { at += 4 }
                else -> append(mapOf('n' to '\n', 't' to '\t', 'r' to '\r', 'b' to '\b', 'f' to '\u000c')[escaped] ?: escaped)
            }
            at += 2
        }
        at++
    }

    private fun number(first: Char): Double {
        require(first == '-' || first.isDigit()) { "neither a value nor a number at $at: $first" }
        val end = text.indexOfAny(charArrayOf(',', '}', ']', ' ', '\n', '\r', '\t'), at).let { if (it < 0) text.length else it }
        return text.substring(at, end).toDouble().also { at = end }
    }

    private fun <T> word(word: String, value: T): T {
        require(text.startsWith(word, at)) { "no value at $at" }
        at += word.length
        return value
    }

    private fun take(wanted: Char) {
        require(text[at] == wanted) { "$wanted expected at $at, ${text[at]} found" }
        at++
    }

    private fun skip() {
        while (text[at].isWhitespace()) at++
    }

    companion object {
        fun parse(text: String): Any? = Json(text).value()
    }
}
