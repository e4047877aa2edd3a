//! Facts of an instrument, as `fallaway set` takes and `fallaway show` gives them.

use std::fmt::Display;
use std::str::FromStr;

use fallaway::measure::{Amount, Dimension, Fret, Note, Place, Reading, parse_amount, parse_pass};
use fallaway::mechanics::screws::Thread as Standard;
use fallaway::record::spec::{
    Board, Bridge, Clockwise, Construction, Frets, Handedness, HeightBy, IntonationBy, JointFret,
    NeckJoint, NutKind, Rod, RodAccess, RodKind, Scale, Screw, ScrewPlace, Spec, SpecField,
    StringSpec, Stringing, Thread,
};

use fallaway_text::{List, Phrase};

use super::places::{self, Strings};
use crate::error::told;
use crate::messages::{CATALOGUE, parse as say};
use crate::voice;

/// Every fact that can be set: its word and an example. What it is stands in `facts.ftl`.
pub const FACTS: &[(&str, &str)] = &[
    ("name", "blue five"),
    ("about", "bought used, neck once reset"),
    ("scale", "34 in"),
    ("tuning", "G2 D2 A1 E1 B0"),
    ("gauges", "0.045 0.065 0.085 0.105 0.130 in"),
    ("made", "round-wound"),
    ("frets", "24"),
    ("fret-height", "1.2 mm"),
    ("joint", "17"),
    ("radius", "12 in"),
    ("nut", "slotted"),
    ("nut-spread", "37 mm"),
    ("bridge-spread", "72 mm"),
    ("bridge", "own 2"),
    ("saddle-thread", "M3"),
    ("intonation-thread", "M3"),
    ("post-thread", "M8"),
    ("pickup-thread", "M3"),
    ("rod", "one-way head"),
    ("rod-key", "5 mm hex"),
    ("rod-clockwise", "less"),
    ("saddle-clockwise", "more"),
    ("neck", "bolt-on"),
    ("pickups", "2"),
    ("hand", "right"),
    ("stringing", "usual"),
    ("a4", "440 Hz"),
    ("headless", "no"),
    ("trees", "1,2"),
];

/// The theme in which the facts are explained.
pub const THEME: &str = "facts";

/// What a fact is, in the voice of this run.
pub fn meaning(fact: &str) -> String {
    let id = fact.replace('-', "_");
    CATALOGUE.text(voice::get().language, THEME, &id).unwrap_or_default()
}

/// Reads a fact; `spec` is what is known, for facts of which only a part is named.
///
/// # Errors
/// What is wrong, and what would be accepted.
pub fn fields(fact: &str, words: &[String], spec: &Spec) -> Result<Vec<SpecField>, Phrase> {
    let Some((fact, example)) = FACTS.iter().find(|(name, _)| *name == fact) else {
        let known = FACTS.iter().map(|(name, _)| Phrase::written(*name));
        return Err(say::not_fact(fact, List::comma(known)));
    };
    let value = words.join(" ");
    let value = value.trim();
    let found = if value.is_empty() { Err(say::no_value()) } else { read(fact, value, spec) };
    found.map_err(|why| say::fact_wrong(fact, why, meaning(fact), example))
}

