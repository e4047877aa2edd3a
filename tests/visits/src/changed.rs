//! What is said to have changed from one visit to the next, what is forecast and what is learned,
//! beside the truth.

use fallaway_advice::compare::{
    ComparedAt, HowSure, InstrumentPart, PartChange, PartVerdict, WhatChanged, what_changed,
};
use fallaway_advice::learn::{ForecastClimate, forecast, learned};
use fallaway_measure::{Quantity, StringPlace};

use crate::instrument::Instrument;
use crate::log::{Log, place};

/// A neck that moved by so much relief, a saddle, a slot and a joint (at the saddles), in mm, counts as
/// something that happened.
const HAPPENED: [f64; 4] = [0.15, 0.8, 0.12, 0.3];

/// How often something that happened was named, and how often left open.
#[derive(Debug, Default, Clone, Copy)]
pub struct Named {
    /// It happened.
    pub happened: usize,
    /// It was said to have moved.
    pub named: usize,
    /// It was said that it cannot be told.
    pub open: usize,
}

/// Of statements of one strength, how many are true.
#[derive(Debug, Default, Clone, Copy)]
pub struct Said {
    /// Made.
    pub made: usize,
    /// True.
    pub right: usize,
}

impl Said {
    fn count(&mut self, right: bool) {
        self.made += 1;
        self.right += usize::from(right);
    }
}

/// Counts over comparisons.
#[derive(Debug, Default, Clone, Copy)]
pub struct Compared {
    /// Comparisons without a misreading in either visit, of which not wrongly sure of any part.
    pub clean: Said,
    /// Those with one.
    pub slipped: Said,
    /// Parts, and of how many something was said for sure.
    pub parts: Said,
    /// Neck, saddle, slot, joint.
    pub named: [Named; 4],
    /// A neck and a saddle that both moved, both named.
    pub both: Named,
    /// Parts said to have moved, which did, and that way.
    pub moved: Said,
    /// The same of those that most likely moved, and that moved by 20 to 1.
    pub likely: [Said; 2],
}

/// Counts over instruments.
#[derive(Debug, Default, Clone, Copy)]
pub struct Told {
    /// What is said at once.
    pub at_once: Compared,
    /// What is said once it has been read again as asked.
    pub after: Compared,
    /// Readings taken again.
    pub again: usize,
    /// Forecasts of relief and of action whose 95 % interval holds the truth.
    pub relief: Said,
    /// The same for actions.
    pub action: Said,
    /// Seasons learned whose 95 % interval holds the true one.
    pub season: Said,
    /// Answers of the rod learned whose 68 % interval holds the true one.
    pub rod: Said,
}

impl Told {
    /// Adds what another instrument told.
    pub fn add(&mut self, other: &Self) {
        let said = |mine: &mut Said, theirs: Said| {
            mine.made += theirs.made;
            mine.right += theirs.right;
        };
        let named = |mine: &mut Named, theirs: Named| {
            mine.happened += theirs.happened;
            mine.named += theirs.named;
            mine.open += theirs.open;
        };
        for (mine, theirs) in [(&mut self.at_once, &other.at_once), (&mut self.after, &other.after)]
        {
            said(&mut mine.clean, theirs.clean);
            said(&mut mine.slipped, theirs.slipped);
            said(&mut mine.parts, theirs.parts);
            said(&mut mine.moved, theirs.moved);
            for (mine, theirs) in mine.likely.iter_mut().zip(theirs.likely) {
                said(mine, theirs);
            }
            named(&mut mine.both, theirs.both);
            for (mine, theirs) in mine.named.iter_mut().zip(theirs.named) {
                named(mine, theirs);
            }
        }
        self.again += other.again;
        said(&mut self.relief, other.relief);
        said(&mut self.action, other.action);
        said(&mut self.season, other.season);
        said(&mut self.rod, other.rod);
    }

    /// Forecasts for the air that comes, beside the truth once the wood has followed.
    pub fn forecast(&mut self, log: &Log, made: &Instrument, humidity: f64) {
        let air = ForecastClimate {
            name: "next".into(),
            temperature_c: Some(21.0),
            humidity_percent: humidity,
        };
        let Ok(found) = log.with(|input| forecast(input, &[air])) else { return };
        let there = &found.there[0];
        self.relief.count((there.relief.low..=there.relief.high).contains(&made.relief()));
        for action in &there.action {
            let Quantity::Gap { stopped, over } = action.measurand.quantity else { continue };
            let string = usize::from(action.measurand.place().unwrap().number()) - 1;
            let ways = (usize::from(stopped.number()), usize::from(over.number()));
            let off = made.gap(string, ways.0, ways.1).1 - action.expect.value;
            self.action.count(off.abs() <= 1.96 * action.expect.standard_uncertainty);
        }
    }

