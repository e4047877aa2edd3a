package fallaway.app

import fallaway.Quantity
import fallaway.Tool

/** The keys for a tool: those of its marks, each of which is a whole reading, or digits. */
class Keypad(private val tool: Tool?) {
    /** The keys of whole readings; empty for a tool on which any number can be read. */
    val marks: List<String> = when (tool) {
        Tool.Rule64 -> (1..16).map { "$it" }
        Tool.Rule32 -> (1..12).map { "$it" }
        Tool.RuleMm -> (1..8).map { "$it" }
        Tool.RuleHalfMm -> (1..16).map { if (it % 2 == 0) "${it / 2}" else "${it / 2}.5" }
        else -> emptyList()
    }

    /** Whether a good eye splits a mark of it in half. */
    val halves: Boolean = tool == Tool.Rule64 || tool == Tool.Rule32 || tool == Tool.RuleMm

    /** The keys of any number; fractions are read on a rule in inches alone, elsewhere the sign stands in their place. */
    fun digits(of: Quantity?): List<String> {
        val fractions = tool == Tool.Rule64 || tool == Tool.Rule32 || !goesBelowZero(of)
        return DIGITS + if (fractions) "/" else SIGN
    }

    companion object {
        /** The key for what is below zero. */
        const val SIGN = "±"

        /** Whether a reading of it can be below zero: a back-bow, a board that rises, a note that is flat. */
        fun goesBelowZero(of: Quantity?): Boolean =
            of is Quantity.Relief || of is Quantity.FallAway || of is Quantity.Pitch || of is Quantity.Intonation

        private val DIGITS = listOf("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0")
    }
}
