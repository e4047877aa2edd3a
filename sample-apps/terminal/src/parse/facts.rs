//! Facts of an instrument, as `fallaway set` takes and `fallaway show` gives them.

use std::str::FromStr;

use fallaway::measure::{Amount, Note, StringPlace};
use fallaway::record::spec::{
    Fact, FretsSpec, InstrumentSpec, ScrewPlace, ScrewSpec, SpecField, StringConstruction,
    StringSpec,
};
use fallaway_text::facts::called;
use fallaway_text::{List, Phrase, errors};

use super::fact_values::{
    self as values, amounts, choice, clockwise, clockwise_shown, each, length, number,
};
use super::places;
use crate::messages::{CATALOGUE, parse as say};
use crate::voice;

/// A fact, or a part of one, that can be set by itself.
pub struct FactRow {
    /// Its word.
    pub word: &'static str,
    /// An example of a value, the highest string first.
    example: &'static str,
    /// Which fact.
    pub fact: Fact,
    part: Part,
}

/// Reads a value; the instrument is known for facts of which only a part is named.
type Reader = fn(&str, &InstrumentSpec) -> Result<Vec<SpecField>, Phrase>;

enum Part {
    Whole(Reader),
    FretHeight,
    Gauge,
    Construction,
    Thread(ScrewPlace),
    Clockwise(ScrewPlace),
    Key(ScrewPlace),
}

const fn row(word: &'static str, example: &'static str, fact: Fact, part: Part) -> FactRow {
    FactRow { word, example, fact, part }
}

const fn screw(word: &'static str, example: &'static str, part: Part) -> FactRow {
    row(word, example, Fact::Screw, part)
}

/// A fact that is set as a whole, by the type of its value.
macro_rules! whole {
    ($word:literal, $example:literal, $Field:ident) => {
        row(
            $word,
            $example,
            Fact::$Field,
            Part::Whole(|value, spec| {
                Ok(vec![SpecField::$Field(values::ReadFact::read(value, Fact::$Field, spec)?)])
            }),
        )
    };
}

/// Every fact that can be set. What needs more than its name is explained in `facts.ftl`.
pub static FACTS: &[FactRow] = &[
    whole!("name", "blue five", Name),
    whole!("about", "bought used, neck once reset", About),
    whole!("family", "bass", Family),
    whole!("courses", "1 1 1 1 1", Courses),
    whole!("scale", "34 in", Scale),
    row("tuning", "G2 D2 A1 E1 B0", Fact::Tuning, Part::Whole(tuning)),
    row("gauges", "0.045 0.065 0.085 0.105 0.130 in", Fact::Strings, Part::Gauge),
    row("made", "round-wound", Fact::Strings, Part::Construction),
    row("frets", "24", Fact::Frets, Part::Whole(frets)),
    row("fret-height", "1.2 mm", Fact::Frets, Part::FretHeight),
    whole!("joint", "17", JointFret),
    whole!("radius", "12 in", Board),
    whole!("nut", "slotted", Nut),
    whole!("nut-spread", "37 mm", NutSpread),
    whole!("bridge-spread", "72 mm", BridgeSpread),
    whole!("bridge", "own 2", Bridge),
    screw("saddle-thread", "M3", Part::Thread(ScrewPlace::SaddleHeight)),
    screw("intonation-thread", "M3", Part::Thread(ScrewPlace::SaddlePosition)),
    screw("post-thread", "M8", Part::Thread(ScrewPlace::BridgePost)),
    screw("claw-thread", "1.8 mm", Part::Thread(ScrewPlace::SpringClaw)),
    screw("pickup-thread", "M3", Part::Thread(ScrewPlace::Pickup)),
    whole!("rod", "one-way head", Rod),
    screw("rod-key", "5 mm hex", Part::Key(ScrewPlace::Rod)),
    screw("rod-clockwise", "less", Part::Clockwise(ScrewPlace::Rod)),
    screw("saddle-clockwise", "more", Part::Clockwise(ScrewPlace::SaddleHeight)),
    screw("intonation-clockwise", "more", Part::Clockwise(ScrewPlace::SaddlePosition)),
    screw("post-clockwise", "less", Part::Clockwise(ScrewPlace::BridgePost)),
    screw("claw-clockwise", "more", Part::Clockwise(ScrewPlace::SpringClaw)),
    whole!("neck", "bolt-on", NeckJoint),
    whole!("pickups", "2", Pickups),
    whole!("springs", "3", Springs),
    whole!("hand", "right", Handedness),
    whole!("stringing", "usual", Stringing),
    whole!("a4", "440 Hz", A4),
    whole!("headless", "no", Headless),
    whole!("trees", "1,2", Trees),
];

