//! Pitch, tension, sets.

use fallaway::measure::Length;
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::pitch::{Spelling, nearest, shifted};
use fallaway::mechanics::strings::guards::{DEFAULT_LIMIT_GPA, stress_limit};
use fallaway::mechanics::strings::tension::{PRINTED_TABLE_GRAVITY_IN, STANDARD_GRAVITY_IN};
use fallaway::mechanics::strings::{
    Construction, MassBasis, UnitMass, compare_sets, plain_stress, steel_density, tension,
    tension_change, total_tension, unit_mass,
};
use fallaway::mechanics::uom::si::f64::{Force, Pressure};
use fallaway::mechanics::uom::si::force::newton;
use fallaway::mechanics::uom::si::frequency::hertz;
use fallaway::mechanics::uom::si::linear_mass_density::kilogram_per_meter;
use fallaway::mechanics::uom::si::pressure::gigapascal;
use fallaway::record::spec::StringConstruction;
use fallaway_text::{Computed, Phrase, Word, names};
use serde_json::{Value, json};

use super::super::answer::{Reply, rounded};
use super::given::{self, Sound};
use super::ground::Ground;
use super::numbers::both;
use crate::cli::calc::{PitchArgs, RetuneArgs, SetArgs, StressArgs, TensionArgs};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::parse::places::{self, Strings};
use crate::render::{TableCell, TextTable};
use crate::voice::in_order;

/// A pound-force is 4.4482216152605 N exactly (NIST Special Publication 811, appendix B.8).
const NEWTON_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;

/// Note, frequency, cents.
pub fn pitch(ground: &Ground, args: &PitchArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("pitch");
    let a4 = ground.a4(&args.a4)?;
    let sound = given::sound("pitch", &args.pitch, a4)?;
    given::within("fret", args.fret.into(), 0, 36)?;
    let flat = sound.note.is_some_and(|note| note.to_string().contains('b'));
    let spelling = if flat { Spelling::Flats } else { Spelling::Sharps };
    let frequency = shifted(sound.frequency(), 100.0 * f64::from(args.fret))?;
    let (note, cents) = nearest(frequency, a4, spelling)?;
    let hz = frequency.get::<hertz>();
    let what = match args.fret {
        0 => sound.name(),
        fret => say::fretted(sound.name(), fret),
    };
    let (shown, named) = (Computed::hertz(hz).places(3), names::note(note));
    answer.lead(if cents.abs() < 0.05 {
        say::pitch(what, shown, named)
    } else {
        say::pitch_off(what, shown, named, Computed::cents(cents).signed())
    });
    answer.number("frequency_hz", hz);
    answer.put("note", note.to_string());
    answer.put("midi_note_number", note.number());
    answer.number("cents_from_note_cent", if cents.abs() < 1e-9 { 0.0 } else { cents });
    answer.number("a4_hz", a4.get::<hertz>());
    answer.rests_on(say::basis_pitch(Computed::hertz(a4.get::<hertz>())));
    Ok(answer)
}

fn mass_words(mass: &UnitMass) -> Phrase {
    match mass.basis {
        MassBasis::Pack => say::mass_pack(),
        MassBasis::Construction => say::mass_wire(),
        MassBasis::OuterDiameter => say::mass_guessed(),
    }
}

fn put_force(answer: &mut Reply, name: &str, force: Uncertain<Force>) {
    answer.number(&format!("{name}_newton"), force.value.get::<newton>());
    answer.number(
        &format!("{name}_standard_uncertainty_newton"),
        force.standard_uncertainty.get::<newton>(),
    );
}

/// A force in both units, with twice its uncertainty.
fn force_words(force: Uncertain<Force>) -> Phrase {
    let pounds = force.value.get::<newton>() / NEWTON_PER_POUND_FORCE;
    let twice = newtons(2.0 * force.standard_uncertainty);
    say::force(newtons(force.value), Computed::plain(pounds, 1), twice)
}

