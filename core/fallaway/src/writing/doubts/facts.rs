//! Facts of the instrument: numbers outside what such instruments have, and orders that are the wrong
//! way round.

use fallaway_advice::strings::usual_construction;
use fallaway_measure::{Amount, InstrumentFamily, StringPlace, Unit, number_in};
use fallaway_record::spec::{Fact, ScaleLength, StringConstruction, StringSpec};
use fallaway_record::{InstrumentSpec, SpecField};
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, facts as text, names};

use super::amount;
use crate::writing::write_options::{Doubt, DoubtAbout, WhyDoubted};

/// From and to, with the unit.
type Usual = (f64, f64, Unit);

/// Scale lengths: a short bass to a long fanned one, a small guitar to a baritone; a small ukulele to a
/// long bass.
const fn scale(family: InstrumentFamily) -> Usual {
    match family {
        InstrumentFamily::Bass => (700.0, 970.0, Unit::Millimetre),
        InstrumentFamily::Guitar => (480.0, 780.0, Unit::Millimetre),
        InstrumentFamily::Other(_) => (300.0, 970.0, Unit::Millimetre),
    }
}

/// Diameters of strings.
const fn gauge(family: InstrumentFamily) -> Usual {
    match family {
        InstrumentFamily::Bass => (15.0, 200.0, Unit::Thou),
        InstrumentFamily::Guitar => (7.0, 90.0, Unit::Thou),
        InstrumentFamily::Other(_) => (7.0, 200.0, Unit::Thou),
    }
}

/// Notes of open strings, by their numbers: from the lowest to the highest.
const fn notes(family: InstrumentFamily) -> (u8, u8) {
    match family {
        InstrumentFamily::Bass => (16, 60),
        InstrumentFamily::Guitar => (28, 71),
        InstrumentFamily::Other(_) => (16, 83),
    }
}

/// What to ask about facts that were given together; `spec` has them already.
pub(crate) fn of_facts(spec: &InstrumentSpec, given: &[SpecField]) -> Vec<Doubt> {
    let family = spec.family.unwrap_or(InstrumentFamily::Other(0));
    let mut doubts: Vec<Doubt> =
        given.iter().filter_map(|field| out_of_range(spec, family, field)).collect();
    let about = |wanted: &[Fact]| given.iter().find(|field| wanted.contains(&field.fact()));
    let mut reversed = |field: &SpecField, reason: Phrase| {
        let about = DoubtAbout::Fact(field.clone());
        let given = text::value(field, spec);
        doubts.push(Doubt::new(about, given, reason, WhyDoubted::WrongOrder));
    };
    if let Some(field) = about(&[Fact::Tuning])
        && is_rising(spec, |place| spec.tuning.get(&place).map(|note| f64::from(note.number())))
    {
        reversed(field, say::notes_reversed());
    }
    if let Some(field) = about(&[Fact::Strings])
        && is_rising(spec, |place| {
            let gauge = spec.strings.get(&place)?.gauge?;
            number_in(gauge, Unit::Thou).map(|gauge| -gauge)
        })
    {
        reversed(field, say::gauges_reversed());
    }
    if let (Some(field), Some(ScaleLength::Fanned { bass, treble })) =
        (about(&[Fact::Scale]), &spec.scale)
        && bass.compare(*treble) == Some(std::cmp::Ordering::Less)
    {
        reversed(field, say::scale_reversed());
    }
    if let (Some(field), Some(nut), Some(bridge)) =
        (about(&[Fact::NutSpread, Fact::BridgeSpread]), spec.nut_spread, spec.bridge_spread)
        && nut.compare(bridge) == Some(std::cmp::Ordering::Greater)
    {
        reversed(field, say::spread_reversed());
    }
    doubts
}

/// A plain string as thick as wound ones are, or a wound one as thin as plain ones: somebody forgot to say
/// how the new one is made.
fn oddly_made(spec: &InstrumentSpec, field: &SpecField, string: &StringSpec) -> Option<Doubt> {
    let gauge = string.gauge?;
    let usual = usual_construction(number_in(gauge, Unit::Millimetre)?, string.construction);
    if string.construction.is_none() || usual == string.construction {
        return None;
    }
    let (given, name) = (names::amount(gauge), text::name(field, spec));
    let reason = match usual {
        Some(StringConstruction::Plain) => say::thin_for_wound(name, given.clone()),
        _ => say::thick_for_plain(name, given.clone()),
    };
    Some(Doubt::new(DoubtAbout::Fact(field.clone()), given, reason, WhyDoubted::Unusual))
}

fn out_of_range(
    spec: &InstrumentSpec,
    family: InstrumentFamily,
    field: &SpecField,
) -> Option<Doubt> {
    let doubt = |given: Phrase, low: Phrase, high: Phrase| {
        let reason = say::fact_unusual(text::name(field, spec), given.clone(), low, high);
        Doubt::new(DoubtAbout::Fact(field.clone()), given, reason, WhyDoubted::Unusual)
    };
    let among = |(low, high, unit): Usual, given: &[Amount]| {
        let is_out = |one: &&Amount| {
            number_in(**one, unit).is_some_and(|number| !(low..=high).contains(&number))
        };
        let odd = given.iter().find(is_out)?;
        let usual = (amount(low, unit)?, amount(high, unit)?);
        let (low, high) = (names::amount(usual.0), names::amount(usual.1));
        Some(Doubt { usual: Some(usual), ..doubt(names::amount(*odd), low, high) })
    };
    match field {
        SpecField::Scale(ScaleLength::Same(one)) => among(scale(family), &[*one]),
        SpecField::Scale(ScaleLength::Fanned { bass, treble }) => {
            among(scale(family), &[*bass, *treble])
        }
        SpecField::Scale(ScaleLength::Each(each)) => {
            let each: Vec<Amount> = each.iter().map(|(_, length)| *length).collect();
            among(scale(family), &each)
        }
        SpecField::Strings(_, string) => {
            among(gauge(family), &[string.gauge?]).or_else(|| oddly_made(spec, field, string))
        }
        SpecField::A4(a4) => among((410.0, 470.0, Unit::Hertz), &[*a4]),
        SpecField::Tuning(_, note) => {
            let (low, high) = notes(family);
            let end = |number| fallaway_measure::Note::new(number).map(names::note);
            let out = !(low..=high).contains(&note.number());
            let (low, high) = (end(low)?, end(high)?);
            out.then(|| doubt(names::note(*note), low, high))
        }
        // Of any other no usual range is known.
        _ => None,
    }
}

/// Whether what is known of three strings or more rises from the first string to the last at every
/// step, which counts the strings from the wrong side. A string that is tuned out of the order of its
/// neighbours on purpose does not.
fn is_rising(spec: &InstrumentSpec, of: impl Fn(StringPlace) -> Option<f64>) -> bool {
    let places = (1..=spec.course_count()).filter_map(|course| {
        let place = StringPlace::course(course).ok()?;
        let first = || spec.places().into_iter().find(|one| one.number() == course);
        of(place).or_else(|| of(first()?))
    });
    let known: Vec<f64> = places.collect();
    known.len() >= 3 && known.is_sorted_by(|before, after| before < after)
}
