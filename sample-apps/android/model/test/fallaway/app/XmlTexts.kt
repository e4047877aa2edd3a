package fallaway.app

import java.io.File
import java.util.Locale
import javax.xml.parsers.DocumentBuilderFactory
import org.w3c.dom.Element as Node

/** The app's texts where there is no Android: its own `strings.xml`, read. */
class XmlTexts(res: File, language: String) : Texts {
    private val file = File(res, if (language == "en") "values/strings.xml" else "values-$language/strings.xml")
    private val root = DocumentBuilderFactory.newInstance().newDocumentBuilder().parse(file).documentElement

    /** Every text by its name. */
    val texts: Map<String, String> = nodes("string").associate { it.getAttribute("name") to plain(it) }

    /** Every text that counts: its name, and its forms. */
    val plurals: Map<String, Map<String, String>> = nodes("plurals").associate { plural ->
        val items = plural.getElementsByTagName("item")
        plural.getAttribute("name") to (0 until items.length).map { items.item(it) as Node }
            .associate { it.getAttribute("quantity") to plain(it) }
    }

    override fun text(say: Say, with: List<Any>): String {
        val text = texts.getValue(say.name.lowercase())
        return if (with.isEmpty()) text else text.format(Locale.ROOT, *with.toTypedArray())
    }

    override fun count(say: Count, number: Int): String =
        plurals.getValue(say.name.lowercase()).getValue(if (number == 1) "one" else "other").format(Locale.ROOT, number)

    private fun nodes(name: String): List<Node> =
        root.getElementsByTagName(name).let { all -> (0 until all.length).map { all.item(it) as Node } }

    private fun plain(node: Node) = node.textContent.replace("\\'", "'").replace("\\\"", "\"")
}
