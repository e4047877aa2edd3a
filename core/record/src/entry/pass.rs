//! A pass: one quantity, read one way, with one tool, across the strings.

use fallaway_measure::{Location, Quantity, Reading, StringPlace, Tool, wire};
use minicbor::data::Type;
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::numbered::numbered;

numbered! {
    /// How the instrument lies while it is read. Readings compare like with like or say so.
    Posture {
        /// As it is played.
        Playing = 1, "playing position";
        /// On its back, neck free.
        OnBack = 2, "on its back";
        /// On its back, the neck on a rest.
        NeckRest = 3, "neck on a rest";
        /// On its side.
        OnSide = 4, "on its side";
        /// Hanging by its head.
        Hanging = 5, "hanging";
    }
}

numbered! {
    /// Where in a visit a pass belongs.
    Phase {
        /// Before anything was done.
        AsFound = 1, "as found";
        /// While work goes on: after something was turned, and not yet final.
        Working = 2, "working";
        /// The final numbers of the visit, when the work is done.
        AsLeft = 3, "as left";
    }
}

numbered! {
    /// What stops the string.
    StoppedBy {
        /// A finger holds it down.
        Finger = 1, "finger";
        /// A capo holds it down.
        Capo = 2, "capo";
    }
}

/// What was read at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PassReading {
    /// Of which string or side, or of the whole instrument.
    pub location: Location,
    /// What was seen.
    pub reading: Reading,
}

/// One quantity, read one way, with one tool, across the strings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pass {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// How the instrument lay.
    pub posture: Option<Posture>,
    /// Where in the visit the pass belongs.
    pub phase: Option<Phase>,
    /// What stopped the string.
    pub stopped_by: Option<StoppedBy>,
    /// Minutes since the instrument was tuned.
    pub tuned_minutes_ago: Option<u16>,
    /// The readings in the order in which they were taken. A place that was not read is not here.
    pub readings: Vec<PassReading>,
}

impl Pass {
    /// A pass without readings yet and without conditions.
    pub const fn new(quantity: Quantity, tool: Option<Tool>) -> Self {
        Self {
            quantity,
            tool,
            posture: None,
            phase: None,
            stopped_by: None,
            tuned_minutes_ago: None,
            readings: Vec::new(),
        }
    }

    /// The same with readings of the courses from `first` on, in rising order; `None` was not read.
    ///
    /// # Errors
    /// [`fallaway_measure::ValueError`] for a course that no instrument has.
    pub fn across(
        mut self,
        first: u8,
        readings: &[Option<Reading>],
    ) -> Result<Self, fallaway_measure::ValueError> {
        for (step, reading) in readings.iter().enumerate() {
            let course = u8::try_from(step).unwrap_or(u8::MAX).saturating_add(first);
            if let Some(reading) = *reading {
                let location = Location::Course(StringPlace::course(course)?);
                self.readings.push(PassReading { location, reading });
            }
        }
        Ok(self)
    }

    /// What was read at a place last.
    pub fn at(&self, location: Location) -> Option<Reading> {
        self.readings.iter().rev().find(|read| read.location == location).map(|read| read.reading)
    }
}

/// Items of a pass.
const ITEMS: u64 = 5;

/// Where the readings of a pass lie, in short form.
enum Places {
    /// Neighbouring courses in rising order from this one on.
    Rising(u8),
    /// Neighbouring courses in falling order from this one on.
    Falling(u8),
    /// Anything else.
    Listed,
}

impl Places {
    fn of(readings: &[PassReading]) -> Self {
        let course = |index: usize| match readings.get(index)?.location {
            Location::Course(place) if place.member().is_none() => Some(place.number()),
            _ => None,
        };
        let Some(first) = course(0) else { return Self::Listed };
        let runs = |step: i16| {
            (0..readings.len()).all(|index| {
                let wanted = i16::from(first) + step * i16::try_from(index).unwrap_or(i16::MAX);
                course(index).map(i16::from) == Some(wanted)
            })
        };
        if readings.len() > usize::from(StringPlace::MAX_COURSE) {
            Self::Listed
        } else if runs(1) {
            Self::Rising(first)
        } else if runs(-1) {
            Self::Falling(first)
        } else {
            Self::Listed
        }
    }
}