fn newtons(force: Force) -> Computed {
    Computed::newtons(force.get::<newton>())
}

/// Tension of a string.
pub fn tension_of(ground: &Ground, args: &TensionArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("tension");
    let a4 = ground.a4(&[])?;
    let sound = given::sound("note", &args.note, a4)?;
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let made = given::make(&args.make, a4, &mut answer)?
        .ok_or_else(|| given::missing("gauge", "0.105 in"))?;
    let mass = unit_mass(&made)?;
    let pull = tension(mass.value, scale, sound.frequency())?;
    answer.lead(say::tension(sound.name(), both(scale), force_words(pull)));
    put_force(&mut answer, "tension", pull);
    let mut pounds = pull.value.get::<newton>() / NEWTON_PER_POUND_FORCE;
    answer.number("tension_pound_force", pounds);
    if args.as_printed {
        pounds *= STANDARD_GRAVITY_IN / PRINTED_TABLE_GRAVITY_IN;
        answer.say(say::as_printed(Computed::plain(pounds, 2)));
        answer.number("tension_as_printed_pound_force", pounds);
    }
    let kg_per_m = mass.value.value.get::<kilogram_per_meter>();
    answer.say(say::mass(Computed::plain(kg_per_m * 1e3, 4)));
    answer.number("mass_for_length_gram_per_metre", kg_per_m * 1e3);
    answer.number("frequency_hz", sound.hz);
    answer.rests_on(mass_words(&mass));
    answer.rests_on(say::basis_tension());
    guard_plain(&mut answer, &made, scale, sound)?;
    Ok(answer)
}

/// Says when a plain string is tuned higher than it may bear.
fn guard_plain(answer: &mut Reply, made: &Construction, scale: Length, sound: Sound) -> Outcome {
    if let Construction::Plain { diameter, .. } = made {
        let limit = stress_limit(Some(*diameter));
        let stress = plain_stress(scale, sound.frequency(), steel_density(), limit)?;
        if stress.refused {
            answer.caution(say::too_high(
                sound.name(),
                Computed::plain(stress.stress.get::<gigapascal>(), 2),
                Computed::plain(limit.get::<gigapascal>(), 2),
            ));
        }
    }
    Ok(())
}

struct Set {
    sounds: Vec<Sound>,
    made: Vec<Construction>,
    tensions: Vec<Uncertain<Force>>,
}

fn set_of(
    sounds: Vec<Sound>,
    made: Vec<Construction>,
    scales: &[Length],
    answer: &mut Reply,
) -> Outcome<Set> {
    if sounds.len() != made.len() {
        return Err(Error::Usage(say::go_together(sounds.len(), made.len())));
    }
    let scales = given::for_each("scale", scales, sounds.len())?;
    let mut tensions = Vec::new();
    for ((sound, made), scale) in sounds.iter().zip(&made).zip(&scales) {
        let mass = unit_mass(made)?;
        answer.rests_on(mass_words(&mass));
        tensions.push(tension(mass.value, *scale, sound.frequency())?);
        guard_plain(answer, made, *scale, *sound)?;
    }
    Ok(Set { sounds, made, tensions })
}

/// Which strings are plain, of so many, and which are not; nothing where nobody says.
fn plain_places(words: Option<&str>, count: usize) -> Outcome<Option<Vec<bool>>> {
    let mut plain = vec![false; count];
    if words == Some("none") {
        return Ok(Some(plain));
    }
    match words.map(places::strings).transpose().map_err(Error::Usage)?.flatten() {
        Some(Strings::All) => plain.fill(true),
        Some(Strings::These(these)) => {
            for place in these {
                let index = usize::from(place.number()).saturating_sub(1);
                let Some(one) = plain.get_mut(index) else {
                    return Err(given::wrong("plain", say::no_string(place.to_string(), count)));
                };
                *one = true;
            }
        }
        None if words.is_some() => {
            return Err(given::wrong("plain", say::plain_accepted()));
        }
        None => return Ok(None),
    }
    Ok(Some(plain))
}

