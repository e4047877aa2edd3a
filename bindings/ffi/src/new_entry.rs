//! Entries to write down, of every kind.

use fallaway::record;

use crate::{
    Adjustment, BuzzNote, Climate, EntryId, FretFinding, NewPass, PassOptions, Quantity, Result,
    StringChange, Tool, TuningChange, WriteOptions,
};

/// What an entry is to say.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum NewBody {
    /// A visit begins.
    VisitBegun {
        /// What it is for.
        purpose: Option<String>,
    },
    /// The visit of that time is over.
    VisitEnded {
        /// What is left to do or to watch.
        note: Option<String>,
    },
    /// A pass, reading by reading.
    Readings {
        /// Quantity, tool, conditions and readings.
        pass: NewPass,
    },
    /// A pass as a person writes it: "5 5 5 6".
    ReadingsText {
        /// What was read, and which way.
        quantity: Quantity,
        /// What was read, string after string, as `Instrument.add_pass_text` takes it.
        text: String,
        /// The tool, in whose graduation a number without a unit is; `None`: the one that is usual
        /// here.
        tool: Option<Tool>,
        /// How it was taken.
        taken: Option<PassOptions>,
    },
    /// Something was turned, moved, cut or replaced.
    Adjusted {
        /// What and how far.
        adjustment: Adjustment,
    },
    /// Strings were changed.
    StringsChanged {
        /// Which strings, and what was fitted.
        change: StringChange,
    },
    /// Strings were tuned.
    Tuned {
        /// Which strings, and to which notes if to others.
        tuning: TuningChange,
    },
    /// The air around the instrument.
    ClimateNoted {
        /// Temperature, humidity, where it is kept and for how long.
        climate: Climate,
    },
    /// A remark in free text.
    Remarked {
        /// What it says.
        text: String,
        /// The remark that it corrects.
        replaces: Option<EntryId>,
        /// The entry that it is about.
        about: Option<EntryId>,
    },
    /// Something was found at a fret.
    FretFound {
        /// The fret, and what is wrong with it.
        found: FretFinding,
        /// What is to be said beside it.
        note: Option<String>,
    },
    /// A note buzzes.
    Buzzed {
        /// String, frets, and how it sounds.
        buzz: BuzzNote,
    },
}

/// An entry to write down.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NewEntry {
    /// What it says.
    pub body: NewBody,
    /// When it happened, who did it, and which doubts are answered.
    #[uniffi(default = None)]
    pub options: Option<WriteOptions>,
}

impl NewBody {
    pub(crate) fn typed(self, instrument: &fallaway::Instrument) -> Result<record::EntryBody> {
        use record::EntryBody;
        Ok(match self {
            Self::VisitBegun { purpose } => EntryBody::Visit(record::VisitOpened { purpose }),
            Self::VisitEnded { note } => EntryBody::VisitEnd(record::VisitEnded { note }),
            Self::Readings { pass } => EntryBody::Pass(pass.typed()?),
            Self::ReadingsText { quantity, text, tool, taken } => {
                let tool = tool.as_ref().map(Tool::typed).transpose()?;
                let taken = taken.unwrap_or_default().typed()?;
                EntryBody::Pass(instrument.read_pass_text(
                    quantity.typed()?,
                    &text,
                    tool,
                    &taken,
                )?)
            }
            Self::Adjusted { adjustment } => EntryBody::Adjustment(adjustment.typed()?),
            Self::StringsChanged { change } => EntryBody::StringChange(change.typed()?),
            Self::Tuned { tuning } => EntryBody::Tuning(tuning.typed()?),
            Self::ClimateNoted { climate } => EntryBody::Climate(climate.typed()?),
            Self::Remarked { text, replaces, about } => EntryBody::Remark(record::Remark {
                text,
                replaces: replaces.map(|id| id.0),
                about: about.map(|id| id.0),
                ..record::Remark::default()
            }),
            Self::FretFound { found, note } => EntryBody::Remark(found.remark(note)?),
            Self::Buzzed { buzz } => EntryBody::Buzz(buzz.typed()?),
        })
    }
}
