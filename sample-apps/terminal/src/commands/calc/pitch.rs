//! Stiffness, drift, intonation.

use fallaway::measure::{Dimension, Reading, Taken, parse_reading};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::intonation::{
    Adjust, Aim, IntonationModel, IntonationReading, SaddleTravel, StiffnessFollows,
    length_per_cent, predict_set_back, solve_from_readings,
};
use fallaway::mechanics::screws::{Rounding, Screw, Turn};
use fallaway::mechanics::stiff_string::{
    Ends, inharmonicity_from_partial, inharmonicity_of, partial_cents, stiffness_ratio,
};
use fallaway::mechanics::strings::drift::{STEEL_EXPANSION_PER_K, WOOD_EXPANSION_PER_K};
use fallaway::mechanics::strings::{
    SteelString, cents_per_kelvin, cents_per_mm_of_saddle, steel_modulus,
};
use fallaway::mechanics::units::as_mm;
use fallaway::record::spec::ScrewPlace;
use serde_json::{Value, json};
use uom::si::force::newton;
use uom::si::pressure::pascal;

use super::super::answer::{Answer, GIVE_OR_TAKE, both, give_or_take, plain, rounded, signed};
use super::given;
use super::ground::Ground;
use crate::cli::calc::{DriftArgs, IntonationArgs, SetBackArgs, StiffnessArgs, TurnArgs};
use crate::error::{Error, Outcome};
use crate::render::Table;

/// How stiff a string is.
pub fn stiffness(ground: &Ground, args: &StiffnessArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("stiffness");
    let b = if let (Some(partial), Some(cents)) = (args.partial, args.cents) {
        if args.fret > 36 {
            return Err(Error::usage(format!("--fret: {} is outside 0 to 36", args.fret)));
        }
        let stopped = inharmonicity_from_partial(cents, partial)?;
        answer.rests_on(format!(
            "partial {partial} read {cents} cents above its place, stopped at {}",
            args.fret
        ));
        answer.rests_on("model: partial q stands at q times the root of (1 + B q2); B grows by 2^(n/6) at fret n");
        answer.number("stopped_inharmonicity", stopped);
        stopped / (f64::from(args.fret) / 6.0).exp2()
    } else {
        let core = given::length("core", &args.core)?;
        let pull = given::force("tension", &args.tension)?;
        let scale = ground.scale(&args.scale, None, &mut answer)?;
        let ratio = stiffness_ratio(core, steel_modulus(), pull, scale)?;
        answer.number("stiffness_ratio", ratio);
        answer.rests_on(format!(
            "core {}, tension {:.1} N, scale {}; steel of {:.0} GPa",
            both(core),
            pull.get::<newton>(),
            both(scale),
            steel_modulus().get::<pascal>() / 1e9
        ));
        answer.rests_on("model: B = pi3 E d4 / (64 T L2) of the core (Fletcher and Rossing 2.18); windings add little and are left out");
        inharmonicity_of(ratio)
    };
    answer.lead(format!("Inharmonicity B of the open string: {b:.3e}."));
    answer.number("inharmonicity", b);
    let mut table = Table::new(["partial", "above its place"]);
    let mut fields: Vec<Value> = Vec::new();
    for q in [2, 4, 6, 10] {
        let cents = partial_cents(b, q)?;
        table.row([q.to_string(), format!("{cents:.2} cents")]);
        fields.push(json!({ "partial": q, "above_cent": rounded(cents) }));
    }
    answer.table(table);
    answer.put("partials", fields);
    Ok(answer)
}

