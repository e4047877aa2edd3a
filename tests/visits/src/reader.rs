//! Who reads, with what, and what is misread.

use fallaway_measure::{Amount, Reading, Tool, Unit};

use crate::noise::Noise;

/// The tool with which a hand reads actions; the relief is read with feelers that go with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// A dial gauge, hundredths of a millimetre.
    Dial,
    /// A caliper, two hundredths.
    Caliper,
    /// A rule in sixty-fourths of an inch.
    Rule64,
    /// A rule in half millimetres.
    RuleHalf,
    /// Feelers in hundredths of a millimetre.
    Feeler,
    /// Feelers in thousandths of an inch.
    Thou,
    /// Leaves every five hundredths: one goes, the next does not.
    Leaves,
}

impl Held {
    /// With what actions are read.
    pub const ALL: [Self; 4] = [Self::Dial, Self::Caliper, Self::Rule64, Self::RuleHalf];

    /// How it is called here.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Dial => "dial gauge 0.01 mm",
            Self::Caliper => "caliper 0.02 mm",
            Self::Rule64 => "rule 1/64 in",
            Self::RuleHalf => "rule 0.5 mm",
            Self::Feeler => "feeler 0.01 mm",
            Self::Thou => "feeler 1 thou",
            Self::Leaves => "leaves 0.05 mm",
        }
    }

    /// With what the relief is read then.
    #[must_use]
    pub const fn for_relief(self) -> Self {
        match self {
            Self::Dial | Self::Caliper => Self::Feeler,
            Self::RuleHalf => Self::Leaves,
            _ => Self::Thou,
        }
    }

    /// Another one, for a second look.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Caliper => Self::Dial,
            Self::Leaves => Self::Thou,
            Self::Feeler | Self::Thou => Self::Leaves,
            _ => Self::Caliper,
        }
    }

    /// The tool as it is written down.
    pub const fn tool(self) -> Tool {
        match self {
            Self::Dial => Tool::DIAL_MM,
            Self::Caliper => Tool::CALIPER_MM,
            Self::Rule64 => Tool::RULE_64,
            Self::RuleHalf => Tool::RULE_HALF_MM,
            Self::Feeler | Self::Leaves => Tool::FEELER_MM,
            Self::Thou => Tool::FEELER_THOU,
        }
    }

    /// Graduation, how well a hand repeats, how far a reader lies off (one standard deviation), in mm.
    pub const fn size(self) -> (f64, f64, f64) {
        match self {
            Self::Dial => (0.01, 0.015, 0.01),
            Self::Caliper => (0.02, 0.04, 0.02),
            Self::Rule64 => (25.4 / 64.0, 0.05, 0.06),
            Self::RuleHalf => (0.5, 0.05, 0.06),
            Self::Feeler => (0.01, 0.012, 0.008),
            Self::Thou => (0.0254, 0.012, 0.008),
            Self::Leaves => (0.05, 0.008, 0.008),
        }
    }

    fn amount(self, steps: i64) -> Amount {
        match self {
            Self::Rule64 => Amount::fraction(steps.clamp(0, 640) as i32, 64),
            Self::RuleHalf => Amount::decimal(steps * 5, 1, Unit::Millimetre),
            Self::Dial | Self::Feeler => Amount::decimal(steps, 2, Unit::Millimetre),
            Self::Thou => Amount::decimal(steps, 0, Unit::Thou),
            Self::Caliper => Amount::decimal(steps * 2, 2, Unit::Millimetre),
            Self::Leaves => Amount::decimal(steps * 5, 2, Unit::Millimetre),
        }
        .unwrap()
    }
}

/// A person who reads.
#[derive(Debug, Clone)]
pub struct Reader {
    /// How far readings lie off as a whole, for each tool, in standard deviations.
    off: [f64; 7],
    /// One reading in so many is misread; 0 for none.
    pub misreads: f64,
    /// How many were.
    pub slipped: usize,
}

impl Reader {
    /// A person.
    pub fn new(misreads: f64, noise: &mut Noise) -> Self {
        Self { off: std::array::from_fn(|_| noise.normal()), misreads, slipped: 0 }
    }

    /// What a straight edge on the frets shows of a neck, which of a back-bow is below nothing.
    pub fn read_edge(&mut self, held: Held, true_mm: f64, noise: &mut Noise) -> Reading {
        let held = if held == Held::Leaves { Held::Thou } else { held };
        let (graduation, repeats, offset) = held.size();
        // The edge is rocked to and fro, and the gap is read at its end: half as well as under a string.
        let seen = true_mm + offset * self.off[held as usize] + 2.0 * repeats * noise.normal();
        let slip = self.misreads > 0.0 && noise.chance(1.0 / self.misreads);
        self.slipped += usize::from(slip);
        let off = if slip { noise.sign() * (1.0 + noise.below(4) as f64) * 0.1 } else { 0.0 };
        Reading::Value(held.amount(((seen + off) / graduation).round() as i64))
    }

    /// What is written down of a gap; what touches is no more than nothing.
    pub fn read(&mut self, held: Held, true_mm: f64, noise: &mut Noise) -> Reading {
        let (graduation, repeats, offset) = held.size();
        let seen = true_mm + offset * self.off[held as usize] + repeats * noise.normal();
        let slip = self.misreads > 0.0 && noise.chance(1.0 / self.misreads);
        let marks = if slip {
            self.slipped += 1;
            // A rule's neighbour but one, up to four off; of other tools another tenth of a millimetre.
            let rule = matches!(held, Held::Rule64 | Held::RuleHalf);
            let off = noise.sign()
                * if rule {
                    2.0 + noise.below(3) as f64
                } else {
                    ((1.0 + noise.below(4) as f64) * 0.1 / graduation).round()
                };
            off as i64
        } else {
            0
        };
        if true_mm < 0.004 && !slip {
            return Reading::AtMost(held.amount(0));
        }
        if held == Held::Leaves {
            let goes = (seen / graduation).floor() as i64 + marks;
            return match goes {
                ..=0 => Reading::AtMost(held.amount(1)),
                _ => Reading::Between { low: held.amount(goes), high: held.amount(goes + 1) },
            };
        }
        let steps = ((seen / graduation).round() as i64 + marks).max(0);
        Reading::Value(held.amount(steps))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rule_shows_its_nearest_mark() {
        let mut noise = Noise::new(1, 1);
        let mut reader = Reader::new(0.0, &mut noise);
        reader.off = [0.0; 7];
        let five = Reading::Value(Amount::fraction(5, 64).unwrap());
        let seen = (0..200).filter(|_| reader.read(Held::Rule64, 2.0, &mut noise) == five).count();
        assert!(seen > 190, "{seen}");
        assert!(matches!(reader.read(Held::Rule64, 0.0, &mut noise), Reading::AtMost(_)));
    }

    #[test]
    fn one_reading_in_so_many_is_misread() {
        let mut noise = Noise::new(1, 2);
        let mut reader = Reader::new(100.0, &mut noise);
        (0..20_000).for_each(|_| _ = reader.read(Held::Dial, 2.0, &mut noise));
        assert!((150..250).contains(&reader.slipped), "{}", reader.slipped);
    }
}
