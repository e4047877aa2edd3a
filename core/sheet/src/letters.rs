//! How much room a text takes in a font that the drawing does not know.
//!
//! Widths in parts of the size, rounded up from those of common sans-serif fonts (common practice,
//! no source), so that what fits here fits on the page.

/// No text of a drawing is smaller, in points.
pub(crate) const SMALLEST: f64 = 7.0;

/// How much wider bold letters are.
pub(crate) const BOLD: f64 = 1.12;

/// How wide a text is at most, in points.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(letter).sum::<f64>() * size
}

fn letter(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '(' | ')' | '/' => 0.36,
        'f' | 't' | 'r' | '-' | '"' | '“' | '”' | '„' => 0.45,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '…' | '–' => 1.0,
        '0'..='9' | 'a'..='z' | '±' | '+' | '\u{2212}' | '°' | 'ä' | 'ö' | 'ü' | 'ß' => 0.64,
        'A'..='Z' | 'Ä' | 'Ö' | 'Ü' => 0.76,
        // Others may be as wide as they are high.
        _ => 1.05,
    }
}

/// The text at this size, or a smaller one, or cut short, so that it is no wider than `most`.
pub(crate) fn fit(text: &str, size: f64, most: f64) -> (f64, String) {
    let wide = width(text, size);
    if wide <= most {
        return (size, text.to_owned());
    }
    let smaller = size * most / wide;
    if smaller >= SMALLEST {
        return (smaller, text.to_owned());
    }
    let smallest = size.min(SMALLEST);
    let mut short = String::new();
    let mut left = most - width("…", smallest);
    for next in text.chars() {
        left -= letter(next) * smallest;
        if left < 0.0 {
            break;
        }
        short.push(next);
    }
    (smallest, format!("{}…", short.trim_end()))
}

/// Lines of at most this width, broken at spaces; a string's number stays with its note.
pub(crate) fn wrap(text: &str, size: f64, most: f64) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(number) if word.starts_with('(') && number.chars().all(|c| c.is_ascii_digit()) => {
                number.push(' ');
                number.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        let word = word.as_str();
        match lines.last_mut() {
            Some(line) if width(line, size) + width(word, size) + 0.36 * size <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_fits_stays_and_another_is_made_to_fit() {
        assert_eq!(fit("2.33 mm", 20.0, 200.0), (20.0, "2.33 mm".to_owned()));
        let (size, text) = fit("2.33 mm", 20.0, 60.0);
        assert_eq!(text, "2.33 mm");
        assert!((SMALLEST..20.0).contains(&size) && width(&text, size) <= 60.0 + 1e-9, "{size}");
        let (size, text) = fit("a name that is longer than its column", 20.0, 60.0);
        assert!(text.ends_with('…') && width(&text, size) <= 60.0, "{text} at {size}");
    }

    #[test]
    fn lines_break_at_spaces() {
        let lines = wrap("1/4 turn anticlockwise", 16.0, 130.0);
        assert_eq!(lines, ["1/4 turn", "anticlockwise"]);
        assert_eq!(wrap("", 16.0, 130.0), Vec::<String>::new());
        let lines = wrap("saddles of strings 4 (E), 5 (B)", 10.0, 130.0);
        assert_eq!(lines, ["saddles of strings", "4 (E), 5 (B)"]);
    }
}
