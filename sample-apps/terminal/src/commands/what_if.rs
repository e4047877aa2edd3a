//! Questions about an instrument before anything is turned: a buzz, other strings.

use fallaway::Instrument;
use fallaway::advice::change_strings::{CHECKLIST, OtherStrings};
use fallaway::advice::clearance::{ClearanceModel, ClearanceWhatIf, Play};
use fallaway::advice::observe::{Facts, of_spec};
use fallaway::advice::strings as made;
use fallaway::measure::{Fret, Length};
use fallaway::mechanics::envelope::Basis;
use fallaway::mechanics::pluck::Direction;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::record::Spec;
use fallaway::record::spec::SpecField;
use fallaway_text::{buzz, cautions, plan as text};
use serde_json::{Value, json};
use uom::si::force::newton;

use super::answer::{Answer, both, plain, rounded, signed};
use super::context::Context;
use super::given;
use crate::cli::{BeforeStringsArgs, ClearanceArgs, TouchArgs, WhyBuzzArgs};
use crate::error::{Error, Outcome};
use crate::parse::{facts as fact_words, places};
use crate::render::Table;

/// How hard it is played: as given, as learned, or as is usually assumed.
fn play(instrument: &Instrument, touch: &TouchArgs) -> Outcome<Play> {
    if touch.force.is_empty() {
        return Ok(instrument.play_of(touch.player.as_deref())?);
    }
    Ok(Play::with_force(given::force("force", &touch.force)?.get::<newton>()))
}

/// Other strings and notes.
fn change(gauges: &[String], notes: &[String], spec: &Spec) -> Outcome<OtherStrings> {
    let mut change = OtherStrings::default();
    for (fact, given) in [("gauges", gauges), ("tuning", notes)] {
        if given.is_empty() {
            continue;
        }
        for field in fact_words::fields(fact, given, spec).map_err(Error::Usage)? {
            match field {
                SpecField::Strings(place, mut string) => {
                    // A pack's mass belongs to the string that comes off.
                    (string.unit_weight, string.pack_tension, string.core) = (None, None, None);
                    change.strings.push((place, string));
                }
                SpecField::Tuning(place, note) => change.notes.push((place, note)),
                _ => {}
            }
        }
    }
    Ok(change)
}

/// Will it buzz, and what if.
pub fn clearance(context: &mut Context<'_, '_>, args: &ClearanceArgs) -> Outcome {
    let voice = context.voice;
    let mut answer = Answer::new("clearance");
    let instrument = context.instrument()?;
    let mut play = play(&instrument, &args.touch)?;
    play.from_saddle = given::length("plucked-at", &args.plucked_at)?;
    if args.away {
        play.touch.direction = Direction::AwayFromBoard;
    }
    let mut desk = instrument.clearance()?;
    let spec = instrument.view()?.spec;
    let facts = of_spec(&spec);
    for seen in &desk.rests_on {
        answer.rests_on(voice.sentence(&text::read(seen, None, &spec)));
    }
    super::clearance::out_of_date(&desk, &mut answer);
    let mut what_if = ClearanceWhatIf::default();
    let change = change(&args.gauges, &args.notes, &spec)?;
    if change != OtherStrings::default() {
        what_if = instrument.with_strings(&desk, &change)?;
        let mut said = Vec::new();
        for (place, string) in &change.strings {
            let gauge = string.gauge.map(|g| g.to_string()).unwrap_or_default();
            said.push(format!("string {}: {gauge}", facts.name(*place)));
        }
        for (place, note) in &change.notes {
            said.push(format!("string {}: {note}", facts.name(*place)));
        }
        answer
            .assumed(format!("what if: {}, with relief and saddles as they are", said.join("; ")));
    }
    what_if.relief = given::length_if("relief", &args.relief)?;
    if let Some(relief) = what_if.relief {
        answer.assumed(format!(
            "what if: relief {}, saddles untouched, so that every action moves with it",
            both(relief)
        ));
    }
    what_if.saddles = saddles(&args.saddle, &desk, &facts)?;
    for (string, rise) in desk.strings().iter().zip(&what_if.saddles) {
        if as_mm(*rise).abs() > 1e-9 {
            answer.assumed(format!(
                "what if: saddle of {} moved by {}",
                string.name,
                signed(*rise)
            ));
        }
    }
    if !args.action.is_empty() {
        let actions = given::lengths("action", &args.action)?;
        what_if.actions = given::for_each("action", &actions, desk.strings().len())?;
        answer.assumed("what if: these actions instead of those read");
    }
    for text in std::mem::take(&mut desk.assumed) {
        answer.assumed(text);
    }
    let found = desk.ask(&what_if, play)?;
    super::clearance::tell(&found, &mut answer);
    answer.print(context)
}

