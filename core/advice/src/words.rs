//! The plan in words. Every sentence is made from typed data and names the reading or the model it
//! rests on; apps that render the data themselves need none of it.

use std::fmt::Write as _;

use fallaway_measure::{Amount, Location, Quantity, Tool, ToolKind, Unit};
use fallaway_record::Moment;

use crate::bench::Seen;
use crate::facts::Facts;
use crate::input::Goal;
use crate::known::{Bound, COVERAGE, Known, Scale};
use crate::plan::{
    Adjust, Basis, Move, Plan, Reckoned, Remark, Row, Step, StepKind, StopReason, Verdict, Way, Why,
};
use crate::since::{Points, Since};
use crate::thing::Thing;

/// A step in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// What the step is: "action of string 4 (E), open over 12".
    pub title: String,
    /// What it comes to, in a few words: "fine", "measure again".
    pub verdict: String,
    /// What is behind it, and what to do, a sentence each.
    pub sentences: Vec<String>,
    /// What can harm.
    pub cautions: Vec<&'static str>,
}

/// A step in words.
pub fn step(step: &Step, facts: &Facts) -> Said {
    let mut sentences = Vec::new();
    if let Some(seen) = &step.seen {
        sentences.push(read(seen, facts, step.thing));
    }
    if let Some(goal) = &step.target {
        sentences.push(wanted(goal));
    }
    if let Some(compared) = &step.compared {
        match compared.rests_on {
            Basis::Reading => {}
            Basis::Converted => sentences.push(format!(
                "By the model of the neck and today's readings that is {} in the way in which the \
                 target is written.",
                give_or_take(compared.read)
            )),
            Basis::ElsewhereOnInstrument => {
                sentences.push("Read at another place than the target is written for.".to_owned());
            }
        }
        if !matches!(step.verdict, Verdict::Fine) {
            sentences.push(off(compared.off()));
        }
        sentences.extend(step.seen.as_ref().and_then(repeats));
    }
    verdict_sentences(&mut sentences, step, facts);
    sentences.extend(step.remarks.iter().map(|r| remark(r, facts)));
    Said {
        title: title(step.kind, step.thing, facts),
        verdict: verdict(step),
        sentences,
        cautions: step.cautions.iter().map(|c| c.text()).collect(),
    }
}

/// The whole plan as plain text: the next step in full, the others in a line each.
pub fn text(plan: &Plan, facts: &Facts) -> String {
    let mut out = String::new();
    // Writing into a string cannot fail.
    for fact in &plan.contested_facts {
        let _ = writeln!(out, "two values for {fact}: it is not reckoned with until it is settled");
    }
    match plan.next_step() {
        Some(next) => {
            let said = step(next, facts);
            let _ = writeln!(out, "Next: {}: {}", said.title, said.verdict);
            for sentence in &said.sentences {
                let _ = writeln!(out, "  {sentence}");
            }
            for caution in &said.cautions {
                let _ = writeln!(out, "  ! {caution}");
            }
        }
        None => out.push_str("Nothing is left to do.\n"),
    }
    for each in &plan.steps {
        let said = step(each, facts);
        let _ = writeln!(out, "- {}: {}", said.title, said.verdict);
    }
    for sentence in plan.since.iter().flat_map(|s| since(s, facts)) {
        let _ = writeln!(out, "{sentence}");
    }
    out
}

/// What moved since the setup, a sentence each; empty if nothing moved beyond what was read.
pub fn since(since: &Since, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    if since.relief.tells() {
        said.push(format!(
            "Since the setup the relief ({}) has moved by {} (read).",
            quantity(since.relief_way),
            signed(since.relief)
        ));
    }
    for part in since.parts.iter().filter(|p| p.change.tells() || p.tells) {
        said.push(format!(
            "{} has moved by {} (read); the relief explains {} of it (model of the neck), {} is \
             left{}.",
            capital(&thing(part.thing, facts)),
            signed(part.change),
            signed(part.explained),
            signed(part.remainder),
            if part.tells { "" } else { ", no more than the readings can tell" }
        ));
    }
    match &since.points {
        Points::Nowhere => {}
        Points::Common => said.push(
            "What is left is common to all strings: that points to the neck joint, the bridge or \
             its posts."
                .to_owned(),
        ),
        Points::String(place) => said.push(format!(
            "What is left is on string {} alone: that points to its saddle screw, a worn fret or \
             a worn slot.",
            facts.name(*place)
        )),
        Points::CannotBeTold => {
            said.push("Where the rest comes from cannot be told from these readings.".to_owned());
        }
    }
    said.extend(since.cautions.iter().map(|c| c.text().to_owned()));
    said
}

