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
import fallaway.StringPlace
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
    private val chosen = mutableMapOf<OneOf<*>, String>()
    private val turned = mutableMapOf<Switch, Boolean>()
    private var saved: String? = null

    /** What looks unusual of what was typed, until it is answered. */
    private var doubts = emptyList<Doubt>()

    private enum class Bridge(val words: Say, val height: BridgeHeight) {
        ONE_SCREW(Say.SADDLES_ONE_SCREW, BridgeHeight.OwnSaddles(1u)),
        TWO_SCREWS(Say.SADDLES_TWO_SCREWS, BridgeHeight.OwnSaddles(2u)),
        POSTS(Say.BRIDGE_ON_POSTS, BridgeHeight.TwoPosts),
        FIXED(Say.BRIDGE_FIXED, BridgeHeight.Fixed),
    }

    /** What is so or not. */
    private enum class Switch(val words: Say, val stands: (InstrumentSpec) -> Boolean?) {
        HEADLESS(Say.HEADLESS, { it.headless }),
        POSTS(Say.STANDS_ON_POSTS, { it.bridge?.posts }),
        FLOATS(Say.FLOATS, { it.bridge?.floating }),
        SIDEWAYS(Say.SIDEWAYS, { it.bridge?.sideways }),
        ;

        val id = name.lowercase()
    }

    /** A screw or nut, its thread and what turns it; of a rod no thread, for what its turn does is read. */
    private enum class Turns(val place: ScrewPlace, val thread: Say?, val fits: Say) {
        ROD(ScrewPlace.ROD, null, Say.FACT_ROD_KEY),
        SADDLE(ScrewPlace.SADDLE_HEIGHT, Say.FACT_SADDLE_THREAD, Say.FACT_SADDLE_KEY),
        INTONATION(ScrewPlace.SADDLE_POSITION, Say.FACT_INTONATION_THREAD, Say.FACT_INTONATION_KEY),
        POST(ScrewPlace.BRIDGE_POST, Say.FACT_POST_THREAD, Say.FACT_POST_KEY),
        CLAW(ScrewPlace.SPRING_CLAW, Say.FACT_CLAW_THREAD, Say.FACT_CLAW_KEY),
        PICKUP(ScrewPlace.PICKUP, Say.FACT_PICKUP_THREAD, Say.FACT_PICKUP_KEY),
        ;

        val id = name.lowercase()
    }

    override fun load() {
        val details = phone.instrument.details()
        spec = details.spec
        phone.rights = details.role
        stands = details.spec.run {
            mapOf(
                "name" to name, "about" to about,
                "concert_pitch" to a4?.written(), "trees" to trees?.let { all -> all.joinToString(" ") { "${it.course}" }.ifEmpty { NONE } },
                "frets" to frets?.count?.toString(), "crown" to frets?.height?.written(), "joint" to jointFret?.number?.toString(),
                "nut_spread" to nutSpread?.written(), "bridge_spread" to bridgeSpread?.written(),
                "pickups" to pickups?.toString(), "springs" to springs?.toString(),
            ) + scale.fields() + board.fields() + tuning.mapIndexed { at, one -> "tuning.${at + 1}" to phone.note(one.note) } +
                Turns.entries.flatMap { one ->
                    screw(one.place).run { listOf("thread.${one.id}" to (thread ?: pitch?.written()), "fits.${one.id}" to key) }
                }
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

    private fun Switch.on() = turned[this] ?: (spec?.let(stands) == true)

    /** What was chosen, or else stands. */
    private fun <T : Enum<T>> OneOf<T>.now(): T? = offered.map { it.first }.firstOrNull { it.name == chosen[this] } ?: spec?.let(stands)

    override fun body() = buildList {
        add(heading(Say.FACTS))
        saved?.let { add(Element("saved", Role.BANNER, it)) }
        add(Element("supposed", Role.TEXT, say(Say.FACTS_ABOUT)))
        add(Element("name", Role.FIELD, say(Say.ITS_NAME), value = text("name")))
        add(Element("about", Role.FIELD, say(Say.FACT_ABOUT), value = text("about")))
        head()
        neck()
        bridge()
        if (doubts.isEmpty()) {
            add(button("save", Say.FACTS_SAVE, main = true))
            return@buildList
        }
        add(Element("doubt", Role.BANNER, say(Say.LOOKS_UNUSUAL), detail = doubts.joinToString(" ") { it.reason.sentence() + "." }))
        add(button("sure", Say.IT_IS_RIGHT, main = true))
        add(button("correct", Say.CORRECT_IT))
    }

    private fun <T : Enum<T>> MutableList<Element>.choices(of: OneOf<T>) {
        val now = of.now()
        for ((one, words) in of.offered) add(choice(of.element(one), say(words), one == now))
    }

    private fun MutableList<Element>.switch(one: Switch) = add(toggle(one.id, one.words, one.on()))

    private fun MutableList<Element>.turns(one: Turns) {
        one.thread?.let { add(Element("thread.${one.id}", Role.FIELD, say(it), value = text("thread.${one.id}"))) }
        add(Element("fits.${one.id}", Role.FIELD, say(one.fits), value = text("fits.${one.id}")))
    }

    /** What the player meets: hand, strings, nut. */
    private fun MutableList<Element>.head() {
        add(heading("hand", say(Say.FACT_HAND)))
        choices(OneOf.HAND)
        choices(OneOf.ORDER)
        switch(Switch.HEADLESS)
        add(heading("strings", say(Say.STRINGS)))
        spec?.tuning.orEmpty().forEachIndexed { at, one ->
            val id = "tuning.${at + 1}"
            add(Element("tuning.${at + 1}", Role.FIELD, say(Say.FACT_NOTE, one.place.course.toInt()), value = text(id)))
        }
        add(Element("concert_pitch", Role.FIELD, say(Say.FACT_A4), value = text("concert_pitch")))
        add(heading("nut", say(Say.FACT_NUT)))
        choices(OneOf.NUT)
        add(Element("nut_spread", Role.FIELD, say(Say.FACT_NUT_SPREAD), value = text("nut_spread")))
        add(Element("trees", Role.FIELD, say(Say.FACT_TREES), value = text("trees")))
    }

    private fun MutableList<Element>.neck() {
        add(heading("neck", say(Say.FACT_NECK)))
        add(Element("scale", Role.FIELD, say(Say.FACT_SCALE), value = text("scale")))
        add(Element("scale_low", Role.FIELD, say(Say.FACT_SCALE_LOW), value = text("scale_low")))
        add(Element("frets", Role.FIELD, say(Say.FACT_FRETS), value = text("frets")))
        add(Element("crown", Role.FIELD, say(Say.FACT_CROWN), value = text("crown")))
        add(Element("joint", Role.FIELD, say(Say.FACT_JOINT), value = text("joint")))
        add(Element("radius", Role.FIELD, say(Say.FACT_RADIUS), value = text("radius")))
        add(Element("radius_end", Role.FIELD, say(Say.FACT_RADIUS_END), value = text("radius_end")))
        add(heading("attached", say(Say.FACT_ATTACHED)))
        choices(OneOf.ATTACHED)
        add(heading("rod", say(Say.FACT_ROD)))
        choices(OneOf.ROD)
        val kind = OneOf.ROD.now()
        if (kind != null && kind != RodKind.ABSENT) choices(OneOf.ROD_AT)
        turns(Turns.ROD)
    }

    private fun MutableList<Element>.bridge() {
        add(heading("bridge", say(Say.FACT_BRIDGE)))
        val height = bridge?.height ?: spec?.bridge?.height
        for (one in Bridge.entries) add(choice("bridge.${one.name.lowercase()}", say(one.words), one.height == height))
        switch(Switch.POSTS)
        switch(Switch.FLOATS)
        if (Switch.FLOATS.on()) {
            add(Element("springs", Role.FIELD, say(Say.FACT_SPRINGS), value = text("springs")))
            turns(Turns.CLAW)
        }
        turns(Turns.SADDLE)
        turns(Turns.POST)
        add(Element("bridge_spread", Role.FIELD, say(Say.FACT_BRIDGE_SPREAD), value = text("bridge_spread")))
        if (height != null) {
            switch(Switch.SIDEWAYS)
            add(heading("intonation", say(Say.FACT_INTONATION)))
            choices(OneOf.INTONATION)
        }
        turns(Turns.INTONATION)
        add(heading("pickup", say(Say.PICKUPS)))
        add(Element("pickups", Role.FIELD, say(Say.FACT_PICKUPS), value = text("pickups")))
        turns(Turns.PICKUP)
    }

    override fun touched(id: String) {
        saved = null
        when (id) {
            "save" -> save(emptyList())
            "sure" -> save(doubts)
            "correct" -> doubts = emptyList()
            else -> {
                Switch.entries.firstOrNull { it.id == id }?.let { turned[it] = !it.on() }
                for (of in FEW) of.named(id)?.let { chosen[of] = it }
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
        turned.clear()
        chosen.clear()
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
        if (isSet("frets", "crown") || isSet("crown")) add(SpecField.Frets(FretsSpec(count("frets", Say.FACT_FRETS), given("crown")?.let { long("crown", CROWN) })))
        if (isSet("joint")) {
            val joint = JointFretSpec(count("joint", Say.FACT_JOINT))
            add(SpecField.JointFret(spec?.jointFret?.copy(number = joint.number) ?: joint))
        }
        if (isSet("radius", "radius_end")) add(SpecField.Board(curve()))
        if (isSet("nut_spread")) add(SpecField.NutSpread(long("nut_spread", SPREAD)))
        if (isSet("bridge_spread")) add(SpecField.BridgeSpread(long("bridge_spread", SPREAD)))
        if (isSet("pickups")) add(SpecField.Pickups(count("pickups", Say.FACT_PICKUPS)))
        if (isSet("springs")) add(SpecField.Springs(count("springs", Say.FACT_SPRINGS)))
        if (isSet("concert_pitch")) add(SpecField.A4(given("concert_pitch").orEmpty().let { Entered(if (it.last().isDigit()) "$it Hz" else it) }))
        if (isSet("trees")) add(SpecField.Trees(trees()))
        if (OneOf.HAND in chosen) OneOf.HAND.now()?.let { add(SpecField.BuiltFor(it)) }
        if (OneOf.ORDER in chosen) OneOf.ORDER.now()?.let { add(SpecField.Strung(it)) }
        if (OneOf.NUT in chosen) OneOf.NUT.now()?.let { add(SpecField.Nut(it)) }
        if (OneOf.ATTACHED in chosen) OneOf.ATTACHED.now()?.let { add(SpecField.Joint(it)) }
        turned[Switch.HEADLESS]?.let { add(SpecField.Headless(it)) }
        if (OneOf.ROD in chosen || OneOf.ROD_AT in chosen) OneOf.ROD.now()?.let { add(SpecField.Rod(RodSpec(it, OneOf.ROD_AT.now()))) }
        Turns.entries.filter { isChanged("thread.${it.id}", "fits.${it.id}") }.forEach { add(SpecField.Screw(PlacedScrew(it.place, turns(it)))) }
        val height = bridge?.height ?: spec?.bridge?.height
        val said = bridge != null || OneOf.INTONATION in chosen || (turned - Switch.HEADLESS).isNotEmpty()
        if (height != null && said) {
            val stood = spec?.bridge ?: BridgeSpec(height)
            val intonation = OneOf.INTONATION.now()
            val (sideways, posts) = (turned[Switch.SIDEWAYS] ?: stood.sideways) to (turned[Switch.POSTS] ?: stood.posts)
            add(SpecField.Bridge(stood.copy(height, Switch.FLOATS.on(), intonation, sideways, posts)))
        }
    }

    /** A thread by its name, or by how far a turn moves. */
    private fun turns(one: Turns): ScrewSpec {
        val stood = screw(one.place).copy(key = given("fits.${one.id}"))
        if (!isChanged("thread.${one.id}")) return stood
        val thread = given("thread.${one.id}")
        val pitch = thread?.takeIf(PITCH::matches)?.let { long("thread.${one.id}", 0.0) }
        return stood.copy(thread = thread.takeIf { pitch == null }, pitch = pitch)
    }

    /** The strings under a tree, by the numbers typed; none for 0. */
    private fun trees(): List<StringPlace> {
        val numbers = text("trees").split(' ', ',', ';').filter { it.isNotEmpty() }
        if (numbers == listOf(NONE)) return emptyList()
        return numbers.flatMap { number ->
            spec?.places.orEmpty().filter { "${it.course}" == number }.ifEmpty { throw Unread(Say.FACT_TREES) }
        }
    }

    private fun given(id: String) = text(id).trim().ifEmpty { null }

    private fun curve(): BoardCurve = when {
        text("radius").trim() == FLAT -> BoardCurve.Flat
        text("radius_end").isBlank() -> BoardCurve.Cylinder(long("radius"))
        else -> BoardCurve.Compound(long("radius"), long("radius_end"))
    }

    /** A length: without a unit small numbers are inches and large ones millimetres, as people say them. */
    private fun long(id: String, inchesBelow: Double = INCHES_BELOW): Entered {
        val text = text(id).trim()
        val number = text.replace(',', '.').toDoubleOrNull() ?: return Entered(text)
        return Entered(if (number < inchesBelow) "$text in" else "$text mm")
    }

    override fun kept() = buildMap {
        putAll(typed.mapKeys { "typed ${it.key}" })
        bridge?.let { put("bridge", it.name) }
        putAll(turned.mapKeys { "turned ${it.key.id}" }.mapValues { it.value.toString() })
        putAll(chosen.mapKeys { "chosen ${it.key.id}" })
    }

    override fun restore(kept: Map<String, String>) {
        for ((key, text) in kept) if (key.startsWith("typed ")) typed[key.removePrefix("typed ")] = text
        bridge = Bridge.entries.firstOrNull { it.name == kept["bridge"] }
        for (one in Switch.entries) kept["turned ${one.id}"]?.let { turned[one] = it.toBoolean() }
        for (of in FEW) kept["chosen ${of.id}"]?.let { chosen[of] = it }
    }

    private companion object {
        /** What is typed for a board without a curve. */
        const val FLAT = "0"

        /** No scale and no radius is so many millimetres, or inches. */
        const val INCHES_BELOW = 100.0

        /** The same of outer strings, and of a fret's height. */
        const val SPREAD = 10.0
        const val CROWN = 0.2

        /** What is typed where there are no trees. */
        const val NONE = "0"

        /** How far a turn moves, in the place of a thread's name. */
        val PITCH = Regex("[0-9.,]+ *(mm|in|Zoll)?")

        val FEW = listOf(OneOf.HAND, OneOf.ORDER, OneOf.NUT, OneOf.ATTACHED, OneOf.ROD, OneOf.ROD_AT, OneOf.INTONATION)

        /** Under which key stands what is taken away by an empty field. */
        val KEYS = mapOf(
            "about" to "about", "scale" to "scale", "frets" to "frets", "joint" to "joint-fret", "radius" to "board",
            "nut_spread" to "nut-spread", "bridge_spread" to "bridge-spread", "pickups" to "pickups", "springs" to "springs",
            "concert_pitch" to "a4", "trees" to "trees",
        )
    }
}
