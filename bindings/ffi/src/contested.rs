//! Fields with two or more values, written apart.

use crate::entered::Entered;
use crate::voice::say;
use crate::{Location, Moment, Quantity, SetupId, SpecField, VersionId};

/// A value of a contested field.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum ContestedValue {
    /// What stood there was removed.
    Removed,
    /// A fact of the instrument.
    Fact {
        /// Which, with its value.
        field: SpecField,
    },
    /// The name of a setup.
    SetupName {
        /// What the setup would be called by this value.
        name: String,
    },
    /// A target of a setup.
    SetupTarget {
        /// What is read, and which way.
        quantity: Quantity,
        /// Of which string or side the target is, or of the whole instrument.
        location: Location,
        /// The value wanted.
        wanted: Entered,
        /// How far a reading may lie from it either way.
        tolerance: Entered,
    },
    /// Only a newer version understands it: show the text beside it.
    Newer,
}

impl From<fallaway::ContestedValue> for ContestedValue {
    fn from(value: fallaway::ContestedValue) -> Self {
        match value {
            // Nobody has to choose whether a setup is deleted.
            fallaway::ContestedValue::Removed | fallaway::ContestedValue::Setup { .. } => {
                Self::Removed
            }
            fallaway::ContestedValue::Fact(field) => Self::Fact { field: field.into() },
            fallaway::ContestedValue::SetupName(name) => Self::SetupName { name },
            fallaway::ContestedValue::Target(target) => Self::SetupTarget {
                quantity: target.quantity.into(),
                location: target.location.into(),
                wanted: target.wanted.into(),
                tolerance: target.tolerance.into(),
            },
            fallaway::ContestedValue::Newer => Self::Newer,
        }
    }
}

/// One of several values of a field.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ContestedVersion {
    /// Names the write: what `settle` takes.
    pub id: VersionId,
    /// What was written, as data; `shown` says it.
    pub value: ContestedValue,
    /// The value in words.
    pub shown: String,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
    /// Who, where somebody said so; with the device in brackets where it could be taken for another one.
    pub by: Option<String>,
    /// When: as was said, or by the device's clock.
    pub at: Moment,
    /// Whether it is the one displayed meanwhile.
    pub displayed: bool,
}

/// One field as it was shown, and the version of it that stays.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct VersionChoice {
    /// The field as it was shown.
    pub shown: ContestedField,
    /// The id of the version that stays.
    pub keep: VersionId,
}

/// A field with two or more values. All are kept until somebody settles them; the plan does not
/// choose between them.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ContestedField {
    /// The field's key in the record.
    pub field: String,
    /// The setup that it belongs to, by its id; `None` for a fact of the instrument.
    pub setup: Option<SetupId>,
    /// The field in words, such as "stage: action of 4 (E)".
    pub label: String,
    /// Every value with its author.
    pub versions: Vec<ContestedVersion>,
}

impl From<fallaway::ContestedField> for ContestedField {
    fn from(contested: fallaway::ContestedField) -> Self {
        let versions = contested.versions.into_iter().map(|version| ContestedVersion {
            id: version.op.into(),
            value: version.value.into(),
            shown: say(&version.shown),
            device: version.device,
            by: version.by,
            at: version.at.into(),
            displayed: version.displayed,
        });
        Self {
            field: contested.field,
            setup: contested.setup.map(SetupId::from),
            label: say(&contested.label),
            versions: versions.collect(),
        }
    }
}
