//! Kinds of instruments that live. Sizes are usual ones of the trade, no maker's.

/// A kind of instrument.
#[derive(Debug)]
pub struct Family {
    pub name: &'static str,
    /// Scale of each string in mm, from the treble side.
    pub scales: &'static [f64],
    pub frets: usize,
    /// Where the record says that the neck stops bending; it may be two frets off either way.
    pub joint: usize,
    /// Actions, stopped at 1 over the last fret, lie between these, in mm.
    pub action: (f64, f64),
    /// By how much somebody turns a saddle unasked, in mm.
    pub turned: (f64, f64),
    /// What the relief does for a percentage point of moisture, one standard deviation in mm, and
    /// for a turn of the rod, in the middle.
    pub season: f64,
    pub rod: f64,
}

impl Family {
    pub fn strings(&self) -> usize {
        self.scales.len()
    }

    /// Scale in the middle of the board.
    pub fn scale(&self) -> f64 {
        f64::midpoint(self.scales[0], self.scales[self.strings() - 1])
    }

    pub fn across(&self, string: usize) -> f64 {
        string as f64 / (self.strings() - 1) as f64
    }
}

pub const FAMILIES: [Family; 4] = [
    Family {
        name: "4-string bass",
        scales: &[863.6; 4],
        frets: 24,
        joint: 17,
        action: (1.8, 2.6),
        turned: (0.5, 1.5),
        season: 0.03,
        rod: 0.6,
    },
    Family {
        name: "5-string bass",
        scales: &[863.6; 5],
        frets: 21,
        joint: 16,
        action: (1.8, 2.8),
        turned: (0.5, 1.5),
        season: 0.03,
        rod: 0.6,
    },
    Family {
        name: "6-string guitar",
        scales: &[647.7; 6],
        frets: 22,
        joint: 16,
        action: (1.3, 2.0),
        turned: (0.4, 1.2),
        season: 0.02,
        rod: 0.4,
    },
    Family {
        name: "fanned 5-string bass",
        scales: &[838.2, 850.9, 863.6, 876.3, 889.0],
        frets: 24,
        joint: 18,
        action: (1.8, 2.8),
        turned: (0.5, 1.5),
        season: 0.03,
        rod: 0.6,
    },
];
