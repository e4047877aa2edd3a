//! Passes: one quantity, read one way, with one tool, across the strings.

use fallaway::measure;
use fallaway::record;

use crate::choices::choices;
use crate::error::field;
use crate::mirror::mirror;
use crate::{Estimate, Location, Quantity, Result, voice};

choices! {
    /// How the instrument lies while it is read. Readings compare like with like, or say so.
    Posture = record::Posture {
        /// As it is played.
        Playing,
        /// On its back, neck free.
        OnBack,
        /// On its back, the neck on a rest.
        NeckRest,
        /// On its side.
        OnSide,
        /// Hanging by its head.
        Hanging,
    }
}

choices! {
    /// Where in a visit a pass belongs.
    Phase = record::Phase {
        /// Before anything was done.
        AsFound,
        /// While work goes on: after something was turned, and not yet final.
        Working,
        /// The final numbers of the visit, when the work is done.
        AsLeft,
    }
}

choices! {
    /// What stops the string.
    StoppedBy = record::StoppedBy {
        /// A finger holds it down.
        Finger,
        /// A capo holds it down.
        Capo,
    }
}

/// A tool with its graduation: the step between two of its marks, leaves or digits. A number that is
/// read without a unit is in these steps.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum Tool {
    /// Steel rule divided into 1/64 in: "5" is 5/64 in.
    Rule64,
    /// Steel rule divided into 1/32 in: "2.5" is 2.5/32 in.
    Rule32,
    /// Steel rule divided into half millimetres.
    RuleHalfMm,
    /// Steel rule divided into millimetres.
    RuleMm,
    /// Feeler leaves in steps of 0.01 mm.
    FeelerMm,
    /// Feeler leaves in steps of a thousandth of an inch: "12" is 12 thou.
    FeelerThou,
    /// Caliper that shows 0.02 mm.
    CaliperMm,
    /// Dial gauge that shows 0.01 mm.
    DialMm,
    /// Tuner that shows whole cents.
    TunerCent,
    /// Tuner that shows tenths of a cent.
    TunerTenth,
    /// A tool with any other graduation.
    Other {
        /// Its kind (rule, feeler, caliper, dial, tuner) and its graduation: "caliper 0.05 mm".
        label: String,
    },
}

impl From<measure::Tool> for Tool {
    fn from(tool: measure::Tool) -> Self {
        let usual = [
            Self::Rule64,
            Self::Rule32,
            Self::RuleHalfMm,
            Self::RuleMm,
            Self::FeelerMm,
            Self::FeelerThou,
            Self::CaliperMm,
            Self::DialMm,
            Self::TunerCent,
            Self::TunerTenth,
        ];
        let place = measure::Tool::USUAL.iter().position(|one| *one == tool);
        let known = place.and_then(|place| usual.into_iter().nth(place));
        known.unwrap_or_else(|| Self::Other { label: tool.to_string() })
    }
}

impl Tool {
    pub(crate) fn typed(&self) -> Result<measure::Tool> {
        use measure::Tool as Typed;
        Ok(match self {
            Self::Rule64 => Typed::RULE_64,
            Self::Rule32 => Typed::RULE_32,
            Self::RuleHalfMm => Typed::RULE_HALF_MM,
            Self::RuleMm => Typed::RULE_MM,
            Self::FeelerMm => Typed::FEELER_MM,
            Self::FeelerThou => Typed::FEELER_THOU,
            Self::CaliperMm => Typed::CALIPER_MM,
            Self::DialMm => Typed::DIAL_MM,
            Self::TunerCent => Typed::TUNER_CENT,
            Self::TunerTenth => Typed::TUNER_TENTH,
            Self::Other { label } => label.parse()?,
        })
    }
}

mirror! {
    /// The kind of a tool.
    ToolKind = measure::ToolKind {
        /// A steel rule, read by eye.
        SteelRule,
        /// Feeler leaves: a leaf that goes, and the next that does not.
        Feeler,
        /// A caliper, for spacing and thickness.
        Caliper,
        /// A dial gauge.
        DialGauge,
        /// A tuner, which reads pitch in cents.
        Tuner,
    } newer measure::ToolKind::Other(_)
}