/// The theme in which facts are explained.
pub const THEME: &str = "facts";

impl FactRow {
    /// What the fact is, in the voice of this run: its explanation, else its name.
    pub fn meaning(&self) -> String {
        let id = self.word.replace('-', "_");
        let explained = CATALOGUE.text(voice::get().language, THEME, &id);
        explained.unwrap_or_else(|| voice::say(&called(self.fact)))
    }

    /// An example of a value; of what is set string by string, in the person's order.
    pub fn example(&self) -> String {
        match self.fact {
            Fact::Tuning | Fact::Strings => voice::example(self.example),
            _ => self.example.to_owned(),
        }
    }

    /// An example for this instrument: what is set for each of its strings, if that is known.
    fn example_for(&self, spec: &InstrumentSpec) -> String {
        let each = matches!(self.part, Part::Gauge) || self.fact == Fact::Tuning;
        let set = each.then(|| self.shown(spec, &spec.fields(), voice::in_order)).flatten();
        set.filter(|set| !set.contains('-')).unwrap_or_else(|| self.example())
    }

    fn read(&self, value: &str, spec: &InstrumentSpec) -> Result<Vec<SpecField>, Phrase> {
        let screw = |at: &ScrewPlace, set: &dyn Fn(&mut ScrewSpec)| {
            let mut screw = spec.screws.get(at).cloned().unwrap_or_default();
            set(&mut screw);
            Ok(vec![SpecField::Screw(*at, screw)])
        };
        match &self.part {
            Part::Whole(read) => read(value, spec),
            Part::FretHeight => {
                let frets = spec.frets.ok_or_else(say::frets_first)?;
                Ok(vec![SpecField::Frets(FretsSpec { height: Some(length(value)?), ..frets })])
            }
            Part::Gauge => gauges(value, spec),
            Part::Construction => made(value, spec),
            Part::Thread(at) => {
                let thread = values::thread(value)?;
                screw(at, &|screw| screw.thread = Some(thread.clone()))
            }
            Part::Clockwise(at) => {
                let way = clockwise(value)?;
                screw(at, &|screw| screw.clockwise = Some(way))
            }
            Part::Key(at) => screw(at, &|screw| screw.key = Some(value.to_owned())),
        }
    }

    /// The fact in the words that set it; `None` if it is not known.
    fn shown(
        &self,
        spec: &InstrumentSpec,
        fields: &[SpecField],
        order: fn(Vec<String>) -> Vec<String>,
    ) -> Option<String> {
        let screw = |at: &ScrewPlace| spec.screws.get(at);
        let strings = |one: fn(&StringSpec) -> Option<String>| {
            spec.strings.values().map(|s| one(s).unwrap_or_else(|| "-".to_owned())).collect()
        };
        let shown: Vec<String> = match &self.part {
            Part::Whole(_) => {
                let fields = fields.iter().filter(|field| field.fact() == self.fact);
                fields.map(|field| values::shown(field.value())).collect()
            }
            Part::FretHeight => vec![spec.frets?.height?.to_string()],
            Part::Gauge => strings(|string| Some(string.gauge?.to_string())),
            Part::Construction => {
                let mut made = strings(|string| Some(string.construction?.to_string()));
                if made.iter().all(|one| Some(one) == made.first()) {
                    made.truncate(1);
                }
                made
            }
            Part::Thread(at) => {
                let thread = screw(at)?.thread.clone()?;
                vec![thread.designation.or_else(|| Some(thread.pitch?.to_string()))?]
            }
            Part::Clockwise(at) => vec![clockwise_shown(screw(at)?.clockwise?)],
            Part::Key(at) => vec![screw(at)?.key.clone()?],
        };
        Some(order(shown).join(" ")).filter(|shown| !shown.is_empty())
    }

