//! Drawings of the record: scenes that an app draws itself, or shows as SVG.

use fallaway_advice::clearance::{ClearanceWhatIf, TouchUsed};
use fallaway_advice::compare::WhatChanged;
use fallaway_advice::learn::{ClimateForecast, ForecastClimate};
use fallaway_advice::observe::{
    COVERAGE, Estimate, Facts, InterventionKind, Measurand, disturbs, intervention_of, of_spec,
};
use fallaway_advice::plan::StepVerdict;
use fallaway_measure::{Amount, Location, Quantity, StringPlace};
use fallaway_mechanics::units::as_mm;
use fallaway_order::PutInOrder as _;
use fallaway_record::{EntryBody, Moment, SetupId};
use fallaway_sheet::{
    DrawingWidth, Gap, GapBefore, History, HistoryDeed, HistoryForecast, HistoryPoint, Neck, Scene,
};
use fallaway_text::messages::errors as say;
use fallaway_text::{Voice, errors, names};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::showing::as_then::DAY_OF_WORK_S;
use crate::showing::card::{CardLine, CardStanding};
use crate::showing::planning::{Explanation, Occasion, PlanView};
use crate::showing::views::{HistoryEntry, HistoryFilter};

impl PlanView {
    /// The turns that it asks for now, as [`Instrument::draw_turns`].
    pub fn draw_turns(&self, voice: &Voice) -> Vec<Scene> {
        let Some(next) = self.plan.next.and_then(|next| self.plan.steps.get(next)) else {
            return Vec::new();
        };
        let turned = |verdict: &StepVerdict| matches!(verdict, StepVerdict::Adjust(_));
        let alike =
            self.plan.steps.iter().filter(|one| one.kind == next.kind && turned(&one.verdict));
        let mut scenes: Vec<Scene> = Vec::new();
        if turned(&next.verdict) {
            for scene in alike.flat_map(|step| fallaway_sheet::turn(step, &self.spec, voice)) {
                // A screw that moves several strings is turned once.
                if !scenes.contains(&scene) {
                    scenes.push(scene);
                }
            }
        }
        scenes
    }
}

/// What changed, drawn.
pub fn draw_changed(
    changed: &Explanation<WhatChanged>,
    width: DrawingWidth,
    voice: &Voice,
) -> Scene {
    fallaway_sheet::changes(&changed.facts, &changed.spec, width, voice)
}

impl Instrument {
    /// The turns that the plan asks for now, as dials: one for each screw of the next step, and of the
    /// steps of its kind that may be done with it. Empty where nothing is to be turned.
    ///
    /// # Errors
    /// As [`Instrument::plan`].
    pub fn draw_turns(&self, setup: Option<&SetupId>, voice: &Voice) -> Result<Vec<Scene>> {
        Ok(self.plan(setup)?.draw_turns(voice))
    }

    /// The neck in profile under one string: relief, action and nut, read against wanted; an arrow from what
    /// it was when something was last done that moves it to what is read now. Without a
    /// string the one whose action is furthest off, or the last.
    ///
    /// # Errors
    /// [`Error::BadInput`] where the scale length is not written down; [`Error::NotFound`] for a setup
    /// that the instrument does not have; when the record cannot be read.
    pub fn draw_neck(
        &self,
        string: Option<StringPlace>,
        setup: Option<&SetupId>,
        voice: &Voice,
    ) -> Result<Scene> {
        let card = self.card(setup)?;
        let spec = self.details()?.spec;
        let is_action = |line: &&CardLine| matches!(line.quantity, Quantity::Gap { over, .. } if over.number() > 3);
        let place_of = |line: &CardLine| match line.location {
            Location::Course(place) => Some(place),
            _ => None,
        };
        let off =
            |line: &&CardLine| matches!(line.standing, CardStanding::Above | CardStanding::Below);
        let far = |one: &&CardLine, other: &&CardLine| off_by(one).total_cmp(&off_by(other));
        let actions = || card.lines.iter().filter(is_action);
        let shown = string
            .or_else(|| actions().filter(off).max_by(far).and_then(place_of))
            .or_else(|| actions().filter_map(place_of).max())
            .or_else(|| spec.places().last().copied());
        let scale = shown
            .and_then(|place| spec.scale_of(place))
            .map(as_mm)
            .ok_or_else(|| Error::unwritten("scale", say::not_set("scale".to_owned())))?;
        let here = |line: &&CardLine| match line.quantity {
            Quantity::Relief { .. } => true,
            Quantity::FallAway { .. } => match line.location {
                Location::Course(place) => Some(place) == shown,
                _ => true,
            },
            Quantity::Gap { .. } => shown.is_some() && place_of(line) == shown,
            _ => false,
        };
        let frets = spec.frets.map_or(0, |frets| frets.count);
        let hidden = HistoryFilter { hide_retracted: true, ..HistoryFilter::default() };
        let mut all = self.history(&hidden)?;
        all.put_in_order_by_key(|view| view.entry.at.unix_s);
        let facts = of_spec(&spec);
        let with_before = |line: &CardLine| Gap { before: before(line, &all, &facts), ..gap(line) };
        Ok(fallaway_sheet::neck(
            &Neck {
                scale_mm: scale,
                // A board without frets is measured where they would be.
                frets: if frets == 0 { 24 } else { frets },
                string: shown.map(|place| names::string_label(&spec, place)),
                gaps: card.lines.iter().filter(here).map(with_before).collect(),
            },
            voice,
        ))
    }

