//! How low and how high a plucked string comes over every fret, for every fretted note: computed
//! once per string, then only scaled.
//!
//! The envelope for F / T = 1 depends on where the string is plucked, its stiffness and (through the
//! decay) its pitch, not on relief, action or touch. A what-if on those reuses it; so does a what-if
//! on tension within a few per cent, because stiffness enters weakly (five times the inharmonicity
//! deepens the swing by about a tenth).
//!
//! # Assumptions, in every result
//!
//! [`SwingBasis`] names the method and the assumed values. The modal engine agrees with an independent
//! numerical solution of the same model; that is a calibration with assumed tension, stiffness, decay
//! and touch, not a validation against a measured string.

use fallaway_measure::Limit;
use uom::si::f64::{Force, Frequency, Length, Time};
use uom::si::force::newton;
use uom::si::time::second;

use crate::error::{Error, Result};
use crate::modal::{Extremes, Motion, Stopped, extremes};
use crate::pluck::{PluckDirection, cheap, ideal};
use crate::stiff_string::stiffness_ratio_of;
use crate::string_line::GapPlace;
use crate::strings::check_frequency;
use crate::units::mm;

/// What has to be known, or assumed, of a string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PluckedString {
    /// Nut to saddle: [`Limit::ScaleLength`].
    pub scale: Length,
    /// Number of frets, at least one.
    pub frets: usize,
    /// Frequency of the open string; only the decay depends on it.
    pub frequency: Frequency,
    /// Inharmonicity B of the open string (Fletcher); 3.5e-5 for a bass G (C. Issanchou and others,
    /// Applied Acoustics 129 (2018) 217), 3.1e-4 for a low B (J. A. Kemp, SN Applied Sciences 2:636
    /// (2020), abstract), about 1.8e-4 for a low E by the power law between them.
    pub inharmonicity: f64,
    /// Where it is plucked: middle of the finger, from the saddle. Notes stopped so
    /// high that this lies beyond three quarters of the string are plucked there instead.
    pub from_saddle: Length,
}

/// How the swing is computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// Modes of a stiff, damped string: see [`crate::modal`].
    Modes(SwingModel),
    /// The triangles of the ideal string, and toward the board the cheap form with this factor k:
    /// see [`crate::pluck`].
    ClosedForm {
        /// The factor k.
        factor: f64,
    },
}

/// The settings of the modal engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingModel {
    /// How many periods of the fundamental are followed: [`Limit::Periods`].
    pub periods: u32,
    /// Width of the finger or pick: [`Limit::FingerWidth`].
    pub finger: Length,
    /// Time in which the fundamental falls by 60 dB: [`Limit::DecayTime`].
    pub decay_time: Time,
    /// Most modes: [`Limit::Modes`].
    pub modes: u32,
    /// Instants per period: [`Limit::Instants`].
    pub steps: u32,
    /// `None` for the string itself. Otherwise the stiffness is lowered as a finite-difference grid
    /// with this many cells per stopped length lowers it: the leading error of second
    /// differences on cells of width h is a stiffness of `-T h^2 / 12`. Only to compare with such a
    /// solution.
    pub grid: Option<u32>,
}

impl Default for SwingModel {
    /// Sixty periods, a finger of 10 mm, 20 s, 48 modes, 64 instants per period.
    ///
    /// With these decays the swing of a measured bass G string is what it is with its own, partial by
    /// partial (T60 of partials 1 to 8: 35, 50, 4, 15, 5, 10, 17, 2 s; C. Issanchou and others, Applied
    /// Acoustics 129 (2018) 217, data as used in the repository siconos-tutorials), within 0.02 mm at 1.5
    /// N. Its partials stand 3 to 4 cents beside those of a stiff string as well, which makes the swing
    /// at frets 3 to 9 deeper by a third to a half after 20 periods and by more after 60: no model
    /// without the body has that, and it is left out.
    fn default() -> Self {
        Self {
            periods: 60,
            finger: mm(10.0),
            decay_time: Time::new::<second>(20.0),
            modes: 48,
            steps: 64,
            grid: None,
        }
    }
}

/// By which method and with which assumptions a number was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingBasis {
    /// How the swing was computed.
    pub method: Method,
    /// The string as it was assumed.
    pub string: PluckedString,
}

/// The touch: how hard and which way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// The part of the force at right angles to the board: [`Limit::PluckForce`].
    pub force: Force,
    /// Which way the string is displaced.
    pub direction: PluckDirection,
}

/// How quickly partial q fades: `1 + 0.004 q^2` times as fast as the fundamental would without it.
const DECAY_GROWTH: f64 = 0.004;
/// The farthest place of a pluck, as a part of the stopped string.
const FARTHEST_PLUCK: f64 = 0.75;

