//! What is known of single crowns, from what was found at the frets.

use fallaway_measure::StringPlace;
use fallaway_mechanics::units::as_mm;
use fallaway_record::{FretFinding, FretState};

use super::input::{EventKind, Input};
use super::intervention::InterventionKind;

/// The last finding of each fret since the frets were worked on, in the order in which they were found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Crowns(Vec<FretFinding>);

impl Crowns {
    /// What the record says.
    pub fn of(input: &Input<'_>) -> Self {
        let mut known: Vec<FretFinding> = Vec::new();
        for event in input.events.iter().filter(|event| !event.retracted) {
            match &event.what {
                EventKind::Done(done) if done.kind == InterventionKind::Frets => known.clear(),
                EventKind::Fret(found) => {
                    // A finding all along a fret takes the place of every earlier one there.
                    let again = |old: &FretFinding| {
                        old.fret == found.fret
                            && (found.strings.is_empty() || old.strings == found.strings)
                    };
                    known.retain(|old| !again(old));
                    known.push((*found).clone());
                }
                _ => {}
            }
        }
        Self(known)
    }

    /// The findings, in the order in which they were found.
    pub fn findings(&self) -> &[FretFinding] {
        &self.0
    }

    /// The last finding of a fret that holds for a string.
    pub fn at(&self, fret: u8, place: StringPlace) -> Option<&FretFinding> {
        self.under(place).filter(|found| found.fret.number() == fret).last()
    }

    /// The findings that hold for a string.
    pub fn under(&self, place: StringPlace) -> impl Iterator<Item = &FretFinding> {
        let holds =
            move |one: &&FretFinding| one.strings.is_empty() || one.strings.contains(&place);
        self.0.iter().filter(holds)
    }

    /// How far each crown from fret 1 to the last stands above the line through its neighbours under a
    /// string, in mm; `None` if no height was noted.
    pub fn offsets_mm(&self, place: StringPlace, last: u8) -> Option<Vec<f64>> {
        let offset = |fret: u8| {
            let found = self.at(fret, place)?;
            let by = as_mm(found.by?.length()?);
            match found.state {
                FretState::High | FretState::Lifting => Some(by),
                FretState::Worn => Some(-by),
                FretState::Level | FretState::Other(_) => None,
            }
        };
        let offsets: Vec<Option<f64>> = (1..=last).map(offset).collect();
        let any = offsets.iter().any(Option::is_some);
        any.then(|| offsets.into_iter().map(Option::unwrap_or_default).collect())
    }
}
