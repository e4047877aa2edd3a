//! What the clearance model answers, in words and numbers.

use fallaway::advice::clearance::{
    ClearanceAnswer as Found, ClearanceModel, ForceFrom, Play, StringClearance, UnderTouch,
};
use fallaway::mechanics::pluck::Direction;
use fallaway::mechanics::string_line::Place;
use fallaway::mechanics::units::as_mm;
use serde_json::{Value, json as value};
use uom::si::force::newton;

use super::answer::{Answer, both, plain, rounded};
use crate::json;
use crate::render::Table;

/// A way of reading in words.
pub fn way_words(place: Place) -> String {
    match (place.stopped, place.over) {
        (0, over) => format!("open over {over}"),
        (stopped, over) => format!("stopped at {stopped} over {over}"),
    }
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