/// Depths over every fret for every fretted note of one string, for F / T = 1.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitEnvelope {
    basis: SwingBasis,
    /// For m = 0, 1, ... the extremes over m+1, m+2, ..., in mm.
    rows: Vec<Vec<Extremes>>,
}

impl UnitEnvelope {
    /// Computes the envelope of a string.
    ///
    /// The modal engine with default settings takes some 10 ms in a release build.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`] outside the limits in [`PluckedString`], [`SwingModel`] and [`Method`].
    ///
    /// ```
    /// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
    /// use fallaway_mechanics::{pluck::PluckDirection, string_line::GapPlace, units::{as_mm, mm}};
    /// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
    /// let low_e = PluckedString {
    ///     scale: mm(863.6),
    ///     frets: 24,
    ///     frequency: Frequency::new::<hertz>(41.2),
    ///     inharmonicity: 1e-4,
    ///     from_saddle: mm(100.0),
    /// };
    /// let envelope = UnitEnvelope::compute(&low_e, Method::Modes(Default::default())).unwrap();
    /// let touch = Touch { force: Force::new::<newton>(2.0), direction: PluckDirection::TowardBoard };
    /// let depth = envelope.depth(GapPlace::new(12, 24), touch, Force::new::<newton>(155.0)).unwrap();
    /// assert!((0.5..1.5).contains(&as_mm(depth)));
    /// ```
    pub fn compute(string: &PluckedString, method: Method) -> Result<Self> {
        let scale = Limit::ScaleLength.check_mm(string.scale)?;
        Limit::Frets.check_count(string.frets)?;
        let hz = check_frequency(string.frequency)?;
        let b = Limit::Inharmonicity.check(string.inharmonicity)?;
        let p = Limit::PluckPlace.check_mm(string.from_saddle)?;
        let rows = match method {
            Method::ClosedForm { factor } => {
                let factor = Limit::PluckFactor.check(factor)?;
                closed_form(string.frets, scale, p, factor)
            }
            Method::Modes(model) => {
                let finger = Limit::FingerWidth.check_mm(model.finger)?;
                let motion = Motion {
                    t60: Limit::DecayTime.check(model.decay_time.get::<second>())?,
                    growth: DECAY_GROWTH,
                    periods: Limit::Periods.check(f64::from(model.periods))? as u32,
                    modes: Limit::Modes.check(f64::from(model.modes))? as usize,
                    steps: Limit::Instants.check(f64::from(model.steps))? as u32,
                };
                let b = stiffness_ratio_of(b);
                let grid = match model.grid {
                    Some(n) => Limit::GridCells.check(f64::from(n))?,
                    None => f64::INFINITY,
                };
                (0..string.frets)
                    .map(|m| {
                        let (length, places) = stopped(string.frets, scale, m);
                        let ratio = scale / length;
                        let stopped = Stopped {
                            b: on_grid((b * ratio).min(0.1), grid),
                            hz: hz * ratio,
                            p: (p / length).min(FARTHEST_PLUCK),
                            width: (finger / length).min(0.2),
                        };
                        scaled(extremes(&stopped, &motion, &places), length)
                    })
                    .collect()
            }
        };
        Ok(Self { basis: SwingBasis { method, string: *string }, rows })
    }

    /// By which method and with which assumptions.
    ///
    /// ```
    /// use fallaway_mechanics::envelope::{Method, PluckedString, UnitEnvelope};
    /// use fallaway_mechanics::units::mm;
    /// use uom::si::{f64::Frequency, frequency::hertz};
    /// let string = PluckedString {
    ///     scale: mm(648.0),
    ///     frets: 22,
    ///     frequency: Frequency::new::<hertz>(196.0),
    ///     inharmonicity: 1e-4,
    ///     from_saddle: mm(80.0),
    /// };
    /// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
    /// assert_eq!(envelope.basis().string, string);
    /// assert_eq!(envelope.frets(), 22);
    /// ```
    pub fn basis(&self) -> &SwingBasis {
        &self.basis
    }

    /// Number of frets; see [`UnitEnvelope::basis`] for an example.
    pub fn frets(&self) -> usize {
        self.basis.string.frets
    }

