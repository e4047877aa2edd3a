//! The plan in words: the next step in full, the rest folded.
//!
//! The library has the plan in whole sentences (`advice::words`, which `plan --all` prints); here it
//! is told as briefly as a bench needs it, steps of one kind together.

use std::io;

use fallaway::advice::bench::Seen;
use fallaway::advice::caution::Caution;
use fallaway::advice::facts::Facts;
use fallaway::advice::input::Goal;
use fallaway::advice::known::{Bound, Known, Scale};
use fallaway::advice::learn::Response;
use fallaway::advice::plan::{Adjust, Move, Plan, Reckoned, Remark, Step, StepKind, Verdict, Why};
use fallaway::advice::since::{Points, Since};
use fallaway::advice::words;
use fallaway::record::Spec;

use super::{Ink, Paper, Table, names};
use crate::commands::capital;
use crate::words::moments;

/// Puts a plan into words, for one instrument.
pub struct Words<'a> {
    spec: &'a Spec,
    facts: &'a Facts,
}

impl<'a> Words<'a> {
    /// Words for this instrument, and for how the plan reckons with it.
    pub const fn new(spec: &'a Spec, facts: &'a Facts) -> Self {
        Self { spec, facts }
    }

    /// Prints the plan: the next step in full, the others in a line each; all in full on request.
    /// `since` says whether the comparison with the setup is of interest.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(
        &self,
        plan: &Plan,
        since: bool,
        all: bool,
        paper: &mut Paper<'_>,
    ) -> io::Result<()> {
        for fact in &plan.contested_facts {
            let text = format!("Two values for {fact}: settle them first (fallaway two-values).");
            paper.text(Ink::Caution, &text)?;
        }
        if since && let Some(since) = &plan.since {
            self.print_since(since, paper)?;
        }
        let now = now(plan);
        if now.is_empty() {
            paper.text(Ink::Fine, "Nothing left to do: every number is where it is wanted.")?;
        } else {
            self.print_next(plan, &now, paper)?;
        }
        self.print_others(plan, &now, all, paper)?;
        print_unwanted(plan, paper)
    }

    /// The next step in one line.
    pub fn next(&self, plan: &Plan) -> String {
        let now = now(plan);
        match now.first() {
            None => "Nothing left to do.".into(),
            Some(first) if first.verdict.adjust().is_some() => self.line(&[first]),
            Some(_) => self.line(&now),
        }
    }

    /// Steps of one kind that come to the same, in one line.
    fn line(&self, steps: &[&Step]) -> String {
        let Some(first) = steps.first() else { return String::new() };
        let places = self.places(steps);
        let place = if places.is_empty() { String::new() } else { format!(", {places}") };
        format!("{}{place}: {}", capital(first.kind.word()), self.verdicts(steps))
    }

    fn print_next(&self, plan: &Plan, now: &[&Step], paper: &mut Paper<'_>) -> io::Result<()> {
        let Some(first) = now.first() else { return Ok(()) };
        paper.text(Ink::Strong, &format!("Next: {}", first.kind.word()))?;
        let adjusts: Vec<(&Step, &Adjust)> =
            now.iter().filter_map(|step| Some((*step, step.verdict.adjust()?))).collect();
        if adjusts.len() > 1 {
            self.print_adjusts(&adjusts, paper)?;
        } else {
            let places = self.places(now);
            let text = self.verdicts(now);
            let text = if places.is_empty() { capital(&text) } else { format!("{places}: {text}") };
            paper.hung(Ink::Plain, "  ", 2, &format!("{text}."))?;
        }
        for step in now {
            let place = self.place(step);
            let head = if now.len() > 1 { format!("{place}: ") } else { String::new() };
            // A table has said what was read already.
            for line in details(step, adjusts.len() < 2) {
                paper.hung(Ink::Quiet, "  ", 2, &format!("{head}{line}."))?;
            }
        }
        if first.kind == StepKind::Relief
            && first.verdict.adjust().is_some()
            && let Some(line) = rod(&plan.rod)
        {
            paper.hung(Ink::Quiet, "  ", 2, &line)?;
        }
        if let Some(adjust) = first.verdict.adjust()
            && !adjust.again.is_empty()
        {
            let mut words: Vec<&str> = Vec::new();
            for class in &adjust.again {
                if !words.contains(&class.word()) {
                    words.push(class.word());
                }
            }
            let text = format!("Then tune, and measure again: {}.", words.join(", "));
            paper.hung(Ink::Plain, "  ", 2, &text)?;
        }
        let mut cautions: Vec<Caution> = Vec::new();
        for caution in now.iter().flat_map(|step| &step.cautions) {
            if !cautions.contains(caution) {
                cautions.push(*caution);
            }
        }
        print_cautions(&cautions, paper)
    }

    /// Several screws to turn in one go.
    fn print_adjusts(&self, adjusts: &[(&Step, &Adjust)], paper: &mut Paper<'_>) -> io::Result<()> {
        let mut table = Table::new(["", "read", "wanted", "turn", "then about"]).indented(2);
        let mut ways: Vec<&str> = Vec::new();
        for (step, adjust) in adjusts {
            let word = words::way(adjust.way);
            if !ways.contains(&word) {
                ways.push(word);
            }
            let turns: Vec<String> = adjust.moves.iter().map(|one| one.turn.to_string()).collect();
            table.row([
                self.place(step),
                step.seen.as_ref().map_or_else(String::new, |seen| seen.reading.to_string()),
                step.target.as_ref().map_or_else(String::new, |goal| goal.wanted.to_string()),
                if turns.is_empty() { word.to_owned() } else { turns.join("; ") },
                expected(adjust).unwrap_or_default(),
            ]);
        }
        let first = adjusts.first().and_then(|(_, adjust)| adjust.moves.first());
        let alike = first.map_or("", alike);
        paper.hung(Ink::Plain, "  ", 2, &format!("{}{alike}:", capital(&ways.join(" or "))))?;
        paper.table(&table)
    }

    fn print_others(
        &self,
        plan: &Plan,
        now: &[&Step],
        all: bool,
        paper: &mut Paper<'_>,
    ) -> io::Result<()> {
        let others: Vec<&Step> =
            plan.steps.iter().filter(|s| !now.iter().any(|n| std::ptr::eq(*n, *s))).collect();
        if all {
            return self.print_all(&others, paper);
        }
        // Tuning that nobody noted is said where it matters: beside the readings.
        let is_open = |step: &&Step| {
            !step.verdict.settled() && (step.kind != StepKind::Tune || now.is_empty())
        };
        let open: Vec<&Step> = others.iter().copied().filter(is_open).collect();
        let mut table = Table::default().indented(2);
        for group in open.chunk_by(|a, b| together(a, b)) {
            let Some(first) = group.first() else { continue };
            let places = self.places(group);
            let text = self.verdicts(group);
            let text = if places.is_empty() { text } else { format!("{places}: {text}") };
            table.row([first.kind.word().to_owned(), text]);
        }
        if !table.is_empty() {
            paper.text(Ink::Strong, "After that")?;
            paper.table(&table)?;
        }
        let fine: Vec<&Step> = others
            .into_iter()
            .filter(|step| matches!(step.verdict, Verdict::Fine | Verdict::Same))
            .collect();
        let parts: Vec<String> = fine
            .chunk_by(|a, b| a.kind == b.kind && together(a, b))
            .filter_map(|group| {
                let first = group.first()?;
                let places = self.places(group);
                let same = if matches!(first.verdict, Verdict::Same) {
                    format!(" (the same, as far as your {} can tell)", tool_word(first))
                } else {
                    String::new()
                };
                Some(format!("{} {places}{same}", first.kind.word()).trim_end().to_owned())
            })
            .collect();
        if !parts.is_empty() {
            paper.hung(Ink::Fine, "Fine: ", 6, &parts.join("; "))?;
        }
        Ok(())
    }

    /// Every other step by itself, in the library's full sentences.
    fn print_all(&self, steps: &[&Step], paper: &mut Paper<'_>) -> io::Result<()> {
        if !steps.is_empty() {
            paper.text(Ink::Strong, "The other steps")?;
        }
        for step in steps {
            let said = words::step(step, self.facts);
            paper.hung(
                Ink::Plain,
                "  ",
                4,
                &format!("{}: {}", capital(&said.title), said.verdict),
            )?;
            if !said.sentences.is_empty() {
                paper.hung(Ink::Quiet, "    ", 4, &said.sentences.join(" "))?;
            }
            print_cautions(&step.cautions, paper)?;
        }
        Ok(())
    }

    fn print_since(&self, since: &Since, paper: &mut Paper<'_>) -> io::Result<()> {
        let off = since.relief.tells() || since.parts.iter().any(|part| part.change.tells());
        if !off && matches!(since.points, Points::Nowhere) {
            return Ok(());
        }
        let mut table = Table::new(["Off the setup", "by", "of it by relief", "left over"]);
        table.row([
            format!("  {}", names::quantity(since.relief_way)),
            signed(since.relief),
            String::new(),
            String::new(),
        ]);
        for part in &since.parts {
            let place = names::location(self.spec, part.thing.location);
            let word = part.thing.class().map_or("", |class| class.word());
            let left = if part.tells { signed(part.remainder) } else { "nothing shows".to_owned() };
            table.row([
                format!("  {word} {place}"),
                signed(part.change),
                signed(part.explained),
                left,
            ]);
        }
        paper.table(&table)?;
        let text = match &since.points {
            Points::Nowhere if since.parts.is_empty() => String::new(),
            Points::Nowhere => {
                "The neck explains it: the rod brings it back, the saddles stay.".to_owned()
            }
            Points::Common => {
                "What is left is the same on all strings: look at the neck joint, the bridge or \
                 its posts."
                    .to_owned()
            }
            Points::String(place) => format!(
                "What is left is on {} alone: look at its saddle screw (they can shake down), its \
                 nut slot and frets.",
                names::string(self.spec, *place)
            ),
            Points::CannotBeTold => {
                "Where the rest comes from cannot be told from these readings.".to_owned()
            }
        };
        if !text.is_empty() {
            paper.hung(Ink::Plain, "  ", 2, &text)?;
        }
        print_cautions(&since.cautions, paper)?;
        paper.blank()
    }

    fn place(&self, step: &Step) -> String {
        step.thing.map(|thing| names::location(self.spec, thing.location)).unwrap_or_default()
    }

    fn places(&self, steps: &[&Step]) -> String {
        let places: Vec<String> =
            steps.iter().map(|step| self.place(step)).filter(|place| !place.is_empty()).collect();
        places.join(", ")
    }

    /// What several steps of one kind come to, as one sentence without its full stop.
    fn verdicts(&self, steps: &[&Step]) -> String {
        let forecasts: Vec<String> = steps
            .iter()
            .filter_map(|step| match &step.verdict {
                Verdict::Wait { forecast, .. } => forecast.map(about),
                _ => None,
            })
            .collect();
        match steps {
            [one] => self.verdict(one),
            [first, ..] => match &first.verdict {
                Verdict::Wait { after, .. } if !forecasts.is_empty() => format!(
                    "after {}; if nothing else moves they will then read about {}",
                    after.word(),
                    forecasts.join(", ")
                ),
                Verdict::Wait { after, .. } => format!("after {}", after.word()),
                _ => self.verdict(first),
            },
            [] => String::new(),
        }
    }

    /// What a step comes to, as one sentence without its full stop.
    pub fn verdict(&self, step: &Step) -> String {
        match &step.verdict {
            Verdict::Fine => format!("fine{}", compared(step)),
            Verdict::Same => {
                format!("the same, as far as your {} can tell{}", tool_word(step), compared(step))
            }
            Verdict::Adjust(adjust) => adjust_words(self.spec, adjust),
            Verdict::Measure => match step.thing {
                Some(thing) => format!("measure ({})", names::quantity(thing.quantity)),
                None if step.kind == StepKind::Tune => {
                    "tune to pitch (then: fallaway tuned)".into()
                }
                None if step.kind == StepKind::AsLeft => {
                    "play every note, and write the final numbers down (--as-left)".into()
                }
                None => "measure".into(),
            },
            Verdict::MeasureAgain { deed, .. } => format!("measure again: {deed} since"),
            Verdict::MeasureWithAnother => {
                "measure with another tool too, before anything that cannot be undone".into()
            }
            Verdict::Disagree { readings } => {
                let shown: Vec<String> = readings.iter().map(seen).collect();
                format!("two readings disagree: {}; take a third", shown.join(" and "))
            }
            Verdict::TwoValues { values } => {
                let shown: Vec<String> = values.iter().map(goal).collect();
                format!("two values are wanted: {}; settle them first", shown.join(" or "))
            }
            Verdict::Wait { after, of, forecast } => {
                let of = of.map(|thing| names::location(self.spec, thing.location));
                let of = of.filter(|place| !place.is_empty());
                let of = of.map_or_else(String::new, |place| format!(", {place}"));
                let forecast = forecast.map_or_else(String::new, |known| {
                    format!("; if nothing else moves it will then read about {}", about(known))
                });
                format!("after {}{of}{forecast}", after.word())
            }
            Verdict::NotApplicable { why } => clause(words::why_text(*why)),
            Verdict::Stop { why } => format!("stop: {}", clause(words::stop_text(*why))),
        }
    }
}

