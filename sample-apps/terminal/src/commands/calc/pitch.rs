//! Stiffness, drift, intonation.

use fallaway::measure::{Dimension, Reading, Taken, parse_reading};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::intonation::{
    Adjust, Aim, IntonationModel, IntonationReading, SaddleTravel, StiffnessFollows,
    length_per_cent, predict_set_back, solve_from_readings,
};
use fallaway::mechanics::screws::{Screw, ScrewTurn, TurnRounding};
use fallaway::mechanics::stiff_string::{
    EndsHeld, inharmonicity_from_partial, inharmonicity_of, partial_cents, stiffness_ratio,
};
use fallaway::mechanics::strings::drift::{STEEL_EXPANSION_PER_K, WOOD_EXPANSION_PER_K};
use fallaway::mechanics::strings::{
    SteelString, cents_per_kelvin, cents_per_mm_of_saddle, steel_modulus,
};
use fallaway::mechanics::units::as_mm;
use fallaway::mechanics::uom::si::force::newton;
use fallaway::mechanics::uom::si::pressure::pascal;
use fallaway::record::spec::ScrewPlace;
use fallaway_text::{Computed, Phrase, Word, errors};
use serde_json::{Value, json};

use super::super::answer::{Reply, rounded};
use super::given;
use super::ground::Ground;
use super::heights::turn_words;
use super::numbers::{both, give_or_take, mm_to, signed};
use crate::cli::calc::{DriftArgs, IntonationArgs, SetBackArgs, StiffnessArgs, TurnArgs};
use crate::error::Outcome;
use crate::messages::calc as say;
use crate::render::{TableCell, TextTable};

/// Of steel, in gigapascals.
fn modulus() -> Computed {
    Computed::plain(steel_modulus().get::<pascal>() / 1e9, 0)
}

/// How stiff a string is.
pub fn stiffness(ground: &Ground, args: &StiffnessArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("stiffness");
    let b = if let (Some(partial), Some(cents)) = (args.partial, args.cents) {
        given::within("fret", args.fret.into(), 0, 36)?;
        let stopped = inharmonicity_from_partial(cents, partial)?;
        answer.rests_on(say::basis_partial(partial, Computed::plain(cents, 1), args.fret));
        answer.rests_on(say::basis_partial_model());
        answer.number("stopped_inharmonicity", stopped);
        stopped / (f64::from(args.fret) / 6.0).exp2()
    } else {
        let core = given::length("core", &args.core)?;
        let pull = given::force("tension", &args.tension)?;
        let scale = ground.scale(&args.scale, None, &mut answer)?;
        let ratio = stiffness_ratio(core, steel_modulus(), pull, scale)?;
        answer.number("stiffness_ratio", ratio);
        let tension = Computed::newtons(pull.get::<newton>());
        answer.rests_on(say::basis_core(both(core), tension, both(scale), modulus()));
        answer.rests_on(say::basis_core_model());
        inharmonicity_of(ratio)
    };
    answer.lead(say::inharmonicity(format!("{b:.3e}")));
    answer.number("inharmonicity", b);
    let mut table = TextTable::headed(&say::head_partials());
    let mut fields: Vec<Value> = Vec::new();
    for q in [2, 4, 6, 10] {
        let cents = partial_cents(b, q)?;
        table.row([TableCell::from(q.to_string()), Computed::cents(cents).places(2).into()]);
        fields.push(json!({ "partial": q, "above_cent": rounded(cents) }));
    }
    answer.table(table);
    answer.put("partials", fields);
    Ok(answer)
}

