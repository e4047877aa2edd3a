//! Words of the calculator's options into quantities.

use fallaway::advice::strings::usual_construction;
use fallaway::measure::{Dimension, Length, Reading, Taken, Tool, parse_amount, parse_reading};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::neck::ReliefWay;
use fallaway::mechanics::pitch::{self, Note};
use fallaway::mechanics::screws::{Screw, Thread, TurnDirection};
use fallaway::mechanics::string_line::GapPlace;
use fallaway::mechanics::strings::{Construction, Layer, steel_density};
use fallaway::mechanics::units::as_mm;
use fallaway::mechanics::uom::si::f64::{Frequency, LinearMassDensity};
use fallaway::mechanics::uom::si::frequency::hertz;
use fallaway::mechanics::uom::si::linear_mass_density::kilogram_per_meter;
use fallaway::record::spec::StringConstruction;
use fallaway_text::{Computed, List, Phrase, errors, names};

use super::super::answer::Reply;
use super::numbers::both;
use crate::cli::calc::{MakeArgs, TurnArgs};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::parse::minus;
use crate::voice;

pub use super::super::given::*;

/// What stands where something is needed and nothing was given.
pub fn missing(option: &str, example: &str) -> Error {
    Error::Usage(say::missing(option, example))
}

/// The same of what is given string by string; the example has the highest string first.
pub fn missing_each(option: &str, example: &str) -> Error {
    missing(option, &voice::example(example))
}

/// A word that is not one of a few.
pub fn not_among(option: &str, word: &str, accepted: &str) -> Error {
    wrong(option, say::not_among(word, accepted))
}

/// Refuses a number that is not within bounds.
pub fn within(option: &str, value: f64, low: i64, high: i64) -> Outcome {
    if (low as f64..=high as f64).contains(&value) {
        return Ok(());
    }
    Err(wrong(option, say::outside(names::computed(Computed::exact(value)), low, high)))
}

/// A tool, if one was named.
pub fn tool(option: &str, words: &[String]) -> Outcome<Option<Tool>> {
    if words.is_empty() {
        return Ok(None);
    }
    let named = words.join(" ").parse();
    named.map(Some).map_err(|error| wrong(option, errors::name(&error).without_field()))
}

/// What a reading says, with its standard uncertainty.
pub fn estimate(
    option: &str,
    reading: &Reading,
    tool: Option<&Tool>,
) -> Outcome<Uncertain<Length>> {
    let (value, uncertainty) =
        Taken::new(reading, tool).length().ok_or_else(|| wrong(option, say::bound_alone()))?;
    Ok(Uncertain::new(value, uncertainty)?)
}

/// A reading with its standard uncertainty.
pub fn reading(option: &str, words: &[String], tool: Option<&Tool>) -> Outcome<Uncertain<Length>> {
    let reading = parse_reading(&words.join(" "), tool, Dimension::Length)
        .map_err(|error| wrong(option, errors::reading(&error)))?;
    estimate(option, &reading, tool)
}

/// Readings with their standard uncertainties.
pub fn readings(
    option: &str,
    words: &[String],
    tool: Option<&Tool>,
) -> Outcome<Vec<Uncertain<Length>>> {
    split(words, "").iter().map(|one| reading(option, std::slice::from_ref(one), tool)).collect()
}

/// A plain number.
pub fn number(option: &str, text: &str) -> Outcome<f64> {
    let plain = minus::plain(text).replace(',', ".");
    match plain.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => Err(wrong(option, say::not_number(text))),
    }
}

/// Turns as a hand says them, "3/8", "1 1/4", "0.5".
pub fn turns(option: &str, words: &[String]) -> Outcome<f64> {
    let text = minus::plain(&words.join(" "));
    let text = text.trim();
    let (sign, text) = text.strip_prefix('-').map_or((1.0, text), |rest| (-1.0, rest));
    let mut sum = 0.0;
    for part in text.split_whitespace() {
        if ["turn", "turns"].contains(&part) {
            continue;
        }
        sum += match part.split_once('/') {
            Some((top, bottom)) => {
                let bottom = number(option, bottom)?;
                if bottom == 0.0 {
                    return Err(wrong(option, say::divides_by_zero(part)));
                }
                number(option, top)? / bottom
            }
            None => number(option, part)?,
        };
    }
    if text.is_empty() { Err(wrong(option, say::turns_needed())) } else { Ok(sign * sum) }
}

/// A note or a frequency.
#[derive(Debug, Clone, Copy)]
pub struct Sound {
    /// The note, if it was named.
    pub note: Option<Note>,
    /// The frequency.
    pub hz: f64,
}

