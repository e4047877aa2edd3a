//! What is made of UniFFI's Kotlin code before it is compiled: doc comments in Kotlin's words, variants
//! that show themselves, defaults, and a suspending call beside every blocking one.

use crate::words::{Language, OBJECTS};

const KOTLIN: Language =
    Language { errors: "**Errors**", none: "null", link: |name| format!("[{name}]") };

/// The code with its doc comments in Kotlin's words.
pub fn in_kotlins_words(code: &str) -> String {
    KOTLIN.told(code, |_| None)
}

/// The code as Kotlin people write it: a variant without fields is a `data object`, which shows its
/// name, and what may be missing or empty may be left out when a value is made.
pub fn in_kotlins_shape(code: &str) -> String {
    let mut shaped = String::with_capacity(code.len());
    let mut inside = false;
    for line in code.lines() {
        inside |= line.starts_with("data class ");
        inside &= !line.starts_with(')');
        let field = inside && line.starts_with("    val `") && !line.contains(" = ");
        let default = match line.rsplit_once(": ").map(|(_, kind)| kind) {
            Some(kind) if field && kind.ends_with('?') => " = null",
            Some(kind) if field && kind.starts_with("List<") => " = listOf()",
            _ => "",
        };
        let is_variant = line.starts_with("    object ") && line.ends_with("()");
        let line =
            if is_variant { line.replacen("object", "data object", 1) } else { line.to_owned() };
        for part in [&line, default, "\n"] {
            shaped.push_str(part);
        }
    }
    shaped
}

/// One blocking call, as the generated code declares it.
struct Call<'a> {
    doc: String,
    name: &'a str,
    /// Name, and type with its default where there is one, as written.
    parameters: Vec<(&'a str, &'a str)>,
    returns: Option<&'a str>,
}

/// A file for each object, with an interface of suspending calls and the class that makes them: its
/// name and its content.
///
/// # Errors
/// If a declaration does not look as expected: the generator must have changed.
pub fn suspending_calls(code: &str) -> Result<Vec<(String, String)>, String> {
    OBJECTS.iter().map(|object| Ok((file_name(object), siblings(object, code)?))).collect()
}

fn file_name(object: &str) -> String {
    format!("Suspending{object}.kt")
}

fn siblings(object: &str, code: &str) -> Result<String, String> {
    let calls = calls_of(object, code)?;
    if calls.is_empty() {
        return Err(format!("the generated code has no calls of {object}"));
    }
    let declared: String = calls.iter().map(|call| declared(call)).collect();
    let made: String = calls.iter().map(|call| made(call)).collect();
    Ok(format!(
        "// Made from the generated code by the project's tool: every blocking call once more,\n\
         // suspending. Not to be edited.\n\npackage fallaway\n\n\
         import kotlinx.coroutines.CoroutineDispatcher\n\n\
         /**\n * The calls of [{object}], suspending; see [Suspending]. Tests and previews implement \
         what they call.\n */\n\
         public interface Suspending{object} : Suspending<{object}> {{\n{declared}}}\n\n\
         /** The calls of a handle on a dispatcher. */\n\
         internal class {object}On(\n    override val handle: {object},\n    \
         override val dispatcher: CoroutineDispatcher,\n) : Suspending{object} {{\n    \
         override fun close() = handle.close()\n{made}}}\n"
    ))
}

fn calls_of<'a>(object: &str, code: &'a str) -> Result<Vec<Call<'a>>, String> {
    let begin = format!("public interface {object}Interface");
    let lines = code.lines().skip_while(|line| !line.starts_with(&begin)).skip(1);
    let mut calls = Vec::new();
    let mut doc = String::new();
    for line in lines.take_while(|line| *line != "}") {
        let trimmed = line.trim();
        if trimmed == "/**" {
            doc.clear();
        }
        if trimmed.starts_with('*') || trimmed == "/**" {
            doc += if trimmed == "/**" { "" } else { " " };
            doc += trimmed;
            doc.push('\n');
        }
        if let Some(declared) = trimmed.strip_prefix("fun ") {
            let call = call(declared, std::mem::take(&mut doc))?;
            if blocks(call.name, code) {
                calls.push(call);
            }
        }
    }
    Ok(calls)
}

/// Calls that cannot fail read a field; they do not block.
fn blocks(name: &str, code: &str) -> bool {
    code.contains(&format!("@Throws(FallawayException::class)override fun {name}("))
}

fn call(declared: &str, doc: String) -> Result<Call<'_>, String> {
    let odd = || format!("a declaration that the tool does not know: {declared}");
    let (name, declared) = declared.split_once('(').ok_or_else(odd)?;
    // The last one: a default can be a call itself.
    let (parameters, tail) = declared.rsplit_once(')').ok_or_else(odd)?;
    let mut split = Vec::new();
    for parameter in parameters.split(", ").filter(|text| !text.is_empty()) {
        split.push(parameter.split_once(": ").ok_or_else(odd)?);
    }
    let returns = tail.strip_prefix(": ").map(str::trim);
    Ok(Call { doc, name, parameters: split, returns })
}

