//! Names under which devices are shown: no two alike, and none that can be taken for another's.

use std::collections::{BTreeMap, BTreeSet};

use crate::role::Role;
use crate::standing::Member;
use fallaway_changes::DeviceId;

/// What to call each member: what it calls itself, with a number where another one is called so, or
/// looks so. This device goes first, then owners, then whoever stands first in `members`.
pub fn shown_labels(members: &[Member], own: &DeviceId) -> BTreeMap<DeviceId, String> {
    let mut order: Vec<&Member> = members.iter().collect();
    order.sort_by_key(|member| (member.device != *own, member.role < Role::Owner));
    let all: BTreeSet<String> = members.iter().map(|member| look(&member.label)).collect();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut shown = BTreeMap::new();
    for member in order {
        let mut label = member.label.clone();
        if !taken.insert(look(&label)) {
            // A number that nobody gave itself.
            let numbered = (2..).map(|number| format!("{} {number}", member.label));
            let free = |label: &String| {
                let look = look(label);
                !all.contains(&look) && !taken.contains(&look)
            };
            if let Some(free) = numbered.take(all.len() + taken.len() + 2).find(free) {
                label = free;
            }
            taken.insert(look(&label));
        }
        shown.insert(member.device, label);
    }
    shown
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
    use crate::testing::keys;
    use fallaway_changes::MemberHash;

    fn member(number: u8, label: &str, role: Role) -> Member {
        Member {
            device: keys(number).device(),
            exchange: keys(number).exchange(),
            role,
            label: label.to_owned(),
            since: MemberHash::from_bytes([number; 32]),
            person: keys(number).device(),
        }
    }

    #[test]
    fn nobody_can_be_taken_for_another() {
        let members = [
            member(1, "tech", Role::Contributor),
            member(2, "tech", Role::Owner),
            member(3, "Tech.", Role::Viewer),
            // Cyrillic es and ie.
            member(4, "t\u{435}\u{441}h", Role::Contributor),
            member(5, "tech 2", Role::Contributor),
            member(6, "player", Role::Contributor),
        ];
        let shown = shown_labels(&members, &keys(6).device());
        let label = |number: u8| shown[&keys(number).device()].as_str();
        // The owner is who it says; nobody's own number is given to another.
        assert_eq!((label(2), label(5), label(6)), ("tech", "tech 2", "player"));
        let all: BTreeSet<String> = (1..7).map(|number| look(label(number))).collect();
        assert_eq!(all.len(), 6, "{shown:?}");
        assert_eq!(label(1), "tech 3");
        // One's own device keeps its name at home.
        let shown = shown_labels(&members, &keys(1).device());
        assert_eq!(shown[&keys(1).device()], "tech");
        assert_ne!(look(&shown[&keys(2).device()]), "tech");
    }
}
