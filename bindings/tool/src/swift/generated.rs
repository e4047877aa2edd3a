//! What is made of UniFFI's Swift code before it is compiled: doc comments in Swift's words, cases and
//! whole numbers as Swift has them, an `async` call for every one that blocks, which has a name that
//! says so, and a stand-in's answer for each.

use crate::words::{Language, OBJECTS};

const SWIFT: Language = Language { errors: "## Errors", none: "nil", link };

/// `DocC` finds types and their members by name; a function it finds only with its labels.
fn link(name: &str) -> String {
    if name.starts_with(|c: char| c.is_ascii_uppercase()) {
        ["``", &name.replace('.', "/"), "``"].concat()
    } else {
        ["`", name, "`"].concat()
    }
}

/// The code with its doc comments in Swift's words, and with attributes that the generator lacks.
pub fn in_swifts_words(code: &str) -> String {
    SWIFT.told(code, |line| {
        if line.split_once("open func ").is_some_and(|(_, call)| may_be_ignored(call)) {
            return Some("@discardableResult");
        }
        // Public for other modules' generated code only.
        let machinery = line.trim_start().starts_with("public func uniffiEnsure");
        machinery.then_some("@_documentation(visibility: private)")
    })
}

/// The code as Swift people write it: cases of errors begin with a small letter, whole numbers are
/// `Int`, and what may be missing or empty may be left out when a value is made.
///
/// # Errors
/// If the converter of whole numbers does not look as expected: the generator must have changed.
pub fn in_swifts_shape(code: &str) -> Result<String, String> {
    const BEGIN: &str = "fileprivate struct FfiConverterUInt32: FfiConverterPrimitive {";
    let odd = "the generated code has no converter of whole numbers";
    let (before, rest) = code.split_once(BEGIN).ok_or(odd)?;
    let (_, after) = rest.split_once("\n}\n").ok_or(odd)?;
    let mut shaped = with_ints(before) + INT + &with_ints(after);
    for case in error_cases(code) {
        let small = small(case);
        shaped = words(&shaped, &format!(".{case}"), &format!(".{small}"));
        // A word of the language where it is declared, not behind a dot.
        let declared = if small == "internal" { "`internal`" } else { &small };
        shaped = words(&shaped, &format!("case {case}"), &format!("case {declared}"));
        shaped = shaped.replace(&format!("`{case}`"), &format!("`{small}`"));
    }
    Ok(with_defaults(&shaped))
}

/// What does not fit crosses as the largest number, which every call refuses with what it takes.
const INT: &str = "fileprivate struct FfiConverterUInt32: FfiConverter {
    typealias FfiType = UInt32
    typealias SwiftType = Int

    public static func lift(_ value: UInt32) throws -> Int {
        return Int(value)
    }

    public static func lower(_ value: Int) -> UInt32 {
        return UInt32(exactly: value) ?? UInt32.max
    }

    public static func read(from buf: inout (data: Data, offset: Data.Index)) throws -> Int {
        return try lift(readInt(&buf))
    }

    public static func write(_ value: Int, into buf: inout [UInt8]) {
        writeInt(&buf, lower(value))
    }
}
";

/// Whole numbers as `Int`, but where C calls.
fn with_ints(code: &str) -> String {
    let is_c = |line: &str| line.starts_with("            ") && !line.contains("*/");
    let int = |line| if is_c(line) { line.to_owned() } else { words(line, "UInt32", "Int") };
    code.split_inclusive('\n').map(int).collect()
}

/// The text with one word in place of another, where it stands alone.
fn words(text: &str, word: &str, other: &str) -> String {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    let mut written = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(word) {
        written.push_str(before);
        let begins = !word.starts_with(is_part) || !written.ends_with(is_part);
        written.push_str(if begins && !after.starts_with(is_part) { other } else { word });
        rest = after;
    }
    written + rest
}

/// The cases of the errors.
fn error_cases(code: &str) -> Vec<&str> {
    let mut cases = Vec::new();
    let mut inside = false;
    for line in code.lines() {
        inside |= line.contains("enum ") && line.contains(": Swift.Error");
        inside &= line != "}";
        if let Some(case) = line.strip_prefix("    case ").filter(|_| inside) {
            cases.extend(case.split('(').next());
        }
    }
    cases
}

