package fallaway.app

import fallaway.HttpRequest
import fallaway.HttpResponse
import fallaway.HttpTransport
import fallaway.Moment
import fallaway.Preferences
import fallaway.RandomSource
import fallaway.TimeSource
import fallaway.TransportException
import fallaway.Workshop
import java.util.concurrent.FutureTask
import kotlin.concurrent.thread

/** Two phones on a stopped clock, on which [Day] is played, and what they showed. */
class Playing(val language: String, texts: Texts) : AutoCloseable {
    private var clock = 0L
    private val time = object : TimeSource {
        override fun now() = Moment(clock, 60)
    }

    /** Where both are. */
    private val room = Room()

    /** Who waits for the other one. */
    private val waiting = mutableListOf<Pair<Phone, FutureTask<() -> Unit>>>()

    /** The phones by whom they belong to. */
    val phones: Map<String, Phone> = listOf("tech", "player").associateWith { label ->
        val workshop = Workshop.inMemory(label, time, Seeded(label))
        workshop.setPreferences(Preferences(language = language))
        Phone(workshop, { texts }, time::now, NoNetwork, room.of(label))
    }

    /** The file that each sent last. */
    private val sent = mutableMapOf<String, ByteArray>()

    /** Does a step; [finger], if given, taps and types on a drawn screen what else the view model is told. */
    fun play(step: Step, finger: ((Step) -> Unit)? = null) {
        clock = step.at
        val phone = phones.getValue(step.phone)
        when (step.does) {
            "tap" -> {
                val there = phone.elements().any { it.id == step.on && it.touch }
                check(there || step.on == "back") {
                    "nothing to tap called ${step.on} on ${phone.screen.name}: ${phone.elements().map { it.id }}"
                }
                if (there && finger != null) finger(step) else phone.tap(step.on)
            }
            "type" -> {
                check(phone.elements().any { it.id == step.on }) { "no field ${step.on} on ${phone.screen.name}" }
                if (finger != null) finger(step) else phone.type(step.on, step.with)
            }
            "hear" -> phone.type(
                step.on, phones.getValue(step.with).elements().first { it.id == step.on }.run { value ?: text },
            )
            "photograph" -> phone.photographed(step.with.chunked(2) { it.toString().toInt(16).toByte() }.toByteArray())
            "see" -> Unit
            "receive" -> phone.receive(sent.getValue(step.with))
            "look" -> phone.changed()
            else -> error("nobody can ${step.does}")
        }
        while (true) {
            when (val effect = phone.effects.removeFirstOrNull() ?: break) {
                is Effect.Share -> {
                    sent[step.phone] = effect.bytes
                    phone.handedOver()
                }
                is Effect.Apart -> apart(step.phone, phone, effect)
                else -> Unit
            }
        }
    }

    /** Does it on a thread of its own, until it is done or waits for the other phone; then what is done is told. */
    private fun apart(label: String, phone: Phone, effect: Effect.Apart) {
        val task = object : FutureTask<() -> Unit>({ effect.work() }) {
            override fun done() = room.happened()
        }
        waiting += phone to task
        thread(isDaemon = true) { task.run() }
        room.await { task.isDone || label in room.waiting }
        for (one in waiting.toList()) {
            if (phones.entries.first { it.value === one.first }.key in room.waiting) continue
            one.second.get()()
            waiting -= one
        }
    }

    /** What a step's phone shows. */
    fun shown(step: Step): Phone = phones.getValue(step.phone)

    override fun close() = phones.values.forEach { it.workshop.close() }
}

/** A phone in flight mode. */
object NoNetwork : HttpTransport {
    override fun send(request: HttpRequest): HttpResponse = throw TransportException.Offline("flight mode")
}

/** Bytes that are the same each time: xorshift64* (Vigna, "An experimental exploration of Marsaglia's xorshift generators, scrambled", 2016), its high byte. */
class Seeded(seed: String) : RandomSource {
    private var state = seed.fold(1L) { sum, letter -> sum * 31 + letter.code }

    @Synchronized
    override fun draw(count: UInt): ByteArray = ByteArray(count.toInt()) {
        state = state xor (state ushr 12)
        state = state xor (state shl 25)
        state = state xor (state ushr 27)
        (state * 2685821657736338717L ushr 56).toByte()
    }
}
