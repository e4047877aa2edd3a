//! Fields with two or more values, written apart.

use fallaway::OpId;
use fallaway::text::Phrase;

use crate::voice::say;
use crate::{FallawayError, Moment, Result};

/// One of several values of a field.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ContestedVersion {
    /// Names the write.
    pub id: String,
    /// The value in words.
    pub shown: String,
    /// Who wrote it: the name of the device.
    pub by: String,
    /// When, by their clock.
    pub at: Moment,
    /// Whether it is the one displayed meanwhile.
    pub displayed: bool,
}

/// A field with two or more values. All are kept until somebody settles them; the plan does not
/// choose between them.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ContestedField {
    /// The field's key in the record.
    pub field: String,
    /// The field in words, such as "stage: action of 4 (E)".
    pub label: String,
    /// Every value with its author.
    pub versions: Vec<ContestedVersion>,
}

impl From<fallaway::ContestedField> for ContestedField {
    fn from(contested: fallaway::ContestedField) -> Self {
        let versions = contested.versions.into_iter().map(|version| ContestedVersion {
            id: version.op.to_string(),
            shown: say(&version.shown),
            by: version.by,
            at: version.at.into(),
            displayed: version.displayed,
        });
        Self { field: contested.field, label: say(&contested.label), versions: versions.collect() }
    }
}

impl ContestedField {
    pub(crate) fn typed(self) -> Result<fallaway::ContestedField> {
        let versions = self.versions.into_iter().map(|version| {
            let op = version.id.parse::<OpId>().map_err(|error| {
                FallawayError::bad_input("version id", error, "an id as `contested` has it")
            })?;
            Ok(fallaway::ContestedVersion {
                op,
                shown: Phrase::written(version.shown),
                by: version.by,
                at: version.at.typed()?,
                displayed: version.displayed,
            })
        });
        Ok(fallaway::ContestedField {
            field: self.field,
            label: Phrase::written(self.label),
            versions: versions.collect::<Result<_>>()?,
        })
    }
}
