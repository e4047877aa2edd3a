package fallaway

import java.io.File
import java.net.ServerSocket
import java.net.Socket
import java.nio.file.Path
import java.time.OffsetDateTime
import java.util.concurrent.CopyOnWriteArrayList
import kotlin.io.path.exists
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.launch
import kotlinx.coroutines.runBlocking
import kotlinx.coroutines.withContext
import kotlinx.coroutines.withTimeout
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/**
 * The cookbook's code, task by task: `cargo tool cookbook` takes it out of this file into
 * `docs/embedding/cookbook/kotlin.md`.
 */
class CookbookTest {
    private fun task(block: suspend (SuspendingWorkshop, SuspendingInstrument) -> Unit): Unit = runBlocking {
        workshop().use { handle ->
            val workshop = handle.on(Dispatchers.IO)
            val bass = workshop.addInstrument("bass-4", "walnut bass")
            bass.addTuning(TuningChange())
            bass.addPassText(relief, "12", Tool.FeelerThou)
            bass.addPassText(action, "5 5 5 6", Tool.Rule64)
            bass.takeSetup("stage")
            bass.endVisit()
            bass.use { block(workshop, bass) }
        }
    }

    @Test
    fun task01(@TempDir filesDir: File): Unit = runBlocking {
        // task 1
        val keeper = FileKeeper(filesDir.toPath().resolve("keys")) // on Android KeystoreKeeper(context)
        val workshop = Workshop.openOn(Dispatchers.IO, File(filesDir, "workshop"), "tech", keeper)
        println(workshop.instruments())
        // end
        workshop.shutDown()
        workshop.close()
        assertTrue(File(filesDir, "workshop").isDirectory)
    }

    @Test
    fun task02() = task { workshop, _ ->
        // task 2
        for (template in templates()) println("${template.id} ${template.name}: ${template.summary}")
        val bass = workshop.addInstrument("bass-5", "loan bass")
        val same = workshop.instrumentNamed("loan") // or workshop.instrument(id)
        // end
        assertEquals(bass.handle.id(), same.handle.id())
    }

    @Test
    fun task03() = task { _, bass ->
        // task 3
        bass.setSpec(SpecField.About("the one with the walnut top"))
        bass.setSpec(SpecField.Pickups(2u))
        bass.unsetSpec("pickups")
        val spec = bass.details().spec
        // end
        assertEquals("the one with the walnut top", spec.about)
    }

    @Test
    fun task04() = task { _, bass ->
        // task 4
        bass.beginVisit("too high")
        val action = Quantity.action(stopped = 1, over = 24)
        bass.addPassText(action, "6 6 - =", Tool.Rule64)
        bass.addPassText(Quantity.Pitch, "0 0 2 -1", Tool.TunerCent)
        bass.endVisit()
        // end
        assertEquals(2, bass.visits().size)
    }

    @Test
    fun task05() {
        // task 5
        val read = parseReading("5/64", action)
        println("${read.value.asEntered}: ${read.value.value} ${read.value.unit}")
        try {
            parseReading("five", action)
        } catch (wrong: FallawayException.BadInput) {
            println("${wrong.reason}; ${wrong.accepted}")
        }
        // end
        assertEquals(5.0 / 64.0 * 25.4, read.value.value, 1e-9)
    }

    @Test
    fun task06() = task { _, bass ->
        // task 6
        try {
            bass.addPassText(relief, "120", Tool.FeelerThou)
        } catch (unsure: FallawayException.Unsure) {
            for (doubt in unsure.doubts) println("Is that right? ${doubt.given}: ${doubt.reason}")
            val yes = WriteOptions(accept = unsure.doubts)
            bass.addPassText(relief, "120", Tool.FeelerThou, options = yes)
        }
        // end
        assertTrue("120" in bass.history(HistoryFilter(last = 1u)).single().text)
    }

    @Test
    fun task07() = task { _, bass ->
        // task 7
        bass.addAdjustment(Adjustment(AdjustedPart.Rod, turns = -0.25))
        bass.addStringChange(StringChange(setName = "45 to 105"))
        bass.addTuning(TuningChange()) // all strings, to their notes
        bass.addClimate(Climate(Entered("21 C"), Entered("45 %"), hoursThere = 48u))
        bass.addBuzz(BuzzNote(StringPlace(4), 5u, 7u))
        bass.addRemark("fret 3 is worn")
        // end
        assertTrue(bass.history(HistoryFilter()).size > 8)
    }

