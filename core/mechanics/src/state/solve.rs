//! The least-squares system: rows from readings, priors, covariance, residual tests.

use fallaway_measure::Limit;
use nalgebra::{DMatrix, DVector};
use uom::si::angle::radian;
use uom::si::f64::{Angle, Curvature, Length};

use super::{BetweenVisits, Model, OffsetsApart, StatePart, StateReading, StateString, What};
use crate::error::{Error, Result};
use crate::string_line::{GapRow, saddle_x_mm};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm, per_mm};

// Columns are scaled so that all unknowns are of order one: curvature in 1e-6/mm, tilt in mrad,
// lengths in mm, the joint and shared offsets in their own standard uncertainties.
pub(super) const CURVATURE_UNIT: f64 = 1e-6;
pub(super) const TILT_UNIT: f64 = 1e-3;

/// Prior standard deviations, in scaled units.
const PRIOR_CURVATURE_34IN: f64 = 30.0;
const PRIOR_TILT: f64 = 3.0;
/// Of the change of tilt from one visit to the next: 1 mrad moves the nut end of a 34 in neck by
/// half a millimetre.
pub(super) const PRIOR_TILT_CHANGE: f64 = 1.0;
/// Of the change of a nut slot of which nothing is known.
pub(super) const PRIOR_NUT_CHANGE: f64 = 10.0;
/// How strings stand beside where screws hold them that they have in common, and how far those go
/// (common practice, no source).
const BESIDE_SCREWS: f64 = 0.1;
const OF_SCREWS: f64 = 20.0;
/// Of the difference between both sides (some 0.4 mm of relief on 34 in), and of its change from one
/// visit to the next (some 0.2 mm).
const PRIOR_TWIST_34IN: f64 = 10.0;
const PRIOR_TWIST_CHANGE_34IN: f64 = 4.0;
const PRIOR_SADDLE: f64 = 20.0;
const PRIOR_NUT: f64 = 1.0;
/// Part of the prior's standard deviation beyond which a part counts as undetermined.
const UNDETERMINED: f64 = 0.3;

/// A linear answer to the state of one visit: coefficients of the state's columns and a constant.
#[derive(Debug, Clone)]
pub(super) struct Linear {
    pub(super) state: Vec<f64>,
    pub(super) constant: f64,
}

impl Linear {
    pub(super) fn at(&self, state: &[f64]) -> f64 {
        self.constant + self.state.iter().zip(state).map(|(a, b)| a * b).sum::<f64>()
    }
}

/// Number of columns of one visit's state.
pub(super) fn width(model: &Model) -> usize {
    3 + 2 * model.strings()
}

/// The row of a reading with the joint moved by `joint` of its standard uncertainties.
pub(super) fn linear(model: &Model, what: What, string: usize, joint: f64) -> Result<Linear> {
    let StateString { geometry, across } = model.string(string)?;
    let place = geometry.joint.fret + joint * geometry.joint.standard_uncertainty;
    let neck =
        geometry.neck_with_joint(place.clamp(Limit::JointFret.least(), Limit::JointFret.most()))?;
    let row = match what {
        What::Relief(way) => {
            let (curvature, tilt, constant) = neck.relief_row(way)?;
            GapRow { curvature, tilt, saddle: 0.0, nut: 0.0, constant }
        }
        What::Gap(place) => GapRow::new(&neck, saddle_x_mm(&neck, geometry.compensation)?, place)?,
        What::GapHeld { held, over } => GapRow::held(&neck, held, over)?,
    };
    let mut state = vec![0.0; width(model)];
    let columns = [
        (0, row.curvature * CURVATURE_UNIT * (1.0 - across)),
        (1, row.curvature * CURVATURE_UNIT * across),
        (2, row.tilt * TILT_UNIT),
        (3 + string, row.saddle),
        (3 + model.strings() + string, row.nut),
    ];
    for (column, value) in columns {
        if let Some(place) = state.get_mut(column) {
            *place += value;
        }
    }
    Ok(Linear { state, constant: row.constant })
}

