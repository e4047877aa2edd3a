//! The drawings, one a file.

pub(crate) mod changes;
pub(crate) mod clearance;
pub(crate) mod history;
pub(crate) mod intonation;
pub(crate) mod neck;
pub(crate) mod saddles;
pub(crate) mod spacing;
pub(crate) mod turn;

/// Factors by which heights are drawn larger than widths: round ones.
const FACTORS: [u16; 16] = [200, 150, 100, 80, 60, 50, 40, 30, 20, 15, 10, 8, 5, 4, 3, 2];

/// The largest that is not above this; 1 if none is.
fn factor(most: f64) -> u16 {
    FACTORS.into_iter().find(|factor| f64::from(*factor) <= most).unwrap_or(1)
}
