//! Pages to hand over: what a visit found, did and left; and the numbers for the lid of the case.

use std::collections::HashMap;

use fallaway_advice::observe::{
    Estimate, Facts, InterventionKind, Measurand, disturbs, intervention_of, of_spec,
};
use fallaway_advice::plan::StepKind;
use fallaway_measure::{Location, Quantity, Reading, Tool};
use fallaway_order::Map;
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::{At, Fact};
use fallaway_record::{
    AdjustedPart, Adjustment, EntryBody, EntryId, EntryKind, FretFinding, FretState,
    InstrumentSpec, Moment, Phase, Remark, SetupId,
};
use fallaway_sheet::{BenchNumber, BenchSheet, CustomerNumber, CustomerSheet, MarkRole, SheetPage};
use fallaway_text::{Phrase, Units, Voice, entries, facts, names, plan};

use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::showing::as_then::{AsThen, DAY_OF_WORK_S};
use crate::showing::card::{CardLine, CardStanding};
use crate::showing::views::{HistoryEntry, HistoryFilter};

/// What is done in one go, and when, what for.
struct Occasion {
    entries: Vec<HistoryEntry>,
    at: Moment,
    purpose: Option<String>,
    /// Nothing came after it.
    last: bool,
}

/// First and last reading of one thing on an occasion.
struct Seen {
    found: Option<Reading>,
    left: Option<(Reading, Option<Tool>)>,
}

impl Instrument {
    /// The page that a customer takes home: as found, wanted, as left; what was done, by whom; strings
    /// and air; what to watch, and when to come back. Of a visit, the last one if none is named; of the
    /// last day of work where nobody opened one.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a visit or setup that the instrument does not have; when the record cannot
    /// be read.
    pub fn customer_sheet(
        &self,
        visit: Option<EntryId>,
        setup: Option<&SetupId>,
        voice: &Voice,
    ) -> Result<SheetPage> {
        let voice = &for_paper(voice);
        let occasion = self.occasion(visit)?;
        let ids: Vec<EntryId> = occasion.entries.iter().map(|view| view.entry.id).collect();
        let AsThen { card, spec } = self.as_then(&ids, setup)?;
        let seen = seen(&occasion.entries, &of_spec(&spec));
        let number = |line: &CardLine| customer_number(line, &seen, &spec);
        let mut by: Vec<String> = Vec::new();
        for entry in &occasion.entries {
            if !by.contains(&entry.who) {
                by.push(entry.who.clone());
            }
        }
        let watch = occasion.entries.iter().rev().find_map(|view| match &view.entry.body {
            EntryBody::VisitEnd(ended) => Some(ended.note.clone()),
            _ => None,
        });
        // Nor does it tell of strings that were put on later.
        let newest = occasion.entries.iter().map(|view| view.entry.at.unix_s).max();
        let until = newest.unwrap_or(occasion.at.unix_s).max(occasion.at.unix_s).saturating_add(1);
        let of_kind = |kind: EntryKind| {
            let filter = HistoryFilter {
                kinds: vec![kind],
                last: Some(1),
                until: Some(Moment { unix_s: until, ..occasion.at }),
                hide_retracted: true,
                ..HistoryFilter::default()
            };
            self.history(&filter).map(|mut found| found.pop())
        };
        let changed = of_kind(EntryKind::StringsChanged)?;
        let here = |body: &EntryBody| matches!(body, EntryBody::Climate(_));
        let climate = occasion.entries.iter().rev().find(|view| here(&view.entry.body)).cloned();
        let climate = if climate.is_some() { climate } else { of_kind(EntryKind::ClimateNoted)? };
        let air = climate.and_then(|view| match &view.entry.body {
            EntryBody::Climate(climate) if climate.humidity.or(climate.temperature).is_some() => {
                Some((climate.humidity, climate.temperature, view.entry.at))
            }
            _ => None,
        });
        let found =
            if occasion.last { self.fret_findings()? } else { fret_remarks(&occasion.entries) };
        let wrong = found.iter().filter(|found| {
            matches!(found.state, FretState::High | FretState::Worn | FretState::Lifting)
        });
        let mut still: Vec<Phrase> =
            wrong.map(|found| entries::fret_finding(found, &spec)).collect();
        let buzzes = buzzes(&occasion.entries);
        still.extend(buzzes.iter().map(|view| view.text.clone()));
        let told: Vec<EntryId> = buzzes.iter().map(|view| view.entry.id).collect();
        // What is open, and how the neck lies, is of today.
        let open = if occasion.last { self.open_work(setup)? } else { Vec::new() };
        let neck = if occasion.last { self.draw_neck(None, setup, voice).ok() } else { None };
        // A bare board tells nobody anything.
        let tells = |role| matches!(role, MarkRole::Read | MarkRole::Wanted | MarkRole::OutOfDate);
        let neck = neck.filter(|scene| scene.marks.iter().any(|mark| tells(mark.role)));
        let page = CustomerSheet {
            name: card.name.clone(),
            at: occasion.at,
            purpose: occasion.purpose,
            by,
            numbers: card.lines.iter().filter_map(number).collect(),
            done: done(&occasion.entries, &spec),
            notes: notes(&occasion.entries, &told),
            tuning: tuning(&spec, voice),
            strings: strings(&spec, changed.as_ref(), voice),
            strings_since: changed.map(|view| view.entry.at),
            air,
            watch: watch.flatten(),
            still,
            open,
            neck,
        };
        Ok(fallaway_sheet::customer_sheet(&page, voice))
    }

