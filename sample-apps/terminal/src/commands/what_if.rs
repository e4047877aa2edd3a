//! Questions about an instrument before anything is turned: a buzz, other strings.

use fallaway::advice::buzz::{BuzzClues, CrownCheck};
use fallaway::advice::change_strings::OtherStrings;
use fallaway::advice::clearance::{ClearanceModel, ClearanceWhatIf, TouchUsed};
use fallaway::advice::strings::{StringTension, usual_construction};
use fallaway::measure::{Amount, Length, StringPlace};
use fallaway::mechanics::pluck::PluckDirection;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::force::newton;
use fallaway::record::InstrumentSpec;
use fallaway::record::spec::{SpecField, StringConstruction};
use fallaway::{BuzzAnswer, Instrument};
use fallaway_text::{Phrase, buzz, clearance as said, names, plan as text, strings};
use serde_json::{Value, json};

use super::answer::{Reply, rounded};
use super::context::Context;
use super::given;
use crate::cli::{BeforeStringsArgs, CapoWord, ClearanceArgs, TouchArgs, WhyBuzzArgs};
use crate::error::{Error, Outcome};
use crate::messages::{answer as around, parse as say};
use crate::parse::{facts as fact_words, places};
use crate::render::TextTable;
use crate::voice::in_order;

/// How hard it is played: as given, as learned, or as is usually assumed.
fn play(instrument: &Instrument, touch: &TouchArgs) -> Outcome<TouchUsed> {
    if touch.force.is_empty() {
        return Ok(instrument.play_of(touch.player.as_deref())?);
    }
    Ok(TouchUsed::with_force(given::force("force", &touch.force)?.get::<newton>()))
}

/// Other strings and notes, and what is taken for granted of how they are made.
fn change(
    gauges: &[String],
    notes: &[String],
    spec: &InstrumentSpec,
) -> Outcome<(OtherStrings, Vec<Phrase>)> {
    let (mut change, mut taken) = (OtherStrings::default(), Vec::new());
    let said: Vec<StringPlace> = if gauges.is_empty() {
        Vec::new()
    } else {
        let gauged = fact_words::gauged(&gauges.join(" "), spec).map_err(Error::Usage)?;
        gauged.iter().filter(|one| one.made.is_some()).map(|one| one.place).collect()
    };
    for (fact, given) in [("gauges", gauges), ("tuning", notes)] {
        if given.is_empty() {
            continue;
        }
        for field in fact_words::fields(fact, given, spec).map_err(Error::Usage)? {
            match field {
                SpecField::Strings(place, mut string) => {
                    // A pack's mass belongs to the string that comes off.
                    (string.unit_weight, string.pack_tension, string.core) = (None, None, None);
                    let gauge = string.gauge.and_then(Amount::length).map(as_mm);
                    let usual = usual_construction(gauge.unwrap_or_default(), string.construction);
                    if !said.contains(&place) && usual != string.construction {
                        string.construction = usual;
                        let wound = usual != Some(StringConstruction::Plain);
                        let name = names::string(spec, place);
                        let gauge = string.gauge.map_or_else(Phrase::empty, names::amount);
                        taken.push(if wound {
                            say::taken_as_wound(name, gauge)
                        } else {
                            say::taken_as_plain(name, gauge)
                        });
                    }
                    change.strings.push((place, string));
                }
                SpecField::Tuning(place, note) => change.notes.push((place, note)),
                _ => {}
            }
        }
    }
    Ok((change, taken))
}

