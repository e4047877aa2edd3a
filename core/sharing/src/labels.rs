//! Names under which devices are shown: no two alike, and none that can be taken for another's.

use fallaway_changes::DeviceId;
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

/// What to call each of these devices: what it calls itself, with a number where another one is
/// called so, or looks so. Those that stand first keep their labels.
pub(crate) fn shown_labels(devices: &[(DeviceId, &str)]) -> Map<DeviceId, String> {
    let all: Set<String> = devices.iter().map(|(_, label)| look(label)).in_set();
    let mut taken: Set<String> = Set::new();
    let mut shown = Map::new();
    for (device, own) in devices {
        let mut label = (*own).to_owned();
        if !taken.insert(look(&label)) {
            // A number that nobody gave itself.
            let numbered = (2..).map(|number| format!("{own} {number}"));
            let free = |label: &String| {
                let look = look(label);
                !all.contains(&look) && !taken.contains(&look)
            };
            if let Some(free) = numbered.take(all.len() + taken.len() + 2).find(free) {
                label = free;
            }
            taken.insert(look(&label));
        }
        shown.insert(*device, label);
    }
    shown
}

/// Whether two names cannot be told apart at a glance.
pub fn look_alike(one: &str, other: &str) -> bool {
    look(one) == look(other)
}

/// Two labels with one look cannot be told apart at a glance: case, blanks and signs do not count,
/// and Cyrillic and Greek letters count as the Latin ones that they look like, some digits as
/// letters.
fn look(label: &str) -> String {
    let lower = label.chars().flat_map(char::to_lowercase);
    lower.filter(|letter| letter.is_alphanumeric()).map(latin).collect()
}

fn latin(letter: char) -> char {
    match letter {
        'а' | 'α' => 'a',
        'в' | 'β' | 'ß' => 'b',
        'с' | 'ϲ' => 'c',
        'ԁ' => 'd',
        'е' | 'ё' | 'ε' => 'e',
        'і' | 'ї' | 'ι' | 'l' | '1' | 'ı' | 'ӏ' => 'i',
        'ј' => 'j',
        'к' | 'κ' => 'k',
        'м' => 'm',
        'һ' | 'н' => 'h',
        'п' | 'η' => 'n',
        'о' | 'ο' | 'σ' | '0' => 'o',
        'р' | 'ρ' => 'p',
        'ԛ' => 'q',
        'г' => 'r',
        'ѕ' | '5' => 's',
        'т' | 'τ' => 't',
        'υ' => 'u',
        'ν' | 'ѵ' => 'v',
        'ԝ' | 'ω' => 'w',
        'х' | 'χ' => 'x',
        'у' | 'γ' => 'y',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn device(number: u8) -> DeviceId {
        DeviceId::from_bytes([number; 32])
    }

    #[test]
    fn nobody_can_be_taken_for_another() {
        let devices = [
            (device(6), "player"),
            (device(2), "tech"),
            (device(1), "tech"),
            (device(3), "Tech."),
            // Cyrillic es and ie.
            (device(4), "t\u{435}\u{441}h"),
            (device(5), "tech 2"),
        ];
        let shown = shown_labels(&devices);
        let label = |number: u8| shown.get(&device(number)).unwrap().as_str();
        // The owner is who it says; nobody's own number is given to another.
        assert_eq!((label(2), label(5), label(6)), ("tech", "tech 2", "player"));
        let all: Set<String> = (1..7).map(|number| look(label(number))).collect();
        assert_eq!(all.len(), 6, "{shown:?}");
        assert_eq!(label(1), "tech 3");
    }
}
