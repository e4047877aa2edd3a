//! The numbers card: what was read last, beside what is wanted.

use fallaway::text::names;

use crate::estimate;
use crate::mirror::mirror;
use crate::observe::Wanted;
use crate::voice::say;
use crate::{
    Estimate, Instrument, Location, Moment, Quantity, ReadingKind, Result, SetupId, SetupName, Tool,
};

mirror! {
    /// How a reading lies to its target.
    CardStanding = fallaway::CardStanding {
        /// Within the tolerance.
        Within,
        /// Outside the tolerance by the numbers, but not by more than the reading can tell: "the same,
        /// as far as your rule can tell".
        SameAsFarAsReadable,
        /// Above the tolerance.
        Above,
        /// Below the tolerance.
        Below,
        /// Something has been done since the reading that disturbs it: measure again.
        MeasureAgain,
        /// The target has two values: there is nothing to compare with until one is settled on.
        TwoValues,
        /// There is no target to compare with.
        NoTarget,
        /// There is a target, and nothing was read.
        NotRead,
        /// Both are there, and the reading is a bound that does not tell on which side of the target it
        /// lies.
        CannotTell,
    }
}

/// The last reading of one quantity at one place.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LastReading {
    /// What was read, as it was written, with what a reading like it can tell.
    pub value: Estimate,
    /// What kind of reading it is: a bound is only one side.
    pub kind: ReadingKind,
    /// With which tool; `None` if that was not said.
    pub tool: Option<Tool>,
    /// When, by the reader's clock.
    pub at: Moment,
    /// Who read it; `None` if that was not said.
    pub by: Option<String>,
    /// Something has been done since that disturbs it: measure again.
    pub stale: bool,
}

/// One line of the card.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CardLine {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// The same in words: "action at fret 12, open".
    pub quantity_text: String,
    /// Which string, which side, or the whole instrument.
    pub location: Location,
    /// The place in words: "4 (E)".
    pub place_text: String,
    /// What was read last.
    pub last: Option<LastReading>,
    /// The target; `None` if there is none.
    pub target: Option<Wanted>,
    /// How the one lies to the other.
    pub standing: CardStanding,
}

/// The numbers of an instrument, for a screen that is read at arm's length.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Card {
    /// The instrument's name.
    pub name: String,
    /// The setup whose targets are shown; `None` if the instrument has none.
    pub setup: Option<SetupName>,
    /// All setups of the instrument, to switch between; empty if there are none.
    pub setups: Vec<SetupName>,
    /// The lines, relief first, then action, from the highest-pitched string to the lowest.
    pub lines: Vec<CardLine>,
    /// When the numbers were read, in words: the newest of them, and what was not measured since an
    /// earlier day, on which the neck may have stood otherwise. `None` if nothing was read.
    pub read_when_text: Option<String>,
    /// How many photos the instrument has, crossed out ones left out: a sign on the card, and the way to
    /// `photos`.
    pub photos: u32,
}

#[uniffi::export]
impl Instrument {
    /// The numbers card: last readings beside the targets of a setup (`None`: the default
    /// one). Fast: it does not load the record.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the store cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn card(&self, setup: Option<SetupId>) -> Result<Card> {
        let card = self.inner().card(setup.as_ref().map(|id| &id.0))?;
        let read_when_text = card.read_when().as_ref().map(say);
        Ok(Card {
            read_when_text,
            photos: card.photos,
            name: card.name,
            setup: card.setup.map(SetupName::from),
            setups: card.setups.into_iter().map(SetupName::from).collect(),
            lines: card.lines.into_iter().map(line).collect(),
        })
    }
}

fn line(line: fallaway::CardLine) -> CardLine {
    CardLine {
        quantity: line.quantity.into(),
        quantity_text: say(&names::quantity(line.quantity)),
        location: line.location.into(),
        place_text: say(&line.place),
        last: line.last.as_ref().map(last),
        target: line.target.map(|target| Wanted {
            value: Estimate::entered(target.wanted, line.quantity.into()),
            tolerance: Estimate::entered(target.tolerance, line.quantity.into()),
            posture: None,
            by: target.by,
            at: Some(target.at.into()),
        }),
        standing: line.standing.into(),
    }
}

fn last(last: &fallaway::LastReading) -> LastReading {
    LastReading {
        value: estimate::of_reading(last.reading, last.tool, last.quantity.into()),
        kind: last.reading.into(),
        tool: last.tool.map(Tool::from),
        at: last.at.into(),
        by: last.by.clone(),
        stale: last.stale,
    }
}
