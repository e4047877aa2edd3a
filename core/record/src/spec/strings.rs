//! Strings as they were bought.

use fallaway_measure::{Amount, Decimal};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::numbered::numbered;

numbered! {
    /// How a string is made.
    StringConstruction {
        /// A plain wire.
        Plain = 1, "plain";
        /// A core wound with round wire.
        RoundWound = 2, "round-wound";
        /// Round-wound, then ground or rolled half flat.
        HalfWound = 3, "half-wound";
        /// Wound with flat wire.
        FlatWound = 4, "flat-wound";
        /// Wound with tape.
        TapeWound = 5, "tape-wound";
        /// Nylon or another polymer, plain or wound.
        Polymer = 6, "polymer";
    }
}

numbered! {
    /// The unit in which a pack states mass for length.
    UnitWeightUnit {
        /// Pounds an inch, lb/in.
        PoundPerInch = 1, "lb/in";
        /// Grams a metre, g/m.
        GramPerMetre = 2, "g/m";
    }
}

/// Mass for length as printed on the pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnitWeight {
    /// The number as printed.
    pub value: Decimal,
    /// The unit in which the pack prints it.
    pub unit: UnitWeightUnit,
}

impl UnitWeight {
    /// Kilograms a metre; `None` for a unit of a newer version. A pound is 0.45359237 kg and an inch
    /// 0.0254 m exactly (NIST Special Publication 811, appendix B.8).
    pub fn kilograms_per_metre(self) -> Option<f64> {
        match self.unit {
            UnitWeightUnit::PoundPerInch => Some(self.value.value() * 0.453_592_37 / 0.0254),
            UnitWeightUnit::GramPerMetre => Some(self.value.value() / 1000.0),
            UnitWeightUnit::Other(_) => None,
        }
    }
}

/// `[unit, digits, places]`.
impl<C> Encode<C> for UnitWeight {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(3)?.encode(self.unit)?.i64(self.value.digits())?.u8(self.value.places())?.ok()
    }
}

impl<'b, C> Decode<'b, C> for UnitWeight {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(3) {
            return Err(decode::Error::message("a unit weight is an array of three"));
        }
        let unit = d.decode()?;
        let value = Decimal::new(d.i64()?, d.u8()?)
            .map_err(|_| decode::Error::message("a unit weight has too many digits"))?;
        Ok(Self { value, unit })
    }
}

/// One string as it was bought.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct StringSpec {
    /// Diameter over everything, winding and all; `None` if unwritten.
    #[n(0)]
    pub gauge: Option<Amount>,
    /// How it is made.
    #[n(1)]
    pub construction: Option<StringConstruction>,
    /// Diameter of the core.
    #[n(2)]
    pub core: Option<Amount>,
    /// Mass for length as printed on the pack; preferred to any estimate from the gauge.
    #[n(3)]
    pub unit_weight: Option<UnitWeight>,
    /// Tension as printed on the pack, for the note and scale printed there.
    #[n(4)]
    pub pack_tension: Option<Amount>,
    /// What it is called.
    #[n(5)]
    pub name: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unit_weights_round_trip() {
        let weight = UnitWeight {
            value: Decimal::new(63_000, 8).unwrap(),
            unit: UnitWeightUnit::PoundPerInch,
        };
        let bytes = minicbor::to_vec(weight).unwrap();
        assert_eq!(minicbor::decode::<UnitWeight>(&bytes).unwrap(), weight);
        assert!((weight.kilograms_per_metre().unwrap() - 0.011_250).abs() < 1e-5);
    }
}
