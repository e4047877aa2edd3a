package fallaway.app

import fallaway.Entered
import fallaway.Job
import fallaway.Moment
import fallaway.Preferences
import fallaway.Shape
import fallaway.StringConstruction
import fallaway.StringSet
import fallaway.StringSpec
import fallaway.Workshop
import java.io.File
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test

/** The view models, without a phone. */
class ModelTest {
    private val root = File(System.getProperty("fallaway.root") ?: "../..")
    private val res = File(root, "sample-apps/android/app/res")

    private fun texts(language: String) = XmlTexts(res, language)

    @Test
    fun theScriptedDaysShowWhatIsRecorded() {
        val file = File(root, "tests/vectors/screens/days.json")
        val now = Recorded.all(::texts)
        if (System.getProperty("fallaway.record") != null) file.writeText(now)
        val recorded = file.readText().lines()
        val shown = now.lines()
        shown.zip(recorded).forEachIndexed { at, (is_, was) -> assertEquals("line ${at + 1} of $file", was, is_) }
        assertEquals(recorded.size, shown.size)
    }

    @Test
    fun everyLanguageHasEveryText() {
        val english = texts("en")
        val names = Say.entries.map { it.name.lowercase() } + "app_name"
        val counts = Count.entries.map { it.name.lowercase() }
        val parts = Regex("%\\d\\$[sd]")
        fun partsOf(text: String) = parts.findAll(text).map { it.value }.toSet()
        for (language in listOf("en", "de")) {
            val there = texts(language)
            assertEquals("texts in $language", names.sorted(), there.texts.keys.sorted())
            assertEquals("plurals in $language", counts.sorted(), there.plurals.keys.sorted())
            for ((name, text) in there.texts) {
                assertTrue("$language $name is empty", text.isNotBlank())
                assertEquals("$language $name", partsOf(english.texts.getValue(name)), partsOf(text))
            }
            for ((name, forms) in there.plurals) assertEquals("$language $name", setOf("one", "other"), forms.keys)
        }
    }

    @Test
    fun whatAndroidsShellSaysIsThereInEveryLanguage() {
        fun names(folder: String) =
            Regex("name=\"([a-z_]+)\"[^>]*>[^<]").findAll(File(res, "$folder/platform.xml").readText()).map { it.groupValues[1] }.toList()
        assertEquals(names("values"), names("values-de"))
        assertTrue("back" in names("values"))
    }

    @Test
    fun everyTextIsUsed() {
        val code = File(root, "sample-apps/android/model/src").walk().filter { it.extension == "kt" && it.name != "Say.kt" }
            .joinToString("\n") { it.readText() }
        for (say in Say.entries) assertTrue("Say.$say is used nowhere", Regex("Say\\.$say\\b").containsMatchIn(code))
        for (count in Count.entries) assertTrue("Count.$count is used nowhere", Regex("Count\\.$count\\b").containsMatchIn(code))
    }

    @Test
    fun everyElementHasANameAndAnIdOfItsOwn() {
        Playing("de", texts("de")).use { playing ->
            for (step in Day.steps) {
                playing.play(step)
                val elements = playing.shown(step).elements()
                val twice = elements.groupBy { it.id }.filterValues { it.size > 1 }.keys
                assertTrue("${step.on}: twice $twice", twice.isEmpty())
                for (one in elements) {
                    assertTrue("${one.id} has no name", one.spoken.isNotBlank())
                    if (one.role == Role.DRAWING) assertTrue("${one.id} says nothing", !one.detail.isNullOrBlank())
                    if (one.chosen && one.role in listOf(Role.CHOICE, Role.TOGGLE, Role.TAB)) {
                        assertTrue("${one.id}: chosen without a word", !one.state.isNullOrBlank())
                    }
                }
                assertTrue("more than one main action: ${elements.filter { it.main }.map { it.id }}", elements.count { it.main } <= 1)
            }
        }
    }

    @Test
    fun whatWasTypedIsThereAfterTheProcessWasEnded() {
        Playing("en", texts("en")).use { playing ->
            val half = Day.steps.takeWhile { it.on != "key.7" }
            half.forEach(playing::play)
            val phone = playing.phones.getValue("tech")
            val typed = phone.elements()
            assertTrue(typed.any { it.role == Role.CELL && it.value == "6/64 in" })
            val again = Phone(phone.workshop, { texts("en") }, phone.now)
            again.restore(phone.kept())
            assertEquals(typed.map { it.spoken }, again.elements().map { it.spoken })
        }
    }

    @Test
    fun aStepIsDoneWithOneTapAndAValueChosenWithThree() {
        Playing("en", texts("en")).use { playing ->
            Day.steps.takeWhile { it.on != "why" }.forEach(playing::play)
            val tech = playing.phones.getValue("tech")
            assertEquals("done", tech.elements().single { it.main }.id)
            tech.tap("done")
            assertTrue(tech.elements().any { it.id == "then" })
        }
        Playing("en", texts("en")).use { playing ->
            Day.steps.takeWhile { it.on != "settle" }.forEach(playing::play)
            val player = playing.phones.getValue("player")
            assertEquals("numbers", player.screen.name)
            listOf("settle", "value.1.2", "keep").forEach { id ->
                assertTrue(id, player.elements().any { it.id == id && it.touch })
                player.tap(id)
            }
            assertTrue(player.elements().any { it.id == "settled" })
        }
    }