fn read(fact: &str, value: &str, spec: &Spec) -> Result<Vec<SpecField>, Phrase> {
    let screw = |place| spec.screws.get(&place).cloned().unwrap_or_default();
    let thread = |place| {
        let thread = Some(thread(value)?);
        Ok(vec![SpecField::Screw(place, Screw { thread, ..screw(place) })])
    };
    let clockwise = |place| {
        let clockwise = Some(match value {
            "more" | "up" => Clockwise::More,
            "less" | "down" => Clockwise::Less,
            other => return Err(say::not_this(other)),
        });
        Ok(vec![SpecField::Screw(place, Screw { clockwise, ..screw(place) })])
    };
    let one = |field| Ok(vec![field]);
    match fact {
        "name" => one(SpecField::Name(value.to_owned())),
        "about" => one(SpecField::About(value.to_owned())),
        "scale" => one(SpecField::Scale(match lengths(value)?.as_slice() {
            [one] => Scale::Same(*one),
            [bass, treble] => Scale::Fanned { bass: *bass, treble: *treble },
            other => return Err(say::lengths_given(other.len())),
        })),
        "tuning" => {
            let notes = each(value, spec, |word| Note::from_str(word).map_err(told))?;
            Ok(notes.into_iter().map(|(place, note)| SpecField::Tuning(place, note)).collect())
        }
        "gauges" => gauges(value, spec),
        "made" => {
            let made = if value.contains('=') || value.contains(' ') {
                each(value, spec, |word| choice(word, Construction::KNOWN))?
            } else {
                let made = choice(value, Construction::KNOWN)?;
                spec.places().into_iter().map(|place| (place, made)).collect()
            };
            Ok(made
                .into_iter()
                .map(|(place, made)| {
                    let construction = Some(made);
                    SpecField::Strings(place, StringSpec { construction, ..string(spec, place) })
                })
                .collect())
        }
        "frets" => {
            let height = spec.frets.and_then(|frets| frets.height);
            one(SpecField::Frets(Frets { count: number(value)?, height }))
        }
        "fret-height" => match spec.frets {
            Some(frets) => one(SpecField::Frets(Frets { height: Some(length(value)?), ..frets })),
            None => Err(say::frets_first()),
        },
        "joint" => {
            let fret = Fret::new(number(value)?).map_err(told)?;
            one(SpecField::JointFret(JointFret::usual(fret)))
        }
        "radius" if value == "flat" => one(SpecField::Board(Board::Flat)),
        "radius" => one(SpecField::Board(match lengths(value)?.as_slice() {
            [radius] => Board::Cylinder(*radius),
            [nut, last_fret] => Board::Compound { nut: *nut, last_fret: *last_fret },
            other => return Err(say::lengths_given(other.len())),
        })),
        "nut" => one(SpecField::Nut(choice(value, NutKind::KNOWN)?)),
        "nut-spread" => one(SpecField::NutSpread(length(value)?)),
        "bridge-spread" => one(SpecField::BridgeSpread(length(value)?)),
        "bridge" => one(SpecField::Bridge(bridge(value)?)),
        "saddle-thread" => thread(ScrewPlace::SaddleHeight),
        "intonation-thread" => thread(ScrewPlace::SaddlePosition),
        "post-thread" => thread(ScrewPlace::BridgePost),
        "pickup-thread" => thread(ScrewPlace::Pickup),
        "rod" => one(SpecField::Rod(rod(value)?)),
        "rod-key" => {
            let key = Some(value.to_owned());
            one(SpecField::Screw(ScrewPlace::Rod, Screw { key, ..screw(ScrewPlace::Rod) }))
        }
        "rod-clockwise" => clockwise(ScrewPlace::Rod),
        "saddle-clockwise" => clockwise(ScrewPlace::SaddleHeight),
        "neck" => one(SpecField::NeckJoint(choice(value, NeckJoint::KNOWN)?)),
        "pickups" => one(SpecField::Pickups(number(value)?)),
        "hand" => one(SpecField::Handedness(choice(value, Handedness::KNOWN)?)),
        "stringing" => one(SpecField::Stringing(choice(value, Stringing::KNOWN)?)),
        "a4" => {
            let a4 = parse_amount(value, None, Dimension::Frequency).map_err(told)?;
            one(SpecField::A4(a4))
        }
        "headless" => match value {
            "yes" => one(SpecField::Headless(true)),
            "no" => one(SpecField::Headless(false)),
            other => Err(say::not_this(other)),
        },
        "trees" => match places::strings(value)? {
            Some(Strings::These(places)) => one(SpecField::Trees(places)),
            Some(Strings::All) => one(SpecField::Trees(spec.places())),
            None => Err(say::not_strings(value)),
        },
        other => Err(say::not_this(other)),
    }
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
pub fn without(fact: &str, spec: &Spec) -> Result<Vec<Without>, Phrase> {
    let not_set = || {
        let set = shown(spec).into_iter().map(|(name, _)| Phrase::written(name));
        say::not_set(fact, List::comma(set))
    };
    if !shown(spec).iter().any(|(name, _)| name == fact) {
        return Err(not_set());
    }
    let screw = |place: ScrewPlace, clear: fn(&mut Screw)| {
        let mut screw = spec.screws.get(&place).cloned().unwrap_or_default();
        clear(&mut screw);
        let field = SpecField::Screw(place, screw.clone());
        vec![if screw == Screw::default() {
            Without::Fact(field.key())
        } else {
            Without::Part(field)
        }]
    };
    let strings = |clear: fn(&mut StringSpec)| {
        let cleared = spec.strings.iter().map(|(place, string)| {
            let mut string = string.clone();
            clear(&mut string);
            let field = SpecField::Strings(*place, string.clone());
            if string == StringSpec::default() {
                Without::Fact(field.key())
            } else {
                Without::Part(field)
            }
        });
        cleared.collect()
    };
    let keys = |begin: &str| -> Vec<Without> {
        let keys = spec.fields().into_iter().map(|field| field.key());
        keys.filter(|key| key.starts_with(begin)).map(Without::Fact).collect()
    };
    let thread: fn(&mut Screw) = |screw| screw.thread = None;
    let clockwise: fn(&mut Screw) = |screw| screw.clockwise = None;
    let edits = match fact {
        "tuning" => keys("tuning/"),
        "gauges" => strings(|string| {
            let construction = string.construction;
            *string = StringSpec { construction, ..StringSpec::default() };
        }),
        "made" => strings(|string| string.construction = None),
        "fret-height" => match spec.frets {
            Some(frets) => {
                vec![Without::Part(SpecField::Frets(Frets { height: None, ..frets }))]
            }
            None => Vec::new(),
        },
        "saddle-thread" => screw(ScrewPlace::SaddleHeight, thread),
        "intonation-thread" => screw(ScrewPlace::SaddlePosition, thread),
        "post-thread" => screw(ScrewPlace::BridgePost, thread),
        "pickup-thread" => screw(ScrewPlace::Pickup, thread),
        "rod-key" => screw(ScrewPlace::Rod, |screw| screw.key = None),
        "rod-clockwise" => screw(ScrewPlace::Rod, clockwise),
        "saddle-clockwise" => screw(ScrewPlace::SaddleHeight, clockwise),
        "joint" => keys("joint-fret"),
        "radius" => keys("board"),
        "neck" => keys("neck-joint"),
        "hand" => keys("handedness"),
        other => {
            let whole = spec.fields().into_iter().map(|field| field.key());
            whole.filter(|key| key == other).map(Without::Fact).collect()
        }
    };
    if edits.is_empty() { Err(not_set()) } else { Ok(edits) }
}

fn number(value: &str) -> Result<u8, Phrase> {
    value.parse().map_err(|_| say::not_whole(value))
}

fn length(value: &str) -> Result<Amount, Phrase> {
    parse_amount(value, None, Dimension::Length).map_err(told)
}

/// Up to two lengths: `34 in`, `35 in 33 in`, `35 33 in`.
fn lengths(value: &str) -> Result<Vec<Amount>, Phrase> {
    if let Ok(one) = parse_amount(value, None, Dimension::Length) {
        return Ok(vec![one]);
    }
    amounts(value, 2).or_else(|_| length(value).map(|one| vec![one]))
}

fn amounts(value: &str, count: usize) -> Result<Vec<Amount>, Phrase> {
    let read = parse_pass(value, None, Dimension::Length, count, None).map_err(told)?;
    read.into_iter()
        .map(|reading| match reading {
            Some(Reading::Value(amount)) => Ok(amount),
            _ => Err(say::not_lengths(value, count)),
        })
        .collect()
}

/// One value for each string, the highest first, or `5=A0` for some.
fn each<T>(
    value: &str,
    spec: &Spec,
    read: impl Fn(&str) -> Result<T, Phrase>,
) -> Result<Vec<(Place, T)>, Phrase> {
    let words: Vec<&str> = value.split_whitespace().collect();
    if words.iter().any(|word| word.contains('=')) {
        return words
            .into_iter()
            .map(|word| {
                let (place, value) =
                    word.split_once('=').ok_or_else(|| say::no_string_named(word))?;
                Ok((places::string(place)?, read(value)?))
            })
            .collect();
    }
    let all = spec.places();
    if all.len() != words.len() {
        return Err(say::count_of_strings(words.len(), all.len()));
    }
    all.into_iter().zip(words).map(|(place, word)| Ok((place, read(word)?))).collect()
}

fn string(spec: &Spec, place: Place) -> StringSpec {
    spec.strings.get(&place).cloned().unwrap_or_default()
}

fn gauges(value: &str, spec: &Spec) -> Result<Vec<SpecField>, Phrase> {
    let gauged = if let Some((place, gauge)) = value.split_once('=') {
        vec![(places::string(place)?, length(gauge)?)]
    } else {
        let all = spec.places();
        let gauges = amounts(value, all.len())?;
        all.into_iter().zip(gauges).collect()
    };
    Ok(gauged
        .into_iter()
        .map(|(place, gauge)| {
            // Another gauge is another string: what the pack of the old one said does not hold.
            let old = string(spec, place);
            let gauge = Some(gauge);
            let fresh =
                StringSpec { gauge, construction: old.construction, ..StringSpec::default() };
            SpecField::Strings(place, fresh)
        })
        .collect())
}

/// The member whose description begins with the word.
fn choice<T: Copy + Display>(word: &str, known: &[T]) -> Result<T, Phrase> {
    let wanted = word.to_lowercase();
    known
        .iter()
        .copied()
        .find(|member| {
            let shown = member.to_string();
            shown == wanted
                || shown.split([' ', '-']).next() == Some(&wanted)
                || shown.starts_with(&format!("{wanted} "))
        })
        .ok_or_else(|| say::not_this(word))
}

fn thread(value: &str) -> Result<Thread, Phrase> {
    // A designation begins with its system's sign; anything else has to be a pitch.
    if value.starts_with(['M', 'm', '#']) {
        let known = Standard::named(&value.replace(' ', "")).map_err(told)?;
        return Ok(Thread { designation: known.designation().map(str::to_owned), pitch: None });
    }
    Ok(Thread { designation: None, pitch: Some(length(value)?) })
}

fn bridge(value: &str) -> Result<Bridge, Phrase> {
    let mut words: Vec<&str> = value.split_whitespace().collect();
    let before = words.len();
    words.retain(|word| *word != "floating");
    let floating = words.len() < before;
    let height = match words.as_slice() {
        ["own"] => HeightBy::OwnSaddles { screws: 2 },
        ["own", screws] => HeightBy::OwnSaddles { screws: number(screws)? },
        ["posts"] => HeightBy::TwoPosts,
        ["fixed"] => HeightBy::Fixed,
        ["shared", groups @ ..] if !groups.is_empty() => HeightBy::SharedSaddles(
            groups
                .iter()
                .map(|group| match places::strings(group)? {
                    Some(Strings::These(places)) => Ok(places),
                    _ => Err(say::not_strings(group)),
                })
                .collect::<Result<_, Phrase>>()?,
        ),
        _ => return Err(say::not_this(value)),
    };
    let intonation = match &height {
        HeightBy::SharedSaddles(_) => Some(IntonationBy::SharedSaddles),
        HeightBy::Fixed => Some(IntonationBy::Fixed),
        _ => Some(IntonationBy::OwnSaddles),
    };
    Ok(Bridge { height, floating, intonation, sideways: None })
}

fn rod(value: &str) -> Result<Rod, Phrase> {
    let (kind, access) = match value.split_once(' ') {
        Some((kind, access)) => (kind, Some(access)),
        None => (value, None),
    };
    let access = match access {
        None => None,
        Some("head" | "at the head") => Some(RodAccess::Head),
        Some("heel" | "at the heel") => Some(RodAccess::Heel),
        Some(other) => return Err(say::not_this(other)),
    };
    Ok(Rod { kind: choice(kind, RodKind::KNOWN)?, access })
}

/// Every fact that is known, by its word and in the words that set it.
pub fn shown(spec: &Spec) -> Vec<(String, String)> {
    let mut facts: Vec<(String, String)> = Vec::new();
    let mut add = |fact: &str, value: Option<String>| {
        facts.extend(value.filter(|v| !v.is_empty()).map(|value| (fact.to_owned(), value)));
    };
    let screw = |place: ScrewPlace| spec.screws.get(&place);
    let thread = |place| {
        let thread = screw(place)?.thread.as_ref()?;
        thread.designation.clone().or_else(|| thread.pitch.map(|pitch| pitch.to_string()))
    };
    let clockwise = |place| {
        screw(place)?.clockwise.map(|way| match way {
            Clockwise::More => "more".to_owned(),
            Clockwise::Less => "less".to_owned(),
            other @ Clockwise::Other(_) => other.to_string(),
        })
    };
    let join = |values: Vec<String>| (!values.is_empty()).then(|| values.join(" "));
    add("name", spec.name.clone());
    add("about", spec.about.clone());
    add("scale", spec.scale.as_ref().map(scale));
    add("tuning", join(spec.tuning.values().map(Note::to_string).collect()));
    add(
        "gauges",
        join(
            spec.strings.values().map(|s| s.gauge.map_or("-".into(), |g| g.to_string())).collect(),
        ),
    );
    let made: Vec<String> = spec
        .strings
        .values()
        .map(|s| s.construction.map_or("-".to_owned(), |c| c.to_string()))
        .collect();
    let same = made.iter().all(|m| Some(m) == made.first());
    add("made", if same { made.first().cloned() } else { join(made) });
    add("frets", spec.frets.map(|frets| frets.count.to_string()));
    add("fret-height", spec.frets.and_then(|frets| frets.height).map(|h| h.to_string()));
    add("joint", spec.joint_fret.map(|j| format!("{} ± {}", j.fret, j.uncertain_by)));
    add(
        "radius",
        spec.board.map(|board| match board {
            Board::Flat => "flat".into(),
            Board::Cylinder(radius) => radius.to_string(),
            Board::Compound { nut, last_fret } => format!("{nut} {last_fret}"),
        }),
    );
    add("nut", spec.nut.map(|nut| nut.to_string()));
    add("nut-spread", spec.nut_spread.map(|a| a.to_string()));
    add("bridge-spread", spec.bridge_spread.map(|a| a.to_string()));
    add("bridge", spec.bridge.as_ref().map(bridge_shown));
    add("saddle-thread", thread(ScrewPlace::SaddleHeight));
    add("intonation-thread", thread(ScrewPlace::SaddlePosition));
    add("post-thread", thread(ScrewPlace::BridgePost));
    add("pickup-thread", thread(ScrewPlace::Pickup));
    add(
        "rod",
        spec.rod.map(|rod| match rod.access {
            Some(access) => format!("{}, {access}", rod.kind),
            None => rod.kind.to_string(),
        }),
    );
    add("rod-key", screw(ScrewPlace::Rod).and_then(|rod| rod.key.clone()));
    add("rod-clockwise", clockwise(ScrewPlace::Rod));
    add("saddle-clockwise", clockwise(ScrewPlace::SaddleHeight));
    add("neck", spec.neck_joint.map(|neck| neck.to_string()));
    add("pickups", spec.pickups.map(|count| count.to_string()));
    add("hand", spec.handedness.map(|hand| hand.to_string()));
    add("stringing", spec.stringing.map(|stringing| stringing.to_string()));
    add("a4", spec.a4.map(|a4| a4.to_string()));
    add("headless", spec.headless.map(|yes| if yes { "yes".into() } else { "no".into() }));
    add(
        "trees",
        spec.trees.as_ref().map(|t| t.iter().map(Place::to_string).collect::<Vec<_>>().join(",")),
    );
    facts
}

fn scale(scale: &Scale) -> String {
    match scale {
        Scale::Same(amount) => amount.to_string(),
        Scale::Fanned { bass, treble } => format!("{bass} {treble}"),
        Scale::Each(strings) => strings
            .iter()
            .map(|(place, amount)| format!("{place}={amount}"))
            .collect::<Vec<_>>()
            .join(" "),
    }
}

fn bridge_shown(bridge: &Bridge) -> String {
    let height = match &bridge.height {
        HeightBy::OwnSaddles { screws } => format!("own {screws}"),
        HeightBy::SharedSaddles(saddles) => {
            let groups: Vec<String> = saddles
                .iter()
                .map(|saddle| saddle.iter().map(Place::to_string).collect::<Vec<_>>().join(","))
                .collect();
            format!("shared {}", groups.join(" "))
        }
        HeightBy::TwoPosts => "posts".into(),
        HeightBy::Fixed => "fixed".into(),
    };
    if bridge.floating { format!("{height} floating") } else { height }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn five() -> Spec {
        Spec { courses: vec![1; 5], ..Spec::default() }
    }

    fn set(spec: &mut Spec, fact: &str, value: &str) {
        for field in fields(fact, &[value.to_owned()], spec).unwrap() {
            field.check().unwrap();
            spec.set(field);
        }
    }

    #[test]
    fn every_example_is_accepted_and_shown() {
        let mut spec = five();
        for (fact, example) in FACTS {
            set(&mut spec, fact, example);
        }
        let shown = shown(&spec);
        for (fact, example) in FACTS {
            let value = &shown.iter().find(|(name, _)| name == fact).unwrap().1;
            let first = example.split(' ').next().unwrap();
            assert!(value.starts_with(first), "{fact}: {value}");
        }
    }

    #[test]
    fn one_string_can_be_named() {
        let mut spec = five();
        set(&mut spec, "tuning", "G2 D2 A1 E1 B0");
        set(&mut spec, "tuning", "5=A0");
        assert_eq!(spec.tuning[&Place::course(5).unwrap()].to_string(), "A0");
        set(&mut spec, "gauges", "5=0.135 in");
        assert_eq!(shown(&spec)[1], ("gauges".into(), "0.135 in".into()));
    }

    #[test]
    fn every_fact_that_is_set_can_be_taken_back() {
        let mut spec = five();
        for (fact, example) in FACTS {
            if let Ok(fields) = fields(fact, &[(*example).to_owned()], &spec) {
                for field in fields {
                    spec.set(field);
                }
            }
        }
        for (fact, _) in shown(&spec) {
            let edits = without(&fact, &spec).unwrap();
            let mut less = spec.clone();
            for edit in edits {
                match edit {
                    Without::Fact(key) => {
                        let mut fields = less.fields();
                        fields.retain(|field| field.key() != key);
                        less = Spec::default();
                        for field in fields {
                            less.set(field);
                        }
                    }
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
