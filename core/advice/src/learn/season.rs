//! How relief follows the moisture of the wood.
//!
//! Linear regression (`fallaway_mechanics::learn`) of every relief that was read near a noted climate
//! on: a constant, the sum of all rod turns so far, the moisture content that wood comes to in that
//! climate, the strings (each set and tuning pulls a little differently), work that shifts the relief
//! by an unknown amount, and each reader's offset. Necks differ in size and sign of the season, so its
//! prior is centred on zero.
//!
//! The air noted on a day is not quite what the wood has come to. An error in x makes a fitted slope
//! too small (attenuation; W. A. Fuller, "Measurement Error Models", 1987, section 1.1, from memory):
//! of the information on the slope, Σ w x², the share Σ w s² is that of the error, of standard
//! deviation s. The slope is put right for it, and its interval takes in that s is a choice.

use fallaway_measure::{Quantity, ToolKind};
use fallaway_mechanics::learn::{Coefficient, DataPoint, Prediction, Regression, regress};
use fallaway_mechanics::wood::equilibrium_moisture;
use uom::si::f64::{Ratio, ThermodynamicTemperature};
use uom::si::ratio::percent;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::value::{Interval, LearnedValue, LeftOut, WhyLeftOut};
use crate::observe::{
    ACCLIMATISED_H, Event, EventKind, Facts, InterventionKind, Measurand, MeasurandKind,
    Observation, ReadingIndex, TODAY_S, offset_mm,
};

/// Room temperature, where none was noted: the moisture of wood hardly depends on it (common
/// practice, no source).
pub(super) const ROOM_C: f64 = 20.0;
/// A climate counts for readings within this time of it (common practice, no source).
const NEAR_S: i64 = 3 * 24 * 3600;
/// How far a neck is off what its moisture says at any one time, since wood lags the air; one
/// standard deviation in mm (common practice, no source).
pub(super) const LAG_MM: f64 = 0.03;
/// How far the moisture content of the air noted on a day is off that of the wood, in percentage
/// points: some 3 % of relative humidity, for weather, lag and hygrometer together; one standard
/// deviation (common practice, no source).
const AIR_OFF: f64 = 0.5;
/// How unsure the variance of that is, as a share of it: one standard deviation (a choice).
const AIR_OFF_DOUBT: f64 = 0.5;
/// Of the information on the slope, no more than this share is taken for error of the noted air:
/// beyond it a correction is worth nothing (a choice).
const MOST_ERROR: f64 = 0.5;

// Priors, as standard deviations (choices of this library, common practice, no source).
/// Relief in mm about 0.2 mm.
const CONSTANT: Coefficient = Coefficient { mean: 0.2, standard_deviation: 0.5 };
/// Millimetres a turn of the rod; which way it acts only the record says.
const TURNS: Coefficient = Coefficient { mean: 0.0, standard_deviation: 1.5 };
/// Millimetres for each percentage point of moisture content, about zero: one standard deviation. Neck and
/// board bow like the two layers of a bimetal (S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233, from memory):
/// with shrinkage along the grain of 0.1 to 0.2 % from green to dry (Forest Products Laboratory, "Wood
/// Handbook", FPL-GTR-190 (2010), p. 4-5, secondary copy), drawn apart for either wood, 0.034 on a bass and
/// 0.017 on a guitar.
pub(crate) fn moisture_mm(facts: &Facts) -> f64 {
    if facts.has_long_neck() { 0.04 } else { 0.02 }
}
/// What another set of strings or another tuning does, in mm.
const STRINGS_MM: f64 = 0.05;
/// What work of unknown size on neck or rod does, in mm.
const WORK_MM: f64 = 0.4;
/// The columns before those of strings, work and readers.
const FIXED: usize = 3;
/// The column of the moisture content.
const SLOPE: usize = 2;
/// Most columns: of strings and work the last ones are kept, and observations before them left to
/// the first.
const MOST_SHIFTS: usize = 30;
const MOST_READERS: usize = 20;
/// Most observations that may stand apart.
const MOST_APART: usize = 3;