/// The coefficients that pick a part out of one visit's state.
pub(super) fn pick(model: &Model, part: StatePart) -> Result<Vec<f64>> {
    let mut state = vec![0.0; width(model)];
    let n = model.strings();
    let mut set = |column: usize, value: f64| {
        if let Some(place) = state.get_mut(column) {
            *place = value;
        }
    };
    match part {
        StatePart::CurvatureTreble => set(0, 1.0),
        StatePart::CurvatureBass => set(1, 1.0),
        StatePart::Neck => {
            set(0, 0.5);
            set(1, 0.5);
        }
        StatePart::Twist => {
            set(0, -1.0);
            set(1, 1.0);
        }
        StatePart::Tilt => set(2, 1.0),
        StatePart::Saddle(string) => {
            model.string(string)?;
            set(3 + string, 1.0);
        }
        StatePart::Nut(string) => {
            model.string(string)?;
            set(3 + n + string, 1.0);
        }
        StatePart::StringHeight(string) => {
            let geometry = &model.string(string)?.geometry;
            let neck = geometry.neck()?;
            let saddle_x = saddle_x_mm(&neck, geometry.compensation)?;
            // The joint's place is where before_joint of the nut ends.
            let joint_x = neck.before_joint_mm(0)?;
            set(3 + string, 1.0);
            set(2, (saddle_x - joint_x) * TILT_UNIT);
        }
        StatePart::Heights => {
            for string in 0..model.saddles {
                let one = pick(model, StatePart::StringHeight(string))?;
                for (cell, value) in state.iter_mut().zip(one) {
                    *cell += value / model.saddles as f64;
                }
            }
        }
    }
    Ok(state)
}

/// Prior standard deviation of each column of one visit's state, and its centre.
fn priors(model: &Model) -> Vec<(f64, f64)> {
    let curvature = PRIOR_CURVATURE_34IN * curvature_scale(model);
    let n = model.strings();
    let mut all = vec![(curvature, 0.0), (curvature, 0.0), (PRIOR_TILT, 0.0)];
    all.extend(std::iter::repeat_n((PRIOR_SADDLE, 0.0), n));
    all.extend(std::iter::repeat_n((PRIOR_NUT, 0.0), n));
    all
}

/// A solved system over one or more visits with a common joint and common shared offsets.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) solution: DVector<f64>,
    pub(super) covariance: DMatrix<f64>,
    /// Prior variance of each column.
    prior: DVector<f64>,
    pub(super) columns: usize,
    joint_column: usize,
    shared: Vec<(u32, f64)>,
    /// (visit, reading, normalised residual) of readings that contradict the rest.
    pub(super) contradictions: Vec<(usize, usize, f64)>,
}

/// The full row of a reading in `visit`, with its constant, around `solution`.
fn full_row(
    model: &Model,
    solved: &Layout,
    visit: usize,
    what: What,
    string: usize,
    shared: Option<u32>,
    solution: &DVector<f64>,
) -> Result<(DVector<f64>, f64)> {
    let here = linear(model, what, string, 0.0)?;
    let (up, down) = (linear(model, what, string, 1.0)?, linear(model, what, string, -1.0)?);
    let start = visit * solved.width;
    let state: Vec<f64> = solution.iter().skip(start).take(solved.width).copied().collect();
    let mut row = DVector::zeros(solved.total);
    for (column, value) in here.state.iter().enumerate() {
        if let Some(place) = row.get_mut(start + column) {
            *place = *value;
        }
    }
    if let Some(place) = row.get_mut(solved.joint_column) {
        // Secant over one standard uncertainty either way (JCGM 100:2008, 5.1.3 note 2).
        *place = (up.at(&state) - down.at(&state)) / 2.0;
    }
    if let Some(id) = shared
        && let Some(index) = solved.shared.iter().position(|(other, _)| *other == id)
        && let Some((_, u)) = solved.shared.get(index)
        && let Some(place) = row.get_mut(solved.joint_column + 1 + index)
    {
        *place = *u;
    }
    Ok((row, here.constant))
}

/// Where the columns lie.
struct Layout {
    width: usize,
    joint_column: usize,
    total: usize,
    shared: Vec<(u32, f64)>,
}