/// How pitch follows saddle and temperature.
pub fn drift(ground: &Ground, args: &DriftArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("drift");
    let sound = given::sound("note", &args.note, ground.a4(&[])?)?;
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let anchored = if let Some(length) = given::length_if("anchored", &args.anchored)? {
        length
    } else {
        answer.assumed("anchored at nut and saddle: no string beyond them gives way");
        scale
    };
    let string = SteelString::music_wire(scale, anchored, sound.frequency());
    let saddle = cents_per_mm_of_saddle(string)?;
    let alone = cents_per_kelvin(string, STEEL_EXPANSION_PER_K, 0.0)?;
    let together = cents_per_kelvin(string, STEEL_EXPANSION_PER_K, WOOD_EXPANSION_PER_K)?;
    answer.lead(format!(
        "{}: {saddle:+.1} cents for each millimetre that the saddle moves away from the nut.",
        sound.name()
    ));
    answer.lead(format!("{alone:+.2} cents for each kelvin that the string alone warms, {together:+.2} when wood and string warm alike."));
    answer.number("per_saddle_mm_cent", saddle);
    answer.number("per_kelvin_string_alone_cent", alone);
    answer.number("per_kelvin_together_cent", together);
    answer.say(
        "So a saddle is moved with the string slackened, and tuned again before the next reading.",
    );
    answer.rests_on("model: a plain steel string that slides freely over nut and saddle, Hooke's law, first order");
    answer.rests_on("expansion: steel 12e-6 per kelvin (ASTM A228 as listed), wood along the grain 4e-6 (from memory)");
    Ok(answer)
}

/// "12=4" or "12=4.0": a fret and the cents read there, with the uncertainty of the form.
fn cents_reading(word: &str) -> Outcome<IntonationReading> {
    let wrong = |why: String| {
        Error::usage(format!(
            "--cents: \"{word}\": {why}; accepted: fret=cents, such as 12=4 or 12=-1.5"
        ))
    };
    let (fret, cents) = word.split_once('=').ok_or_else(|| wrong("no \"=\"".to_owned()))?;
    let fret: u32 = fret.trim().parse().map_err(|_| wrong(format!("\"{fret}\" is no fret")))?;
    let bare = cents.trim().trim_end_matches("cents").trim_end_matches("cent").trim();
    let reading: Reading = parse_reading(&format!("{bare} cents"), None, Dimension::Interval)
        .map_err(|error| wrong(error.to_string()))?;
    let (value, uncertainty) = Taken::new(&reading, None)
        .cents()
        .ok_or_else(|| wrong("a value is needed, no bound".to_owned()))?;
    Ok(IntonationReading { fret, cents: Uncertain::new(value, uncertainty)? })
}

/// Cents into saddle moves.
pub fn intonation(ground: &Ground, args: &IntonationArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("intonation");
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
            return Err(Error::usage(format!(
                "--travel: {} given; accepted: two, toward the nut and away from it",
                other.len()
            )));
        }
    };
    let adjust = if args.nut_too { Adjust::SaddleAndNut } else { Adjust::Saddle };
    let found = solve_from_readings(scale, &readings, adjust, travel)?;
    let away = as_mm(found.saddle.value) >= 0.0;
    let mut size = found.saddle;
    size.value = size.value.abs();
    answer.lead(format!(
        "Move the saddle {} by {}.",
        if away { "away from the nut" } else { "toward the nut" },
        give_or_take(size)
    ));
    answer.estimate("saddle_move", found.saddle);
    if let Some(nut) = found.nut {
        answer.lead(format!(
            "Set the string's front edge at the nut {} by {}.",
            if as_mm(nut.value) < 0.0 { "toward the saddle" } else { "away from the saddle" },
            give_or_take(Uncertain::new(nut.value.abs(), nut.standard_uncertainty)?)
        ));
        answer.estimate("nut_move", nut);
        answer.caution("Work on a nut cannot be undone: two readings that agree, by different tools, with everything else final.");
    }
    if found.travel_ended {
        answer.say("The saddle's travel ends there.");
    }
    answer.put("travel_ended", found.travel_ended);
    let screw = ground.screw(
        &TurnArgs { thread: args.thread.clone(), clockwise: None },
        ScrewPlace::SaddlePosition,
    )?;
    if screw.thread.is_some() {
        let turn = Turn::for_rise(
            found.saddle.value,
            Screw { thread: screw.thread, raises: screw.raises },
            Rounding::Nearest,
        )?;
        answer.lead(format!("Turn: {turn}; {} is left over.", signed(turn.left_over)));
        answer.put("eighths", turn.eighths);
    }
    let mut table = Table::new(["fret", "read", "after the move"]);
    let mut fields: Vec<Value> = Vec::new();
    for (read, left) in readings.iter().zip(&found.left_over) {
        table.row([
            read.fret.to_string(),
            format!(
                "{:+.1} cents, give or take {:.1}",
                read.cents.value,
                2.0 * read.cents.standard_uncertainty
            ),
            format!("{} cents", plain(left.cents, 1)),
        ]);
        fields.push(json!({ "fret": read.fret, "read_cent": rounded(read.cents.value), "left_over_cent": rounded(left.cents) }));
    }
    answer.table(table);
    answer.put("frets", fields);
    answer.number("rms_cent", found.rms_cents);
    let per = length_per_cent(scale, 12)?;
    answer.number("saddle_per_cent_at_12_mm", as_mm(per));
    answer.say(format!(
        "At fret 12 a cent is {} mm of saddle. Slacken, move, tune, read again.",
        plain(as_mm(per), 2)
    ));
    answer.rests_on("the readings as given; model: the stopped part and the whole string lengthen alike, first order, least squares");
    answer.rests_on(GIVE_OR_TAKE);
    Ok(answer)
}