/// Will it buzz, and what if.
pub fn clearance(context: &mut Context<'_, '_>, args: &ClearanceArgs) -> Outcome {
    let mut answer = Reply::new("clearance");
    let instrument = context.instrument()?;
    let mut play = play(&instrument, &args.touch)?;
    play.from_saddle = given::length("plucked-at", &args.plucked_at)?;
    if args.away {
        play.touch.direction = PluckDirection::AwayFromBoard;
    }
    let mut desk = instrument.clearance()?;
    let spec = instrument.details()?.spec;
    for seen in &desk.rests_on {
        answer.rests_on(text::read(seen, None, &spec));
    }
    super::clearance::out_of_date(&desk, &mut answer);
    let mut what_if = ClearanceWhatIf::default();
    let (change, taken) = change(&args.gauges, &args.notes, &spec)?;
    for one in taken {
        answer.assumed(one);
    }
    if change != OtherStrings::default() {
        what_if = instrument.with_strings(&desk, &change)?;
        let gauges = change.strings.iter().map(|(place, string)| {
            (*place, string.gauge.map_or_else(Phrase::empty, names::amount))
        });
        let notes = change.notes.iter().map(|(place, note)| (*place, names::note(*note)));
        answer.assumed(said::what_if_strings(gauges.chain(notes), &spec));
    }
    what_if.relief = given::length_if("relief", &args.relief)?;
    if let Some(relief) = what_if.relief {
        answer.assumed(said::what_if_relief(relief));
    }
    what_if.saddles = saddles(&args.saddle, &desk)?;
    for (string, rise) in desk.strings().iter().zip(&what_if.saddles) {
        if as_mm(*rise).abs() > 1e-9 {
            answer.assumed(said::what_if_saddle(string.place, *rise, &spec));
        }
    }
    if !args.action.is_empty() {
        let actions = in_order(given::lengths("action", &args.action)?);
        what_if.actions = given::for_each("action", &actions, desk.strings().len())?;
        answer.assumed(said::what_if_actions());
    }
    for one in said::assumed(&desk.assumed, &spec) {
        answer.assumed(one);
    }
    let found = desk.ask(&what_if, play)?;
    super::clearance::tell(&found, &desk, &spec, &mut answer);
    answer.print(context)
}

/// How far each string's saddle is raised.
fn saddles(words: &[String], desk: &ClearanceModel) -> Outcome<Vec<Length>> {
    if words.is_empty() {
        return Ok(Vec::new());
    }
    let mut all = vec![mm(0.0); desk.strings().len()];
    for word in words {
        let wrong = || given::wrong("saddle", say::saddle_form());
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
        let at = desk.strings().iter().position(|one| one.place == place);
        let at = at
            .and_then(|at| all.get_mut(at))
            .ok_or_else(|| given::wrong("saddle", say::no_action(&place.to_string())))?;
        *at += rise;
    }
    Ok(all)
}