fn layout(model: &Model, visits: &[&[StateReading]]) -> Result<Layout> {
    let mut shared: Vec<(u32, f64)> = Vec::new();
    for offset in visits.iter().flat_map(|v| v.iter()).filter_map(|r| r.shared) {
        let u = Limit::LengthUncertainty.check_mm(offset.standard_uncertainty)?;
        match shared.iter_mut().find(|(id, _)| *id == offset.id) {
            Some((_, most)) => *most = most.max(u),
            None => shared.push((offset.id, u)),
        }
    }
    Limit::SharedOffsets.check_count(shared.len())?;
    let width = width(model);
    let joint_column = width * visits.len();
    Ok(Layout { width, joint_column, total: joint_column + 1 + shared.len(), shared })
}

/// Solves one or more visits together.
pub(super) fn solve(
    model: &Model,
    visits: &[&[StateReading]],
    between: &BetweenVisits,
) -> Result<Solved> {
    Ok(solve_rows(model, visits, between)?.0)
}

/// A reading as a row of the system of all visits.
pub(super) struct ChainRow {
    pub(super) visit: usize,
    pub(super) reading: usize,
    pub(super) what: What,
    pub(super) row: DVector<f64>,
    /// Less the row's constant.
    pub(super) value: f64,
    pub(super) standard_uncertainty: f64,
}

/// The rows of a chain of visits, and how many shared offsets they have.
pub(super) fn chain_rows(
    model: &Model,
    visits: &[&[StateReading]],
) -> Result<(Vec<ChainRow>, usize)> {
    let (solved, rows) = solve_rows(model, visits, &BetweenVisits::default())?;
    let readings = visits
        .iter()
        .enumerate()
        .flat_map(|(visit, list)| list.iter().enumerate().map(move |(i, r)| (visit, i, r.what)));
    let rows = rows
        .into_iter()
        .zip(readings)
        .map(|((row, value, standard_uncertainty), (visit, reading, what))| ChainRow {
            visit,
            reading,
            what,
            row,
            value,
            standard_uncertainty,
        })
        .collect();
    Ok((rows, solved.shared.len()))
}

/// The priors of one visit's state as independent sums of columns with their standard deviations.
pub(super) fn first_priors(model: &Model) -> Vec<(Vec<(usize, f64)>, f64)> {
    let scaled = curvature_scale(model);
    let mut all = vec![
        (vec![(0, 1.0), (1, 1.0)], PRIOR_CURVATURE_34IN * scaled),
        (vec![(0, -0.5), (1, 0.5)], PRIOR_TWIST_34IN * scaled),
    ];
    for (column, (sd, _)) in priors(model).into_iter().enumerate().skip(2) {
        all.push((vec![(column, 1.0)], sd));
    }
    all
}

/// Row, value less its constant, standard uncertainty.
type Row = (DVector<f64>, f64, f64);

fn solve_rows(
    model: &Model,
    visits: &[&[StateReading]],
    between: &BetweenVisits,
) -> Result<(Solved, Vec<Row>)> {
    let layout = layout(model, visits)?;
    let mut prior_sd = DVector::from_element(layout.total, 1.0);
    let mut centre = DVector::zeros(layout.total);
    for visit in 0..visits.len() {
        for (column, (sd, middle)) in priors(model).into_iter().enumerate() {
            if let (Some(p), Some(c)) = (
                prior_sd.get_mut(visit * layout.width + column),
                centre.get_mut(visit * layout.width + column),
            ) {
                *p = sd;
                *c = middle;
            }
        }
    }
    let mut readings = Vec::new();
    for (visit, list) in visits.iter().enumerate() {
        for (index, reading) in list.iter().enumerate() {
            let (value, u) = reading.value.estimate()?;
            readings.push((visit, index, *reading, value, u));
        }
    }
    let mut solution = centre.clone();
    let mut covariance = DMatrix::zeros(layout.total, layout.total);
    let mut rows = Vec::new();
    // The joint's effect is a product of two unknowns: a few passes settle it.
    for _ in 0..3 {
        rows.clear();
        let mut normal = DMatrix::from_diagonal(&prior_sd.map(|sd| 1.0 / (sd * sd)));
        hold(&mut normal, model, layout.width, visits.len(), between)?;
        let mut right = centre.component_div(&prior_sd.map(|sd| sd * sd));
        know_apart(&mut normal, &mut right, &layout, &between.apart)?;
        for (visit, _, reading, value, u) in &readings {
            let (row, constant) = full_row(
                model,
                &layout,
                *visit,
                reading.what,
                reading.string,
                reading.shared.map(|s| s.id),
                &solution,
            )?;
            let weight = 1.0 / (u * u);
            normal.ger(weight, &row, &row, 1.0);
            right.axpy(weight * (value - constant), &row, 1.0);
            rows.push((row, value - constant, *u));
        }
        let cholesky = normal.cholesky().ok_or(Error::Undetermined {
            what: "state of the instrument",
            reason: "the readings' weights differ too much; check their uncertainties",
        })?;
        solution = cholesky.solve(&right);
        covariance = cholesky.inverse();
    }
    if !solution.iter().all(|v| v.is_finite()) {
        return Err(Error::NotFinite { quantity: "state of the instrument" });
    }
    let mut solved = Solved {
        solution,
        covariance,
        prior: prior_sd.map(|sd| sd * sd),
        columns: layout.width,
        joint_column: layout.joint_column,
        shared: layout.shared,
        contradictions: Vec::new(),
    };
    let names: Vec<_> = readings.iter().map(|r| (r.0, r.1)).collect();
    test_residuals(&mut solved, &rows, &names);
    Ok((solved, rows))
}

