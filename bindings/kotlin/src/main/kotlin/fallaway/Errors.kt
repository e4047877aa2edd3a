package fallaway

/**
 * The error as a sentence for a person. (`message` holds the fields, for a log.)
 */
public val FallawayException.text: String
    get() = when (this) {
        is FallawayException.NotFound -> "there is no $what \u201c$name\u201d" + hint(accepted)
        is FallawayException.BadInput -> "$field: $reason" + hint(accepted)
        is FallawayException.Unsure -> "$field: $reason. Confirm to enter it anyway."
        is FallawayException.Contested ->
            "$field: other values have arrived since; look at them before you settle"
        is FallawayException.ReadOnly -> "read only: $reason"
        is FallawayException.Refused -> "refused: $reason"
        is FallawayException.NotAllowed -> "not allowed: $reason"
        is FallawayException.Busy -> "the store is busy: $reason"
        is FallawayException.Full -> "no room left: $reason"
        is FallawayException.Storage -> "the store cannot be used: $reason"
        is FallawayException.Keys -> "the device's keys are unavailable: $reason"
        is FallawayException.Closed -> "the workshop was shut down"
        is FallawayException.Cancelled -> "cancelled"
        is FallawayException.Internal -> "internal error $reportId: $reason"
    }

private fun hint(accepted: String): String = if (accepted.isEmpty()) "" else " ($accepted)"