    /// The page in the lid of the case: targets large, last readings beside them, and what hands have to
    /// know.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record cannot be read.
    pub fn bench_sheet(&self, setup: Option<&SetupId>, voice: &Voice) -> Result<SheetPage> {
        let voice = &for_paper(voice);
        let (card, spec) = (self.card(setup)?, self.details()?.spec);
        let lines = card.lines.iter().filter(|line| line.quantity != Quantity::Pitch).collect();
        let place = |lines: &[&CardLine]| {
            if let [one] = lines {
                return names::location(&spec, one.location);
            }
            let places = lines.iter().filter_map(|line| match line.location {
                Location::Course(place) => Some(place),
                _ => None,
            });
            Some(names::strings(&spec, &places.collect::<Vec<_>>()))
        };
        let number = |lines: Vec<&CardLine>| {
            let line = lines.first()?;
            Some(BenchNumber {
                what: names::quantity(line.quantity),
                place: place(&lines),
                wanted: wanted(line),
                reads: reads(&lines),
                two_values: line.standing == CardStanding::TwoValues,
            })
        };
        let numbers = by_course(lines).into_iter().filter_map(number);
        let hands = [Fact::Tuning, Fact::Strings, Fact::Scale, Fact::Rod, Fact::Screw];
        let mut known = Vec::new();
        let notes = tuning(&spec, voice);
        if !notes.is_empty() {
            known.push((facts::called(Fact::Tuning), fallaway_text::List::space(notes).into()));
        }
        let fields = voice.by_string(spec.fields(), |field| match field.at() {
            At::String(place) => Some((field.fact(), place.into())),
            _ => None,
        });
        for field in fields {
            if hands.contains(&field.fact()) && field.fact() != Fact::Tuning {
                known.push((facts::name(&field, &spec), facts::value(&field, &spec)));
            }
        }
        let page = BenchSheet {
            name: card.name.clone(),
            setup: card.setup.as_ref().map(|setup| setup.name.clone()),
            numbers: numbers.collect(),
            facts: known,
        };
        Ok(fallaway_sheet::bench_sheet(&page, voice))
    }

    /// The visit of this id, or the last; else what was written on the last day of work.
    fn occasion(&self, visit: Option<EntryId>) -> Result<Occasion> {
        let visits = self.visits()?;
        let of = match visit {
            Some(id) => {
                let found = visits.iter().find(|line| line.visit.id == id);
                let missing = || Error::not_found(NotFoundKind::Visit, id.to_string());
                Some(found.ok_or_else(missing)?)
            }
            None => visits.iter().rfind(|line| line.entries > 0),
        };
        let filter = HistoryFilter {
            visit: of.map(|line| line.visit.id),
            hide_retracted: true,
            ..HistoryFilter::default()
        };
        let mut entries = self.history(&filter)?;
        entries.put_in_order_by_key(|view| view.entry.at.unix_s);
        let Some(line) = of else {
            let last = entries.last().map(|view| view.entry.at);
            let at = last.unwrap_or_else(|| self.inner.clock.now());
            entries.retain(|view| at.unix_s - view.entry.at.unix_s <= DAY_OF_WORK_S);
            return Ok(Occasion { entries, at, purpose: None, last: true });
        };
        let last = visits.last().is_some_and(|newest| newest.visit.id == line.visit.id);
        let at = line.ended.unwrap_or(line.visit.begun);
        Ok(Occasion { entries, at, purpose: line.visit.purpose.clone(), last })
    }