    /// What the record has taught in the end.
    pub fn learned(&mut self, log: &Log, season: f64, rod: f64) {
        let found = log.with(learned);
        if let Some(slope) = found.season.map(|s| s.per_percent.estimate) {
            self.season.count((slope.low..=slope.high).contains(&season));
        }
        let turn = found.rod.estimate;
        if found.rod.observations > 1 && rod > 0.0 {
            self.rod.count((turn.low..=turn.high).contains(&rod));
        }
    }
}

/// What is said to have changed since the visit before.
pub fn since_last(log: &Log) -> Option<WhatChanged> {
    let [.., from, to] = log.visits[..] else { return None };
    let sides = (ComparedAt::AsLeft(from), ComparedAt::AsFound(to));
    log.with(|input| what_changed(input, sides.0, sides.1)).ok()
}

/// What it asks to be read once more: the one reading on which a part rests.
pub fn asked(found: &WhatChanged) -> Vec<(Quantity, Option<StringPlace>)> {
    let again = |part: &PartChange| {
        let tells = part.would_tell?;
        let one = part.rests_on_one.as_ref()?.measurand;
        (part.verdict == PartVerdict::CannotBeTold && one == tells)
            .then_some((tells.quantity, tells.place()))
    };
    let mut asked: Vec<_> = found.parts.iter().filter_map(again).collect();
    asked.sort_by_key(|(_, place)| *place);
    asked.dedup();
    asked
}

/// The true change of a part, between two numbers where both are fair.
fn truth(part: InstrumentPart, before: &Instrument, after: &Instrument) -> (f64, f64) {
    let tilt = after.tilt - before.tilt;
    let at = |place: StringPlace| usize::from(place.number()) - 1;
    let change = match part {
        InstrumentPart::Neck => after.bending().0 - before.bending().0,
        InstrumentPart::Twist => after.bending().1 - before.bending().1,
        InstrumentPart::Joint => tilt * after.lever(0),
        InstrumentPart::Saddle(place) => {
            let s = at(place);
            after.saddle_height(s) - before.saddle_height(s) + tilt * after.lever(s)
        }
        InstrumentPart::Nut(place) => {
            // Over the plane of all crowns, or over a worn first one.
            let slot = after.slots[at(place)] - before.slots[at(place)];
            return (slot, slot + before.first_crown() - after.first_crown());
        }
        InstrumentPart::Heights => {
            let of = |s| after.saddle_height(s) - before.saddle_height(s) + tilt * after.lever(s);
            let n = before.kind.strings();
            (0..n).map(of).sum::<f64>() / n as f64
        }
    };
    (change, change)
}

impl Compared {
    /// Counts one comparison.
    pub fn score(&mut self, found: &WhatChanged, slipped: bool, ends: (&Instrument, &Instrument)) {
        let of = |part| truth(part, ends.0, ends.1);
        let sure = |p: &PartChange| p.verdict != PartVerdict::CannotBeTold;
        let wrong = |p: &&PartChange| {
            let (low, high) = of(p.part);
            sure(p) && p.interval_mm.is_some_and(|(least, most)| high < least || low > most)
        };
        let is_right = !found.parts.iter().any(|p| wrong(&p));
        (if slipped { &mut self.slipped } else { &mut self.clean }).count(is_right);
        for p in &found.parts {
            self.parts.count(sure(p));
            if p.verdict == PartVerdict::Moved {
                let true_change = of(p.part).0;
                let least = if p.part == InstrumentPart::Neck { 0.02 } else { 0.05 };
                self.moved.count(true_change * p.change.value > 0.0 && true_change.abs() > least);
            }
        }
        for one in &found.likely {
            let true_change = of(one.part).0;
            let least = if one.part == InstrumentPart::Neck { 0.02 } else { 0.05 };
            let right = true_change * one.change.value > 0.0 && true_change.abs() > least;
            self.likely[usize::from(one.how_sure == HowSure::Moved)].count(right);
        }
        let verdict = |part| found.part(part).map(|p| p.verdict);
        let strings = || (0..ends.0.kind.strings()).map(place);
        let happened = |part, least: f64| of(part).0.abs() >= least;
        let mut count = |at: usize, part| {
            if happened(part, HAPPENED[at]) {
                self.named[at].count(verdict(part));
            }
        };
        count(0, InstrumentPart::Neck);
        strings().for_each(|p| count(1, InstrumentPart::Saddle(p)));
        strings().for_each(|p| count(2, InstrumentPart::Nut(p)));
        count(3, InstrumentPart::Joint);
        if happened(InstrumentPart::Neck, HAPPENED[0]) {
            let neck = verdict(InstrumentPart::Neck);
            for part in strings().map(InstrumentPart::Saddle) {
                if happened(part, HAPPENED[1]) {
                    let named = neck == Some(PartVerdict::Moved);
                    self.both.count(verdict(part).filter(|_| named));
                }
            }
        }
    }
}

impl Named {
    fn count(&mut self, verdict: Option<PartVerdict>) {
        self.happened += 1;
        self.named += usize::from(verdict == Some(PartVerdict::Moved));
        self.open += usize::from(verdict == Some(PartVerdict::CannotBeTold));
    }
}
