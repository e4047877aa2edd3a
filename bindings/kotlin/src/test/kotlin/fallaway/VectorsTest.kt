package fallaway

import java.nio.file.Files
import java.nio.file.Path
import kotlin.math.abs
import kotlin.math.pow
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assertions.fail
import org.junit.jupiter.api.DynamicTest
import org.junit.jupiter.api.DynamicTest.dynamicTest
import org.junit.jupiter.api.TestFactory

/** The golden vectors, to the last digit that they state: tests/vectors/README.md says what each call takes. */
class VectorsTest {
    private val folder = Path.of(System.getProperty("fallaway.vectors"))

    @TestFactory
    fun `every file of vectors`(): List<DynamicTest> {
        val files = Files.list(folder).use { all -> all.filter { it.toString().endsWith(".json") }.sorted().toList() }
        assertTrue(files.size >= 5, files.toString())
        return files.map { file -> dynamicTest(file.fileName.toString()) { check(file) } }
    }

    @Suppress("UNCHECKED_CAST")
    private fun check(file: Path) {
        val whole = Json.parse(Files.readString(file)) as Map<String, Any?>
        val cases = whole["cases"] as List<Map<String, Any?>>
        val wrong = cases.flatMap { case ->
            val call = case["call"] as String
            val found = answer(call, Given(case["given"] as Map<String, Any?>))
            val expected = case["expected"] as Map<String, Any?>
            val fields = expected.filter { (field, stated) -> field !in found || !matches(stated, found[field]) }
                .map { (field, stated) -> "${case["name"]}: $call: $field: $stated expected, ${found[field]} found" }
            // What is refused must have been expected to be.
            if ("error" in found && "error" !in expected) fields + "${case["name"]}: $call: $found" else fields
        }
        if (wrong.isNotEmpty()) fail<Unit>(wrong.joinToString("\n"))
        println("${file.fileName}: ${cases.size} cases")
        assertTrue(cases.isNotEmpty())
    }

    private fun matches(stated: Any?, found: Any?): Boolean = when {
        stated is String && found is Number -> agrees(stated, found.toDouble())
        stated is List<*> && found is List<*> ->
            stated.size == found.size && stated.zip(found).all { (one, other) -> matches(one, other) }
        stated is Double && found is Number -> stated == found.toDouble()
        else -> stated == found
    }

    /** Half a unit of the last digit that is stated, and a little for the binary fraction. */
    private fun agrees(stated: String, value: Double): Boolean {
        val expected = stated.toDoubleOrNull() ?: return false
        val unit = 10.0.pow(-stated.substringAfter('.', "").length)
        return abs(value - expected) <= 0.5 * unit * (1.0 + 1e-6)
    }

    private fun answer(call: String, given: Given): Map<String, Any?> = try {
        formula(call, given) ?: emptyWorkshop(call, given) ?: recorded(call, given)
            ?: fail("no such call: $call")
    } catch (error: FallawayException) {
        refusal(error)
    }

    private fun refusal(error: FallawayException): Map<String, Any?> {
        val (field, accepted) = when (error) {
            is FallawayException.NotFound -> snake(error.what.name) to error.accepted
            is FallawayException.BadInput -> error.field to error.accepted
            is FallawayException.Unsure -> error.field to ""
            is FallawayException.Contested -> error.field to ""
            else -> "" to ""
        }
        return mapOf("error" to snake(error.javaClass.simpleName), "field" to field, "accepted" to accepted)
    }
}

/** What is given to a call. */
internal class Given(private val fields: Map<String, Any?>) {
    fun maybe(field: String): Double? = fields[field] as Double?

    fun number(field: String): Double = maybe(field) ?: error("$field is not given")

    fun number(field: String, usual: Double): Double = maybe(field) ?: usual

    fun count(field: String): UInt = number(field).toUInt()

    fun text(field: String): String = maybeText(field) ?: error("$field is not given")

    fun maybeText(field: String): String? = fields[field] as String?

    fun yes(field: String): Boolean = fields[field] as Boolean? ?: false

    fun list(field: String): List<Any?> = fields[field] as List<Any?>? ?: emptyList()

    fun numbers(field: String): List<Double> = list(field).map { it as Double }
}

/** `NotFound` and `NOT_FOUND` are "not_found" in the files. */
internal fun snake(name: String): String =
    if (name.any { it.isLowerCase() }) {
        name.replace(Regex("(?<=[a-z0-9])([A-Z])"), "_$1").lowercase()
    } else {
        name.lowercase()
    }