    /// Kinds of work on the instrument that the plan has left.
    fn open_work(&self, setup: Option<&SetupId>) -> Result<Vec<Phrase>> {
        let view = self.plan(setup)?;
        // What only waits for another reading is nothing that a customer is owed.
        let open = view.plan.steps.iter().filter(|step| step.verdict.adjust().is_some());
        let mut kinds: Vec<StepKind> = open.map(|step| step.kind).collect();
        kinds.dedup();
        Ok(kinds.into_iter().map(plan::kind).collect())
    }
}

/// First readings, and the last that nothing done since disturbs.
fn seen(entries: &[HistoryEntry], facts: &Facts) -> HashMap<(Quantity, Location), Seen> {
    let mut all: HashMap<(Quantity, Location), Seen> = HashMap::new();
    for view in entries {
        if let EntryBody::Pass(pass) = &view.entry.body {
            for read in &pass.readings {
                let of = all.entry((pass.quantity, read.location));
                let of = of.or_insert(Seen { found: None, left: None });
                if of.found.is_none() && pass.phase != Some(Phase::AsLeft) {
                    of.found = Some(read.reading);
                }
                of.left = Some((read.reading, pass.tool));
            }
        } else if let Some(done) = intervention_of(&view.entry.body) {
            for ((quantity, location), of) in &mut all {
                let measurand = Measurand { quantity: *quantity, location: *location };
                if disturbs(&done, measurand, facts) {
                    of.left = None;
                }
            }
        }
    }
    all
}

fn wanted(line: &CardLine) -> Option<(fallaway_measure::Amount, fallaway_measure::Amount)> {
    line.target.as_ref().map(|target| (target.wanted, target.tolerance))
}

fn customer_number(
    line: &CardLine,
    seen: &HashMap<(Quantity, Location), Seen>,
    spec: &InstrumentSpec,
) -> Option<CustomerNumber> {
    let of = seen.get(&(line.quantity, line.location));
    if line.quantity == Quantity::Pitch || (of.is_none() && line.target.is_none()) {
        return None;
    }
    let said = |reading: Reading| names::reading(reading).of(line.quantity);
    let left = of.and_then(|of| of.left);
    let left_known = left.and_then(|(reading, tool)| Estimate::of_reading(reading, tool));
    Some(CustomerNumber {
        what: names::quantity(line.quantity),
        place: names::location(spec, line.location),
        found: of.and_then(|of| of.found).map(said),
        wanted: wanted(line),
        left: left.map(|(reading, _)| said(reading)),
        left_known,
        two_values: line.standing == CardStanding::TwoValues,
    })
}

/// What was done, that of several strings in one line where it is the same.
fn done(all: &[HistoryEntry], spec: &InstrumentSpec) -> Vec<Phrase> {
    let alike = |one: &Adjustment, other: &Adjustment| {
        std::mem::discriminant(&one.what) == std::mem::discriminant(&other.what)
            && one.what.place().is_some()
            && other.what.place().is_some()
            && (one.turns, one.amount, &one.note) == (other.turns, other.amount, &other.note)
    };
    let mut said = Vec::new();
    let mut together: Vec<Adjustment> = Vec::new();
    for view in all {
        if let EntryBody::Adjustment(one) = &view.entry.body {
            if together.last().is_some_and(|last| !alike(last, one)) {
                said.push(entries::adjusted(&std::mem::take(&mut together), spec));
            }
            together.push(one.clone());
            continue;
        }
        if !together.is_empty() {
            said.push(entries::adjusted(&std::mem::take(&mut together), spec));
        }
        if matches!(view.entry.body, EntryBody::StringChange(_)) {
            said.push(view.text.clone());
        }
    }
    if !together.is_empty() {
        said.push(entries::adjusted(&together, spec));
    }
    said
}