    @Test
    fun task08() = task { _, bass ->
        // task 8
        val studio = bass.takeSetup("studio").id // what was read last
        val low = Location.string(4)
        bass.setTarget(studio, NewTarget(action, low, Entered("2.2 mm"), Entered("0.1 mm")))
        for (setup in bass.setups()) println("${setup.name}: ${setup.targets.size} targets")
        bass.renameSetup(studio, "club") // the id stays
        bass.deleteSetup(studio)
        bass.bringBackSetup(studio)
        // end
        assertEquals("club", bass.setupNamed("club").name)
        assertEquals(2, bass.setups().size)
    }

    @Test
    fun task09() = task { _, bass ->
        // task 9
        val card = bass.card(SetupId("stage"))
        for (line in card.lines) {
            val read = line.last?.value?.text ?: "not read"
            println("${line.quantityText} ${line.placeText}: $read ${line.standing}")
        }
        // end
        assertTrue(card.lines.size >= 5)
    }

    @Test
    fun task10() = task { _, bass ->
        bass.addPassText(relief, "18", Tool.FeelerThou)
        // task 10
        val plan = bass.plan(SetupId("stage"))
        plan.next?.let { step ->
            println("${step.title}: ${step.verdictText}")
            step.sentences.forEach(::println)
            step.cautions.forEach { println("Caution: ${it.text}") }
        }
        // end
        assertNotNull(plan.next)
    }

    @Test
    fun task11() = task { _, bass ->
        repeat(2) { bass.addPassText(relief, "18", Tool.FeelerThou) }
        // task 11
        // As it was proposed; else didOtherwise, or couldNot with the reason.
        val written = bass.done(bass.plan(SetupId("stage")).next!!.id)
        for (what in written.thenMeasure) println("then measure: ${what.text}")
        bass.addTuning(TuningChange())
        bass.addPassText(relief, "14", Tool.FeelerThou)
        println(bass.plan(SetupId("stage")).text)
        // end
    }

    @Test
    fun task12() = task { _, bass ->
        bass.addPassText(relief, "22", Tool.FeelerThou)
        bass.addPassText(action, "6 6 6 7", Tool.Rule64)
        // task 12
        val changed = bass.whatChanged(Occasion.Setup(SetupId("stage")), Occasion.Today)
        for (part in changed.parts) println("${part.part}: ${part.verdict}, ${part.change.text}")
        changed.sentences.forEach(::println)
        // end
        assertTrue(changed.parts.isNotEmpty())
    }

    @Test
    fun task13() = task { _, bass ->
        bass.addClimate(Climate(humidity = Entered("45 %"), hoursThere = 48u))
        bass.addPassText(relief, "12", Tool.FeelerThou)
        // task 13
        bass.learned().sentences.forEach(::println)
        val dry = ForecastClimate("the dry tour", humidityPercent = 25.0)
        try {
            bass.forecast(listOf(dry), SetupId("stage")).sentences.forEach(::println)
        } catch (early: FallawayException.BadInput) {
            println(early.reason) // no season is known yet
        }
        // end
    }

    @Test
    fun task14() = task { _, bass ->
        val gauges = listOf(".045", ".065", ".085", ".105")
        bass.addStringChange(
            StringChange(
                fitted = gauges.mapIndexed { at, gauge ->
                    FittedString(StringPlace(at + 1), StringSpec(gauge = Entered("$gauge in")))
                },
            ),
        )
        // task 14
        for (known in bass.fretFindings()) println(known.text)
        val touch = Touch(forceN = 1.0, direction = PluckDirection.TOWARD_BOARD)
        val model = bass.clearanceModel(touch)
        var answer = model.opened
        for (rise in listOf(0.2, 0.4)) {
            val tightest = answer.limiting
            println("${tightest?.name} ${tightest?.smallest?.marginMm} ${tightest?.buzzes}; then $rise mm higher")
            answer = model.ask(touch, ClearanceWhatIf(saddleRisesMm = List(4) { rise }))
        }
        model.close()
        // end
    }

    @Test
    fun task15() = task { _, bass ->
        // task 15
        var page = HistoryFilter(last = 30u)
        while (true) {
            val entries = bass.history(page).ifEmpty { break }
            for (entry in entries.reversed()) println("${entry.at.written} ${entry.text}")
            page = page.copy(before = entries.first().id)
        }
        // end
    }

    @Test
    fun task16() = task { _, bass ->
        // task 16
        bass.addPassText(relief, "21", Tool.FeelerThou)
        println(bass.undoable()) // for the menu; null if there is nothing
        val undone = bass.undo()
        for (line in undone.lines) println("${line.text}: ${line.how}")
        bass.redo()
        // end
        // task 16
        val first = bass.history(HistoryFilter()).first()
        bass.retract(first.id, "on the wrong instrument")
        // end
        assertTrue(undone.lines.isNotEmpty())
    }

