//! The plan in words: the next step in full, the rest folded.
//!
//! The library has the plan in whole sentences (`advice::words`, which `plan --all` prints); here it
//! is told as briefly as a bench needs it, steps of one kind together.

use std::io;

use fallaway::advice::compare::{PointsAt, SetupDrift};
use fallaway::advice::hazard::Hazard;
use fallaway::advice::observe::Facts;
use fallaway::advice::plan::{Plan, PlanStep, StepKind, StepVerdict, StepWork, WhyNot};
use fallaway::advice::text;
use fallaway::record::Spec;

use super::{Printer, Style, Table, names, step as said};
use crate::commands::capital;

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
    /// `setup` names the setup, `since` says whether the comparison with it is of interest.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(
        &self,
        plan: &Plan,
        setup: Option<&str>,
        since: bool,
        all: bool,
        printer: &mut Printer<'_>,
    ) -> io::Result<()> {
        for fact in &plan.contested_facts {
            let text = format!("Two values for {fact}: settle them first (fallaway two-values).");
            printer.text(Style::Caution, &text)?;
        }
        if since && let Some(since) = &plan.drift {
            self.print_since(since, printer)?;
        }
        let now = now(plan);
        if now.is_empty() {
            printer.text(Style::Fine, "Nothing left to do: every number is where it is wanted.")?;
        } else {
            self.print_next(plan, &now, printer)?;
        }
        self.print_others(plan, &now, all, printer)?;
        print_unwanted(plan, setup, printer)
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
    fn line(&self, steps: &[&PlanStep]) -> String {
        let Some(first) = steps.first() else { return String::new() };
        let places = self.places(steps);
        let place = if places.is_empty() { String::new() } else { format!(", {places}") };
        format!("{}{place}: {}", capital(first.kind.word()), self.verdicts(steps))
    }

    fn print_next(
        &self,
        plan: &Plan,
        now: &[&PlanStep],
        printer: &mut Printer<'_>,
    ) -> io::Result<()> {
        let Some(first) = now.first() else { return Ok(()) };
        printer.text(Style::Strong, &format!("Next: {}", first.kind.word()))?;
        let adjusts: Vec<(&PlanStep, &StepWork)> =
            now.iter().filter_map(|step| Some((*step, step.verdict.adjust()?))).collect();
        if adjusts.len() > 1 {
            self.print_adjusts(&adjusts, printer)?;
        } else {
            let places = self.places(now);
            let text = self.verdicts(now);
            let text = if places.is_empty() { capital(&text) } else { format!("{places}: {text}") };
            printer.hung(Style::Plain, "  ", 2, &format!("{text}."))?;
        }
        for step in now {
            let place = self.place(step);
            let head = if now.len() > 1 { format!("{place}: ") } else { String::new() };
            // A table has said what was read already.
            for line in said::details(step, adjusts.len() < 2) {
                printer.hung(Style::Quiet, "  ", 2, &format!("{head}{line}."))?;
            }
        }
        if first.kind == StepKind::Relief
            && first.verdict.adjust().is_some()
            && let Some(line) = said::rod(&plan.rod)
        {
            printer.hung(Style::Quiet, "  ", 2, &line)?;
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
            printer.hung(Style::Plain, "  ", 2, &text)?;
        }
        let mut cautions: Vec<Hazard> = Vec::new();
        for caution in now.iter().flat_map(|step| &step.cautions) {
            if !cautions.contains(caution) {
                cautions.push(*caution);
            }
        }
        print_cautions(&cautions, printer)
    }

    /// Several screws to turn in one go.
    fn print_adjusts(
        &self,
        adjusts: &[(&PlanStep, &StepWork)],
        printer: &mut Printer<'_>,
    ) -> io::Result<()> {
        let mut table = Table::new(["", "read", "wanted", "turn", "then about"]).indented(2);
        let mut ways: Vec<&str> = Vec::new();
        for (step, adjust) in adjusts {
            let word = text::way(adjust.way);
            if !ways.contains(&word) {
                ways.push(word);
            }
            let turns: Vec<String> = adjust.moves.iter().map(|one| one.turn.to_string()).collect();
            table.row([
                self.place(step),
                step.seen.as_ref().map_or_else(String::new, |seen| seen.reading.to_string()),
                step.target.as_ref().map_or_else(String::new, |goal| goal.wanted.to_string()),
                if turns.is_empty() { word.to_owned() } else { turns.join("; ") },
                said::expected(adjust).unwrap_or_default(),
            ]);
        }
        let first = adjusts.first().and_then(|(_, adjust)| adjust.moves.first());
        let alike = first.map_or("", said::alike);
        printer.hung(Style::Plain, "  ", 2, &format!("{}{alike}:", capital(&ways.join(" or "))))?;
        printer.table(&table)
    }

    fn print_others(
        &self,
        plan: &Plan,
        now: &[&PlanStep],
        all: bool,
        printer: &mut Printer<'_>,
    ) -> io::Result<()> {
        let others: Vec<&PlanStep> =
            plan.steps.iter().filter(|s| !now.iter().any(|n| std::ptr::eq(*n, *s))).collect();
        if all {
            return self.print_all(&others, printer);
        }
        // Tuning that nobody noted is said where it matters: beside the readings.
        let is_open = |step: &&PlanStep| {
            !step.verdict.settled() && (step.kind != StepKind::Tune || now.is_empty())
        };
        let open: Vec<&PlanStep> = others.iter().copied().filter(is_open).collect();
        let mut table = Table::default().indented(2);
        for group in open.chunk_by(|a, b| together(a, b)) {
            let Some(first) = group.first() else { continue };
            let places = self.places(group);
            let text = self.verdicts(group);
            let text = if places.is_empty() { text } else { format!("{places}: {text}") };
            table.row([first.kind.word().to_owned(), text]);
        }
        if !table.is_empty() {
            printer.text(Style::Strong, "After that")?;
            printer.table(&table)?;
        }
        let fine: Vec<&PlanStep> = others
            .into_iter()
            .filter(|step| matches!(step.verdict, StepVerdict::Fine | StepVerdict::Same))
            .collect();
        let parts: Vec<String> = fine
            .chunk_by(|a, b| a.kind == b.kind && together(a, b))
            .filter_map(|group| {
                let first = group.first()?;
                let places = self.places(group);
                let same = if matches!(first.verdict, StepVerdict::Same) {
                    format!(" (the same, as far as your {} can tell)", said::tool_word(first))
                } else {
                    String::new()
                };
                Some(format!("{} {places}{same}", first.kind.word()).trim_end().to_owned())
            })
            .collect();
        if !parts.is_empty() {
            printer.hung(Style::Fine, "Fine: ", 6, &parts.join("; "))?;
        }
        Ok(())
    }

    /// Every other step by itself, in the library's full sentences.
    fn print_all(&self, steps: &[&PlanStep], printer: &mut Printer<'_>) -> io::Result<()> {
        if !steps.is_empty() {
            printer.text(Style::Strong, "The other steps")?;
        }
        for step in steps {
            let full = text::step(step, self.facts);
            printer.hung(
                Style::Plain,
                "  ",
                4,
                &format!("{}: {}", capital(&full.title), full.verdict),
            )?;
            if !full.sentences.is_empty() {
                printer.hung(Style::Quiet, "    ", 4, &full.sentences.join(" "))?;
            }
            print_cautions(&step.cautions, printer)?;
        }
        Ok(())
    }

    fn print_since(&self, since: &SetupDrift, printer: &mut Printer<'_>) -> io::Result<()> {
        let off = since.relief.tells() || since.parts.iter().any(|part| part.change.tells());
        if !off && matches!(since.points_at, PointsAt::Nowhere) {
            return Ok(());
        }
        let mut table = Table::new(["Off the setup", "by", "of it by relief", "left over"]);
        table.row([
            format!("  {}", names::quantity(since.relief_way)),
            said::signed(since.relief),
            String::new(),
            String::new(),
        ]);
        for part in &since.parts {
            let place = names::location(self.spec, part.measurand.location);
            let word = part.measurand.kind().map_or("", |class| class.word());
            let left =
                if part.tells { said::signed(part.remainder) } else { "nothing shows".to_owned() };
            table.row([
                format!("  {word} {place}"),
                said::signed(part.change),
                said::signed(part.explained),
                left,
            ]);
        }
        printer.table(&table)?;
        let text = match &since.points_at {
            PointsAt::Nowhere if since.parts.is_empty() => String::new(),
            PointsAt::Nowhere => {
                "The neck explains it: the rod brings it back, the saddles stay.".to_owned()
            }
            PointsAt::Common => {
                "What is left is the same on all strings: look at the neck joint, the bridge or \
                 its posts."
                    .to_owned()
            }
            PointsAt::OneString(place) => format!(
                "What is left is on {} alone: look at its saddle screw (they can shake down), its \
                 nut slot and frets.",
                names::string(self.spec, *place)
            ),
            PointsAt::CannotBeTold => {
                "Where the rest comes from cannot be told from these readings.".to_owned()
            }
        };
        if !text.is_empty() {
            printer.hung(Style::Plain, "  ", 2, &text)?;
        }
        print_cautions(&since.cautions, printer)?;
        printer.blank()
    }

    fn place(&self, step: &PlanStep) -> String {
        step.measurand
            .map(|measurand| names::location(self.spec, measurand.location))
            .unwrap_or_default()
    }

    fn places(&self, steps: &[&PlanStep]) -> String {
        let places: Vec<String> =
            steps.iter().map(|step| self.place(step)).filter(|place| !place.is_empty()).collect();
        places.join(", ")
    }

    /// What several steps of one kind come to, as one sentence without its full stop.
    fn verdicts(&self, steps: &[&PlanStep]) -> String {
        let forecasts: Vec<String> = steps
            .iter()
            .filter_map(|step| match &step.verdict {
                StepVerdict::Wait { forecast, .. } => forecast.map(said::about),
                _ => None,
            })
            .collect();
        match steps {
            [one] => said::verdict(one, self.spec),
            [first, ..] => match &first.verdict {
                StepVerdict::Wait { after, .. } if !forecasts.is_empty() => format!(
                    "after {}; if nothing else moves they will then read about {}",
                    after.word(),
                    forecasts.join(", ")
                ),
                StepVerdict::Wait { after, .. } => format!("after {}", after.word()),
                _ => said::verdict(first, self.spec),
            },
            [] => String::new(),
        }
    }
}

