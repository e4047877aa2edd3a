//! What was learned and what is forecast, a sentence each.

use std::fmt::Write as _;

use fallaway_measure::ToolKind;

use super::plan::{capital, kind_word, measurand, moment, number, quantity, read};
use crate::clearance::TouchBounds;
use crate::learn::touch::{BoundSide, TouchHeard, TouchObserved};
use crate::learn::{
    Forecast, Interval, Learned, LearnedValue, LeftOut, PlayerTouch, ReaderLearned, TensionLearned,
};
use crate::observe::{COVERAGE, Estimate, Facts};

/// What was learned, a sentence each: the estimate with its interval, what it rests on, the prior, and
/// what was left out.
pub fn learned(learned: &Learned, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    let quarter = |w: Interval| {
        format!(
            "{} a quarter turn",
            span(Interval { value: w.value / 4.0, low: w.low / 4.0, high: w.high / 4.0 })
        )
    };
    let rod = &learned.rod;
    let way = learned.less_relief.map_or_else(
        || "Which way it turns for less relief has not been shown.".to_owned(),
        |d| format!("Less relief is {d}."),
    );
    if rod.observations == 0 {
        said.push(format!(
            "Truss rod: nothing learned yet. Usual is {} (common practice, from memory). {way}",
            quarter(rod.prior)
        ));
    } else {
        said.push(format!(
            "Truss rod: {} of relief (two chances in three), learned from {} before and after; it \
             started from {} (common practice, from memory). {way}",
            quarter(rod.estimate),
            counted(rod.observations, "pair of readings", "pairs of readings"),
            quarter(rod.prior)
        ));
    }
    exclusions(&mut said, &rod.excluded);
    match &learned.season {
        None => said.push(
            "Season: nothing learned yet: no relief was read near a noted climate.".to_owned(),
        ),
        Some(season) => {
            let lesson = &season.per_percent;
            let told = if season.told { "" } else { " The record does not tell it from none." };
            said.push(format!(
                "Season: relief ({}) changes by {} for each percentage point of moisture in the wood, \
                 learned from {} at moistures from {:.1} % to {:.1} %, allowing by a rule of thumb \
                 for wood that is not quite what the noted airs say; it started from {}.{told}",
                quantity(season.way.quantity),
                signed(lesson.estimate),
                counted(lesson.observations, "reading", "readings"),
                season.seen_percent.0,
                season.seen_percent.1,
                signed(lesson.prior),
            ));
            exclusions(&mut said, &lesson.excluded);
        }
    }
    if let Some(pull) = &learned.tension {
        pull_sentences(&mut said, pull);
    }
    for reader in &learned.readers {
        reader_sentences(&mut said, reader);
    }
    for touch in &learned.touch {
        touch_sentences(&mut said, touch, facts);
    }
    said
}

fn pull_sentences(said: &mut Vec<String>, pull: &TensionLearned) {
    let lesson = &pull.per_newton;
    let ten = |w: Interval| {
        signed(Interval { value: w.value * 10.0, low: w.low * 10.0, high: w.high * 10.0 })
    };
    if lesson.observations == 0 {
        // Without a change of the pull there is nothing to tell.
        exclusions(said, &lesson.excluded);
        return;
    }
    let told = if pull.told { "" } else { " The record does not tell it from none." };
    said.push(format!(
        "Strings: relief changes by {} for each 10 N more of their pull, learned from {} with the relief \
         read before and after; it started from {} (common practice, no source).{told}",
        ten(lesson.estimate),
        counted(lesson.observations, "change of strings or tuning", "changes of strings or tuning"),
        ten(lesson.prior)
    ));
    exclusions(said, &lesson.excluded);
}

fn touch_sentences(said: &mut Vec<String>, touch: &PlayerTouch, facts: &Facts) {
    let who = capital(&touch.by);
    let LearnedValue { observations, prior, excluded, .. } = &touch.force;
    if *observations == 0 {
        said.push(format!(
            "{who}'s touch: nothing learned yet. Assumed is {} at right angles to the board (common \
             practice, no source).",
            newtons(*prior)
        ));
    } else {
        let buzzes = touch.observed.iter().filter(|o| o.bound.side == BoundSide::AtLeast).count();
        let clean = observations - buzzes;
        let mut of = Vec::new();
        if clean > 0 {
            of.push(counted(clean, "string that plays clean", "strings that play clean"));
        }
        if buzzes > 0 {
            of.push(counted(buzzes, "note of a buzz", "notes of a buzz"));
        }
        said.push(format!(
            "{who}'s touch: {} at right angles to the board, by the clearance model, learned from {}; \
             it started from {} (common practice, no source). {}",
            newtons(touch.force.estimate),
            of.join(" and "),
            newtons(*prior),
            sides(touch.sides)
        ));
        for side in [BoundSide::AtLeast, BoundSide::AtMost] {
            if let Some(one) = touch.tightest(side) {
                said.push(observed(one, &who, facts));
            }
        }
    }
    exclusions(said, excluded);
}