/// A tool as people call it: "rule 1/64 in".
///
/// # Errors
/// `BadInput` for a label that names no tool.
#[uniffi::export]
pub fn tool_name(tool: &Tool) -> Result<String> {
    voice::elsewhere();
    Ok(crate::voice::say(&fallaway::text::names::tool(tool.typed()?)))
}

/// A tool's kind and graduation, such as "rule 1/64": what a tool that is given in words takes, in every language.
///
/// # Errors
/// `BadInput` for a label that names no tool.
#[uniffi::export]
pub fn tool_label(tool: &Tool) -> Result<String> {
    voice::elsewhere();
    Ok(tool.typed()?.to_string())
}

/// A quantity as people call it, such as "action at fret 24, fretted at 1".
///
/// # Errors
/// `BadInput` for a fret beyond 36.
#[uniffi::export]
pub fn quantity_label(quantity: Quantity) -> Result<String> {
    voice::elsewhere();
    Ok(crate::voice::say(&fallaway::text::names::quantity(quantity.typed()?)))
}

/// A location as people call it, such as "string 4".
///
/// # Errors
/// `BadInput` for a string that no instrument has.
#[uniffi::export]
pub fn location_label(location: &Location) -> Result<String> {
    voice::elsewhere();
    Ok(location.typed()?.to_string())
}

/// In which state a pass was read.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct PassConditions {
    /// How the instrument lay.
    #[uniffi(default = None)]
    pub posture: Option<Posture>,
    /// Where in the visit the pass belongs.
    #[uniffi(default = None)]
    pub phase: Option<Phase>,
    /// What stopped the string.
    #[uniffi(default = None)]
    pub stopped_by: Option<StoppedBy>,
    /// Minutes since the instrument was tuned, 0 to 65535.
    #[uniffi(default = None)]
    pub tuned_minutes_ago: Option<u32>,
}

impl PassConditions {
    pub(crate) fn typed(&self) -> Result<fallaway::PassOptions> {
        let minutes = self.tuned_minutes_ago.map(u16::try_from).transpose();
        Ok(fallaway::PassOptions {
            posture: self.posture.map(Posture::typed).transpose()?,
            phase: self.phase.map(Phase::typed).transpose()?,
            stopped_by: self.stopped_by.map(StoppedBy::typed).transpose()?,
            tuned_minutes_ago: minutes.map_err(|_| {
                let given = self.tuned_minutes_ago.unwrap_or_default();
                crate::given::too_large(&field("minutes"), given, u16::MAX.into())
            })?,
            ..fallaway::PassOptions::default()
        })
    }
}

/// A reading to write down.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NewReading {
    /// Where it was read.
    pub location: Location,
    /// What was read, as a person writes it: "5" (steps of the tool), "5/64", "1.98 mm", "12 thou";
    /// bounds: "<= 0", ".010 goes, .012 not".
    pub text: String,
}

/// A pass to write down, reading by reading.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NewPass {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// With what; without a tool each reading needs its unit.
    pub tool: Option<Tool>,
    /// The readings, in the order in which they were taken. A location that was not read is not here.
    pub readings: Vec<NewReading>,
    /// Posture, phase, what stopped the string, how long ago it was tuned.
    #[uniffi(default = None)]
    pub conditions: Option<PassConditions>,
}

impl NewPass {
    pub(crate) fn typed(&self) -> Result<record::Pass> {
        Ok(self.draft()?.read()?)
    }

