package fallaway.app.view

import fallaway.app.Effect
import fallaway.app.Element
import fallaway.app.Look
import fallaway.app.Phone

/** What is seen: a screen's name, what is on it, and the list of instruments if something lies over that. */
class Shown(
    val screen: String,
    val elements: List<Element>,
    val deeper: Boolean,
    val look: Look,
    val effects: List<Effect> = emptyList(),
    val list: List<Element> = emptyList(),
    val language: String? = null,
) {
    companion object {
        /** What a phone shows now; [list] stands beside it where there is room. */
        fun of(phone: Phone, effects: List<Effect> = emptyList()) = Shown(
            phone.screen.name, phone.elements(), phone.deeper, phone.look, effects,
            if (phone.deeper) phone.list() else emptyList(), phone.language,
        )
    }
}
