//! How the person at this device works.

use fallaway::measure::{Dimension, Limit};

use crate::Entered;
use crate::given;
use crate::{Instrument, Posture, Result, StoppedBy, Tool, Units, Workshop};

/// The tool in hand for each kind of reading; none where a reading names its tool or its unit.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct UsualTools {
    /// For relief; commonly feeler leaves.
    #[uniffi(default = None)]
    pub relief: Option<Tool>,
    /// For action; commonly a rule.
    #[uniffi(default = None)]
    pub action: Option<Tool>,
    /// For the nut; commonly feeler leaves.
    #[uniffi(default = None)]
    pub nut: Option<Tool>,
    /// For the spacing of strings.
    #[uniffi(default = None)]
    pub spacing: Option<Tool>,
    /// For the gap of a pickup.
    #[uniffi(default = None)]
    pub pickup: Option<Tool>,
    /// For pitch and intonation.
    #[uniffi(default = None)]
    pub tuner: Option<Tool>,
}

/// How the person at this device works. Kept on the device, never in a record.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Preferences {
    /// The tag of the language ("en", "de"); `None`: that of the system, see [`crate::set_voice`].
    #[uniffi(default = None)]
    pub language: Option<String>,
    /// The units of numbers; `None`: as everything is read.
    #[uniffi(default = None)]
    pub units: Option<Units>,
    /// Whether the lowest string comes first, on the card and where a pass is read.
    #[uniffi(default = false)]
    pub low_first: bool,
    /// The frequency of A4 that a new instrument is given, 380 Hz to 500 Hz; `None`: 440 Hz.
    #[uniffi(default = None)]
    pub a4: Option<Entered>,
    /// The tool of a reading that names none.
    #[uniffi(default = None)]
    pub tools: Option<UsualTools>,
    /// How an instrument lies while it is read, where a pass does not say.
    #[uniffi(default = None)]
    pub posture: Option<Posture>,
    /// What stops the string, where a pass does not say.
    #[uniffi(default = None)]
    pub stopped_by: Option<StoppedBy>,
}

impl UsualTools {
    fn typed(&self) -> Result<fallaway::UsualTools> {
        let typed = |tool: &Option<Tool>| tool.as_ref().map(Tool::typed).transpose();
        Ok(fallaway::UsualTools {
            relief: typed(&self.relief)?,
            action: typed(&self.action)?,
            nut: typed(&self.nut)?,
            spacing: typed(&self.spacing)?,
            pickup: typed(&self.pickup)?,
            tuner: typed(&self.tuner)?,
        })
    }
}

impl From<fallaway::UsualTools> for UsualTools {
    fn from(tools: fallaway::UsualTools) -> Self {
        Self {
            relief: tools.relief.map(Tool::from),
            action: tools.action.map(Tool::from),
            nut: tools.nut.map(Tool::from),
            spacing: tools.spacing.map(Tool::from),
            pickup: tools.pickup.map(Tool::from),
            tuner: tools.tuner.map(Tool::from),
        }
    }
}

impl From<fallaway::Preferences> for Preferences {
    fn from(kept: fallaway::Preferences) -> Self {
        Self {
            language: kept.language.map(|language| language.tag().to_owned()),
            units: Some(kept.units),
            low_first: kept.low_first,
            a4: kept.a4.map(Entered::from),
            tools: Some(kept.tools.into()),
            posture: kept.posture.map(Posture::from),
            stopped_by: kept.stopped_by.map(StoppedBy::from),
        }
    }
}

impl Preferences {
    fn typed(&self) -> Result<fallaway::Preferences> {
        let language = self.language.as_deref().map(crate::languages::named);
        Ok(fallaway::Preferences {
            language: language.transpose()?,
            units: self.units.unwrap_or_default(),
            low_first: self.low_first,
            a4: given::amount(self.a4.as_ref(), Limit::A4, Dimension::Frequency)?,
            tools: self.tools.as_ref().map(UsualTools::typed).transpose()?.unwrap_or_default(),
            posture: self.posture.map(Posture::typed).transpose()?,
            stopped_by: self.stopped_by.map(StoppedBy::typed).transpose()?,
        })
    }
}

/// How the person at this device works at one instrument, where it differs from how they usually do. Kept on
/// the device, never in a record.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct InstrumentWays {
    /// The units of its numbers, for an app that shows it; `None`: as everywhere.
    #[uniffi(default = None)]
    pub units: Option<Units>,
    /// The tools of its readings that name none; those that are missing as everywhere.
    #[uniffi(default = None)]
    pub tools: Option<UsualTools>,
}

#[uniffi::export]
impl Instrument {
    /// How the person at this device works at this instrument, where that differs from
    /// `Workshop::preferences`.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn ways(&self) -> Result<InstrumentWays> {
        let ways = self.inner().ways()?;
        Ok(InstrumentWays { units: ways.units, tools: Some(ways.tools.into()) })
    }

    /// Keeps how the person at this device works at this instrument: readings of it without a unit go by
    /// these tools from now on. The voice of the library stays as it is.
    ///
    /// # Errors
    /// `BadInput` for parts of an inch that no rule has; when the store cannot be written.
    pub fn set_ways(&self, ways: InstrumentWays) -> Result<()> {
        self.voice.is_asked();
        let tools = ways.tools.as_ref().map(UsualTools::typed).transpose()?.unwrap_or_default();
        Ok(self.inner().set_ways(&fallaway::InstrumentWays { units: ways.units, tools })?)
    }
}

#[uniffi::export]
impl Workshop {
    /// How the person at this device works.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn preferences(&self) -> Result<Preferences> {
        Ok(self.inner().preferences()?.into())
    }

    /// Keeps how the person at this device works, and speaks so from now on: every text of this
    /// workshop and its instruments is in that language and those units, also after it is opened
    /// again. What belongs to no workshop (`parse_reading`, `tool_label`) goes along, until another
    /// workshop of the process says otherwise.
    ///
    /// # Errors
    /// `BadInput` for a language that the library does not speak, an A4 outside its limits, or parts
    /// of an inch that no rule has: everything stays as it was; when the store cannot be written.
    pub fn set_preferences(&self, preferences: Preferences) -> Result<()> {
        self.voice.is_asked();
        let preferences = preferences.typed()?;
        self.inner().set_preferences(&preferences)?;
        self.voice.prefers(&preferences);
        Ok(())
    }
}