/// Tension of a set, and of another beside it.
pub fn set(ground: &Ground, args: &SetArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("set");
    let a4 = ground.a4(&[])?;
    let mut scales = in_order(given::lengths("scale", &args.scale)?);
    let mut sounds = in_order(given::sounds("notes", &args.notes, a4)?);
    let gauges = in_order(given::lengths("gauges", &args.gauges)?);
    let mut made: Vec<Construction> = Vec::new();
    let is_plain = plain_places(
        args.plain.as_deref(),
        gauges.len().max(args.to_gauges.len()).max(sounds.len()),
    )?;
    // How the strings are made that are on now.
    let mut on: Vec<Option<StringConstruction>> = Vec::new();
    if let Some(spec) = ground.spec() {
        let places = spec.places();
        if scales.is_empty() {
            scales = places.iter().filter_map(|place| spec.scale_of(*place)).collect();
            answer.rests_on(say::fact_scales());
        }
        if sounds.is_empty() {
            let notes: Vec<String> =
                places.iter().filter_map(|p| spec.tuning.get(p)).map(ToString::to_string).collect();
            sounds = given::sounds("notes", &notes, a4)?;
            answer.rests_on(say::fact_tuning());
        }
        if gauges.is_empty() {
            let facts = places.iter().map(|p| spec.strings.get(p));
            on = facts.clone().map(|string| string.and_then(|s| s.construction)).collect();
            for (index, string) in facts.enumerate() {
                made.push(
                    string
                        .and_then(fallaway::advice::strings::construction)
                        .ok_or_else(|| Error::Refused(say::gauge_unknown(index + 1)))?,
                );
            }
            answer.rests_on(say::fact_strings());
        }
    }
    let of_gauges = |gauges: &[Length], answer: &mut Reply| {
        let each = gauges.iter().enumerate().map(|(index, &diameter)| given::Gauge {
            diameter,
            said: is_plain.as_ref().map(|plain| plain.get(index) == Some(&true)),
            before: on.get(index).copied().flatten(),
        });
        given::of_gauges("plain", &each.collect::<Vec<_>>(), answer)
    };
    if made.is_empty() {
        made = of_gauges(&gauges, &mut answer)?;
    }
    if sounds.is_empty() {
        return Err(given::missing_each("notes", "G2 D2 A1 E1"));
    }
    if made.is_empty() {
        return Err(given::missing_each("gauges", "0.045 0.065 0.085 0.105 in"));
    }
    if scales.is_empty() {
        return Err(given::missing("scale", "34 in"));
    }
    let before = set_of(sounds, made, &scales, &mut answer)?;
    let total = total_tension(&before.tensions)?;
    let other = if args.to_notes.is_empty() && args.to_gauges.is_empty() {
        None
    } else {
        let sounds = if args.to_notes.is_empty() {
            before.sounds.clone()
        } else {
            in_order(given::sounds("to-notes", &args.to_notes, a4)?)
        };
        let to_gauges = in_order(given::lengths("to-gauges", &args.to_gauges)?);
        let made = if to_gauges.is_empty() {
            before.made.clone()
        } else {
            of_gauges(&to_gauges, &mut answer)?
        };
        let after = set_of(sounds, made, &scales, &mut answer)?;
        let compared = compare_sets(&before.tensions, &after.tensions)?;
        Some((after, compared))
    };
    let mut table = TextTable::headed(&say::head_set());
    let mut fields: Vec<Value> = Vec::new();
    for (index, (sound, pull)) in before.sounds.iter().zip(&before.tensions).enumerate() {
        let then = other.as_ref().and_then(|(set, compared)| {
            Some((set.sounds.get(index)?, compared.strings.get(index)?))
        });
        table.row([
            TableCell::from((index + 1).to_string()),
            sound.name().into(),
            force_words(*pull).into(),
            then.map(|(s, c)| say::then(s.name(), newtons(c.after.value))).into(),
            then.map(|(_, c)| newtons(c.change.value).signed()).into(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "frequency_hz": rounded(sound.hz),
            "tension_newton": rounded(pull.value.get::<newton>()),
            "standard_uncertainty_newton": rounded(pull.standard_uncertainty.get::<newton>()),
            "then_newton": then.map(|(_, c)| rounded(c.after.value.get::<newton>())),
            "change_newton": then.map(|(_, c)| rounded(c.change.value.get::<newton>())),
        }));
    }
    answer.table(table.by_string());
    answer.lead(say::set_total(force_words(total)));
    answer.put("strings", fields);
    put_force(&mut answer, "total", total);
    if let Some((_, compared)) = &other {
        let change = Computed::percent((compared.total.ratio - 1.0) * 100.0).places(1).signed();
        answer.lead(say::set_then(force_words(compared.total.after), change));
        put_force(&mut answer, "total_then", compared.total.after);
        answer.number("total_change_percent", (compared.total.ratio - 1.0) * 100.0);
        answer.put("rises_over_10_percent", compared.rise_to_warn);
        if compared.rise_to_warn {
            answer.caution(say::set_rise());
        }
        answer.say(say::measure_again());
        answer.caution(say::strings_caution());
    }
    Ok(answer)
}