    pub(crate) fn draft(&self) -> Result<fallaway::PassDraft> {
        let cell = |new: &NewReading| -> Result<fallaway::DraftCell> {
            let location = new.location.typed()?;
            Ok(fallaway::DraftCell { location, text: new.text.clone() })
        };
        Ok(fallaway::PassDraft {
            quantity: self.quantity.typed()?,
            tool: self.tool.as_ref().map(Tool::typed).transpose()?,
            cells: self.readings.iter().map(cell).collect::<Result<_>>()?,
            taken: self.conditions.clone().unwrap_or_default().typed()?,
        })
    }
}

/// How a line of readings was taken; what is not said is as usual.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct PassOptions {
    /// Where each was read; if empty, relief is read once for the whole, spacing for each string that
    /// has a lower neighbour, everything else for each string.
    #[uniffi(default = [])]
    pub locations: Vec<Location>,
    /// Whether the line begins with the lowest string; `None`: as is preferred.
    #[uniffi(default = None)]
    pub low_first: Option<bool>,
    /// Posture, phase, what stopped the string, how long ago it was tuned.
    #[uniffi(default = None)]
    pub conditions: Option<PassConditions>,
}

impl PassOptions {
    pub(crate) fn typed(self) -> Result<fallaway::PassOptions> {
        Ok(fallaway::PassOptions {
            places: self.locations.iter().map(Location::typed).collect::<Result<_>>()?,
            low_first: self.low_first,
            ..self.conditions.unwrap_or_default().typed()?
        })
    }
}

/// What kind of reading it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ReadingKind {
    /// One value, as read off the tool.
    Exact,
    /// No more than this: a leaf that does not go, a string that touches.
    AtMost,
    /// No less than this: a leaf that goes.
    AtLeast,
    /// One leaf goes, the next does not.
    Between,
}

impl From<measure::Reading> for ReadingKind {
    fn from(reading: measure::Reading) -> Self {
        match reading {
            measure::Reading::Value(_) => Self::Exact,
            measure::Reading::AtMost(_) => Self::AtMost,
            measure::Reading::AtLeast(_) => Self::AtLeast,
            measure::Reading::Between { .. } => Self::Between,
        }
    }
}

/// A reading: taken, or understood from what a person writes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Reading {
    /// What was read, with what a reading like it can tell. Of a bound it is the bound, of an
    /// interval the middle.
    pub value: Estimate,
    /// What kind of reading it is.
    pub kind: ReadingKind,
    /// The lower end, in the unit of `value`; `None` if only an upper one was read.
    pub low: Option<f64>,
    /// The upper end, in the unit of `value`; `None` if only a lower one was read.
    pub high: Option<f64>,
}

impl Reading {
    pub(crate) fn of(
        reading: measure::Reading,
        tool: Option<measure::Tool>,
        quantity: measure::Quantity,
    ) -> Self {
        let end = |amount: measure::Amount| crate::estimate::in_shown_unit(amount).0;
        Self {
            value: crate::estimate::of_reading(reading, tool, quantity.into()),
            kind: reading.into(),
            low: reading.low().map(end),
            high: reading.high().map(end),
        }
    }
}

/// A reading of a pass.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PassReading {
    /// Where it was read.
    pub location: Location,
    /// What was read.
    pub reading: Reading,
}

/// A pass that was taken.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PassInfo {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// Posture, phase, what stopped the string, how long ago it was tuned.
    pub conditions: PassConditions,
    /// The readings, in the order in which they were taken.
    pub readings: Vec<PassReading>,
}

impl From<&record::Pass> for PassInfo {
    fn from(pass: &record::Pass) -> Self {
        let readings = pass.readings.iter().map(|read| PassReading {
            location: read.location.into(),
            reading: Reading::of(read.reading, pass.tool, pass.quantity),
        });
        Self {
            quantity: pass.quantity.into(),
            tool: pass.tool.map(Tool::from),
            conditions: PassConditions {
                posture: pass.posture.map(Posture::from),
                phase: pass.phase.map(Phase::from),
                stopped_by: pass.stopped_by.map(StoppedBy::from),
                tuned_minutes_ago: pass.tuned_minutes_ago.map(u32::from),
            },
            readings: readings.collect(),
        }
    }
}