/// What a step is.
pub fn title(kind: StepKind, of: Option<Thing>, facts: &Facts) -> String {
    match (kind, of) {
        (StepKind::Tune, None) => "tune to pitch".to_owned(),
        (StepKind::AsLeft, _) => "tune, play every note, write down the numbers as left".to_owned(),
        (kind, Some(of)) => format!("{}: {}", kind.word(), thing(of, facts)),
        (kind, None) => kind.word().to_owned(),
    }
}

/// A thing: "string 4 (E), open over 12".
pub fn thing(thing: Thing, facts: &Facts) -> String {
    match thing.location {
        Location::Course(place) => {
            format!("string {}, {}", facts.name(place), quantity(thing.quantity))
        }
        Location::Whole => quantity(thing.quantity),
        other => format!("{other}, {}", quantity(thing.quantity)),
    }
}

/// How a quantity is read, as the trade says it.
pub fn quantity(quantity: Quantity) -> String {
    match quantity {
        Quantity::Gap { stopped, over } if stopped.is_open() => format!("open over {over}"),
        Quantity::Gap { stopped, over } => format!("stopped at {stopped} over {over}"),
        Quantity::Relief { from, to, at: None } => format!("stopped at {from} and {to}"),
        Quantity::Relief { from, to, at: Some(at) } => {
            format!("stopped at {from} and {to}, over {at}")
        }
        Quantity::Intonation { fret } => format!("at fret {fret} against open"),
        Quantity::SpacingBridge => "to the next lower string, at the bridge".to_owned(),
        Quantity::SpacingNut => "to the next lower string, at the nut".to_owned(),
        Quantity::PickupGap { pickup, stopped } => {
            format!("over pickup {pickup}, stopped at {stopped}")
        }
        other => other.to_string(),
    }
}

/// What a step comes to, in a few words.
pub fn verdict(step: &Step) -> String {
    match &step.verdict {
        Verdict::Fine => "fine".to_owned(),
        Verdict::Same => format!(
            "the same, as far as your {} can tell",
            tool_word(step.seen.as_ref().and_then(|s| s.tool))
        ),
        Verdict::Adjust(adjust) => way(adjust.way).to_owned(),
        Verdict::Measure => "measure".to_owned(),
        Verdict::MeasureAgain { .. } => "measure again".to_owned(),
        Verdict::MeasureWithAnother => "measure with another tool".to_owned(),
        Verdict::Disagree { .. } => "two readings disagree".to_owned(),
        Verdict::TwoValues { .. } => "two values".to_owned(),
        Verdict::Wait { after, .. } => format!("after {}", after.word()),
        Verdict::NotApplicable { .. } => "does not apply".to_owned(),
        Verdict::Stop { .. } => "stop".to_owned(),
    }
}

/// The word for the tool in "as far as your rule can tell".
pub fn tool_word(tool: Option<Tool>) -> &'static str {
    match tool.map(Tool::kind) {
        Some(ToolKind::SteelRule) => "rule",
        Some(ToolKind::Feeler) => "feeler",
        Some(ToolKind::Caliper) => "caliper",
        Some(ToolKind::DialGauge) => "dial gauge",
        Some(ToolKind::Tuner) => "tuner",
        _ => "tool",
    }
}

/// The word for a kind of tool, as in "tech with rule".
pub(crate) const fn kind_word(tool: Option<ToolKind>) -> &'static str {
    match tool {
        Some(ToolKind::SteelRule) => "rule",
        Some(ToolKind::Feeler) => "feeler",
        Some(ToolKind::Caliper) => "caliper",
        Some(ToolKind::DialGauge) => "dial gauge",
        _ => "another tool",
    }
}

