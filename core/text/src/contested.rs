//! Fields and their values, for people who have to choose between two.

use fallaway_changes::Container;
use fallaway_record::{InstrumentSpec, REMOVED, Registers, SpecField, Target};

use crate::messages::facts as say;
use crate::{Phrase, facts, names};

/// What a register is called: "scale length", "stage: action at fret 12, open, string 4 (E)".
pub fn field(registers: &Registers, container: Container, key: &str) -> Phrase {
    field_of(registers, container, key, [])
}

/// The same of a register that may hold nothing any more; it is called as with one of these values.
pub fn field_of<'v>(
    registers: &'v Registers,
    container: Container,
    key: &str,
    values: impl IntoIterator<Item = &'v [u8]>,
) -> Phrase {
    let versions = registers.get(container, key).map(|r| r.versions.as_slice()).unwrap_or_default();
    let mut values = versions.iter().map(|version| version.value.as_slice()).chain(values);
    if container != Container::SETUPS {
        let read = values.find_map(|value| SpecField::decode(key, value));
        return match read {
            Some(field) if container == Container::SPEC => facts::name(&field, registers.spec()),
            _ => say::field_newer(key.to_owned()),
        };
    }
    let Some((setup, rest)) = key.split_once('/') else { return say::field_newer(key.to_owned()) };
    let setup = setup
        .parse()
        .map_or_else(|_| Phrase::written(setup), |id| Phrase::written(registers.setup_name(&id)));
    match rest {
        "name" => return say::setup_name(setup),
        "deleted" => return say::setup(setup),
        _ => {}
    }
    match values.find_map(|value| minicbor::decode::<Target>(value).ok()) {
        Some(target) => self::target(setup, &target, registers),
        None => say::field_newer(key.to_owned()),
    }
}

fn target(setup: Phrase, target: &Target, registers: &Registers) -> Phrase {
    let quantity = names::quantity(target.quantity);
    match names::location(registers.spec(), target.location) {
        Some(location) => say::setup_target_at(setup, quantity, location),
        None => say::setup_target(setup, quantity),
    }
}

/// The value of a register.
#[derive(Debug, Clone, PartialEq)]
pub enum ContestedValue {
    /// What stood there was removed.
    Removed,
    /// A fact of the instrument.
    Fact(SpecField),
    /// The name of a setup.
    SetupName(String),
    /// A target of a setup.
    Target(Target),
    /// Whether a setup is deleted.
    Setup {
        /// `true` for the value of whoever deleted it.
        deleted: bool,
    },
    /// Only a newer version understands it.
    Newer,
}

impl ContestedValue {
    /// What a register holds.
    pub fn read(container: Container, key: &str, bytes: &[u8]) -> Self {
        if container == Container::SETUPS && key.ends_with("/deleted") {
            return Self::Setup { deleted: bytes != REMOVED };
        }
        if bytes == REMOVED {
            return Self::Removed;
        }
        if container == Container::SETUPS {
            return match minicbor::decode(bytes) {
                Ok(target) => Self::Target(target),
                Err(_) => minicbor::decode(bytes).map_or(Self::Newer, Self::SetupName),
            };
        }
        match SpecField::decode(key, bytes) {
            Some(field) if container == Container::SPEC => Self::Fact(field),
            _ => Self::Newer,
        }
    }

    /// In words: "12 in", "1.8 mm ± 0.1 mm", "removed".
    pub fn phrase(&self, spec: &InstrumentSpec) -> Phrase {
        match self {
            Self::Removed => say::removed(),
            Self::Fact(field) => facts::value(field, spec),
            Self::SetupName(name) => Phrase::written(name),
            Self::Setup { deleted } => say::setup_deleted(*deleted),
            Self::Target(target) => {
                say::target(target.wanted, target.tolerance).of(target.quantity)
            }
            Self::Newer => say::newer(),
        }
    }
}
