//! The drawings, one a file.

pub(crate) mod changes;
pub(crate) mod clearance;
pub(crate) mod history;
pub(crate) mod intonation;
pub(crate) mod neck;
pub(crate) mod saddles;
pub(crate) mod spacing;
pub(crate) mod turn;

/// What a drawing is laid out for. Its letters are as large on both: where there is less room, things stand
/// under each other that else stand beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DrawingWidth {
    /// A page, a tablet, a phone that lies: 560 to 640 points.
    #[default]
    Page,
    /// A phone held upright: 225 points, so that the smallest letters are 12 dp on a phone of 360 dp.
    Phone,
}

/// How wide a drawing for a phone held upright is: at 4/3 dp a point, 300 dp.
const PHONE: f64 = 225.0;

/// Factors by which heights are drawn larger than widths: round ones.
const FACTORS: [u16; 16] = [200, 150, 100, 80, 60, 50, 40, 30, 20, 15, 10, 8, 5, 4, 3, 2];

/// The largest that is not above this; 1 if none is.
fn factor(most: f64) -> u16 {
    FACTORS.into_iter().find(|factor| f64::from(*factor) <= most).unwrap_or(1)
}
