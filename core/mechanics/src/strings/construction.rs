//! Mass per length from how a string is made, or from what is printed on its pack.

use fallaway_measure::Limit;
use std::f64::consts::PI;

use uom::si::f64::{Force, Frequency, Length, LinearMassDensity, MassDensity};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::linear_mass_density::kilogram_per_meter;

use super::{check_density, check_frequency, check_length};
use crate::error::{Error, Result};
use crate::uncertain::Uncertain;

/// How a string is made, or what is known of its mass.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// One solid wire (or a solid nylon or gut string).
    Plain {
        /// Diameter of the wire: [`Limit::StringGauge`].
        diameter: Length,
        /// Density of the wire.
        density: MassDensity,
    },
    /// A core with one or more layers of round wire, each turn touching the next.
    RoundWound {
        /// Diameter of the core: [`Limit::CoreDiameter`].
        core: Length,
        /// Density of the core.
        core_density: MassDensity,
        /// The layers from the inside out.
        layers: Vec<Layer>,
    },
    /// Only the outer diameter of a steel-cored wound string is known.
    WoundGauge {
        /// Outer diameter: [`Limit::StringGauge`].
        diameter: Length,
    },
    /// The mass per length is printed on the pack.
    UnitWeight(LinearMassDensity),
    /// The pack names a tension at a stated note and scale.
    PackTension {
        /// The printed tension.
        tension: Force,
        /// At which frequency.
        frequency: Frequency,
        /// On which scale length.
        scale: Length,
    },
}

/// One layer of winding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Diameter of the wire: [`Limit::WireDiameter`].
    pub wire: Length,
    /// Density of the wire.
    pub density: MassDensity,
}

/// Where a mass per length comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassBasis {
    /// Printed on the pack: unit weight or tension.
    Pack,
    /// Computed from wire diameters and densities.
    Construction,
    /// Guessed from the outer diameter of a wound string.
    OuterDiameter,
}

/// A mass per length and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitMass {
    /// Mass per length with its standard uncertainty.
    pub value: Uncertain<LinearMassDensity>,
    /// Where it comes from.
    pub basis: MassBasis,
}

/// Relative standard uncertainty of a printed unit weight or tension: 1 % (common practice, no
/// source; packs of one gauge differ by about that much).
const PACK_WIDTH: f64 = 0.01;
/// Relative standard uncertainty of a mass computed for a plain string: 1 %, from handbook densities
/// of 7800 to 7861 kg/m3 and a diameter tolerance of about 0.005 mm (from memory).
const PLAIN_WIDTH: f64 = 0.01;
/// Relative standard uncertainty of a mass computed for a wound string whose layers are known: 3 %
/// (common practice, no source; cores are often hexagonal and windings stretch and bed in).
const WOUND_WIDTH: f64 = 0.03;
/// Mean density over the full outer cylinder of a round-wound steel string, kg/m3: mean of the 58
/// wound strings of guitar and bass in a string maker's published tension chart (unit weights in
/// lb/in; read in a secondary copy).
const WOUND_MEAN_DENSITY: f64 = 6490.0;
/// Relative standard uncertainty of a mass guessed from the outer diameter alone: 3 %. The same chart
/// spreads by 2.6 %; flat-wound or tapered strings may differ by more.
const GAUGE_WIDTH: f64 = 0.03;