impl Sound {
    /// The frequency.
    pub fn frequency(self) -> Frequency {
        Frequency::new::<hertz>(self.hz)
    }

    /// As it is shown.
    pub fn name(self) -> Phrase {
        let hz = Computed::hertz(self.hz).places(2);
        match self.note {
            Some(note) => say::sound(names::note(note), hz),
            None => names::computed(hz),
        }
    }
}

/// A note or a frequency, at a reference pitch.
pub fn sound(option: &str, words: &[String], a4: Frequency) -> Outcome<Sound> {
    let text = words.join(" ");
    if text.trim().starts_with(|c: char| c.is_ascii_digit()) {
        let hz = amount(option, &text, Dimension::Frequency)?.number();
        return Ok(Sound { note: None, hz });
    }
    let note: Note =
        text.trim().parse().map_err(|error| wrong(option, errors::note(&error).without_field()))?;
    Ok(Sound { note: Some(note), hz: pitch::frequency(note, a4)?.get::<hertz>() })
}

/// Notes or frequencies.
pub fn sounds(option: &str, words: &[String], a4: Frequency) -> Outcome<Vec<Sound>> {
    split_sounds(words).iter().map(|one| sound(option, std::slice::from_ref(one), a4)).collect()
}

/// "Hz" belongs to the number before it.
fn split_sounds(words: &[String]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for word in words.join(" ").split_whitespace() {
        match found.last_mut() {
            Some(last) if word.eq_ignore_ascii_case("hz") => last.push_str(" Hz"),
            _ => found.push(word.to_owned()),
        }
    }
    found
}

/// A frequency such as the reference pitch.
pub fn frequency(option: &str, words: &[String]) -> Outcome<Frequency> {
    let amount = amount(option, &words.join(" "), Dimension::Frequency)?;
    Ok(Frequency::new::<hertz>(amount.number()))
}

/// A thread by its name or its pitch, if one was given.
pub fn thread(option: &str, words: &[String]) -> Outcome<Option<Thread>> {
    if words.is_empty() {
        return Ok(None);
    }
    let text = words.join(" ");
    match Thread::named(&text) {
        Ok(thread) => Ok(Some(thread)),
        Err(unknown) => match parse_amount(&text, None, Dimension::Length) {
            Ok(pitch) => {
                let pitch = pitch.length().ok_or_else(|| wrong(option, say::pitch_length()))?;
                Ok(Some(Thread::own(pitch)?))
            }
            Err(_) => Err(wrong(
                option,
                say::not_thread(&text, errors::formula(&unknown).without_field()),
            )),
        },
    }
}

/// A screw as given.
pub fn screw(args: &TurnArgs) -> Outcome<Screw> {
    let raises = match args.clockwise.as_deref() {
        None => None,
        Some("raises" | "more" | "up") => Some(TurnDirection::Clockwise),
        Some("lowers" | "less" | "down") => Some(TurnDirection::Anticlockwise),
        Some(other) => {
            return Err(not_among("clockwise", other, "raises, lowers"));
        }
    };
    Ok(Screw { thread: thread("thread", &args.thread)?, raises })
}

/// A way of reading, "1/24": stopped at 1, over 24.
pub fn way(option: &str, word: &str) -> Outcome<GapPlace> {
    let parts = word.split_once('/').and_then(|(m, j)| Some((m.parse().ok()?, j.parse().ok()?)));
    match parts {
        Some((stopped, over)) if stopped < over => Ok(GapPlace::new(stopped, over)),
        _ => Err(wrong(option, say::not_way(word))),
    }
}

/// How relief is read.
pub fn relief_way(at: Option<usize>, frets: usize) -> ReliefWay {
    at.map_or(ReliefWay::largest(frets), |fret| ReliefWay::at_fret(fret, frets))
}

/// How a string is made, if it was said.
pub fn make(args: &MakeArgs, a4: Frequency, answer: &mut Reply) -> Outcome<Option<Construction>> {
    if !args.unit_weight.is_empty() {
        return unit_weight("unit-weight", &args.unit_weight.join(" ")).map(Some);
    }
    if !args.pack_tension.is_empty() {
        let note = [args.pack_note.clone().unwrap_or_default()];
        return Ok(Some(Construction::PackTension {
            tension: force("pack-tension", &args.pack_tension)?,
            frequency: sound("pack-note", &note, a4)?.frequency(),
            scale: length("pack-scale", &args.pack_scale)?,
        }));
    }
    if !args.core.is_empty() {
        let layers = lengths("wraps", &args.wraps)?;
        return Ok(Some(Construction::RoundWound {
            core: length("core", &args.core)?,
            core_density: steel_density(),
            layers: layers
                .iter()
                .map(|wire| Layer { wire: *wire, density: steel_density() })
                .collect(),
        }));
    }
    let Some(diameter) = length_if("gauge", &args.gauge)? else { return Ok(None) };
    let said = (args.plain || args.wound).then_some(args.plain);
    of_gauges("plain", &[Gauge { diameter, said, before: None }], answer)
        .map(|made| made.into_iter().next())
}