/// How relief follows the seasons.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonLearned {
    /// How and where the relief was read.
    pub way: Measurand,
    /// Millimetres of relief for each percentage point of moisture content of the wood itself; the
    /// airs that were noted are off it, which is allowed for.
    pub per_percent: LearnedValue,
    /// The driest and the dampest moisture content that it was seen in, in percent.
    pub seen_percent: (f64, f64),
    /// Whether the record tells the season from none.
    pub told: bool,
    pub(super) model: Box<SeasonFit>,
}

/// What is needed for a forecast.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SeasonFit {
    regression: Regression,
    reference: f64,
    attenuated: Attenuated,
    turns: f64,
    /// For each column of strings and work, whether it is in force now.
    shifts: Vec<f64>,
    columns: usize,
    /// The last reading that counted.
    pub last: Observation,
}

/// One observation, before the columns are known.
struct Row {
    seen: Observation,
    moisture: f64,
    turns: f64,
    /// How many shifts of each kind had happened.
    strings: usize,
    work: usize,
    reader: (Option<String>, Option<ToolKind>),
}

impl Row {
    /// What a reading is off the neck that the model expects, one standard deviation in mm.
    fn noise(&self) -> f64 {
        self.seen.known.standard_uncertainty.hypot(LAG_MM)
    }
}

/// The sum of turns and the shifts up to an entry.
#[derive(Clone, Copy, Default)]
struct History {
    turns: f64,
    strings: usize,
    work: usize,
}

impl History {
    fn note(&mut self, kind: InterventionKind, turns: Option<f64>) {
        match (kind, turns.filter(|t| t.is_finite())) {
            (InterventionKind::Rod, Some(turns)) => self.turns += turns,
            (
                InterventionKind::Rod
                | InterventionKind::Neck
                | InterventionKind::Frets
                | InterventionKind::Unknown,
                _,
            ) => {
                self.work += 1;
            }
            (InterventionKind::Strings | InterventionKind::Tuning, _) => self.strings += 1,
            _ => {}
        }
    }
}

/// The moisture content of wood in an air, in percent.
pub(super) fn moisture(temperature_c: Option<f64>, humidity_percent: f64) -> Option<f64> {
    let temperature =
        ThermodynamicTemperature::new::<degree_celsius>(temperature_c.unwrap_or(ROOM_C));
    let found = equilibrium_moisture(temperature, Ratio::new::<percent>(humidity_percent)).ok()?;
    Some(found.get::<percent>()).filter(|m| m.is_finite())
}

/// What the climates that were noted lack, so that no reading counts as read near one of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ClimateLack {
    /// No climate was noted at all.
    Any,
    /// None has a humidity.
    Humidity,
    /// None says how long the instrument had been there.
    Hours,
    /// In none the instrument had been for a day.
    Longer,
}

/// What is lacking, as far as it is the climates.
pub(super) fn lacking(bench: &ReadingIndex<'_>) -> Option<ClimateLack> {
    let noted = bench.input.events.iter().filter(|event| !event.retracted);
    let lack = noted.filter_map(|event| match event.what {
        EventKind::Climate { humidity_percent: None, .. } => Some(Some(ClimateLack::Humidity)),
        EventKind::Climate { hours_there: None, .. } => Some(Some(ClimateLack::Hours)),
        EventKind::Climate { hours_there: Some(hours), .. } => {
            Some((hours < ACCLIMATISED_H).then_some(ClimateLack::Longer))
        }
        _ => None,
    });
    // What lacks the least.
    lack.min_by_key(|lack| match lack {
        None => 0,
        Some(ClimateLack::Longer) => 1,
        Some(ClimateLack::Hours) => 2,
        Some(ClimateLack::Humidity | ClimateLack::Any) => 3,
    })
    .unwrap_or(Some(ClimateLack::Any))
}