/// Mass per length of a string, with how wide the estimate is and where it comes from.
///
/// - Plain: `rho pi d^2 / 4`.
/// - Round-wound: the core plus, per layer of wire `d_w` over what lies beneath (`D`),
///   `rho_w (pi^2 / 4) d_w (D + d_w)`. Exact for touching turns: the helix is longer than its
///   circle by 1 / cos(lead) and its axial pitch is `d_w / cos(lead)`, so the lead cancels.
/// - Pack tension: `T / (2 L f)^2`.
///
/// The standard uncertainty is 1 % of the value for a pack and a plain string, 3 % for known
/// layers (conventions), 3 % for an outer diameter alone (the spread of a maker's chart).
///
/// # Errors
///
/// [`Error::Outside`], also for the mass that comes out; [`Error::TooFew`] for a wound string
/// without a layer.
///
/// ```
/// use fallaway_mechanics::{strings::{Construction, Layer, steel_density, unit_mass}, units::inches};
/// use uom::si::linear_mass_density::kilogram_per_meter;
///
/// let low_e = Construction::RoundWound {
///     core: inches(0.024),
///     core_density: steel_density(),
///     layers: vec![
///         Layer { wire: inches(0.0125), density: steel_density() },
///         Layer { wire: inches(0.028), density: steel_density() },
///     ],
/// };
/// let mass = unit_mass(&low_e).unwrap();
/// assert!((mass.value.value.get::<kilogram_per_meter>() - 0.034934).abs() < 1e-6);
/// ```
pub fn unit_mass(construction: &Construction) -> Result<UnitMass> {
    let (kg_per_m, width, basis) = match construction {
        Construction::Plain { diameter, density } => {
            let d = check_diameter(Limit::StringGauge, *diameter)?;
            (check_density(*density)? * disc(d), PLAIN_WIDTH, MassBasis::Construction)
        }
        Construction::RoundWound { core, core_density, layers } => {
            let core = check_diameter(Limit::CoreDiameter, *core)?;
            let core_density = check_density(*core_density)?;
            if layers.is_empty() {
                return Err(Error::TooFew { quantity: "layers of winding", given: 0, needed: 1 });
            }
            let (mut mass, mut under) = (core_density * disc(core), core);
            for layer in layers {
                let wire = check_diameter(Limit::WireDiameter, layer.wire)?;
                mass += check_density(layer.density)? * PI * PI / 4.0 * wire * (under + wire);
                under += 2.0 * wire;
            }
            (mass, WOUND_WIDTH, MassBasis::Construction)
        }
        Construction::WoundGauge { diameter } => {
            let d = check_diameter(Limit::StringGauge, *diameter)?;
            (WOUND_MEAN_DENSITY * disc(d), GAUGE_WIDTH, MassBasis::OuterDiameter)
        }
        Construction::UnitWeight(weight) => {
            (weight.get::<kilogram_per_meter>(), PACK_WIDTH, MassBasis::Pack)
        }
        Construction::PackTension { tension, frequency, scale } => {
            let t = Limit::Tension.check(tension.get::<newton>())?;
            let speed = 2.0 * check_length(*scale)? * check_frequency(*frequency)?;
            (t / (speed * speed), PACK_WIDTH, MassBasis::Pack)
        }
    };
    let kg_per_m = Limit::MassPerLength.check(kg_per_m)?;
    let value = Uncertain::new(
        LinearMassDensity::new::<kilogram_per_meter>(kg_per_m),
        LinearMassDensity::new::<kilogram_per_meter>(kg_per_m * width),
    )?;
    Ok(UnitMass { value, basis })
}

/// Outer diameter of a string, where its construction tells it.
///
/// ```
/// use fallaway_mechanics::{strings::{Construction, Layer, construction::outer_diameter, steel_density}, units::{as_mm, mm}};
/// let string = Construction::RoundWound {
///     core: mm(0.5),
///     core_density: steel_density(),
///     layers: vec![Layer { wire: mm(0.3), density: steel_density() }],
/// };
/// assert!((as_mm(outer_diameter(&string).unwrap()) - 1.1).abs() < 1e-12);
/// ```
pub fn outer_diameter(construction: &Construction) -> Option<Length> {
    match construction {
        Construction::Plain { diameter, .. } | Construction::WoundGauge { diameter } => {
            Some(*diameter)
        }
        Construction::RoundWound { core, layers, .. } => {
            Some(layers.iter().fold(*core, |under, layer| under + 2.0 * layer.wire))
        }
        Construction::UnitWeight(_) | Construction::PackTension { .. } => None,
    }
}

/// Area of a disc of diameter `d`.
fn disc(d: f64) -> f64 {
    PI / 4.0 * d * d
}