    /// What a field of the fact is without this part; `None` if nothing is left.
    fn less(&self, field: &SpecField) -> Option<SpecField> {
        let screw = |place: ScrewPlace, screw: ScrewSpec| {
            (screw != ScrewSpec::default()).then_some(SpecField::Screw(place, screw))
        };
        let string = |place: StringPlace, string: StringSpec| {
            (string != StringSpec::default()).then_some(SpecField::Strings(place, string))
        };
        match (&self.part, field.clone()) {
            (Part::FretHeight, SpecField::Frets(frets)) => {
                Some(SpecField::Frets(FretsSpec { height: None, ..frets }))
            }
            (Part::Gauge, SpecField::Strings(at, StringSpec { construction, .. })) => {
                string(at, StringSpec { construction, ..StringSpec::default() })
            }
            (Part::Construction, SpecField::Strings(at, one)) => {
                string(at, StringSpec { construction: None, ..one })
            }
            (Part::Thread(place), SpecField::Screw(at, one)) if at == *place => {
                screw(at, ScrewSpec { thread: None, ..one })
            }
            (Part::Clockwise(place), SpecField::Screw(at, one)) if at == *place => {
                screw(at, ScrewSpec { clockwise: None, ..one })
            }
            (Part::Key(place), SpecField::Screw(at, one)) if at == *place => {
                screw(at, ScrewSpec { key: None, ..one })
            }
            (Part::Whole(_), _) => None,
            (_, other) => Some(other),
        }
    }
}

/// Reads a fact; `spec` is what is known, for facts of which only a part is named.
///
/// # Errors
/// What is wrong, and what would be accepted.
pub fn fields(
    fact: &str,
    words: &[String],
    spec: &InstrumentSpec,
) -> Result<Vec<SpecField>, Phrase> {
    let Some(row) = FACTS.iter().find(|row| row.word == fact) else {
        let known = FACTS.iter().map(|row| Phrase::written(row.word));
        return Err(say::not_fact(fact, List::comma(known)));
    };
    let value = words.join(" ");
    let value = value.trim();
    let found = if value.is_empty() { Err(say::no_value()) } else { row.read(value, spec) };
    found.map_err(|why| say::fact_wrong(fact, why, row.meaning(), row.example_for(spec)))
}

/// Every fact that is known, by its word and in the words that set it, in the person's order of strings.
pub fn shown(spec: &InstrumentSpec) -> Vec<(String, String)> {
    let fields = spec.fields();
    let shown =
        |row: &FactRow| Some((row.word.to_owned(), row.shown(spec, &fields, voice::in_order)?));
    FACTS.iter().filter_map(shown).collect()
}

/// What takes a fact back.
#[derive(Debug, Clone, PartialEq)]
pub enum Without {
    /// Nothing of it is left, by its key in the record.
    Fact(String),
    /// What is left without a part of it.
    Part(SpecField),
}

/// Takes a fact back; of one that is a part of another, only that part.
///
/// # Errors
/// The fact is not known, or not set.
pub fn without(fact: &str, spec: &InstrumentSpec) -> Result<Vec<Without>, Phrase> {
    let fields = spec.fields();
    let row = FACTS.iter().find(|row| row.word == fact);
    let Some(row) = row.filter(|row| row.shown(spec, &fields, |strings| strings).is_some()) else {
        let set = shown(spec).into_iter().map(|(name, _)| Phrase::written(name));
        return Err(say::not_set(fact, List::comma(set)));
    };
    let edit = |field: &SpecField| match row.less(field) {
        None => Some(Without::Fact(field.key())),
        Some(less) => (less != *field).then_some(Without::Part(less)),
    };
    Ok(fields.iter().filter(|field| field.fact() == row.fact).filter_map(edit).collect())
}

