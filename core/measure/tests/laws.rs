//! Laws that hold for every reading: what is shown is read back, what is encoded is decoded, and
//! nothing that comes from outside makes anything panic.

#![allow(clippy::unwrap_used, reason = "a test that fails here has found something")]

use std::cmp::Ordering;

use fallaway_measure::{
    Amount, AmountFormat, Decimal, Dimension, Fraction, Fret, InstrumentFamily, Length, Location,
    Quantity, Reading, ReadingDifference, Side, StringPlace, Taken, Tool, ToolKind, Unit,
    distinguishable, in_unit, parse_amount, parse_pass, parse_reading, plausibility, show_pass,
    wire,
};
use minicbor::{Decode, Decoder, Encode, Encoder};
use proptest::prelude::*;
use uom::si::length::millimeter;

const DIMENSIONS: [Dimension; 8] = [
    Dimension::Length,
    Dimension::Interval,
    Dimension::Frequency,
    Dimension::Share,
    Dimension::Temperature,
    Dimension::Force,
    Dimension::Rotation,
    Dimension::Other,
];

fn any_decimal() -> impl Strategy<Value = Decimal> {
    let digits = prop_oneof![
        -300_i64..300,
        -Decimal::MAX_DIGITS..=Decimal::MAX_DIGITS,
        Just(Decimal::MAX_DIGITS)
    ];
    (digits, 0..=Decimal::MAX_PLACES).prop_map(|(d, p)| Decimal::new(d, p).unwrap())
}

fn any_unit() -> impl Strategy<Value = Unit> {
    prop_oneof![
        4 => prop::sample::select(&Unit::KNOWN[..]),
        1 => (11_u16..).prop_map(Unit::from_number),
    ]
}

fn any_fraction() -> impl Strategy<Value = Fraction> {
    (
        any::<bool>(),
        prop_oneof![Just(0), 0..=Fraction::MAX_WHOLE],
        prop_oneof![0_i64..130, 0..=Fraction::MAX_NUMERATOR],
        0..=Fraction::MAX_PLACES,
        prop::sample::select(&Fraction::DENOMINATORS[..]),
    )
        .prop_map(|(negative, whole, digits, places, denominator)| {
            let numerator = Decimal::new(digits, places).unwrap();
            Fraction::new(negative, whole, numerator, denominator).unwrap()
        })
}

fn any_amount() -> impl Strategy<Value = Amount> {
    prop_oneof![
        (any_decimal(), any_unit()).prop_map(|(value, unit)| Amount::Decimal { value, unit }),
        any_fraction().prop_map(Amount::Fraction),
    ]
}

fn any_length() -> impl Strategy<Value = Amount> {
    const UNITS: &[Unit] = &[Unit::Millimetre, Unit::Inch, Unit::Thou];
    prop_oneof![
        (any_decimal(), prop::sample::select(UNITS))
            .prop_map(|(value, unit)| Amount::Decimal { value, unit }),
        any_fraction().prop_map(Amount::Fraction),
    ]
}

fn reading_of<S: Strategy<Value = Amount>>(amount: fn() -> S) -> impl Strategy<Value = Reading> {
    prop_oneof![
        3 => amount().prop_map(Reading::Value),
        1 => amount().prop_map(Reading::AtMost),
        1 => amount().prop_map(Reading::AtLeast),
        2 => (amount(), amount()).prop_map(|(a, b)| {
            Reading::between(a, b)
                .or_else(|_| Reading::between(b, a))
                .unwrap_or(Reading::Value(a))
        }),
    ]
}

fn any_tool() -> impl Strategy<Value = Tool> {
    let kind = prop_oneof![(1_u32..=5), any::<u32>()].prop_map(ToolKind::from_number);
    prop_oneof![
        prop::sample::select(&Tool::USUAL[..]),
        (kind, any_amount())
            .prop_filter_map("a step is above zero", |(kind, step)| { Tool::new(kind, step).ok() }),
    ]
}