/// How pitch follows saddle and temperature.
pub fn drift(ground: &Ground, args: &DriftArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("drift");
    let sound = given::sound("note", &args.note, ground.a4(&[])?)?;
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let anchored = if let Some(length) = given::length_if("anchored", &args.anchored)? {
        length
    } else {
        answer.assumed(say::assumed_anchored());
        scale
    };
    let string = SteelString::music_wire(scale, anchored, sound.frequency());
    let saddle = cents_per_mm_of_saddle(string)?;
    let alone = cents_per_kelvin(string, STEEL_EXPANSION_PER_K, 0.0)?;
    let together = cents_per_kelvin(string, STEEL_EXPANSION_PER_K, WOOD_EXPANSION_PER_K)?;
    answer.lead(say::drift(sound.name(), Computed::cents(saddle).signed()));
    let cents = |value: f64| Computed::cents(value).places(2).signed();
    answer.lead(say::drift_kelvin(cents(alone), cents(together)));
    answer.number("per_saddle_mm_cent", saddle);
    answer.number("per_kelvin_string_alone_cent", alone);
    answer.number("per_kelvin_together_cent", together);
    answer.say(say::drift_hint());
    answer.rests_on(say::basis_drift());
    answer.rests_on(say::basis_expansion());
    Ok(answer)
}

/// "12=4" or "12=4.0": a fret and the cents read there, with the uncertainty of the form.
fn cents_reading(word: &str) -> Outcome<IntonationReading> {
    let wrong = |why: Phrase| given::wrong("cents", say::wrong_cents(word, why));
    let (fret, cents) = word.split_once('=').ok_or_else(|| wrong(say::no_equals()))?;
    let fret: u32 = fret.trim().parse().map_err(|_| wrong(say::not_fret(fret)))?;
    let bare = cents.trim().trim_end_matches("cents").trim_end_matches("cent").trim();
    let reading: Reading = parse_reading(&format!("{bare} cents"), None, Dimension::Interval)
        .map_err(|error| wrong(errors::reading(&error)))?;
    let (value, uncertainty) =
        Taken::new(&reading, None).cents().ok_or_else(|| wrong(say::cents_bound()))?;
    Ok(IntonationReading { fret, cents: Uncertain::new(value, uncertainty)? })
}

/// Cents into saddle moves.
pub fn intonation(ground: &Ground, args: &IntonationArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("intonation");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let readings: Vec<IntonationReading> = args
        .cents
        .iter()
        .flat_map(|word| word.split([' ', ',']))
        .filter(|word| !word.is_empty())
        .map(cents_reading)
        .collect::<Outcome<_>>()?;
    let travel = match given::lengths("travel", &args.travel)?.as_slice() {
        [] => None,
        [toward_nut, away_from_nut] => {
            Some(SaddleTravel { toward_nut: *toward_nut, away_from_nut: *away_from_nut })
        }
        other => {
            return Err(given::wrong("travel", say::travel(other.len())));
        }
    };
    let adjust = if args.nut_too { Adjust::SaddleAndNut } else { Adjust::Saddle };
    let found = solve_from_readings(scale, &readings, adjust, travel)?;
    let away = as_mm(found.saddle.value) >= 0.0;
    let mut size = found.saddle;
    size.value = size.value.abs();
    let which = Word(if away { "away" } else { "toward" });
    answer.lead(say::move_saddle(which, give_or_take(size)));
    answer.estimate("saddle_move", found.saddle);
    if let Some(nut) = found.nut {
        let which = Word(if as_mm(nut.value) < 0.0 { "toward" } else { "away" });
        let size = Uncertain::new(nut.value.abs(), nut.standard_uncertainty)?;
        answer.lead(say::move_nut(which, give_or_take(size)));
        answer.estimate("nut_move", nut);
        answer.caution(say::nut_caution());
    }
    if found.travel_ended {
        answer.say(say::travel_ends());
    }
    answer.put("travel_ended", found.travel_ended);
    let screw = ground.screw(
        &TurnArgs { thread: args.thread.clone(), clockwise: None },
        ScrewPlace::SaddlePosition,
    )?;
    if screw.thread.is_some() {
        let turn = ScrewTurn::for_rise(
            found.saddle.value,
            Screw { thread: screw.thread, raises: screw.raises },
            TurnRounding::Nearest,
        )?;
        answer.lead(say::turn_left(turn_words(&turn), signed(turn.left_over)));
        answer.put("eighths", turn.eighths);
    }
    let mut table = TextTable::headed(&say::head_intonation());
    let mut fields: Vec<Value> = Vec::new();
    for (read, left) in readings.iter().zip(&found.left_over) {
        table.row([
            TableCell::from(read.fret.to_string()),
            say::give_or_take(
                Computed::cents(read.cents.value).signed(),
                Computed::cents(2.0 * read.cents.standard_uncertainty),
            )
            .into(),
            Computed::cents(left.cents).into(),
        ]);
        fields.push(json!({ "fret": read.fret, "read_cent": rounded(read.cents.value), "left_over_cent": rounded(left.cents) }));
    }
    answer.table(table);
    answer.put("frets", fields);
    answer.number("rms_cent", found.rms_cents);
    let per = length_per_cent(scale, 12)?;
    answer.number("saddle_per_cent_at_12_mm", as_mm(per));
    answer.say(say::cent_of_saddle(mm_to(per, 2)));
    answer.rests_on(say::basis_intonation());
    answer.rests_on(say::basis_spread());
    Ok(answer)
}

