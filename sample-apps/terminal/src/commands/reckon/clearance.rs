//! Will it buzz: from given numbers, or from an instrument's facts and latest readings.

use fallaway::advice::clearance::{
    ClearanceAnswer as Found, ClearanceModel, ClearanceWhatIf, ForceFrom, Play, SetString,
    StringClearance, UnderTouch,
};
use fallaway::advice::strings::assumed_inharmonicity;
use fallaway::mechanics::Estimate;
use fallaway::mechanics::envelope::Touch;
use fallaway::mechanics::pluck::Direction;
use fallaway::mechanics::units::{as_mm, mm};
use serde_json::{Value, json as value};
use uom::si::force::newton;

use super::super::context::Context;
use super::answer::{Answer, both, plain, rounded};
use super::given;
use super::ground::Ground;
use super::heights::way_words;
use crate::cli::reckon::ClearanceArgs;
use crate::error::{Error, Outcome};
use crate::json;
use crate::render::Table;

/// Margins, lowest clean action, best relief, touch.
pub fn clearance(
    context: &mut Context<'_, '_>,
    ground: &Ground,
    args: &ClearanceArgs,
) -> Outcome<Answer> {
    let mut answer = Answer::new("clearance");
    let force = given::force("force", &args.force)?;
    let direction = if args.away { Direction::AwayFromBoard } else { Direction::TowardBoard };
    let play = Play {
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
                answer.rests_on(context.voice.sentence(&read));
            }
        }
        out_of_date(&desk, &mut answer);
        let what_if = asked(args, ground, &desk, &mut answer)?;
        (desk, what_if)
    } else {
        (ClearanceModel::new(given_strings(args, ground, &mut answer)?), ClearanceWhatIf::default())
    };
    for text in std::mem::take(&mut desk.assumed) {
        answer.assumed(text);
    }
    let found = desk.ask(&what_if, play)?;
    tell(&found, &mut answer);
    Ok(answer)
}

/// Says how hard it is played and where that comes from.
pub fn touch_fields(play: Play, answer: &mut Answer) {
    answer.number("force_newton", play.touch.force.get::<newton>());
    let (basis, learned) = match play.touch_from {
        ForceFrom::Assumed => ("assumed", None),
        ForceFrom::Given => ("given", None),
        ForceFrom::Learned { observations, low_newton, high_newton, sides } => {
            ("learned", Some((observations, low_newton, high_newton, sides)))
        }
    };
    answer.put("touch", basis);
    if let Some((observations, low, high, sides)) = learned {
        answer.put("touch_observations", observations);
        answer.number("touch_low_newton", low);
        answer.number("touch_high_newton", high);
        answer.put("touch_bounded", json::bounded(sides));
    }
    let text = format!("touch: {}", play.text());
    if matches!(play.touch_from, ForceFrom::Assumed) {
        answer.assumed(text);
    } else {
        answer.rests_on(text);
    }
}

/// Says which readings something was done to since.
pub fn out_of_date(desk: &ClearanceModel, answer: &mut Answer) {
    let mut old: Vec<&str> =
        desk.out_of_date.iter().filter_map(|seen| Some(seen.measurand.kind()?.word())).collect();
    old.sort_unstable();
    old.dedup();
    if !old.is_empty() {
        answer.caution(format!(
            "Measure again: something was done since these were read: {}.",
            old.join(", ")
        ));
    }
}

