//! Numbers in large type, three lines high: half blocks, so that each digit is a grid of three by
//! five dots (the sixth row is the line gap).

/// Dots of a character, row by row, three columns each (fewer for narrow ones).
const fn dots(character: char) -> Option<[&'static str; 5]> {
    Some(match character {
        '0' => ["###", "# #", "# #", "# #", "###"],
        '1' => [" # ", "## ", " # ", " # ", "###"],
        '2' => ["###", "  #", "###", "#  ", "###"],
        '3' => ["###", "  #", "###", "  #", "###"],
        '4' => ["# #", "# #", "###", "  #", "  #"],
        '5' => ["###", "#  ", "###", "  #", "###"],
        '6' => ["###", "#  ", "###", "# #", "###"],
        '7' => ["###", "  #", "  #", "  #", "  #"],
        '8' => ["###", "# #", "###", "# #", "###"],
        '9' => ["###", "# #", "###", "  #", "###"],
        '.' => [" ", " ", " ", " ", "#"],
        ',' => ["  ", "  ", "  ", " #", "# "],
        '-' | '\u{2212}' => ["  ", "  ", "##", "  ", "  "],
        '/' => ["  #", "  #", " # ", "#  ", "#  "],
        '<' => ["  #", " # ", "#  ", " # ", "  #"],
        '>' => ["#  ", " # ", "  #", " # ", "#  "],
        '=' => ["   ", "###", "   ", "###", "   "],
        '+' => ["   ", " # ", "###", " # ", "   "],
        ' ' => ["  ", "  ", "  ", "  ", "  "],
        _ => return None,
    })
}

/// The number at the front of `text` in large type, the rest (its unit) small on the base line.
pub fn large(text: &str) -> [String; 3] {
    let mut rows = [const { String::new() }; 5];
    let mut rest = text;
    while let Some(character) = rest.chars().next()
        && let Some(dots) = dots(character)
    {
        for (row, dots) in rows.iter_mut().zip(dots) {
            row.push_str(dots);
            row.push(' ');
        }
        rest = &rest[character.len_utf8()..];
    }
    let mut lines = [const { String::new() }; 3];
    let blank = String::new();
    for (index, line) in lines.iter_mut().enumerate() {
        let upper = rows.get(2 * index).unwrap_or(&blank);
        let lower = rows.get(2 * index + 1).unwrap_or(&blank);
        let mut below = lower.chars();
        for above in upper.chars() {
            line.push(match (above == '#', below.next() == Some('#')) {
                (true, true) => '\u{2588}',
                (true, false) => '\u{2580}',
                (false, true) => '\u{2584}',
                (false, false) => ' ',
            });
        }
    }
    if let Some(base) = lines.last_mut() {
        base.push_str(rest);
    }
    lines.map(|line| line.trim_end().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_three_lines_high_with_its_unit() {
        let [top, middle, base] = large("1.7 mm");
        assert_eq!(top, "▄█    ▀▀█");
        assert_eq!(middle, " █      █");
        assert_eq!(base.trim_end_matches("mm").trim_end(), "▀▀▀ ▀   ▀");
        assert!(base.ends_with("mm"));
    }

    #[test]
    fn every_character_of_a_reading_has_a_shape() {
        for reading in ["5/64 in", "−0.05 mm", "−0,05 mm", "<= 0 mm", "1 1/16 in"] {
            assert!(
                large(reading).iter().all(|line| !line.contains(['5', ',', '/', '<', '\u{2212}'])),
                "{reading}"
            );
        }
    }
}