/// `[quantity, tool / null, conditions, places, [+ reading]]`, each reading in the tool's own
/// notation where it fits.
impl<C> Encode<C> for Pass {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(ITEMS)?.encode(self.quantity)?.encode(self.tool)?;
        e.encode(Conditions {
            posture: self.posture,
            phase: self.phase,
            stopped_by: self.stopped_by,
            tuned_minutes_ago: self.tuned_minutes_ago,
        })?;
        match Places::of(&self.readings) {
            Places::Rising(first) => drop(e.u8(first)?),
            Places::Falling(first) => drop(e.i16(-i16::from(first))?),
            Places::Listed => {
                e.array(self.readings.len() as u64)?;
                for read in &self.readings {
                    e.encode(read.location)?;
                }
            }
        }
        e.array(self.readings.len() as u64)?;
        for read in &self.readings {
            wire::encode_reading(&read.reading, self.tool.as_ref(), e)?;
        }
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Pass {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(ITEMS) {
            return Err(decode::Error::message("a pass is an array of five"));
        }
        let quantity = d.decode()?;
        if let Quantity::Other(_) = quantity {
            // Its details are in the bytes only, so the whole pass stays bytes.
            return Err(decode::Error::message("a quantity of a newer version"));
        }
        let tool: Option<Tool> = d.decode()?;
        let Conditions { posture, phase, stopped_by, tuned_minutes_ago } = d.decode()?;
        let places: Result<i16, Vec<Location>> = match d.datatype()? {
            Type::Array => Err(d.decode()?),
            _ => Ok(d.i16()?),
        };
        let count = d.array()?.unwrap_or(0);
        // Room for what is usual; a count from outside is never believed.
        let mut readings = Vec::with_capacity(count.min(16) as usize);
        for index in 0..count {
            let location = match &places {
                Ok(first) => {
                    // Falling from -4: 4, 3, 2. Rising from 4: 4, 5, 6.
                    let course = i16::try_from(index)
                        .ok()
                        .and_then(|index| first.checked_add(index))
                        .and_then(|course| u8::try_from(course.unsigned_abs()).ok())
                        .and_then(|course| StringPlace::course(course).ok());
                    course.map(Location::Course)
                }
                Err(listed) => usize::try_from(index).ok().and_then(|i| listed.get(i).copied()),
            };
            let location = location.ok_or_else(|| decode::Error::message("no such place"))?;
            let reading = wire::decode_reading(d, tool.as_ref())?;
            readings.push(PassReading { location, reading });
        }
        Ok(Self { quantity, tool, posture, phase, stopped_by, tuned_minutes_ago, readings })
    }
}

/// How a pass was taken.
#[derive(Encode, Decode)]
#[cbor(map)]
struct Conditions {
    #[n(0)]
    posture: Option<Posture>,
    #[n(1)]
    phase: Option<Phase>,
    #[n(2)]
    stopped_by: Option<StoppedBy>,
    #[n(3)]
    tuned_minutes_ago: Option<u16>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_measure::{Amount, Fret, Side, Unit};

    fn sixty_fourths(count: i32) -> Reading {
        Reading::Value(Amount::fraction(count, 64).unwrap())
    }

    fn action() -> Quantity {
        Quantity::Gap { stopped: Fret::new(1).unwrap(), over: Fret::new(24).unwrap() }
    }

    /// `[[1, 1, 24], 0, {1: 1}, 1, [5, 5, 5, 6]]`, written out by hand after RFC 8949.
    #[test]
    fn a_plain_pass_is_small() {
        let readings: Vec<_> = [5, 5, 5, 6].map(|n| Some(sixty_fourths(n))).to_vec();
        let mut pass = Pass::new(action(), Some(Tool::RULE_64)).across(1, &readings).unwrap();
        pass.phase = Some(Phase::AsFound);
        let bytes = minicbor::to_vec(&pass).unwrap();
        let by_hand = [0x85, 0x83, 1, 1, 0x18, 24, 0, 0xa1, 1, 1, 1, 0x84, 5, 5, 5, 6];
        assert_eq!(bytes, by_hand);
        assert_eq!(minicbor::decode::<Pass>(&bytes).unwrap(), pass);
    }

    #[test]
    fn any_order_and_any_place_is_kept() {
        let reading = Reading::AtMost(Amount::zero(Unit::Millimetre));
        let course = |n| Location::Course(StringPlace::course(n).unwrap());
        let double = Location::Course(StringPlace::new(3, Some('a')).unwrap());
        for places in [
            vec![course(4), course(3), course(2)],
            vec![course(2), course(4)],
            vec![course(1), course(1)],
            vec![double],
            vec![Location::Whole],
            vec![Location::Side(Side::Bass), Location::Side(Side::Treble)],
            vec![course(48)],
            vec![],
        ] {
            let mut pass = Pass::new(action(), None);
            pass.readings =
                places.iter().map(|&location| PassReading { location, reading }).collect();
            let bytes = minicbor::to_vec(&pass).unwrap();
            assert_eq!(minicbor::decode::<Pass>(&bytes).unwrap(), pass, "{places:?}");
        }
    }

    #[test]
    fn places_that_do_not_exist_are_refused() {
        // Rising from 48 with two readings; rising from 0; a list shorter than the readings.
        for tail in [&[0x18, 48, 0x82, 5, 5][..], &[0, 0x81, 5], &[0x80, 0x81, 5]] {
            let bytes = [&[0x85, 0x83, 1, 1, 0x18, 24, 0, 0xa0][..], tail].concat();
            assert!(minicbor::decode::<Pass>(&bytes).is_err());
        }
    }
}