/// Which way a part goes, in a few words.
pub fn way(way: Way) -> &'static str {
    match way {
        Way::TuneUp => "tune up",
        Way::TuneDown => "tune down",
        Way::MoreRelief => "more relief",
        Way::LessRelief => "less relief",
        Way::Raise => "raise the saddle",
        Way::Lower => "lower the saddle",
        Way::PickupUp => "raise the pickup",
        Way::PickupDown => "lower the pickup",
        Way::Lengthen => "saddle back, away from the neck",
        Way::Shorten => "saddle forward, toward the neck",
        Way::Apart => "strings further apart",
        Way::Together => "strings closer together",
        Way::CutSlot => "cut the slot deeper",
    }
}

fn verdict_sentences(said: &mut Vec<String>, step: &Step, facts: &Facts) {
    match &step.verdict {
        Verdict::Adjust(adjust) => adjust_sentences(said, adjust, facts),
        Verdict::Measure if step.kind == StepKind::Tune => {
            said.push("The record does not say that it was tuned today.".to_owned());
        }
        Verdict::Measure if step.kind == StepKind::AsLeft => {
            said.push(
                "Note where it buzzes. The final numbers are what the next visit is compared with."
                    .to_owned(),
            );
        }
        Verdict::Measure => {
            said.push("Tune, then read it: there is no reading of today.".to_owned());
        }
        Verdict::MeasureAgain { deed, .. } => {
            said.push(format!("Measure again, because {deed} since the last reading; tune first."));
        }
        Verdict::MeasureWithAnother => said.push(
            "What comes next cannot be undone: tune, and read it once more with another tool."
                .to_owned(),
        ),
        Verdict::Disagree { readings } => {
            said.push(
                "These differ beyond what both can tell, with nothing done between. Take a third."
                    .to_owned(),
            );
            said.extend(readings.iter().map(|r| read(r, facts, step.thing)));
        }
        Verdict::TwoValues { values } => {
            said.push(
                "Two targets were written apart; nothing is advised until one is settled on."
                    .to_owned(),
            );
            said.extend(values.iter().map(wanted));
        }
        Verdict::Wait { after, forecast, .. } => {
            said.push(format!("This waits for an earlier step: {}.", after.word()));
            if let Some(forecast) = forecast {
                said.push(format!(
                    "With the relief at its target and the saddles untouched it will read about \
                     {} by the model of the neck: a forecast.",
                    range(*forecast)
                ));
            }
        }
        Verdict::NotApplicable { why } => said.push(why_text(*why).to_owned()),
        Verdict::Stop { why } => said.push(stop_text(*why).to_owned()),
        Verdict::Fine | Verdict::Same => {}
    }
}

fn adjust_sentences(said: &mut Vec<String>, adjust: &Adjust, facts: &Facts) {
    if !adjust.explains.is_empty() {
        let names: Vec<String> = adjust.explains.iter().map(|p| facts.name(*p)).collect();
        said.push(format!(
            "By the model of the neck this relief explains the action of string {}: the rod, not \
             the saddles.",
            names.join(", ")
        ));
    }
    if let Some(travel) = adjust.travel {
        said.push(format!(
            "In all, by this reading: {} by about {}.",
            way(adjust.way),
            number(travel)
        ));
    }
    said.extend(adjust.moves.iter().map(turn));
    if let Some(expect) = adjust.expect {
        // In the notation of the tool first, where that is another than the plan's own.
        let own = |a: &Amount| matches!(a.unit(), Unit::Millimetre | Unit::Cent);
        let shown = adjust.expect_shown.filter(|a| !own(a));
        let shown = shown.map(|a| format!("{a}, ")).unwrap_or_default();
        let left = adjust.left_over.map(|l| number(Known { value: l.abs(), ..expect }));
        let left = left.filter(|l| *l != number(Known { value: 0.0, ..expect }));
        let left = left.map(|l| format!("; {l} is left over")).unwrap_or_default();
        said.push(format!("Then it should read about {shown}{}{left}.", range(expect)));
    } else if adjust.moves.iter().any(|m| m.turn.is_trial()) {
        said.push("The reading after it shows which way it works.".to_owned());
    }
    if !adjust.again.is_empty() {
        let mut words: Vec<&str> = adjust.again.iter().map(|c| c.word()).collect();
        words.dedup();
        said.push(format!("Tune, then measure again: {}.", words.join(", ")));
    }
}

