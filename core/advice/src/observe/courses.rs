//! What is said of a course that has several strings is said of each of them: the one number of a pair that was
//! read or is wanted as a pair.

use std::borrow::Cow;

use fallaway_measure::{Location, StringPlace};
use fallaway_record::PassReading;

use super::facts::Facts;
use super::input::{Event, EventKind, TargetState};
use super::intervention::InterventionKind;

/// The strings of a course; `None` where it is one string, or a single string is named.
fn members(facts: &Facts, location: Location) -> Option<Vec<StringPlace>> {
    let Location::Course(place) = location else { return None };
    if place.member().is_some() {
        return None;
    }
    let of_it = facts.strings.iter().map(|string| string.place);
    let of_it = of_it.filter(|one| one.number() == place.number() && one.member().is_some());
    let of_it: Vec<StringPlace> = of_it.collect();
    (!of_it.is_empty()).then_some(of_it)
}

/// Readings and what was done of whole courses, as of their strings.
pub(super) fn spread_events(facts: &Facts, events: &mut [Event<'_>]) {
    if !has_courses(facts) {
        return;
    }
    for event in events {
        match &mut event.what {
            EventKind::Pass(pass) => {
                if pass.readings.iter().all(|read| members(facts, read.location).is_none()) {
                    continue;
                }
                let spread = pass.readings.iter().flat_map(|read| {
                    let places = members(facts, read.location);
                    let each = places.into_iter().flatten().map(Location::Course);
                    let each: Vec<Location> = each.collect();
                    let each = if each.is_empty() { vec![read.location] } else { each };
                    each.into_iter().map(|location| PassReading { location, reading: read.reading })
                });
                pass.readings = Cow::Owned(spread.collect());
            }
            EventKind::Done(done)
                if matches!(
                    done.kind,
                    InterventionKind::Strings | InterventionKind::Tuning | InterventionKind::Nut
                ) =>
            {
                let spread = done.places.iter().flat_map(|place| {
                    let own = members(facts, Location::Course(*place));
                    own.unwrap_or_else(|| vec![*place])
                });
                done.places = spread.collect();
            }
            _ => {}
        }
    }
}

/// Targets of whole courses, as of their strings; a target of a single string goes before.
pub(super) fn spread_targets(facts: &Facts, targets: Vec<TargetState>) -> Vec<TargetState> {
    if !has_courses(facts) {
        return targets;
    }
    let has = |of| targets.iter().any(|target| target.measurand == of);
    let spread = targets.iter().flat_map(|target| {
        let Some(places) = members(facts, target.measurand.location) else {
            return vec![target.clone()];
        };
        let each = places.into_iter().map(|place| {
            let mut of_string = target.clone();
            of_string.measurand.location = Location::Course(place);
            of_string
        });
        each.filter(|one| !has(one.measurand)).collect()
    });
    spread.collect()
}

fn has_courses(facts: &Facts) -> bool {
    facts.strings.iter().any(|string| string.place.member().is_some())
}
