//! Drawings of what lies side by side across the strings: saddles, intonation, spacing.

use std::collections::HashMap;

use fallaway_advice::observe::{Estimate, Facts, Measurand, of_spec};
use fallaway_measure::{Fret, Location, Quantity, StringPlace};
use fallaway_mechanics::units::as_mm;
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::BoardCurve;
use fallaway_record::{EntryBody, InstrumentSpec, SetupId};
use fallaway_sheet::{BoardArc, Gap, IntonationRow, RowString, SaddleRow, Scene, SpacingGap};
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, Voice, names};

use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::showing::card::{CardLine, CardStanding};
use crate::showing::drawings::{gap, moves};
use crate::showing::views::HistoryFilter;

impl Instrument {
    /// The row of the strings against the curve of the board, over the fret at which most actions are
    /// read: read against wanted, and the radius on which the undersides lie.
    ///
    /// # Errors
    /// [`Error::BadInput`] where the spread of the strings at nut or bridge is not written down;
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record cannot be read.
    pub fn draw_saddles(&self, setup: Option<&SetupId>, voice: &Voice) -> Result<Scene> {
        let (card, spec) = (self.card(setup)?, self.details()?.spec);
        let facts = of_spec(&spec);
        let is_action =
            |of: Quantity| matches!(of, Quantity::Gap { over, .. } if over.number() > 3);
        let actions = || card.lines.iter().map(|line| line.quantity).filter(|of| is_action(*of));
        let count = |of: Quantity| actions().filter(|other| *other == of).count();
        // Nothing read and nothing wanted: the board over its last fret.
        let over = spec.last_fret().unwrap_or(Fret::OPEN);
        let none = Quantity::Gap { stopped: Fret::OPEN, over };
        let quantity = actions().max_by_key(|of| count(*of)).unwrap_or(none);
        let over = match quantity {
            Quantity::Gap { over, .. } => over.number(),
            _ => 0,
        };
        let unset = |name: &'static str| Error::unwritten(name, say::not_set(name.to_owned()));
        let missing = if spec.nut_spread.is_none() { "nut-spread" } else { "bridge-spread" };
        let mut strings = Vec::new();
        for place in spec.places() {
            let at_bridge = facts.string(place).and_then(|string| string.offset_mm);
            let offset = at_bridge.and_then(|at| facts.offset_over(at, f64::from(over)));
            let here = |line: &&CardLine| {
                (line.quantity, line.location) == (quantity, Location::Course(place))
            };
            strings.push(RowString {
                name: names::string_label(&spec, place),
                offset_mm: offset.ok_or_else(|| unset(missing))?,
                action: card.lines.iter().find(here).map_or_else(|| empty(quantity), gap),
            });
        }
        let row = SaddleRow { quantity, board: board(&spec, over), strings };
        Ok(fallaway_sheet::saddles(&row, voice))
    }

    /// Intonation before and after the last thing that was done to each string.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record cannot be read.
    pub fn draw_intonation(&self, setup: Option<&SetupId>, voice: &Voice) -> Result<Scene> {
        let (card, spec) = (self.card(setup)?, self.details()?.spec);
        let mut read = self.before_and_after(&of_spec(&spec))?;
        let rows = card.lines.iter().filter_map(|line| {
            let (Quantity::Intonation { fret }, Location::Course(place)) =
                (line.quantity, line.location)
            else {
                return None;
            };
            let measurand = Measurand { quantity: line.quantity, location: line.location };
            let (before, after) = read.remove(&measurand).unwrap_or_default();
            Some(IntonationRow {
                string: names::string_label(&spec, place),
                fret: fret.number(),
                before,
                after,
                wanted: line.target.as_ref().map(|target| (target.wanted, target.tolerance)),
                two_values: line.standing == CardStanding::TwoValues,
            })
        });
        Ok(fallaway_sheet::intonation(&rows.collect::<Vec<_>>(), voice))
    }

    /// String spacing at nut and bridge, read against wanted.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record cannot be read.
    pub fn draw_spacing(&self, setup: Option<&SetupId>, voice: &Voice) -> Result<Scene> {
        let (card, spec) = (self.card(setup)?, self.details()?.spec);
        let of = |quantity: Quantity, place: StringPlace| {
            let here = |line: &&CardLine| {
                (line.quantity, line.location) == (quantity, Location::Course(place))
            };
            card.lines.iter().find(here).map_or_else(|| empty(quantity), gap)
        };
        let places = spec.places();
        let gaps = places.iter().zip(places.iter().skip(1)).map(|(from, to)| SpacingGap {
            between: (names::string_label(&spec, *from), names::string_label(&spec, *to)),
            nut: of(Quantity::SpacingNut, *from),
            bridge: of(Quantity::SpacingBridge, *from),
        });
        Ok(fallaway_sheet::spacing(&gaps.collect::<Vec<_>>(), voice))
    }

    /// Of each intonation what was read before the last thing done that moves it, and what after it.
    fn before_and_after(&self, facts: &Facts) -> Result<HashMap<Measurand, BeforeAndAfter>> {
        let hidden = HistoryFilter { hide_retracted: true, ..HistoryFilter::default() };
        let mut all = self.history(&hidden)?;
        all.put_in_order_by_key(|view| view.entry.at.unix_s);
        let mut read: HashMap<Measurand, BeforeAndAfter> = HashMap::new();
        for view in &all {
            if let EntryBody::Pass(pass) = &view.entry.body
                && matches!(pass.quantity, Quantity::Intonation { .. })
            {
                for one in &pass.readings {
                    let of = Measurand { quantity: pass.quantity, location: one.location };
                    let known = Estimate::of_reading(one.reading, pass.tool);
                    let said = names::reading(one.reading);
                    read.entry(of).or_default().1 = known.map(|known| (known, said));
                }
                continue;
            }
            for (of, (before, after)) in &mut read {
                if after.is_some() && moves(&view.entry.body, *of, facts) {
                    *before = after.take();
                }
            }
        }
        Ok(read)
    }
}

/// What was read before, and after.
type BeforeAndAfter = (Option<(Estimate, Phrase)>, Option<(Estimate, Phrase)>);

/// A gap of which nothing is known.
fn empty(quantity: Quantity) -> Gap {
    Gap { quantity, read: None, before: None, wanted: None, two_values: false, out_of_date: false }
}

/// The board's curve at a fret; between the nut and the last fret it grows evenly.
fn board(spec: &InstrumentSpec, fret: u8) -> BoardArc {
    let along = |fret: u8| 1.0 - (-f64::from(fret) / 12.0).exp2();
    let radius = match spec.board {
        None => return BoardArc::Unwritten,
        Some(BoardCurve::Flat) => return BoardArc::Flat,
        Some(BoardCurve::Cylinder(radius)) => radius.length().map(as_mm),
        Some(BoardCurve::Compound { nut, last_fret }) => {
            let last = spec.last_fret().map_or(fret, Fret::number).max(1);
            let ends = nut.length().map(as_mm).zip(last_fret.length().map(as_mm));
            ends.map(|(nut, end)| nut + (end - nut) * (along(fret) / along(last)).min(1.0))
        }
    };
    radius.map_or(BoardArc::Unwritten, BoardArc::Radius)
}
