package fallaway.app

/** The app's own texts, in the language that is chosen. What is advised comes from the core, in the same language. */
interface Texts {
    /** A text, with what belongs into it. */
    fun text(say: Say, with: List<Any>): String

    /** A text that depends on a number, which is its first part. */
    fun count(say: Count, number: Int): String
}
