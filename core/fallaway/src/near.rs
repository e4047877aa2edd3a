//! Names near to one that was mistyped.

use fallaway_order::PutInOrder as _;

/// So many are named.
pub(crate) const MOST: usize = 5;

/// Of these names those that may have been meant, the likeliest first: with the text in them, else with a
/// word, or as a whole, a slip or two away from it. Case does not matter.
pub(crate) fn nearest<'a>(wanted: &str, names: &'a [String]) -> Vec<&'a str> {
    let wanted = wanted.trim().to_lowercase();
    if wanted.is_empty() {
        return Vec::new();
    }
    let most = if wanted.chars().count() < 4 { 1 } else { 2 };
    let mut near: Vec<(usize, &str)> = Vec::new();
    for name in names {
        let lower = name.to_lowercase();
        let words = lower.split_whitespace().chain([lower.as_str()]);
        let away = if lower.contains(&wanted) {
            Some(0)
        } else {
            words.map(|word| slips(&wanted, word)).min().filter(|away| *away <= most)
        };
        near.extend(away.map(|away| (away, name.as_str())));
    }
    near.put_in_order();
    near.dedup();
    near.into_iter().take(MOST).map(|(_, name)| name).collect()
}

/// How many slips lead from one word to the other: a letter wrong, missing or too much, or two of them
/// changed round. F. J. Damerau, "A technique for computer detection and correction of spelling errors",
/// Communications of the ACM 7 (1964), names these four; no stretch is corrected twice.
fn slips(from: &str, to: &str) -> usize {
    let (from, to): (Vec<char>, Vec<char>) = (from.chars().collect(), to.chars().collect());
    let at = |row: &[usize], place: usize| row.get(place).copied().unwrap_or(usize::MAX / 2);
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, b) in to.iter().enumerate() {
            let mut least =
                (at(&last, j) + usize::from(a != b)).min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            let changed_round =
                i > 0 && j > 0 && from.get(i - 1) == Some(b) && to.get(j - 1) == Some(a);
            if changed_round && a != b {
                least = least.min(at(&before, j - 1) + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of M. Gilleland, "Levenshtein distance, in three flavors", and those of Damerau's four
    /// kinds of slips.
    #[test]
    fn slips_are_counted() {
        for (from, to, count) in [
            ("gumbo", "gambol", 2),
            ("walnut", "walnut", 0),
            ("walnut", "walmut", 1),
            ("walnut", "walnt", 1),
            ("walnut", "wallnut", 1),
            ("walnut", "wlanut", 1),
            ("", "ash", 3),
        ] {
            assert_eq!(slips(from, to), count, "{from} {to}");
            assert_eq!(slips(to, from), count, "{to} {from}");
        }
    }

    #[test]
    fn few_and_the_likeliest_are_named() {
        let names: Vec<String> = (1..=300).map(|number| format!("rack {number}")).collect();
        assert_eq!(nearest("racc 299", &names).first(), Some(&"rack 299"));
        assert_eq!(nearest("297", &names).first(), Some(&"rack 297"));
        assert!(nearest("rack", &names).len() <= MOST);
        assert!(nearest("parlour", &names).is_empty());
        let names = ["walnut bass".to_owned(), "Ash four".to_owned()];
        assert_eq!(nearest("ASH", &names), ["Ash four"]);
        assert_eq!(nearest("wlanut", &names), ["walnut bass"]);
        assert_eq!(nearest("nut ba", &names), ["walnut bass"]);
    }
}