fn tuning(value: &str, spec: &InstrumentSpec) -> Result<Vec<SpecField>, Phrase> {
    let notes = each(value, spec, |word| {
        Note::from_str(word).map_err(|error| errors::note(&error).without_field())
    })?;
    Ok(notes.into_iter().map(|(place, note)| SpecField::Tuning(place, note)).collect())
}

fn frets(value: &str, spec: &InstrumentSpec) -> Result<Vec<SpecField>, Phrase> {
    let height = spec.frets.and_then(|frets| frets.height);
    Ok(vec![SpecField::Frets(FretsSpec { count: number(value)?, height })])
}

fn made(value: &str, spec: &InstrumentSpec) -> Result<Vec<SpecField>, Phrase> {
    let made = if value.contains('=') || value.contains(' ') {
        each(value, spec, |word| choice(word, StringConstruction::KNOWN))?
    } else {
        let made = choice(value, StringConstruction::KNOWN)?;
        spec.places().into_iter().map(|place| (place, made)).collect()
    };
    let field = |(place, made)| {
        SpecField::Strings(place, StringSpec { construction: Some(made), ..string(spec, place) })
    };
    Ok(made.into_iter().map(field).collect())
}

fn string(spec: &InstrumentSpec, place: StringPlace) -> StringSpec {
    spec.strings.get(&place).cloned().unwrap_or_default()
}

fn gauges(value: &str, spec: &InstrumentSpec) -> Result<Vec<SpecField>, Phrase> {
    let field = |Gauged { place, gauge, made }| {
        // Another gauge is another string: what the pack of the old one said does not hold.
        let old = string(spec, place).construction;
        let construction = match made {
            None => old,
            Some(MadeAs::Plain) => Some(StringConstruction::Plain),
            // A wound string stays the kind of wound string that it was.
            Some(MadeAs::Wound) => old
                .filter(|made| *made != StringConstruction::Plain)
                .or(Some(StringConstruction::RoundWound)),
        };
        let fresh = StringSpec { gauge: Some(gauge), construction, ..StringSpec::default() };
        SpecField::Strings(place, fresh)
    };
    Ok(gauged(value, spec)?.into_iter().map(field).collect())
}

/// Whether a gauge was called plain (`.017p`) or wound (`.026w`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MadeAs {
    /// `p`
    Plain,
    /// `w`
    Wound,
}

/// A gauge as it was typed for a string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauged {
    /// The string.
    pub place: StringPlace,
    /// Its gauge.
    pub gauge: Amount,
    /// How it is made, if that was said.
    pub made: Option<MadeAs>,
}