/// Why a note buzzes.
pub fn why_buzz(context: &mut Context<'_, '_>, args: &WhyBuzzArgs) -> Outcome {
    let mut answer = Reply::new("why-buzz");
    let instrument = context.instrument()?;
    let string =
        places::string_of(&args.string, &instrument.details()?.spec).map_err(Error::Usage)?;
    let play = play(&instrument, &args.touch)?;
    let check = |rocks: bool| move |&fret: &u8| CrownCheck { fret, rocks };
    let rocking = args.rocks.iter().map(check(true));
    let tried = BuzzClues {
        crowns: rocking.chain(args.level.iter().map(check(false))).collect(),
        gone_with_capo: args.capo.map(|word| word == CapoWord::Clean),
        ..BuzzClues::default()
    };
    let frets = places::frets(&args.frets).map_err(Error::Usage)?;
    let BuzzAnswer { suspects: found, model: desk, play } =
        instrument.why_buzz(string, frets, play, &tried)?;
    let spec = instrument.details()?.spec;
    let mut fields: Vec<Value> = Vec::new();
    for (index, suspect) in found.iter().enumerate() {
        answer.lead(around::numbered(index + 1, buzz::cause(suspect.cause)));
        for sentence in buzz::sentences(suspect) {
            answer.say(sentence);
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
        answer.rests_on(text::read(seen, None, &spec));
    }
    answer.rests_on(buzz::basis());
    super::clearance::out_of_date(&desk, &mut answer);
    super::clearance::touch_fields(play, &mut answer);
    answer.caution(said::caveat());
    answer.print(context)
}

/// What other strings or another tuning will do.
pub fn before_strings(context: &mut Context<'_, '_>, args: &BeforeStringsArgs) -> Outcome {
    let voice = context.voice;
    let mut answer = Reply::new("before-strings");
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let (mut change, taken) = change(&args.gauges, &args.notes, &spec)?;
    for one in taken {
        answer.assumed(one);
    }
    if let Some(pack) = &args.pack {
        let fitted = super::shop::fitted(context, &instrument, pack)?.fitted;
        change.strings = fitted;
    }
    let play = play(&instrument, &args.touch)?;
    let found = instrument.before_strings(&change, play)?;
    let told = strings::forecast(&found, &spec);
    answer.lead(told.tension);
    let total = &found.compared.total;
    answer.number("total_newton", total.before.value.get::<newton>());
    answer.number("total_then_newton", total.after.value.get::<newton>());
    answer.number("total_change_percent", (total.ratio - 1.0) * 100.0);
    answer.number("difference_newton", found.difference.value.get::<newton>());
    answer.number(
        "difference_standard_uncertainty_newton",
        found.difference.standard_uncertainty.get::<newton>(),
    );
    let mut table = TextTable::new(told.head.each_ref().map(|one| voice.say(one)));
    for row in &told.rows {
        table.row(row.each_ref().map(|one| voice.say(one)));
    }
    answer.table(table.by_string());
    let mut fields: Vec<Value> = Vec::new();
    for string in &found.strings {
        let pull = |of: &StringTension| rounded(of.tension.value.get::<newton>());
        let actions = string.lowest_action.map(|(now, then)| (as_mm(now), as_mm(then)));
        fields.push(json!({
            "string": names::string_label(&spec, string.place).to_string(),
            "before_newton": pull(&string.before),
            "then_newton": pull(&string.after),
            "lowest_clean_action_mm": actions.map(|a| rounded(a.0)),
            "lowest_clean_action_then_mm": actions.map(|a| rounded(a.1)),
            "nut_slot": strings::slot(string.slot).to_string(),
            "refused": string.refused,
            "intonation_moves": string.intonation_moves,
            "saddle_back_mm": string.saddle_moves.map(|m| rounded(m.middle_mm)),
            "saddle_back_low_mm": string.saddle_moves.map(|m| rounded(m.low_mm)),
            "saddle_back_high_mm": string.saddle_moves.map(|m| rounded(m.high_mm)),
        }));
    }
    answer.put("strings", fields);
    for sentence in voice.phrases_by_string(&told.sentences) {
        answer.say(sentence.clone());
    }
    answer.put("relief", strings::relief(&found).to_string());
    if let Some(change) = &found.relief_change {
        answer.number("relief_change_mm", change.mm.value);
        answer.number("relief_change_low_mm", change.mm.low);
        answer.number("relief_change_high_mm", change.mm.high);
        answer.put("relief_learned_from", change.observations);
    }
    let mut again: Vec<&str> = found.again.iter().map(|class| class.word()).collect();
    again.dedup();
    answer.put("measure_again", again);
    answer.say(told.checklist_head);
    for step in &told.checklist {
        answer.say(around::item(step.clone()));
    }
    let checklist: Vec<String> = told.checklist.iter().map(ToString::to_string).collect();
    answer.put("checklist", checklist);
    for basis in &told.basis {
        answer.rests_on(basis.clone());
    }
    if let Some(assumed) = &told.assumed {
        super::clearance::touch_fields(play, &mut answer);
        answer.assumed(assumed.clone());
        answer.caution(said::caveat());
    }
    for caution in &told.cautions {
        answer.caution(caution.clone());
    }
    answer.print(context)
}