/// Whether two steps are told in one line.
fn together(a: &Step, b: &Step) -> bool {
    let way = |step: &Step| step.thing.map(|thing| thing.quantity);
    let deed = |step: &Step| match &step.verdict {
        Verdict::MeasureAgain { deed, .. } => Some(*deed),
        _ => None,
    };
    let after = |step: &Step| match &step.verdict {
        Verdict::Wait { after, .. } => Some(*after),
        _ => None,
    };
    let told_apart =
        |step: &Step| matches!(step.verdict, Verdict::Disagree { .. } | Verdict::TwoValues { .. });
    a.kind == b.kind
        && std::mem::discriminant(&a.verdict) == std::mem::discriminant(&b.verdict)
        && way(a) == way(b)
        && deed(a) == deed(b)
        && after(a) == after(b)
        && !told_apart(a)
        && a.verdict.adjust().is_none() == b.verdict.adjust().is_none()
}

/// What else to know of a step.
fn details(step: &Step, with_reading: bool) -> Vec<String> {
    let mut lines = Vec::new();
    if with_reading
        && matches!(step.verdict, Verdict::Adjust(_))
        && let (Some(read), Some(goal)) = (&step.seen, &step.target)
    {
        lines.push(format!(
            "Read {}; wanted {}, give or take {}",
            seen(read),
            goal.wanted,
            goal.tolerance
        ));
    }
    let tried = step.verdict.adjust().is_some_and(|a| a.moves.iter().any(|m| m.turn.is_trial()));
    if step.kind == StepKind::Action && tried {
        lines.push(
            "If the eye sees which way the saddle goes when its screw is turned, say so: fallaway set \
             saddle-clockwise more (or less)"
                .into(),
        );
    }
    for remark in &step.remarks {
        lines.push(match remark {
            Remark::TuningNotNoted => {
                "Whether it was at pitch when it was read is not noted (fallaway tuned)".into()
            }
            Remark::OtherPosture(other) => {
                format!("Not counted, another posture: {}", seen(other))
            }
            Remark::Outvoted(other) => {
                format!("Two other readings speak against {}", seen(other))
            }
            Remark::ConvertedFrom(from) => {
                format!("Converted from {}: {}", names::quantity(from.thing.quantity), seen(from))
            }
            Remark::SidewaysLifts(known) => {
                format!("Moving it sideways lifts the string by about {}", about(*known))
            }
            Remark::LastTime(last) => format!("Last time: {}", seen(last)),
        });
    }
    lines
}