    @Test
    fun task17() = task { workshop, bass ->
        // task 17
        workshop.archiveInstrument(bass.handle.id) // out of the list, with everything that it holds
        workshop.bringBackInstrument(bass.handle.id)
        workshop.removeFromThisDevice(bass.handle.id) // off this device
        // end
        assertEquals(emptyList<InstrumentSummary>(), workshop.instruments())
    }

    @Test
    fun task18() = task { workshop, bass ->
        val drawn = CopyOnWriteArrayList<InstrumentId>()
        fun draw(id: InstrumentId) = drawn.add(id)
        withTimeout(60_000) {
            // task 18
            val screen = launch(Dispatchers.Default) {
                workshop.changes().collect { ids -> ids.forEach { draw(it) } }
            }
            // end
            while (drawn.isEmpty()) bass.addRemark("seen")
            // task 18
            screen.cancel() // the listener ends with its collector
            // end
        }
    }

    @Test
    fun task19() = task { workshop, bass ->
        // task 19
        val plan = bass.plan(SetupId("stage")) // suspends; the work is done on the dispatcher
        val (card, history) = bass { card(SetupId("stage")) to history(HistoryFilter(last = 30u)) } // one hop
        // end
        assertTrue(plan.text.isNotEmpty() && card.lines.isNotEmpty() && history.isNotEmpty())
        assertEquals(1, workshop.instruments().size)
    }

    @Test
    fun task20() = task { workshop, bass ->
        // task 20
        workshop.pause() // in onStop
        // end
        assertEquals("walnut bass", bass.name())
    }

    @Test
    fun task21(@TempDir files: File): Unit = runBlocking {
        val folder = File(files, "workshop")
        val copy = File(files, "bench.backup")
        val workshop = Workshop.openOn(Dispatchers.IO, folder, "tech")
        workshop.addInstrument("bass-4", "walnut bass").close()
        // task 21
        withContext(Dispatchers.IO) { backUp(folder.path, copy.path) }
        // end
        workshop.shutDown()
        workshop.close()
        folder.listFiles()?.filter { it.isFile }?.forEach { it.delete() } // the keys are not lost
        // task 21
        withContext(Dispatchers.IO) { restore(copy.path, folder.path) }
        try {
            val restored = Workshop.openOn(Dispatchers.IO, folder, "tech")
            restored.notices().forEach { println(it.text) }
            // end
            assertEquals(listOf("walnut bass"), restored.instruments().map { it.name })
            restored.shutDown()
            // task 21
            restored.close()
        } catch (lost: FallawayException.Keys) {
            println(lost.reason) // locked: try again later; lost: ask somebody to invite this device
        }
        // end
    }

    @Test
    fun task22(@TempDir folder: File) = task { _, bass ->
        val notebook = File(folder, "notebook.csv")
        val heads = "day,relief (feeler 1 thou),action (rule 1/64)"
        notebook.writeText("$heads\n2025-06-01,12,5 5 5 6\n2025-12-01,17,6 6 6 7\n")
        // task 22
        val table = notebook.readText()
        val report = bass.checkTable(table) // writes nothing
        for (it in report.problems) println("row ${it.row}, ${it.column}: ${it.reason}")
        for (it in report.doubts) println("Is that right? row ${it.row}, ${it.column}: ${it.doubt.reason}")
        val sure = ImportOptions(by = "tech", accept = report.doubts.map { it.doubt })
        bass.importTable(table, sure) // all of it, or nothing
        // end
        assertTrue(bass.history(HistoryFilter()).any { it.at.written.year == 2025 })
    }

    @Test
    fun task23(): Unit = runBlocking {
        // task 23
        class Clock(var unixS: Long = 1_780_000_000) : TimeSource {
            override fun now() = Moment(unixS, 60)
        }

        val clock = Clock()
        val workshop = Workshop.inMemory("tech", clock).on(Dispatchers.Unconfined)
        val bass = workshop.addInstrument("bass-4", "walnut bass")
        bass.addPassText(relief, "12", Tool.FeelerThou)
        clock.unixS += 90 * 86_400 // a season later
        val last = bass.card().lines.first().last
        // end
        assertEquals(1_780_000_000, last?.at?.unixS)
        bass.close()
        workshop.close()
    }

