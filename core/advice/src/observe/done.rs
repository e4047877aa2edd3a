//! What was done, entry by entry, with the seasons that came by themselves.

use fallaway_record::EntryId;

use super::input::{Event, EventKind, Input};
use super::intervention::{Intervention, InterventionKind};

/// A step of relative humidity, in points, that counts as a season (common practice, no source).
pub(crate) const SEASON_POINTS: f64 = 15.0;
/// Hours in one climate before it counts (common practice, no source).
pub(crate) const ACCLIMATISED_H: f64 = 24.0;

/// An intervention with its place in the record.
#[derive(Debug, Clone)]
pub(crate) struct Done {
    /// The position of its entry in the list of events.
    pub(crate) event: usize,
    pub(crate) entry: EntryId,
    pub(crate) intervention: Intervention,
    /// Since when the intervention's cause was there, for what came about by itself: readings after it
    /// already know it.
    pub(crate) since_unix_s: Option<i64>,
}

/// Whether a reading was taken in the knowledge of an intervention.
pub(crate) fn knows(input: &Input<'_>, index: usize, event: &Event<'_>, done: &Done) -> bool {
    input.causality.precedes(done.event, index)
        || done.since_unix_s.is_some_and(|since| event.at.unix_s >= since)
}

/// Of events that are asked about in the order of the record: what was done before each that it did not know of.
/// An event that knows of an earlier one knows all that was known there, so that little is looked at twice.
pub(crate) struct UnknownTo<'d, 'i> {
    input: &'d Input<'i>,
    done: &'d [Done],
    /// An event, and the positions of what was done before it and is not in its past.
    at: Option<(usize, Vec<usize>)>,
}

impl<'d, 'i> UnknownTo<'d, 'i> {
    /// `done` as [`interventions`] gives it.
    pub(crate) const fn new(input: &'d Input<'i>, done: &'d [Done]) -> Self {
        Self { input, done, at: None }
    }

    /// What was done before an event without its knowledge.
    pub(crate) fn event(&mut self, index: usize) -> impl Iterator<Item = &'d Done> {
        let causality = self.input.causality;
        let past = self.at.take().filter(|(earlier, _)| causality.precedes(*earlier, index));
        let (from, apart) = past.map_or((0, Vec::new()), |(earlier, apart)| {
            (self.done.partition_point(|d| d.event <= earlier), apart)
        });
        let to = self.done.partition_point(|d| d.event <= index).max(from);
        let unknown =
            |&d: &usize| self.done.get(d).is_some_and(|d| !causality.precedes(d.event, index));
        let apart: Vec<usize> = apart.into_iter().chain(from..to).filter(unknown).collect();
        self.at = Some((index, apart.clone()));
        let event = self.input.events.get(index);
        let (input, done) = (self.input, self.done);
        let found = apart.into_iter().filter_map(move |d| done.get(d));
        found.filter(move |d| event.is_some_and(|event| !knows(input, index, event, d)))
    }
}

/// Everything that was done, seasons among it.
pub(crate) fn interventions(input: &Input<'_>) -> Vec<Done> {
    with_seasons(input).0
}

/// Everything that was done, seasons among it, and the humidity that the next season is told by.
pub(crate) fn with_seasons(input: &Input<'_>) -> (Vec<Done>, Option<f64>) {
    let mut humidity: Option<f64> = None;
    let mut interventions = Vec::new();
    for (index, event) in live(input) {
        match &event.what {
            EventKind::Done(intervention) => {
                interventions.push(Done {
                    event: index,
                    entry: event.entry,
                    intervention: intervention.clone(),
                    since_unix_s: None,
                });
            }
            EventKind::Climate {
                humidity_percent: Some(now), hours_there: Some(hours), ..
            } if *hours >= ACCLIMATISED_H => {
                if humidity.is_some_and(|before| (now - before).abs() >= SEASON_POINTS) {
                    let there_s = (hours * 3600.0) as i64;
                    interventions.push(Done {
                        event: index,
                        entry: event.entry,
                        intervention: Intervention::whole(InterventionKind::Season),
                        since_unix_s: Some(event.at.unix_s.saturating_sub(there_s)),
                    });
                    humidity = Some(*now);
                } else if humidity.is_none() {
                    humidity = Some(*now);
                }
            }
            _ => {}
        }
    }
    (interventions, humidity)
}

/// Entries that are not crossed out, with their positions.
pub(crate) fn live<'i>(input: &'i Input<'i>) -> impl Iterator<Item = (usize, &'i Event<'i>)> {
    input.events.iter().enumerate().filter(|(_, e)| !e.retracted)
}