/// Whether two steps are told in one line.
fn together(a: &PlanStep, b: &PlanStep) -> bool {
    let way = |step: &PlanStep| step.measurand.map(|measurand| measurand.quantity);
    let intervention = |step: &PlanStep| match &step.verdict {
        StepVerdict::MeasureAgain { intervention, .. } => Some(*intervention),
        _ => None,
    };
    let after = |step: &PlanStep| match &step.verdict {
        StepVerdict::Wait { after, .. } => Some(*after),
        _ => None,
    };
    let told_apart = |step: &PlanStep| {
        matches!(step.verdict, StepVerdict::Disagree { .. } | StepVerdict::TwoValues { .. })
    };
    a.kind == b.kind
        && std::mem::discriminant(&a.verdict) == std::mem::discriminant(&b.verdict)
        && way(a) == way(b)
        && intervention(a) == intervention(b)
        && after(a) == after(b)
        && !told_apart(a)
        && a.verdict.adjust().is_none() == b.verdict.adjust().is_none()
}

/// The steps to do now: the next one, and those of its kind that are done in one go. Where a screw's
/// way is not known yet, one try comes first.
fn now(plan: &Plan) -> Vec<&PlanStep> {
    let Some(next) = plan.next_step() else { return Vec::new() };
    let trial = next.verdict.adjust().is_some_and(|a| a.moves.iter().any(|m| m.turn.is_trial()));
    if trial {
        return vec![next];
    }
    let alike = |step: &&PlanStep| std::ptr::eq(*step, next) || together(step, next);
    plan.steps.iter().filter(alike).collect()
}