fn turn(m: &Move) -> String {
    let alike = if m.count > 1 { format!(" ({} screws alike)", m.count) } else { String::new() };
    if m.turn.is_trial() {
        let size = match m.reckoned {
            Reckoned::Thread { pitch_mm } => format!(" (thread of {pitch_mm:.2} mm a turn)"),
            _ => String::new(),
        };
        return format!("Try {} on the {}{alike}{size}, and read.", m.turn, m.screw);
    }
    let basis = match m.reckoned {
        Reckoned::Thread { pitch_mm } => format!("thread of {pitch_mm:.2} mm a turn"),
        Reckoned::Learned { pairs: 1 } => "learned from one turn of this instrument".to_owned(),
        Reckoned::Learned { pairs } => format!("learned from {pairs} turns of this instrument"),
        Reckoned::Prior => {
            "usual response: 0.15 mm a quarter turn within a factor of 2, common practice"
                .to_owned()
        }
        Reckoned::Unknown => "its response is not known".to_owned(),
    };
    format!("Turn the {}{alike} {} ({basis}).", m.screw, m.turn)
}

/// Why a step does not apply.
pub const fn why_text(why: Why) -> &'static str {
    match why {
        Why::NoTarget => "There is no target to compare with.",
        Why::ZeroFret => "A zero fret carries the strings: the nut only guides them.",
        Why::LockingNut => "A locking nut is set by shims: work for a repairer.",
        Why::NothingAsked => "Nobody set a target for it.",
        Why::NoRadius => {
            "The board is flat, or its radius or the spread of the strings is not written down."
        }
    }
}

/// Why to stop, and who can help.
pub const fn stop_text(why: StopReason) -> &'static str {
    match why {
        StopReason::RodWrongWay => {
            "By the readings before and after, the rod moved the neck against the direction known \
             for it. Stop, and see a qualified repairer."
        }
        StopReason::RodNoResponse => {
            "By the readings before and after, the relief does not answer the rod. Stop, and see a \
             qualified repairer."
        }
        StopReason::Twisted => {
            "By the readings one side wants more relief and the other less: a twist, which a rod \
             cannot cure. See a qualified repairer."
        }
        StopReason::NoRod => {
            "The relief read is off its target and there is no rod to set it: see a qualified \
             repairer."
        }
        StopReason::NutTooLow => {
            "By this reading the slot is too low: filling it or a new nut is work for a repairer."
        }
        StopReason::Stress => {
            "By its length and pitch this plain string would be stressed beyond 1.8 GPa; wire \
             breaks at about 2.2 GPa (from memory)."
        }
    }
}

fn remark(remark: &Remark, facts: &Facts) -> String {
    match remark {
        Remark::TuningNotNoted => {
            "The record does not show that it was at pitch when this was read.".to_owned()
        }
        Remark::OtherPosture(seen) => {
            format!("Read in another posture, so not compared: {}", read(seen, facts, None))
        }
        Remark::Outvoted(seen) => {
            format!("Two other readings speak against: {}", read(seen, facts, None))
        }
        Remark::ConvertedFrom(seen) => {
            format!("It was read {}, not as the target is written.", quantity(seen.thing.quantity))
        }
        Remark::SidewaysLifts(lift) => format!(
            "Moving a saddle sideways by that changes its height over the board by about {} \
             (curve of the board).",
            number(*lift)
        ),
        Remark::LastTime(seen) => format!("Last: {}", read(seen, facts, None)),
        Remark::Row(row) => undersides(row),
    }
}