pub(super) fn learn(bench: &ReadingIndex<'_>) -> Result<SeasonLearned, ()> {
    let way = usual_way(bench).ok_or(())?;
    let slope = moisture_mm(&bench.input.facts);
    let mut excluded = Vec::new();
    let mut rows = rows(bench, way, &mut excluded);
    let now = history(bench, None);
    let mut apart = 0;
    loop {
        // One observation that the others do not expect at all is left out, and says so.
        let worst =
            (rows.len() > 5 && apart < MOST_APART).then(|| farthest(&rows, now, slope)).flatten();
        if let Some(worst) = worst {
            apart += 1;
            let row = rows.remove(worst);
            excluded.push(row.seen.left_out(WhyLeftOut::StandsApart));
            continue;
        }
        let fitted = fit(&rows.iter().collect::<Vec<_>>(), now, slope)?;
        return season(way, &rows, fitted, now, excluded);
    }
}

fn season(
    way: Measurand,
    rows: &[Row],
    fitted: Fitted,
    now: History,
    excluded: Vec<LeftOut>,
) -> Result<SeasonLearned, ()> {
    let attenuated = Attenuated::of(&fitted, rows).ok_or(())?;
    let mut x = vec![0.0; fitted.columns];
    *x.get_mut(SLOPE).ok_or(())? = attenuated.factor;
    let slope = fitted.regression.predict(&x, 0.0, 0.95).map_err(drop)?;
    let slope = attenuated.widened(slope, 1.0);
    let moistures = rows.iter().map(|r| r.moisture);
    let seen_percent = (
        moistures.clone().fold(f64::INFINITY, f64::min),
        moistures.fold(f64::NEG_INFINITY, f64::max),
    );
    let prior = 1.96 * fitted.slope;
    Ok(SeasonLearned {
        way,
        per_percent: LearnedValue {
            observations: rows.len(),
            estimate: Interval { value: slope.value, low: slope.low, high: slope.high },
            prior: Interval { value: 0.0, low: -prior, high: prior },
            excluded,
        },
        seen_percent,
        told: slope.low > 0.0 || slope.high < 0.0,
        model: Box::new(SeasonFit {
            shifts: fitted.shifts(now.strings, now.work),
            regression: fitted.regression,
            reference: fitted.reference,
            attenuated,
            turns: now.turns,
            columns: fitted.columns,
            last: rows.last().ok_or(())?.seen.clone(),
        }),
    })
}

impl SeasonFit {
    /// The relief to expect of wood that has come to a moisture content, with rod and strings as they
    /// are now: the true one, not a further reading of it.
    pub(crate) fn at(&self, moisture: f64) -> Option<Prediction> {
        let off = moisture - self.reference;
        let mut x = vec![1.0, self.turns, off * self.attenuated.factor];
        x.extend(&self.shifts);
        x.resize(self.columns, 0.0);
        let found = self.regression.predict(&x, LAG_MM, 0.95).ok()?;
        Some(self.attenuated.widened(found, off))
    }
}

/// By how much the fitted slope is too small because the noted airs are off.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Attenuated {
    /// Times the fitted slope is the true one.
    factor: f64,
    /// What the doubt about this makes of the slope, one standard deviation in mm a percentage point.
    doubt: f64,
}

impl Attenuated {
    fn of(fitted: &Fitted, rows: &[Row]) -> Option<Self> {
        let regression = &fitted.regression;
        let widen = regression.degrees() / (regression.degrees() - 2.0);
        let variance = regression.covariance(SLOPE, SLOPE)? / widen / regression.scatter().powi(2);
        let prior = fitted.slope.powi(-2);
        let (all, read) = (1.0 / variance, (1.0 / variance - prior).max(0.0));
        // What the other columns follow of the errors does not reach the slope.
        let error: f64 = rows
            .iter()
            .filter_map(|row| {
                let free = 1.0 - regression.leverage(&fitted.x(row), row.noise())?;
                Some(free.max(0.0) * (AIR_OFF / row.noise()).powi(2))
            })
            .sum();
        let error = error.min(MOST_ERROR * read);
        let factor = all / (all - error);
        // The factor changes with the error by factor^2 / all.
        let per_error = factor.powi(2) / all;
        let doubt = (regression.mean(SLOPE)? * per_error * error * AIR_OFF_DOUBT).abs();
        Some(Self { factor, doubt })
    }

    /// A prediction that far from the mean moisture, with the doubt in it.
    fn widened(self, p: Prediction, off: f64) -> Prediction {
        let half = (p.high - p.value).hypot(1.96 * self.doubt * off);
        Prediction { value: p.value, low: p.value - half, high: p.value + half }
    }
}