    @Test
    fun task24(): Unit = runBlocking {
        fun draw(card: Card) = assertTrue(card.lines.isNotEmpty())
        // task 24
        val preview = Workshop.inMemory("preview").on(Dispatchers.Unconfined)
        val bass = preview.addInstrument("bass-4", "walnut bass")
        bass.addPassText(action, "5 5 5 6", Tool.Rule64)
        draw(bass.card())
        // end
        bass.close()
        preview.close()
    }

    @Test
    fun task25(@TempDir folder: File): Unit = runBlocking {
        // task 25
        val app = Workshop.openOn(Dispatchers.IO, folder, "tech")
        val widget = Workshop.openOn(Dispatchers.IO, folder, "tech")
        app.addInstrument("bass-4", "walnut bass")
        widget.instrumentNamed("walnut bass").addRemark("from the widget")
        println(app.instrumentNamed("walnut bass").history(HistoryFilter(last = 1u)).single().text)
        // end
        listOf(app, widget).forEach { it.shutDown() }
    }

    @Test
    fun task26() = task { _, bass ->
        val other = workshop("player").on(Dispatchers.IO)
        // task 26
        val invitation = bass.invite(Role.CONTRIBUTOR, validDays = 7u)
        println(invitation.words) // to be read out, or as a code: invitation.code
        val everything = bass.bundleOut()

        // On the other device, with the words and the file:
        println(lookAtInvitation(invitation.words, everything.file).name)
        val shared = other.accept(invitation.words, everything.file)
        bass.delivered(everything.token) // not before: a share may be cancelled

        // Later, what was written since:
        bass.addRemark("new strings on Friday")
        println("${bass.unsent()} not sent yet")
        bass.bundleUnsent()?.let { news -> bass.delivered(news.token) } // null if there is nothing
        // end
        assertEquals("walnut bass", shared.name())
        assertEquals(0u, bass.unsent())
    }

    @Test
    fun task27() = task { workshop, bass ->
        val other = workshop("player").on(Dispatchers.IO)
        val shared = other.accept(bass.invite(Role.CONTRIBUTOR, 7u).words, bass.bundleOut().file)
        shared.addRemark("plays well")
        val received = shared.bundleOut().file
        // task 27
        val report = workshop.bundleIn(received)
        for (added in report.added) println("${added.device}: ${added.entries.map { "${it.count} ${it.kind}" }}")
        println("${report.peopleAdded} ${report.waiting} ${report.newlyContested.size}")
        // end
        assertEquals(listOf("player"), report.peopleAdded)
    }

    @Test
    fun task28() = task { workshop, bass ->
        val other = workshop("player").on(Dispatchers.IO)
        val shared = other.accept(bass.invite(Role.CONTRIBUTOR, 7u).words, bass.bundleOut().file)
        workshop.bundleIn(shared.bundleOut().file)
        bass.setSpec(SpecField.About("the walnut one"))
        shared.setSpec(SpecField.About("my spare"))
        workshop.bundleIn(shared.bundleOut().file)
        assertEquals(1, bass.contested().size)
        // task 28
        for (field in bass.contested()) {
            println(field.label)
            for (version in field.versions) println("${version.shown} ${version.device} ${version.at.written}")
            bass.settle(field, keep = field.versions.first().id)
        }
        // end
        assertEquals(0, bass.contested().size)
    }

    @Test
    fun task29() = task { workshop, bass ->
        // task 29
        println(languages())
        workshop.setPreferences(workshop.preferences().copy(language = "de", lowFirst = true))
        println(bass.plan(SetupId("stage")).text)
        // end
        workshop.setPreferences(Preferences(language = "en"))
    }

    @Test
    fun task30(@TempDir folder: Path): Unit = runBlocking {
        // task 30
        val log = object : LogSink {
            override fun log(level: LogLevel, line: String) = System.err.println("$level $line")
        }
        val options = WorkshopOptions(folder.toString(), "tech", face = FACE)
        val workshop = Workshop.open(options, log = log).on(Dispatchers.IO)
        try {
            workshop.instrumentNamed("ash")
        } catch (missing: FallawayException.NotFound) {
            println(missing.accepted)
        } catch (error: FallawayException) {
            println(error.text())
        }
        println(version() + "\n" + workshop.diagnostics())
        // end
        assertTrue(folder.exists())
        workshop.shutDown()
        workshop.close()
    }

    @Test
    fun task31(@TempDir folder: File) = task { _, bass ->
        // task 31
        val page = bass.sheet(SheetKind.CUSTOMER) // of the last visit
        println("${page.title}, ${page.subtitle}: ${page.text}")
        File(folder, "sheet.html").writeText(page.html) // what prints HTML prints it: a WebView, say
        // end
        assertTrue(page.html.contains("walnut bass"))
    }

