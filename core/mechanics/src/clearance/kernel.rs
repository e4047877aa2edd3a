//! Gaps and needs as plain numbers, linear in saddle height and curvature.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use super::{Played, SwingingString};
use crate::envelope::{SwingBasis, Touch, force_over_tension};
use crate::error::{Error, Result};
use crate::pluck::PluckDirection;
use crate::string_line::GapPlace;
use crate::units::{as_mm, as_per_mm, per_mm};

/// A place, the row of its gap, and the depth there for a force equal to the tension.
pub(super) type Pair = (GapPlace, [f64; 3], f64);

/// The gaps of a string as plain numbers, linear in saddle height and curvature.
pub(super) struct Kernel<'a> {
    pub string: &'a SwingingString<'a>,
    x: Vec<f64>,
    /// Crowns without curvature; for 0 the nut slot.
    flat: Vec<f64>,
    /// What one unit of curvature adds.
    bend: Vec<f64>,
    pub curvature: f64,
    saddle: f64,
    saddle_x: f64,
    played: Played,
}

impl<'a> Kernel<'a> {
    pub(crate) fn new(string: &'a SwingingString<'a>, played: Played) -> Result<Self> {
        let neck = string.line.neck();
        let frets = neck.frets();
        if string.envelope.frets() != frets {
            return Err(Error::CountMismatch {
                quantity: "frets of the envelope",
                given: string.envelope.frets(),
                expected: frets,
            });
        }
        if played.last >= frets || played.first > played.last {
            return Err(Error::NoSuchPlace {
                what: "played fret with a fret beyond it, fret",
                number: if played.last >= frets { played.last } else { played.first },
                first: 0,
                last: frets.saturating_sub(1),
            });
        }
        let curvature = as_per_mm(neck.curvature());
        // A unit that keeps all numbers near 1 and is exact to undo.
        let unit = 1e-6;
        let straight = neck.with_curvature(per_mm(0.0))?;
        let bent = neck.with_curvature(per_mm(unit))?;
        let (mut x, mut flat, mut bend) = (Vec::new(), Vec::new(), Vec::new());
        for fret in 0..=frets {
            x.push(as_mm(neck.position(fret)?));
            let nut = if fret == 0 { as_mm(string.line.nut_height()) } else { 0.0 };
            let crown = as_mm(straight.crown(fret)?);
            flat.push(crown + nut);
            bend.push((as_mm(bent.crown(fret)?) - crown) / unit);
        }
        let saddle = as_mm(string.line.saddle_height());
        let saddle_x = as_mm(string.line.saddle_position());
        Ok(Self { string, x, flat, bend, curvature, saddle, saddle_x, played })
    }

    /// `(constant, per curvature, per saddle height)` of the gap at a place.
    pub(crate) fn row(&self, place: GapPlace) -> Option<[f64; 3]> {
        let GapPlace { stopped: m, over: j } = place;
        let (xm, xj) = (self.x.get(m)?, self.x.get(j)?);
        let t = (xj - xm) / (self.saddle_x - xm);
        let mix = |z: &[f64]| Some((1.0 - t) * z.get(m)? - z.get(j)?);
        Some([mix(&self.flat)?, mix(&self.bend)?, t])
    }

    pub(crate) fn places(&self) -> impl Iterator<Item = GapPlace> + use<> {
        let frets = self.x.len() - 1;
        (self.played.first..=self.played.last)
            .flat_map(move |m| (m + 1..=frets).map(move |j| GapPlace::new(m, j)))
    }

    pub(crate) fn unit(&self, place: GapPlace, direction: PluckDirection) -> f64 {
        self.string.envelope.unit(place, direction).unwrap_or(0.0)
    }

    /// Gap at rest and depth, at every place: worked out once for all that is asked of it.
    pub(crate) fn pairs(&self, direction: PluckDirection) -> Vec<Pair> {
        self.places()
            .filter_map(|place| Some((place, self.row(place)?, self.unit(place, direction))))
            .collect()
    }

    pub(crate) fn gap(&self, row: [f64; 3]) -> f64 {
        row[0] + row[1] * self.curvature + row[2] * self.saddle
    }

    pub(crate) fn basis(&self) -> SwingBasis {
        *self.string.envelope.basis()
    }
}

/// What every place asks of the saddle: rows of the gap and the depth with its spare.
pub(super) struct Need {
    rows: Vec<(GapPlace, [f64; 3], f64)>,
}

impl Need {
    pub(crate) fn new(
        kernel: &Kernel<'_>,
        pairs: &[Pair],
        touch: Touch,
        spare: Length,
    ) -> Result<Self> {
        let pull = force_over_tension(touch.force, kernel.string.tension)?;
        let spare = Limit::SpareGap.check_mm(spare)?;
        let rows =
            pairs.iter().map(|&(place, row, unit)| (place, row, unit * pull + spare)).collect();
        Ok(Self { rows })
    }

    /// The same for curvatures between two, without the places that never ask for most there. The need
    /// of each is a straight line in the curvature, so what lies below another at both ends lies below
    /// it all the way.
    pub(crate) fn between(&self, low: f64, high: f64) -> Self {
        let ends = |(_, [constant, bend, saddle], need): &(GapPlace, [f64; 3], f64)| {
            [low, high].map(|curvature| (need - constant - bend * curvature) / saddle)
        };
        let most: Vec<(GapPlace, [f64; 2])> = [low, f64::midpoint(low, high), high]
            .into_iter()
            .filter_map(|curvature| {
                let (_, place) = self.lowest_saddle(curvature);
                let row = self.rows.iter().find(|(other, ..)| *other == place)?;
                Some((place, ends(row)))
            })
            .collect();
        let asks = |row: &&(GapPlace, [f64; 3], f64)| {
            let own = ends(row);
            !most
                .iter()
                .any(|(place, other)| *place != row.0 && own[0] <= other[0] && own[1] <= other[1])
        };
        Self { rows: self.rows.iter().filter(asks).copied().collect() }
    }

    /// The lowest saddle at this curvature, and the place that asks for it.
    pub(crate) fn lowest_saddle(&self, curvature: f64) -> (f64, GapPlace) {
        let mut worst = (f64::NEG_INFINITY, GapPlace::new(0, 0));
        for (place, [constant, bend, saddle], need) in &self.rows {
            let height = (need - constant - bend * curvature) / saddle;
            if height > worst.0 {
                worst = (height, *place);
            }
        }
        worst
    }
}

pub(super) fn read_row(kernel: &Kernel<'_>, place: GapPlace) -> Result<[f64; 3]> {
    // The line's own check of the place gives the better message.
    kernel.string.line.gap(place)?;
    kernel.row(place).ok_or(Error::NoSuchPlace {
        what: "fret",
        number: place.over,
        first: 1,
        last: kernel.x.len() - 1,
    })
}