/// Adds what is known of how far offsets lie apart.
fn know_apart(
    normal: &mut DMatrix<f64>,
    right: &mut DVector<f64>,
    layout: &Layout,
    apart: &[OffsetsApart],
) -> Result<()> {
    for OffsetsApart { a, b, difference } in apart {
        let value = Limit::ReaderOffset.check_mm(difference.value)?;
        let u = Limit::LengthUncertainty.check_mm(difference.standard_uncertainty)?;
        let column = |id: u32| {
            let at = layout.shared.iter().position(|(other, _)| *other == id)?;
            Some((layout.joint_column + 1 + at, layout.shared.get(at)?.1))
        };
        let (Some((a, a_unit)), Some((b, b_unit))) = (column(*a), column(*b)) else { continue };
        let mut row = DVector::zeros(layout.total);
        for (column, unit) in [(a, -a_unit), (b, b_unit)] {
            if let Some(place) = row.get_mut(column) {
                *place += unit;
            }
        }
        let weight = 1.0 / u.max(1e-3).powi(2);
        normal.ger(weight, &row, &row, 1.0);
        right.axpy(weight * value, &row, 1.0);
    }
    Ok(())
}

/// What is known of columns together. Both sides of a neck bend nearly alike, so that relief read in
/// the middle tells something of either; and a joint gives way, and a neck twists, a little at a
/// time, which ties one visit to the one before. Changes of tilt up to 1.5 times
/// [`PRIOR_TILT_CHANGE`] stay within the error rate of a comparison (simulated in the tests of this
/// module).
fn hold(
    normal: &mut DMatrix<f64>,
    model: &Model,
    width: usize,
    visits: usize,
    between: &BetweenVisits,
) -> Result<()> {
    let tilt_change = between.tilt.get::<radian>() / TILT_UNIT;
    let nut_change = Limit::LengthUncertainty.check_mm(between.nut)?.max(1e-3);
    let scaled = curvature_scale(model);
    let screws = held_by_screws(model)?;
    for visit in 0..visits {
        let now = width * visit;
        add_prior(normal, &[(now, -1.0), (now + 1, 1.0)], PRIOR_TWIST_34IN * scaled);
        if let Some(before) = now.checked_sub(width) {
            add_prior(normal, &[(before + 2, -1.0), (now + 2, 1.0)], tilt_change);
            let twist = [(before, 1.0), (before + 1, -1.0), (now, -1.0), (now + 1, 1.0)];
            add_prior(normal, &twist, PRIOR_TWIST_CHANGE_34IN * scaled);
            for nut in 3 + model.strings()..width {
                add_prior(normal, &[(before + nut, -1.0), (now + nut, 1.0)], nut_change);
            }
            for (row, column, weight) in &screws {
                let pairs = [(now, now, 1.0), (before, before, 1.0), (now, before, -1.0)];
                for (a, b, sign) in pairs.into_iter().chain([(before, now, -1.0)]) {
                    if let Some(place) = normal.get_mut((a + 3 + row, b + 3 + column)) {
                        *place += sign * weight;
                    }
                }
            }
        }
    }
    Ok(())
}

