//! Whether a reading deserves the question "sure?".
//!
//! What is usual is common practice without a source. It serves to catch a slip of the finger or of
//! the unit, never as anybody's target. An unusual reading is asked about and then kept; only what
//! cannot be, by the table of [`Limit`]s, is refused.

use std::cmp::Ordering;

use crate::{Amount, Decimal, Dimension, Fret, InstrumentFamily, Limit, Quantity, Reading, Unit};

/// How plausible a reading is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Plausibility {
    /// Nothing to ask.
    Usual,
    /// Ask "sure?", and keep the reading if the answer is yes.
    Unusual {
        /// Where it lies.
        beyond: Beyond,
        /// Lower end of what is usual (common practice, no source).
        low: Amount,
        /// Upper end of what is usual (common practice, no source).
        high: Amount,
    },
    /// It cannot be: a slip, or another quantity.
    Impossible(Impossible),
}

/// On which side of a range a reading lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Beyond {
    /// Below its low end.
    Below,
    /// Above its high end.
    Above,
}

/// Why a reading cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// It measures something else.
    OtherKind {
        /// What the quantity is.
        wanted: Dimension,
    },
    /// A gap is read over a fret, not over the nut.
    OverTheNut,
    /// Over the very fret at which the string is stopped there is no gap.
    LiesOnFret {
        /// The fret at which the string is stopped.
        fret: Fret,
    },
    /// The frets of a relief do not rise, or the one it is read at is not between the others.
    NotBetween,
    /// The frets of a fall-away do not rise.
    NotBeyond,
    /// Pickups are counted from 1, the one nearest the bridge.
    PickupZero,
    /// Intonation is read at a fret against the open string.
    OpenIntonation,
    /// No instrument has such a value.
    Value {
        /// Where it lies.
        beyond: Beyond,
        /// Least that is accepted.
        low: Amount,
        /// Greatest that is accepted.
        high: Amount,
    },
}

#[derive(Clone, Copy)]
struct Range {
    low: Amount,
    high: Amount,
}

/// A range in hundredths of a millimetre.
const fn mm(low: i64, high: i64) -> Range {
    const fn of(hundredths: i64) -> Amount {
        Amount::Decimal { value: Decimal::constant(hundredths, 2), unit: Unit::Millimetre }
    }
    Range { low: of(low), high: of(high) }
}

const fn cents(low: i64, high: i64) -> Range {
    const fn of(cents: i64) -> Amount {
        Amount::Decimal { value: Decimal::constant(cents, 0), unit: Unit::Cent }
    }
    Range { low: of(low), high: of(high) }
}

/// By family: bass, guitar, any other (both together).
fn by_family(family: InstrumentFamily, bass: Range, guitar: Range) -> Range {
    let lower = |a: Amount, b: Amount| if a.compare(b) == Some(Ordering::Greater) { b } else { a };
    let higher = |a: Amount, b: Amount| if a.compare(b) == Some(Ordering::Less) { b } else { a };
    match family {
        InstrumentFamily::Bass => bass,
        InstrumentFamily::Guitar => guitar,
        InstrumentFamily::Other(_) => {
            Range { low: lower(bass.low, guitar.low), high: higher(bass.high, guitar.high) }
        }
    }
}

/// What is usual: common practice, no source. Those marked * are the writer's own, from memory.
fn usual(quantity: Quantity, family: InstrumentFamily) -> Option<Range> {
    Some(match quantity {
        // Behind the stopping finger only the nut end is open: the nut reading. *
        Quantity::Gap { stopped, over } if over < stopped => mm(0, 30),
        // The nut read open. *
        Quantity::Gap { stopped: Fret::OPEN, over } if over.number() <= 2 => mm(15, 120),
        // Over the upper frets: action.
        Quantity::Gap { over, .. } if over.number() >= 12 => {
            by_family(family, mm(120, 370), mm(100, 300))
        }
        // In between, from nearly nothing to the action. *
        Quantity::Gap { .. } => mm(5, 350),
        Quantity::Relief { .. } => mm(-20, 60),
        // A board that rises toward its end is worth a second look. *
        Quantity::FallAway { .. } => mm(0, 60),
        Quantity::SpacingBridge => by_family(family, mm(1_600, 2_000), mm(1_000, 1_100)),
        Quantity::SpacingNut => by_family(family, mm(800, 1_200), mm(600, 850)), // *
        Quantity::PickupGap { .. } => mm(100, 600),                              // *
        Quantity::BridgeHeight | Quantity::BridgeTail => mm(0, 1_500),           // *
        // Within half a semitone, else another string or note was meant. *
        Quantity::Pitch => cents(-50, 50),
        Quantity::Intonation { .. } => cents(-30, 30), // *
        Quantity::Other(_) => return None,
    })
}

