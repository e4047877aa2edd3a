//! The true neck: stiff pieces from fret to fret with a spring hinge at each fret. Hinges yield by
//! how thick the neck is there, little in the heel and nearly not over the body. Wood, strings and
//! rod each press on the hinges in their own way, so that each bends the neck into a shape of its
//! own. No sum is shared with what is tried.

use crate::noise::Noise;

/// Where a fret lies, in mm from the nut; 0 is the nut.
pub fn fret_x(scale: f64, fret: usize) -> f64 {
    scale - scale / 2_f64.powf(fret as f64 / 12.0)
}

/// What bends a neck.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Load {
    /// Moisture and age.
    Wood,
    /// The strings' pull: the further from the nut, the higher they stand over the wood.
    Pull,
    /// The rod, over its own length.
    Rod,
}

/// How far hinges turn for a millimetre of relief, and the unevenness of the crowns.
#[derive(Debug, Clone)]
pub struct Neck {
    /// Angles at frets 1 to the last for each load, in rad for a millimetre of relief under the middle
    /// of the board.
    turns: [Vec<f64>; 3],
    /// Height of each crown over a perfect row in mm, fret 1 first: uneven, and worn.
    pub crowns: Vec<f64>,
    scale: f64,
}

impl Neck {
    /// A neck whose hinges are stiff from about `joint` on.
    pub fn new(scale: f64, frets: usize, joint: f64, two_way: bool, noise: &mut Noise) -> Self {
        let heel = noise.between(2.0, 4.5);
        let (stiff, body) = (noise.between(6.0, 18.0), noise.between(60.0, 200.0));
        let taper = noise.between(0.6, 1.4);
        let grain: Vec<f64> = (0..4).map(|_| 0.12 * noise.normal()).collect();
        let lean = noise.between(-0.7, 0.7);
        let anchor = joint - noise.between(0.0, 3.0);
        let yields = |fret: usize| {
            let along = fret as f64 / frets as f64;
            // Sections of a blank differ: a slow wave along the grain.
            let wave: f64 = grain
                .iter()
                .enumerate()
                .map(|(n, part)| part * (std::f64::consts::PI * (n + 1) as f64 * along).sin())
                .sum();
            let from_heel = ((fret as f64 - (joint - heel)) / heel).clamp(0.0, 1.0);
            let held = 1.0 + (stiff - 1.0) * from_heel.powi(2);
            let held = if fret as f64 > joint { body } else { held };
            (1.0 + wave) / (held * (1.0 + taper * along))
        };
        let press = |load: Load, fret: usize| {
            let along = fret as f64 / frets as f64;
            match load {
                Load::Wood => 1.0 + lean * (along - 0.4),
                Load::Pull => 1.0 + 0.8 * along,
                Load::Rod if fret as f64 > anchor => 0.0,
                Load::Rod if two_way => 1.0,
                // A curved rod lies deepest in the middle.
                Load::Rod => 0.35 + 0.65 * (std::f64::consts::PI * fret as f64 / anchor).sin(),
            }
        };
        let step = |fret: usize| fret_x(scale, fret) - fret_x(scale, fret.saturating_sub(1));
        let shape = |load| -> Vec<f64> {
            let turns = |fret| press(load, fret) * yields(fret) * step(fret);
            let raw: Vec<f64> = (1..=frets).map(turns).collect();
            let unit = widest(&heights(&raw, scale), scale).0;
            raw.into_iter().map(|turn| turn / unit).collect()
        };
        let turns = [shape(Load::Wood), shape(Load::Pull), shape(Load::Rod)];
        let crowns = (0..frets).map(|_| 0.010 * noise.normal()).collect();
        Self { turns, crowns, scale }
    }

    /// The line of the crowns under a string of this scale, fret 0 (the line of the board at the nut)
    /// first: by how much relief each load makes, and a tilt of the whole neck at the joint in rad.
    pub fn line(&self, scale: f64, loads: [f64; 3], tilt: (f64, usize), level: bool) -> Vec<f64> {
        let frets = self.crowns.len();
        let turns: Vec<f64> = (0..frets)
            .map(|fret| {
                let bent = self.turns.iter().zip(loads).map(|(t, mm)| mm * nth(t, fret)).sum();
                if fret + 1 == tilt.1 { tilt.0 + bent } else { bent }
            })
            .map(|turn: f64| turn * self.scale / scale)
            .collect();
        let mut line = heights(&turns, scale);
        if !level {
            line.iter_mut().skip(1).zip(&self.crowns).for_each(|(y, crown)| *y += crown);
        }
        line
    }
}

/// The number at a place; 0 beyond the end.
pub fn nth(list: &[f64], at: usize) -> f64 {
    list.get(at).copied().unwrap_or_default()
}

