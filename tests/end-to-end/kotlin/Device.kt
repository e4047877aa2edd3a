package fallaway.device

import fallaway.AdjustedPart
import fallaway.Adjustment
import fallaway.Entered
import fallaway.EntryBody
import fallaway.EntryKind
import fallaway.FallawayException
import fallaway.HistoryFilter
import fallaway.Instrument
import fallaway.InstrumentId
import fallaway.Location
import fallaway.NewTarget
import fallaway.Quantity
import fallaway.Role
import fallaway.SetupId
import fallaway.SpecField
import fallaway.Tool
import fallaway.Workshop
import fallaway.WriteOptions
import fallaway.accept
import fallaway.action
import fallaway.bundleIn
import fallaway.id
import fallaway.open
import fallaway.relief
import java.io.File
import java.io.FileDescriptor
import java.io.FileOutputStream
import java.io.IOException
import java.io.PrintStream

/** The device in Kotlin; ../PROTOCOL.md says what each command does. */
private class Device {
    private var workshop: Workshop? = null
    private var instrument: Instrument? = null

    /** Which instrument is meant; it stays so when the workshop is opened again. */
    private var id: InstrumentId? = null

    private val open get() = workshop ?: throw Usage()
    private val meant
        get() = instrument ?: mean(open.instrument(id ?: throw Usage()))

    /** Does what the line says; answers the fields after "ok". */
    fun answer(command: String, fields: List<String>): List<Any> {
        if (fields.size != fieldsOf[command]) throw Usage()
        fun field(place: Int) = fields[place]
        fun file(place: Int) = File(field(place))
        when (command) {
            "open" -> {
                val opened = Workshop.open(file(0), field(1))
                workshop = opened
                // A device that comes back means the instrument that it has.
                opened.instruments().firstOrNull()?.let { mean(opened.instrument(it.id)) }
            }
            "add" -> return listOf(mean(open.addInstrument(field(0), field(1))).id)
            "invite" -> meant.invite(Role.CONTRIBUTOR, 7u).let {
                file(0).writeText(it.words)
                file(1).writeBytes(it.welcome)
            }
            "accept" -> return listOf(mean(open.accept(file(0).readText(), file(1).readBytes())).id)
            "remark" -> meant.addRemark(field(0))
            "pass" -> {
                val action = Quantity.action(stopped = 1, over = 12)
                try {
                    meant.addPassText(action, field(1), Tool.Other(field(0)))
                } catch (unsure: FallawayException.Unsure) {
                    val sure = WriteOptions(accept = unsure.doubts)
                    meant.addPassText(action, field(1), Tool.Other(field(0)), options = sure)
                }
            }
            "turn" -> meant.addAdjustment(Adjustment(AdjustedPart.Rod, turns = number(field(0)) / 8.0))
            "about" -> meant.setSpec(SpecField.About(field(0)))
            "target" -> meant.setTarget(
                SetupId("stage"),
                NewTarget(
                    Quantity.relief(from = 1, to = 24), Location.Whole,
                    wanted = Entered(hundredths(number(field(0)))), tolerance = Entered("0.05 mm"),
                ),
            )
            "end" -> if (meant.details().openVisit != null) meant.endVisit()
            "out" -> {
                val bundle = when (field(1)) {
                    "everything" -> meant.bundleOut()
                    "new" -> meant.bundleUnsent()
                    else -> throw Usage()
                }
                // Nothing new: no file.
                bundle?.let {
                    meant.delivered(it.token)
                    file(0).writeBytes(it.file)
                }
            }
            "in" -> {
                val report = open.bundleIn(file(0).readBytes())
                val entries = report.added.sumOf { by -> by.entries.sumOf { it.count } }
                return listOf(entries, report.newlyContested.size, report.refused.size)
            }
            "contested" -> return listOf(meant.contested().size)
            "settle" -> meant.contested().minByOrNull { it.label }?.let { field ->
                meant.settle(field, field.versions.first { it.displayed }.id)
            }
            "state" -> return listOf(meant.details().historyDigest, meant.history(HistoryFilter()).size)
            "remarks" -> return meant.history(HistoryFilter(kinds = listOf(EntryKind.REMARKED)))
                .map { (it.body as EntryBody.Remarked).text }
            "pause" -> open.pause()
            "shut", "quit" -> shut()
            else -> throw Usage()
        }
        return emptyList()
    }

    fun shut() {
        instrument?.close()
        instrument = null
        workshop?.use { it.shutDown() }
        workshop = null
    }

    private fun mean(found: Instrument): Instrument {
        instrument?.close()
        instrument = found
        id = found.id
        return found
    }

    private fun number(text: String): Long = text.toLongOrNull() ?: throw Usage()

    private fun hundredths(count: Long): String = "%d.%02d mm".format(count / 100, count % 100)
}

/** The commands, and how many fields each has. */
private val fieldsOf = mapOf(
    "open" to 2, "add" to 2, "invite" to 2, "accept" to 2, "remark" to 1, "pass" to 2, "turn" to 1,
    "about" to 1, "target" to 1, "end" to 0, "out" to 2, "in" to 1, "contested" to 0, "settle" to 0,
    "state" to 0, "remarks" to 0, "pause" to 0, "shut" to 0, "quit" to 0,
)

/** A command that does not exist, or lacks something. */
private class Usage : Exception()

/** `NotFound` is "not_found" in the answers. */
private fun kind(error: FallawayException): String =
    error.javaClass.simpleName.replace(Regex("(?<=[a-z])([A-Z])"), "_$1").lowercase()

public fun main() {
    // Whatever the locale is.
    val answers = PrintStream(FileOutputStream(FileDescriptor.out), true, Charsets.UTF_8)
    val device = Device()
    for (line in System.`in`.bufferedReader(Charsets.UTF_8).lineSequence()) {
        val fields = line.split('\t')
        val command = fields.first()
        val answer = try {
            listOf("ok") + device.answer(command, fields.drop(1))
        } catch (_: Usage) {
            listOf("err", "usage", command)
        } catch (error: FallawayException) {
            listOf("err", kind(error), error.text())
        } catch (error: IOException) {
            listOf("err", "storage", error.toString())
        }
        answers.println(answer.joinToString("\t"))
        if (command == "quit") break
    }
    device.shut()
}
