//! What the clearance model answers, in words and numbers.

use fallaway::advice::clearance::{
    ClearanceAnswer, ClearanceModel, ForceFrom, StringClearance, TouchUsed,
};
use fallaway::mechanics::units::as_mm;
use fallaway::mechanics::uom::si::force::newton;
use fallaway::record::InstrumentSpec;
use fallaway_text::{clearance as text, names};
use serde_json::{Value, json as value};

use super::answer::{Reply, rounded};
use crate::json;
use crate::render::TextTable;

/// Says how hard it is played and where that comes from.
pub fn touch_fields(play: TouchUsed, answer: &mut Reply) {
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
    let text = text::touch(&play);
    if matches!(play.touch_from, ForceFrom::Assumed) {
        answer.assumed(text);
    } else {
        answer.rests_on(text);
    }
}

/// Says which readings something was done to since.
pub fn out_of_date(desk: &ClearanceModel, answer: &mut Reply) {
    if let Some(old) = text::out_of_date(desk) {
        answer.caution(old);
    }
}

/// Tells margins, lowest clean action, best relief and touch, and what they rest on.
pub fn tell(
    found: &ClearanceAnswer,
    desk: &ClearanceModel,
    spec: &InstrumentSpec,
    answer: &mut Reply,
) {
    let said = text::answer_of(found, &desk.rests_on, spec);
    answer.lead(said.lead);
    let mut table = TextTable::new(said.head);
    for row in said.rows {
        table.row(row);
    }
    answer.table(table.by_string());
    let name = |string: &StringClearance| names::string_label(spec, string.place).to_string();
    let fields: Vec<Value> = found.strings.iter().map(|one| field(one, &name(one))).collect();
    answer.put("strings", fields);
    answer.put("limiting_string", found.strings.get(found.limiting).map(name));
    touch_fields(found.play, answer);
    answer.assumed(said.finger);
    answer.rests_on(said.basis);
    answer.caution(text::caveat());
    for sentence in said.under_touch.into_iter().chain([said.legend]) {
        answer.say(sentence);
    }
}

fn field(string: &StringClearance, name: &str) -> Value {
    let map: Vec<Value> = string
        .map
        .iter()
        .map(|m| {
            value!([m.place.stopped, m.place.over, rounded((as_mm(m.margin) * 1e4).round() / 1e4)])
        })
        .collect();
    value!({
        "string": name,
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
        "under_touch": text::under_touch(string.under_touch).to_string(),
        "touch_newton": string.touch.map(|t| rounded(t.force.get::<newton>())),
        "margins_by_stopped_over_mm": map,
    })
}
