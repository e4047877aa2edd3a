//! Which readings may be wrong: a slip of the hand against a part that moved.
//!
//! A reading that stands apart from what the visits before and after make of it has one of two
//! causes: something moved, or somebody misread or mistyped. Least squares cannot tell them apart;
//! how often each happens, and what every other reading says, can.
//!
//! The visits are taken as one chain. From one to the next every part usually moves little; now and
//! then one part moves much (or a note says that it did), and now and then one reading is anything at
//! all. Each set of such surprises is a hypothesis; its weight is the probability of the readings
//! under it (all is normal, so that this is exact) times how often such surprises happen. The
//! heaviest hypotheses are found by adding one surprise at a time, always to the heaviest.
//! (Spike-and-slab selection: T. J. Mitchell and J. J. Beauchamp, J. Am. Stat. Assoc. 83 (1988) 1023;
//! gross errors as draws from a wide normal: G. E. P. Box and G. C. Tiao, Biometrika 55 (1968) 119;
//! both from memory.)

use fallaway_order::Set;
use std::collections::BinaryHeap;

use fallaway_order::PutInOrder as _;
use nalgebra::{DMatrix, DVector};

use super::compare::as_length;
use super::solve::{chain_rows, first_priors, width};
use super::{Model, StatePart, StateReading, What};
use crate::error::{Error, Result};

/// How often a reading is misread or mistyped (common practice, no source).
const SLIP: f64 = 0.005;
/// How far off such a reading is, one standard deviation in mm: relief, gaps near the nut, others
/// (common practice, no source).
const SLIP_RELIEF: f64 = 0.3;
const SLIP_NUT: f64 = 0.4;
const SLIP_GAP: f64 = 1.2;

/// How much a part moves from one visit to the next: usually; in the rare case; how often that is.
/// One standard deviation, in mm of relief, mrad of tilt, mm of height (common practice, no source).
struct Habit {
    quiet: f64,
    much: f64,
    how_often: f64,
}

const NECK: Habit = Habit { quiet: 0.18, much: 0.4, how_often: 0.03 };
const TWIST: Habit = Habit { quiet: 0.04, much: 0.2, how_often: 0.02 };
const TILT: Habit = Habit { quiet: QUIET_TILT_MRAD, much: 1.5, how_often: 0.005 };
const SADDLE: Habit = Habit { quiet: 0.06, much: 0.8, how_often: 0.03 };
/// A string beside the screws that it has in common with others.
const ALONE: Habit = Habit { quiet: 0.03, much: 0.8, how_often: 0.005 };
const NUT: Habit = Habit { quiet: 0.03, much: 0.15, how_often: 0.03 };
/// All saddles alike: bridge or posts.
const BRIDGE: Habit = Habit { quiet: 0.03, much: 0.8, how_often: 0.01 };

/// What a joint that holds moves from one visit to the next, in mrad, one standard deviation. It also
/// stands for necks that do not bend in a circle (common practice, no source).
pub const QUIET_TILT_MRAD: f64 = 0.25;

/// Hypotheses this much lighter than the heaviest are not followed.
const LIGHT: f64 = 1e-3;
/// The least ratio of variances, with and without a surprise, by which readings tell of it.
const TOLD: f64 = 1.5;
/// Most hypotheses that are followed, and most surprises of one.
const MOST_FOLLOWED: usize = 48;
const MOST_SURPRISES: usize = 6;

/// What was read at one time.
#[derive(Debug, Clone, Copy)]
pub struct Account<'a> {
    /// What was read at that time.
    pub readings: &'a [StateReading],
    /// They cannot be wrong: targets, for instance.
    pub trusted: bool,
    /// Parts that moved since the account before, by what was noted.
    pub noted: &'a [StatePart],
}