/// What strings on the same screws tell of each other: the weights of the changes of their heights, by string
/// and string. None where each has a screw of its own.
fn held_by_screws(model: &Model) -> Result<Vec<(usize, usize, f64)>> {
    let held: Vec<usize> = (0..model.saddles).filter(|s| model.shares_screws(*s)).collect();
    let share = |screw: &[(usize, f64)], at: usize| {
        let of = held.get(at);
        screw.iter().find(|(s, _)| Some(s) == of).map_or(0.0, |(_, share)| *share)
    };
    let spread = DMatrix::from_fn(held.len(), held.len(), |a, b| {
        let common = model.screws.iter().map(|screw| share(screw, a) * share(screw, b));
        let own = if a == b { BESIDE_SCREWS * BESIDE_SCREWS } else { 0.0 };
        OF_SCREWS * OF_SCREWS * common.sum::<f64>() + own
    });
    let weights = spread.cholesky().ok_or(Error::Undetermined {
        what: "state of the instrument",
        reason: "the readings' weights differ too much; check their uncertainties",
    })?;
    let weights = weights.inverse();
    let at =
        |a: usize, b: usize| Some((*held.get(a)?, *held.get(b)?, weights.get((a, b)).copied()?));
    let all = (0..held.len()).flat_map(|a| (0..held.len()).map(move |b| (a, b)));
    Ok(all.filter_map(|(a, b)| at(a, b)).collect())
}

/// Adds what is known of a sum of columns: it is zero within a standard deviation.
fn add_prior(normal: &mut DMatrix<f64>, sum: &[(usize, f64)], sd: f64) {
    for (row, a) in sum {
        for (column, b) in sum {
            if let Some(place) = normal.get_mut((*row, *column)) {
                *place += a * b / (sd * sd);
            }
        }
    }
}

/// Curvatures that make the same relief go with the inverse square of the length.
fn curvature_scale(model: &Model) -> f64 {
    let longest = model.strings.iter().map(|s| as_mm(s.geometry.scale)).fold(100.0, f64::max);
    (863.6 / longest).powi(2)
}

/// Names readings whose residual, divided by its own standard deviation, is beyond what one in a
/// hundred sets would show (Bonferroni over the readings; W. Baarda's data snooping). If there are
/// any, the covariance grows by the mean square of the residuals (R. T. Birge, Phys. Rev. 40, 1932),
/// so that nothing is concluded from a contradiction.
fn test_residuals(
    solved: &mut Solved,
    rows: &[(DVector<f64>, f64, f64)],
    names: &[(usize, usize)],
) {
    let limit = two_sided(0.01 / rows.len().max(1) as f64);
    let mut normalised = Vec::with_capacity(rows.len());
    let (mut chi, mut freedom) = (0.0, 0.0);
    for (row, value, u) in rows {
        let residual = value - row.dot(&solved.solution);
        let explained = row.dot(&(&solved.covariance * row));
        let left = u * u - explained;
        chi += residual * residual / (u * u);
        freedom += left / (u * u);
        // A reading that alone determines something cannot contradict anything.
        normalised.push(if left > 1e-3 * u * u { residual.abs() / left.sqrt() } else { 0.0 });
    }
    let worst = normalised.iter().copied().fold(0.0, f64::max);
    if worst <= limit {
        return;
    }
    for (size, (visit, reading)) in normalised.iter().zip(names) {
        // Readings that contradict one another show nearly the same size; name them all.
        if *size > limit && *size >= 0.9 * worst {
            solved.contradictions.push((*visit, *reading, *size));
        }
    }
    let birge = if freedom > 0.5 { chi / freedom } else { worst };
    solved.covariance *= birge.max(1.0);
}

/// The number of standard deviations that a normal variable exceeds, either way, with probability
/// `p` (0 < p < 1): M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.2.23,
/// error below 4.5e-4, which is added.
pub(super) fn two_sided(p: f64) -> f64 {
    let t = (-2.0 * (p / 2.0).clamp(1e-300, 0.5).ln()).sqrt();
    let top = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let bottom = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    t - top / bottom + 4.5e-4
}

