package fallaway.app

import java.io.File
import java.util.Locale

/**
 * The app's texts where there is no Android: a file of its own resources, read. By hand, since Java's reader of XML
 * takes a third of what opening a workshop does.
 */
class XmlTexts(res: File, language: String, name: String = "strings.xml") : Texts {
    private val file = File(res, (if (language == "en") "values" else "values-$language") + "/" + name)

    /** Every text by its name. */
    val texts: Map<String, String>

    /** Every text that counts: its name, and its forms. */
    val plurals: Map<String, Map<String, String>>

    init {
        val all = file.readText()
        check('&' !in all && "CDATA" !in all) { "$file says more than is read" }
        texts = each(all, "string", "name").mapValues { plain(it.value) }
        plurals = each(all, "plurals", "name").mapValues { plural -> each(plural.value, "item", "quantity").mapValues { plain(it.value) } }
    }

    override fun text(say: Say, with: List<Any>): String {
        val text = texts.getValue(say.name.lowercase())
        return if (with.isEmpty()) text else text.format(Locale.ROOT, *with.toTypedArray())
    }

    override fun count(say: Count, number: Int): String =
        plurals.getValue(say.name.lowercase()).getValue(if (number == 1) "one" else "other").format(Locale.ROOT, number)

    /** What is inside each element of a kind, by an attribute of it. */
    private fun each(all: String, tag: String, attribute: String): Map<String, String> = buildMap {
        var at = all.indexOf("<$tag ")
        while (at >= 0) {
            val inside = all.indexOf('>', at) + 1
            val end = all.indexOf("</$tag>", inside)
            check(end >= 0) { "$file: a $tag does not end" }
            val name = all.substring(at, inside).substringAfter("$attribute=\"").substringBefore('"')
            check(put(name, all.substring(inside, end)) == null) { "$file: $name is there twice" }
            at = all.indexOf("<$tag ", end)
        }
    }

    private fun plain(text: String) = text.replace("\\'", "'").replace("\\\"", "\"")
}