/// What can be at all.
fn possible(quantity: Quantity) -> Option<Range> {
    let limit = match quantity {
        Quantity::Gap { .. } => Limit::GapRead,
        Quantity::Relief { .. } => Limit::Relief,
        Quantity::FallAway { .. } => Limit::FallAway,
        Quantity::SpacingBridge | Quantity::SpacingNut => Limit::StringSpacing,
        Quantity::PickupGap { .. } => Limit::PickupGap,
        Quantity::BridgeHeight | Quantity::BridgeTail => Limit::BridgeHeight,
        Quantity::Pitch => Limit::PitchReading,
        Quantity::Intonation { .. } => Limit::Intonation,
        Quantity::Other(_) => return None,
    };
    limit.ends().map(|(low, high)| Range { low, high })
}

/// Judges a reading: usual, worth a question, or impossible.
///
/// Usual ranges (common practice, no source): over the upper frets 1.2 to 3.7 mm on a bass, 1.0 to
/// 3.0 mm on a guitar; relief -0.2 to 0.6 mm; spacing at the bridge 16 to 20 mm and 10 to 11 mm.
/// Impossible: what lies outside the [`Limit`] of its quantity, a reading of the wrong kind, a gap
/// over the fret at which the string is stopped.
///
/// ```
/// use fallaway_measure::{Dimension, InstrumentFamily, Fret, Plausibility, Quantity, parse_reading, plausibility};
/// let action = Quantity::Gap { stopped: Fret::new(1)?, over: Fret::new(24)? };
/// let judge = |text| {
///     let reading = parse_reading(text, None, Dimension::Length).unwrap();
///     plausibility(action, InstrumentFamily::Bass, &reading)
/// };
/// assert_eq!(judge("5/64"), Plausibility::Usual);
/// assert!(matches!(judge("5 mm"), Plausibility::Unusual { .. }));
/// assert!(matches!(judge("500 mm"), Plausibility::Impossible(_)));
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
pub fn plausibility(
    quantity: Quantity,
    family: InstrumentFamily,
    reading: &Reading,
) -> Plausibility {
    let wanted = quantity.dimension();
    if wanted != Dimension::Other && reading.dimension() != wanted {
        return Plausibility::Impossible(Impossible::OtherKind { wanted });
    }
    if let Some(why) = impossible_place(quantity) {
        return Plausibility::Impossible(why);
    }
    let judge = |range: Option<Range>| {
        let Range { low, high } = range?;
        Some((outside(reading, low, high)?, low, high))
    };
    if let Some((beyond, low, high)) = judge(possible(quantity)) {
        return Plausibility::Impossible(Impossible::Value { beyond, low, high });
    }
    match judge(usual(quantity, family)) {
        Some((beyond, low, high)) => Plausibility::Unusual { beyond, low, high },
        None => Plausibility::Usual,
    }
}

/// Ways of reading that contradict themselves.
fn impossible_place(quantity: Quantity) -> Option<Impossible> {
    match quantity {
        Quantity::Gap { over: Fret::OPEN, .. } => Some(Impossible::OverTheNut),
        Quantity::Gap { stopped, over } if stopped == over => {
            Some(Impossible::LiesOnFret { fret: over })
        }
        Quantity::Relief { from, to, at }
            if from >= to || at.is_some_and(|at| at <= from || at >= to) =>
        {
            Some(Impossible::NotBetween)
        }
        Quantity::FallAway { from, to, at } if from >= to || to >= at => {
            Some(Impossible::NotBeyond)
        }
        Quantity::PickupGap { pickup: 0, .. } => Some(Impossible::PickupZero),
        Quantity::Intonation { fret: Fret::OPEN } => Some(Impossible::OpenIntonation),
        _ => None,
    }
}