/// What was given beside an instrument: what if.
fn asked(
    args: &ClearanceArgs,
    ground: &Ground,
    desk: &ClearanceModel,
    answer: &mut Answer,
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
        return Err(Error::usage(format!(
            "--{option} does not go with -i: the facts and readings of the instrument count. \
             Accepted beside it: --relief, --action, --notes, --tensions, --force, --away, --plucked-at"
        )));
    }
    let list = |option: &str, given: usize| -> Outcome {
        if given == 0 || given == count {
            Ok(())
        } else {
            Err(Error::usage(format!("--{option}: {given} given, {count} strings have an action")))
        }
    };
    let relief = given::length_if("relief", &args.relief)?;
    let mut actions = given::lengths("action", &args.action)?;
    if actions.len() == 1 {
        actions = given::for_each("action", &actions, count)?;
    }
    let sounds = given::sounds("notes", &args.notes, ground.a4(&[])?)?;
    let tensions = given::forces("tensions", &args.tensions)?;
    list("action", actions.len())?;
    list("notes", sounds.len())?;
    list("tensions", tensions.len())?;
    if relief.is_some() {
        answer
            .assumed("what if: this relief, saddles untouched, so that every action moves with it");
    }
    if !actions.is_empty() {
        answer.assumed("what if: these actions instead of those read");
    }
    if !sounds.is_empty() {
        answer.assumed(
            "what if: these notes; tension with the square of the frequency, relief as it is",
        );
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
    args: &ClearanceArgs,
    ground: &Ground,
    answer: &mut Answer,
) -> Outcome<Vec<SetString>> {
    let geometry = ground.geometry(&args.neck, answer)?;
    let place = Ground::way(&args.way, geometry.frets)?;
    if args.relief.is_empty() {
        return Err(given::missing("relief", "0.2 mm"));
    }
    if args.action.is_empty() {
        return Err(given::missing("action", "5/64 5/64 6/64 6/64"));
    }
    if args.notes.is_empty() {
        return Err(given::missing("notes", "G2 D2 A1 E1"));
    }
    if args.tensions.is_empty() {
        return Err(given::missing("tensions", "170 185 170 155 N"));
    }
    let relief = given::reading("relief", &args.relief, None)?;
    let sounds = given::sounds("notes", &args.notes, ground.a4(&[])?)?;
    let actions =
        given::for_each("action", &given::readings("action", &args.action, None)?, sounds.len())?;
    let tensions =
        given::for_each("tensions", &given::forces("tensions", &args.tensions)?, sounds.len())?;
    let stiffness: Vec<f64> = if args.inharmonicity.is_empty() {
        answer.assumed(
            "inharmonicity of each open string from its note: 2e-5 at 98 Hz to 3.1e-4 at 31 Hz",
        );
        sounds.iter().map(|s| assumed_inharmonicity(s.hz)).collect()
    } else {
        let given: Vec<f64> = args
            .inharmonicity
            .iter()
            .map(|one| given::number("inharmonicity", one))
            .collect::<Outcome<_>>()?;
        given::for_each("inharmonicity", &given, sounds.len())?
    };
    Ok(sounds
        .iter()
        .enumerate()
        .zip(actions)
        .zip(tensions)
        .zip(stiffness)
        .map(|((((index, sound), action), tension), inharmonicity)| SetString {
            name: match sound.note {
                Some(note) => format!("{} ({note})", index + 1),
                None => (index + 1).to_string(),
            },
            geometry: geometry.clone(),
            hz: sound.hz,
            tension: Estimate::exact(tension),
            inharmonicity,
            relief,
            relief_way: given::relief_way(None, geometry.frets),
            action,
            action_at: place,
            nut: None,
        })
        .collect())
}

