//! What was found at single frets.

use fallaway::measure::Dimension;
use fallaway::record;
use fallaway::text::entries;

use crate::Entered;
use crate::error::field;
use crate::given;
use crate::given::fret;
use crate::voice::voice;
use crate::write_options::typed;
use crate::{EntryId, Instrument, Result, StringPlace, WriteOptions};

/// How a fret was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum FretState {
    /// Its crown stands higher than its neighbours: a short straightedge over three frets rocks.
    High,
    /// Level with its neighbours: it does not rock.
    Level,
    /// Worn, lower than its neighbours.
    Worn,
    /// An end or all of it is loose: it can be pressed down.
    Lifting,
    /// Written by a newer version; it can be shown, not written.
    Newer {
        /// Its number in the record format.
        number: u32,
    },
}

/// What somebody found at a fret, by eye, with a short straightedge or under a long one.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FretFinding {
    /// Which fret, from 1.
    pub fret: u32,
    /// How the crown is: high, level, worn or lifting.
    pub state: FretState,
    /// Under which strings; empty means all along it.
    #[uniffi(default = [])]
    pub strings: Vec<StringPlace>,
    /// By how much its crown stands above the line through its neighbours, or below it if it is worn, as a
    /// length that is not below zero; `None` if nobody measured it.
    #[uniffi(default = None)]
    pub distance: Option<Entered>,
}

/// What is known of a fret.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct KnownFret {
    /// As it was found last.
    pub found: FretFinding,
    /// The same in words: "Fret 7: stands high by 0.08 mm".
    pub text: String,
}

impl FretFinding {
    fn typed(self) -> Result<record::FretFinding> {
        let state = match self.state {
            FretState::High => record::FretState::High,
            FretState::Level => record::FretState::Level,
            FretState::Worn => record::FretState::Worn,
            FretState::Lifting => record::FretState::Lifting,
            FretState::Newer { number } => record::FretState::Other(number),
        };
        Ok(record::FretFinding {
            fret: fret(self.fret)?,
            state,
            strings: self.strings.iter().map(StringPlace::typed).collect::<Result<_>>()?,
            by: given::amount(self.distance.as_ref(), field("distance"), Dimension::Length)?,
        })
    }

    /// As a remark, with a note beside it.
    pub(crate) fn remark(self, note: Option<String>) -> Result<record::Remark> {
        let fret = Some(self.typed()?);
        Ok(record::Remark { text: note.unwrap_or_default(), fret, ..record::Remark::default() })
    }
}

impl From<&record::FretFinding> for FretFinding {
    fn from(found: &record::FretFinding) -> Self {
        let state = match found.state {
            record::FretState::High => FretState::High,
            record::FretState::Level => FretState::Level,
            record::FretState::Worn => FretState::Worn,
            record::FretState::Lifting => FretState::Lifting,
            record::FretState::Other(number) => FretState::Newer { number },
        };
        Self {
            fret: found.fret.number().into(),
            state,
            strings: found.strings.iter().copied().map(StringPlace::from).collect(),
            distance: found.by.map(Entered::from),
        }
    }
}

#[uniffi::export]
impl Instrument {
    /// Writes down what was found at a fret: part of a visit if one is open. Clearance, its drawing and
    /// the causes of a buzz go by it until the frets are worked on.
    ///
    /// # Errors
    /// `BadInput` for a fret or string that the instrument does not have, a distance below zero, or a
    /// note of more than 2000 characters; whatever an edit answers.
    #[uniffi::method(default(note = None, options = None))]
    pub fn add_fret_finding(
        &self,
        found: FretFinding,
        note: Option<String>,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        Ok(self.inner().add_remark(found.remark(note)?, typed(options)?)?.into())
    }

    /// The last finding of each fret since the frets were worked on.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn fret_findings(&self) -> Result<Vec<KnownFret>> {
        let spec = self.inner().details()?.spec;
        let known = self.inner().fret_findings()?;
        let one = |found: &record::FretFinding| KnownFret {
            found: found.into(),
            text: voice().sentence(&entries::fret_finding(found, &spec)),
        };
        Ok(known.iter().map(one).collect())
    }
}