/// Gauges for all strings in the person's order, or for one: `5=0.130 in`; each with how it is made where
/// that is said: `.017p .026w in`.
///
/// # Errors
/// For what is no gauge, or another number of them than there are strings.
pub fn gauged(value: &str, spec: &InstrumentSpec) -> Result<Vec<Gauged>, Phrase> {
    let mut made = Vec::new();
    let mut plain = Vec::new();
    for word in value.split_whitespace() {
        let ends = [('p', MadeAs::Plain), ('w', MadeAs::Wound)];
        let marked = ends.into_iter().find_map(|(end, made)| {
            let front = word.strip_suffix(end)?;
            front.ends_with(|c: char| c.is_ascii_digit()).then_some((front, made))
        });
        let (front, mark) = marked.map_or((word, None), |(front, made)| (front, Some(made)));
        if front.contains(|c: char| c.is_ascii_digit()) {
            made.push(mark);
        }
        plain.push(front);
    }
    let plain = plain.join(" ");
    if let Some((place, gauge)) = plain.split_once('=') {
        let made = made.first().copied().flatten();
        return Ok(vec![Gauged { place: places::string(place)?, gauge: length(gauge)?, made }]);
    }
    let all = spec.places();
    let gauges = amounts(&plain, all.len())?;
    // Two numbers of one gauge, `1 1/64`, leave no mark to go by.
    if made.len() != gauges.len() {
        made = vec![None; gauges.len()];
    }
    let typed = voice::in_order(all).into_iter().zip(gauges).zip(made);
    Ok(typed.map(|((place, gauge), made)| Gauged { place, gauge, made }).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn five() -> InstrumentSpec {
        InstrumentSpec { courses: vec![1; 5], ..InstrumentSpec::default() }
    }

    fn set(spec: &mut InstrumentSpec, fact: &str, value: &str) {
        for field in fields(fact, &[value.to_owned()], spec).unwrap() {
            field.check().unwrap();
            spec.set(field);
        }
    }

    #[test]
    fn every_example_is_accepted_and_shown() {
        let mut spec = five();
        for row in FACTS {
            set(&mut spec, row.word, row.example);
        }
        let shown = shown(&spec);
        for row in FACTS {
            let value = &shown.iter().find(|(name, _)| name == row.word).unwrap().1;
            let first = row.example.split(' ').next().unwrap();
            assert!(value.starts_with(first), "{}: {value}", row.word);
        }
        // A fact that the record knows and that cannot be set here is named.
        let set: Vec<Fact> = spec.fields().iter().map(SpecField::fact).collect();
        for fact in Fact::ALL {
            assert!(set.contains(fact), "parse/facts.rs has no row for {fact:?}");
        }
    }

    #[test]
    fn a_bridge_of_saddles_may_stand_on_posts_and_float() {
        let mut spec = five();
        for (value, shown_as) in [
            ("own 2 floating posts", "own 2 posts floating"),
            ("posts", "posts"),
            ("own 1", "own 1"),
        ] {
            set(&mut spec, "bridge", value);
            assert!(shown(&spec).contains(&("bridge".into(), shown_as.into())), "{value}");
        }
        set(&mut spec, "bridge", "own 2 floating posts");
        let bridge = spec.bridge.as_ref().unwrap();
        assert!(bridge.floating && bridge.posts == Some(true));
    }

    #[test]
    fn one_string_can_be_named() {
        let mut spec = five();
        set(&mut spec, "tuning", "G2 D2 A1 E1 B0");
        set(&mut spec, "tuning", "5=A0");
        assert_eq!(spec.tuning.get(&StringPlace::course(5).unwrap()).unwrap().to_string(), "A0");
        set(&mut spec, "gauges", "5=0.135 in");
        assert!(shown(&spec).contains(&("gauges".into(), "0.135 in".into())));
    }

    #[test]
    fn every_fact_that_is_set_can_be_taken_back() {
        let mut spec = five();
        for row in FACTS {
            set(&mut spec, row.word, row.example);
        }
        for (fact, _) in shown(&spec) {
            let mut less = spec.clone();
            for edit in without(&fact, &spec).unwrap() {
                match edit {
                    Without::Fact(key) => less.unset(&key),
                    Without::Part(field) => less.set(field),
                }
            }
            let still = shown(&less).into_iter().find(|(name, _)| *name == fact);
            assert!(still.is_none_or(|(_, value)| value.starts_with('-')), "{fact}");
        }
    }

    #[test]
    fn refusals_say_what_would_be_accepted() {
        let spec = five();
        let refused = |fact: &str, value: &str| {
            fields(fact, &[value.to_owned()], &spec).unwrap_err().to_string()
        };
        assert!(refused("colour", "blue").contains("scale"));
        assert!(refused("scale", "thirty-four").contains("fallaway set scale 34 in"));
        assert!(refused("tuning", "E1 A1").contains("2 given for 5 strings"));
        assert!(refused("rod", "three-way").contains("two-way"));
        assert!(refused("frets", "many").contains("24"));
        assert!(refused("saddle-thread", "M99").contains("#6-32"));
    }
}
