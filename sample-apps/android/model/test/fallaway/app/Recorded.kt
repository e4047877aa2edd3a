package fallaway.app

/** The scripted days as JSON, a line for each step and for each element: `tests/vectors/screens/days.json`. */
object Recorded {
    /** Plays them in every language and writes down what is seen. */
    fun all(texts: (String) -> Texts): String = buildString {
        append("{\n\"about\": ${text(ABOUT)},\n\"languages\": {\n")
        append(LANGUAGES.joinToString(",\n") { "${text(it)}: [\n${day(it, texts(it))}\n]" })
        append("\n}\n}\n")
    }

    private fun day(language: String, texts: Texts): String = Playing(language, texts).use { playing ->
        Day.steps.joinToString(",\n") { step ->
            playing.play(step)
            step(step, playing.shown(step))
        }
    }

    private fun step(step: Step, phone: Phone): String {
        val parts = mutableListOf("\"at\": ${step.at}", "\"phone\": ${text(step.phone)}", "\"do\": ${text(step.does)}")
        if (step.on.isNotEmpty()) parts += "\"on\": ${text(step.on)}"
        if (step.with.isNotEmpty()) parts += "\"with\": ${text(step.with)}"
        parts += "\"screen\": ${text(phone.screen.name)}"
        if (step.look) {
            val elements = phone.elements().joinToString(",\n") { "  " + element(it) }
            parts += "\"elements\": [\n$elements]"
        }
        return "{" + parts.joinToString(", ") + "}"
    }

    private fun element(one: Element): String {
        val varying: (String?) -> String? = { if (one.varies && it != null) "*" else it }
        val parts = mutableListOf(
            "\"id\": ${text(one.id)}",
            "\"role\": ${text(one.role.name.lowercase())}",
            // The name of a field stays; what somebody typed into it varies.
            "\"text\": ${text(if (one.role == Role.FIELD || one.role == Role.CODE) one.text else varying(one.text).orEmpty())}",
        )
        varying(one.value)?.let { parts += "\"value\": ${text(it)}" }
        one.state?.let { parts += "\"state\": ${text(it)}" }
        one.detail?.let { parts += "\"detail\": ${text(it)}" }
        if (one.touch) parts += "\"touch\": true"
        if (one.chosen) parts += "\"chosen\": true"
        if (one.main) parts += "\"main\": true"
        return "{" + parts.joinToString(", ") + "}"
    }

    private fun text(plain: String): String = buildString {
        append('"')
        for (sign in plain) when (sign) {
            '"' -> append("\\\"")
            '\\' -> append("\\\\")
            '\n' -> append("\\n")
            else -> append(sign)
        }
        append('"')
    }

    private val LANGUAGES = listOf("en", "de")

    private const val ABOUT =
        "The scripted days of two phones, and what their screens show, element by element in the order of reading. " +
            "Recorded from the view models of sample-apps/android (cargo tool record models) and read line by line."
}