/// Heights of nut and frets over the body's plane for turns of the hinges at frets 1 to the last.
fn heights(turns: &[f64], scale: f64) -> Vec<f64> {
    let rise = |at: usize| {
        let x = fret_x(scale, at);
        let beyond = turns.iter().enumerate().skip(at);
        beyond.map(|(hinge, turn)| turn * (fret_x(scale, hinge + 1) - x)).sum()
    };
    (0..=turns.len()).map(rise).collect()
}

/// The largest and the smallest gap under a straight edge on the first and the last crown.
pub fn widest(line: &[f64], scale: f64) -> (f64, f64) {
    let last = line.len().saturating_sub(1);
    let (x1, y1) = (fret_x(scale, 1), nth(line, 1));
    let slope = (nth(line, last) - y1) / (fret_x(scale, last) - x1);
    let gap = |fret: usize| y1 + slope * (fret_x(scale, fret) - x1) - nth(line, fret);
    let gaps = (2..last).map(gap);
    gaps.fold((f64::NEG_INFINITY, f64::INFINITY), |(most, least), g| (most.max(g), least.min(g)))
}

/// Relief as a signed number: the widest gap, or, of a back-bow, how high the neck stands under the
/// edge.
pub fn relief(line: &[f64], scale: f64) -> f64 {
    let (most, least) = widest(line, scale);
    if most + least >= 0.0 { most } else { least }
}

/// How high a tight string stands over the crown of `over`, from a start (0 the slot, else the crown of
/// that fret) to the saddle, as it lies over whatever is in its way; and, without anything in its way,
/// where it would be, which may be below the crown.
pub fn gap(line: &[f64], scale: f64, from: (usize, f64), over: usize, saddle: f64) -> (f64, f64) {
    let start = (fret_x(scale, from.0), from.1);
    let at = |fret: usize| (fret_x(scale, fret), nth(line, fret));
    let end = (scale, saddle);
    let crown = at(over);
    let on = |a: (f64, f64), b: (f64, f64)| a.1 + (b.1 - a.1) * (crown.0 - a.0) / (b.0 - a.0);
    let free = on(start, end) - crown.1;
    // The string is the upper hull of what it lies on.
    let mut hull = vec![start];
    for point in (from.0 + 1..line.len()).map(at).chain([end]) {
        while let [.., a, b] = hull[..]
            && (b.1 - a.1) * (point.0 - a.0) <= (point.1 - a.1) * (b.0 - a.0)
        {
            hull.pop();
        }
        hull.push(point);
    }
    let piece = hull.windows(2).find(|w| matches!(w, [a, b] if a.0 <= crown.0 && crown.0 <= b.0));
    let lies = match piece {
        Some([a, b]) => on(*a, *b) - crown.1,
        _ => free,
    };
    (lies, free)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn neck(seed: u64) -> Neck {
        let mut neck = Neck::new(863.6, 24, 16.5, false, &mut Noise::new(seed, 0));
        neck.crowns.fill(0.0);
        neck
    }

    #[test]
    fn frets_divide_the_octave() {
        assert!((fret_x(863.6, 12) - 431.8).abs() < 1e-9);
        assert!((fret_x(863.6, 24) - 647.7).abs() < 1e-9);
    }

    #[test]
    fn a_millimetre_of_each_load_is_a_millimetre_of_relief_in_a_shape_of_its_own() {
        for seed in 0..20 {
            let neck = neck(seed);
            let line = |loads| neck.line(863.6, loads, (0.0, 16), false);
            for loads in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
                assert!((relief(&line(loads), 863.6) - 1.0).abs() < 1e-9);
                let back = loads.map(|mm: f64| -mm);
                assert!((relief(&line(back), 863.6) + 1.0).abs() < 1e-9);
            }
            // Pull and rod of the same size do not cancel everywhere.
            let both = line([0.0, 1.0, -1.0]);
            assert!(widest(&both, 863.6).0 > 0.01);
        }
    }

    #[test]
    fn a_free_string_is_a_straight_line_and_a_low_one_lies_on_the_frets() {
        let flat = vec![0.0; 25];
        // Similar triangles: from the crown of fret 1 to 3 mm at the saddle.
        let share = (fret_x(863.6, 24) - fret_x(863.6, 1)) / (863.6 - fret_x(863.6, 1));
        let (lies, free) = gap(&flat, 863.6, (1, 0.0), 24, 3.0);
        assert!((lies - 3.0 * share).abs() < 1e-12 && lies == free);
        let (lies, free) = gap(&flat, 863.6, (1, 0.0), 24, -0.5);
        assert!(lies == 0.0 && free < 0.0);
    }

    #[test]
    fn a_tilt_at_the_joint_lifts_the_nut_and_leaves_the_relief_nearly_alone() {
        let neck = neck(1);
        let line = neck.line(863.6, [0.0; 3], (1e-3, 24), false);
        assert!(nth(&line, 0) > 0.6 && relief(&line, 863.6).abs() < 1e-9);
    }
}