/// The steps to do now: the next one, and those of its kind that are done in one go. Where a screw's
/// way is not known yet, one try comes first.
fn now(plan: &Plan) -> Vec<&Step> {
    let Some(next) = plan.next_step() else { return Vec::new() };
    let trial = next.verdict.adjust().is_some_and(|a| a.moves.iter().any(|m| m.turn.is_trial()));
    if trial {
        return vec![next];
    }
    let alike = |step: &&Step| std::ptr::eq(*step, next) || together(step, next);
    plan.steps.iter().filter(alike).collect()
}

/// Says for what nobody has said what is wanted: without that the plan has nothing to compare with.
fn print_unwanted(plan: &Plan, paper: &mut Paper<'_>) -> io::Result<()> {
    let mut words: Vec<&str> = Vec::new();
    for step in &plan.steps {
        let unwanted = matches!(step.verdict, Verdict::NotApplicable { why: Why::NoTarget });
        if unwanted && !words.contains(&step.kind.word()) {
            words.push(step.kind.word());
        }
    }
    if words.is_empty() {
        return Ok(());
    }
    let text = format!(
        "Nobody has said what is wanted of {}. Say it: fallaway setup target mine relief 0.25 mm; or, \
         if the numbers are right as they are: fallaway setup take mine",
        words.join(", ")
    );
    paper.text(Ink::Strong, &text)
}

