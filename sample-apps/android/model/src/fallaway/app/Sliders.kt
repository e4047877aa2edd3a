package fallaway.app

import fallaway.ClearanceAnswer
import fallaway.ClearanceModel
import fallaway.ClearanceWhatIf
import fallaway.PluckDirection
import fallaway.Scene
import fallaway.Touch
import fallaway.limiting
import java.util.Locale

/** Whether it would buzz, and what if the saddles or the relief were another: sliders under the drawn neck. */
class ClearanceSliders(phone: Phone) : Screen(phone) {
    override val name = "clearance"
    private var model: ClearanceModel? = null
    private var neck: Scene? = null
    private var answer: ClearanceAnswer? = null
    private var strings = 0
    private var relief = 0.0
    private var rise = 0.0
    private var force = 1.0
    private var asRead = 0.0

    /** What is moved stays so, and is asked anew: what it was asked of may be another one now. */
    override fun load() {
        val bent = relief != asRead
        val opened = phone.instrument.clearanceOpened(touch())
        model = opened.model
        neck = opened.neck
        answer = opened.answer
        strings = opened.basis.strings.size
        asRead = opened.basis.strings.firstOrNull()?.reliefMm ?: 0.0
        if (!bent) relief = asRead
        if (moved()) ask()
    }

    /** Whether anything is asked but what is: how hard it is played is no change of it. */
    private fun moved() = relief != asRead || rise != 0.0

    private fun touch() = Touch(forceN = force, direction = PluckDirection.TOWARD_BOARD)

    private fun ask() {
        val asked = model ?: return
        answer = asked.ask(
            touch(),
            ClearanceWhatIf(
                reliefMm = relief.takeIf { it != asRead },
                saddleRisesMm = if (rise == 0.0) emptyList() else List(strings) { rise },
            ),
        )
    }

    override fun body() = buildList {
        add(heading(Say.CLEARANCE))
        neck?.let { add(drawing("neck", it)) }
        val answer = answer ?: return@buildList
        answer.limiting?.let {
            add(
                Element(
                    "tightest", Role.NUMBER, say(Say.TIGHTEST, it.name), value = mm(it.smallest.marginMm),
                    state = say(if (it.buzzes) Say.BUZZES else Say.IS_CLEAN),
                    detail = say(Say.STOPPED_OVER, it.smallest.stoppedFret.toInt(), it.smallest.overFret.toInt()),
                ),
            )
        }
        add(slider("rise", Say.SADDLES_HIGHER, Range(-1.0, 1.0, 0.05, rise), mm(rise)))
        add(slider("relief", Say.RELIEF, Range(0.0, 1.0, 0.01, relief), mm(relief)))
        add(slider("force", Say.HOW_HARD, Range(0.5, 5.0, 0.1, force), number(force, 1) + " N"))
        add(button("zero", Say.AS_IT_IS))
        answer.strings.forEachIndexed { at, one ->
            add(
                Element(
                    "string.${at + 1}", Role.ROW, one.name, value = mm(one.smallest.marginMm),
                    state = say(if (one.buzzes) Say.BUZZES else Say.IS_CLEAN),
                ),
            )
        }
        add(Element("caveat", Role.TEXT, answer.caveat))
    }

    private fun slider(id: String, words: Say, range: Range, value: String) =
        Element(id, Role.SLIDER, say(words), value = value, range = range)

    /** Millimetres with the language's own decimal mark. */
    private fun mm(value: Double) = number(value, 2) + " mm"

    private fun number(value: Double, places: Int): String {
        val text = String.format(Locale.ROOT, "%.${places}f", if (value == 0.0) 0.0 else value)
        return text.replace(".", say(Say.DECIMAL_MARK)).replace("-", "−")
    }

    override fun touched(id: String) {
        if (id != "zero") return
        relief = asRead
        rise = 0.0
        force = 1.0
        ask()
    }

    override fun typed(id: String, text: String) {
        val value = text.toDoubleOrNull() ?: return
        when (id) {
            "rise" -> rise = value
            "relief" -> relief = value
            "force" -> force = value
        }
        ask()
    }

    override fun kept() = buildMap {
        if (rise != 0.0) put("rise", rise.toString())
        if (relief != asRead) put("relief", relief.toString())
        if (force != 1.0) put("force", force.toString())
    }

    override fun restore(kept: Map<String, String>) {
        kept["rise"]?.toDoubleOrNull()?.let { rise = it }
        kept["relief"]?.toDoubleOrNull()?.let { relief = it }
        kept["force"]?.toDoubleOrNull()?.let { force = it }
        ask()
    }
}