impl Solved {
    /// Value and variance of a linear combination, in scaled units.
    pub(super) fn combine(&self, row: &DVector<f64>) -> (f64, f64) {
        (row.dot(&self.solution), row.dot(&(&self.covariance * row)).max(0.0))
    }

    pub(super) fn prior_variance(&self, row: &DVector<f64>) -> f64 {
        row.iter().zip(self.prior.iter()).map(|(r, v)| r * r * v).sum()
    }

    /// A row over all columns from coefficients of each visit's state.
    pub(super) fn spread(&self, visits: &[(usize, &[f64])]) -> DVector<f64> {
        let mut row = DVector::zeros(self.solution.len());
        for (visit, state) in visits {
            for (column, value) in state.iter().enumerate() {
                if let Some(place) = row.get_mut(visit * self.columns + column) {
                    *place += value;
                }
            }
        }
        row
    }

    /// The row and constant of what could be read in a visit.
    pub(super) fn row_of(
        &self,
        model: &Model,
        visit: usize,
        what: What,
        string: usize,
    ) -> Result<(DVector<f64>, f64)> {
        let layout = Layout {
            width: self.columns,
            joint_column: self.joint_column,
            total: self.solution.len(),
            shared: self.shared.clone(),
        };
        full_row(model, &layout, visit, what, string, None, &self.solution)
    }
}

/// A reading that contradicts the rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// Index of the visit: 0, or for a comparison 0 before and 1 after.
    pub visit: usize,
    /// Index of the reading in the visit's list.
    pub reading: usize,
    /// Its residual in its own standard deviations.
    pub normalised_residual: f64,
}

/// The state of an instrument at one time, with its covariance.
#[derive(Debug, Clone)]
pub struct StateEstimate {
    model: Model,
    solved: Solved,
}

/// Estimates the state from one visit's readings.
///
/// Any number of readings is accepted; what they do not tell is listed by
/// [`StateEstimate::undetermined`]. The cost grows with the cube of the number of strings and offsets.
///
/// # Errors
///
/// [`Error::NoSuchPlace`], [`Error::Outside`], [`Error::Inconsistent`] for readings that cannot
/// be.
///
/// ```
/// use fallaway_mechanics::conversions::StringGeometry;
/// use fallaway_mechanics::neck::{Joint, ReliefWay};
/// use fallaway_mechanics::state::{estimate, Model, StatePart, StateReading, StateString, Value, What};
/// use fallaway_mechanics::string_line::GapPlace;
/// use fallaway_mechanics::units::{as_mm, mm};
/// use fallaway_mechanics::Uncertain;
/// let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
/// let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
/// let state = estimate(&model, &[
///     read(What::Relief(ReliefWay::largest(24)), 0.20, 0.01),
///     read(What::Gap(GapPlace::stopped_at_1_over(24)), 2.0, 0.05),
///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
/// ]).unwrap();
/// // What open over 12 would read, although nobody read it:
/// let open = state.predict(What::Gap(GapPlace::OPEN_OVER_12), 0).unwrap();
/// assert!((as_mm(open.value) - 1.7287).abs() < 5e-3);
/// // One string tells nothing about the bass side, nor joint from saddle.
/// assert!(state.undetermined().unwrap().contains(&StatePart::CurvatureBass));
/// ```
pub fn estimate(model: &Model, readings: &[StateReading]) -> Result<StateEstimate> {
    let solved = solve(model, &[readings], &BetweenVisits::default())?;
    Ok(StateEstimate { model: model.clone(), solved })
}

impl StateEstimate {
    fn part(&self, part: StatePart) -> Result<(f64, f64)> {
        let row = self.solved.spread(&[(0, &pick(&self.model, part)?)]);
        let (value, variance) = self.solved.combine(&row);
        Ok((value, variance.sqrt()))
    }

    fn length(&self, part: StatePart) -> Result<Uncertain<Length>> {
        let (value, u) = self.part(part)?;
        Uncertain::new(mm(value), mm(u))
    }

    /// Curvature of the neck on the treble and the bass side.
    ///
    /// # Errors
    ///
    /// None for a state that was estimated.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!(as_per_mm(state.curvatures().unwrap().0.value) > 0.0);
    /// ```
    pub fn curvatures(&self) -> Result<(Uncertain<Curvature>, Uncertain<Curvature>)> {
        let of = |part| {
            let (value, u) = self.part(part)?;
            Uncertain::new(per_mm(value * CURVATURE_UNIT), per_mm(u * CURVATURE_UNIT))
        };
        Ok((of(StatePart::CurvatureTreble)?, of(StatePart::CurvatureBass)?))
    }

