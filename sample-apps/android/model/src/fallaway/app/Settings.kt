package fallaway.app

import fallaway.Entered
import fallaway.LengthUnit
import fallaway.Preferences
import fallaway.TemperatureUnit
import fallaway.Units

/** What holds for every instrument on this device. */
class Settings(phone: Phone) : Screen(phone) {
    override val name = "settings"
    private var preferences = Preferences()
    private var label = ""

    /** What is typed for it. */
    private var newLabel: String? = null
    private var version = ""

    private enum class Shown(val words: Say, val unit: LengthUnit) {
        AS_READ(Say.AS_READ, LengthUnit.AsRead),
        MM(Say.MILLIMETRES, LengthUnit.Millimetres),
        THOU(Say.THOUSANDTHS, LengthUnit.Thou),
        FRACTIONS(Say.FRACTIONS, LengthUnit.InchFractions(null)),
    }

    override fun load() {
        val answer = phone.workshop.settings()
        preferences = answer.preferences
        label = answer.info.label
        version = answer.version
    }

    override fun body() = buildList {
        add(heading(Say.SETTINGS))
        add(Element("label", Role.FIELD, say(Say.THIS_DEVICE), value = newLabel ?: label))
        add(button("rename", Say.RENAME))
        add(heading("units", say(Say.UNITS)))
        Shown.entries.forEach {
            add(choice("units.${it.name.lowercase()}", say(it.words), (preferences.units?.action ?: LengthUnit.AsRead) == it.unit))
        }
        add(toggle("low_first", Say.LOW_FIRST, preferences.lowFirst))
        add(heading("a4", say(Say.A4)))
        A4.forEach { add(choice("a4.$it", "$it Hz", (preferences.a4?.text ?: "440 Hz") == "$it Hz")) }
        add(heading("language", say(Say.LANGUAGE)))
        add(choice("language.system", say(Say.AS_THE_PHONE), preferences.language == null))
        LANGUAGES.forEach { (tag, own) -> add(choice("language.$tag", own, preferences.language == tag)) }
        add(heading("size", say(Say.TEXT_SIZE)))
        SIZES.forEach {
            add(choice("size.$it", if (it == SIZES.first()) say(Say.AS_THE_PHONE) else "$it %", phone.look.size == it))
        }
        add(heading("looks", say(Say.ON_STAGE)))
        add(toggle("stage", Say.STAGE, phone.look.stage))
        add(toggle("awake", Say.KEEP_AWAKE, phone.look.awake))
        add(toggle("locked", Say.LOCK_ORIENTATION, phone.look.locked))
        add(Element("version", Role.TEXT, say(Say.VERSION, version)))
    }

    override fun touched(id: String) {
        when {
            id == "rename" -> {
                phone.workshop.renameDevice((newLabel ?: label).trim())
                newLabel = null
                load()
            }
            id == "low_first" -> prefer(preferences.copy(lowFirst = !preferences.lowFirst))
            id == "stage" -> phone.look = phone.look.copy(stage = !phone.look.stage)
            id == "awake" -> phone.look = phone.look.copy(awake = !phone.look.awake)
            id == "locked" -> phone.look = phone.look.copy(locked = !phone.look.locked)
            id.startsWith("size.") -> SIZES.firstOrNull { id == "size.$it" }?.let { phone.look = phone.look.copy(size = it) }
            id == "language.system" -> prefer(preferences.copy(language = null))
            id.startsWith("language.") -> prefer(preferences.copy(language = id.removePrefix("language.")))
            id.startsWith("a4.") -> prefer(preferences.copy(a4 = Entered(id.removePrefix("a4.") + " Hz")))
            id.startsWith("units.") -> Shown.entries.firstOrNull { id == "units.${it.name.lowercase()}" }?.let { shown(it.unit) }
        }
    }

    private fun shown(unit: LengthUnit) = prefer(
        preferences.copy(
            units = Units(
                relief = unit, action = unit, nut = unit, spacing = unit, pickup = unit, other = unit,
                temperature = preferences.units?.temperature ?: TemperatureUnit.AS_READ,
                convertReadings = unit != LengthUnit.AsRead,
            ),
        ),
    )

    private fun prefer(changed: Preferences) {
        phone.workshop.setPreferences(changed)
        phone.speak(changed.language)
        load()
    }

    override fun typed(id: String, text: String) {
        if (id == "label") newLabel = text
    }

    override fun kept() = newLabel?.let { mapOf("label" to it) }.orEmpty()

    override fun restore(kept: Map<String, String>) = kept.forEach { (id, text) -> typed(id, text) }

    private companion object {
        val A4 = listOf(432, 440, 442, 443)

        /** In hundredths of what the phone asks for. */
        val SIZES = listOf(100, 130, 160, 200)

        /** Each in its own words, so that it is found in any language. */
        val LANGUAGES = listOf("en" to "English", "de" to "Deutsch")
    }
}
