package fallaway.app

import fallaway.Attempt
import fallaway.BoardCurve
import fallaway.BridgeHeight
import fallaway.BridgeSpec
import fallaway.Doubt
import fallaway.Entered
import fallaway.FretsSpec
import fallaway.InstrumentSpec
import fallaway.JointFretSpec
import fallaway.PlacedScrew
import fallaway.RodKind
import fallaway.RodSpec
import fallaway.ScaleLength
import fallaway.ScrewPlace
import fallaway.ScrewSpec
import fallaway.SpecField
import fallaway.TunedString
import fallaway.WriteOptions
import fallaway.attempt

/** What the instrument is: a template only supposes it, and turns and clearances are worked out from it. */
class Facts(phone: Phone) : Screen(phone) {
    override val name = "facts"
    override val writes get() = true

    override fun forReader(one: Element) = when (one.role) {
        Role.BUTTON -> null
        Role.FIELD -> line(one)
        Role.CHOICE, Role.TOGGLE -> one.takeIf { it.chosen }?.copy(role = Role.ROW, state = null, touch = false, chosen = false)
        else -> one
    }

    private var spec: InstrumentSpec? = null

    /** What stands in the fields by what is written down, and what was typed over it. */
    private var stands = emptyMap<String, String>()
    private val typed = mutableMapOf<String, String>()

    /** What was chosen, until it is saved. */
    private var bridge: Bridge? = null
    private var floats: Boolean? = null
    private var posts: Boolean? = null
    private var rod: RodKind? = null
    private var saved: String? = null

    /** What looks unusual of what was typed, until it is answered. */
    private var doubts = emptyList<Doubt>()

    private enum class Bridge(val words: Say, val height: BridgeHeight) {
        ONE_SCREW(Say.SADDLES_ONE_SCREW, BridgeHeight.OwnSaddles(1u)),
        TWO_SCREWS(Say.SADDLES_TWO_SCREWS, BridgeHeight.OwnSaddles(2u)),
        POSTS(Say.BRIDGE_ON_POSTS, BridgeHeight.TwoPosts),
        FIXED(Say.BRIDGE_FIXED, BridgeHeight.Fixed),
    }

    override fun load() {
        val details = phone.instrument.details()
        spec = details.spec
        phone.rights = details.role
        stands = details.spec.run {
            mapOf(
                "name" to name, "about" to about,
                "frets" to frets?.count?.toString(), "joint" to jointFret?.number?.toString(),
                "nut_spread" to nutSpread?.written(), "bridge_spread" to bridgeSpread?.written(),
                "pickups" to pickups?.toString(), "springs" to springs?.toString(),
                "saddle_thread" to screw(ScrewPlace.SADDLE_HEIGHT).thread, "post_thread" to screw(ScrewPlace.BRIDGE_POST).thread,
                "rod_key" to screw(ScrewPlace.ROD).key,
            ) + scale.fields() + board.fields() + tuning.mapIndexed { at, one -> "tuning.${at + 1}" to phone.note(one.note) }
        }.mapValues { it.value.orEmpty() }
    }

    private fun Entered.written() = phone.written(text)

    private fun ScaleLength?.fields() = when (this) {
        is ScaleLength.Same -> mapOf("scale" to length.written())
        is ScaleLength.Fanned -> mapOf("scale" to treble.written(), "scale_low" to bass.written())
        else -> emptyMap()
    }

    private fun BoardCurve?.fields() = when (this) {
        is BoardCurve.Flat -> mapOf("radius" to FLAT)
        is BoardCurve.Cylinder -> mapOf("radius" to radius.written())
        is BoardCurve.Compound -> mapOf("radius" to nut.written(), "radius_end" to lastFret.written())
        else -> emptyMap()
    }

    private fun screw(place: ScrewPlace) = spec?.screws?.firstOrNull { it.place == place }?.screw ?: ScrewSpec()

    private fun text(id: String) = typed[id] ?: stands[id].orEmpty()

    private fun floats() = floats ?: (spec?.bridge?.floating == true)

    private fun posts() = posts ?: (spec?.bridge?.posts == true)

