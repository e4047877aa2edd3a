//! Will it buzz: from given numbers, or from an instrument's facts and latest readings.

use fallaway::advice::clearance::{
    ClearanceModel, ClearanceWhatIf, ForceFrom, SetString, TouchUsed,
};
use fallaway::advice::strings::assumed_inharmonicity;
use fallaway::measure::StringPlace;
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::envelope::Touch;
use fallaway::mechanics::pluck::PluckDirection;
use fallaway::mechanics::units::mm;
use fallaway::record::InstrumentSpec;
use fallaway_text::{clearance as text, errors};

use super::super::answer::Reply;
use super::super::clearance::{out_of_date, tell};
use super::super::context::Context;
use super::given;
use super::ground::Ground;
use crate::cli::calc::CalcClearanceArgs;
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::voice::in_order;

/// Margins, lowest clean action, best relief, touch.
pub fn clearance(
    context: &mut Context<'_, '_>,
    ground: &Ground,
    args: &CalcClearanceArgs,
) -> Outcome<Reply> {
    let mut answer = Reply::new("clearance");
    let force = given::force("force", &args.force)?;
    let direction =
        if args.away { PluckDirection::AwayFromBoard } else { PluckDirection::TowardBoard };
    let play = TouchUsed {
        touch: Touch { force, direction },
        touch_from: ForceFrom::Given,
        from_saddle: given::length("plucked-at", &args.plucked_at)?,
        spare: mm(0.0),
    };
    let (mut desk, what_if) = if ground.spec().is_some() {
        let instrument = context.instrument()?;
        let desk = instrument.clearance()?;
        if let Some(spec) = ground.spec() {
            for seen in &desk.rests_on {
                let read = fallaway_text::plan::read(seen, None, spec);
                answer.rests_on(read);
            }
        }
        out_of_date(&desk, &mut answer);
        let what_if = asked(args, ground, &desk, &mut answer)?;
        (desk, what_if)
    } else {
        (given_strings(args, ground, &mut answer)?, ClearanceWhatIf::default())
    };
    for one in text::assumed(&desk.assumed, &desk.spec) {
        answer.assumed(one);
    }
    let found = desk.ask(&what_if, play)?;
    tell(&found, &desk, &desk.spec, &mut answer);
    Ok(answer)
}

/// What was given beside an instrument: what if.
fn asked(
    args: &CalcClearanceArgs,
    ground: &Ground,
    desk: &ClearanceModel,
    answer: &mut Reply,
) -> Outcome<ClearanceWhatIf> {
    let count = desk.strings().len();
    let neck = &args.neck;
    let other = [
        ("scale", neck.scale.is_empty()),
        ("frets", neck.frets.is_none()),
        ("joint", neck.joint.is_none()),
        ("joint-within", neck.joint_within.is_none()),
        ("string", neck.string.is_none()),
        ("compensation", neck.compensation.is_empty()),
        ("stopped", args.way.stopped.is_none()),
        ("over", args.way.over.is_none()),
        ("inharmonicity", args.inharmonicity.is_empty()),
    ];
    if let Some((option, _)) = other.into_iter().find(|(_, absent)| !absent) {
        return Err(given::wrong(option, say::beside_instrument()));
    }
    let list = |option: &str, given: usize| -> Outcome {
        if given == 0 || given == count {
            Ok(())
        } else {
            Err(given::wrong(option, say::count_of_actions(given, count)))
        }
    };
    let relief = given::length_if("relief", &args.relief)?;
    let mut actions = in_order(given::lengths("action", &args.action)?);
    if actions.len() == 1 {
        actions = given::for_each("action", &actions, count)?;
    }
    let sounds = given::sounds("notes", &args.notes, ground.a4(&[])?)?;
    let tensions = in_order(given::forces("tensions", &args.tensions)?);
    list("action", actions.len())?;
    list("notes", sounds.len())?;
    list("tensions", tensions.len())?;
    let what_if = [
        relief.map(text::what_if_relief),
        (!actions.is_empty()).then(text::what_if_actions),
        (!sounds.is_empty()).then(text::what_if_notes),
    ];
    for one in what_if.iter().flatten() {
        answer.assumed(one.clone());
    }
    Ok(ClearanceWhatIf {
        relief,
        saddles: Vec::new(),
        actions,
        hz: sounds.iter().map(|s| s.hz).collect(),
        tensions,
    })
}

/// The strings as given on the command line.
fn given_strings(
    args: &CalcClearanceArgs,
    ground: &Ground,
    answer: &mut Reply,
) -> Outcome<ClearanceModel> {
    let geometry = ground.geometry(&args.neck, answer)?;
    let place = Ground::way(&args.way, geometry.frets)?;
    if args.relief.is_empty() {
        return Err(given::missing("relief", "0.2 mm"));
    }
    if args.action.is_empty() {
        return Err(given::missing_each("action", "5/64 5/64 6/64 6/64"));
    }
    if args.notes.is_empty() {
        return Err(given::missing_each("notes", "G2 D2 A1 E1"));
    }
    if args.tensions.is_empty() {
        return Err(given::missing_each("tensions", "170 185 170 155 N"));
    }
    let relief = given::reading("relief", &args.relief, None)?;
    let sounds = in_order(given::sounds("notes", &args.notes, ground.a4(&[])?)?);
    let actions = in_order(given::for_each(
        "action",
        &given::readings("action", &args.action, None)?,
        sounds.len(),
    )?);
    let tensions = in_order(given::for_each(
        "tensions",
        &given::forces("tensions", &args.tensions)?,
        sounds.len(),
    )?);
    let stiffness: Vec<f64> = if args.inharmonicity.is_empty() {
        answer.assumed(say::assumed_inharmonicity());
        sounds.iter().map(|s| assumed_inharmonicity(s.hz)).collect()
    } else {
        let given: Vec<f64> = args
            .inharmonicity
            .iter()
            .map(|one| given::number("inharmonicity", one))
            .collect::<Outcome<_>>()?;
        in_order(given::for_each("inharmonicity", &given, sounds.len())?)
    };
    let (mut strings, mut spec) = (Vec::new(), InstrumentSpec::default());
    for (((sound, action), tension), (inharmonicity, number)) in
        sounds.iter().zip(actions).zip(tensions).zip(stiffness.into_iter().zip(1_u8..))
    {
        let string =
            StringPlace::course(number).map_err(|error| Error::Usage(errors::value(&error)))?;
        spec.tuning.extend(sound.note.map(|note| (string, note)));
        strings.push(SetString {
            place: string,
            geometry: geometry.clone(),
            hz: sound.hz,
            tension: Uncertain::exact(tension),
            inharmonicity,
            relief,
            relief_way: given::relief_way(None, geometry.frets),
            action,
            action_at: place,
            nut: None,
        });
    }
    let mut model = ClearanceModel::new(strings);
    model.spec = spec;
    Ok(model)
}