fn ends(word: &str) -> Outcome<Ends> {
    match word {
        "pinned" => Ok(Ends::PinnedPinned),
        "clamped-pinned" => Ok(Ends::ClampedPinned),
        "clamped" => Ok(Ends::ClampedClamped),
        other => Err(Error::usage(format!(
            "--ends: \"{other}\"; accepted: pinned, clamped-pinned, clamped"
        ))),
    }
}

fn ends_words(ends: Ends) -> &'static str {
    match ends {
        Ends::PinnedPinned => "pinned",
        Ends::ClampedPinned => "clamped-pinned",
        Ends::ClampedClamped => "clamped",
    }
}

/// Set-backs before a string is on.
pub fn set_back(ground: &Ground, args: &SetBackArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("set-back");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let (stretch, ratio) =
        if let (Some(stretch), Some(ratio)) = (args.stretch_ratio, args.stiffness) {
            (stretch, ratio)
        } else {
            let core = given::length("core", &args.core)?;
            let pull = given::force("tension", &args.tension)?;
            let area = std::f64::consts::PI * (as_mm(core) / 2e3).powi(2);
            let stretch = steel_modulus().get::<pascal>() * area / pull.get::<newton>();
            answer.rests_on(format!(
                "core {} of steel, {:.0} GPa, at {:.1} N",
                both(core),
                steel_modulus().get::<pascal>() / 1e9,
                pull.get::<newton>()
            ));
            (stretch, stiffness_ratio(core, steel_modulus(), pull, scale)?)
        };
    answer.number("stretch_ratio", stretch);
    answer.number("stiffness_ratio", ratio);
    let aim = args.up_to.map_or(Aim::SaddleForFret(args.for_fret), Aim::SaddleAndNutUpTo);
    let wanted = match &args.ends {
        Some(word) => vec![ends(word)?],
        None => vec![Ends::PinnedPinned, Ends::ClampedPinned, Ends::ClampedClamped],
    };
    let (nut_height, saddle_rise) = (
        given::length("nut-height", &args.nut_height)?,
        given::length("saddle-rise", &args.saddle_rise)?,
    );
    let mut table = Table::new(["ends held", "saddle back", "nut", "left over, rms"]);
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
            ends_words(held).to_owned(),
            signed(found.saddle),
            signed(found.nut),
            format!("{:.2} cents", found.rms_cents),
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
    answer.say("Away from the nut is above zero for the saddle; a nut below zero stands toward the saddle. How the ends are held dominates: begin there, then let the readings decide.");
    answer.rests_on("model: M. B. Anderson and R. G. Beausoleil, Classical guitar intonation and compensation, JASA 156(1):683 (2024)");
    Ok(answer)
}