    override fun body() = buildList {
        add(heading(Say.FACTS))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        add(Element("supposed", Role.TEXT, say(Say.FACTS_ABOUT)))
        add(Element("name", Role.FIELD, say(Say.ITS_NAME), value = text("name")))
        add(Element("about", Role.FIELD, say(Say.FACT_ABOUT), value = text("about")))
        add(heading("strings", say(Say.STRINGS)))
        spec?.tuning.orEmpty().forEachIndexed { at, one ->
            val id = "tuning.${at + 1}"
            add(Element("tuning.${at + 1}", Role.FIELD, say(Say.FACT_NOTE, one.place.course.toInt()), value = text(id)))
        }
        add(heading("neck", say(Say.FACT_NECK)))
        add(Element("scale", Role.FIELD, say(Say.FACT_SCALE), value = text("scale")))
        add(Element("scale_low", Role.FIELD, say(Say.FACT_SCALE_LOW), value = text("scale_low")))
        add(Element("frets", Role.FIELD, say(Say.FACT_FRETS), value = text("frets")))
        add(Element("joint", Role.FIELD, say(Say.FACT_JOINT), value = text("joint")))
        add(Element("radius", Role.FIELD, say(Say.FACT_RADIUS), value = text("radius")))
        add(Element("radius_end", Role.FIELD, say(Say.FACT_RADIUS_END), value = text("radius_end")))
        add(Element("nut_spread", Role.FIELD, say(Say.FACT_NUT_SPREAD), value = text("nut_spread")))
        add(heading("rod", say(Say.FACT_ROD)))
        val kind = rod ?: spec?.rod?.kind
        for ((one, words) in RODS) add(choice("rod.${one.name.lowercase()}", say(words), one == kind))
        add(Element("rod_key", Role.FIELD, say(Say.FACT_ROD_KEY), value = text("rod_key")))
        add(heading("bridge", say(Say.FACT_BRIDGE)))
        val height = bridge?.height ?: spec?.bridge?.height
        for (one in Bridge.entries) add(choice("bridge.${one.name.lowercase()}", say(one.words), one.height == height))
        add(toggle("posts", Say.STANDS_ON_POSTS, posts()))
        add(toggle("floats", Say.FLOATS, floats()))
        if (floats()) add(Element("springs", Role.FIELD, say(Say.FACT_SPRINGS), value = text("springs")))
        add(Element("saddle_thread", Role.FIELD, say(Say.FACT_SADDLE_THREAD), value = text("saddle_thread")))
        add(Element("post_thread", Role.FIELD, say(Say.FACT_POST_THREAD), value = text("post_thread")))
        add(Element("bridge_spread", Role.FIELD, say(Say.FACT_BRIDGE_SPREAD), value = text("bridge_spread")))
        add(Element("pickups", Role.FIELD, say(Say.FACT_PICKUPS), value = text("pickups")))
        if (doubts.isEmpty()) {
            add(button("save", Say.FACTS_SAVE, main = true))
            return@buildList
        }
        add(Element("doubt", Role.BANNER, say(Say.LOOKS_UNUSUAL), detail = doubts.joinToString(" ") { it.reason.sentence() + "." }))
        add(button("sure", Say.IT_IS_RIGHT, main = true))
        add(button("correct", Say.CORRECT_IT))
    }

    override fun touched(id: String) {
        saved = null
        when (id) {
            "floats" -> floats = !floats()
            "posts" -> posts = !posts()
            "save" -> save(emptyList())
            "sure" -> save(doubts)
            "correct" -> doubts = emptyList()
            else -> {
                RODS.keys.firstOrNull { "rod.${it.name.lowercase()}" == id }?.let { rod = it }
                Bridge.entries.firstOrNull { "bridge.${it.name.lowercase()}" == id }?.let { bridge = it }
            }
        }
    }

    override fun typed(id: String, text: String) {
        saved = null
        doubts = emptyList()
        typed[id] = text
    }

    /** A field whose text is no whole number. */
    private class Unread(val label: Say) : Exception()

    private fun save(accept: List<Doubt>) {
        doubts = emptyList()
        try {
            val fields = changed()
            if (fields.isNotEmpty()) {
                when (val came = attempt { phone.instrument.setSpecs(fields, WriteOptions(accept = accept)) }) {
                    is Attempt.Asked -> {
                        doubts = came.doubts
                        return
                    }
                    is Attempt.Wrong -> throw came.error
                    is Attempt.Done -> Unit
                }
            }
            for ((id, key) in KEYS) if (isChanged(id) && text(id).isBlank()) phone.instrument.unsetSpec(key)
        } catch (unread: Unread) {
            return show(say(unread.label) + ": " + say(Say.NOT_UNDERSTOOD))
        }
        saved = say(Say.NOTED)
        typed.clear()
        bridge = null
        floats = null
        posts = null
        rod = null
        load()
    }

    private fun isChanged(vararg ids: String) = ids.any { text(it).trim() != stands[it].orEmpty() }

    /** Whether something was typed there, and is not only taken away. */
    private fun isSet(vararg ids: String) = isChanged(*ids) && text(ids.first()).isNotBlank()

