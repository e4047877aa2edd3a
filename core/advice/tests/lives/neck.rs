//! The true neck: another one than the product's. It is stiffer toward one end, so that it does not
//! bend in a circle; rod and wood bend it in different shapes; it gives over to the body within a
//! fret or two; crowns are uneven and wear. All sums are this file's own, no code is shared with what
//! is tried.

/// A shape in which a neck bends: curvature grows along it from the joint to the nut by `slope` of
/// its mean.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    pub slope: f64,
}

/// What a string sees along its own plane. Lengths in mm, x from the nut.
#[derive(Debug, Clone)]
pub struct Profile {
    pub scale: f64,
    /// Height of each crown over the body's plane, fret 1 first.
    pub crowns: Vec<f64>,
    /// Height of the board's line at the nut.
    pub at_nut: f64,
}

/// Where a fret is, in mm from the nut; 0 is the nut.
pub fn fret_x(scale: f64, fret: usize) -> f64 {
    scale * (1.0 - 2_f64.powf(-(fret as f64) / 12.0))
}

impl Shape {
    /// Height at a place, for a mean curvature of 1/mm, with the body beginning at `joint_x`: twice
    /// the integral of a curvature that is linear in x.
    pub fn height(self, joint_x: f64, x: f64) -> f64 {
        let t = (joint_x - x).max(0.0);
        let (level, rise) = (1.0 - self.slope / 2.0, self.slope / joint_x);
        level * t * t / 2.0 + rise * t.powi(3) / 6.0
    }
}

impl Profile {
    fn x(&self, fret: usize) -> f64 {
        fret_x(self.scale, fret)
    }

    fn crown(&self, fret: usize) -> f64 {
        self.crowns[fret - 1]
    }

    /// The largest gap under a straight edge on the crowns of frets 1 and the last.
    pub fn relief(&self) -> f64 {
        let last = self.crowns.len();
        let (x1, y1) = (self.x(1), self.crown(1));
        let slope = (self.crown(last) - y1) / (self.x(last) - x1);
        let gap = |fret| y1 + slope * (self.x(fret) - x1) - self.crown(fret);
        (2..last).map(gap).fold(f64::NEG_INFINITY, f64::max)
    }

    /// From the crown of `over` to a string from `stopped` (0: a slot `slot` over the crowns) to a
    /// saddle at height `saddle` over the body.
    pub fn gap(&self, stopped: usize, over: usize, saddle: f64, slot: f64) -> f64 {
        let (x0, y0) = match stopped {
            0 => (0.0, self.at_nut + slot),
            m => (self.x(m), self.crown(m)),
        };
        let part = (self.x(over) - x0) / (self.scale - x0);
        y0 + part * (saddle - y0) - self.crown(over)
    }
}
