//! What a string weighs, pulls and bears, and how stiff it is. Checked against
//! core/mechanics/tests/reference/data/strings.json, whose `published` entries name their sources.

use fallaway::mechanics::strings::{self, Construction, Layer, SetComparison};
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::{LinearMassDensity, MassDensity, Pressure};
use fallaway::mechanics::uom::si::frequency::hertz;
use fallaway::mechanics::uom::si::linear_mass_density::{kilogram_per_meter, pound_per_inch};
use fallaway::mechanics::uom::si::mass_density::kilogram_per_cubic_meter;
use fallaway::mechanics::uom::si::pressure::gigapascal;
use fallaway::mechanics::{self, stiff_string};

use super::typed::{Uncertain, force, hz, mass, newtons, uncertain_n};
use crate::FallawayError;
use crate::strings::MassBasis;

/// How a string is made, or what is known of its mass.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum StringMake {
    /// One solid wire, or a solid string of another material.
    Plain {
        /// Diameter in mm.
        diameter_mm: f64,
        /// Density in kg/m3; `None` for steel, 7850 (ASTM A228 wire; handbooks give 7800 to 7861).
        density_kg_m3: Option<f64>,
    },
    /// A core with layers of round wire, each turn touching the next.
    RoundWound {
        /// Diameter of the core in mm.
        core_mm: f64,
        /// Its density in kg/m3; `None` for steel.
        core_density_kg_m3: Option<f64>,
        /// From the inside out.
        layers: Vec<WindingLayer>,
    },
    /// Only the outer diameter of a steel-cored wound string is known: a guess, 3 % wide.
    WoundGauge {
        /// Diameter in mm.
        diameter_mm: f64,
    },
    /// Printed on the pack in pounds per inch.
    PackUnitWeight {
        /// Unit weight in lb/in.
        lb_per_in: f64,
    },
    /// The pack names a tension at a note on a scale.
    PackTension {
        /// Tension in N.
        tension_n: f64,
        /// At which frequency in Hz.
        frequency_hz: f64,
        /// On which scale length in mm.
        scale_mm: f64,
    },
}

/// One layer of winding.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct WindingLayer {
    /// Diameter of the wire in mm.
    pub wire_mm: f64,
    /// Density in kg/m3; `None` for steel.
    pub density_kg_m3: Option<f64>,
}

/// Mass for length.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct UnitMass {
    /// In kg/m, with the width of the estimate: 1 % for packs and plain strings, 3 % for known
    /// layers (conventions), 3 % for an outer diameter alone (the spread of a maker's chart).
    pub kg_per_m: Uncertain,
    /// Where it comes from.
    pub basis: MassBasis,
}

/// One string's, or the whole set's, tension before and after, in N.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct TensionChange {
    /// Before, in N.
    pub before_n: Uncertain,
    /// After, in N.
    pub after_n: Uncertain,
    /// After minus before, in N.
    pub change_n: Uncertain,
    /// After divided by before.
    pub ratio: f64,
}

/// One set against another.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SetChange {
    /// String by string, in the order given.
    pub strings: Vec<TensionChange>,
    /// The sums on the neck.
    pub total: TensionChange,
    /// The sum rises by more than a tenth: read everything again, and ask a repairer if the
    /// instrument is old or cracked.
    pub rise_to_warn: bool,
}

/// The stress of a plain string.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct PlainStress {
    /// Stress at pitch in GPa.
    pub stress_gpa: f64,
    /// The limit it was held against, in GPa.
    pub limit_gpa: f64,
    /// Beyond the limit: do not tune it so. Music wire breaks at 2.3 to 2.8 GPa (ASTM A228).
    pub refused: bool,
    /// The highest frequency on this length within the limit, in Hz.
    pub highest_hz: f64,
}

/// A plain steel string between its anchors, for drift.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct SteelString {
    /// From nut to saddle in mm.
    pub speaking_mm: f64,
    /// From tuner to tail in mm.
    pub anchored_mm: f64,
    /// Frequency in Hz.
    pub frequency_hz: f64,
}

impl SteelString {
    fn wire(self) -> strings::SteelString {
        strings::SteelString::music_wire(
            mm(self.speaking_mm),
            mm(self.anchored_mm),
            hz(self.frequency_hz),
        )
    }
}