fn ends(word: &str) -> Outcome<EndsHeld> {
    match word {
        "pinned" => Ok(EndsHeld::PinnedPinned),
        "clamped-pinned" => Ok(EndsHeld::ClampedPinned),
        "clamped" => Ok(EndsHeld::ClampedClamped),
        other => Err(given::not_among("ends", other, "pinned, clamped-pinned, clamped")),
    }
}

fn ends_words(ends: EndsHeld) -> &'static str {
    match ends {
        EndsHeld::PinnedPinned => "pinned",
        EndsHeld::ClampedPinned => "clamped-pinned",
        EndsHeld::ClampedClamped => "clamped",
    }
}

/// Set-backs before a string is on.
pub fn set_back(ground: &Ground, args: &SetBackArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("set-back");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let (stretch, ratio) =
        if let (Some(stretch), Some(ratio)) = (args.stretch_ratio, args.stiffness) {
            (stretch, ratio)
        } else {
            let core = given::length("core", &args.core)?;
            let pull = given::force("tension", &args.tension)?;
            let area = std::f64::consts::PI * (as_mm(core) / 2e3).powi(2);
            let stretch = steel_modulus().get::<pascal>() * area / pull.get::<newton>();
            let tension = Computed::newtons(pull.get::<newton>());
            answer.rests_on(say::basis_steel(both(core), modulus(), tension));
            (stretch, stiffness_ratio(core, steel_modulus(), pull, scale)?)
        };
    answer.number("stretch_ratio", stretch);
    answer.number("stiffness_ratio", ratio);
    let aim = args.up_to.map_or(Aim::SaddleForFret(args.for_fret), Aim::SaddleAndNutUpTo);
    let wanted = match &args.ends {
        Some(word) => vec![ends(word)?],
        None => vec![EndsHeld::PinnedPinned, EndsHeld::ClampedPinned, EndsHeld::ClampedClamped],
    };
    let (nut_height, saddle_rise) = (
        given::length("nut-height", &args.nut_height)?,
        given::length("saddle-rise", &args.saddle_rise)?,
    );
    let mut table = TextTable::headed(&say::head_set_back());
    let mut fields: Vec<Value> = Vec::new();
    for held in wanted {
        let found = predict_set_back(
            &IntonationModel {
                scale,
                nut_height,
                saddle_rise,
                tension_per_stretch: stretch,
                stiffness_ratio: ratio,
                ends: held,
                stiffness_follows: StiffnessFollows::LengthAndTension,
            },
            aim,
        )?;
        table.row([
            TableCell::from(ends_words(held)),
            signed(found.saddle).into(),
            signed(found.nut).into(),
            Computed::cents(found.rms_cents).places(2).into(),
        ]);
        fields.push(json!({
            "ends": ends_words(held),
            "saddle_mm": rounded(as_mm(found.saddle)),
            "nut_mm": rounded(as_mm(found.nut)),
            "rms_cent": rounded(found.rms_cents),
        }));
    }
    answer.table(table);
    answer.put("set_backs", fields);
    answer.say(say::set_back_hint());
    answer.rests_on(say::basis_set_back());
    Ok(answer)
}
