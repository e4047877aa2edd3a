package fallaway

import java.time.Instant
import java.time.OffsetDateTime
import java.time.ZoneOffset

/**
 * The face that an app is built on: the compiler copies this number into the app. The library answers
 * what it has learned to say since as `Newer`, so that a `when` of the app has a branch for it.
 */
public const val FACE: UInt = 1u

/** The step to do next: show it first, the rest folded. `null` if everything is settled. */
public val Plan.next: PlanStep? get() = nextStep?.let { steps.getOrNull(it.toInt()) }

/** The steps that are not settled, in the order of the chain of work. */
public val Plan.openSteps: List<PlanStep> get() = steps.filterNot { it.settled }

/** The string that limits the clearance. */
public val ClearanceAnswer.limiting: StringClearance? get() = strings.getOrNull(limitingString.toInt())

/** The moment on the time line. */
public val Moment.instant: Instant get() = Instant.ofEpochSecond(unixS)

/** The moment as the clock of whoever wrote it showed it. */
public val Moment.written: OffsetDateTime
    get() = instant.atOffset(ZoneOffset.ofTotalSeconds(offsetMin * 60))

/** A moment of the library: now, for example. */
public fun OffsetDateTime.toMoment(): Moment = Moment(toEpochSecond(), offset.totalSeconds / 60)

/** Whether somebody read it, rather than it being learned, assumed or computed. */
public val Estimate.isMeasured: Boolean get() = basis == Basis.MEASURED

/** Action: the gap under a string that is stopped at a fret (0: open), over another. */
public fun Quantity.Companion.action(stopped: Int, over: Int): Quantity =
    Quantity.Gap(stopped.fret("stopped"), over.fret("over"))

/** Height at the nut, over the first fret: open, or held at a fret further up, commonly 3. */
public fun Quantity.Companion.nut(stopped: Int = 0): Quantity = action(stopped, over = 1)

/** Relief between two frets, read at a third, or where it is largest. */
public fun Quantity.Companion.relief(from: Int = 1, to: Int, at: Int? = null): Quantity =
    Quantity.Relief(from.fret("from"), to.fret("to"), at?.fret("at"))

/** How far the board falls away: a straight edge on two frets, read at a third beyond; a rise is below zero. */
public fun Quantity.Companion.fallAway(from: Int, to: Int, at: Int): Quantity =
    Quantity.FallAway(from.fret("from"), to.fret("to"), at.fret("at"))

/** The stopped note against the open one of the same minute, in cents. */
public fun Quantity.Companion.intonation(stopped: Int = 12): Quantity =
    Quantity.Intonation(stopped.fret("stopped"))

/** A string by its number, 1 on the treble side, as a place for entries. */
public fun StringPlace(number: Int): StringPlace {
    if (number !in 1..48) {
        throw FallawayException.BadInput(
            "string", "$number is no string", "1 to 48, 1 on the treble side",
            AcceptedValues.Between(1.0, 48.0, ""), null, WhyBadInput.OUT_OF_RANGE,
        )
    }
    return StringPlace(number.toUInt())
}

/** A string by its number, 1 on the treble side, as a location for readings. */
public fun Location.Companion.string(number: Int): Location = Location.OneString(StringPlace(number))

private fun Int.fret(field: String): UInt =
    if (this in 0..36) {
        toUInt()
    } else {
        throw FallawayException.BadInput(
            field, "$this is no fret", "0 to 36, 0 for the open string",
            AcceptedValues.Between(0.0, 36.0, ""), null, WhyBadInput.OUT_OF_RANGE,
        )
    }
