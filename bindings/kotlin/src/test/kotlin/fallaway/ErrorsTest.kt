package fallaway

import java.io.RandomAccessFile
import java.nio.file.Files
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/**
 * An error of every kind, each with what an app needs to act on it. Closed, cancelled, contested and keys
 * stand in the tests of what brings them about; an internal one takes a defect.
 */
class ErrorsTest {
    @Test
    fun `not found names what there is`(): Unit = workshop().use { tech ->
        tech.walnutBass()
        val error = refused<FallawayException.NotFound> { tech.instrumentNamed("maple") }
        assertEquals(NotFoundKind.INSTRUMENT, error.what)
        assertEquals(listOf("walnut bass"), error.choices)
        assertEquals("maple", error.name)
        assertTrue(error.accepted.contains("walnut bass"), error.accepted)
        assertEquals("No instrument \u201cmaple\u201d (${error.accepted})", error.text())
    }

    @Test
    fun `bad input names the field and what would be taken`(): Unit = workshop().use { tech ->
        val bass = tech.walnutBass()
        val error = refused<FallawayException.BadInput> { bass.readAction("5 5 6/0 6") }
        assertEquals("reading 3", error.field)
        assertTrue(error.text().startsWith("Reading 3: "), error.text())
        val unread = refused<FallawayException.BadInput> { bass.readAction("5 x 5 6") }
        assertEquals(WhyBadInput.UNREADABLE, unread.why)
        assertEquals("over", refused<FallawayException.BadInput> { Quantity.action(0, 40) }.field)
        assertEquals("string", refused<FallawayException.BadInput> { Location.string(0) }.field)
    }

    @Test
    fun `unsure is a question, and is entered with the answer`(): Unit = workshop().use { tech ->
        val bass = tech.walnutBass()
        val error = refused<FallawayException.Unsure> { bass.readAction("50 50 50 50") }
        assertEquals(Location.string(1), error.doubts.first().location)
        assertTrue(error.doubts.all { it.reason.isNotEmpty() })
        bass.readAction("50 50 50 50", WriteOptions(accept = error.doubts))
    }

    @Test
    fun `refused says why`(): Unit = workshop().use { tech ->
        val bundle = refused<FallawayException.Refused> { tech.bundleIn(byteArrayOf(1, 2, 3)) }
        assertTrue(bundle.reason.isNotEmpty())
        assertEquals(WhyRefused.NOT_A_BUNDLE, bundle.why)
        assertTrue(refused<FallawayException.Refused> { lookAtInvitation("no invitation", byteArrayOf()) }.reason.isNotEmpty())
    }

    @Test
    fun `not allowed names the role`(): Unit = workshop("tech").use { tech ->
        workshop("player").use { player ->
            val bass = tech.walnutBass()
            val shared = player.accept(bass.invite(Role.VIEWER, 7u).words, bass.bundleOut().file)
            val error = refused<FallawayException.NotAllowed> { shared.addRemark("may I?") }
            assertTrue(error.reason.isNotEmpty())
            assertEquals(WhyNotAllowed.VIEWER, error.why)
        }
    }

    @Test
    fun `a file that is no store is left alone`(): Unit = inFolder { folder ->
        Workshop.open(folder.toFile(), "tech").useThenShutDown { }
        val store = Files.list(folder).use { files -> files.filter(Files::isRegularFile).findFirst().get() }
        Files.write(store, ByteArray(8192) { 7 })
        val error = refused<FallawayException.Storage> { Workshop.open(folder.toFile(), "tech") }
        assertTrue(error.reason.isNotEmpty())
        assertEquals(8192, Files.size(store))
        Workshop.open(WorkshopOptions(folder.toString(), "tech", replaceGarbage = true)).useThenShutDown { tech ->
            assertTrue(tech.notices().isNotEmpty())
        }
    }

