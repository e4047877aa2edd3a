//! One string over its neck as a linear model: what today's readings say together, what another way
//! of reading would give, and what will be read after a move.
//!
//! State: the neck's curvature, the saddle's height, the nut slot's height. Every gap and the relief
//! are linear in them (`fallaway_mechanics::string_line`, `fallaway_mechanics::neck`). Readings are
//! taken in one at a time by the usual update of a normal distribution. The fret where the neck
//! stops bending is not well known; all is worked out for it and for one on either side, and the
//! spread counts as uncertainty.

use fallaway_measure::Quantity;
use fallaway_mechanics::conversions::MODEL_MM;
use fallaway_mechanics::neck::{Joint, NeckLine, ReliefWay};
use fallaway_mechanics::string_line::{GapPlace, StringLine};
use fallaway_mechanics::units::{as_mm, mm, per_mm};

use crate::observe::{Bound, Estimate, EstimateUnit, Facts};

/// Curvature in 1e-6/mm, saddle height in mm, nut slot height in mm.
type State = [f64; 3];

/// The unit of curvature in which the three parts of the state have like sizes.
const CURVATURE_UNIT: f64 = 1e-6;

/// Before any reading: a flat neck give or take 1.1 mm of relief on a 34 in scale, a saddle anywhere,
/// a nut slot as usual (common practice, no source).
const PRIOR_MEAN: State = [0.0, 3.0, 0.4];
const PRIOR_SD: State = [20.0, 5.0, 0.2];

/// What a move or a reading of another kind comes to, with its uncertainty, in mm per mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// The ratio, mm of the one for each mm of the other.
    pub value: f64,
    /// One standard deviation, from the place of the joint.
    pub standard_uncertainty: f64,
}

/// The model of one string for one place of the joint.
#[derive(Debug, Clone)]
struct Line {
    neck: NeckLine,
    mean: State,
    covariance: [State; 3],
}

/// The model of one string.
#[derive(Debug, Clone)]
pub struct StringModel {
    /// The joint in the middle, then on either side, if it is uncertain.
    lines: Vec<Line>,
    /// What was read: the model adds nothing of its own to it.
    read: Vec<Quantity>,
}

impl StringModel {
    /// The model before any reading. `None` if scale, frets or joint are not known.
    pub fn new(scale_mm: f64, facts: &Facts) -> Option<Self> {
        let frets = usize::from(facts.last_fret?);
        let (joint, by) = facts.joint()?;
        // Anywhere within those frets: a rectangle (JCGM 100:2008, 4.3.7).
        let joint = Joint {
            standard_uncertainty: f64::from(by) / 3_f64.sqrt(),
            ..Joint::known(f64::from(joint)).ok()?
        };
        let mut places = vec![joint.fret];
        if joint.standard_uncertainty > 0.0 {
            places.push((joint.fret - joint.standard_uncertainty).max(1.0));
            places.push(joint.fret + joint.standard_uncertainty);
        }
        let line = |joint: f64| {
            let neck = NeckLine::new(mm(scale_mm), frets, joint).ok()?;
            let mut covariance = [[0.0; 3]; 3];
            for (i, row) in covariance.iter_mut().enumerate() {
                if let (Some(cell), Some(sd)) = (row.get_mut(i), PRIOR_SD.get(i)) {
                    *cell = sd * sd;
                }
            }
            Some(Line { neck, mean: PRIOR_MEAN, covariance })
        };
        let lines: Option<Vec<Line>> = places.into_iter().map(line).collect();
        lines.map(|lines| Self { lines, read: Vec::new() })
    }

    /// Takes a reading in. What the model does not describe, and a mere bound, changes nothing.
    pub fn read(&mut self, quantity: Quantity, known: Estimate) {
        if known.scale != EstimateUnit::Millimetre || known.bound != Bound::Value {
            return;
        }
        for line in &mut self.lines {
            line.read(quantity, known);
        }
        self.read.push(quantity);
    }

    /// What a reading would give now, from all readings taken in. A gap that was not read itself is
    /// converted, and known no better than [`MODEL_MM`].
    pub fn expect(&self, quantity: Quantity) -> Option<Estimate> {
        let each: Option<Vec<Estimate>> = self.lines.iter().map(|l| l.expect(quantity)).collect();
        let each = each?;
        let (middle, sides) = each.split_first()?;
        let spread = half_range(sides.iter().map(|k| k.value));
        let is_gap = matches!(quantity, Quantity::Gap { .. });
        let model = if is_gap && !self.read.contains(&quantity) { MODEL_MM } else { 0.0 };
        let u = middle.standard_uncertainty.hypot(spread).hypot(model);
        Some(Estimate::mm(middle.value, u))
    }

    /// By how much `quantity` changes for each mm by which the relief, read as `relief`, changes,
    /// with saddle and nut untouched.
    pub(crate) fn per_relief(&self, quantity: Quantity, relief: Quantity) -> Option<Ratio> {
        self.ratio(|line| {
            let [curve, ..] = line.row(quantity)?;
            let [unit, ..] = line.row(relief)?;
            (unit.abs() > 1e-9).then(|| curve / unit)
        })
    }

    /// By how much `quantity` changes for each mm by which the saddle rises.
    pub fn per_saddle(&self, quantity: Quantity) -> Option<Ratio> {
        self.ratio(|line| line.row(quantity).map(|[_, saddle, _]| saddle))
    }

    fn ratio(&self, of: impl Fn(&Line) -> Option<f64>) -> Option<Ratio> {
        let each: Option<Vec<f64>> = self.lines.iter().map(of).collect();
        let each = each?;
        let (&value, sides) = each.split_first()?;
        Some(Ratio { value, standard_uncertainty: half_range(sides.iter().copied()) })
    }
}