fn print_cautions(cautions: &[Caution], paper: &mut Paper<'_>) -> io::Result<()> {
    if cautions.is_empty() {
        return Ok(());
    }
    let texts: Vec<&str> = cautions.iter().map(|caution| caution.text()).collect();
    paper.hung(Ink::Caution, "  Caution: ", 4, &texts.join(" "))
}

/// A sentence without its full stop.
fn clause(sentence: &str) -> String {
    sentence.trim_end_matches('.').to_owned()
}

fn adjust_words(spec: &Spec, adjust: &Adjust) -> String {
    let way = words::way(adjust.way);
    let travel =
        adjust.travel.map_or_else(String::new, |known| format!(" by {} in all", about(known)));
    let turns: Vec<String> = adjust.moves.iter().map(one_move).collect();
    let turns = turns.join("; ");
    let tried = adjust.moves.iter().any(|one| one.turn.is_trial());
    let mut text = match (turns.is_empty(), tried) {
        (true, _) => format!("{way}{travel}"),
        (_, true) => format!(
            "{way}{travel}: try {turns}, tune, and read, because which way it works is not known yet"
        ),
        _ => format!("{way}{travel}: {turns}"),
    };
    if !adjust.explains.is_empty() {
        let names: Vec<String> =
            adjust.explains.iter().map(|place| names::string(spec, *place)).collect();
        text = format!("{text}; it brings back the action of {}", names.join(", "));
    }
    if let Some(expected) = expected(adjust) {
        text = format!("{text}; it will then read about {expected}");
    }
    if let (Some(left), Some(expect)) = (adjust.left_over, adjust.expect) {
        let least = if expect.scale == Scale::Millimetre { 0.05 } else { 1.0 };
        if left.abs() > least {
            let left = about(Known::new(left.abs(), 0.0, expect.scale));
            text = format!("{text}, and {left} are still to go");
        }
    }
    text
}

