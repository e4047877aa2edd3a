//! Who reads, with what, and what slips.

use fallaway_measure::{Amount, Tool, Unit};

use super::noise::Noise;

/// How somebody reads: true value in, what the tool shows out, in whole steps of its graduation.
#[derive(Clone)]
pub struct Reader {
    pub name: &'static str,
    /// Offset with a rule, with feelers, with a caliper, in mm.
    offset: [f64; 3],
}

/// A tool in the hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// Sixty-fourths of an inch.
    Rule64,
    /// Half millimetres.
    RuleHalf,
    /// Hundredths of a millimetre.
    Feeler,
    /// Thousandths of an inch.
    Thou,
    /// Two hundredths of a millimetre.
    Caliper,
}

impl Held {
    /// Graduation in mm, how a hand repeats in mm, which offset.
    const fn size(self) -> (f64, f64, usize) {
        match self {
            Self::Rule64 => (25.4 / 64.0, 0.05, 0),
            Self::RuleHalf => (0.5, 0.05, 0),
            Self::Feeler => (0.01, 0.015, 1),
            Self::Thou => (0.0254, 0.015, 1),
            Self::Caliper => (0.02, 0.05, 2),
        }
    }

    pub const fn tool(self) -> Tool {
        match self {
            Self::Rule64 => Tool::RULE_64,
            Self::RuleHalf => Tool::RULE_HALF_MM,
            Self::Feeler => Tool::FEELER_MM,
            Self::Thou => Tool::FEELER_THOU,
            Self::Caliper => Tool::CALIPER_MM,
        }
    }

    fn amount(self, steps: i64) -> Amount {
        match self {
            Self::Rule64 => Amount::fraction(steps.clamp(0, 120) as i32, 64),
            Self::RuleHalf => Amount::decimal(steps * 5, 1, Unit::Millimetre),
            Self::Feeler => Amount::decimal(steps, 2, Unit::Millimetre),
            Self::Thou => Amount::decimal(steps, 0, Unit::Thou),
            Self::Caliper => Amount::decimal(steps * 2, 2, Unit::Millimetre),
        }
        .unwrap()
    }
}

impl Reader {
    pub fn new(name: &'static str, noise: &mut Noise) -> Self {
        Self {
            name,
            offset: [0.05 * noise.normal(), 0.008 * noise.normal(), 0.02 * noise.normal()],
        }
    }

    /// What is written down; with `slip`, something else than was seen.
    pub fn read(&self, held: Held, true_mm: f64, slip: bool, noise: &mut Noise) -> Amount {
        let (graduation, repeats, offset) = held.size();
        let seen = true_mm + self.offset[offset] + repeats * noise.normal();
        let steps = (seen / graduation).round() as i64;
        if !slip {
            return held.amount(steps);
        }
        let wrong = match held {
            // Another line of the rule, or its number for another.
            Held::Rule64 => steps + noise.sign() as i64 * (2 + noise.below(3) as i64),
            Held::RuleHalf => steps + noise.sign() as i64 * (1 + noise.below(3) as i64),
            // Two digits the wrong way round, or one that is another.
            Held::Feeler | Held::Thou | Held::Caliper => {
                let digits = if held == Held::Caliper { steps * 2 } else { steps };
                let (tens, ones) = (digits.abs() / 10 % 10, digits.abs() % 10);
                let swapped = digits - tens * 10 - ones + ones * 10 + tens;
                let other = digits + 10 * (noise.sign() as i64) * (1 + noise.below(4) as i64);
                let wrong =
                    if (tens - ones).abs() > 1 && noise.chance(0.5) { swapped } else { other };
                if held == Held::Caliper { wrong / 2 } else { wrong }
            }
        };
        held.amount(if held == Held::Rule64 || held == Held::RuleHalf {
            wrong.max(0)
        } else {
            wrong
        })
    }
}
