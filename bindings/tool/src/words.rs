//! Doc comments are written once, in Rust: here they are told in the words of another language.

/// The objects whose blocking calls get a sibling that suspends.
pub const OBJECTS: [&str; 3] = ["Workshop", "Instrument", "ClearanceModel"];

/// How a language writes what Rust writes another way.
pub struct Language {
    /// The heading over what a call throws.
    pub errors: &'static str,
    /// `None`.
    pub none: &'static str,
    /// A link to a name.
    pub link: fn(&str) -> String,
}

impl Language {
    /// The code with its doc comments in the language's words; `before` may put a line in front of
    /// another one.
    pub fn told(&self, code: &str, before: fn(&str) -> Option<&'static str>) -> String {
        let mut told = String::with_capacity(code.len());
        let mut in_comment = false;
        for line in code.lines() {
            in_comment |= line.trim_start().starts_with("/**");
            if let Some(part) = before(line) {
                told.push_str(part);
                told.push('\n');
            }
            if in_comment {
                told.push_str(&self.comment_line(line));
            } else {
                told.push_str(line);
            }
            told.push('\n');
            in_comment &= !line.contains("*/");
        }
        told
    }

    fn comment_line(&self, line: &str) -> String {
        if let Some(start) = line.strip_suffix("# Errors") {
            return format!("{start}{}", self.errors);
        }
        let mut told = String::with_capacity(line.len());
        let mut rest = line;
        while let Some((before, after)) = rest.split_once('`') {
            let Some((code, after)) = after.split_once('`') else { break };
            let name = self.name(code);
            // A link in Rust's way is [`Name`].
            let link = (before.strip_suffix('['), after.strip_prefix(']'));
            if let (Some(before), Some(after)) = link {
                told += &[before, &(self.link)(&name)].concat();
                rest = after;
            } else {
                told += &[before, "`", &name, "`"].concat();
                rest = after;
            }
        }
        told + rest
    }

    /// `add_instrument` is `addInstrument`, `None` as the language has it, `Workshop::open` a member.
    fn name(&self, code: &str) -> String {
        let is_name = |part: &str| {
            part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
                && part.starts_with(|c: char| c.is_ascii_lowercase())
        };
        let told = |part: &str| match part {
            "None" => self.none.to_owned(),
            part if is_name(part) => camel(part),
            part => part.to_owned(),
        };
        let code = code.strip_prefix("crate::").unwrap_or(code);
        code.replace("::", ".").split('.').map(told).collect::<Vec<_>>().join(".")
    }
}

/// A text with the names between backticks as Kotlin and Swift spell them.
pub fn camel_in_code(text: &str) -> String {
    let parts = text.split('`').enumerate();
    let told = parts.map(|(place, part)| match place % 2 {
        1 if !part.contains([' ', '.', '/', '-']) => camel(part),
        _ => part.to_owned(),
    });
    told.collect::<Vec<_>>().join("`")
}

fn camel(snake: &str) -> String {
    let mut words = snake.split('_');
    let mut name = words.next().unwrap_or_default().to_owned();
    for word in words {
        let mut letters = word.chars();
        name.extend(letters.next().map(|first| first.to_ascii_uppercase()));
        name.push_str(letters.as_str());
    }
    name
}