/// Says of what nobody has said what is wanted: without that the plan has nothing to compare with.
fn print_unwanted(plan: &Plan, setup: Option<&str>, printer: &mut Printer<'_>) -> io::Result<()> {
    let mut kinds: Vec<StepKind> = Vec::new();
    for step in &plan.steps {
        let unwanted = matches!(step.verdict, StepVerdict::NotApplicable { why: WhyNot::NoTarget });
        if unwanted && !kinds.contains(&step.kind) {
            kinds.push(step.kind);
        }
    }
    let Some(first) = kinds.first() else { return Ok(()) };
    let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
    let example = match first {
        StepKind::Relief => "relief 0.25 mm",
        StepKind::Nut => "nut all 0.1 mm",
        StepKind::Spacing => "spacing all 19 mm",
        StepKind::Pickup => "pickup all 2.5 mm",
        StepKind::Tune => "pitch all 0 cent",
        StepKind::Intonation => "intonation all 0 cent",
        StepKind::Action | StepKind::Radius | StepKind::AsLeft => "action all 5/64",
    };
    let take = if setup.is_none() {
        "; or, if the numbers are right as they are: fallaway setup take mine"
    } else {
        ""
    };
    let text = format!(
        "Nobody has said what is wanted of {}. Say it, such as: fallaway setup target {} \
         {example}{take}",
        words.join(", "),
        setup.unwrap_or("mine")
    );
    printer.text(if setup.is_none() { Style::Strong } else { Style::Quiet }, &text)
}

fn print_cautions(cautions: &[Hazard], printer: &mut Printer<'_>) -> io::Result<()> {
    if cautions.is_empty() {
        return Ok(());
    }
    let texts: Vec<&str> = cautions.iter().map(|caution| caution.text()).collect();
    printer.hung(Style::Caution, "  Caution: ", 4, &texts.join(" "))
}