/// One explanation of all accounts.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// Its probability among all that were looked at, 0 to 1.
    pub weight: f64,
    /// Readings that are wrong: account and reading in it, in order.
    pub wrong: Vec<(usize, usize)>,
    /// Accounts before which the joint gave way.
    pub tilted: Vec<usize>,
    /// Accounts before which a part moved much, and the part: neck, twist, a string's height, a nut slot,
    /// or all heights alike.
    pub moved: Vec<(usize, StatePart)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Wrong(usize, usize),
    Tilted(usize),
    Moved(usize, StatePart),
    /// A height screw, by its place in the model.
    Turned(usize, usize),
}

/// A string that goes less of a screw's way than this is not said to have been moved by it (a choice).
const LEAST_SHARE: f64 = 0.3;

/// More variance along one direction of the readings.
struct Surprise {
    kind: Kind,
    along: DVector<f64>,
    variance: f64,
    log_odds: f64,
}

/// The explanations of a chain of accounts, the likeliest first; their weights add up to one. There
/// is always at least one.
///
/// # Errors
///
/// As [`super::estimate`].
///
/// ```
/// use fallaway_mechanics::conversions::StringGeometry;
/// use fallaway_mechanics::neck::{Joint, ReliefWay};
/// use fallaway_mechanics::state::*;
/// use fallaway_mechanics::string_line::GapPlace;
/// use fallaway_mechanics::{Uncertain, units::mm};
/// let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
/// let string = |across| StateString { geometry: geometry.clone(), across };
/// let model = Model::new([0.0, 1.0].map(string).to_vec()).unwrap();
/// let visit = |action: f64| {
///     let read = |what, string, v, u| {
///         StateReading::new(what, string, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()))
///     };
///     vec![
///         read(What::Relief(ReliefWay::largest(24)), 0, 0.2, 0.02),
///         read(What::Gap(GapPlace::stopped_at_1_over(24)), 0, 2.0, 0.05),
///         read(What::Gap(GapPlace::stopped_at_1_over(24)), 1, action, 0.05),
///     ]
/// };
/// let visits = [visit(2.0), visit(2.9), visit(2.0)];
/// let account = |readings| Account { readings, trusted: false, noted: &[] };
/// let found = doubts(&model, &visits.each_ref().map(|v| account(v))).unwrap();
/// // The visits before and after agree: nobody raised a saddle and lowered it again.
/// assert_eq!(found[0].wrong, [(1, 2)]);
/// assert!(found[0].weight > 0.8);
/// ```
pub fn doubts(model: &Model, accounts: &[Account<'_>]) -> Result<Vec<Hypothesis>> {
    let visits: Vec<&[StateReading]> = accounts.iter().map(|a| a.readings).collect();
    let (rows, shared) = chain_rows(model, &visits)?;
    let n = rows.len();
    let wide = width(model);
    // A direction of change since an account: the same columns in it and in all later ones.
    let since = |first: usize, sum: &[(usize, f64)]| -> DVector<f64> {
        DVector::from_iterator(
            n,
            rows.iter().map(|r| {
                let one = |(column, by): &(usize, f64)| {
                    by * r.row.get(r.visit * wide + column).copied().unwrap_or_default()
                };
                if r.visit < first { 0.0 } else { sum.iter().map(one).sum() }
            }),
        )
    };
    let mut covariance = DMatrix::from_diagonal(&DVector::from_iterator(
        n,
        rows.iter().map(|r| r.standard_uncertainty * r.standard_uncertainty),
    ));
    let mut add = |along: &DVector<f64>, sd: f64| covariance.ger(sd * sd, along, along, 1.0);
    for (sum, sd) in first_priors(model) {
        add(&since(0, &sum), sd);
    }
    // The joint and the shared offsets are in their own standard deviations.
    for column in 0..=shared {
        let at = visits.len() * wide + column;
        let along = rows.iter().map(|r| r.row.get(at).copied().unwrap_or_default());
        add(&DVector::from_iterator(n, along), 1.0);
    }
    let mut surprises = Vec::new();
    for (visit, account) in accounts.iter().enumerate().skip(1) {
        let mut change = |kind: Kind, noted: bool, sum: &[(usize, f64)], habit: &Habit| {
            let along = since(visit, sum);
            add(&along, habit.quiet);
            if noted {
                add(&along, 2.0 * habit.much);
                return;
            }
            let (variance, log_odds) = (habit.much * habit.much, habit.how_often.ln());
            surprises.push(Surprise { kind, along, variance, log_odds });
        };
        for (part, sum, habit) in changes(model)? {
            let kind = match part {
                StatePart::Tilt => Kind::Tilted(visit),
                _ => Kind::Moved(visit, part),
            };
            change(kind, account.noted.contains(&part), &sum, &habit);
        }
        for (index, screw) in model.screws.iter().enumerate() {
            let noted = |s: usize| account.noted.contains(&StatePart::StringHeight(s));
            let noted = screw.iter().any(|(string, _)| noted(*string));
            let sum: Vec<(usize, f64)> = screw.iter().map(|(s, share)| (3 + s, *share)).collect();
            change(Kind::Turned(visit, index), noted, &sum, &SADDLE);
        }
    }
    for (index, row) in rows.iter().enumerate() {
        if accounts.get(row.visit).is_some_and(|a| a.trusted) {
            continue;
        }
        let mut along = DVector::zeros(n);
        if let Some(cell) = along.get_mut(index) {
            *cell = 1.0;
        }
        let sd = slip(row.what);
        surprises.push(Surprise {
            kind: Kind::Wrong(row.visit, row.reading),
            along,
            variance: sd * sd,
            log_odds: SLIP.ln(),
        });
    }
    let values = DVector::from_iterator(n, rows.iter().map(|r| r.value));
    let inverse = covariance
        .cholesky()
        .ok_or(Error::Undetermined {
            what: "state of the instrument",
            reason: "the readings' weights differ too much; check their uncertainties",
        })?
        .inverse();
    let moved = |kind: Kind| match kind {
        Kind::Moved(visit, part) => vec![(visit, part)],
        Kind::Turned(visit, screw) => {
            let strings = model.screws.get(screw).into_iter().flatten();
            let moved = strings.filter(|(_, share)| *share >= LEAST_SHARE);
            moved.map(|(string, _)| (visit, StatePart::StringHeight(*string))).collect()
        }
        Kind::Wrong(..) | Kind::Tilted(_) => Vec::new(),
    };
    Ok(follow(&inverse, &values, &surprises, &moved))
}

fn slip(what: What) -> f64 {
    match what {
        What::Relief(_) => SLIP_RELIEF,
        What::GapHeld { .. } => SLIP_NUT,
        What::Gap(place) if place.over <= 1 => SLIP_NUT,
        What::Gap(_) => SLIP_GAP,
    }
}

/// What may change from one visit to the next: the part, its columns, how much.
#[expect(clippy::type_complexity, reason = "part, columns, habit")]
fn changes(model: &Model) -> Result<Vec<(StatePart, Vec<(usize, f64)>, Habit)>> {
    let relief = as_length(model, StatePart::Neck)?.0.max(1e-6);
    let strings = model.strings();
    let mut all = vec![
        (StatePart::Neck, vec![(0, 1.0 / relief), (1, 1.0 / relief)], NECK),
        (StatePart::Twist, vec![(0, -0.5 / relief), (1, 0.5 / relief)], TWIST),
        (StatePart::Tilt, vec![(2, 1.0)], TILT),
        (StatePart::Heights, (0..model.saddles).map(|s| (3 + s, 1.0)).collect(), BRIDGE),
    ];
    for string in 0..strings {
        if string >= model.saddles || model.shares_screws(string) {
            all.push((StatePart::StringHeight(string), vec![(3 + string, 1.0)], ALONE));
        }
        all.push((StatePart::Nut(string), vec![(3 + strings + string, 1.0)], NUT));
    }
    Ok(all)
}

/// A hypothesis that is yet to be followed.
struct Open {
    log_weight: f64,
    surprises: Set<usize>,
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Open {}
impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Open {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.log_weight
            .total_cmp(&other.log_weight)
            .then_with(|| other.surprises.cmp(&self.surprises))
    }
}

/// Follows the heaviest hypotheses. `inverse` is that of the covariance without any surprise.
fn follow(
    inverse: &DMatrix<f64>,
    values: &DVector<f64>,
    surprises: &[Surprise],
    moved: &dyn Fn(Kind) -> Vec<(usize, StatePart)>,
) -> Vec<Hypothesis> {
    let mut queue = BinaryHeap::from([Open { log_weight: 0.0, surprises: Set::new() }]);
    let mut known = Set::from([Set::new()]);
    let mut found: Vec<Open> = Vec::new();
    let mut best = 0.0_f64;
    while let Some(open) = queue.pop() {
        if open.log_weight < best + LIGHT.ln() || found.len() >= MOST_FOLLOWED {
            break;
        }
        best = best.max(open.log_weight);
        if open.surprises.len() < MOST_SURPRISES {
            let inverse = with(inverse, surprises, &open.surprises);
            let weighted = &inverse * values;
            for (index, surprise) in surprises.iter().enumerate() {
                if open.surprises.contains(&index) {
                    continue;
                }
                let Some(gain) = gain(&inverse, &weighted, surprise) else { continue };
                let log_weight = open.log_weight + gain;
                if log_weight < best + LIGHT.ln() {
                    continue;
                }
                let mut more = open.surprises.clone();
                more.insert(index);
                if known.insert(more.clone()) {
                    queue.push(Open { log_weight, surprises: more });
                }
            }
        }
        found.push(open);
    }
    let total: f64 = found.iter().map(|o| (o.log_weight - best).exp()).sum();
    let mut all: Vec<Hypothesis> = found
        .into_iter()
        .map(|open| {
            let kinds = || open.surprises.iter().filter_map(|&i| surprises.get(i)).map(|s| s.kind);
            Hypothesis {
                weight: (open.log_weight - best).exp() / total,
                wrong: kinds()
                    .filter_map(|k| match k {
                        Kind::Wrong(visit, reading) => Some((visit, reading)),
                        _ => None,
                    })
                    .collect(),
                tilted: kinds()
                    .filter_map(|k| match k {
                        Kind::Tilted(visit) => Some(visit),
                        _ => None,
                    })
                    .collect(),
                moved: kinds().flat_map(moved).collect(),
            }
        })
        .collect();
    all.put_in_order_by(|a, b| b.weight.total_cmp(&a.weight));
    all
}

/// The inverse covariance with some surprises (W. W. Hager, SIAM Review 31 (1989) 221, equation 2:
/// the inverse after an update of rank one).
fn with(inverse: &DMatrix<f64>, surprises: &[Surprise], chosen: &Set<usize>) -> DMatrix<f64> {
    let mut inverse = inverse.clone();
    for surprise in chosen.iter().filter_map(|&i| surprises.get(i)) {
        let through = &inverse * &surprise.along;
        let own = 1.0 + surprise.variance * surprise.along.dot(&through);
        inverse.ger(-surprise.variance / own, &through, &through, 1.0);
    }
    inverse
}

/// What a further surprise adds to the logarithm of a hypothesis' weight; `None` for a part of which
/// no reading tells: whether it moved changes nothing.
fn gain(inverse: &DMatrix<f64>, weighted: &DVector<f64>, surprise: &Surprise) -> Option<f64> {
    let own = match surprise.kind {
        // A single reading: one cell of the matrix.
        Kind::Wrong(..) => {
            let at = surprise.along.imax();
            inverse.get((at, at)).copied().unwrap_or_default()
        }
        _ => surprise.along.dot(&(inverse * &surprise.along)),
    };
    let scale = 1.0 + surprise.variance * own.max(0.0);
    if matches!(surprise.kind, Kind::Moved(..) | Kind::Turned(..)) && scale < TOLD {
        return None;
    }
    let along = surprise.along.dot(weighted);
    let fits = surprise.variance * along * along / scale;
    Some(surprise.log_odds + (fits - scale.ln()) / 2.0)
}
