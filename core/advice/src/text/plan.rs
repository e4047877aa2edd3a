//! The plan in words. Every sentence is made from typed data and names the reading or the model it
//! rests on; apps that render the data themselves need none of it.

use std::fmt::Write as _;

use fallaway_measure::{Amount, Location, Quantity, Tool, ToolKind, Unit};
use fallaway_record::Moment;

use crate::compare::{PointsAt, RestsOn, SetupDrift};
use crate::observe::{
    Bound, COVERAGE, Estimate, EstimateUnit, Facts, Measurand, Observation, Wanted,
};
use crate::plan::{
    PartWay, Plan, PlanStep, Remark, RowOfUndersides, ScrewMove, SizeFrom, StepKind, StepVerdict,
    StepWork, StopReason, WhyNot,
};

/// A step in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepText {
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
pub fn step(step: &PlanStep, facts: &Facts) -> StepText {
    let mut sentences = Vec::new();
    if let Some(seen) = &step.seen {
        sentences.push(read(seen, facts, step.measurand));
    }
    if let Some(goal) = &step.target {
        sentences.push(wanted(goal));
    }
    if let Some(compared) = &step.compared {
        match compared.rests_on {
            RestsOn::Reading => {}
            RestsOn::Converted => sentences.push(format!(
                "By the model of the neck and today's readings that is {} in the way in which the \
                 target is written.",
                give_or_take(compared.read)
            )),
            RestsOn::ElsewhereOnInstrument => {
                sentences.push("Read at another place than the target is written for.".to_owned());
            }
        }
        if !matches!(step.verdict, StepVerdict::Fine) {
            sentences.push(off(compared.off()));
        }
        sentences.extend(step.seen.as_ref().and_then(repeats));
    }
    verdict_sentences(&mut sentences, step, facts);
    sentences.extend(step.remarks.iter().map(|r| remark(r, facts)));
    StepText {
        title: title(step.kind, step.measurand, facts),
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
    for sentence in plan.drift.iter().flat_map(|s| drift(s, facts)) {
        let _ = writeln!(out, "{sentence}");
    }
    out
}

/// What moved since the setup, a sentence each; empty if nothing moved beyond what was read.
pub fn drift(drift: &SetupDrift, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    if drift.relief.tells() {
        said.push(format!(
            "Since the setup the relief ({}) has moved by {} (read).",
            quantity(drift.relief_way),
            signed(drift.relief)
        ));
    }
    for part in drift.parts.iter().filter(|p| p.change.tells() || p.tells) {
        said.push(format!(
            "{} has moved by {} (read); the relief explains {} of it (model of the neck), {} is \
             left{}.",
            capital(&measurand(part.measurand, facts)),
            signed(part.change),
            signed(part.explained),
            signed(part.remainder),
            if part.tells { "" } else { ", no more than the readings can tell" }
        ));
    }
    match &drift.points_at {
        PointsAt::Nowhere => {}
        PointsAt::Common => said.push(
            "What is left is common to all strings: that points to the neck joint, the bridge or \
             its posts."
                .to_owned(),
        ),
        PointsAt::OneString(place) => said.push(format!(
            "What is left is on string {} alone: that points to its saddle screw, a worn fret or \
             a worn slot.",
            facts.name(*place)
        )),
        PointsAt::CannotBeTold => {
            said.push("Where the rest comes from cannot be told from these readings.".to_owned());
        }
    }
    said.extend(drift.cautions.iter().map(|c| c.text().to_owned()));
    said
}

/// What a step is.
pub fn title(kind: StepKind, of: Option<Measurand>, facts: &Facts) -> String {
    match (kind, of) {
        (StepKind::Tune, None) => "tune to pitch".to_owned(),
        (StepKind::AsLeft, _) => "tune, play every note, write down the numbers as left".to_owned(),
        (kind, Some(of)) => format!("{}: {}", kind.word(), measurand(of, facts)),
        (kind, None) => kind.word().to_owned(),
    }
}

/// A thing: "string 4 (E), open over 12".
pub fn measurand(measurand: Measurand, facts: &Facts) -> String {
    match measurand.location {
        Location::Course(place) => {
            format!("string {}, {}", facts.name(place), quantity(measurand.quantity))
        }
        Location::Whole => quantity(measurand.quantity),
        other => format!("{other}, {}", quantity(measurand.quantity)),
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
pub fn verdict(step: &PlanStep) -> String {
    match &step.verdict {
        StepVerdict::Fine => "fine".to_owned(),
        StepVerdict::Same => format!(
            "the same, as far as your {} can tell",
            tool_word(step.seen.as_ref().and_then(|s| s.tool))
        ),
        StepVerdict::Adjust(adjust) => way(adjust.way).to_owned(),
        StepVerdict::Measure => "measure".to_owned(),
        StepVerdict::MeasureAgain { .. } => "measure again".to_owned(),
        StepVerdict::MeasureWithAnother => "measure with another tool".to_owned(),
        StepVerdict::Disagree { .. } => "two readings disagree".to_owned(),
        StepVerdict::TwoValues { .. } => "two values".to_owned(),
        StepVerdict::Wait { after, .. } => format!("after {}", after.word()),
        StepVerdict::NotApplicable { .. } => "does not apply".to_owned(),
        StepVerdict::Stop { .. } => "stop".to_owned(),
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
pub fn way(way: PartWay) -> &'static str {
    match way {
        PartWay::TuneUp => "tune up",
        PartWay::TuneDown => "tune down",
        PartWay::MoreRelief => "more relief",
        PartWay::LessRelief => "less relief",
        PartWay::Raise => "raise the saddle",
        PartWay::Lower => "lower the saddle",
        PartWay::PickupUp => "raise the pickup",
        PartWay::PickupDown => "lower the pickup",
        PartWay::Lengthen => "saddle back, away from the neck",
        PartWay::Shorten => "saddle forward, toward the neck",
        PartWay::Apart => "strings further apart",
        PartWay::Together => "strings closer together",
        PartWay::CutSlot => "cut the slot deeper",
    }
}

fn verdict_sentences(said: &mut Vec<String>, step: &PlanStep, facts: &Facts) {
    match &step.verdict {
        StepVerdict::Adjust(adjust) => adjust_sentences(said, adjust, facts),
        StepVerdict::Measure if step.kind == StepKind::Tune => {
            said.push("The record does not say that it was tuned today.".to_owned());
        }
        StepVerdict::Measure if step.kind == StepKind::AsLeft => {
            said.push(
                "Note where it buzzes. The final numbers are what the next visit is compared with."
                    .to_owned(),
            );
        }
        StepVerdict::Measure => {
            said.push("Tune, then read it: there is no reading of today.".to_owned());
        }
        StepVerdict::MeasureAgain { intervention, .. } => {
            said.push(format!(
                "Measure again, because {intervention} since the last reading; tune first."
            ));
        }
        StepVerdict::MeasureWithAnother => said.push(
            "What comes next cannot be undone: tune, and read it once more with another tool."
                .to_owned(),
        ),
        StepVerdict::Disagree { readings } => {
            said.push(
                "These differ beyond what both can tell, with nothing done between. Take a third."
                    .to_owned(),
            );
            said.extend(readings.iter().map(|r| read(r, facts, step.measurand)));
        }
        StepVerdict::TwoValues { values } => {
            said.push(
                "Two targets were written apart; nothing is advised until one is settled on."
                    .to_owned(),
            );
            said.extend(values.iter().map(wanted));
        }
        StepVerdict::Wait { after, forecast, .. } => {
            said.push(format!("This waits for an earlier step: {}.", after.word()));
            if let Some(forecast) = forecast {
                said.push(format!(
                    "With the relief at its target and the saddles untouched it will read about \
                     {} by the model of the neck: a forecast.",
                    range(*forecast)
                ));
            }
        }
        StepVerdict::NotApplicable { why } => said.push(why_text(*why).to_owned()),
        StepVerdict::Stop { why } => said.push(stop_text(*why).to_owned()),
        StepVerdict::Fine | StepVerdict::Same => {}
    }
}

fn adjust_sentences(said: &mut Vec<String>, adjust: &StepWork, facts: &Facts) {
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
        let left = adjust.left_over.map(|l| number(Estimate { value: l.abs(), ..expect }));
        let left = left.filter(|l| *l != number(Estimate { value: 0.0, ..expect }));
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

fn turn(m: &ScrewMove) -> String {
    let alike = if m.count > 1 { format!(" ({} screws alike)", m.count) } else { String::new() };
    if m.turn.is_trial() {
        let size = match m.size_from {
            SizeFrom::Thread { pitch_mm } => format!(" (thread of {pitch_mm:.2} mm a turn)"),
            _ => String::new(),
        };
        return format!("Try {} on the {}{alike}{size}, and read.", m.turn, m.screw);
    }
    let basis = match m.size_from {
        SizeFrom::Thread { pitch_mm } => format!("thread of {pitch_mm:.2} mm a turn"),
        SizeFrom::Learned { observations: 1 } => {
            "learned from one turn of this instrument".to_owned()
        }
        SizeFrom::Learned { observations } => {
            format!("learned from {observations} turns of this instrument")
        }
        SizeFrom::Usual => {
            "usual response: 0.15 mm a quarter turn within a factor of 2, common practice"
                .to_owned()
        }
        SizeFrom::Unknown => "its response is not known".to_owned(),
    };
    format!("Turn the {}{alike} {} ({basis}).", m.screw, m.turn)
}

/// Why a step does not apply.
pub const fn why_text(why: WhyNot) -> &'static str {
    match why {
        WhyNot::NoTarget => "There is no target to compare with.",
        WhyNot::ZeroFret => "A zero fret carries the strings: the nut only guides them.",
        WhyNot::LockingNut => "A locking nut is set by shims: work for a repairer.",
        WhyNot::NothingAsked => "Nobody set a target for it.",
        WhyNot::NoRadius => {
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
            format!(
                "It was read {}, not as the target is written.",
                quantity(seen.measurand.quantity)
            )
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
pub fn undersides(row: &RowOfUndersides) -> String {
    let radius = row
        .radius_mm
        .map_or_else(|| "flat or hollow".to_owned(), |r| format!("on a radius of about {r:.0} mm"));
    let more = if row.middle.value > 0.0 { "more" } else { "less" };
    let middle = Estimate { value: row.middle.value.abs(), ..row.middle };
    format!(
        "By an arc through today's readings the undersides lie {radius}, the board on {:.0} mm: the \
         middle strings stand {} {more} over the board than the outer ones, give or take {}.",
        row.board_mm,
        number(middle),
        number(Estimate { value: COVERAGE * middle.standard_uncertainty, ..middle })
    )
}

/// "Read 5/64 in with rule 1/64, by tech, 2026-03-01 10:20, in playing position."
pub fn read(seen: &Observation, facts: &Facts, of: Option<Measurand>) -> String {
    let mut out = String::from("Read ");
    if of != Some(seen.measurand) {
        let _ = write!(out, "{}: ", measurand(seen.measurand, facts));
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
pub fn repeats(seen: &Observation) -> Option<String> {
    let repeats = seen.repeats?;
    let by = capital(seen.by.as_deref()?);
    Some(format!(
        "{by} with {} repeats such a reading within {} (one standard deviation), learned from {} \
         repeated readings.",
        kind_word(seen.tool.map(Tool::kind)),
        number(Estimate { value: seen.known.standard_uncertainty, ..seen.known }),
        repeats.observations
    ))
}

fn wanted(goal: &Wanted) -> String {
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

fn off(off: Estimate) -> String {
    let more = if off.value > 0.0 { "more" } else { "less" };
    let at = match off.bound {
        Bound::Value => "",
        Bound::AtMost | Bound::AtLeast => "at least ",
    };
    format!(
        "That is {at}{} {more} than wanted; a reading like this tells {}.",
        number(Estimate { value: off.value.abs(), ..off }),
        number(Estimate { value: COVERAGE * off.standard_uncertainty, ..off })
    )
}

/// A number with its unit, no finer than it can be known.
pub fn number(known: Estimate) -> String {
    match known.scale {
        EstimateUnit::Millimetre => format!("{:.2} mm", known.value),
        EstimateUnit::Cent => format!("{:.1} cent", known.value),
    }
}

fn signed(known: Estimate) -> String {
    match known.scale {
        EstimateUnit::Millimetre => format!("{:+.2} mm", known.value),
        EstimateUnit::Cent => format!("{:+.1} cent", known.value),
    }
}

fn give_or_take(known: Estimate) -> String {
    let spread = Estimate { value: COVERAGE * known.standard_uncertainty, ..known };
    format!("{}, give or take {}", number(known), number(spread))
}

/// "1.85 mm (1.60 mm to 2.10 mm)".
fn range(known: Estimate) -> String {
    let half = COVERAGE * known.standard_uncertainty;
    let end = |value| number(Estimate { value, ..known });
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