/// From which sides a touch is held, a sentence.
pub(crate) const fn sides(sides: TouchBounds) -> &'static str {
    match sides {
        TouchBounds::Neither => "No observation bounds it.",
        TouchBounds::AtMost => {
            "Bounded from above only, by what played clean: the low end rests on where it started from."
        }
        TouchBounds::AtLeast => {
            "Bounded from below only, by what buzzed: the high end rests on where it started from."
        }
        TouchBounds::Both => "Bounded from both sides, by what buzzed and by what played clean.",
        TouchBounds::Contradict => {
            "What buzzed and what played clean contradict each other by the model; the interval \
             covers both."
        }
    }
}

/// What an observation says, and what it rests on.
fn observed(one: &TouchObserved, who: &str, facts: &Facts) -> String {
    let string = facts.name(one.place);
    let (newton, when) = (one.bound.newton, moment(one.at));
    let told = match one.heard {
        TouchHeard::Clean { to } => format!(
            "{who} plays no harder than {newton:.1} N by string {string}, of which no buzz was noted \
             up to fret {to} ({when})"
        ),
        TouchHeard::Buzz { from, to } => {
            let frets =
                if from == to { format!("fret {from}") } else { format!("frets {from} to {to}") };
            format!(
                "{who} plays at least {newton:.1} N by the buzz of string {string}, {frets} ({when})"
            )
        }
    };
    format!("{told}. {} {}", read(&one.action, facts, None), read(&one.relief, facts, None))
}

/// "1.5 N (0.4 N to 6.0 N)".
pub(crate) fn newtons(w: Interval) -> String {
    format!("{:.1} N ({:.1} N to {:.1} N)", w.value, w.low, w.high)
}

fn reader_sentences(said: &mut Vec<String>, reader: &ReaderLearned) {
    let who = match &reader.by {
        Some(by) => capital_by(by, reader.tool),
        None => capital_by("unnamed", reader.tool),
    };
    let LearnedValue { observations, estimate, prior, excluded } = &reader.repeatability;
    if *observations > 0 {
        said.push(format!(
            "{who}: one reading repeats within {} (one standard deviation), learned from {}; it \
             started from {:.2} mm, the tool's stated uncertainty.",
            span(*estimate),
            counted(*observations, "repeated reading", "repeated readings"),
            prior.value
        ));
    }
    exclusions(said, excluded);
    if reader.offset.observations > 0 {
        said.push(format!(
            "{who}: reads {} against the other readers and tools, learned from {}; it started from {}.",
            signed(reader.offset.estimate),
            counted(reader.offset.observations, "comparison", "comparisons"),
            signed(reader.offset.prior)
        ));
    }
}

fn capital_by(by: &str, tool: Option<ToolKind>) -> String {
    let tool = kind_word(tool);
    capital(&format!("{by} with {tool}"))
}

fn exclusions(said: &mut Vec<String>, excluded: &[LeftOut]) {
    for each in excluded {
        let when = moment(each.at);
        said.push(format!("Left out: the entry of {when}, because: {}.", each.why));
    }
}

/// A forecast, a sentence for each air and string.
pub fn forecast(forecast: &Forecast, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    for there in &forecast.there {
        let mut line = format!(
            "{}: relief ({}) {} by what this instrument has shown of the seasons (moisture in the \
             wood {:.1} %), rod and strings as they are: a forecast.",
            there.air.name,
            quantity(forecast.season.way.quantity),
            span(there.relief),
            there.moisture_percent
        );
        if there.beyond_record {
            line.push_str(" Drier or damper than the record has seen.");
        }
        if let Some(turn) = there.pack {
            let way = if there.more_relief { "more" } else { "less" };
            if turn.eighths == 0 {
                line.push_str(" Pack for leaving the rod alone.");
            } else {
                let _ = write!(line, " Pack for {turn}, for {way} relief.");
            }
        }
        said.push(line);
        for action in &there.action {
            let half = COVERAGE * action.expect.standard_uncertainty;
            let Estimate { value, .. } = action.expect;
            said.push(format!(
                "{}: {}: {} with the saddle untouched, by the model of the neck.",
                there.air.name,
                measurand(action.measurand, facts),
                span(Interval { value, low: value - half, high: value + half })
            ));
        }
    }
    if !forecast.season.told {
        said.push(
            "The record does not tell this instrument's season from none: the middle of each forecast \
             is little better than no change."
                .to_owned(),
        );
    }
    said
}

/// "0.21 mm (0.15 mm to 0.27 mm)".
fn span(w: Interval) -> String {
    let mm = |v| number(Estimate::mm(v, 0.0));
    format!("{} ({} to {})", mm(w.value), mm(w.low), mm(w.high))
}

/// "+0.021 mm (-0.010 mm to +0.052 mm)".
fn signed(w: Interval) -> String {
    format!("{:+.3} mm ({:+.3} mm to {:+.3} mm)", w.value, w.low, w.high)
}

fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("one {one}") } else { format!("{n} {many}") }
}
