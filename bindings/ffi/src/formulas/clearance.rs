//! The swing of a plucked string, in closed form and by the model, for numbers without a record. A
//! calibration with assumed tension and touch, not a measurement: it ranks, it does not decide. For an
//! instrument with its readings see `Instrument.clearance`.

use fallaway::advice::clearance::{ClearanceModel, SetString, TouchUsed};
use fallaway::measure::StringPlace;
use fallaway::mechanics;
use fallaway::mechanics::pluck::{self, Pluck};
use fallaway::mechanics::string_line::{GapPlace, NutReading};
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::record::InstrumentSpec;

use super::neck::{NeckShape, ReliefWay};
use super::typed::{Uncertain, count, length, newtons};
use crate::FallawayError;
use crate::clearance::{ClearanceAnswer, ClearanceWhatIf, answer};
use crate::touch::{PluckDirection, Touch};

/// One string as it is set up.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringNumbers {
    /// What it is called: "4 (E)".
    pub name: String,
    /// The neck under it.
    pub neck: NeckShape,
    /// Frequency of the open string in Hz.
    pub frequency_hz: f64,
    /// Tension in N.
    pub tension_n: f64,
    /// Inharmonicity of the open string; about 2e-5 for a bass G, 1e-4 for a low E (assumed),
    /// 3e-4 for a low B (after J. A. Kemp, SN Applied Sciences 2:636 (2020)).
    pub inharmonicity: f64,
    /// Relief under it in mm.
    pub relief: Uncertain,
    /// How it was read.
    pub relief_way: ReliefWay,
    /// Action in mm.
    pub action: Uncertain,
    /// Fret at which the string was stopped for it; 0 open.
    pub action_stopped: u32,
    /// Fret over which it was read.
    pub action_over: u32,
    /// The open string over fret 1 in mm; with it the open string is judged too.
    #[uniffi(default = None)]
    pub open_over_1_mm: Option<f64>,
}

impl StringNumbers {
    fn set(self, place: StringPlace) -> Result<SetString, mechanics::Error> {
        Ok(SetString {
            place,
            geometry: self.neck.geometry()?,
            hz: self.frequency_hz,
            tension: mechanics::Uncertain::exact(newtons(self.tension_n)),
            inharmonicity: self.inharmonicity,
            relief: length(self.relief)?,
            relief_way: self.relief_way.into(),
            action: length(self.action)?,
            action_at: GapPlace::new(count(self.action_stopped), count(self.action_over)),
            nut: self.open_over_1_mm.map(|gap| NutReading::OpenOver1(mm(gap))),
        })
    }
}

/// Margins, lowest clean action, best relief and hardest touch of strings whose numbers are given,
/// highest pitch first, by the modes of a stiff, damped string over sixty periods. A touch without a
/// force has the 1.5 N that are usually assumed.
///
/// Checked against an independent finite-difference solution (core/mechanics/tests/reference/data/pluck.json): actions
/// agree to 0.05 mm. Show the answer's caveat with every number.
///
/// # Errors
/// `BadInput` outside the limits, or for lists of another length than the strings.
#[uniffi::export(default(what_if = None, all_margins = false))]
pub fn clearance_of_numbers(
    strings: Vec<StringNumbers>,
    touch: Touch,
    what_if: Option<ClearanceWhatIf>,
    all_margins: bool,
) -> Result<ClearanceAnswer, FallawayError> {
    let names: Vec<String> = strings.iter().map(|string| string.name.clone()).collect();
    let mut set = Vec::new();
    for (string, number) in strings.into_iter().zip(1_u8..) {
        let place = StringPlace::course(number).map_err(|_| mechanics::Error::NoSuchPlace {
            what: "string",
            number: number.into(),
            first: 1,
            last: StringPlace::MAX_COURSE.into(),
        })?;
        set.push(string.set(place)?);
    }
    let play = touch.play(TouchUsed::assumed());
    let found = ClearanceModel::new(set).ask(&what_if.unwrap_or_default().into(), play)?;
    let mut told = answer(&found, play, all_margins, &InstrumentSpec::default());
    for (string, name) in told.strings.iter_mut().zip(names) {
        string.name = name;
    }
    Ok(told)
}

/// Depth at the place of the pluck before the string is let go, in mm: `F p (L - p) / (T L)`.
///
/// `stopped_length_mm` from the fret to the saddle; `from_saddle_mm` within it;
/// `force_n` the part at right angles to the board.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn pluck_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::static_depth(&pluck)?))
}

/// Lowest point of an ideal string's motion at a place, in mm below its rest line: the initial
/// triangle if it was pushed toward the board, its mirror image if it was pulled away (d'Alembert).
///
/// `place_from_saddle_mm` within the stopped length; the rest as [`pluck_depth_mm`].
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn ideal_swing_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
    direction: PluckDirection,
    place_from_saddle_mm: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::ideal_depth(&pluck, direction, mm(place_from_saddle_mm))?))
}

/// The same for a real wound string pushed toward the board, which disperses, in a cheap form:
/// `max(initial triangle, k (2 F L / (pi^2 T)) sin(pi p / L) sin(pi s / L))`. `factor` k is about
/// 1.0 for a light string and 1.2 for a low E.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn wound_swing_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
    factor: f64,
    place_from_saddle_mm: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::cheap_depth(&pluck, mm(place_from_saddle_mm), factor)?))
}

fn of(stopped_length_mm: f64, from_saddle_mm: f64, tension_n: f64, force_n: f64) -> Pluck {
    Pluck {
        stopped_length: mm(stopped_length_mm),
        from_saddle: mm(from_saddle_mm),
        tension: newtons(tension_n),
        force: newtons(force_n),
    }
}
