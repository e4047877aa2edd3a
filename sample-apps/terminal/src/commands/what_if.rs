//! Questions about an instrument before anything is turned: a buzz, other strings.

use fallaway::advice::change_strings::{CHECKLIST, Change};
use fallaway::advice::clearance::Play;
use fallaway::advice::from_record::of_spec;
use fallaway::advice::{strings as made, words};
use fallaway::measure::Fret;
use fallaway::mechanics::envelope::Basis;
use fallaway::mechanics::units::as_mm;
use fallaway::record::spec::SpecField;
use serde_json::{Value, json};
use uom::si::force::newton;

use super::context::Context;
use super::reckon::answer::{Answer, plain, rounded};
use super::reckon::given;
use crate::failure::{Failure, Outcome};
use crate::grammar::{BeforeStringsArgs, WhyBuzzArgs};
use crate::say::Table;
use crate::words::{facts as fact_words, places};

fn play(force: &[String]) -> Outcome<Play> {
    Ok(Play::with_force(given::force("force", force)?.get::<newton>()))
}

fn frets(text: &str) -> Outcome<(Fret, Fret)> {
    let wrong = || Failure::usage(format!("\"{text}\" are no frets; accepted: 3, 3-6, open"));
    let fret = |word: &str| -> Outcome<Fret> {
        if word == "open" {
            return Ok(Fret::OPEN);
        }
        let number = word.parse().map_err(|_| wrong())?;
        Fret::new(number).map_err(|error| Failure::usage(error.to_string()))
    };
    match text.split_once('-') {
        Some((from, to)) => Ok((fret(from)?, fret(to)?)),
        None => fret(text).map(|one| (one, one)),
    }
}

/// Why a note buzzes.
pub fn why_buzz(context: &mut Context<'_, '_>, args: &WhyBuzzArgs) -> Outcome {
    let mut answer = Answer::new("why-buzz");
    let string = places::place(&args.string).map_err(Failure::Usage)?;
    let play = play(&args.force)?;
    let instrument = context.instrument()?;
    let (found, desk) = instrument.why_buzz(string, frets(&args.frets)?, play)?;
    let facts = of_spec(&instrument.view()?.spec);
    let mut fields: Vec<Value> = Vec::new();
    for (index, suspect) in found.iter().enumerate() {
        answer.lead(format!("{}. {}", index + 1, suspect.cause.text()));
        answer.say(format!("Predicts: {}.", suspect.predicts));
        answer.say(format!("Decides: {}", suspect.decide));
        if as_mm(suspect.misfit) > 0.005 {
            answer.say(format!(
                "Against it: other notes would then touch by {} mm too.",
                plain(as_mm(suspect.misfit), 2)
            ));
        }
        fields.push(json!({
            "cause": suspect.cause.text(),
            "needs_mm": suspect.needs.map(|l| rounded(as_mm(l))),
            "others_touch_mm": rounded(as_mm(suspect.misfit)),
            "predicts": suspect.predicts,
            "decides": suspect.decide,
        }));
    }
    answer.put("causes", fields);
    for seen in desk.rests_on.iter().filter(|s| s.thing.place().is_none_or(|p| p == string)) {
        answer.rests_on(words::read(seen, &facts, None));
    }
    answer.rests_on("model: for each cause, how far from what was read it lets just these notes touch; what counts as little is common practice, no source");
    super::reckon::out_of_date(&desk, &mut answer);
    answer
        .assumed(format!("{:.2} N at right angles to the board", play.touch.force.get::<newton>()));
    answer.caution(Basis::CAVEAT);
    answer.print(context)
}

/// What other strings or another tuning will do.
pub fn before_strings(context: &mut Context<'_, '_>, args: &BeforeStringsArgs) -> Outcome {
    let mut answer = Answer::new("before-strings");
    let instrument = context.instrument()?;
    let spec = instrument.view()?.spec;
    let facts = of_spec(&spec);
    let mut change = Change::default();
    for (fact, given) in [("gauges", &args.gauges), ("tuning", &args.notes)] {
        if given.is_empty() {
            continue;
        }
        for field in fact_words::fields(fact, given, &spec).map_err(Failure::Usage)? {
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
    let play = play(&args.force)?;
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
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.say(format!("Relief: {}.", found.relief.text()));
    answer.put("relief", found.relief.text());
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
        answer.assumed(format!(
            "{:.2} N at right angles to the board, and the relief put back where it was",
            play.touch.force.get::<newton>()
        ));
        answer.caution(Basis::CAVEAT);
    }
    for caution in &found.cautions {
        answer.caution(caution.text());
    }
    answer.print(context)
}