fn density(kg_m3: Option<f64>) -> MassDensity {
    kg_m3.map_or_else(strings::steel_density, MassDensity::new::<kilogram_per_cubic_meter>)
}

fn change(change: &strings::TensionChange) -> TensionChange {
    TensionChange {
        before_n: uncertain_n(change.before),
        after_n: uncertain_n(change.after),
        change_n: uncertain_n(change.change),
        ratio: change.ratio,
    }
}

fn construction(make: &StringMake) -> Construction {
    match make {
        StringMake::Plain { diameter_mm, density_kg_m3 } => {
            Construction::Plain { diameter: mm(*diameter_mm), density: density(*density_kg_m3) }
        }
        StringMake::RoundWound { core_mm, core_density_kg_m3, layers } => {
            Construction::RoundWound {
                core: mm(*core_mm),
                core_density: density(*core_density_kg_m3),
                layers: layers
                    .iter()
                    .map(|l| Layer { wire: mm(l.wire_mm), density: density(l.density_kg_m3) })
                    .collect(),
            }
        }
        StringMake::WoundGauge { diameter_mm } => {
            Construction::WoundGauge { diameter: mm(*diameter_mm) }
        }
        StringMake::PackUnitWeight { lb_per_in } => {
            Construction::UnitWeight(LinearMassDensity::new::<pound_per_inch>(*lb_per_in))
        }
        StringMake::PackTension { tension_n, frequency_hz, scale_mm } => {
            Construction::PackTension {
                tension: newtons(*tension_n),
                frequency: hz(*frequency_hz),
                scale: mm(*scale_mm),
            }
        }
    }
}

/// Mass for length of a string in kg/m.
///
/// Plain: `rho pi d^2 / 4`. Round-wound: the core plus, for each layer of wire `d_w` over `D`,
/// `rho_w (pi^2 / 4) d_w (D + d_w)`, exact for touching turns. Pack tension: `T / (2 L f)^2`.
///
/// # Errors
/// `BadInput` outside the limits of [`StringMake`].
#[uniffi::export]
pub fn string_unit_mass(make: StringMake) -> Result<UnitMass, FallawayError> {
    let found = strings::unit_mass(&construction(&make))?;
    let kg = |value: LinearMassDensity| value.get::<kilogram_per_meter>();
    Ok(UnitMass {
        kg_per_m: Uncertain {
            value: kg(found.value.value),
            standard_uncertainty: kg(found.value.standard_uncertainty),
        },
        basis: found.basis,
    })
}

/// Outer diameter of a string as made, in mm; `None` where only a pack is known.
#[uniffi::export]
pub fn string_outer_diameter_mm(make: StringMake) -> Option<f64> {
    strings::construction::outer_diameter(&construction(&make)).map(as_mm)
}

/// Tension in N: `T = mu (2 L f)^2`.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn string_tension_n(
    kg_per_m: Uncertain,
    scale_mm: f64,
    frequency_hz: f64,
) -> Result<Uncertain, FallawayError> {
    Ok(uncertain_n(strings::tension(mass(kg_per_m)?, mm(scale_mm), hz(frequency_hz))?))
}

/// Mass for length in kg/m that gives a wanted tension: `T / (2 L f)^2`.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn mass_for_tension_kg_per_m(
    tension_n: f64,
    scale_mm: f64,
    frequency_hz: f64,
) -> Result<f64, FallawayError> {
    let found = strings::mass_for_tension(newtons(tension_n), mm(scale_mm), hz(frequency_hz))?;
    Ok(found.get::<kilogram_per_meter>())
}

/// Tension in lbf from a unit weight in lb/in: `UW (2 L f)^2 / g`. `gravity_in_s2` is 386.0886, or
/// 386.4 only to reproduce printed pack tables.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn string_tension_lbf(
    lb_per_in: f64,
    scale_in: f64,
    frequency_hz: f64,
    gravity_in_s2: f64,
) -> Result<f64, FallawayError> {
    Ok(strings::tension::tension_lbf(lb_per_in, scale_in, frequency_hz, gravity_in_s2)?)
}

