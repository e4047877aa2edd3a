//! The plan on a page: the next step in full, the rest folded. The sentences are the library's; what to
//! type next is this app's.

use std::io;

use fallaway::advice::plan::{Plan, StepKind, StepVerdict};
use fallaway::record::InstrumentSpec;
use fallaway_text::plan::{self as text, StepText};
use fallaway_text::plan_page::{self, DriftText, NextText, PlanText, TurnRow};
use fallaway_text::{Phrase, Voice};

use super::{Printer, Style, TextTable};
use crate::messages::hints;

/// Prints a plan in a voice.
pub struct PlanPrinter<'a, 'p> {
    /// In which language and units.
    pub voice: Voice,
    /// The instrument.
    pub spec: &'a InstrumentSpec,
    /// Where to.
    pub printer: &'a mut Printer<'p>,
}

impl PlanPrinter<'_, '_> {
    /// Prints the plan: the next step in full, the others in a line each, or all in full. `setup` names
    /// the setup, `drift` says whether the comparison with it is of interest.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(
        &mut self,
        plan: &Plan,
        setup: Option<&str>,
        drift: bool,
        all: bool,
    ) -> io::Result<()> {
        let page = plan_page::page(plan, self.spec, drift);
        for conflict in &page.conflicts {
            self.sentence(Style::Caution, "", conflict)?;
        }
        if !page.conflicts.is_empty() {
            self.sentence(Style::Quiet, "", &hints::two_values())?;
        }
        if let Some(drift) = &page.drift {
            self.drift(drift)?;
        }
        match &page.next {
            // Where something has no target yet, that is what to do.
            None if page.untargeted.is_none() => {
                self.sentence(Style::Fine, "", &plan_page::nothing_left(plan))?;
            }
            None => {}
            Some(next) => self.next(hint(plan), next)?,
        }
        if all {
            self.others(plan)?;
        } else {
            self.folded(&page)?;
        }
        self.untargeted(plan, &page, setup)
    }

    /// Prints the next step alone: what to do and what to read after it, not why.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print_next(&mut self, plan: &Plan, setup: Option<&str>) -> io::Result<()> {
        let mut page = plan_page::page(plan, self.spec, false);
        match &mut page.next {
            Some(next) => {
                next.because.clear();
                self.next(hint_at_the_bench(plan), next)
            }
            None if page.untargeted.is_none() => {
                self.sentence(Style::Fine, "", &plan_page::nothing_left(plan))
            }
            None => self.untargeted(plan, &page, setup),
        }
    }

    fn next(&mut self, hint: Option<Phrase>, next: &NextText) -> io::Result<()> {
        self.sentence(Style::Strong, "", &next.heading)?;
        if let Some((heading, rows)) = &next.turns {
            self.sentence(Style::Plain, "  ", heading)?;
            self.turns(rows)?;
        }
        for todo in self.voice.phrases_by_string(&next.todo) {
            self.sentence(Style::Plain, "  ", todo)?;
        }
        for then in &next.then {
            self.sentence(Style::Plain, "  ", then)?;
        }
        for because in self.voice.phrases_by_string(&next.because) {
            self.sentence(Style::Quiet, "  ", because)?;
        }
        if let Some(hint) = hint {
            self.sentence(Style::Quiet, "  ", &hint)?;
        }
        self.cautions(&next.cautions)
    }

    fn turns(&mut self, rows: &[TurnRow]) -> io::Result<()> {
        let voice = self.voice;
        let say =
            |phrase: &Option<Phrase>| phrase.as_ref().map_or_else(String::new, |p| voice.say(p));
        let mut table = TextTable::new(plan_page::turn_head().map(|p| voice.say(&p))).indented(2);
        for row in rows {
            table.row([
                say(&row.place),
                say(&row.read),
                say(&row.target),
                voice.say(&row.turn),
                say(&row.then),
            ]);
        }
        self.printer.table(&table.by_string())
    }

    fn folded(&mut self, page: &PlanText) -> io::Result<()> {
        if !page.after.is_empty() {
            self.sentence(Style::Strong, "", &plan_page::after_that())?;
            let mut table = TextTable::default().indented(2);
            for (step, what) in page.after_in_order(&self.voice) {
                table.row([self.voice.say(step), self.voice.say(what)]);
            }
            self.printer.table(&table)?;
        }
        match &page.on_target {
            Some(fine) => self.sentence(Style::Fine, "", fine),
            None => Ok(()),
        }
    }

    /// Every other step in full.
    fn others(&mut self, plan: &Plan) -> io::Result<()> {
        let now = plan_page::now(plan);
        let others: Vec<StepText> = plan_page::in_order(plan, &self.voice)
            .into_iter()
            .filter(|step| !now.iter().any(|one| std::ptr::eq(*one, *step)))
            .map(|step| text::step(step, self.spec))
            .collect();
        if !others.is_empty() {
            self.sentence(Style::Strong, "", &hints::other_steps())?;
        }
        for step in &others {
            let title = self.voice.sentence(&step.title);
            let verdict = self.voice.say(&step.verdict);
            self.printer.hung(Style::Plain, "  ", 4, &format!("{title}: {verdict}"))?;
            let sentences: Vec<String> = self
                .voice
                .phrases_by_string(step.sentences())
                .into_iter()
                .map(|one| self.voice.sentence(one))
                .collect();
            if !sentences.is_empty() {
                self.printer.hung(Style::Quiet, "    ", 4, &sentences.join(" "))?;
            }
            self.cautions(&step.cautions)?;
        }
        Ok(())
    }

    fn drift(&mut self, drift: &DriftText) -> io::Result<()> {
        let voice = self.voice;
        let mut table = TextTable::new(drift.head.each_ref().map(|p| voice.say(p)));
        for row in drift.rows_in_order(&voice) {
            let mut cells =
                row.each_ref().map(|p| p.as_ref().map_or_else(String::new, |p| voice.say(p)));
            cells[0].insert_str(0, "  ");
            table.row(cells);
        }
        self.printer.table(&table)?;
        if let Some(points_at) = &drift.points_at {
            self.sentence(Style::Plain, "  ", points_at)?;
        }
        self.cautions(&drift.cautions)?;
        self.printer.blank()
    }

    /// Says of what nobody set a target: without one the plan has nothing to compare with.
    fn untargeted(&mut self, plan: &Plan, page: &PlanText, setup: Option<&str>) -> io::Result<()> {
        let Some(untargeted) = &page.untargeted else { return Ok(()) };
        let kinds = plan_page::untargeted(plan).unwrap_or_default();
        let example = example(kinds.first().copied());
        let style = if setup.is_none() { Style::Strong } else { Style::Quiet };
        let name = setup.unwrap_or("mine");
        self.sentence(style, "", untargeted)?;
        self.sentence(style, "  ", &hints::set_target(name, example))?;
        match setup {
            None => self.sentence(style, "  ", &hints::keep_readings(name)),
            Some(_) => Ok(()),
        }
    }

    fn cautions(&mut self, cautions: &[Phrase]) -> io::Result<()> {
        if cautions.is_empty() {
            return Ok(());
        }
        let texts: Vec<String> = cautions.iter().map(|one| self.voice.sentence(one)).collect();
        let first = format!("  {} ", self.voice.say(&hints::caution()));
        self.printer.hung(Style::Caution, &first, 4, &texts.join(" "))
    }

    fn sentence(&mut self, style: Style, first: &str, phrase: &Phrase) -> io::Result<()> {
        self.printer.hung(style, first, first.len(), &self.voice.sentence(phrase))
    }
}