    /// All readings of one thing over time, with the target, what was done that moves it, and the air; and
    /// what to expect in the driest and the dampest air noted, where the record has shown it.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record cannot be read.
    pub fn draw_history(
        &self,
        quantity: Quantity,
        location: Location,
        setup: Option<&SetupId>,
        width: DrawingWidth,
        voice: &Voice,
    ) -> Result<Scene> {
        let spec = self.details()?.spec;
        let facts = of_spec(&spec);
        let series = self.series(quantity, Some(location), None, None)?;
        let points = series.iter().filter_map(|point| {
            Some(HistoryPoint {
                at: point.at,
                read: Estimate::of_reading(point.reading, point.tool)?,
                said: names::reading(point.reading).of(quantity),
            })
        });
        let all =
            self.history(&HistoryFilter { hide_retracted: true, ..HistoryFilter::default() })?;
        let measurand = Measurand { quantity, location };
        let mut deeds = Vec::new();
        let mut air = Vec::new();
        for view in all {
            if let EntryBody::Climate(climate) = &view.entry.body {
                air.extend(climate.humidity.map(|humidity| (view.entry.at, humidity)));
            }
            if moves(&view.entry.body, measurand, &facts) {
                deeds.push(HistoryDeed { at: view.entry.at, said: view.text });
            }
        }
        deeds.put_in_order_by_key(|deed| deed.at.unix_s);
        air.put_in_order_by_key(|(at, _)| at.unix_s);
        let line = self.card(setup)?.lines.into_iter();
        let line = line
            .filter(|line| (line.quantity, line.location) == (quantity, location))
            .collect::<Vec<_>>();
        let target = line.iter().find_map(|line| line.target.as_ref());
        let two_values = line.iter().any(|line| line.standing == CardStanding::TwoValues);
        let forecast = self.expected(measurand, &air, setup)?;
        let history = History {
            quantity,
            place: names::location(&spec, location),
            points: points.collect(),
            wanted: target.map(|target| (target.wanted, target.tolerance)),
            two_values,
            deeds,
            air,
            forecast,
        };
        Ok(fallaway_sheet::history(&history, width, voice))
    }

    /// What to expect of one thing in the driest and in the dampest air that was noted; nothing where the
    /// record has not shown what the seasons do.
    fn expected(
        &self,
        of: Measurand,
        air: &[(Moment, Amount)],
        setup: Option<&SetupId>,
    ) -> Result<Vec<HistoryForecast>> {
        let seen = || air.iter().map(|(_, humidity)| humidity.number());
        let ends = seen().min_by(f64::total_cmp).zip(seen().max_by(f64::total_cmp));
        let Some((driest, dampest)) = ends else { return Ok(Vec::new()) };
        let climate = |humidity_percent: f64| ForecastClimate {
            name: String::new(),
            temperature_c: None,
            humidity_percent,
        };
        let mut climates = vec![climate(driest), climate(dampest)];
        climates.dedup();
        let found = match self.forecast(&climates, setup) {
            Ok(found) => found.facts,
            Err(Error::BadInput { .. }) => return Ok(Vec::new()),
            Err(error) => return Err(error),
        };
        let expect = |there: &ClimateForecast| {
            if of == found.season.way {
                let relief = there.relief;
                let about = (relief.high - relief.low) / 2.0 / COVERAGE;
                return Some(Estimate::mm(relief.value, about));
            }
            there.action.iter().find(|action| action.measurand == of).map(|action| action.expect)
        };
        let told = found.there.iter().filter_map(|there| {
            Some(HistoryForecast {
                humidity_percent: there.air.humidity_percent,
                expect: expect(there)?,
                beyond_record: there.beyond_record,
            })
        });
        Ok(told.collect())
    }