    /// How far below its rest line the string comes over a place, at a touch and tension.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`] for a fret beyond the last, or not beyond the stopped one;
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
    /// use fallaway_mechanics::{pluck::PluckDirection, string_line::GapPlace, units::mm};
    /// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
    /// let g = PluckedString {
    ///     scale: mm(863.6),
    ///     frets: 24,
    ///     frequency: Frequency::new::<hertz>(98.0),
    ///     inharmonicity: 2e-5,
    ///     from_saddle: mm(100.0),
    /// };
    /// let envelope = UnitEnvelope::compute(&g, Method::ClosedForm { factor: 1.0 }).unwrap();
    /// let at = |n| {
    ///     let touch = Touch { force: Force::new::<newton>(n), direction: PluckDirection::TowardBoard };
    ///     envelope.depth(GapPlace::new(1, 24), touch, Force::new::<newton>(170.0)).unwrap()
    /// };
    /// assert!((at(2.0) - 2.0 * at(1.0)).abs() < mm(1e-9));
    /// ```
    pub fn depth(&self, place: GapPlace, touch: Touch, tension: Force) -> Result<Length> {
        let unit = self.unit(place, touch.direction).ok_or(Error::NoSuchPlace {
            what: "fret beyond the stopped one, fret",
            number: place.over,
            first: place.stopped + 1,
            last: self.frets(),
        })?;
        Ok(mm(unit * force_over_tension(touch.force, tension)?))
    }

    /// Depth in mm for F / T = 1.
    pub(crate) fn unit(&self, place: GapPlace, direction: PluckDirection) -> Option<f64> {
        let beyond = place.over.checked_sub(place.stopped + 1)?;
        let extremes = self.rows.get(place.stopped)?.get(beyond)?;
        Some(f64::from(match direction {
            PluckDirection::TowardBoard => extremes.same,
            PluckDirection::AwayFromBoard => extremes.other,
        }))
    }
}

/// F / T, checked.
pub(crate) fn force_over_tension(force: Force, tension: Force) -> Result<f64> {
    let f = Limit::PluckForce.check(force.get::<newton>())?;
    Ok(f / Limit::Tension.check(tension.get::<newton>())?)
}

/// Stopped length in mm and the frets beyond m as parts of it from the saddle; the saddle is taken
/// at the drawn scale length, because some millimetres of compensation do not matter here.
fn stopped(frets: usize, scale: f64, m: usize) -> (f64, Vec<f64>) {
    let length = scale * (-(m as f64) / 12.0).exp2();
    (length, (m + 1..=frets).map(|j| (-((j - m) as f64) / 12.0).exp2()).collect())
}

/// The stiffness ratio that a grid of `cells` per stopped length makes of `b`.
fn on_grid(b: f64, cells: f64) -> f64 {
    (b * b - 1.0 / (12.0 * cells * cells)).max(0.0).sqrt()
}

fn scaled(mut row: Vec<Extremes>, length: f64) -> Vec<Extremes> {
    for e in &mut row {
        e.same *= length as f32;
        e.other *= length as f32;
    }
    row
}