/// A diameter in metres.
fn check_diameter(limit: Limit, value: Length) -> Result<f64> {
    limit.check_mm(value)?;
    Ok(value.get::<meter>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strings::steel_density;
    use crate::units::{inches, mm};
    use proptest::prelude::*;
    use uom::si::linear_mass_density::pound_per_inch;
    use uom::si::mass_density::{kilogram_per_cubic_meter, pound_per_cubic_inch};

    fn kg(construction: &Construction) -> f64 {
        unit_mass(construction).unwrap().value.value.get::<kilogram_per_meter>()
    }

    #[test]
    fn plain_steel_at_the_density_of_spring_handbooks() {
        // 0.284 lb/in3 (spring handbooks, from memory): .010 in gives 2.2305e-5 lb/in; a printed
        // table gives 2.215e-5 (from memory), 0.7 % less, within the stated width.
        let plain = Construction::Plain {
            diameter: inches(0.010),
            density: MassDensity::new::<pound_per_cubic_inch>(0.284),
        };
        let mass = unit_mass(&plain).unwrap().value;
        let pounds = mass.value.get::<pound_per_inch>();
        assert!((pounds - 2.2305e-5).abs() < 1e-9);
        let width = mass.standard_uncertainty.get::<pound_per_inch>();
        assert!((pounds - 2.215e-5).abs() < width);
    }

    #[test]
    fn the_layer_formula_agrees_with_a_helix_measured_along_its_length() {
        // One turn of a helix of mean diameter D + d whose neighbouring turns touch, by numerical
        // integration of its arc length.
        let (under, wire, rho) = (0.6e-3, 0.7e-3, 7850.0);
        let circle = PI * (under + wire);
        let sin_lead: f64 = wire / circle;
        let axial = wire / (1.0 - sin_lead * sin_lead).sqrt();
        let steps = 10_000;
        let arc: f64 = (0..steps)
            .map(|_| {
                let (round, along) = (circle / f64::from(steps), axial / f64::from(steps));
                round.hypot(along)
            })
            .sum();
        let by_helix = rho * PI / 4.0 * wire * wire * arc / axial;
        let by_formula = rho * PI * PI / 4.0 * wire * (under + wire);
        assert!((by_helix / by_formula - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_wound_string_without_winding_is_refused() {
        let bare = Construction::RoundWound {
            core: mm(0.5),
            core_density: steel_density(),
            layers: vec![],
        };
        assert!(matches!(unit_mass(&bare), Err(Error::TooFew { .. })));
    }

    proptest! {
        #[test]
        fn mass_grows_with_the_square_of_all_diameters(
            core in 0.2..0.8f64, wire in 0.1..0.6f64, factor in 1.0..2.0f64,
        ) {
            let string = |f: f64| Construction::RoundWound {
                core: mm(core * f),
                core_density: steel_density(),
                layers: vec![Layer { wire: mm(wire * f), density: steel_density() }],
            };
            prop_assert!((kg(&string(factor)) / kg(&string(1.0)) / factor.powi(2) - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_wound_string_is_lighter_than_a_solid_one_and_heavier_than_its_core(
            core in 0.2..0.8f64, wires in proptest::collection::vec(0.1..0.6f64, 1..4),
        ) {
            let layers: Vec<_> = wires
                .iter()
                .map(|&w| Layer { wire: mm(w), density: steel_density() })
                .collect();
            let wound = Construction::RoundWound { core: mm(core), core_density: steel_density(), layers };
            let outer = core + 2.0 * wires.iter().sum::<f64>();
            let solid = 7850.0 * disc(outer / 1e3);
            prop_assert!(kg(&wound) < solid);
            prop_assert!(kg(&wound) > 7850.0 * disc(core / 1e3));
        }

        #[test]
        fn whatever_is_accepted_is_finite(
            d in -1.0..10.0f64, rho in -1000.0..1e6f64, w in -1.0..3.0f64,
        ) {
            let density = MassDensity::new::<kilogram_per_cubic_meter>(rho);
            for construction in [
                Construction::Plain { diameter: mm(d), density },
                Construction::RoundWound {
                    core: mm(d),
                    core_density: density,
                    layers: vec![Layer { wire: mm(w), density }],
                },
                Construction::WoundGauge { diameter: mm(d) },
            ] {
                if let Ok(mass) = unit_mass(&construction) {
                    prop_assert!(mass.value.value.get::<kilogram_per_meter>() > 0.0);
                    prop_assert!(mass.value.standard_uncertainty.get::<kilogram_per_meter>().is_finite());
                }
            }
        }
    }
}