/// The thing by which relief was read most often.
fn usual_way(bench: &ReadingIndex<'_>) -> Option<Measurand> {
    let mut ways: Vec<(Measurand, usize)> = Vec::new();
    for event in bench.input.events.iter().filter(|e| !e.retracted) {
        let EventKind::Pass(pass) = &event.what else { continue };
        if !matches!(pass.quantity, Quantity::Relief { .. }) {
            continue;
        }
        for read in pass.readings.iter() {
            let measurand = Measurand { quantity: pass.quantity, location: read.location };
            match ways.iter_mut().find(|(t, _)| *t == measurand) {
                Some((_, count)) => *count += 1,
                None => ways.push((measurand, 1)),
            }
        }
    }
    ways.into_iter().max_by_key(|(_, count)| *count).map(|(measurand, _)| measurand)
}

/// What was done before an entry, as its writer knew; or all of it.
fn history(bench: &ReadingIndex<'_>, before: Option<usize>) -> History {
    let mut history = History::default();
    for done in &bench.interventions {
        if before.is_none_or(|b| bench.input.causality.precedes(done.event, b)) {
            history.note(done.intervention.kind, done.intervention.turns);
        }
    }
    history
}

/// Most passes of relief that are learned from: the last ones (a choice).
const MOST_PASSES: usize = 1_000;

