package fallaway

/**
 * Names an instrument: the same on every device.
 *
 * @property text how it is written; a text that is none is refused by the call that it is given to.
 */
@JvmInline
public value class InstrumentId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}

/**
 * Names an entry of a history: the same on every device.
 *
 * @property text how it is written; a text that is none is refused by the call that it is given to.
 */
@JvmInline
public value class EntryId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}

/**
 * Names a visit, by the entry that opened it.
 *
 * @property text how it is written; a text that is none is refused by the call that it is given to.
 */
@JvmInline
public value class VisitId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}

/**
 * Names a step of a plan: the same as long as nothing changes that the step rests on.
 *
 * @property text how it is written; a text that is none is refused by the call that it is given to.
 */
@JvmInline
public value class StepId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}

/**
 * Names a setup within the record of an instrument: it stays when the setup is called something else.
 *
 * @property text how it is written, 1 to 40 of a to z, 0 to 9 and -; a text that is none is refused by
 * the call that it is given to.
 */
@JvmInline
public value class SetupId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}

/**
 * Names one of several values of a field.
 *
 * @property text how it is written; a text that is none is refused by the call that it is given to.
 */
@JvmInline
public value class VersionId(public val text: String) {
    /** The text. */
    override fun toString(): String = text
}