/// How far each string's saddle is raised.
fn saddles(words: &[String], desk: &ClearanceModel, facts: &Facts) -> Outcome<Vec<Length>> {
    if words.is_empty() {
        return Ok(Vec::new());
    }
    let mut all = vec![mm(0.0); desk.strings().len()];
    for word in words {
        let wrong = || {
            Error::usage(format!(
                "--saddle {word}: accepted: 4=+0.3mm, 2=-0.1mm, all=0.2mm (string=rise)"
            ))
        };
        let (string, rise) = word.split_once('=').ok_or_else(wrong)?;
        let rise = rise.trim_start_matches('+').to_owned();
        let rise = given::length("saddle", &[rise])?;
        if string == "all" {
            for one in &mut all {
                *one += rise;
            }
            continue;
        }
        let place = places::string(string).map_err(Error::Usage)?;
        let name = facts.name(place);
        let at = desk.strings().iter().position(|one| one.name == name);
        let at = at.and_then(|at| all.get_mut(at)).ok_or_else(|| {
            Error::usage(format!("--saddle {word}: string {name} has no action that was read"))
        })?;
        *at += rise;
    }
    Ok(all)
}

fn frets(text: &str) -> Outcome<(Fret, Fret)> {
    let wrong = || Error::usage(format!("\"{text}\" are no frets; accepted: 3, 3-6, open"));
    let fret = |word: &str| -> Outcome<Fret> {
        if word == "open" {
            return Ok(Fret::OPEN);
        }
        let number = word.parse().map_err(|_| wrong())?;
        Fret::new(number).map_err(|error| Error::usage(error.to_string()))
    };
    match text.split_once('-') {
        Some((from, to)) => Ok((fret(from)?, fret(to)?)),
        None => fret(text).map(|one| (one, one)),
    }
}

/// Why a note buzzes.
pub fn why_buzz(context: &mut Context<'_, '_>, args: &WhyBuzzArgs) -> Outcome {
    let voice = context.voice;
    let mut answer = Answer::new("why-buzz");
    let string = places::string(&args.string).map_err(Error::Usage)?;
    let instrument = context.instrument()?;
    let play = play(&instrument, &args.touch)?;
    let (found, desk) = instrument.why_buzz(string, frets(&args.frets)?, play)?;
    let spec = instrument.view()?.spec;
    let mut fields: Vec<Value> = Vec::new();
    for (index, suspect) in found.iter().enumerate() {
        answer.lead(format!("{}. {}", index + 1, voice.sentence(&buzz::cause(suspect.cause))));
        for sentence in buzz::sentences(suspect) {
            answer.say(voice.sentence(&sentence));
        }
        fields.push(json!({
            "cause": buzz::cause(suspect.cause).to_string(),
            "needs_mm": suspect.needs.map(|l| rounded(as_mm(l))),
            "others_touch_mm": rounded(as_mm(suspect.misfit)),
            "predicts": buzz::predicts(suspect).to_string(),
            "decides": buzz::decides(suspect).to_string(),
        }));
    }
    answer.put("causes", fields);
    for seen in desk.rests_on.iter().filter(|s| s.measurand.place().is_none_or(|p| p == string)) {
        answer.rests_on(voice.sentence(&text::read(seen, None, &spec)));
    }
    answer.rests_on(voice.sentence(&buzz::basis()));
    super::clearance::out_of_date(&desk, &mut answer);
    super::clearance::touch_fields(play, &mut answer);
    answer.caution(Basis::CAVEAT);
    answer.print(context)
}