/// What was remarked or heard, without findings of frets and what is told in another place.
fn notes(all: &[HistoryEntry], elsewhere: &[EntryId]) -> Vec<Phrase> {
    let told = |view: &&HistoryEntry| match &view.entry.body {
        EntryBody::Remark(remark) => view.replaced_by.is_none() && remark.fret.is_none(),
        body => matches!(body, EntryBody::Buzz(_)) && !elsewhere.contains(&view.entry.id),
    };
    all.iter().filter(told).map(|view| view.text.clone()).collect()
}

/// The last finding of each fret.
fn fret_remarks(all: &[HistoryEntry]) -> Vec<FretFinding> {
    let mut found: Map<u8, FretFinding> = Map::new();
    for view in all.iter().filter(|view| view.replaced_by.is_none()) {
        match &view.entry.body {
            EntryBody::Remark(Remark { fret: Some(one), .. }) => {
                found.insert(one.fret.number(), one.clone());
            }
            EntryBody::Adjustment(Adjustment { what: AdjustedPart::Frets, .. }) => found.clear(),
            _ => {}
        }
    }
    found.into_values().collect()
}

/// What buzzed, and nothing was done since that could have ended it.
fn buzzes(all: &[HistoryEntry]) -> Vec<&HistoryEntry> {
    let mut heard = Vec::new();
    for view in all {
        let aside = [InterventionKind::Tuning, InterventionKind::Season];
        match &view.entry.body {
            EntryBody::Buzz(_) => heard.push(view),
            body if intervention_of(body).is_some_and(|done| !aside.contains(&done.kind)) => {
                heard.clear();
            }
            _ => {}
        }
    }
    heard
}

/// A page is for its reader: where they prefer units, readings and targets are in them too.
fn for_paper(voice: &Voice) -> Voice {
    voice.in_units(Units { convert_readings: true, ..voice.units })
}

/// The strings of a course that are wanted alike are one number.
fn by_course(lines: Vec<&CardLine>) -> Vec<Vec<&CardLine>> {
    let course = |line: &CardLine| match line.location {
        Location::Course(place) if place.member().is_some() => Some(place.number()),
        _ => None,
    };
    let alike = |one: &CardLine, other: &CardLine| {
        let two = |line: &CardLine| line.standing == CardStanding::TwoValues;
        one.quantity == other.quantity
            && course(one).is_some()
            && course(one) == course(other)
            && wanted(one) == wanted(other)
            && two(one) == two(other)
    };
    let mut all: Vec<Vec<&CardLine>> = Vec::new();
    for line in lines {
        match all.last_mut() {
            Some(last) if last.first().is_some_and(|first| alike(first, line)) => last.push(line),
            _ => all.push(vec![line]),
        }
    }
    all
}

/// What was read of each string of a course; once, where it is the same.
fn reads(lines: &[&CardLine]) -> Vec<Option<Phrase>> {
    let said = |line: &&CardLine| {
        line.last.as_ref().map(|last| names::reading(last.reading).of(line.quantity))
    };
    let mut all: Vec<Option<Phrase>> = lines.iter().map(said).collect();
    if all.iter().all(|one| Some(one) == all.first()) {
        all.truncate(1);
    }
    all
}

/// The notes of the strings, in the person's order.
fn tuning(spec: &InstrumentSpec, voice: &Voice) -> Vec<Phrase> {
    voice.in_order(spec.tuning.values().map(|note| names::note(*note)).collect())
}

/// The set that was put on, as it was called, and the gauges.
fn strings(spec: &InstrumentSpec, changed: Option<&HistoryEntry>, voice: &Voice) -> Vec<Phrase> {
    let set = changed.and_then(|view| match &view.entry.body {
        EntryBody::StringChange(change) => change.set.as_deref(),
        _ => None,
    });
    let gauges = spec.strings.values().filter_map(|string| string.gauge).map(names::amount);
    let gauges = voice.in_order(gauges.collect());
    set.map(Phrase::written).into_iter().chain(gauges).collect()
}