    /// What is left between strings and frets, note by note, with relief and saddles as they are and this
    /// touch ([`Instrument::play_of`]).
    ///
    /// # Errors
    /// As [`Instrument::clearance`].
    pub fn draw_clearance(&self, play: TouchUsed, voice: &Voice) -> Result<Scene> {
        let mut model = self.clearance()?;
        let found = model.ask(&ClearanceWhatIf::default(), play).map_err(|error| {
            let accepted = errors::formula(&error).accepted.unsaid();
            Error::bad_input(field("clearance"), errors::question(&error, "clearance"), accepted)
        })?;
        Ok(fallaway_sheet::clearance(&found, &self.fret_findings()?, &self.details()?.spec, voice))
    }

    /// What changed from one occasion to another, part by part.
    ///
    /// # Errors
    /// As [`Instrument::what_changed`].
    pub fn draw_changes(
        &self,
        before: &Occasion,
        after: &Occasion,
        width: DrawingWidth,
        voice: &Voice,
    ) -> Result<Scene> {
        Ok(draw_changed(&self.what_changed(before, after)?, width, voice))
    }
}

/// How far a reading is from its target in mm; 0 where there are not both.
fn off_by(line: &CardLine) -> f64 {
    let read = line.last.as_ref().and_then(|last| Estimate::of_reading(last.reading, last.tool));
    let wanted = line.target.as_ref().and_then(|target| target.wanted.length()).map(as_mm);
    read.zip(wanted).map_or(0.0, |(read, wanted)| (read.value - wanted).abs())
}

/// Whether something was done that moves a thing; neither tuning, which puts it back, nor the air.
pub(crate) fn moves(body: &EntryBody, of: Measurand, facts: &Facts) -> bool {
    let aside = [InterventionKind::Tuning, InterventionKind::Season];
    let done = intervention_of(body).filter(|done| !aside.contains(&done.kind));
    done.is_some_and(|done| disturbs(&done, of, facts))
}

/// The last reading of the first day after which nothing was done any more that moves the thing, if it has
/// been read since.
fn before(line: &CardLine, all: &[HistoryEntry], facts: &Facts) -> Option<GapBefore> {
    let of = Measurand { quantity: line.quantity, location: line.location };
    let mut first: Option<Moment> = None;
    let mut left: Option<GapBefore> = None;
    let mut last = None;
    for view in all {
        let (at, body) = (view.entry.at, &view.entry.body);
        if moves(body, of, facts) {
            (first, left, last) = (None, None, None);
        }
        let EntryBody::Pass(pass) = body else { continue };
        if pass.quantity != of.quantity {
            continue;
        }
        let here = pass.readings.iter().filter(|read| read.location == of.location);
        for read in here {
            let since = first.get_or_insert(at).unix_s;
            if at.unix_s - since <= DAY_OF_WORK_S {
                let said = names::reading(read.reading).of(of.quantity);
                let known = Estimate::of_reading(read.reading, pass.tool);
                left = known.map(|read| GapBefore { at, read, said });
            } else {
                last = Some(at);
            }
        }
    }
    left.filter(|_| last.is_some())
}

pub(crate) fn gap(line: &CardLine) -> Gap {
    let read = line.last.as_ref().and_then(|last| {
        let read = Estimate::of_reading_repeating(last.reading, last.tool, last.over_stated)?;
        Some((read, names::reading(last.reading).of(line.quantity)))
    });
    Gap {
        quantity: line.quantity,
        read,
        before: None,
        wanted: line.target.as_ref().map(|target| (target.wanted, target.tolerance)),
        two_values: line.standing == CardStanding::TwoValues,
        out_of_date: line.standing == CardStanding::MeasureAgain,
    }
}