/// On which side of a range a reading lies with everything that it allows.
fn outside(reading: &Reading, low: Amount, high: Amount) -> Option<Beyond> {
    let is = |amount: Option<Amount>, than: Amount, order| {
        amount.is_some_and(|amount| amount.compare(than) == Some(order))
    };
    if is(reading.high(), low, Ordering::Less) {
        Some(Beyond::Below)
    } else if is(reading.low(), high, Ordering::Greater) {
        Some(Beyond::Above)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse_reading;

    fn judge(quantity: &str, family: InstrumentFamily, text: &str) -> Plausibility {
        let quantity: Quantity = quantity.parse().unwrap();
        let reading = parse_reading(text, None, quantity.dimension()).unwrap();
        plausibility(quantity, family, &reading)
    }

    /// Ranges: common practice, no source.
    #[test]
    fn questions_and_refusals() {
        let usual = [
            ("gap stopped at 1 over 24", InstrumentFamily::Bass, "3.4 mm"),
            ("gap stopped at 3 over 1", InstrumentFamily::Guitar, "touches"),
            ("relief 1 to 24", InstrumentFamily::Bass, "-0.2 mm"),
            ("relief 1 to 24", InstrumentFamily::Bass, ".010 goes, .012 not"),
            ("spacing at bridge", InstrumentFamily::Bass, "19.05 mm"),
            ("spacing at bridge", InstrumentFamily::Other(0), "10.5 mm"),
            ("pitch", InstrumentFamily::Guitar, "-3"),
        ];
        for (quantity, family, text) in usual {
            assert_eq!(judge(quantity, family, text), Plausibility::Usual, "{quantity} {text}");
        }
        let unusual = [
            ("gap stopped at 1 over 24", InstrumentFamily::Guitar, "3.4 mm"),
            ("gap stopped at 1 over 24", InstrumentFamily::Bass, "touches"),
            ("relief 1 to 24", InstrumentFamily::Bass, "-0.5 mm"),
            ("relief 1 to 24", InstrumentFamily::Bass, ">= 0.7 mm"),
            ("spacing at bridge", InstrumentFamily::Guitar, "19.05 mm"),
            ("pitch", InstrumentFamily::Guitar, "-100"),
        ];
        for (quantity, family, text) in unusual {
            let found = judge(quantity, family, text);
            assert!(matches!(found, Plausibility::Unusual { .. }), "{quantity} {text}: {found:?}");
        }
        let impossible = [
            ("gap stopped at 1 over 24", InstrumentFamily::Bass, "500 mm"),
            ("gap stopped at 1 over 24", InstrumentFamily::Bass, "-1/64"),
            ("gap stopped at 7 over 7", InstrumentFamily::Bass, "1 mm"),
            ("relief 1 to 24", InstrumentFamily::Bass, "50 mm"),
            ("relief 12 to 3", InstrumentFamily::Bass, "0.2 mm"),
            ("relief 1 to 12 at 12", InstrumentFamily::Bass, "0.2 mm"),
            ("pickup 0 gap open", InstrumentFamily::Bass, "2 mm"),
            ("intonation at 0", InstrumentFamily::Bass, "2"),
        ];
        for (quantity, family, text) in impossible {
            let found = judge(quantity, family, text);
            assert!(matches!(found, Plausibility::Impossible(_)), "{quantity} {text}: {found:?}");
        }
    }

    #[test]
    fn a_reading_of_the_wrong_kind_is_named() {
        let cents = parse_reading("3", None, Dimension::Interval).unwrap();
        let gap = "gap open over 12".parse().unwrap();
        let wanted = Dimension::Length;
        let found = plausibility(gap, InstrumentFamily::Bass, &cents);
        assert_eq!(found, Plausibility::Impossible(Impossible::OtherKind { wanted }));
    }
}