/// A call as the interface has it: a stand-in that does not know it says so.
fn declared(call: &Call<'_>) -> String {
    let Call { doc, name, parameters, .. } = call;
    let words: Vec<String> =
        parameters.iter().map(|(name, kind)| format!("{name}: {kind}")).collect();
    let doc = doc.replace(
        "\n */\n",
        "\n *\n * Suspends the caller; the work is done on the [dispatcher][Suspending.dispatcher].\n */\n",
    );
    let doc: String = doc.lines().flat_map(|line| ["    ", line, "\n"]).collect();
    let answers = answers(call);
    format!(
        "\n{doc}    public suspend fun {name}({}){answers} = standIn({name:?})\n",
        words.join(", ")
    )
    .replace("standIn(\"`", "standIn(\"")
    .replace("`\")", "\")")
}

/// A call as it is made.
fn made(call: &Call<'_>) -> String {
    let Call { name, parameters, returns, .. } = call;
    let plain = |kind: &str| kind.split(" = ").next().unwrap_or_default().to_owned();
    let words: Vec<String> =
        parameters.iter().map(|(name, kind)| format!("{name}: {}", plain(kind))).collect();
    let watched = parameters.iter().find(|(_, kind)| kind.starts_with("ProgressListener?"));
    let passed: Vec<&str> = parameters
        .iter()
        .map(|(name, kind)| if kind.starts_with("ProgressListener?") { "watched" } else { name })
        .collect();
    let passed = passed.join(", ");
    let body = match watched {
        Some((progress, _)) => format!("watching({progress}) {{ watched -> {name}({passed}) }}"),
        None => format!("invoke {{ {name}({passed}) }}"),
    };
    // A handle answers suspending too, or its first call would block the caller's thread.
    let on =
        if returns.is_some_and(|kind| OBJECTS.contains(&kind)) { ".on(dispatcher)" } else { "" };
    let answers = answers(call);
    format!(
        "\n    override suspend fun {name}({}){answers} =\n        {body}{on}\n",
        words.join(", ")
    )
}

fn answers(call: &Call<'_>) -> String {
    match call.returns {
        Some(kind) if OBJECTS.contains(&kind) => format!(": Suspending{kind}"),
        Some(kind) => format!(": {kind}"),
        None => ": Unit".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doc_comments_speak_kotlin() {
        let rust = "/**\n * As `None` of `add_pass`, see [`WorkshopOptions`], [`Side::Bass`] and [`crate::a_b`].\n *\n * # Errors\n * `BadInput` for `a + b_c`.\n */\nval kept = `as_it_is`\n";
        let kotlin = "/**\n * As `null` of `addPass`, see [WorkshopOptions], [Side.Bass] and [aB].\n *\n * **Errors**\n * `BadInput` for `a + b_c`.\n */\nval kept = `as_it_is`\n";
        assert_eq!(in_kotlins_words(rust), kotlin);
    }

    #[test]
    fn code_is_shaped_as_kotlin_is() {
        let code = "data class Line (\n    val `last`: Reading?\n    , \n    val `all`: List<Line>\n    , \n    val `b`: A? = null\n){\n    val `x`: A?\n}\nsealed class T {\n    object Rule : T()\n    companion object\n";
        let kotlin = "data class Line (\n    val `last`: Reading? = null\n    , \n    val `all`: List<Line> = listOf()\n    , \n    val `b`: A? = null\n){\n    val `x`: A?\n}\nsealed class T {\n    data object Rule : T()\n    companion object\n";
        assert_eq!(in_kotlins_shape(code), kotlin);
    }

    #[test]
    fn every_blocking_call_gets_a_sibling() {
        let code = "public interface WorkshopInterface {\n    /**\n     * Finds.\n     */\n    fun `find`(`name`: kotlin.String): Instrument\n    fun `pause`(`of`: List<kotlin.UInt> = listOf())\n    fun `count`(): kotlin.UInt\n    fun `bundleIn`(`bytes`: kotlin.ByteArray, `progress`: ProgressListener? = null): Report\n}\n    @Throws(FallawayException::class)override fun `find`(\n@Throws(FallawayException::class)override fun `pause`(\n@Throws(FallawayException::class)override fun `bundleIn`(\n";
        let kotlin = siblings("Workshop", code).unwrap();
        for part in [
            "public interface SuspendingWorkshop : Suspending<Workshop> {\n\n    /**\n     * Finds.\n     *\n     * Suspends the caller",
            "    public suspend fun `find`(`name`: kotlin.String): SuspendingInstrument = standIn(\"find\")\n",
            "    override suspend fun `find`(`name`: kotlin.String): SuspendingInstrument =\n        invoke { `find`(`name`) }.on(dispatcher)\n",
            "    override suspend fun `pause`(`of`: List<kotlin.UInt>): Unit =\n        invoke { `pause`(`of`) }\n",
            "(`bytes`: kotlin.ByteArray, `progress`: ProgressListener?): Report =\n        watching(`progress`) { watched -> `bundleIn`(`bytes`, watched) }\n",
        ] {
            assert!(kotlin.contains(part), "{part}\nin\n{kotlin}");
        }
        assert!(!kotlin.contains("count"), "a call that cannot fail does not block");
        assert!(siblings("Instrument", code).is_err());
    }
}
