package fallaway

/** What came of writing something down: see [attempt]. */
public sealed interface Attempt<out R> {
    /**
     * It is written.
     *
     * @property value What the call answered.
     */
    public data class Done<out R>(val value: R) : Attempt<R>

    /**
     * It looks like a slip: ask, and make the same call with the doubts that are answered with yes.
     *
     * @property doubts What to ask.
     */
    public data class Asked(val doubts: List<Doubt>) : Attempt<Nothing>

    /**
     * It cannot be: show it at its field and cell.
     *
     * @property error What is wrong, and what would be taken.
     */
    public data class Wrong(val error: FallawayException.BadInput) : Attempt<Nothing>
}

/**
 * Makes a call that may ask back, for a screen to show what came of it. Everything else that it throws
 * is thrown on.
 *
 * ```
 * when (val came = attempt { bass.addPassText(relief, typed, tool, options = WriteOptions(accept = yes)) }) {
 *     is Attempt.Done -> close()
 *     is Attempt.Asked -> ask(came.doubts)
 *     is Attempt.Wrong -> show(came.error.text())
 * }
 * ```
 */
public inline fun <R> attempt(call: () -> R): Attempt<R> = try {
    Attempt.Done(call())
} catch (question: FallawayException.Unsure) {
    Attempt.Asked(question.doubts)
} catch (wrong: FallawayException.BadInput) {
    Attempt.Wrong(wrong)
}
