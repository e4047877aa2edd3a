//! The order in which people look for names: capitals beside small letters, numbers as numbers.

use std::cmp::Ordering;

/// "bass 2" before "bass 10", "Ash" beside "ash". Names that differ in nothing else are in the order of their
/// letters.
pub(crate) fn by_name(one: &str, other: &str) -> Ordering {
    let (mut a, mut b) = (one, other);
    loop {
        let ((first, after_a), (second, after_b)) = match (part(a), part(b)) {
            (Some(first), Some(second)) => (first, second),
            (None, None) => return one.cmp(other),
            (None, _) => return Ordering::Less,
            (_, None) => return Ordering::Greater,
        };
        match first.cmp(&second) {
            Ordering::Equal => (a, b) = (after_a, after_b),
            order => return order,
        }
    }
}

/// A part of a name: a number by its digits, without zeros in front, or a letter.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Part<'n> {
    Number(usize, &'n str),
    Letter(String),
}

/// The first part of a name, and what is left.
fn part(name: &str) -> Option<(Part<'_>, &str)> {
    let first = name.chars().next()?;
    let digits = name.find(|c: char| !c.is_ascii_digit()).unwrap_or(name.len());
    if digits > 0 {
        let (number, left) = name.split_at(digits);
        let number = number.trim_start_matches('0');
        return Some((Part::Number(number.len(), number), left));
    }
    Some((Part::Letter(first.to_lowercase().collect()), name.split_at(first.len_utf8()).1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ordered(mut names: Vec<&str>) -> Vec<&str> {
        names.sort_by(|a, b| by_name(a, b));
        names
    }

    #[test]
    fn numbers_are_numbers_wherever_they_stand() {
        let rising = ["3 ash", "ash", "ash 2", "Ash 2b", "ash 10", "ash 10 2", "ash 010 3", "bass"];
        let mut mixed = rising.to_vec();
        mixed.reverse();
        assert_eq!(ordered(mixed), rising);
        // Of any length.
        let [short, long] = ["bass 9999999999999999999999", "bass 10000000000000000000000"];
        assert_eq!(ordered(vec![long, short]), [short, long]);
        assert_eq!(by_name("ash 1", "ash 01"), "ash 1".cmp("ash 01"));
        assert_eq!(by_name("\u{c4}ra", "\u{e4}ra"), "\u{c4}ra".cmp("\u{e4}ra"));
    }
}