/// What will be read, in the notation of the tool if there is one.
fn expected(adjust: &Adjust) -> Option<String> {
    let expect = adjust.expect?;
    Some(adjust.expect_shown.map_or_else(|| about(expect), |amount| amount.to_string()))
}

fn one_move(one: &Move) -> String {
    let from = match one.reckoned {
        Reckoned::Unknown if !one.turn.is_trial() => " (neither thread nor answer is known)",
        Reckoned::Prior if !one.turn.is_trial() => " (a usual amount: nothing learned yet)",
        _ => "",
    };
    format!("{} {}{}{from}", one.screw, one.turn, alike(one))
}

fn alike(one: &Move) -> &'static str {
    match one.count {
        0 | 1 => "",
        2 => ", both screws of it alike",
        _ => ", all screws of it alike",
    }
}

fn rod(response: &Response) -> Option<String> {
    let way = response.lessens?;
    (!response.pairs.is_empty()).then(|| {
        let times = match response.pairs.len() {
            1 => "once".to_owned(),
            2 => "twice".to_owned(),
            n => format!("{n} times"),
        };
        format!(
            "This rod has shown it {times}: {way} gives less relief, about {:.2}\u{a0}mm a quarter \
             turn.",
            response.mm_per_turn / 4.0
        )
    })
}

/// The word for the tool in "as far as your rule can tell".
fn tool_word(step: &Step) -> &'static str {
    words::tool_word(step.seen.as_ref().and_then(|seen| seen.tool))
}

fn compared(step: &Step) -> String {
    match (&step.seen, &step.target) {
        (Some(seen), Some(goal)) => format!(
            ": read {}, wanted {}, give or take {}",
            seen.reading, goal.wanted, goal.tolerance
        ),
        (Some(seen), None) => format!(": read {}", seen.reading),
        _ => String::new(),
    }
}

/// A reading with its circumstances.
fn seen(seen: &Seen) -> String {
    let mut with = Vec::new();
    with.extend(seen.by.clone());
    with.extend(seen.tool.map(|tool| tool.to_string()));
    with.extend(seen.posture.map(|posture| posture.to_string()));
    with.push(moments::shown(seen.at));
    format!("{} ({})", seen.reading, with.join(", "))
}

fn goal(goal: &Goal) -> String {
    let mut with = Vec::new();
    with.extend(goal.by.clone());
    with.extend(goal.at.map(moments::shown));
    if with.is_empty() {
        goal.wanted.to_string()
    } else {
        format!("{} ({})", goal.wanted, with.join(", "))
    }
}

/// A number with its unit, rounded to what a hand can use.
pub fn about(known: Known) -> String {
    let bound = match known.bound {
        Bound::Value => "",
        Bound::AtMost => "at most ",
        Bound::AtLeast => "at least ",
    };
    match known.scale {
        Scale::Millimetre => format!("{bound}{:.2}\u{a0}mm", known.value),
        Scale::Cent => format!("{bound}{:.1}\u{a0}cent", known.value),
    }
}

fn signed(known: Known) -> String {
    let text = about(known);
    if known.value >= 0.0 { format!("+{text}") } else { text }
}
