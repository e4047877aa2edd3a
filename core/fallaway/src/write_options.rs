//! What may be said beside anything that is written: when it happened, who did it, and which doubts
//! the person has answered.

use fallaway_measure::{Location, Quantity, Reading};
use fallaway_record::Moment;
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

/// One reading that looks like a slip.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// Where.
    pub location: Location,
    /// What was read.
    pub reading: Reading,
    /// Why it looks wrong, with what is usual.
    pub reason: Phrase,
    /// In which of the entries that were given together, counted from 1, if it was one of several.
    pub entry: Option<usize>,
}

impl Doubt {
    /// Which reading it is about, in one text: the same whenever that reading is doubted.
    pub fn id(&self) -> String {
        format!("{} / {} / {}", self.quantity, self.location, self.reading)
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