    /// Tilt at the joint.
    ///
    /// # Errors
    ///
    /// None for a state that was estimated.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!(state.tilt().unwrap().standard_uncertainty.value < 3e-3);
    /// ```
    pub fn tilt(&self) -> Result<Uncertain<Angle>> {
        let (value, u) = self.part(StatePart::Tilt)?;
        Uncertain::new(Angle::new::<radian>(value * TILT_UNIT), Angle::new::<radian>(u * TILT_UNIT))
    }

    /// Height of a string's saddle over the body's frame.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`].
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!(as_mm(state.saddle(0).unwrap().standard_uncertainty) < 0.2);
    /// ```
    pub fn saddle(&self, string: usize) -> Result<Uncertain<Length>> {
        self.length(StatePart::Saddle(string))
    }

    /// Height of a string's saddle over the neck's line ([`StatePart::StringHeight`]).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`].
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!(state.string_height(0).unwrap().value > mm(0.0));
    /// ```
    pub fn string_height(&self, string: usize) -> Result<Uncertain<Length>> {
        self.length(StatePart::StringHeight(string))
    }

    /// Height of a string's nut slot above the crown profile.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`].
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!((as_mm(state.nut(0).unwrap().value) - 0.35).abs() < 0.1);
    /// ```
    pub fn nut(&self, string: usize) -> Result<Uncertain<Length>> {
        self.length(StatePart::Nut(string))
    }

    /// What a reading would show in this state, with its uncertainty (that of the act of reading
    /// not included).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`], [`Error::Inconsistent`] for places that cannot be read.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// let open = state.predict(What::Gap(GapPlace::OPEN_OVER_12), 0).unwrap();
    /// assert!(as_mm(open.value) > 1.0 && as_mm(open.standard_uncertainty) < 0.2);
    /// ```
    pub fn predict(&self, what: What, string: usize) -> Result<Uncertain<Length>> {
        let (row, constant) = self.solved.row_of(&self.model, 0, what, string)?;
        // The row is a tangent at the solution; the joint's own shift is in it.
        let (value, variance) = self.solved.combine(&row);
        Uncertain::new(mm(value + constant), mm(variance.sqrt()))
    }

    /// The parts that the readings do not determine: their uncertainty is that of the prior, or
    /// nearly.
    ///
    /// # Errors
    ///
    /// None for a state that was estimated.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert_eq!(state.undetermined().unwrap(), [StatePart::CurvatureBass]);
    /// ```
    pub fn undetermined(&self) -> Result<Vec<StatePart>> {
        let mut parts = Vec::new();
        for part in self.model.parts() {
            let row = self.solved.spread(&[(0, &pick(&self.model, part)?)]);
            let (_, variance) = self.solved.combine(&row);
            if variance.sqrt() > UNDETERMINED * self.solved.prior_variance(&row).sqrt() {
                parts.push(part);
            }
        }
        Ok(parts)
    }

    /// Readings that contradict the rest; empty when all agree within their uncertainties.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, string_line::GapPlace};
    /// # use fallaway_mechanics::{units::*, Uncertain};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// # let read = |what, v, u| StateReading::new(what, 0, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()));
    /// let state = estimate(&model, &[
    ///     read(What::Relief(ReliefWay::largest(16)), 0.15, 0.01),
    ///     read(What::Gap(GapPlace::new(17, 24)), 0.9, 0.02),
    ///     read(What::Gap(GapPlace::new(1, 24)), 2.0, 0.05),
    ///     read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
    /// ]).unwrap();
    /// assert!(state.contradictions().is_empty());
    /// ```
    pub fn contradictions(&self) -> Vec<Contradiction> {
        self.solved.named_contradictions()
    }
}

impl Solved {
    pub(super) fn named_contradictions(&self) -> Vec<Contradiction> {
        self.contradictions
            .iter()
            .map(|(visit, reading, size)| Contradiction {
                visit: *visit,
                reading: *reading,
                normalised_residual: *size,
            })
            .collect()
    }
}