/// How the row of string undersides lies to the board.
pub fn undersides(row: &Row) -> String {
    let radius = row
        .radius_mm
        .map_or_else(|| "flat or hollow".to_owned(), |r| format!("on a radius of about {r:.0} mm"));
    let more = if row.middle.value > 0.0 { "more" } else { "less" };
    let middle = Known { value: row.middle.value.abs(), ..row.middle };
    format!(
        "By an arc through today's readings the undersides lie {radius}, the board on {:.0} mm: the \
         middle strings stand {} {more} over the board than the outer ones, give or take {}.",
        row.board_mm,
        number(middle),
        number(Known { value: COVERAGE * middle.standard_uncertainty, ..middle })
    )
}

/// "Read 5/64 in with rule 1/64, by tech, 2026-03-01 10:20, in playing position."
pub fn read(seen: &Seen, facts: &Facts, of: Option<Thing>) -> String {
    let mut out = String::from("Read ");
    if of != Some(seen.thing) {
        let _ = write!(out, "{}: ", thing(seen.thing, facts));
    }
    let _ = write!(out, "{}", seen.reading);
    if let Some(tool) = seen.tool {
        let _ = write!(out, " with {tool}");
    }
    if let Some(by) = &seen.by {
        let _ = write!(out, ", by {by}");
    }
    let _ = write!(out, ", {}", moment(seen.at));
    if let Some(posture) = seen.posture {
        let _ = write!(out, ", {posture}");
    }
    out.push('.');
    out
}

/// How the reader of a reading repeats one, if that was learned.
pub fn repeats(seen: &Seen) -> Option<String> {
    let repeats = seen.repeats?;
    let by = capital(seen.by.as_deref()?);
    Some(format!(
        "{by} with {} repeats such a reading within {} (one standard deviation), learned from {} \
         repeated readings.",
        kind_word(seen.tool.map(Tool::kind)),
        number(Known { value: seen.known.standard_uncertainty, ..seen.known }),
        repeats.observations
    ))
}

fn wanted(goal: &Goal) -> String {
    let mut out = format!("Wanted: {}, give or take {}", goal.wanted, goal.tolerance);
    if let Some(by) = &goal.by {
        let _ = write!(out, ", by {by}");
    }
    if let Some(at) = goal.at {
        let _ = write!(out, ", {}", moment(at));
    }
    out.push('.');
    out
}

fn off(off: Known) -> String {
    let more = if off.value > 0.0 { "more" } else { "less" };
    let at = match off.bound {
        Bound::Value => "",
        Bound::AtMost | Bound::AtLeast => "at least ",
    };
    format!(
        "That is {at}{} {more} than wanted; a reading like this tells {}.",
        number(Known { value: off.value.abs(), ..off }),
        number(Known { value: COVERAGE * off.standard_uncertainty, ..off })
    )
}

/// A number with its unit, no finer than it can be known.
pub fn number(known: Known) -> String {
    match known.scale {
        Scale::Millimetre => format!("{:.2} mm", known.value),
        Scale::Cent => format!("{:.1} cent", known.value),
    }
}

fn signed(known: Known) -> String {
    match known.scale {
        Scale::Millimetre => format!("{:+.2} mm", known.value),
        Scale::Cent => format!("{:+.1} cent", known.value),
    }
}

fn give_or_take(known: Known) -> String {
    let spread = Known { value: COVERAGE * known.standard_uncertainty, ..known };
    format!("{}, give or take {}", number(known), number(spread))
}

/// "1.85 mm (1.60 mm to 2.10 mm)".
fn range(known: Known) -> String {
    let half = COVERAGE * known.standard_uncertainty;
    let end = |value| number(Known { value, ..known });
    format!("{} ({} to {})", number(known), end(known.value - half), end(known.value + half))
}

/// "2026-03-01 10:20", by the clock of whoever wrote it.
pub fn moment(at: Moment) -> String {
    let local = at.unix_s.saturating_add(i64::from(at.offset_min) * 60);
    match chrono::DateTime::from_timestamp(local, 0) {
        Some(t) => t.format("%Y-%m-%d %H:%M").to_string(),
        None => format!("{} s since 1970", at.unix_s),
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