    /** The version of the tables stands in bytes 60 to 63 (SQLite, "Database File Format", 1.3). */
    @Test
    fun `a store of a newer version is read, and not written`(): Unit = inFolder { folder ->
        Workshop.open(folder.toFile(), "tech").useThenShutDown { it.walnutBass().close() }
        val store = Files.list(folder).use { files ->
            files.filter { Files.isRegularFile(it) && Files.readAllBytes(it).decodeToString().startsWith("SQLite format 3") }
                .toList().single()
        }
        RandomAccessFile(store.toFile(), "rw").use { file ->
            file.seek(60)
            file.writeInt(9999)
        }
        Workshop.open(folder.toFile(), "tech").useThenShutDown { later ->
            val bass = later.instrumentNamed("walnut")
            assertEquals("walnut bass", bass.card(SetupId("stage")).name)
            assertTrue(refused<FallawayException.ReadOnly> { bass.addRemark("hello") }.reason.isNotEmpty())
            assertTrue(later.notices().isNotEmpty())
        }
    }

    @Test
    fun `a store that may not grow says that it is full, and loses nothing`(): Unit = inFolder { folder ->
        val small = WorkshopOptions(folder.toString(), "tech", maxPages = 48u)
        Workshop.open(small).use { tech ->
            val bass = tech.addInstrument("bass-4", "walnut bass")
            var written = 0
            val full = refused<FallawayException.Full> {
                while (true) {
                    bass.addRemark("x".repeat(1900))
                    written++
                }
            }
            assertTrue(full.reason.isNotEmpty())
            assertTrue(written > 0)
            assertEquals(written, bass.history(HistoryFilter(kinds = listOf(EntryKind.REMARKED))).size)
            // There is no room to make the draft a change either; it is closed all the same.
            refused<FallawayException.Full> { tech.shutDown() }
            refused<FallawayException.Closed> { bass.name() }
        }
    }

    @Test
    fun `busy is told to a callback that calls the workshop`(): Unit = TwoDevices().use { pair ->
        pair.shared.addRemark("one")
        val bundle = pair.shared.bundleOut().file
        var busy: Throwable? = null
        val nosy = object : ProgressListener {
            override fun at(done: ULong, total: ULong): ControlFlow {
                busy = runCatching { pair.tech.instruments() }.exceptionOrNull() ?: busy
                return ControlFlow.CONTINUE
            }
        }
        pair.tech.bundleIn(bundle, nosy)
        assertEquals(FallawayException.Busy::class, busy!!::class)
    }

    @Test
    fun `every kind has a sentence for a person`() {
        val all = listOf(
            FallawayException.NotFound(NotFoundKind.SETUP, "stage", "", emptyList()),
            FallawayException.BadInput(
                "fret", "99 is no fret", "0 to 36", AcceptedValues.Between(0.0, 36.0, ""), null,
                WhyBadInput.OUT_OF_RANGE,
            ),
            FallawayException.Unsure("reading", listOf(Doubt("1", Quantity.Pitch, Location.Whole, "9 c", "very high", WhyDoubted.UNUSUAL))),
            FallawayException.Contested("relief"),
            FallawayException.PlanMoved("1f2e"),
            FallawayException.ReadOnly("written by version 3", listOf("player"), WhyReadOnly.NEWER_DEVICES),
            FallawayException.Refused("not a bundle", WhyRefused.NOT_A_BUNDLE),
            FallawayException.NotAllowed("a viewer reads", WhyNotAllowed.VIEWER),
            FallawayException.Busy("another process", WhyBusy.OTHER_PROGRAM),
            FallawayException.Full("the disk"),
            FallawayException.Storage("no folder", WhyStorage.CANNOT_OPEN),
            FallawayException.Keys("locked", WhyKeys.LOCKED),
            FallawayException.Closed(),
            FallawayException.Cancelled(),
            FallawayException.Internal("1a2b3c4d", "a defect"),
        )
        assertEquals(FallawayException::class.sealedSubclassNames(), all.map { it.javaClass.simpleName }.toSet())
        assertEquals("No setup \u201cstage\u201d", all[0].text())
        assertEquals("Fret: 99 is no fret (0 to 36)", all[1].text())
        assertEquals(all.size, all.map { it.text() }.filter { it.isNotBlank() }.toSet().size)
    }

    /** The kinds that there are, so that a new one is not forgotten. */
    private fun kotlin.reflect.KClass<*>.sealedSubclassNames(): Set<String> =
        java.declaredClasses.filter { java.isAssignableFrom(it) }.map { it.simpleName }.toSet()
}