/// What other strings or another tuning will do.
pub fn before_strings(context: &mut Context<'_, '_>, args: &BeforeStringsArgs) -> Outcome {
    let voice = context.voice;
    let mut answer = Answer::new("before-strings");
    let instrument = context.instrument()?;
    let spec = instrument.view()?.spec;
    let facts = of_spec(&spec);
    let change = change(&args.gauges, &args.notes, &spec)?;
    let play = play(&instrument, &args.touch)?;
    let found = instrument.before_strings(&change, play)?;
    let total = &found.compared.total;
    answer.lead(format!(
        "Pull on the neck: {:.0} N now, {:.0} N then ({:+.1} %), give or take {:.0} N in the difference.",
        total.before.value.get::<newton>(),
        total.after.value.get::<newton>(),
        (total.ratio - 1.0) * 100.0,
        2.0 * found.difference.standard_uncertainty.get::<newton>()
    ));
    answer.number("total_newton", total.before.value.get::<newton>());
    answer.number("total_then_newton", total.after.value.get::<newton>());
    answer.number("total_change_percent", (total.ratio - 1.0) * 100.0);
    answer.number("difference_newton", found.difference.value.get::<newton>());
    answer.number(
        "difference_standard_uncertainty_newton",
        found.difference.standard_uncertainty.get::<newton>(),
    );
    let mut table = Table::new(["string", "pull now", "then", "lowest clean action", "nut slot"]);
    let mut fields: Vec<Value> = Vec::new();
    for string in &found.strings {
        let name = facts.name(string.place);
        let (before, after) = (
            string.before.tension.value.get::<newton>(),
            string.after.tension.value.get::<newton>(),
        );
        let actions = string.lowest_action.map(|(now, then)| (as_mm(now), as_mm(then)));
        table.row([
            name.clone(),
            format!("{before:.0} N"),
            format!("{after:.0} N"),
            actions.map_or_else(
                || "not told".to_owned(),
                |(now, then)| format!("{} to {} mm", plain(now, 2), plain(then, 2)),
            ),
            string.slot.text().trim_start_matches("nut slot: ").to_owned(),
        ]);
        if string.refused {
            answer.say(format!(
                "String {name} would be stressed near breaking: do not tune it so high."
            ));
        }
        answer.rests_on(made::source_words(string.after.source));
        fields.push(json!({
            "string": name,
            "before_newton": rounded(before),
            "then_newton": rounded(after),
            "lowest_clean_action_mm": actions.map(|a| rounded(a.0)),
            "lowest_clean_action_then_mm": actions.map(|a| rounded(a.1)),
            "nut_slot": string.slot.text(),
            "refused": string.refused,
            "intonation_moves": string.intonation_moves,
            "saddle_back_mm": string.saddle_moves.map(|m| rounded(m.middle_mm)),
            "saddle_back_low_mm": string.saddle_moves.map(|m| rounded(m.low_mm)),
            "saddle_back_high_mm": string.saddle_moves.map(|m| rounded(m.high_mm)),
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.say(format!("Relief: {}.", found.relief_text()));
    answer.put("relief", found.relief_text());
    if let Some(change) = &found.relief_change {
        answer.number("relief_change_mm", change.mm.value);
        answer.number("relief_change_low_mm", change.mm.low);
        answer.number("relief_change_high_mm", change.mm.high);
        answer.put("relief_learned_from", change.observations);
    }
    for string in &found.strings {
        if let Some(moves) = &string.saddle_moves {
            let name = facts.name(string.place);
            answer.say(format!("Intonation of string {name}: saddle {}.", moves.text()));
        }
    }
    let untold = found.strings.iter().filter(|s| s.intonation_moves && s.saddle_moves.is_none());
    let untold: Vec<String> = untold.map(|s| facts.name(s.place)).collect();
    if !untold.is_empty() {
        answer.say(format!(
            "Intonation of string {}: how far the saddle moves is not told, a core before or after is \
             not known; read it at 12.",
            untold.join(", ")
        ));
    }
    if found.strings.iter().any(|s| s.saddle_moves.is_some()) {
        answer.rests_on(
            "saddle: model of a stiff string stretched when pressed, M. B. Anderson and R. G. \
             Beausoleil, JASA 156(1):683 (2024); the reading decides",
        );
    }
    let mut again: Vec<&str> = found.again.iter().map(|class| class.word()).collect();
    again.dedup();
    answer.say(format!("To be measured again afterwards: {}.", again.join(", ")));
    answer.put("measure_again", again);
    answer.say("Checklist afterwards:");
    for step in CHECKLIST {
        answer.say(format!("- {step}"));
    }
    answer.put("checklist", CHECKLIST.to_vec());
    answer.rests_on(
        "model: tension is mass for length times the square of twice length times frequency",
    );
    if found.strings.iter().any(|s| s.lowest_action.is_some()) {
        answer.rests_on("lowest clean action: the clearance model at the latest relief");
        super::clearance::touch_fields(play, &mut answer);
        answer.assumed("the relief put back where it was, for the lowest clean action");
        answer.caution(Basis::CAVEAT);
    }
    for caution in &found.cautions {
        answer.caution(voice.sentence(&cautions::text(*caution)));
    }
    answer.print(context)
}
