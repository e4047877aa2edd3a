//! Strings on the same screws tell together where those screws hold them: each reading is rounded for
//! itself, a post or a shared saddle moves all. What only single readings say is no reason to turn it.

use minicbor::{Decode, Encode};

use super::against_target::AgainstTarget;
use super::judge::likely_outside;
use super::trail::per_saddle;
use crate::normal;
use crate::observe::{COVERAGE, Facts, Measurand};

/// How far strings stand beside where their screws alone would hold them, one standard deviation in mm at
/// the saddle (common practice, no source).
const ASIDE_MM: f64 = 0.08;

/// The screws that hold a string: one or two, and how much each lifts it.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode)]
pub struct OnScrews {
    /// The first of them: strings of one part name the same.
    #[n(0)]
    first: u8,
    #[n(1)]
    screws: u8,
    #[n(2)]
    levers: (f64, f64),
    /// By how much the action grows for each mm at the saddle.
    #[n(3)]
    per_saddle: f64,
}

impl OnScrews {
    /// Of the action of a string. `None` where that is not known, and where more screws hold it.
    pub fn of(facts: &Facts, measurand: Measurand) -> Option<Self> {
        let (place, bridge) = (measurand.place()?, &facts.bridge);
        let matrix = bridge.matrix.as_ref()?;
        let row = bridge.rows.iter().position(|p| *p == place)?;
        let lifts = |column: usize| matrix.lever(row, column).filter(|lever| *lever != 0.0);
        let mut columns = (0..matrix.screws().len()).filter_map(|c| Some((c, lifts(c)?)));
        let (first, one) = columns.next()?;
        let other = columns.next();
        columns.next().is_none().then_some(())?;
        Some(Self {
            first: u8::try_from(first).ok()?,
            screws: 1 + u8::from(other.is_some()),
            levers: (one, other.map_or(0.0, |(_, lever)| lever)),
            per_saddle: per_saddle(measurand, facts)?,
        })
    }

    fn row(&self, compared: &AgainstTarget) -> Row {
        Row {
            levers: [self.levers.0, self.levers.1],
            off: compared.off().value / self.per_saddle,
            sd: (compared.read.standard_uncertainty / self.per_saddle).hypot(ASIDE_MM),
        }
    }
}

/// One string of a part: how much each screw lifts it, and how far it stands off at the saddle.
struct Row {
    levers: [f64; 2],
    off: f64,
    sd: f64,
}

/// Whether a string that reads outside its tolerance is likely so, by all strings on the same screws
/// together, read the same way. `None` where it has its screws for itself, where too few were read, or
/// where it stands apart from the others.
pub fn outside_together(
    (held, compared): (OnScrews, AgainstTarget),
    all: &[(OnScrews, AgainstTarget)],
) -> Option<bool> {
    let alike = all.iter().filter(|(h, _)| (h.first, h.screws) == (held.first, held.screws));
    let rows: Vec<Row> = alike.map(|(h, c)| h.row(c)).collect();
    let screws = usize::from(held.screws);
    if rows.len() <= screws {
        return None;
    }
    let mine = held.row(&compared);
    let (off, sd) = fitted(&rows, &mine.levers, screws)?;
    if (mine.off - off).abs() > COVERAGE * mine.sd {
        return None;
    }
    let (tolerance, sd) = (compared.tolerance / held.per_saddle, sd.max(1e-6));
    let within = normal::below((tolerance - off) / sd) - normal::below((-tolerance - off) / sd);
    let inside = 2.0 * normal::below(tolerance / sd) - 1.0;
    Some(likely_outside(1.0 - within, inside))
}

/// How far the screws hold a string off by the weighted least squares of all rows, and how sure that is.
fn fitted(rows: &[Row], levers: &[f64; 2], columns: usize) -> Option<(f64, f64)> {
    let sum = |of: &dyn Fn(&Row) -> f64| rows.iter().map(|r| of(r) / (r.sd * r.sd)).sum::<f64>();
    let [a, b] = *levers;
    let (aa, at) = (sum(&|r| r.levers[0] * r.levers[0]), sum(&|r| r.levers[0] * r.off));
    if columns == 1 {
        let variance = a * a / aa;
        return variance.is_finite().then_some((a * at / aa, variance.sqrt()));
    }
    let (ab, bb) = (sum(&|r| r.levers[0] * r.levers[1]), sum(&|r| r.levers[1] * r.levers[1]));
    let bt = sum(&|r| r.levers[1] * r.off);
    let determinant = aa * bb - ab * ab;
    if determinant.abs() < 1e-9 {
        return None;
    }
    let (x, y) = ((bb * at - ab * bt) / determinant, (aa * bt - ab * at) / determinant);
    let variance = (a * a * bb - 2.0 * a * b * ab + b * b * aa) / determinant;
    Some((a * x + b * y, variance.max(0.0).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(across: f64, off: f64) -> Row {
        Row { levers: [1.0 - across, across], off, sd: 0.2 }
    }

    #[test]
    fn many_strings_on_two_posts_say_more_than_one() {
        // A straight line through the strings, with one mark of a rule beside it.
        let rows: Vec<Row> =
            [0.0, 0.2, 0.4, 0.6, 0.8, 1.0].map(|t| row(t, if t == 0.4 { 0.4 } else { 0.0 })).into();
        let (off, sd) = fitted(&rows, &[0.6, 0.4], 2).unwrap();
        // Six alike about a mean: 0.4/6 and a little for the slope; sd about 0.2/sqrt(6).
        assert!((off - 0.07).abs() < 0.01 && (sd - 0.085).abs() < 0.01, "{off} {sd}");
        // One screw: the mean.
        let pair = [0.4, 0.0].map(|off| Row { levers: [1.0, 0.0], off, sd: 0.2 });
        let (off, sd) = fitted(&pair, &[1.0, 0.0], 1).unwrap();
        assert!((off - 0.2).abs() < 1e-9 && (sd - 0.2 / 2_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_string_that_reads_off_alone_is_not_off_where_posts_hold_all() {
        use crate::compare::RestsOn;
        use crate::observe::Estimate;
        use fallaway_measure::{Amount, Unit};
        let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
        let judged = |offs: [f64; 6], of: usize| {
            let all: Vec<(OnScrews, AgainstTarget)> = (0..6)
                .zip(offs)
                .map(|(n, off)| {
                    let across = f64::from(n) / 5.0;
                    let levers = (1.0 - across, across);
                    let read = Estimate::mm(1.6 + off, 0.2);
                    let compared = AgainstTarget::new(read, mm(160), mm(20), RestsOn::Reading);
                    (OnScrews { first: 0, screws: 2, levers, per_saddle: 0.8 }, compared.unwrap())
                })
                .collect();
            outside_together(all[of], &all)
        };
        assert_eq!(judged([0.0, 0.0, 0.35, 0.0, 0.0, 0.0], 2), Some(false));
        assert_eq!(judged([0.35; 6], 2), Some(true));
        // One that stands apart is judged by itself.
        assert_eq!(judged([0.0, 0.0, 1.2, 0.0, 0.0, 0.0], 2), None);
        // So is one with a screw of its own.
        let alone = OnScrews { first: 0, screws: 1, levers: (1.0, 0.0), per_saddle: 0.8 };
        let read = Estimate::mm(2.0, 0.2);
        let compared = AgainstTarget::new(read, mm(160), mm(20), RestsOn::Reading).unwrap();
        assert_eq!(outside_together((alone, compared), &[(alone, compared)]), None);
    }
}
