//! The end of the board under a string: how it falls away, or rises, by its last reading.

use fallaway_measure::{Length, Location, Quantity, Side, StringPlace};
use fallaway_mechanics::Result;
use fallaway_mechanics::conversions::StringGeometry;
use fallaway_mechanics::crowns::{EdgeWay, fallen};
use fallaway_mechanics::frets::positions;
use fallaway_mechanics::units::{as_mm, mm};

use crate::observe::{
    Bound, EventKind, Facts, InterventionKind, Measurand, Observation, ReadingIndex,
};

/// How a board ends under a string.
pub(super) struct BoardEnd {
    pub(super) seen: Observation,
    /// Beyond which fret.
    pub(super) from: u8,
    /// Where it was read.
    pub(super) at: u8,
    /// By how much it falls away there, in mm.
    pub(super) mm: f64,
    offsets: Vec<Length>,
}

/// The last fall-away that was read under a string, else of the board as a whole, else on its side; none
/// that was read before frets or neck were worked on.
pub(super) fn of(
    bench: &ReadingIndex<'_>,
    facts: &Facts,
    place: StringPlace,
    geometry: &StringGeometry,
) -> Result<Option<BoardEnd>> {
    let strings = facts.strings.len();
    let is_low =
        facts.strings.iter().position(|s| s.place == place).is_some_and(|at| 2 * at >= strings);
    let side = if is_low { Side::Bass } else { Side::Treble };
    let last = |location: Location| {
        let here = |of: &Measurand| {
            of.location == location && matches!(of.quantity, Quantity::FallAway { .. })
        };
        let read = bench.ever_read().into_iter().filter(here);
        let seen = read.filter_map(|of| bench.last_ever(of)).max_by_key(|seen| seen.event)?;
        let worked_on = [InterventionKind::Frets, InterventionKind::Neck];
        let since = bench.input.events.iter().skip(seen.event.saturating_add(1));
        let is_gone = since.filter(|event| !event.retracted).any(
            |event| matches!(&event.what, EventKind::Done(done) if worked_on.contains(&done.kind)),
        );
        (!is_gone && seen.known.bound == Bound::Value).then_some(seen)
    };
    let places = [Location::Course(place), Location::Whole, Location::Side(side)];
    let Some(seen) = places.into_iter().find_map(last) else { return Ok(None) };
    let (Quantity::FallAway { from, to, at }, Some(by)) =
        (seen.measurand.quantity, seen.known.length())
    else {
        return Ok(None);
    };
    let way = EdgeWay::new(from.number().into(), to.number().into(), at.number().into());
    let offsets = fallen(&positions(geometry.scale, geometry.frets)?, way, by.value)?;
    let (from, at, mm) = (to.number(), at.number(), as_mm(by.value));
    Ok(Some(BoardEnd { seen, from, at, mm, offsets }))
}

/// What single crowns deviate by, in mm, on a board that ends like this.
pub(super) fn together(alone: Option<Vec<f64>>, end: Option<BoardEnd>) -> Vec<Length> {
    let alone: Vec<Length> = alone.into_iter().flatten().map(mm).collect();
    match end {
        None => alone,
        Some(end) if alone.is_empty() => end.offsets,
        Some(end) => end.offsets.into_iter().zip(alone).map(|(one, other)| one + other).collect(),
    }
}