/// The gauge of a steel string, with what else is known of it.
#[derive(Debug, Clone, Copy)]
pub struct Gauge {
    /// Over everything.
    pub diameter: Length,
    /// Whether it is plain, if somebody said so.
    pub said: Option<bool>,
    /// How the string that it replaces is made.
    pub before: Option<StringConstruction>,
}

/// Steel strings of which only the gauges are known: plain or wound as said, else as usual for the gauge, and the
/// answer says so.
///
/// # Errors
/// For a gauge that is made both ways, and nobody says which.
pub fn of_gauges(option: &str, gauges: &[Gauge], answer: &mut Reply) -> Outcome<Vec<Construction>> {
    let (mut plain, mut wound) = (Vec::new(), Vec::new());
    let made = gauges.iter().map(|&Gauge { diameter, said, before }| {
        let is_plain = match (said, usual_construction(as_mm(diameter), before)) {
            (Some(said), _) => said,
            (None, Some(usual)) => {
                let is_plain = usual == StringConstruction::Plain;
                if before != Some(usual) {
                    let of_kind = if is_plain { &mut plain } else { &mut wound };
                    of_kind.push(both(diameter));
                }
                is_plain
            }
            (None, None) => return Err(wrong(option, say::plain_or_wound(both(diameter)))),
        };
        Ok(if is_plain {
            Construction::Plain { diameter, density: steel_density() }
        } else {
            Construction::WoundGauge { diameter }
        })
    });
    let made = made.collect::<Outcome<Vec<Construction>>>()?;
    if !plain.is_empty() {
        answer.assumed(say::assumed_plain(List::comma(plain)));
    }
    if !wound.is_empty() {
        answer.assumed(say::assumed_wound(List::comma(wound)));
    }
    Ok(made)
}

/// "2.215e-5 lb/in", "5.47 g/m". A pound is 0.45359237 kg and an inch 0.0254 m exactly (NIST
/// Special Publication 811, appendix B.8).
fn unit_weight(option: &str, text: &str) -> Outcome<Construction> {
    let plain = text.trim();
    let (number_text, factor) = if let Some(number) = plain.strip_suffix("lb/in") {
        (number, 0.453_592_37 / 0.0254)
    } else if let Some(number) = plain.strip_suffix("kg/m") {
        (number, 1.0)
    } else if let Some(number) = plain.strip_suffix("g/m").or(plain.strip_suffix("mg/mm")) {
        (number, 1e-3)
    } else {
        return Err(wrong(option, say::not_mass(text)));
    };
    let value = number(option, number_text)? * factor;
    Ok(Construction::UnitWeight(LinearMassDensity::new::<kilogram_per_meter>(value)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        text.split(' ').map(str::to_owned).collect()
    }

    #[test]
    fn one_unit_serves_the_numbers_before_it() {
        let read = |text| -> Vec<f64> {
            lengths("gap", &words(text))
                .unwrap()
                .into_iter()
                .map(|l| (as_mm(l) * 1e6).round() / 1e6)
                .collect()
        };
        assert_eq!(read("1.6 1.8 2 mm"), [1.6, 1.8, 2.0]);
        assert_eq!(read("1.6 1.8 2mm"), [1.6, 1.8, 2.0]);
        assert_eq!(read("4/64 5/64"), [1.5875, 1.984_375]);
        assert_eq!(read("34 in 33 in"), [863.6, 838.2]);
        assert_eq!(read("0 0 0.1 mm"), [0.0, 0.0, 0.1]);
        assert_eq!(read("-0.2 0 mm"), [-0.2, 0.0]);
        assert!(lengths("gap", &words("1 2 3")).is_err());
        assert!(lengths("gap", &words("1 2 kg")).is_err());
    }

    #[test]
    fn turns_as_a_hand_says_them() {
        for (text, value) in [("3/8", 0.375), ("1 1/4", 1.25), ("0.5", 0.5), ("-1/8 turn", -0.125)]
        {
            assert!((turns("turns", &words(text)).unwrap() - value).abs() < 1e-12, "{text}");
        }
        assert!(turns("turns", &words("1/0")).is_err());
        assert!(turns("turns", &words("many")).is_err());
    }
}
