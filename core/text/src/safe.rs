//! Texts that people wrote, made safe to show.

use std::fmt::Write as _;

/// The text with everything that could steer a screen or a reader's eye made visible: control
/// characters, line breaks, marks that reverse the direction of writing, marks without width. A line
/// break becomes `↵`, anything else its code point, `<U+202E>`.
///
/// Joiners without width (U+200C, U+200D) stay: scripts and emoji need them, and they move nothing.
///
/// ```
/// use fallaway_text::safe;
/// assert_eq!(safe("buzz at 5\nfine"), "buzz at 5 ↵ fine");
/// assert_eq!(safe("\u{1b}[2J\u{202e}tech"), "<U+001B>[2J<U+202E>tech");
/// assert_eq!(safe("Größe ½"), "Größe ½");
/// ```
pub fn safe(text: &str) -> std::borrow::Cow<'_, str> {
    if !text.chars().any(is_unsafe) {
        return text.into();
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.replace("\r\n", "\n").chars() {
        match c {
            '\n' | '\u{2028}' | '\u{2029}' => out.push_str(" \u{21b5} "),
            '\t' => out.push(' '),
            c if is_unsafe(c) => {
                // Writing into a string cannot fail.
                let _ = write!(out, "<U+{:04X}>", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.into()
}

/// Whether a character could steer what is shown: general categories Cc, Cf, Zl and Zp of Unicode
/// 16.0, but for the two joiners.
fn is_unsafe(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{600}'..='\u{605}' | '\u{61c}' | '\u{6dd}' | '\u{70f}'
            | '\u{890}'..='\u{891}' | '\u{8e2}' | '\u{180e}' | '\u{200b}' | '\u{200e}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{110bd}' | '\u{110cd}' | '\u{13430}'..='\u{1343f}' | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0001}' | '\u{e0020}'..='\u{e007f}')
}
