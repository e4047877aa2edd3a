//! What may be said beside anything that is written: when it happened, who did it, and which doubts
//! the person has answered.

use fallaway_measure::{Amount, Location, Quantity, Reading};
use fallaway_record::{Adjustment, Climate, Moment, SpecField};
use fallaway_text::Phrase;

/// When something happened and who did it; what is not said is as usual. `Some("tech")` stands for
/// options that say only who, `None` for none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WriteOptions {
    /// When it happened, if not now: a page of a notebook, a reading of yesterday. It belongs to the
    /// visit of that time.
    pub at: Option<Moment>,
    /// Who read it or did it, if not the person at the device.
    pub by: Option<String>,
    /// The doubts that the person has answered with yes.
    pub accept: Accept,
}

/// Which doubts do not stand in the way.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Accept {
    /// None: the call answers [`crate::Error::Unsure`] with what to ask the person.
    #[default]
    None,
    /// These, by their ids ([`Doubt::id`]), as [`crate::Error::Unsure`] named them. Any other is
    /// asked about.
    These(Vec<String>),
    /// All: whoever writes is sure of everything that can be.
    All,
}

impl WriteOptions {
    /// Of now, by whoever is at the device, sure of everything.
    pub fn sure() -> Self {
        Self { accept: Accept::All, ..Self::default() }
    }

    /// The same by somebody else.
    #[must_use]
    pub fn by(mut self, who: impl Into<String>) -> Self {
        self.by = Some(who.into());
        self
    }

    /// The same of another time.
    #[must_use]
    pub fn at(mut self, at: Moment) -> Self {
        self.at = Some(at);
        self
    }

    /// The same with these doubts answered.
    #[must_use]
    pub fn accepting(mut self, doubts: &[Doubt]) -> Self {
        self.accept = Accept::These(doubts.iter().map(Doubt::id).collect());
        self
    }
}

impl From<Option<&str>> for WriteOptions {
    fn from(by: Option<&str>) -> Self {
        Self { by: by.map(str::to_owned), ..Self::default() }
    }
}

impl From<&Self> for WriteOptions {
    fn from(options: &Self) -> Self {
        options.clone()
    }
}

/// What a question is about.
#[derive(Debug, Clone, PartialEq)]
pub enum DoubtAbout {
    /// A reading of a pass.
    Reading {
        /// What was read, and which way.
        quantity: Quantity,
        /// Of which string or side, or of the whole instrument.
        location: Location,
        /// What was read.
        reading: Reading,
    },
    /// A target of a setup.
    Target {
        /// What is wanted, and which way it is read.
        quantity: Quantity,
        /// For which string or side, or for the whole instrument.
        location: Location,
        /// What is wanted.
        wanted: Amount,
    },
    /// A fact of the instrument.
    Fact(SpecField),
    /// What was turned or moved.
    Adjustment(Adjustment),
    /// The air around the instrument.
    Climate(Climate),
}

/// Why a value looks like a slip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WhyDoubted {
    /// It lies outside of what is usual.
    Unusual,
    /// Several values that were given together run the other way, as if counted from the wrong side.
    WrongOrder,
    /// A screw was turned further than in one go.
    TurnedFar,
    /// A part was moved further than in one go.
    MovedFar,
    /// The part moved against the way in which its screw is known to work.
    AgainstScrew,
}

/// One value that looks like a slip.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// What it is about.
    pub about: DoubtAbout,
    /// What was given, as it is shown: "60 thou".
    pub given: Phrase,
    /// Why it looks wrong, with what is usual.
    pub reason: Phrase,
    /// The same as data.
    pub why: WhyDoubted,
    /// From where to where it is usual, if that is an amount.
    pub usual: Option<(Amount, Amount)>,
    /// In which of the entries that were given together, counted from 1, if it was one of several.
    pub entry: Option<usize>,
}

impl Doubt {
    pub(crate) fn new(
        about: DoubtAbout,
        given: impl Into<Phrase>,
        reason: impl Into<Phrase>,
        why: WhyDoubted,
    ) -> Self {
        Self { about, given: given.into(), reason: reason.into(), why, usual: None, entry: None }
    }

    /// One that lies outside of what is usual, which is from one amount to another.
    pub(crate) fn unusual(
        about: DoubtAbout,
        given: impl Into<Phrase>,
        reason: impl Into<Phrase>,
        usual: (Amount, Amount),
    ) -> Self {
        Self { usual: Some(usual), ..Self::new(about, given, reason, WhyDoubted::Unusual) }
    }

    /// Which value it is about, in one text: the same whenever that value is doubted.
    pub fn id(&self) -> String {
        match &self.about {
            DoubtAbout::Reading { quantity, location, reading } => {
                format!("{quantity} / {location} / {reading}")
            }
            DoubtAbout::Target { quantity, location, wanted } => {
                format!("target / {quantity} / {location} / {wanted}")
            }
            DoubtAbout::Fact(field) => {
                // The English of the reason tells two questions about one fact apart.
                format!("fact / {} / {} / {}", field.key(), self.given, self.reason)
            }
            DoubtAbout::Adjustment(_) => format!("did / {} / {}", self.given, self.reason),
            DoubtAbout::Climate(_) => format!("climate / {}", self.given),
        }
    }

    /// What was read or is wanted, if it is about that.
    pub fn quantity(&self) -> Option<Quantity> {
        match self.about {
            DoubtAbout::Reading { quantity, .. } | DoubtAbout::Target { quantity, .. } => {
                Some(quantity)
            }
            DoubtAbout::Fact(_) | DoubtAbout::Adjustment(_) | DoubtAbout::Climate(_) => None,
        }
    }

    /// Where, if it is about something read or wanted.
    pub fn location(&self) -> Option<Location> {
        match self.about {
            DoubtAbout::Reading { location, .. } | DoubtAbout::Target { location, .. } => {
                Some(location)
            }
            DoubtAbout::Fact(_) | DoubtAbout::Adjustment(_) | DoubtAbout::Climate(_) => None,
        }
    }
}

impl Accept {
    /// Those that the person has still to be asked about.
    pub(crate) fn left(&self, mut doubts: Vec<Doubt>) -> Vec<Doubt> {
        match self {
            Self::None => {}
            Self::These(known) => doubts.retain(|doubt| !known.contains(&doubt.id())),
            Self::All => doubts.clear(),
        }
        doubts
    }
}

/// One value of several that were given together: where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// In which of the entries that were given, counted from 1.
    pub entry: Option<usize>,
    /// In which column of a table, by its heading.
    pub column: Option<String>,
    /// Which of the values that were given, counted from 1; in a table its row, as the file counts.
    pub position: Option<usize>,
    /// Where on the instrument it was read.
    pub location: Option<Location>,
}