/// Another tuning of one string.
pub fn retune(ground: &Ground, args: &RetuneArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("retune");
    let a4 = ground.a4(&[])?;
    let (from, to) = (given::sound("from", &args.from, a4)?, given::sound("to", &args.to, a4)?);
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let made = given::make(&args.make, a4, &mut answer)?
        .ok_or_else(|| given::missing("gauge", "0.105 in"))?;
    let mass = unit_mass(&made)?;
    let before = tension(mass.value, scale, from.frequency())?;
    let after = tension(mass.value, scale, to.frequency())?;
    let change = tension_change(mass.value, scale, from.frequency(), to.frequency())?;
    let ratio = (to.hz / from.hz).powi(2);
    answer.lead(say::retune(
        from.name(),
        to.name(),
        newtons(change.value).signed(),
        Computed::percent((ratio - 1.0) * 100.0).places(1).signed(),
        newtons(before.value),
        newtons(after.value),
    ));
    put_force(&mut answer, "change", change);
    put_force(&mut answer, "before", before);
    put_force(&mut answer, "after", after);
    answer.number("change_percent", (ratio - 1.0) * 100.0);
    answer.say(say::retune_hint());
    answer.say(say::measure_again());
    answer.rests_on(mass_words(&mass));
    answer.rests_on(say::basis_retune());
    guard_plain(&mut answer, &made, scale, to)?;
    Ok(answer)
}

/// Does a plain string bear it?
pub fn stress(ground: &Ground, args: &StressArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("stress");
    let sound = given::sound("note", &args.note, ground.a4(&[])?)?;
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let limit = args.limit.unwrap_or(DEFAULT_LIMIT_GPA);
    let found = plain_stress(
        scale,
        sound.frequency(),
        steel_density(),
        Pressure::new::<gigapascal>(limit),
    )?;
    let stress = found.stress.get::<gigapascal>();
    let verdict = Word(if found.refused { "above" } else { "within" });
    let (shown, most) = (Computed::plain(stress, 2), Computed::plain(limit, 2));
    answer.lead(say::stress(sound.name(), both(scale), shown, verdict, most));
    answer.say(say::stress_limit(Computed::hertz(found.highest.get::<hertz>())));
    answer.number("stress_gigapascal", stress);
    answer.number("limit_gigapascal", limit);
    answer.put("refused", found.refused);
    answer.number("highest_hz", found.highest.get::<hertz>());
    answer.rests_on(say::basis_stress());
    if args.limit.is_none() {
        answer.assumed(say::assumed_limit());
    }
    if found.refused {
        answer.caution(say::stress_caution());
    } else {
        answer.caution(say::stress_near());
    }
    Ok(answer)
}