    @Test
    fun aScreenIsShownWithOneCallOfTheCore() {
        // A program of its own: the library tells callbacks to whoever loaded it last.
        val java = File(System.getProperty("java.home"), "bin/java").path
        val counting = ProcessBuilder(
            java, "-Dfallaway.root=$root", "-cp", System.getProperty("java.class.path"), Crossings::class.java.name,
        ).redirectErrorStream(true).start()
        val said = counting.inputStream.readAllBytes().decodeToString()
        assertEquals(said, 0, counting.waitFor())
        val shown = said.trim().lines().map { it.substringBefore(" (") to it.substringAfter("): ") }
        // Sliders that were moved are asked about once more, as at each move.
        val moved = "clearance" to "2 instrument_clearance_opened clearancemodel_ask"
        val more = shown.filter { (_, calls) -> calls.substringBefore(' ').toInt() > 1 } - moved
        assertEquals(more.joinToString("\n"), 0, more.size)
        // All screens are among them, and what was counted was really called.
        assertTrue("${shown.map { it.first }.distinct()}", shown.map { it.first }.distinct().size > 20)
        for (call in listOf("instrument_card", "instrument_plan_drawn", "instrument_sharing_state")) {
            assertTrue(call, shown.any { (_, calls) -> calls == "1 $call" })
        }
    }

    @Test
    fun whatIsTypedOutlivesALookAndTheProcess() {
        Playing("en", texts("en")).use { playing ->
            Day.steps.takeWhile { it.on != "within.1" }.forEach(playing::play)
            val phone = playing.phones.getValue("tech")
            assertEquals("setups", phone.screen.name)
            phone.type("within.1", "0.07 mm")
            val typed = phone.elements().map { it.spoken }
            assertTrue("0.07 mm" in typed.joinToString())
            // The app was left and seen again.
            phone.changed()
            assertEquals(typed, phone.elements().map { it.spoken })
            val again = Phone(phone.workshop, { texts("en") }, phone.now)
            again.restore(phone.kept())
            assertEquals(typed, again.elements().map { it.spoken })
            while (phone.deeper) phone.tap("back")
            phone.tap("settings")
            phone.type("label", "bench phone")
            phone.changed()
            assertEquals("bench phone", phone.elements().single { it.id == "label" }.value)
            again.restore(phone.kept())
            assertEquals("bench phone", again.elements().single { it.id == "label" }.value)
        }
    }

    @Test
    fun whateverIsTypedOnAnyScreenOutlivesTheProcess() {
        val typed = mutableSetOf<String>()
        fun typedOn(phone: Phone) = phone.elements().filter { it.role in TYPED }.map { listOf(it.id, it.value, it.chosen) }
        fun walk(seen: Phone) {
            fun begun(kept: Map<String, String>) =
                Phone(seen.workshop, { texts("en") }, seen.now, seen.http, seen.nearby).apply { restore(kept) }
            val here = begun(seen.kept())
            // What a file brought is in the record: nobody comes back to it. Who waits for another phone has typed nothing.
            if (seen.screen.name == "received" || seen.elements().any { it.id == "waiting" }) return
            assertEquals(seen.screen.name, here.screen.name)
            assertEquals(seen.screen.name, typedOn(seen), typedOn(here))
            CHOSEN[here.screen.name]?.let { id -> if (here.elements().any { it.id == id && it.touch }) here.tap(id) }
            for (one in here.elements()) {
                val text = when (one.role) {
                    Role.FIELD -> "7"
                    Role.SLIDER -> "${checkNotNull(one.range).let { it.from + it.step }}"
                    else -> continue
                }
                here.type(one.id, text)
                if (one.role == Role.FIELD) typed += one.id.substringBefore('.') else typed += "slider ${one.id}"
            }
            if (here.screen.name == "read") here.elements().firstOrNull { it.role == Role.KEY }?.let { here.tap(it.id) }
            val after = begun(here.kept())
            // It may lie beneath others.
            do {
                assertEquals(here.screen.name, after.screen.name)
                assertEquals(here.screen.name, typedOn(here), typedOn(after))
                val deeper = here.deeper
                here.tap("back")
                after.tap("back")
            } while (deeper)
        }
        Playing("en", texts("en")).use { playing ->
            for (step in Day.steps) {
                playing.play(step)
                if (step.look) walk(playing.shown(step))
            }
            val tech = playing.phones.getValue("tech")
            while (tech.deeper) tech.tap("back")
            repeat(8) { tech.workshop.addInstrument("bass-4", "bass $it").close() }
            tech.changed()
            tech.type("search", "bass")
            tech.tap("instrument.1")
            walk(tech)
            tech.tap("back")
            walk(tech)
        }
        // Every field and slider that there is.
        val made = Regex("Element\\(\\s*\"([a-z_]+)[^\"]*\", Role\\.FIELD|(?<=add\\()(slider)\\(\"([a-z]+)\"")
        val code = File(root, "sample-apps/android/model/src").walk().filter { it.extension == "kt" }.joinToString("\n") { it.readText() }
        val all = made.findAll(code).map { it.groupValues[1].ifEmpty { "slider ${it.groupValues[3]}" } }.toSet()
        assertEquals(all.sorted(), typed.sorted())
    }