    @Test
    fun task32() = task { _, bass ->
        // task 32
        val shown = bass.planDrawn(SetupId("stage"))
        println("${shown.plan.text}: ${shown.turns.map { it.title }}")
        val neck = bass.drawNeck()
        for (mark in neck.marks) { // look(Theme.LIGHT) has colours and lines for the canvas
            when (val shape = mark.shape) {
                is Shape.Line -> println("${mark.role} ${shape.places}")
                is Shape.Text -> println("${shape.text} at ${shape.at}")
                else -> println(shape)
            }
        }
        neck.sentences.forEach(::println) // for contentDescription
        // end
        assertEquals(bass.plan(SetupId("stage")), shown.plan)
    }

    @Test
    fun task33() = task { workshop, bass ->
        // task 33
        val file = bass.export()
        val table = bass.exportTable()
        val again = workshop.importRecord(file, "walnut bass, again")
        // end
        assertEquals(bass.history(HistoryFilter()).size, again.history(HistoryFilter()).size)
        assertTrue(bass.checkTable(table).problems.isEmpty())
    }

    @Test
    fun task34() = task { workshop, bass ->
        // task 34
        bass.setCustomer(Customer("player"))
        val now = OffsetDateTime.now()
        bass.keepJob(Job("dress the frets", begun = now.toMoment(), due = now.plusDays(7).toMoment()))
        for (one in workshop.openWork()) { // of all instruments, what is due first
            println("${one.name} ${one.customer?.name}: ${one.job.what}, ${one.job.due?.written}")
        }
        val job = bass.jobs().first()
        bass.keepJob(job.copy(done = now.toMoment(), minutes = 90u))
        // end
        assertTrue(workshop.openWork().isEmpty())
    }

    @Test
    fun task35() = task { workshop, bass ->
        bass.addRemark("fret 3 is worn")
        // task 35
        for (found in workshop.search("worn")) println("${found.name} ${found.foundIn}: ${found.text}")
        // end
        assertEquals(listOf("walnut bass"), workshop.search("WORN").map { it.name })
    }

    @Test
    fun task36() = task { _, bass ->
        val address = "http://127.0.0.1:9" // nobody answers there
        // task 36
        bass.setRelay(address) // for everybody who shares the instrument
        val report = bass.sync(UrlConnectionTransport())
        report.sentences.forEach(::println)
        val outcome = report.outcome
        if (outcome is SyncOutcome.Later) println("again in ${outcome.waitMs} ms, or when the network is back")
        println(bass.relay()?.text) // how much waits here for the others
        // end
        assertTrue(outcome is SyncOutcome.Later)
    }

    @Test
    fun task37() = task { workshop, bass ->
        val other = workshop("player").on(Dispatchers.IO)
        val invitation = bass.invite(Role.CONTRIBUTOR, validDays = 7u)
        // task 37
        // Where one listens, on every address of the device; its person is shown address and digits.
        val listener = withContext(Dispatchers.IO) { ServerSocket(0) }
        val digits = workshop.meetingDigits()
        val listening = CoroutineScope(Dispatchers.IO).launch {
            listener.accept().use { workshop.meet(SocketStream(it), MeetOptions(listens = true, digits)) }
        }

        // Where the other one comes, who has been told both, and the words of an invitation.
        val comes = MeetOptions(listens = false, digits, invitation = invitation.words)
        val report = withContext(Dispatchers.IO) {
            Socket("127.0.0.1", listener.localPort).use { other.meet(SocketStream(it), comes) }
        }
        for (one in report.met) one.sentences.forEach(::println)
        // end
        listening.join()
        listener.close()
        assertEquals(bass.handle.id(), other.instrumentNamed("walnut bass").handle.id())
    }

    @Test
    fun task38() = task { _, bass ->
        // task 38
        val then = OffsetDateTime.parse("2026-01-05T10:00:00+01:00")
        val owner = WriteOptions(at = then.toMoment(), by = "owner")
        val bought = bass.addRemark("bought used", options = owner)
        bass.setSpec(SpecField.About("of walnut"), owner)
        for (fact in bass.factsWritten()) println("${fact.key}: ${fact.at.written} ${fact.by} ${fact.device}")
        for (event in bass.details().peopleHistory) println("${event.at.written} ${event.text}")
        // end
        assertEquals(PeopleDeed.Founded, bass.details().peopleHistory.single().deed)
        val entry = bass.entry(bought)
        assertEquals(then.toMoment() to "owner", entry.at to entry.by)
    }
}
