//! The record in words: entries of the history, and fields with their values, for people who have to
//! choose between two.

pub mod entries;
pub mod names;

use fallaway_changes::Container;
use fallaway_measure::{Location, Quantity};
use fallaway_record::spec::{Board, HeightBy, Scale};
use fallaway_record::{REMOVED, Registers, SpecField, Target};

/// A quantity as people call it.
pub fn quantity(quantity: Quantity) -> String {
    match quantity {
        Quantity::Relief { from, to, at: None } => format!("relief (frets {from} to {to})"),
        Quantity::Relief { from, to, at: Some(at) } => {
            format!("relief at {at} (frets {from} to {to})")
        }
        Quantity::Gap { stopped, over } if over.number() == 1 => {
            if stopped.is_open() {
                "nut (open over 1)".to_owned()
            } else {
                format!("nut (stopped at {stopped} over 1)")
            }
        }
        Quantity::Gap { stopped, over } if stopped.is_open() => {
            format!("action (open over {over})")
        }
        Quantity::Gap { stopped, over } => format!("action (stopped at {stopped} over {over})"),
        other => other.to_string(),
    }
}

/// A place as people call it on this instrument: "string 4 (E)".
pub fn location(registers: &Registers, location: Location) -> String {
    match location {
        Location::Whole => "the whole".to_owned(),
        Location::Course(place) => match registers.spec().tuning.get(&place) {
            Some(note) => format!("string {place} ({})", note.letter()),
            None => format!("string {place}"),
        },
        Location::Side(side) => format!("{side} side"),
        other => other.to_string(),
    }
}

/// The name of a register.
pub(crate) fn field(registers: &Registers, container: Container, key: &str) -> String {
    if container != Container::SETUPS {
        return key.replace('/', " of string ");
    }
    let Some((setup, rest)) = key.split_once('/') else { return key.to_owned() };
    let named = setup.parse().ok().and_then(|id| registers.setups().get(&id)?.name.clone());
    let setup = named.unwrap_or_else(|| setup.to_owned());
    if rest == "name" {
        return format!("name of setup {setup}");
    }
    let register = registers.get(container, key);
    let target = register.and_then(|register| {
        register.versions.iter().find_map(|v| minicbor::decode::<Target>(&v.value).ok())
    });
    match target {
        Some(target) => {
            let what = quantity(target.quantity);
            match target.location {
                Location::Whole => format!("{setup}: {what}"),
                place => format!("{setup}: {what}, {}", location(registers, place)),
            }
        }
        None => format!("{setup}: {rest}"),
    }
}

/// A register's value.
pub(crate) fn value(container: Container, key: &str, bytes: &[u8]) -> String {
    if bytes == REMOVED {
        return "removed".to_owned();
    }
    if container == Container::SETUPS {
        if let Ok(target) = minicbor::decode::<Target>(bytes) {
            return format!("{} \u{b1} {}", target.wanted, target.tolerance);
        }
        if let Ok(name) = minicbor::decode::<String>(bytes) {
            return name;
        }
    }
    match SpecField::decode(key, bytes) {
        Some(field) if container == Container::SPEC => fact(&field),
        _ => "written by a newer version".to_owned(),
    }
}

/// A fact about the instrument, its value only.
pub fn fact(field: &SpecField) -> String {
    match field {
        SpecField::Name(text) | SpecField::About(text) => text.clone(),
        SpecField::Family(family) => family.to_string(),
        SpecField::Courses(courses) => {
            format!("{} strings", courses.iter().map(|n| u32::from(*n)).sum::<u32>())
        }
        SpecField::Tuning(_, note) => note.to_string(),
        SpecField::Strings(_, string) => {
            let mut parts: Vec<String> = Vec::new();
            parts.extend(string.name.clone());
            parts.extend(string.gauge.map(|gauge| gauge.to_string()));
            parts.extend(string.construction.map(|made| made.to_string()));
            parts.extend(string.core.map(|core| format!("core {core}")));
            parts.extend(string.pack_tension.map(|tension| format!("{tension} on the pack")));
            if parts.is_empty() { "nothing known".to_owned() } else { parts.join(", ") }
        }
        SpecField::Scale(scale) => match scale {
            Scale::Same(length) => length.to_string(),
            other => format!("{other:?}"),
        },
        SpecField::Frets(frets) => match frets.height {
            Some(height) => format!("{}, {height} high", frets.count),
            None => frets.count.to_string(),
        },
        SpecField::JointFret(joint) => {
            format!("{} (give or take {})", joint.fret, joint.uncertain_by)
        }
        SpecField::Board(board) => match board {
            Board::Flat => "flat".to_owned(),
            Board::Cylinder(radius) => radius.to_string(),
            other => format!("{other:?}"),
        },
        SpecField::Nut(nut) => nut.to_string(),
        SpecField::NutSpread(amount) | SpecField::BridgeSpread(amount) | SpecField::A4(amount) => {
            amount.to_string()
        }
        SpecField::Bridge(bridge) => match &bridge.height {
            HeightBy::TwoPosts => "two posts".to_owned(),
            HeightBy::Fixed => "fixed".to_owned(),
            other => format!("{other:?}"),
        },
        SpecField::NeckJoint(joint) => joint.to_string(),
        SpecField::Pickups(count) => count.to_string(),
        SpecField::Handedness(hand) => hand.to_string(),
        SpecField::Stringing(order) => order.to_string(),
        SpecField::Headless(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        SpecField::Trees(places) => {
            places.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
        }
        other => format!("{other:?}"),
    }
}
