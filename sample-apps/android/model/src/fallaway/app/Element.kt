package fallaway.app

import fallaway.Scene

/** What an element is: how it is drawn and what a screen reader calls it. */
enum class Role {
    /** Begins a part of the screen; the first one is the screen's title. */
    HEADING,

    /** A sentence. */
    TEXT,

    /** One number, large: [Element.text] says of what, [Element.value] is the number. */
    NUMBER,

    /** A caution; it is never left out. */
    CAUTION,

    /** What has to be known first: a question, an error, two values. */
    BANNER,

    /** A line of a list. */
    ROW,

    /** Does something. */
    BUTTON,

    /** One of several, of which one is chosen. */
    CHOICE,

    /** On or off. */
    TOGGLE,

    /** Takes a text. */
    FIELD,

    /** One place of a pass on the keypad; its [Element.value] is what was typed. */
    CELL,

    /** A key of the keypad. */
    KEY,

    /** A number that a finger moves. */
    SLIDER,

    /** A drawing of the core; [Element.detail] says the same in sentences. */
    DRAWING,

    /** A code for a camera; [Element.value] is its text. */
    CODE,

    /** A photo; [Element.picture] is its file. */
    PHOTO,

    /** One of the screens of an instrument. */
    TAB,
}

/**
 * One thing on a screen. A screen is the list of them, in the order in which they are read: what is drawn and
 * what is spoken come from the same list.
 *
 * @property id names it on its screen, the same in every language and on every kind of phone.
 * @property text its words.
 * @property value a number or what was typed.
 * @property detail a second line, or what a drawing says in sentences.
 * @property state its state in words, never by colour alone.
 * @property touch whether a tap does something.
 * @property chosen of a choice, a toggle, a cell, a tab.
 * @property main whether it is what the hand came for: one at most on a screen.
 * @property varies whether its text is another one each time (words of an invitation, a fingerprint).
 * @property scene of a drawing: its marks.
 * @property range of a slider.
 * @property picture of a photo: the bytes of its file.
 */
data class Element(
    val id: String,
    val role: Role,
    val text: String,
    val value: String? = null,
    val detail: String? = null,
    val state: String? = null,
    val touch: Boolean = role in TOUCHED,
    val chosen: Boolean = false,
    val main: Boolean = false,
    val varies: Boolean = false,
    val scene: Scene? = null,
    val range: Range? = null,
    val picture: ByteArray? = null,
) {
    /** What a screen reader says of it, without its role. */
    val spoken: String get() = listOfNotNull(text, value, state, detail).filter { it.isNotEmpty() }.joinToString(", ")

    private companion object {
        val TOUCHED = setOf(Role.BUTTON, Role.CHOICE, Role.TOGGLE, Role.CELL, Role.KEY, Role.TAB)
    }
}

/** Where a slider goes, in steps. */
data class Range(val from: Double, val to: Double, val step: Double, val at: Double)