    private fun changed(): List<SpecField> = buildList {
        fun count(id: String, label: Say) = text(id).trim().toUIntOrNull() ?: throw Unread(label)
        if (isChanged("name")) add(SpecField.Name(text("name").trim()))
        if (isSet("about")) add(SpecField.About(text("about").trim()))
        spec?.tuning.orEmpty().forEachIndexed { at, one ->
            val id = "tuning.${at + 1}"
            if (isChanged(id)) add(SpecField.Tuning(TunedString(one.place, phone.noteTyped(text(id).trim()))))
        }
        if (isSet("scale", "scale_low")) {
            val low = text("scale_low")
            add(SpecField.Scale(if (low.isBlank()) ScaleLength.Same(long("scale")) else ScaleLength.Fanned(long("scale_low"), long("scale"))))
        }
        if (isSet("frets")) add(SpecField.Frets(FretsSpec(count("frets", Say.FACT_FRETS), spec?.frets?.height)))
        if (isSet("joint")) {
            val joint = JointFretSpec(count("joint", Say.FACT_JOINT))
            add(SpecField.JointFret(spec?.jointFret?.copy(number = joint.number) ?: joint))
        }
        if (isSet("radius", "radius_end")) add(SpecField.Board(curve()))
        if (isSet("nut_spread")) add(SpecField.NutSpread(Entered(text("nut_spread"))))
        if (isSet("bridge_spread")) add(SpecField.BridgeSpread(Entered(text("bridge_spread"))))
        if (isSet("pickups")) add(SpecField.Pickups(count("pickups", Say.FACT_PICKUPS)))
        if (isSet("springs")) add(SpecField.Springs(count("springs", Say.FACT_SPRINGS)))
        rod?.let { add(SpecField.Rod(spec?.rod?.copy(kind = it) ?: RodSpec(it))) }
        if (isChanged("rod_key")) placed(ScrewPlace.ROD) { copy(key = given("rod_key")) }
        if (isChanged("saddle_thread")) placed(ScrewPlace.SADDLE_HEIGHT) { copy(thread = given("saddle_thread"), pitch = null) }
        if (isChanged("post_thread")) placed(ScrewPlace.BRIDGE_POST) { copy(thread = given("post_thread"), pitch = null) }
        val height = bridge?.height ?: spec?.bridge?.height
        if (height != null && (bridge != null || floats != null || posts != null)) {
            val stood = spec?.bridge ?: BridgeSpec(height)
            add(SpecField.Bridge(stood.copy(height = height, floating = floats(), posts = posts ?: stood.posts)))
        }
    }

    private fun given(id: String) = text(id).trim().ifEmpty { null }

    private fun MutableList<SpecField>.placed(place: ScrewPlace, with: ScrewSpec.() -> ScrewSpec) {
        add(SpecField.Screw(PlacedScrew(place, screw(place).with())))
    }

    private fun curve(): BoardCurve = when {
        text("radius").trim() == FLAT -> BoardCurve.Flat
        text("radius_end").isBlank() -> BoardCurve.Cylinder(long("radius"))
        else -> BoardCurve.Compound(long("radius"), long("radius_end"))
    }

    /** A scale or a radius: without a unit small numbers are inches and large ones millimetres, as people say them. */
    private fun long(id: String): Entered {
        val text = text(id).trim()
        val number = text.replace(',', '.').toDoubleOrNull() ?: return Entered(text)
        return Entered(if (number < INCHES_BELOW) "$text in" else "$text mm")
    }

    override fun kept() = buildMap {
        putAll(typed.mapKeys { "typed ${it.key}" })
        bridge?.let { put("bridge", it.name) }
        floats?.let { put("floats", it.toString()) }
        posts?.let { put("posts", it.toString()) }
        rod?.let { put("rod", it.name) }
    }

    override fun restore(kept: Map<String, String>) {
        for ((key, text) in kept) if (key.startsWith("typed ")) typed[key.removePrefix("typed ")] = text
        bridge = Bridge.entries.firstOrNull { it.name == kept["bridge"] }
        floats = kept["floats"]?.toBoolean()
        posts = kept["posts"]?.toBoolean()
        rod = RodKind.entries.firstOrNull { it.name == kept["rod"] }
    }

    private companion object {
        /** What is typed for a board without a curve. */
        const val FLAT = "0"

        /** No scale and no radius is so many millimetres, or inches. */
        const val INCHES_BELOW = 100.0

        val RODS = mapOf(RodKind.ONE_WAY to Say.ROD_ONE_WAY, RodKind.TWO_WAY to Say.ROD_TWO_WAY, RodKind.ABSENT to Say.ROD_NONE)

        /** Under which key stands what is taken away by an empty field. */
        val KEYS = mapOf(
            "about" to "about", "scale" to "scale", "frets" to "frets", "joint" to "joint-fret", "radius" to "board",
            "nut_spread" to "nut-spread", "bridge_spread" to "bridge-spread", "pickups" to "pickups", "springs" to "springs",
        )
    }
}