    @Test
    fun aNoteIsCalledAsItIsInTheLanguage() {
        Playing("de", texts("de")).use { playing ->
            val phone = playing.phones.getValue("tech")
            assertEquals(listOf("H0", "B1", "E1"), listOf("B0", "Bb1", "E1").map(phone::note))
        }
    }

    private fun Phone.added(name: String) {
        tap("add")
        type("name", name)
        tap("template.bass-4")
        tap("save")
        tap("back")
    }

    private fun Phone.of(role: Role) = elements().filter { it.role == role && it.id.startsWith("instrument.") }

    @Test
    fun theInstrumentWithWorkStandsFirst() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            listOf("first", "second", "third").forEach { phone.added(it) }
            val second = phone.workshop.instruments().single { it.name == "second" }.id
            phone.workshop.instrument(second).use { it.keepJob(Job("new nut", phone.now())) }
            phone.changed()
            val rows = phone.of(Role.ROW)
            assertEquals("second", rows.first().text)
            assertEquals(listOf("one job open", null, null), rows.map { it.state })
        }
    }

    @Test
    fun onlyWhatCanBeDoneIsOffered() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("walnut four")
            listOf("instrument.1", "tab.history").forEach(phone::tap)
            fun undo() = phone.elements().count { it.id == "undo" }
            assertEquals("nothing was written", 0, undo())
            listOf("tab.read", "tool").forEach(phone::tap)
            // Relief is a length, and no tuner reads one.
            val tools = phone.elements().filter { it.id.startsWith("tool.") }.map { it.text }
            assertTrue("$tools", tools.size > 3 && tools.none { "tuner" in it })
            listOf("tool", "tuned", "tab.history").forEach(phone::tap)
            assertEquals("a tuning was written", 1, undo())
        }
    }

    /** A drawing says in words only what does not stand beside it, and is not of words alone. */
    @Test
    fun nothingIsSaidTwiceOnAScreen() {
        for (language in listOf("en", "de")) Playing(language, texts(language)).use { playing ->
            for (step in Day.steps) {
                playing.play(step)
                val elements = playing.shown(step).elements()
                val said = elements.filter { it.role in listOf(Role.HEADING, Role.TEXT, Role.BANNER, Role.CAUTION) }.map { it.text }
                val twice = said.groupBy { it }.filterValues { it.size > 1 }.keys
                assertTrue("${step.on} says twice $twice", twice.isEmpty())
                for (one in elements.filter { it.role == Role.DRAWING }) {
                    val scene = checkNotNull(one.scene)
                    assertTrue("${step.on}: ${one.id} is of words alone", scene.marks.any { it.shape !is Shape.Text })
                    val words = scene.marks.mapNotNull { (it.shape as? Shape.Text)?.text } + scene.sentences.filter { it in one.detail.orEmpty() }
                    val beside = words.filter { it in said }
                    assertTrue("${step.on}: ${one.id} says what stands beside it: $beside", beside.isEmpty())
                }
            }
        }
    }

    /** Where nothing was read yet, a page says so and leads there; it is no fault that is put aside. */
    @Test
    fun whatHasToBeReadFirstIsSaid() {
        for (language in listOf("en", "de")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("walnut four")
            fun ids() = phone.elements().map { it.id }
            phone.tapAll("instrument.1", "tab.history", "draw")
            assertTrue("${ids()}", "not_drawn" in ids() && "drawing" !in ids())
            phone.tapAll("tab.plan", "targets")
            phone.type("name", "mine")
            phone.tap("add")
            phone.type("target.1", "0.30 mm")
            phone.type("within.1", "0.05 mm")
            phone.tap("save")
            phone.tap("back")
            for (page in listOf("clearance", "changed")) {
                phone.tapAll("tab.more", page)
                assertEquals(page, listOf("title", "missing", "first.facts", "first.read"), ids())
                listOf("first.facts", "back", "first.read").forEach(phone::tap)
                assertEquals("read", phone.screen.name)
                phone.tap("back")
                assertEquals("instruments", phone.screen.name)
                phone.tap("instrument.1")
            }
        }
    }

    @Test
    fun aBackBowIsTyped() {
        for ((language, point) in listOf("en" to ".", "de" to ",")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            fun tap(vararg ids: String) = ids.forEach { id ->
                assertTrue("$id on ${phone.screen.name}", phone.elements().any { it.id == id && it.touch })
                phone.tap(id)
            }
            fun cell(number: Int = 1) = phone.elements().single { it.id == "cell.$number" }
            fun relief() = phone.elements().first { it.role == Role.NUMBER }.value
            fun minus() = phone.elements().count { it.id == "key.minus" }
            val below = if (language == "en") "\u22120.15 mm" else "\u22120,15 mm"
            phone.added("walnut four")
            tap("instrument.1", "tab.read", "tool", "tool.$FEELER")
            // The sign may come first, last or between, and goes away as it came.
            tap("key.minus", "key.0", "key.point", "key.1", "key.5")
            assertEquals(below, cell().value)
            tap("key.minus")
            assertEquals(below.drop(1), cell().value)
            tap("key.minus", "save", "tab.numbers")
            assertEquals(below, relief())

            // A sign alone is no number, and not what is skipped.
            tap("tab.read", "tool", "tool.$FEELER", "key.skip", "key.minus")
            assertEquals("\u2212", cell().value)
            tap("save")
            assertTrue(phone.elements().any { it.id == "problem" })
            assertEquals("\u2212", cell().value)
            tap("key.minus")
            assertEquals(listOf("", 0), listOf(cell().value, phone.elements().count { it.id == "save" }))

            // On a rule it is the reading that was typed last, and ½ a mark further from zero.
            tap("tool", "tool.$RULE_64", "key.1", "key.minus", "key.half")
            val mark = cell().value.orEmpty()
            assertTrue(mark, mark.startsWith("\u22121${point}5/64"))
            tap("key.minus")
            assertEquals(mark.drop(1), cell().value)
            tap("key.back", "key.minus", "key.1", "key.half")
            assertEquals(mark, cell().value)
            tap("save", "sure", "tab.numbers")
            assertEquals(mark, relief())

            tap("tab.read")
            assertEquals(1, minus())
            tap("quantity.2", "tool", "tool.$RULE_64")
            assertEquals("no action is below zero", 0, minus())
        }
    }

    private fun Phone.tapAll(vararg ids: String) = ids.forEach { id ->
        assertTrue("$id on ${screen.name}: ${elements().map { it.id }}", elements().any { it.id == id && it.touch })
        tap(id)
    }

    /** Whoever has a phone alone reads all of a set-up with it, and not what was read before. */
    @Test
    fun whateverASetUpNeedsCanBeRead() {
        for (language in listOf("en", "de")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("walnut four")
            phone.tapAll("instrument.1", "tab.read")
            // Without a tool a bare number says nothing: the tools are there before anything is asked.
            assertTrue(phone.elements().any { it.id == "tool.$FEELER" })
            phone.tapAll("others")
            val offered = phone.elements().filter { it.id.startsWith("other.") }
            // Pitch, fall-away, nut open and held, two spacings, open action at 12, two pickups, intonation.
            assertEquals("${offered.map { it.text }}", 10, offered.size)
            for (number in 1..offered.size) {
                if (number > 1) phone.tapAll("others")
                val before = phone.elements().filter { it.id.startsWith("other.") || it.id.startsWith("quantity.") }.map { it.text }
                // What was read stands among the usual ones from then on: the next is the first of what is left.
                phone.tapAll("other.1")
                val what = phone.elements().single { it.id == "others" }
                assertTrue(what.chosen)
                assertTrue(what.value in before)
                val tools = phone.elements().filter { it.id.startsWith("tool.") }
                phone.tapAll((tools.firstOrNull { it.id == "tool.$CALIPER" } ?: tools.first()).id)
                val cells = phone.elements().count { it.role == Role.CELL }
                assertTrue("${what.value} is read nowhere", cells > 0)
                phone.tapAll("cell.1", "key.1")
                // Strings stand wider apart than a gap is high.
                if (listOf("spacing", "Saitenabstand").any { it in what.value.orEmpty() }) phone.tapAll("key.8")
                phone.tapAll("save")
                if (phone.elements().any { it.id == "sure" }) phone.tapAll("sure")
                assertTrue("${what.value}: ${phone.elements().map { it.spoken }}", phone.elements().any { it.id == "saved" })
            }
            assertTrue(phone.elements().none { it.id == "others" })
            phone.tapAll("tab.plan", "tab.numbers")
            assertTrue(phone.elements().count { it.role == Role.NUMBER } >= 10)
        }
    }

    /** What a set-up usually has is wanted before anything was read. */
    @Test
    fun targetsAreSetOfWhatWasNeverRead() {
        for ((language, cents) in listOf("en" to "2 cents", "de" to "2 Cent")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("walnut four")
            phone.tapAll("instrument.1", "tab.more", "setups")
            phone.type("name", "mine")
            phone.tapAll("add", "others")
            val offered = phone.elements().filter { it.id.startsWith("other.") }
            // Fall-away, nut open and held, two spacings, open action at 12, two pickups, intonation; the pitch is the tuning's.
            assertEquals("${offered.map { it.text }}", 9, offered.size)
            for ((number, one) in offered.withIndex()) {
                if (number > 0) phone.tapAll("others")
                phone.tapAll(one.id)
                assertTrue("the list closes", phone.elements().none { it.id.startsWith("other.") })
                // Its places are those below its name, which stands last.
                val fields = phone.elements().takeLastWhile { it.id.substringBefore('.') != "quantity" }.filter { it.role == Role.FIELD }
                assertEquals(one.text, phone.elements().last { it.id.startsWith("quantity.") }.text)
                assertTrue("${one.text} is wanted nowhere", fields.size > 1)
                val wanted = if (listOf("Intonation", "Oktavreinheit").any { it in one.text }) cents else "2 mm"
                fields.forEach { phone.type(it.id, wanted) }
            }
            val typed = phone.elements().map { it.spoken }
            val again = Phone(phone.workshop, { texts(language) }, phone.now)
            again.restore(phone.kept())
            assertEquals(typed, again.elements().map { it.spoken })
            // What is unusual on a bass is asked about, all of it at once.
            phone.tapAll("save", "correct", "save", "sure")
            assertTrue(phone.elements().joinToString { it.spoken }, phone.elements().any { it.id == "saved" })
            val wanted = phone.instrument.card(phone.setup).lines.filter { it.target != null }.map { it.quantity }.distinct()
            assertEquals("$wanted", offered.size, wanted.size)
            // Nothing is left to choose. Relief is still asked for; the action is now wanted at fret 12, and no longer at the last one.
            assertTrue(phone.elements().none { it.id == "others" })
            assertEquals(offered.size + 1, phone.elements().count { it.id.startsWith("quantity.") })
        }
    }

    /** What a template supposes is put right on the phone, in the signs and words of its language. */
    @Test
    fun whatTheInstrumentIsCanBePutRight() {
        for ((language, inches) in listOf("en" to "in", "de" to "Zoll")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.tap("add")
            phone.type("name", "red six")
            phone.tapAll("template.guitar-6", "save", "facts")
            fun value(id: String) = phone.elements().single { it.id == id }.value
            fun chosen(id: String) = phone.elements().single { it.id == id }.chosen
            val comma = if (language == "de") "," else "."
            assertEquals("25${comma}5 $inches", value("scale"))
            // Nothing changed is nothing written.
            val before = phone.instrument.factsWritten().size
            phone.tapAll("save")
            assertEquals(before, phone.instrument.factsWritten().size)
            phone.type("scale", "25${comma}25")
            phone.type("radius", "9${comma}5 $inches")
            phone.type("radius_end", "400")
            phone.type("frets", "21")
            phone.type("thread.saddle", "#4-40")
            phone.type("tuning.2", if (language == "de") "B3" else "Bb3")
            phone.tapAll("posts", "floats", "bridge.one_screw", "rod.one_way")
            phone.type("springs", "3")
            phone.tapAll("save")
            assertTrue(phone.elements().joinToString { it.spoken }, phone.elements().any { it.id == "saved" })
            assertEquals("25${comma}25 $inches", value("scale"))
            assertEquals(listOf("9${comma}5 $inches", "400 mm"), listOf(value("radius"), value("radius_end")))
            val spec = phone.instrument.details().spec
            assertEquals("Bb3", spec.tuning[1].note)
            assertEquals(21u to 3u, spec.frets?.count to spec.springs)
            assertTrue(spec.bridge?.floating == true && spec.bridge?.posts == true && spec.bridge?.height == fallaway.BridgeHeight.OwnSaddles(1u))
            assertTrue(chosen("floats") && chosen("rod.one_way") && chosen("bridge.one_screw"))
            assertEquals("#4-40", spec.screws.single { it.place == fallaway.ScrewPlace.SADDLE_HEIGHT }.screw.thread)
            // What is no number is said of, and stays typed; an empty field takes a fact away.
            phone.type("frets", "many")
            phone.tapAll("save")
            assertTrue(phone.elements().any { it.id == "problem" })
            assertEquals("many", value("frets"))
            phone.type("frets", "22")
            phone.type("springs", "")
            phone.tapAll("save")
            assertEquals(null, phone.instrument.details().spec.springs)
            // What was refused before is no longer said.
            assertTrue(phone.elements().none { it.id == "problem" })
            // What is unusual on such an instrument is asked about, and taken if it is right.
            phone.type("scale", "39")
            phone.tapAll("save")
            assertTrue(phone.elements().any { it.id == "doubt" } && phone.elements().none { it.id == "save" })
            phone.tapAll("correct", "save")
            phone.tapAll("sure")
            assertEquals("39 $inches", value("scale"))
            assertTrue(phone.elements().any { it.id == "saved" })
            // The bridge that floats has a height to be read.
            phone.tap("back")
            phone.tapAll("tab.read", "others")
            val height = if (language == "de") "Höhe des Stegs" else "Bridge height"
            assertTrue(phone.elements().any { it.text.startsWith(height) })
        }
    }

    /** A fact that the core knows and the phone cannot enter is found here: each is changed on the phone, or has its reason. */
    @Test
    fun everyFactCanBeEntered() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.tap("add")
            phone.type("name", "red six")
            phone.tapAll("template.guitar-6", "save", "facts")
            val before = facts(phone.instrument.details().spec)
            phone.tapAll(*phone.elements().filter { it.role == Role.TOGGLE }.map { it.id }.toTypedArray())
            for (one in phone.elements().filter { it.role == Role.CHOICE }.groupBy { it.id.substringBefore('.') }.values) {
                phone.tapAll(one.first { !it.chosen }.id)
            }
            // Where the rod is adjusted was not asked for before there was one.
            if (phone.elements().none { it.id.startsWith("rod_at.") && it.chosen }) phone.tapAll("rod_at.heel")
            val values = mapOf(
                "name" to "red one", "about" to "with a strap", "tuning" to "D4", "concert_pitch" to "442", "nut_spread" to "42", "trees" to "1 2",
                "scale" to "24.75", "scale_low" to "25.25", "frets" to "21", "crown" to "1.1", "joint" to "15", "radius" to "10",
                "radius_end" to "16", "bridge_spread" to "51", "springs" to "4", "pickups" to "3", "thread" to "#4-40", "fits" to "2 mm hex",
            )
            for (one in phone.elements().filter { it.role == Role.FIELD }) {
                if (one.id.startsWith("tuning.") && one.id != "tuning.1") continue
                phone.type(one.id, values.getValue(one.id.substringBefore('.')))
            }
            phone.type("thread.claw", "1.8")
            phone.tapAll("save")
            if (phone.elements().any { it.id == "sure" }) phone.tapAll("sure")
            assertTrue(phone.elements().joinToString { it.spoken }, phone.elements().any { it.id == "saved" })
            phone.tap("back")
            phone.tapAll("tab.more", "strings")
            phone.elements().filter { it.id.startsWith("gauge.") }.forEach { phone.type(it.id, ".013") }
            phone.tapAll("save")
            val after = facts(phone.instrument.details().spec)
            assertEquals(UNENTERED.sorted(), before.keys.filter { before[it] == after[it] }.sorted())
            assertEquals(listOf("1.1 mm", "442 Hz"), listOf(after["frets.height"], after["a4"]).map { (it as Entered).text })
            // What only a newer version knows is not offered, all else is.
            assertEquals(fallaway.NutKind.entries.size - 1, phone.run { tap("back"); tapAll("facts"); elements() }.count { it.id.startsWith("nut.") })
            phone.type("trees", "0")
            phone.tapAll("save")
            assertEquals(emptyList<Any>(), phone.instrument.details().spec.trees)
            phone.type("trees", "9")
            phone.tapAll("save")
            assertTrue(phone.elements().any { it.id == "problem" })
        }
    }

    /** Every fact by its name, and of those that have parts every part. */
    private fun facts(spec: fallaway.InstrumentSpec): Map<String, Any?> {
        fun parts(of: Class<*>) = of.declaredFields.filter { !java.lang.reflect.Modifier.isStatic(it.modifiers) }.onEach { it.isAccessible = true }
        return parts(spec.javaClass).flatMap { fact ->
            val value = fact.get(spec)
            when {
                fact.type in PARTED -> parts(fact.type).map { "${fact.name}.${it.name}" to value?.let(it::get) }
                fact.name == "screws" -> parts(fallaway.ScrewSpec::class.java).map { part ->
                    "screws.${part.name}" to spec.screws.mapNotNull { placed -> part.get(placed.screw)?.let { placed.place to it } }
                }
                else -> listOf(fact.name to value)
            }
        }.toMap()
    }

    /** The air is noted in the units that people say, and asked about where it looks unusual. */
    @Test
    fun theAirIsNoted() {
        for (language in listOf("en", "de")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("walnut four")
            phone.tapAll("instrument.1")
            phone.tapAll("tab.more", "note")
            fun air() = phone.instrument.history(fallaway.HistoryFilter()).mapNotNull { (it.body as? fallaway.EntryBody.ClimateNoted)?.climate }
            phone.type("temperature", "21")
            phone.type("humidity", "45")
            phone.type("where_kept", "bench")
            phone.type("hours_there", "a while")
            phone.tapAll("save_climate")
            assertTrue(phone.elements().any { it.id == "problem" })
            phone.type("hours_there", "48")
            phone.tapAll("problem.close", "save_climate")
            assertTrue(phone.elements().joinToString { it.spoken }, phone.elements().any { it.id == "saved" })
            assertEquals(listOf("21 °C", "45%"), air().single().run { listOf(temperature?.text, humidity?.text) })
            assertEquals("bench" to 48u, air().single().run { whereKept to hoursThere })
            phone.type("temperature", "122 °F")
            phone.tapAll("save_climate", "correct", "save_climate", "sure")
            assertEquals(listOf("21 °C", "122 °F"), air().map { it.temperature?.text })
        }
    }

    /** From an instrument that nobody has read to its final numbers, with this phone alone. */
    @Test
    fun aWholeSetUpFromNothing() {
        for (language in listOf("en", "de")) Playing(language, texts(language)).use { playing ->
            val phone = playing.phones.getValue("tech")
            fun isThere(id: String) = phone.elements().any { it.id == id }
            phone.tap("add")
            phone.type("name", "walnut four")
            phone.tapAll("template.bass-4", "save", "tab.plan", "targets")
            phone.type("name", "mine")
            phone.tap("add")
            val wanted = listOf("0.30 mm", "2 mm", "2 mm", "2.2 mm", "2.4 mm")
            wanted.forEachIndexed { at, text -> phone.type("target.${at + 1}", text) }
            listOf("0.05 mm", "0.2 mm").forEachIndexed { at, text -> phone.type("within.${at + 1}", text) }
            phone.tapAll("save")
            phone.tap("back")

            fun tuned() = phone.tapAll("tab.plan", "done")
            fun read(vararg keys: String) {
                phone.tapAll(*keys, "save")
                // What is unusual on a bass is asked about.
                if (isThere("sure")) phone.tap("sure")
                assertTrue(phone.elements().joinToString { it.spoken }, isThere("saved"))
            }
            tuned()
            phone.tapAll("measure", "tool.$FEELER")
            read("key.0", "key.point", "key.6", "key.5")
            // The rod: a try that loosens, then what it showed, at most a quarter turn at a time.
            for ((tenth, hundredth) in listOf("7" to "2", "5" to "4", "3" to "2")) {
                phone.tap("tab.plan")
                assertTrue(isThere("dial.1") && isThere("caution.1"))
                phone.tap("done")
                tuned()
                phone.tap("measure")
                read("key.0", "key.point", "key.$tenth", "key.$hundredth")
            }
            // The saddles of all strings, their way seen at a look, in one step.
            phone.tapAll("tab.plan", "measure", "tool.$RULE_64")
            read("key.6", "key.6", "key.7", "key.8")
            phone.tapAll("tab.plan", "raises", "done")
            tuned()
            phone.tap("measure")
            read("key.5", "key.5", "key.5", "key.half", "key.6")
            val lines = phone.instrument.card(phone.setup).lines.filter { it.target != null }
            assertEquals(List(5) { fallaway.CardStanding.WITHIN }, lines.map { it.standing })
            // Nothing is to be done but to write down the final numbers.
            phone.tap("tab.plan")
            assertTrue(isThere("measure") && !isThere("dial.1") && !isThere("later.1"))
        }
    }

    @Test
    fun theListBesideWhatIsOpenIsAsNewAsWhatIsWritten() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.added("loan bass")
            phone.tap("instrument.1")
            fun row() = phone.list().single { it.id == "instrument.1" }.detail
            assertEquals("last entry 1970-01-01", row())
            listOf("tab.more", "note").forEach(phone::tap)
            phone.type("remark", "hums")
            playing.play(Step("tech", "tap", "save", at = 1_759_737_600))
            assertEquals("last entry 2025-10-06", row())
        }
    }

    @Test
    fun theListBesideWhatIsOpenMarksIt() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            listOf("first", "second").forEach { phone.added(it) }
            fun marked() = phone.list().filter { it.chosen }.map { it.text }
            assertEquals(emptyList<String>(), marked())
            val name = phone.elements().single { it.id == "instrument.2" }.text
            listOf("instrument.2", "tab.more", "note").forEach(phone::tap)
            assertEquals(listOf(name), marked())
            phone.tapInList("settings")
            assertEquals("no instrument is open", emptyList<String>(), marked())
        }
    }

    @Test
    fun whoeverComesWithAnInvitationThatWasUsedIsTold() {
        val phones = listOf("tech", "player", "friend").associateWith { label ->
            val workshop = Workshop.inMemory(label).apply { setPreferences(Preferences(language = "en")) }
            Phone(workshop, { texts("en") }, { Moment(1_759_737_600, 60) })
        }
        fun Phone.file(id: String): ByteArray {
            tap(id)
            return (effects.removeFirst() as Effect.Share).bytes.also { handedOver() }
        }
        val tech = phones.getValue("tech")
        tech.added("loan bass")
        listOf("instrument.1", "tab.more", "people", "invite.contributor").forEach(tech::tap)
        val words = tech.elements().single { it.id == "words" }.text
        val file = tech.file("file")
        val answers = listOf("player", "friend").map { label ->
            val phone = phones.getValue(label)
            phone.tap("join")
            phone.type("words", words)
            phone.receive(file)
            listOf("join", "tab.more", "send").forEach(phone::tap)
            phone.file("all")
        }
        answers.forEach(tech::receive)
        fun told() = tech.elements().filter { it.id == "second.1" }.map { it.role }
        assertEquals(listOf(Role.CAUTION), told())
        listOf("open", "tab.more", "people").forEach(tech::tap)
        assertEquals(listOf(Role.CAUTION), told())
        // Which of the two is let in is not for this test to say.
        val said = tech.elements().single { it.id == "second.1" }.text.lowercase()
        assertTrue(said, "friend" in said && "player" in said)
    }

    @Test
    fun threeHundredInstrumentsAreSearched() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            repeat(300) { phone.workshop.addInstrument("bass-4", "bass ${it + 1}").close() }
            phone.changed()
            assertEquals(300, phone.of(Role.ROW).size)
            phone.type("search", "bass 29")
            assertEquals(11, phone.of(Role.ROW).size)
            phone.type("search", "no such")
            assertEquals("none", phone.elements().first { it.role == Role.TEXT }.id)
            phone.type("search", "bass 300")
            phone.tap("instrument.1")
            assertEquals("bass 300", phone.elements().first().text)
        }
    }

    @Test
    fun stringsArePutOnFromASetOfTheShopOrByGauge() {
        Playing("de", texts("de")).use { playing ->
            val phone = playing.phones.getValue("tech")
            val gauges = listOf(".045", ".065", ".085", ".105")
            val set = gauges.map { StringSpec(gauge = Entered("$it in"), construction = StringConstruction.ROUND_WOUND) }
            phone.workshop.keepStringSet(StringSet("shop medium", set))
            phone.workshop.keepStringSet(StringSet("for five", set + set.last()))
            phone.added("loan bass")
            listOf("instrument.1", "tab.more", "strings").forEach(phone::tap)
            assertEquals(listOf("shop medium"), phone.elements().filter { it.id.startsWith("kept.") }.map { it.text })
            phone.tap("kept.1")
            phone.type("gauge.1", "1,1 mm")
            phone.type("gauge.2", ",070")
            phone.tap("save")
            val on = phone.instrument.details().spec.strings.sortedBy { it.place.course }.map { it.string }
            assertEquals(listOf("1.1 mm", "0.070 in", "0.085 in", "0.105 in"), on.map { it.gauge?.text })
            // What the set knows of a string came with it.
            assertEquals(StringConstruction.ROUND_WOUND, on.last().construction)
            assertTrue(phone.elements().any { it.id == "saved" })
            phone.type("gauge.1", "40 mm")
            phone.tap("save")
            assertTrue(phone.elements().any { it.id == "problem" })
            assertEquals("40 mm", phone.elements().single { it.id == "gauge.1" }.value)
        }
    }

    @Test
    fun lettersStayAsLargeAsWasChosen() {
        Playing("en", texts("en")).use { playing ->
            val phone = playing.phones.getValue("tech")
            phone.tap("settings")
            phone.tap("size.160")
            assertEquals(160, phone.look.size)
            val again = Phone(phone.workshop, { texts("en") }, phone.now)
            again.restore(phone.kept())
            assertEquals(160, again.look.size)
            assertTrue(again.elements().single { it.id == "size.160" }.chosen)
        }
    }

    @Test
    fun whatSlidersWereMovedToHoldsWhenTheScreenIsSeenAgain() {
        Playing("en", texts("en")).use { playing ->
            Day.steps.takeWhile { it.on != "rise" }.forEach(playing::play)
            val phone = playing.phones.getValue("tech")
            fun answer() = phone.elements().filter { it.id == "tightest" || it.id.startsWith("string.") }.map { it.spoken }
            val asItIs = answer()
            phone.type("rise", "-0.5")
            val lower = answer()
            assertTrue("$lower", lower != asItIs)
            phone.changed()
            assertEquals(lower, answer())
            phone.tap("zero")
            assertEquals(asItIs, answer())
        }
    }

    @Test
    fun numbersAreWrittenAsInTheLanguageAndReadSo() {
        Playing("de", texts("de")).use { playing ->
            Day.steps.takeWhile { it.on != "tab.plan" }.forEach(playing::play)
            val phone = playing.phones.getValue("tech")
            listOf("tab.more", "setups").forEach(phone::tap)
            fun field(id: String) = phone.elements().single { it.id == id }.value
            assertEquals(listOf("0,30 mm", "0,05 mm", "5/64 Zoll"), listOf("target.1", "within.1", "target.2").map(::field))
            phone.type("target.1", "0,35 mm")
            phone.type("target.2", "6/64 Zoll")
            phone.tap("save")
            assertTrue(phone.elements().any { it.id == "saved" })
            assertEquals(listOf("0,35 mm", "6/64 Zoll"), listOf("target.1", "target.2").map(::field))
        }
    }

    @Test
    fun whatIsInTheHistoryBeginsAsALineDoes() {
        for (language in listOf("en", "de")) {
            Playing(language, texts(language)).use { playing ->
                Day.steps.forEach(playing::play)
                val phone = playing.phones.getValue("tech")
                while (phone.deeper) phone.tap("back")
                listOf("instrument.1", "tab.history").forEach(phone::tap)
                val entries = phone.elements().filter { it.id.startsWith("entry.") }.map { it.text }
                val remarked = Day.steps.filter { it.on == "remark" }.map { it.with }
                assertTrue(entries.size > 20)
                assertEquals(emptyList<String>(), entries.filter { it.first().isLowerCase() } - remarked)
            }
        }
    }

    @Test
    fun tapsAreCounted() {
        Playing("en", texts("en")).use { playing ->
            Day.steps.forEach(playing::play)
            val phone = Phone(playing.phones.getValue("tech").workshop, { texts("en") }, playing.phones.getValue("tech").now)
            var taps = 0
            fun tap(id: String) {
                assertTrue("$id on ${phone.screen.name}", phone.elements().any { it.id == id && it.touch })
                phone.tap(id)
                taps++
            }
            tap("instrument.1")
            assertEquals("from a cold start to the numbers", 1, taps)
            assertEquals("numbers", phone.screen.name)

            phone.tap("tab.read")
            phone.tap("quantity.2")
            phone.tap("tool")
            phone.tap("tool.1")
            phone.tap("tab.numbers")
            taps = 0
            tap("tab.read")
            tap("quantity.2")
            phone.tap("tool")
            phone.tap("tool.1")
            listOf("6", "6", "6", "7", "7").forEach { tap("key.$it") }
            tap("save")
            assertEquals("action of five strings", 8, taps)

            tap("tab.more")
            taps = 1
            tap("people")
            tap("invite.contributor")
            assertEquals("an invitation", 3, taps)
        }
    }

    private companion object {
        /** What a person has typed, or chosen. */
        val TYPED = setOf(Role.FIELD, Role.CELL, Role.SLIDER, Role.CHOICE, Role.NUMBER)

        /** Facts of which each part is one. */
        val PARTED = setOf<Class<*>>(
            fallaway.FretsSpec::class.java, fallaway.JointFretSpec::class.java, fallaway.BridgeSpec::class.java, fallaway.RodSpec::class.java,
        )

        /** What no page of the phone changes: what the template is, how sure it is of the joint, what readings teach, and what is no fact. */
        val UNENTERED = listOf("family", "courses", "jointFret.uncertainByFrets", "screws.clockwise", "places", "newerFacts")

        /** Tools as they stand in the list. */
        const val RULE_64 = 1
        const val FEELER = 5
        const val CALIPER = 7

        /** What can be chosen without writing it down, by its screen. */
        val CHOSEN = mapOf(
            "add" to "template.bass-4", "note" to "string.2", "settle" to "value.1.1", "sheet" to "kind.bench",
            "could_not" to "reason.2", "otherwise" to "anticlockwise", "plan" to "wait", "facts" to "rod.one_way",
        )
    }
}
