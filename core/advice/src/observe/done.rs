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
