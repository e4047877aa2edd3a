//! Numbers below zero on the command line.
//!
//! `fallaway read relief -0.05` is a reading, not an option. No option of this app begins with a
//! digit, so a hyphen before a digit or a point is a minus sign; it is exchanged for U+2212 (which
//! the parsers of readings understand) before the options are sorted out.

use std::ffi::OsString;

/// Exchanges the hyphen of arguments that are numbers for a minus sign.
pub fn shield(arguments: Vec<OsString>) -> Vec<OsString> {
    arguments
        .into_iter()
        .map(|argument| match argument.to_str() {
            Some(text) if is_number(text) => OsString::from(text.replacen('-', "\u{2212}", 1)),
            _ => argument,
        })
        .collect()
}

/// The text with its minus sign as a person would type it.
pub fn plain(text: &str) -> String {
    text.replace('\u{2212}', "-")
}

/// A text that a person wrote, as an argument; for clap.
///
/// # Errors
/// Never.
// A parser of arguments answers so.
#[allow(clippy::unnecessary_wraps)]
pub fn text(typed: &str) -> Result<String, std::convert::Infallible> {
    Ok(plain(typed))
}

fn is_number(text: &str) -> bool {
    text.strip_prefix('-')
        .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || c == '.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_numbers_change() {
        let given = ["read", "-0.05", "-.5", "-5/64", "-", "--tool", "-i", "a-1"];
        let shielded = shield(given.iter().map(OsString::from).collect());
        let wanted = ["read", "−0.05", "−.5", "−5/64", "-", "--tool", "-i", "a-1"];
        assert_eq!(shielded, wanted.map(OsString::from));
        assert_eq!(plain("−0.05"), "-0.05");
    }
}