fn rows(bench: &ReadingIndex<'_>, way: Measurand, excluded: &mut Vec<LeftOut>) -> Vec<Row> {
    let input = bench.input;
    let airs: Vec<(i64, f64, Option<f64>)> = input
        .events
        .iter()
        .filter(|e| !e.retracted)
        .filter_map(|e| match e.what {
            EventKind::Climate {
                temperature_c,
                humidity_percent: Some(humidity),
                hours_there: Some(hours),
            } if hours >= ACCLIMATISED_H => Some((e.at.unix_s, humidity, temperature_c)),
            _ => None,
        })
        .collect();
    let mut rows: Vec<Row> = Vec::new();
    let posture = usual_posture(bench, way);
    let of_relief = |(event, entry)| {
        let entry: &Event<'_> = entry;
        let EventKind::Pass(pass) = &entry.what else { return None };
        let relief = MeasurandKind::of(pass.quantity) == Some(MeasurandKind::Relief);
        (relief && !entry.retracted).then_some((event, entry))
    };
    let mut passes: Vec<(usize, &Event<'_>)> =
        input.events.iter().enumerate().filter_map(of_relief).collect();
    for (event, entry) in passes.split_off(passes.len().saturating_sub(MOST_PASSES)) {
        let mut leave = |why| excluded.push(LeftOut::new(entry, why));
        let Some(seen) = bench.seen(event, way) else {
            leave(WhyLeftOut::AnotherWay);
            continue;
        };
        if seen.posture.is_some() && seen.posture != posture {
            leave(WhyLeftOut::AnotherWay);
            continue;
        }
        if !seen.is_value() {
            leave(WhyLeftOut::Bound);
            continue;
        }
        let near = |at: i64| (at - entry.at.unix_s).abs();
        let air = airs.iter().filter(|a| near(a.0) <= NEAR_S).min_by_key(|a| near(a.0));
        let Some(&(_, humidity, temperature)) = air else {
            leave(WhyLeftOut::NoClimate);
            continue;
        };
        let Some(moisture) = moisture(temperature, humidity) else {
            leave(WhyLeftOut::ClimateBeyond);
            continue;
        };
        let History { turns, strings, work } = history(bench, Some(event));
        let reader = (seen.by.clone(), seen.tool.map(fallaway_measure::Tool::kind));
        let row = Row { seen, moisture, turns, strings, work, reader };
        // The wood is where it is: the same state read twice on one day is one observation.
        let same = rows.last().is_some_and(|last| {
            last.reader == row.reader
                && (last.turns - row.turns).abs() < 1e-9
                && (last.strings, last.work) == (strings, work)
                && near(last.seen.at.unix_s) <= TODAY_S
        });
        if same {
            rows.pop();
        }
        rows.push(row);
    }
    rows
}

fn usual_posture(bench: &ReadingIndex<'_>, way: Measurand) -> Option<fallaway_record::Posture> {
    let mut postures: Vec<(fallaway_record::Posture, usize)> = Vec::new();
    for event in 0..bench.input.events.len() {
        let live = bench.input.events.get(event).is_some_and(|e| !e.retracted);
        let Some(posture) = bench.seen(event, way).filter(|_| live).and_then(|s| s.posture) else {
            continue;
        };
        match postures.iter_mut().find(|(p, _)| *p == posture) {
            Some((_, count)) => *count += 1,
            None => postures.push((posture, 1)),
        }
    }
    postures.into_iter().max_by_key(|(_, count)| *count).map(|(posture, _)| posture)
}

struct Fitted {
    regression: Regression,
    /// What is thought of the slope beforehand, one standard deviation.
    slope: f64,
    reference: f64,
    columns: usize,
    /// The first shift of strings and of work that has a column of its own, and how many there are.
    strings: (usize, usize),
    work: (usize, usize),
}

impl Fitted {
    /// The columns of strings (the set in force) and of work (all that was done so far).
    fn shifts(&self, strings: usize, work: usize) -> Vec<f64> {
        shifts(self.strings, self.work, strings, work)
    }

    /// The columns of a reading, its reader's offset aside.
    fn x(&self, row: &Row) -> Vec<f64> {
        let mut x = vec![1.0, row.turns, row.moisture - self.reference];
        x.extend(self.shifts(row.strings, row.work));
        x.resize(self.columns, 0.0);
        x
    }
}

fn shifts(sets: (usize, usize), works: (usize, usize), strings: usize, work: usize) -> Vec<f64> {
    let mut x = vec![0.0; sets.1 + works.1];
    if let Some(cell) = x.get_mut(strings.saturating_sub(sets.0).min(sets.1.saturating_sub(1))) {
        *cell = 1.0;
    }
    for done in 0..works.1 {
        if let Some(cell) = x.get_mut(sets.1 + done)
            && work > works.0 + done
        {
            *cell = 1.0;
        }
    }
    x
}

fn fit(rows: &[&Row], now: History, slope: f64) -> Result<Fitted, ()> {
    if rows.is_empty() {
        return Err(());
    }
    let reference = rows.iter().map(|r| r.moisture).sum::<f64>() / rows.len() as f64;
    let last = |count: usize| (count.saturating_sub(MOST_SHIFTS / 2), count.min(MOST_SHIFTS / 2));
    // Sets of strings count from the one that was on before any change.
    let (strings, work) = (last(now.strings + 1), last(now.work));
    let mut readers: Vec<&(Option<String>, Option<ToolKind>)> = Vec::new();
    for row in rows.iter().rev() {
        if !readers.contains(&&row.reader) && readers.len() < MOST_READERS {
            readers.push(&row.reader);
        }
    }
    let zero = |standard_deviation| Coefficient { mean: 0.0, standard_deviation };
    let mut prior = vec![CONSTANT, TURNS, zero(slope)];
    prior.extend(std::iter::repeat_n(zero(STRINGS_MM), strings.1));
    prior.extend(std::iter::repeat_n(zero(WORK_MM), work.1));
    prior.extend(readers.iter().map(|(_, tool)| zero(offset_mm(*tool))));
    debug_assert_eq!(prior.len(), FIXED + strings.1 + work.1 + readers.len());
    let observations: Vec<DataPoint> = rows
        .iter()
        .map(|row| {
            let mut x = vec![1.0, row.turns, row.moisture - reference];
            x.extend(shifts(strings, work, row.strings, row.work));
            x.extend(readers.iter().map(|r| f64::from(u8::from(**r == row.reader))));
            DataPoint { x, y: row.seen.known.value, standard_uncertainty: row.noise() }
        })
        .collect();
    let regression = regress(&prior, &observations).map_err(drop)?;
    Ok(Fitted { regression, slope, reference, columns: prior.len(), strings, work })
}

/// The observation that lies farthest from what all others expect, if it lies beyond what one in a
/// thousand would, and half of that again (a choice).
fn farthest(rows: &[Row], now: History, slope: f64) -> Option<usize> {
    let all: Vec<&Row> = rows.iter().collect();
    let fitted = fit(&all, now, slope).ok()?;
    let left = |row: &Row| {
        let x = fitted.x(row);
        let expect: f64 =
            x.iter().enumerate().filter_map(|(k, x)| Some(x * fitted.regression.mean(k)?)).sum();
        (row.seen.known.value - expect).abs() / row.noise()
    };
    let worst = rows
        .iter()
        .enumerate()
        .map(|(i, row)| (i, left(row)))
        .max_by(|a, b| a.1.total_cmp(&b.1))?
        .0;
    let others: Vec<&Row> =
        rows.iter().enumerate().filter(|(i, _)| *i != worst).map(|(_, r)| r).collect();
    let without = fit(&others, now, slope).ok()?;
    let row = rows.get(worst)?;
    let p = without.regression.predict(&without.x(row), row.noise(), 0.999).ok()?;
    ((row.seen.known.value - p.value).abs() > 1.5 * (p.high - p.value)).then_some(worst)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::learn::tension::prior_of;

    /// Relief in mm of a neck that bows evenly, of so many a metre, between frets 1 and `last`.
    fn relief_mm(bow: f64, scale_mm: f64, last: i32) -> f64 {
        let place = |fret: i32| 1.0 - 2_f64.powf(-f64::from(fret) / 12.0);
        let chord = scale_mm * 1e-3 * (place(last) - place(1));
        bow * chord.powi(2) / 8.0 * 1e3
    }

    /// Necks of which the priors are worked out: scale in mm, last fret, and whose.
    fn necks() -> [(f64, i32, Facts); 2] {
        let guitar = crate::observe::StringFacts {
            place: fallaway_measure::StringPlace::course(1).unwrap(),
            pitch_hz: None,
            scale_mm: Some(648.0),
            offset_mm: None,
            gauge_mm: None,
            plain: None,
        };
        let guitar = Facts { strings: vec![guitar], ..Facts::default() };
        [(864.0, 24, Facts::default()), (648.0, 22, guitar)]
    }

    #[test]
    fn the_prior_of_the_season_is_that_of_two_woods_glued_together() {
        // Shrinkage along the grain from green to dry, over some 28 points of moisture (Forest Products Laboratory, "Wood
        // Handbook", FPL-GTR-190 (2010), p. 4-5, secondary copy): 0.1 to 0.2 %, anywhere between, for either wood.
        let apart = (0.2e-2 - 0.1e-2) / 28.0 / 12_f64.sqrt() * 2_f64.sqrt();
        // Two layers as stiff as each other, a board of 6 mm on a neck of 16 (S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233,
        // equation 4, from memory; the sections are common practice, no source).
        let (board, neck) = (6e-3, 16e-3);
        let m: f64 = board / neck;
        let bow = 6.0 * apart * (1.0 + m).powi(2)
            / ((board + neck) * (3.0 * (1.0 + m).powi(2) + (1.0 + m) * (m * m + 1.0 / m)));
        for (scale, last, facts) in necks() {
            let found = relief_mm(bow, scale, last);
            let prior = moisture_mm(&facts);
            assert!((0.7..1.05).contains(&(found / prior)), "{scale}: {found} {prior}");
        }
    }

    #[test]
    fn the_prior_of_the_pull_is_that_of_a_beam_of_maple() {
        // 12.6 GPa at 12 % moisture (the same, table 5-3, secondary copy). A neck of half a round, 48 mm wide and 22 mm
        // thick, has some 0.65 of the second moment of a rectangle; strings 15 mm over its middle (common practice, no
        // source).
        let stiffness = 12.6e9 * 0.65 * 0.048 * 0.022_f64.powi(3) / 12.0;
        for (scale, last, facts) in necks() {
            let found = relief_mm(0.015 / stiffness, scale, last);
            let prior = prior_of(&facts);
            let off = (found - prior.mean).abs() / prior.standard_deviation;
            assert!(off < 0.5, "{scale}: {found} {}", prior.mean);
        }
    }
}
