//! Envelopes kept between questions, so that a what-if on relief, action, touch or tension costs
//! nothing but arithmetic.

use fallaway_measure::Limit;
use std::collections::HashMap;
use std::sync::Arc;

use uom::si::f64::Frequency;
use uom::si::frequency::hertz;

use crate::envelope::{Method, PluckedString, UnitEnvelope};
use crate::error::Result;
use crate::strings::check_frequency;
use crate::units::mm;

/// Envelopes kept between questions.
///
/// Strings are told apart by rounded values: inharmonicity to 4 % steps (a depth error below 0.2 %),
/// pitch to the semitone (only the decay sees it), lengths to 0.1 mm; all together 5 % of a depth, or
/// 0.03 mm. The envelope is computed from the rounded values, so the answer does not depend on what was
/// asked before.
#[derive(Debug, Default)]
pub struct EnvelopeCache {
    kept: HashMap<Key, Arc<UnitEnvelope>>,
}

/// Most envelopes that are kept; beyond it the cache starts anew. Each takes about 3 kB.
const MOST_KEPT: usize = 256;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Key {
    scale: i64,
    frets: usize,
    semitone: i64,
    stiffness: i64,
    from_saddle: i64,
    method: [u64; 6],
}

impl EnvelopeCache {
    /// An empty cache.
    ///
    /// ```
    /// assert!(fallaway_mechanics::envelope_cache::EnvelopeCache::new().is_empty());
    /// ```
    pub fn new() -> Self {
        Self::default()
    }

    /// Whether nothing is kept; see [`EnvelopeCache::new`] for an example.
    pub fn is_empty(&self) -> bool {
        self.kept.is_empty()
    }

    /// How many envelopes are kept; see [`EnvelopeCache::get`] for an example.
    pub fn len(&self) -> usize {
        self.kept.len()
    }

    /// The envelope of (the rounded) `string`, computed when it is not kept yet.
    ///
    /// # Errors
    ///
    /// As [`UnitEnvelope::compute`].
    ///
    /// ```
    /// use fallaway_mechanics::envelope::{Method, PluckedString};
    /// use fallaway_mechanics::envelope_cache::EnvelopeCache;
    /// use fallaway_mechanics::units::mm;
    /// use uom::si::{f64::Frequency, frequency::hertz};
    /// let mut cache = EnvelopeCache::new();
    /// let mut string = PluckedString {
    ///     scale: mm(863.6),
    ///     frets: 24,
    ///     frequency: Frequency::new::<hertz>(41.2),
    ///     inharmonicity: 1.00e-4,
    ///     from_saddle: mm(100.0),
    /// };
    /// let method = Method::ClosedForm { factor: 1.2 };
    /// let first = cache.get(&string, method).unwrap();
    /// string.inharmonicity = 1.005e-4;
    /// assert_eq!(first, cache.get(&string, method).unwrap());
    /// assert_eq!(cache.len(), 1);
    /// ```
    pub fn get(&mut self, string: &PluckedString, method: Method) -> Result<Arc<UnitEnvelope>> {
        let (key, rounded) = round(string, method)?;
        if let Some(kept) = self.kept.get(&key) {
            return Ok(Arc::clone(kept));
        }
        let computed = Arc::new(UnitEnvelope::compute(&rounded, method)?);
        if self.kept.len() >= MOST_KEPT {
            self.kept.clear();
        }
        self.kept.insert(key, Arc::clone(&computed));
        Ok(computed)
    }
}

/// The key of a string, and the string with the values that the key stands for.
fn round(string: &PluckedString, method: Method) -> Result<(Key, PluckedString)> {
    let scale = (Limit::ScaleLength.check_mm(string.scale)? * 10.0).round();
    let p = (Limit::PluckPlace.check_mm(string.from_saddle)? * 10.0).round();
    let semitone = (12.0 * (check_frequency(string.frequency)? / 440.0).log2()).round();
    let b = Limit::Inharmonicity.check(string.inharmonicity)?;
    // Below 1e-7 the stiffness no longer matters and all strings share one step.
    let step = (b.max(1e-7).ln() / 1.04f64.ln()).round();
    let bits = match method {
        Method::Modes(m) => [
            u64::from(m.periods),
            m.finger.value.to_bits(),
            m.decay_time.value.to_bits(),
            u64::from(m.modes),
            u64::from(m.steps),
            m.grid.map_or(0, u64::from),
        ],
        Method::ClosedForm { factor } => [0, factor.to_bits(), 0, 0, 0, 0],
    };
    let key = Key {
        scale: scale as i64,
        frets: string.frets,
        semitone: semitone as i64,
        stiffness: step as i64,
        from_saddle: p as i64,
        method: bits,
    };
    let rounded = PluckedString {
        scale: mm(scale / 10.0),
        frets: string.frets,
        frequency: Frequency::new::<hertz>((440.0 * (semitone / 12.0).exp2()).clamp(8.0, 6000.0)),
        inharmonicity: (step * 1.04f64.ln()).exp().min(0.01),
        from_saddle: mm(p / 10.0),
    };
    Ok((key, rounded))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::envelope::Touch;
    use crate::pluck::PluckDirection;
    use crate::string_line::GapPlace;
    use proptest::prelude::*;
    use uom::si::f64::Force;
    use uom::si::force::newton;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]
        #[test]
        fn rounding_costs_next_to_nothing(
            b in 1e-5..1e-3f64, hz in 30.0..100.0f64, p in 60.0..200.0f64,
        ) {
            let string = PluckedString {
                scale: mm(863.63), frets: 12, frequency: Frequency::new::<hertz>(hz),
                inharmonicity: b, from_saddle: mm(p),
            };
            let method = Method::Modes(crate::envelope::SwingModel::default());
            let kept = EnvelopeCache::new().get(&string, method).unwrap();
            let exact = UnitEnvelope::compute(&string, method).unwrap();
            let touch = Touch { force: Force::new::<newton>(2.0), direction: PluckDirection::TowardBoard };
            let depth = |e: &UnitEnvelope, m, j| {
                crate::units::as_mm(
                    e.depth(GapPlace::new(m, j), touch, Force::new::<newton>(155.0)).unwrap(),
                )
            };
            for (m, j) in [(0, 1), (0, 12), (1, 5), (5, 12), (9, 10)] {
                let off = depth(&kept, m, j) - depth(&exact, m, j);
                let exact = depth(&exact, m, j);
                // Far below what the model itself leaves open.
                prop_assert!(off.abs() < (0.05 * exact.abs()).max(0.03), "{m} {j}: {off} of {exact}");
            }
        }
    }

    #[test]
    fn a_bad_string_is_refused_and_nothing_kept() {
        let string = PluckedString {
            scale: mm(5.0),
            frets: 24,
            frequency: Frequency::new::<hertz>(41.2),
            inharmonicity: 1e-4,
            from_saddle: mm(100.0),
        };
        let mut cache = EnvelopeCache::new();
        assert!(cache.get(&string, Method::ClosedForm { factor: 1.0 }).is_err());
        let many = PluckedString { scale: mm(648.0), frets: 99, ..string };
        assert!(cache.get(&many, Method::ClosedForm { factor: 1.0 }).is_err());
        assert!(cache.is_empty());
    }
}