fn any_fret() -> impl Strategy<Value = Fret> {
    (0..=Fret::MAX).prop_map(|number| Fret::new(number).unwrap())
}

fn any_quantity() -> impl Strategy<Value = Quantity> {
    prop_oneof![
        (any_fret(), any_fret()).prop_map(|(stopped, over)| Quantity::Gap { stopped, over }),
        (any_fret(), any_fret(), prop::option::of(any_fret()))
            .prop_map(|(from, to, at)| Quantity::Relief { from, to, at }),
        (any_fret(), any_fret(), any_fret()).prop_map(|(from, to, at)| Quantity::FallAway {
            from,
            to,
            at
        }),
        Just(Quantity::Pitch),
        any_fret().prop_map(|fret| Quantity::Intonation { fret }),
        Just(Quantity::SpacingBridge),
        Just(Quantity::BridgeHeight),
        Just(Quantity::BridgeTail),
        Just(Quantity::SpacingNut),
        (any::<u8>(), any_fret())
            .prop_map(|(pickup, stopped)| Quantity::PickupGap { pickup, stopped }),
    ]
}

fn any_place() -> impl Strategy<Value = StringPlace> {
    (1..=StringPlace::MAX_COURSE, prop::option::of(prop::char::range('a', 'z')))
        .prop_map(|(course, member)| StringPlace::new(course, member).unwrap())
}

fn any_location() -> impl Strategy<Value = Location> {
    prop_oneof![
        Just(Location::Whole),
        any_place().prop_map(Location::Course),
        Just(Location::Side(Side::Bass)),
        Just(Location::Side(Side::Treble)),
        (2_u32..).prop_map(Location::Other),
    ]
}

/// Texts that get far into the grammar.
fn near_reading() -> impl Strategy<Value = String> {
    let pieces = [
        "5",
        "12",
        "1",
        "0",
        "2",
        "64",
        "32",
        ".078",
        "1,98",
        "1.98",
        "0.5",
        "/",
        "-",
        "+",
        "=",
        "<=",
        ">",
        "\"",
        " ",
        " ",
        " ",
        ",",
        ";",
        "mm",
        "in",
        "thou",
        "goes",
        "not",
        "does",
        "to",
        "between",
        "and",
        "touches",
        "cent",
        "Hz",
        "%",
        "°",
        "C",
        "unit",
        "turn",
        "−",
        "٣",
        "999999999999",
        "65536",
    ];
    prop::collection::vec(prop::sample::select(pieces.to_vec()), 0..14)
        .prop_map(|pieces| pieces.concat())
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![near_reading(), any::<String>(), "[ -~]{0,40}"]
}

fn bytes_of<T: Encode<()>>(value: &T) -> Vec<u8> {
    minicbor::to_vec(value).unwrap()
}

fn round_trip<T>(value: &T)
where
    T: Encode<()> + for<'b> Decode<'b, ()> + PartialEq + std::fmt::Debug,
{
    let bytes = bytes_of(value);
    let mut d = Decoder::new(&bytes);
    assert_eq!(&d.decode::<T>().unwrap(), value);
    assert_eq!(d.position(), bytes.len(), "everything is read");
}