/// With a small first letter.
fn small(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Initialisers with a default for what may be missing or empty.
fn with_defaults(code: &str) -> String {
    let mut inside = false;
    let mut shaped = String::with_capacity(code.len());
    for line in code.lines() {
        inside |= line == "    public init(";
        let end = [", ", ") {", ""].into_iter().find(|end| line.ends_with(end)).unwrap_or_default();
        let declared = line.strip_suffix(end).unwrap_or(line);
        let default = match declared.rsplit_once(": ").map(|(_, kind)| kind) {
            Some(kind) if !inside || kind.contains('=') => "",
            Some(kind) if kind.ends_with('?') => " = nil",
            Some(kind) if kind.starts_with('[') => " = []",
            _ => "",
        };
        inside &= end != ") {";
        for part in [declared, default, end, "\n"] {
            shaped.push_str(part);
        }
    }
    shaped
}

/// Whether a call is made for what it does, so that what it answers may be left unused.
fn may_be_ignored(call: &str) -> bool {
    let answers = call.contains(" -> ");
    answers
        && [
            "add",
            "begin",
            "take",
            "retract",
            "bundleIn",
            "delivered",
            "undo",
            "redo",
            "done",
            "did",
            "couldNot",
            "bringBack",
            "importTable",
            "writeAll",
            "accept",
            "sync",
            "waitForNews",
            "meet(",
        ]
        .iter()
        .any(|doing| call.starts_with(doing))
}

/// One blocking call, as the generated code declares it.
#[derive(Debug, PartialEq)]
struct Call {
    doc: String,
    is_static: bool,
    name: String,
    /// Label, type and, where there is one, default of each parameter, as written.
    parameters: Vec<(String, String)>,
    returns: Option<String>,
}

/// What a call that blocks is called: nobody takes it for the one to `await`.
fn blocking(name: &str) -> String {
    name.trim_matches('`').to_owned() + "Blocking"
}

/// The code in which each call that blocks has a name that says so, and an id is the property that
/// `Identifiable` asks for.
pub fn with_blocking_named(code: &str) -> String {
    let declared_by = |line: &str| {
        OBJECTS.iter().any(|object| {
            line.starts_with(&format!("open class {object}:"))
                || line.starts_with(&format!("public protocol {object}Protocol:"))
        })
    };
    let begins = ["public struct ", "public protocol ", "public enum ", "open class "];
    let mut inside = false;
    let mut named = String::with_capacity(code.len());
    for line in code.split_inclusive('\n') {
        if begins.iter().any(|begin| line.starts_with(begin)) {
            inside = declared_by(line);
        }
        let kinds = ["open func ", "public static func ", "func "];
        let declared = kinds.iter().find_map(|kind| line.trim_start().strip_prefix(kind));
        let name = declared.and_then(|call| call.split_once('(')).map(|(name, _)| name);
        match name.filter(|name| inside && *name != "listen") {
            Some("id") if line.starts_with("open ") => {
                named += &line.replace("func id() ->", "var id:");
            }
            Some("id") => {
                named += line.replace("func id()  ->", "var id:").trim_end();
                named += " { get }\n";
            }
            Some(name) if line.contains("throws") => {
                named += &line.replacen(
                    &format!("func {name}("),
                    &format!("func {}(", blocking(name)),
                    1,
                );
            }
            _ => named += line,
        }
    }
    named
}

/// `async` siblings of the blocking calls in the generated code, and what a stand-in for tests and
/// previews answers that does not have a call of its own.
///
/// # Errors
/// If a declaration does not look as expected: the generator must have changed.
pub fn async_calls(code: &str) -> Result<String, String> {
    let mut swift = String::from(
        "// Made from the generated code by the project's tool: every blocking call once more, for\n\
         // `await`. Not to be edited.\n\nimport Dispatch\nimport Foundation\n",
    );
    for object in OBJECTS {
        let calls = calls_of(object, code)?;
        if calls.is_empty() {
            return Err(format!("the generated code has no calls of {object}"));
        }
        // Of the protocol, so that a stand-in for tests and previews has them too.
        for (of, is_static) in [("Protocol", false), ("", true)] {
            let of_kind = || calls.iter().filter(|call| call.is_static == is_static);
            let mut written: String = of_kind().map(sibling).collect();
            if !is_static {
                written.extend(of_kind().map(stand_in));
            }
            if !written.is_empty() {
                swift += &["\nextension ", object, of, " {\n", &written, "}\n"].concat();
            }
        }
    }
    Ok(swift)
}

fn calls_of(object: &str, code: &str) -> Result<Vec<Call>, String> {
    let begin = format!("open class {object}:");
    let lines = code.lines().skip_while(|line| !line.starts_with(&begin)).skip(1);
    let mut calls = Vec::new();
    let mut doc = String::new();
    // Methods end in the first column too: a class ends where the next declaration begins.
    let ends = ["public struct ", "public protocol ", "open class "];
    for line in lines.take_while(|line| !ends.iter().any(|end| line.starts_with(end))) {
        let trimmed = line.trim();
        if trimmed.starts_with("/**") || trimmed.starts_with("///") {
            doc.clear();
        }
        if trimmed.starts_with("/**") || trimmed.starts_with('*') {
            doc += if trimmed == "/**" { "    " } else { "     " };
            doc += trimmed;
            doc.push('\n');
        }
        let is_static = line.starts_with("public static func ");
        // To listen blocks nothing.
        if line.starts_with("open func listen(") {
            continue;
        }
        if (is_static || line.starts_with("open func ")) && line.contains("throws") {
            calls.push(call(line, is_static, std::mem::take(&mut doc))?);
        }
    }
    Ok(calls)
}

fn call(line: &str, is_static: bool, doc: String) -> Result<Call, String> {
    let odd = || format!("a declaration that the tool does not know: {line}");
    let (_, declared) = line.split_once("func ").ok_or_else(odd)?;
    let (name, declared) = declared.split_once('(').ok_or_else(odd)?;
    let (parameters, tail) = declared.split_once(")throws").ok_or_else(odd)?;
    let (tail, _) = tail.split_once('{').ok_or_else(odd)?;
    let returns = tail.trim().strip_prefix("->").map(|text| text.trim().to_owned());
    let mut split = Vec::new();
    for parameter in parameters.split(", ").filter(|text| !text.is_empty()) {
        let (label, kind) = parameter.split_once(": ").ok_or_else(odd)?;
        split.push((label.trim().to_owned(), kind.trim().to_owned()));
    }
    Ok(Call { doc, is_static, name: name.to_owned(), parameters: split, returns })
}

/// What a stand-in says that does not have this call.
fn stand_in(call: &Call) -> String {
    let Call { name, parameters, returns, .. } = call;
    let bare = |kind: &str| kind.split(" = ").next().unwrap_or_default().to_owned();
    let declared: Vec<String> =
        parameters.iter().map(|(label, kind)| format!("{label}: {}", bare(kind))).collect();
    let (blocking, plain) = (blocking(name), name.trim_matches('`'));
    let arrow = returns.as_ref().map(|text| format!(" -> {text}")).unwrap_or_default();
    let called = format!("{name}({}", if returns.is_some() { ") -> " } else { ")" });
    let discardable = if may_be_ignored(&called) { "    @discardableResult\n" } else { "" };
    format!(
        "    /** For a stand-in that is not asked this: it throws. */\n{discardable}    public func \
         {blocking}({}) throws{arrow} {{\n        throw FallawayError.internal(reportId: \"\", \
         reason: \"this stand-in does not answer {plain}\")\n    }}\n\n",
        declared.join(", "),
    )
}

fn sibling(call: &Call) -> String {
    let Call { doc, is_static, name, parameters, returns } = call;
    let calls = blocking(name);
    let mut declared = String::new();
    for (label, kind) in parameters {
        declared += &[label, ": ", kind, ", "].concat();
    }
    let watched = parameters.iter().find(|(_, kind)| kind.starts_with("ProgressListener?"));
    let passed: Vec<String> = parameters
        .iter()
        .map(|(label, kind)| {
            let value =
                if kind.starts_with("ProgressListener?") { "watched" } else { label.as_str() };
            format!("{label}: {value}")
        })
        .collect();
    let passed = passed.join(", ");
    let (kind, on) = if *is_static { ("static func", "Self") } else { ("func", "self") };
    // What waits for others must not keep the calls of this device waiting.
    let waits = |kind: &str| kind.starts_with("HttpTransport") || kind.starts_with("ByteStream");
    let is_network = parameters.iter().any(|(_, kind)| waits(kind));
    let queue = if is_network { ".fallawayNetwork" } else { ".fallaway" };
    let arrow = returns.as_ref().map(|text| format!(" -> {text}")).unwrap_or_default();
    let called = format!("{name}({}", if returns.is_some() { ") -> " } else { ")" });
    let discardable = if may_be_ignored(&called) { "    @discardableResult\n" } else { "" };
    let body = match watched {
        Some((label, _)) => format!(
            "try await blocking(on: queue, progress: {label}) {{ watched in try {on}.{calls}({passed}) }}"
        ),
        None => format!("try await blocking(on: queue) {{ try {on}.{calls}({passed}) }}"),
    };
    let doc = doc.replace(
        "     */\n",
        "     *\n     * The calling task is suspended; the work is done on `queue`.\n     */\n",
    );
    format!(
        "{doc}{discardable}    public {kind} {name}({declared}on queue: DispatchQueue = {queue}) async throws{arrow} {{\n        \
         {body}\n    }}\n\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doc_comments_speak_swift() {
        let rust = "/**\n * As `None` of `add_pass`, see [`WorkshopOptions`], [`Side::Bass`] and [`a_b`].\n *\n * # Errors\n * `BadInput` for `a + b_c`.\n */\nlet kept = `as_it_is`\n";
        let swift = "/**\n * As `nil` of `addPass`, see ``WorkshopOptions``, ``Side/Bass`` and `aB`.\n *\n * ## Errors\n * `BadInput` for `a + b_c`.\n */\nlet kept = `as_it_is`\n";
        assert_eq!(in_swifts_words(rust), swift);
    }

    #[test]
    fn code_is_shaped_as_swift_is() {
        let code = "let a: UInt32\n            count: UInt32,\nfileprivate struct FfiConverterUInt32: FfiConverterPrimitive {\n    typealias FfiType = UInt32\n}\nenum E: Swift.Error {\n    case NotFound(\n    case Closed\n}\nreturn .Closed\nlet x: FfiConverterUInt32\n    public init(\n         */a: [UInt32], \n         */b: A?) {\nfunc f(a: A?) {\n * `NotFound`\n";
        let shaped = in_swifts_shape(code).unwrap();
        for line in [
            "let a: Int",
            "            count: UInt32,",
            "    case notFound(",
            "    case closed",
            "return .closed",
            "let x: FfiConverterUInt32",
            "    typealias FfiType = UInt32",
            "         */a: [Int] = [], ",
            "         */b: A? = nil) {",
            "func f(a: A?) {",
            " * `notFound`",
        ] {
            assert!(shaped.lines().any(|made| made == line), "{line}\nin\n{shaped}");
        }
        assert!(in_swifts_shape("let a: UInt32").is_err());
    }

    #[test]
    fn every_call_that_blocks_says_so_and_gets_a_sibling() {
        let code = "open class Workshop: WorkshopProtocol {\n    /**\n     * Opens.\n     */\npublic static func `open`(options: Options, keeper: Keeper? = nil)throws  -> Workshop  {\n    return x\n}\n    /**\n     * Ends.\n     */\nopen func pause()throws   {try! x\n}\nopen func count() -> Int  {\n}\nopen func sync(http: HttpTransport)throws  -> All  {\n}\n}\nopen class ClearanceModel: B {\nopen func ask()throws  -> Answer  {\n}\n}\nopen class Instrument: InstrumentProtocol {\n    /**\n     * In.\n     */\nopen func bundleIn(bytes: Data, progress: ProgressListener? = nil)throws  -> Report  {\n}\n}\n";
        let swift = async_calls(code).unwrap();
        for line in [
            "    public static func `open`(options: Options, keeper: Keeper? = nil, on queue: DispatchQueue = .fallaway) async throws -> Workshop {",
            "        try await blocking(on: queue) { try Self.openBlocking(options: options, keeper: keeper) }",
            "    public func sync(http: HttpTransport, on queue: DispatchQueue = .fallawayNetwork) async throws -> All {",
            "    public func pause(on queue: DispatchQueue = .fallaway) async throws {",
            "        try await blocking(on: queue, progress: progress) { watched in try self.bundleInBlocking(bytes: bytes, progress: watched) }",
            "     * Opens.",
            "    public func pauseBlocking() throws {",
        ] {
            assert!(swift.lines().any(|made| made == line), "{line}\nin\n{swift}");
        }
        let named = with_blocking_named(code);
        for line in [
            "public static func openBlocking(options: Options, keeper: Keeper? = nil)throws  -> Workshop  {",
            "open func pauseBlocking()throws   {try! x",
            "open func count() -> Int  {",
        ] {
            assert!(named.lines().any(|made| made == line), "{line}\nin\n{named}");
        }
        let id = "public protocol InstrumentProtocol: X {\n    func id()  -> Id\n}\nopen class Instrument: InstrumentProtocol {\nopen func id() -> Id  {\n}\n}\n";
        let property = "public protocol InstrumentProtocol: X {\n    var id: Id { get }\n}\nopen class Instrument: InstrumentProtocol {\nopen var id: Id  {\n}\n}\n";
        assert_eq!(with_blocking_named(id), property);
        assert!(!swift.contains("count"), "a call that cannot fail does not block");
        assert!(async_calls("open class Workshop: X {\nopen func odd(a: B)throws\n}\n").is_err());
    }
}