/// What to type for the next step, where that is not said by the step itself.
fn hint(plan: &Plan) -> Option<Phrase> {
    let next = plan.next_step()?;
    match (next.kind, &next.verdict) {
        (StepKind::Targets, _) => Some(hints::set_target("mine", example(Some(next.kind)))),
        (StepKind::Tune, _) => Some(hints::tuned()),
        (StepKind::AsLeft, _) => Some(hints::as_left()),
        (StepKind::Action, StepVerdict::Adjust(work)) => {
            work.moves.iter().any(|one| one.turn.is_trial).then(hints::which_way)
        }
        _ => None,
    }
}

/// The same at the bench, where short words do: only what those who have them before their eyes would not
/// know to type.
fn hint_at_the_bench(plan: &Plan) -> Option<Phrase> {
    match plan.next_step()?.kind {
        StepKind::Targets => Some(hints::targets_here()),
        StepKind::Action => hint(plan),
        _ => None,
    }
}

/// A target to set, as it is typed.
fn example(kind: Option<StepKind>) -> &'static str {
    match kind {
        Some(StepKind::Relief | StepKind::Targets) => "relief 0.25 mm",
        Some(StepKind::FallAway) => "fall-away 0.2 mm",
        Some(StepKind::Nut) => "nut all 0.1 mm",
        Some(StepKind::BridgeHeight) => "bridge 3 mm",
        Some(StepKind::BridgeTilt) => "bridge-tail 3 mm",
        Some(StepKind::Spacing) => "spacing all 19 mm",
        Some(StepKind::Pickup) => "pickup all 2.5 mm",
        Some(StepKind::Tune) => "pitch all 0 cent",
        Some(StepKind::Intonation) => "intonation all 0 cent",
        Some(StepKind::Action | StepKind::Radius | StepKind::AsLeft) | None => "action all 5/64",
    }
}