fn closed_form(frets: usize, scale: f64, p: f64, factor: f64) -> Vec<Vec<Extremes>> {
    (0..frets)
        .map(|m| {
            let (length, places) = stopped(frets, scale, m);
            let p = (p / length).min(FARTHEST_PLUCK);
            let row = places
                .into_iter()
                .map(|s| Extremes {
                    same: cheap(p, s, factor) as f32,
                    other: ideal(PluckDirection::AwayFromBoard, p, s) as f32,
                })
                .collect();
            scaled(row, length)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;
    use uom::si::frequency::hertz;

    fn string(b: f64, p: f64) -> PluckedString {
        PluckedString {
            scale: mm(863.6),
            frets: 24,
            frequency: Frequency::new::<hertz>(41.203),
            inharmonicity: b,
            from_saddle: mm(p),
        }
    }

    fn touch(direction: PluckDirection) -> Touch {
        Touch { force: Force::new::<newton>(2.0), direction }
    }

    fn depth(e: &UnitEnvelope, m: usize, j: usize, direction: PluckDirection) -> f64 {
        as_mm(e.depth(GapPlace::new(m, j), touch(direction), Force::new::<newton>(155.0)).unwrap())
    }

    #[test]
    fn a_limp_undamped_string_under_a_narrow_finger_keeps_to_the_triangles() {
        // The limit of the model is d'Alembert's solution.
        let model = SwingModel {
            periods: 2,
            finger: mm(1.0),
            decay_time: Time::new::<second>(60.0),
            modes: 400,
            steps: 1024,
            grid: None,
        };
        let limp = string(0.0, 100.0);
        let modes = UnitEnvelope::compute(&limp, Method::Modes(model)).unwrap();
        let ideal = UnitEnvelope::compute(&limp, Method::ClosedForm { factor: 0.0 }).unwrap();
        for (m, j) in [(0, 1), (0, 12), (1, 2), (5, 20), (12, 24), (22, 24)] {
            for direction in [PluckDirection::TowardBoard, PluckDirection::AwayFromBoard] {
                let (a, b) = (depth(&modes, m, j, direction), depth(&ideal, m, j, direction));
                assert!((a - b).abs() < 0.02, "{m} {j} {direction:?}: {a} {b}");
            }
        }
    }

    #[test]
    fn default_settings_are_fine_enough() {
        // Twice the modes and instants change no depth by more than 0.03 mm at 2 N.
        for b in [2e-5, 1e-4, 3e-4] {
            let usual =
                UnitEnvelope::compute(&string(b, 100.0), Method::Modes(SwingModel::default()));
            let fine = SwingModel { modes: 160, steps: 512, ..SwingModel::default() };
            let fine = UnitEnvelope::compute(&string(b, 100.0), Method::Modes(fine)).unwrap();
            let usual = usual.unwrap();
            for m in 0..24 {
                for j in m + 1..=24 {
                    for direction in [PluckDirection::TowardBoard, PluckDirection::AwayFromBoard] {
                        let apart = depth(&usual, m, j, direction) - depth(&fine, m, j, direction);
                        assert!(apart.abs() < 0.03, "{b} {m} {j} {direction:?}: {apart}");
                    }
                }
            }
        }
    }

    /// By how much the cheap form says less than the modes at 2 N, and by how much more, in millimetres.
    fn cheap_beside_modes(b: f64, factor: f64, periods: u32) -> (f64, f64) {
        let string = string(b, 100.0);
        let model = SwingModel { periods, ..SwingModel::default() };
        let modes = UnitEnvelope::compute(&string, Method::Modes(model)).unwrap();
        let cheap = UnitEnvelope::compute(&string, Method::ClosedForm { factor }).unwrap();
        let places = (0..24).flat_map(|m| (m + 1..=24).map(move |j| (m, j)));
        let apart = places.map(|(m, j)| {
            let of = |envelope| depth(envelope, m, j, PluckDirection::TowardBoard);
            of(&modes) - of(&cheap)
        });
        apart.fold((0.0_f64, 0.0_f64), |(less, more), one| (less.max(one), more.max(-one)))
    }

    #[test]
    fn the_cheap_form_lies_as_near_the_modes_as_its_page_says() {
        // Of a bass: a light string and a heavy one, with the factors that are named for them.
        for (b, factor) in [(3.5e-5, 1.0), (3.1e-4, 1.2)] {
            for periods in [20, 60] {
                let (less, more) = cheap_beside_modes(b, factor, periods);
                assert!(less < 0.12 && more < 0.28, "{b} {periods}: {less} {more}");
            }
        }
    }

    #[test]
    fn stiffness_deepens_the_stroke_toward_the_board() {
        let of = |b: f64| {
            let e = UnitEnvelope::compute(&string(b, 100.0), Method::Modes(SwingModel::default()));
            depth(&e.unwrap(), 5, 8, PluckDirection::TowardBoard)
        };
        assert!(of(1e-5) < of(1e-4) && of(1e-4) < of(1e-3));
    }

    #[test]
    fn places_and_forces_outside_are_refused() {
        let e = UnitEnvelope::compute(&string(1e-4, 100.0), Method::ClosedForm { factor: 1.0 })
            .unwrap();
        let t = Force::new::<newton>(155.0);
        for place in
            [GapPlace::new(5, 5), GapPlace::new(6, 5), GapPlace::new(3, 25), GapPlace::new(99, 100)]
        {
            assert!(e.depth(place, touch(PluckDirection::TowardBoard), t).is_err());
        }
        let heavy =
            Touch { force: Force::new::<newton>(90.0), direction: PluckDirection::TowardBoard };
        assert!(e.depth(GapPlace::new(1, 2), heavy, t).is_err());
        assert!(
            UnitEnvelope::compute(&string(0.5, 100.0), Method::ClosedForm { factor: 1.0 }).is_err()
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn every_accepted_string_has_finite_depths(
            scale in 250.0..1200.0f64, frets in 2usize..=36, hz in 20.0..400.0f64,
            b in 0.0..0.01f64, p in 10.0..400.0f64, periods in 1u32..4, finger in 1.0..30.0f64,
        ) {
            let s = PluckedString {
                scale: mm(scale), frets, frequency: Frequency::new::<hertz>(hz),
                inharmonicity: b, from_saddle: mm(p),
            };
            let model = SwingModel { periods, finger: mm(finger), ..SwingModel::default() };
            let e = UnitEnvelope::compute(&s, Method::Modes(model)).unwrap();
            for m in 0..frets {
                for j in m + 1..=frets {
                    for direction in [PluckDirection::TowardBoard, PluckDirection::AwayFromBoard] {
                        let d = e.unit(GapPlace::new(m, j), direction).unwrap();
                        prop_assert!(d.is_finite() && d >= 0.0);
                        // No point swings farther than twice the static depth of an ideal string.
                        prop_assert!(d <= 0.5 * scale);
                    }
                }
            }
        }
    }
}
