//! What was given, as the library has it, or why it cannot be.

use fallaway::measure::{self, Amount, Decimal, Dimension, LimitUnit, parse_amount};
use fallaway::record;
use fallaway::text::errors::{self as said, value};
use fallaway::text::messages::{errors, formulas};
use fallaway::text::{Computed, Phrase};

use crate::error::field;
use crate::{Entered, FallawayError, Location, Moment, Quantity, Result, StringPlace};

impl Moment {
    pub(crate) fn typed(self) -> Result<record::Moment> {
        let typed = i16::try_from(self.offset_min).ok();
        typed.and_then(|offset| record::Moment::new(self.unix_s, offset)).ok_or_else(|| {
            let accepted = fallaway::times_accepted(self.offset_min);
            FallawayError::bad_input(&field("time"), &errors::stated_time(), accepted)
        })
    }
}

impl StringPlace {
    pub(crate) fn typed(&self) -> Result<measure::StringPlace> {
        let mut letters = self.letter.iter().flat_map(|text| text.chars());
        let member = letters.next();
        let refused = |reason: &Phrase| {
            let most = usize::from(measure::StringPlace::MAX_COURSE);
            let accepted = fallaway::Accepted::between(1, most).said(errors::place_accepted());
            FallawayError::bad_input(&field("string"), reason, accepted)
        };
        if letters.next().is_some() {
            return Err(refused(&errors::one_letter(self.letter.as_deref().unwrap_or_default())));
        }
        let course = u8::try_from(self.course).unwrap_or(u8::MAX);
        measure::StringPlace::new(course, member).map_err(|error| refused(&value(&error)))
    }
}

impl Location {
    pub(crate) fn typed(&self) -> Result<measure::Location> {
        Ok(match self {
            Self::Whole => measure::Location::Whole,
            Self::OneString { place } => measure::Location::Course(place.typed()?),
            Self::OneSide { side } => measure::Location::Side(*side),
            Self::Newer { number } => measure::Location::Other(*number),
        })
    }
}

impl Quantity {
    pub(crate) fn typed(self) -> Result<measure::Quantity> {
        use measure::Quantity as Typed;
        Ok(match self {
            Self::Gap { stopped_fret, over_fret } => {
                Typed::Gap { stopped: fret(stopped_fret)?, over: fret(over_fret)? }
            }
            Self::Relief { from_fret, to_fret, at_fret } => Typed::Relief {
                from: fret(from_fret)?,
                to: fret(to_fret)?,
                at: at_fret.map(fret).transpose()?,
            },
            Self::FallAway { from_fret, to_fret, at_fret } => {
                Typed::FallAway { from: fret(from_fret)?, to: fret(to_fret)?, at: fret(at_fret)? }
            }
            Self::Pitch => Typed::Pitch,
            Self::Intonation { stopped_fret } => Typed::Intonation { fret: fret(stopped_fret)? },
            Self::SpacingBridge => Typed::SpacingBridge,
            Self::SpacingNut => Typed::SpacingNut,
            Self::BridgeHeight => Typed::BridgeHeight,
            Self::BridgeTail => Typed::BridgeTail,
            Self::PickupGap { pickup, stopped_fret } => Typed::PickupGap {
                pickup: small(field("pickup"), pickup)?,
                stopped: fret(stopped_fret)?,
            },
            Self::Newer { number } => Typed::Other(number),
        })
    }
}

/// A fret by its number, 0 (the nut, or the open string) to 36.
pub(crate) fn fret(number: u32) -> Result<measure::Fret> {
    measure::Fret::new(u8::try_from(number).unwrap_or(u8::MAX)).map_err(|error| {
        let most = usize::from(measure::Fret::MAX);
        let accepted = fallaway::Accepted::between(0, most).said(errors::fret_accepted());
        FallawayError::bad_input(&field("fret"), &value(&error), accepted)
    })
}

/// A number that the record keeps in a byte.
pub(crate) fn small(field: impl Into<Phrase>, number: u32) -> Result<u8> {
    u8::try_from(number).map_err(|_| too_large(&field.into(), number, u8::MAX.into()))
}

/// A number that the record has no room for.
pub(crate) fn too_large(field: &Phrase, number: u32, most: u32) -> FallawayError {
    let reason = formulas::outside(number.to_string().into());
    FallawayError::bad_input(field, &reason, fallaway::Accepted::between(0, most as usize))
}

impl Entered {
    /// The amount that is written; `field` names it in errors.
    pub(crate) fn amount(&self, field: impl Into<Phrase>, dimension: Dimension) -> Result<Amount> {
        parse_amount(&self.text, None, dimension).map_err(|error| {
            let accepted = said::reading_accepts(&error);
            FallawayError::bad_input(&field.into(), &said::reading(&error), accepted)
        })
    }
}

/// The same for one that may be missing.
pub(crate) fn amount(
    entered: Option<&Entered>,
    field: impl Into<Phrase>,
    dimension: Dimension,
) -> Result<Option<Amount>> {
    entered.map(|entered| entered.amount(field, dimension)).transpose()
}

/// A plain number as the record keeps it; `field` names it in errors.
pub(crate) fn decimal(field: &Phrase, value: f64) -> Result<Decimal> {
    Decimal::nearest(value).ok_or_else(|| {
        let reason = errors::number_unwritable(Computed::exact(value));
        let most = Decimal::MAX_DIGITS as f64 / 1000.0;
        let accepted = fallaway::Accepted::from_to(-most, most, LimitUnit::One);
        FallawayError::bad_input(field, &reason, accepted.said(errors::number_accepted()))
    })
}