/// The change of a string's tension when it is tuned from one frequency to another, in N; below
/// zero: slacker.
///
/// # Errors
/// As [`string_tension_n`].
#[uniffi::export]
pub fn retuned_tension_change_n(
    kg_per_m: Uncertain,
    scale_mm: f64,
    from_hz: f64,
    to_hz: f64,
) -> Result<Uncertain, FallawayError> {
    let (from, to) = (hz(from_hz), hz(to_hz));
    Ok(uncertain_n(strings::tension_change(mass(kg_per_m)?, mm(scale_mm), from, to)?))
}

/// Compares two sets of tensions in N, string by string and in sum.
///
/// # Errors
/// `BadInput` for lists of different length, empty ones, and tensions outside the limits.
#[uniffi::export]
pub fn compare_string_sets(
    before_n: Vec<Uncertain>,
    after_n: Vec<Uncertain>,
) -> Result<SetChange, FallawayError> {
    let forces = |list: Vec<Uncertain>| -> Result<Vec<_>, mechanics::Error> {
        list.into_iter().map(force).collect()
    };
    let found: SetComparison = strings::compare_sets(&forces(before_n)?, &forces(after_n)?)?;
    Ok(SetChange {
        strings: found.strings.iter().map(change).collect(),
        total: change(&found.total),
        rise_to_warn: found.rise_to_warn,
    })
}

/// The stress of a plain steel string at pitch: `4 rho L^2 f^2`, whatever its gauge. The limit is 70 % of what
/// music wire of its gauge bears at least (ASTM A228, 0.007 to 0.026 in: 2.3 to 2.8 GPa); without a gauge, or
/// beyond the table, 1.8 GPa. An E4 on 648 mm stands at 1.43.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn plain_string_stress(
    scale_mm: f64,
    frequency_hz: f64,
    gauge_mm: Option<f64>,
) -> Result<PlainStress, FallawayError> {
    let limit = strings::guards::stress_limit(gauge_mm.map(mm));
    let density = strings::steel_density();
    let found = strings::plain_stress(mm(scale_mm), hz(frequency_hz), density, limit)?;
    Ok(PlainStress {
        stress_gpa: found.stress.get::<gigapascal>(),
        limit_gpa: found.limit.get::<gigapascal>(),
        refused: found.refused,
        highest_hz: found.highest.get::<hertz>(),
    })
}

/// Inharmonicity of an open string from its core: `B = pi^3 E d^4 / (64 T L^2)` (N. H. Fletcher and
/// T. D. Rossing, The Physics of Musical Instruments, 2.18). `modulus_gpa` `None` for steel, 190.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn string_inharmonicity(
    core_mm: f64,
    modulus_gpa: Option<f64>,
    tension_n: f64,
    scale_mm: f64,
) -> Result<f64, FallawayError> {
    let modulus = modulus_gpa.map_or_else(strings::steel_modulus, Pressure::new::<gigapascal>);
    let (core, tension, length) = (mm(core_mm), newtons(tension_n), mm(scale_mm));
    Ok(stiff_string::inharmonicity(core, modulus, tension, length)?)
}

/// Inharmonicity of a stopped string: `B_m = B_0 2^(m/6)`.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn stopped_inharmonicity(open_inharmonicity: f64, fret: u32) -> Result<f64, FallawayError> {
    Ok(stiff_string::stopped_inharmonicity(open_inharmonicity, fret)?)
}

/// By how many cents partial `partial` (2 and up) lies above the harmonic one, both ends pinned.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn partial_cents(inharmonicity: f64, partial: u32) -> Result<f64, FallawayError> {
    Ok(stiff_string::partial_cents(inharmonicity, partial)?)
}

/// Cents by which the open pitch of a plain steel string answers each mm by which its saddle moves
/// away from the nut, tuner untouched.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn drift_cents_per_mm(string: SteelString) -> Result<f64, FallawayError> {
    Ok(strings::cents_per_mm_of_saddle(string.wire())?)
}

/// Cents by which it answers each kelvin of warming; below zero: it goes flat. Coefficients of
/// thermal expansion in 1/K; 0 for a neck that has not warmed yet.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn drift_cents_per_kelvin(
    string: SteelString,
    string_expansion_per_k: f64,
    neck_expansion_per_k: f64,
) -> Result<f64, FallawayError> {
    Ok(strings::cents_per_kelvin(string.wire(), string_expansion_per_k, neck_expansion_per_k)?)
}
