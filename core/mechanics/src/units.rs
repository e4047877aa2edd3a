//! Short ways to write and read lengths and curvatures.
//!
//! The rest of the crate takes `uom` quantities; these helpers keep call sites and tests legible.
//! An inch is 25.4 mm exactly (international inch, ISO 80000-3).

use uom::si::curvature::radian_per_millimeter;
use uom::si::f64::{Curvature, Length};
use uom::si::length::{inch, millimeter};

/// A length in millimetres.
///
/// ```
/// use fallaway_mechanics::units::{as_mm, mm};
/// assert!((as_mm(mm(1.5)) - 1.5).abs() < 1e-12);
/// ```
pub fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A length in inches.
///
/// ```
/// use fallaway_mechanics::units::{as_mm, inches};
/// assert!((as_mm(inches(34.0)) - 863.6).abs() < 1e-9);
/// ```
pub fn inches(value: f64) -> Length {
    Length::new::<inch>(value)
}

/// The number of millimetres in a length.
///
/// ```
/// use fallaway_mechanics::units::{as_mm, inches};
/// assert!((as_mm(inches(1.0)) - 25.4).abs() < 1e-12);
/// ```
pub fn as_mm(value: Length) -> f64 {
    value.get::<millimeter>()
}

/// A curvature in 1/mm (1 / radius in mm).
///
/// ```
/// use fallaway_mechanics::units::{as_per_mm, per_mm};
/// assert!((as_per_mm(per_mm(2.2e-6)) - 2.2e-6).abs() < 1e-18);
/// ```
pub fn per_mm(value: f64) -> Curvature {
    Curvature::new::<radian_per_millimeter>(value)
}

/// The number of 1/mm in a curvature.
///
/// ```
/// use fallaway_mechanics::units::{as_per_mm, per_mm};
/// assert_eq!(as_per_mm(per_mm(0.0)), 0.0);
/// ```
pub fn as_per_mm(value: Curvature) -> f64 {
    value.get::<radian_per_millimeter>()
}