/// Tells margins, lowest clean action, best relief and touch, and what they rest on.
pub fn tell(found: &Found, answer: &mut Answer) {
    let play = found.play;
    let force = play.touch.force.get::<newton>();
    if let Some(limit) = found.strings.get(found.limiting) {
        let margin = as_mm(limit.smallest.margin);
        let (note, over) = (limit.smallest.place.stopped, limit.smallest.place.over);
        let note = if note == 0 { "open".to_owned() } else { format!("stopped at {note}") };
        answer.lead(if margin < 0.0 {
            format!(
                "At {force:.2} N string {} touches first: {note}, over fret {over}, {} mm too low by this model.",
                limit.name, plain(-margin, 2)
            )
        } else {
            format!(
                "At {force:.2} N nothing touches by this model; string {} comes nearest: {note}, over fret {over}, {} mm to spare.",
                limit.name, plain(margin, 2)
            )
        });
    }
    let mut table = Table::new([
        "string",
        "action",
        "margin, mm",
        "nearest",
        "lowest clean",
        "best relief",
        "touch, N",
    ]);
    let mut fields: Vec<Value> = Vec::new();
    for string in &found.strings {
        table.row(row(string));
        fields.push(field(string));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.put("limiting_string", found.strings.get(found.limiting).map(|s| s.name.clone()));
    touch_fields(play, answer);
    answer.assumed(format!(
        "a finger 10 mm wide, {} from the saddle, {} it",
        both(play.from_saddle),
        if play.touch.direction == Direction::AwayFromBoard {
            "pulling away from"
        } else {
            "pushing toward"
        }
    ));
    answer.rests_on(
        "model: modes of a stiff damped string over its gaps at rest, lowest point of twenty periods",
    );
    answer.caution(found.caveat());
    if let Some(string) = found.strings.first() {
        under_touch(found, answer);
        answer.say(format!(
            "Action {}, in mm. Margin: give or take what the readings leave; the model's own error comes on \
             top. Nearest: stopped at/over. Lowest clean: at this relief and touch. Best relief: the range \
             that costs at most 0.02 mm of action. Touch: the hardest that stays clean.",
            way_words(string.action_at)
        ));
    }
}

/// Which strings stay clean over the whole interval of a touch that was learned.
fn under_touch(found: &Found, answer: &mut Answer) {
    let ForceFrom::Learned { low_newton, high_newton, .. } = found.play.touch_from else { return };
    let mut parts = Vec::new();
    for kind in [UnderTouch::Clean, UnderTouch::Touches, UnderTouch::CannotBeTold] {
        let of = found.strings.iter().filter(|s| s.under_touch == kind);
        let names: Vec<&str> = of.map(|s| s.name.as_str()).collect();
        if !names.is_empty() {
            parts.push(format!("{}: {}", kind.text(), names.join(", ")));
        }
    }
    answer.say(format!(
        "Over the learned touch, {low_newton:.2} N to {high_newton:.2} N, by the clearance model: {}.",
        parts.join("; ")
    ));
}

fn row(string: &StringClearance) -> [String; 7] {
    let place = string.smallest.place;
    let uncertainty = 2.0 * as_mm(string.uncertainty);
    // Never shown as none at all.
    let places = if uncertainty < 0.01 { 3 } else { 2 };
    [
        string.name.clone(),
        plain(as_mm(string.action), 2),
        format!("{} ± {}", plain(as_mm(string.smallest.margin), 2), plain(uncertainty, places)),
        format!("{}/{}", place.stopped, place.over),
        string
            .lowest
            .map_or_else(|| "none".to_owned(), |l| format!("{} mm", plain(as_mm(l.action), 2))),
        string.best_relief.map_or_else(
            || "none".to_owned(),
            |b| format!("{} to {}", plain(as_mm(b.good.0), 2), plain(as_mm(b.good.1), 2)),
        ),
        string.touch.map_or_else(|| "none".to_owned(), |t| plain(t.force.get::<newton>(), 1)),
    ]
}

fn field(string: &StringClearance) -> Value {
    let map: Vec<Value> = string
        .map
        .iter()
        .map(|m| {
            value!([m.place.stopped, m.place.over, rounded((as_mm(m.margin) * 1e4).round() / 1e4)])
        })
        .collect();
    value!({
        "string": string.name,
        "action_mm": rounded(as_mm(string.action)),
        "smallest_margin_mm": rounded(as_mm(string.smallest.margin)),
        "standard_uncertainty_from_readings_mm": rounded(as_mm(string.uncertainty)),
        "stopped_at_fret": string.smallest.place.stopped,
        "over_fret": string.smallest.place.over,
        "lowest_clean_action_mm": string.lowest.map(|l| rounded(as_mm(l.action))),
        "best_relief_mm": string.best_relief.map(|b| rounded(as_mm(b.relief))),
        "best_relief_action_mm": string.best_relief.map(|b| rounded(as_mm(b.action))),
        "best_relief_from_mm": string.best_relief.map(|b| rounded(as_mm(b.good.0))),
        "best_relief_to_mm": string.best_relief.map(|b| rounded(as_mm(b.good.1))),
        "under_touch": string.under_touch.text(),
        "touch_newton": string.touch.map(|t| rounded(t.force.get::<newton>())),
        "margins_by_stopped_over_mm": map,
    })
}