/// Half of how far the values lie apart; 0 for none or one.
fn half_range(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    if high > low { (high - low) / 2.0 } else { 0.0 }
}

impl Line {
    /// How a quantity depends on each part of the state.
    fn row(&self, quantity: Quantity) -> Option<State> {
        let zero = self.at([0.0; 3], quantity)?;
        let mut row = [0.0; 3];
        for (i, cell) in row.iter_mut().enumerate() {
            let mut state = [0.0; 3];
            *state.get_mut(i)? = 1.0;
            *cell = self.at(state, quantity)? - zero;
        }
        Some(row)
    }

    fn at(&self, [curvature, saddle, nut]: State, quantity: Quantity) -> Option<f64> {
        let neck = self.neck.with_curvature(per_mm(curvature * CURVATURE_UNIT)).ok()?;
        match quantity {
            Quantity::Relief { from, to, at } => {
                let way = ReliefWay {
                    from: usize::from(from.number()),
                    to: usize::from(to.number()),
                    at: at.map(|f| usize::from(f.number())),
                };
                neck.relief(way).ok().map(|r| as_mm(r.gap))
            }
            Quantity::Gap { stopped, over } => {
                let line = StringLine::new(neck, mm(0.0), mm(saddle), mm(nut)).ok()?;
                let (stopped, over) = (usize::from(stopped.number()), usize::from(over.number()));
                let gap = if stopped > over {
                    line.gap_held(stopped, over)
                } else {
                    line.gap(GapPlace::new(stopped, over))
                };
                gap.ok().map(as_mm)
            }
            _ => None,
        }
    }

    fn read(&mut self, quantity: Quantity, known: Estimate) {
        let Some(row) = self.row(quantity) else { return };
        let spread = times(&self.covariance, row);
        let variance = dot(row, spread) + known.standard_uncertainty.powi(2);
        if variance <= 0.0 {
            return;
        }
        let surprise = known.value - dot(row, self.mean);
        for (mean, s) in self.mean.iter_mut().zip(spread) {
            *mean += s * surprise / variance;
        }
        for (cells, a) in self.covariance.iter_mut().zip(spread) {
            for (cell, b) in cells.iter_mut().zip(spread) {
                *cell -= a * b / variance;
            }
        }
    }

    fn expect(&self, quantity: Quantity) -> Option<Estimate> {
        let row = self.row(quantity)?;
        let variance = dot(row, times(&self.covariance, row));
        Some(Estimate::mm(dot(row, self.mean), variance.max(0.0).sqrt()))
    }
}

fn dot(a: State, b: State) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn times(matrix: &[State; 3], vector: State) -> State {
    matrix.map(|row| dot(row, vector))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::gap;
    use fallaway_measure::Fret;

    fn bass(joint: u8) -> StringModel {
        let facts = Facts { last_fret: Some(24), joint_fret: Some(joint), ..Facts::default() };
        StringModel::new(863.6, &facts).unwrap()
    }

    fn relief() -> Quantity {
        let fret = |n| Fret::new(n).unwrap();
        Quantity::Relief { from: fret(1), to: fret(24), at: None }
    }

    #[test]
    fn a_moved_neck_raises_what_the_reference_says() {
        // +0.10 mm relief, saddles untouched, 34 in scale, 24 frets: solved from first principles in
        // core/mechanics/tests/reference/data/geometry.json.
        let close = |got: f64, wanted: f64| assert!((got - wanted).abs() < 1e-3, "{got} {wanted}");
        for (joint, stopped, open) in [(24, 0.106, 0.182), (16, 0.072, 0.156)] {
            let model = bass(joint);
            close(0.1 * model.per_relief(gap(1, 24).unwrap(), relief()).unwrap().value, stopped);
            close(0.1 * model.per_relief(gap(0, 12).unwrap(), relief()).unwrap().value, open);
        }
    }

    #[test]
    fn a_saddle_move_acts_as_similar_triangles_say() {
        // dH = dg (x_s - x_m)/(x_j - x_m): 2, 1.598917, 1.360296.
        let model = bass(24);
        for (m, j, factor) in [(0, 12, 2.0), (0, 17, 1.598_917), (1, 24, 1.360_296)] {
            let ratio = model.per_saddle(gap(m, j).unwrap()).unwrap().value;
            assert!((1.0 / ratio - factor).abs() < 1e-5);
        }
    }

    #[test]
    fn readings_convert_and_certainty_is_lost() {
        let mut model = bass(16);
        model.read(relief(), Estimate::mm(0.25, 0.015));
        model.read(gap(1, 24).unwrap(), Estimate::mm(2.0, 0.05));
        let same = model.expect(gap(1, 24).unwrap()).unwrap();
        assert!((same.value - 2.0).abs() < 0.01);
        let open = model.expect(gap(0, 12).unwrap()).unwrap();
        assert!(open.value > 1.0 && open.value < 2.5, "{open:?}");
        assert!(open.standard_uncertainty > same.standard_uncertainty);
        model.read(gap(3, 1).unwrap(), Estimate::mm(0.1, 0.015));
        let surer = model.expect(gap(0, 12).unwrap()).unwrap();
        assert!(surer.standard_uncertainty < open.standard_uncertainty);
    }

    #[test]
    fn an_assumed_joint_costs_certainty() {
        let facts = Facts { last_fret: Some(24), ..Facts::default() };
        let assumed = StringModel::new(863.6, &facts).unwrap();
        let open = gap(0, 12).unwrap();
        assert!(assumed.per_relief(open, relief()).unwrap().standard_uncertainty > 0.001);
        assert_eq!(bass(16).per_relief(open, relief()).unwrap().standard_uncertainty, 0.0);
    }
}