proptest! {
    // Found failures become tests of their own rather than files.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(512) })]

    #[test]
    fn shown_amounts_are_read_back(amount in any_amount()) {
        let shown = amount.to_string();
        prop_assert_eq!(parse_amount(&shown, None, amount.dimension()), Ok(amount));
    }

    #[test]
    fn shown_readings_are_read_back(reading in reading_of(any_amount), tool in any_tool()) {
        let shown = reading.to_string();
        prop_assert_eq!(parse_reading(&shown, None, reading.dimension()), Ok(reading));
        // The tool in hand changes nothing where the unit is written.
        if tool.graduation().dimension() == reading.dimension() {
            prop_assert_eq!(parse_reading(&shown, Some(&tool), reading.dimension()), Ok(reading));
        }
    }

    #[test]
    fn shown_passes_are_read_back(
        pass in prop::collection::vec(prop::option::of(reading_of(any_length)), 1..10),
        tool in prop::option::of(prop::sample::select(&Tool::USUAL[..8])),
    ) {
        let shown = show_pass(&pass);
        let read = parse_pass(&shown, tool.as_ref(), Dimension::Length, pass.len(), None);
        prop_assert_eq!(read, Ok(pass), "{}", shown);
    }

    #[test]
    fn shown_names_are_read_back(
        tool in any_tool(),
        quantity in any_quantity(),
        location in any_location(),
        place in any_place(),
    ) {
        prop_assert_eq!(tool.to_string().parse(), Ok(tool));
        prop_assert_eq!(quantity.to_string().parse(), Ok(quantity));
        prop_assert_eq!(location.to_string().parse(), Ok(location));
        prop_assert_eq!(place.to_string().parse(), Ok(place));
    }

    #[test]
    fn encoded_values_are_decoded(
        amount in any_amount(),
        reading in reading_of(any_amount),
        tool in any_tool(),
        quantity in any_quantity(),
        location in any_location(),
        place in any_place(),
        fret in any_fret(),
    ) {
        round_trip(&amount);
        round_trip(&reading);
        round_trip(&tool);
        round_trip(&quantity);
        round_trip(&location);
        round_trip(&place);
        round_trip(&fret);
    }

    #[test]
    fn readings_are_decoded_with_their_tool(reading in reading_of(any_amount), tool in any_tool()) {
        let mut e = Encoder::new(Vec::new());
        wire::encode_reading(&reading, Some(&tool), &mut e).unwrap();
        let bytes = e.into_writer();
        let mut d = Decoder::new(&bytes);
        prop_assert_eq!(wire::decode_reading(&mut d, Some(&tool)).unwrap(), reading);
        prop_assert_eq!(d.position(), bytes.len());
    }

    #[test]
    fn any_bytes_are_decoded_or_refused(
        bytes in prop::collection::vec(any::<u8>(), 0..24),
        tool in any_tool(),
    ) {
        let _ = minicbor::decode::<Tool>(&bytes);
        let _ = minicbor::decode::<Location>(&bytes);
        let _ = minicbor::decode::<StringPlace>(&bytes);
        let _ = minicbor::decode::<Quantity>(&bytes);
        for tool in [None, Some(&tool)] {
            let mut d = Decoder::new(&bytes);
            if let Ok(reading) = wire::decode_reading(&mut d, tool) {
                // Whatever came in can be shown and judged.
                let shown = reading.to_string();
                prop_assert_eq!(parse_reading(&shown, None, reading.dimension()), Ok(reading));
                let _ = Taken::new(&reading, tool).length();
                let _ = plausibility(Quantity::Pitch, InstrumentFamily::Bass, &reading);
            }
        }
    }

    /// Small changes to valid bytes get past the first byte more often than random ones.
    #[test]
    fn changed_bytes_are_decoded_or_refused(
        reading in reading_of(any_amount),
        quantity in any_quantity(),
        at in any::<prop::sample::Index>(),
        byte in any::<u8>(),
    ) {
        let mut bytes = bytes_of(&reading);
        let index = at.index(bytes.len());
        bytes[index] = byte;
        let _ = minicbor::decode::<Reading>(&bytes).map(|reading| reading.to_string());
        let mut bytes = bytes_of(&quantity);
        let index = at.index(bytes.len());
        bytes[index] = byte;
        let _ = minicbor::decode::<Quantity>(&bytes).map(|quantity| quantity.to_string());
    }

    #[test]
    fn any_text_is_read_or_refused(text in any_text(), tool in any_tool(), count in 0_usize..8) {
        for dimension in DIMENSIONS {
            for tool in [None, Some(&tool)] {
                match parse_reading(&text, tool, dimension) {
                    Ok(reading) => {
                        prop_assert_eq!(reading.dimension(), dimension);
                        let shown = reading.to_string();
                        prop_assert_eq!(parse_reading(&shown, tool, dimension), Ok(reading));
                    }
                    Err(error) => {
                        prop_assert!(error.at() <= text.chars().count() + 1);
                        prop_assert!(!error.to_string().chars().any(char::is_control));
                    }
                }
                match parse_pass(&text, tool, dimension, count, None) {
                    Ok(pass) => prop_assert_eq!(pass.len(), count),
                    Err(error) => prop_assert!(!error.to_string().is_empty()),
                }
            }
        }
        let _ = text.parse::<Tool>();
        let _ = text.parse::<Quantity>();
        let _ = text.parse::<Location>();
        let _ = text.parse::<Fret>();
    }

    /// NIST Special Publication 811, appendix B.8: 25.4 mm to the inch, exactly. Thousandths,
    /// decimal inches and fractions of one value are one length.
    #[test]
    fn units_agree_exactly(sixty_fourths in -100_000_i32..100_000) {
        let fraction = Amount::fraction(sixty_fourths, 64).unwrap();
        let micro = i64::from(sixty_fourths) * 15_625;
        let inch = Amount::decimal(micro, 6, Unit::Inch).unwrap();
        let thou = Amount::decimal(micro, 3, Unit::Thou).unwrap();
        // 1/64 in = 0.396875 mm
        let mm = Amount::decimal(i64::from(sixty_fourths) * 396_875, 6, Unit::Millimetre).unwrap();
        for other in [inch, thou, mm] {
            prop_assert_eq!(fraction.compare(other), Some(Ordering::Equal));
            prop_assert_eq!(fraction.length(), other.length());
        }
    }

    /// In another unit with enough places and back again is the value that was read.
    #[test]
    fn conversions_return(digits in -390_000_i64..390_000, places in 0_u8..3) {
        let inch = Amount::decimal(digits, places, Unit::Inch).unwrap();
        let mm = in_unit(inch, AmountFormat::Decimal { unit: Unit::Millimetre, places: 5 }).unwrap();
        prop_assert!(mm.is_exact());
        let mm = parse_amount(&mm.to_string(), None, Dimension::Length).unwrap();
        let back = in_unit(mm, AmountFormat::Decimal { unit: Unit::Inch, places }).unwrap();
        prop_assert!(back.is_exact());
        prop_assert_eq!(back.to_string(), inch.to_string());
    }

    #[test]
    fn conversions_never_panic(amount in any_amount(), unit in any_unit(), places in 0_u8..12) {
        let _ = in_unit(amount, AmountFormat::Decimal { unit, places });
        let _ = in_unit(amount, AmountFormat::Divisions { denominator: u16::from(places) * 8 });
    }

    #[test]
    fn differences_are_symmetric(
        a in reading_of(any_length),
        b in reading_of(any_length),
        tool in prop::option::of(prop::sample::select(&Tool::USUAL[..])),
    ) {
        let (a, b) = (Taken::new(&a, tool.as_ref()), Taken::new(&b, tool.as_ref()));
        let mirrored = match distinguishable(b, a) {
            ReadingDifference::Less => ReadingDifference::Greater,
            ReadingDifference::Greater => ReadingDifference::Less,
            other => other,
        };
        prop_assert_eq!(distinguishable(a, b), mirrored);
    }

    /// Twice as uncertain a repetition never tells apart what was the same before.
    #[test]
    fn more_scatter_tells_less(x in 0_i64..400, y in 0_i64..400, scatter in 0.05_f64..1.0) {
        let read = |n| Reading::Value(Amount::decimal(n, 2, Unit::Millimetre).unwrap());
        let (a, b) = (read(x), read(y));
        let with = |reading, mm| Taken {
            repeatability: Some(Length::new::<millimeter>(mm)),
            ..Taken::new(reading, Some(&Tool::RULE_HALF_MM))
        };
        if distinguishable(with(&a, scatter), with(&b, scatter)) == ReadingDifference::Same {
            let doubled = distinguishable(with(&a, 2.0 * scatter), with(&b, 2.0 * scatter));
            prop_assert_eq!(doubled, ReadingDifference::Same);
        }
    }
}
