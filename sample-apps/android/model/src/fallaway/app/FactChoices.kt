package fallaway.app

import fallaway.Handedness
import fallaway.InstrumentSpec
import fallaway.IntonationBy
import fallaway.NeckJoint
import fallaway.NutKind
import fallaway.RodAccess
import fallaway.RodKind
import fallaway.Stringing

/**
 * A fact of which one of a few holds.
 *
 * @property id what the ids of its choices begin with.
 * @param words how each is called; `null` for what only a newer version knows.
 * @property stands which one is written down.
 */
internal class OneOf<T : Enum<T>>(val id: String, all: List<T>, words: (T) -> Say?, val stands: (InstrumentSpec) -> T?) {
    /** Each with its words, in the order in which they are offered. */
    val offered: List<Pair<T, Say>> = all.mapNotNull { one -> words(one)?.let { one to it } }

    /** The one of them that an element is, by its name. */
    fun named(id: String): String? = offered.map { it.first }.firstOrNull { element(it) == id }?.name

    /** The element of one of them. */
    fun element(one: T) = "$id.${one.name.lowercase()}"

    internal companion object {
        val HAND = OneOf("hand", Handedness.entries, {
            when (it) {
                Handedness.RIGHT -> Say.RIGHT_HANDED
                Handedness.LEFT -> Say.LEFT_HANDED
                Handedness.NEWER -> null
            }
        }) { it.handedness }

        val ORDER = OneOf("order", Stringing.entries, {
            when (it) {
                Stringing.USUAL -> Say.ORDER_USUAL
                Stringing.REVERSED -> Say.ORDER_REVERSED
                Stringing.NEWER -> null
            }
        }) { it.stringing }

        val NUT = OneOf("nut", NutKind.entries, {
            when (it) {
                NutKind.SLOTTED -> Say.NUT_SLOTTED
                NutKind.ZERO_FRET -> Say.NUT_ZERO_FRET
                NutKind.LOCKING -> Say.NUT_LOCKING
                NutKind.COMPENSATED -> Say.NUT_COMPENSATED
                NutKind.ROLLER -> Say.NUT_ROLLER
                NutKind.NEWER -> null
            }
        }) { it.nut }

        val ATTACHED = OneOf("attached", NeckJoint.entries, {
            when (it) {
                NeckJoint.BOLT_ON -> Say.NECK_BOLTED
                NeckJoint.GLUED -> Say.NECK_GLUED
                NeckJoint.THROUGH -> Say.NECK_THROUGH
                NeckJoint.NEWER -> null
            }
        }) { it.neckJoint }

        val ROD = OneOf("rod", listOf(RodKind.ONE_WAY, RodKind.TWO_WAY, RodKind.ABSENT), {
            when (it) {
                RodKind.ONE_WAY -> Say.ROD_ONE_WAY
                RodKind.TWO_WAY -> Say.ROD_TWO_WAY
                RodKind.ABSENT -> Say.ROD_NONE
                RodKind.NEWER -> null
            }
        }) { it.rod?.kind }

        val ROD_AT = OneOf("rod_at", RodAccess.entries, {
            when (it) {
                RodAccess.HEAD -> Say.ROD_AT_HEAD
                RodAccess.HEEL -> Say.ROD_AT_HEEL
                RodAccess.NEWER -> null
            }
        }) { it.rod?.access }

        val INTONATION = OneOf("intonation", IntonationBy.entries, {
            when (it) {
                IntonationBy.OWN_SADDLES -> Say.INTONATION_EACH_SADDLE
                IntonationBy.SHARED_SADDLES -> Say.INTONATION_SHARED_SADDLES
                IntonationBy.WHOLE_BRIDGE -> Say.INTONATION_WHOLE_BRIDGE
                IntonationBy.FIXED -> Say.INTONATION_FIXED
                IntonationBy.NEWER -> null
            }
        }) { it.bridge?.intonation }
    }
}
