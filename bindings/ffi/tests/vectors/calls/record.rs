//! The calls of a recorded instrument: an invitation and bundles, brought into a new workshop.

use std::sync::Arc;

use data_encoding::BASE64;
use fallaway_ffi::{
    CardLine, CardStanding, FallawayError, ForeignError, HistoryFilter, Instrument, InstrumentPart,
    MergeReport, Moment, Occasion, PartVerdict, Plan, PluckDirection, StepKind, StepVerdict,
    TimeSource, Touch, TurnDirection, WhatChanged, Workshop,
};

use super::{Actual, Answer, Given, refusal};

type Result<T> = std::result::Result<T, FallawayError>;

/// A clock that stands.
struct Standing(i64);

impl TimeSource for Standing {
    fn now(&self) -> std::result::Result<Moment, ForeignError> {
        Ok(Moment { unix_s: self.0, offset_min: 0 })
    }
}

/// The instrument with its bundles, and the report of the last one.
fn brought_in(given: Given<'_>) -> Result<(Arc<Instrument>, Option<MergeReport>)> {
    let now = given.0["now_unix_s"].as_i64().unwrap();
    let workshop = Workshop::in_memory("reader", Some(Arc::new(Standing(now))), None)?;
    let welcome = BASE64.decode(given.text("welcome").as_bytes()).unwrap();
    let instrument = workshop.accept(&given.text("invitation"), &welcome)?;
    let mut report = None;
    for bundle in given.0["bundles"].as_array().unwrap() {
        let bytes = BASE64.decode(bundle.as_str().unwrap().as_bytes()).unwrap();
        report = Some(workshop.bundle_in(&bytes, None)?);
    }
    Ok((instrument, report))
}

fn step_kind(kind: StepKind) -> &'static str {
    match kind {
        StepKind::Targets => "targets",
        StepKind::Tune => "tune",
        StepKind::Relief => "relief",
        StepKind::FallAway => "fall_away",
        StepKind::BridgeHeight => "bridge_height",
        StepKind::BridgeTilt => "bridge_tilt",
        StepKind::Nut => "nut",
        StepKind::Spacing => "spacing",
        StepKind::Action => "action",
        StepKind::Radius => "radius",
        StepKind::Pickup => "pickup",
        StepKind::Intonation => "intonation",
        StepKind::AsLeft => "as_left",
        StepKind::Newer => "newer",
    }
}

fn plan(plan: Plan) -> Answer {
    let offs: Vec<Option<f64>> = plan
        .steps
        .iter()
        .map(|step| step.compared.as_ref().map(|compared| compared.off.value))
        .collect();
    let steps: Vec<String> =
        plan.steps.iter().map(|step| format!("{}: {}", step.title, step.verdict_text)).collect();
    let mut answer = Answer::from([
        ("setup", plan.setup.map(|setup| setup.name).into()),
        ("steps", steps.into()),
        ("offs", offs.into()),
        ("text", plan.text.into()),
    ]);
    let next = plan.next_step.and_then(|next| plan.steps.get(usize::try_from(next).unwrap()));
    let Some(next) = next else { return answer };
    let cautions: Vec<String> = next.cautions.iter().map(|c| c.text.clone()).collect();
    answer.extend([
        ("next_kind", step_kind(next.kind).into()),
        ("next_title", next.title.clone().into()),
        ("next_verdict", next.verdict_text.clone().into()),
        ("next_sentences", next.sentences.clone().into()),
        ("next_cautions", cautions.into()),
    ]);
    if let StepVerdict::Adjust { work } = &next.verdict {
        let first = work.moves.first();
        let direction = first.and_then(|m| m.turn.direction).map(|direction| match direction {
            TurnDirection::Clockwise => "clockwise",
            TurnDirection::Anticlockwise => "anticlockwise",
        });
        answer.extend([
            ("next_screw", first.map(|m| m.text.clone()).into()),
            ("next_eighths", first.map(|m| m.turn.eighths).into()),
            ("next_direction", direction.into()),
            ("next_expect", work.expect.as_ref().map(|expect| expect.value).into()),
            ("next_left_over", work.left_over.as_ref().map(|left| left.value).into()),
        ]);
    }
    answer
}

fn occasion(given: Given<'_>, side: &str, visit: &str) -> Occasion {
    match given.text(side).as_str() {
        "as_found" => Occasion::AsFound { visit: given.text(visit).parse().unwrap() },
        "as_left" => Occasion::AsLeft { visit: given.text(visit).parse().unwrap() },
        "setup" => {
            let setup = given.maybe_text("setup");
            let setup = setup.as_deref().unwrap_or("stage").parse().unwrap();
            Occasion::Setup { setup }
        }
        _ => Occasion::Today,
    }
}

fn part(part: &InstrumentPart) -> String {
    match part {
        InstrumentPart::Neck => "neck".to_owned(),
        InstrumentPart::Twist => "twist".to_owned(),
        InstrumentPart::Joint => "joint".to_owned(),
        InstrumentPart::Saddle { place } => format!("saddle {}", place.course),
        InstrumentPart::NutSlot { place } => format!("nut {}", place.course),
        InstrumentPart::Heights => "heights".to_owned(),
        InstrumentPart::Newer => "newer".to_owned(),
    }
}

fn changed(found: WhatChanged) -> Answer {
    let verdict = |verdict| match verdict {
        PartVerdict::Moved => "moved",
        PartVerdict::NotBeyondRead => "not_beyond_read",
        PartVerdict::CannotBeTold => "cannot_be_told",
    };
    let parts = &found.parts;
    let would: Vec<Option<String>> =
        parts.iter().map(|p| p.would_tell.as_ref().map(|thing| thing.text.clone())).collect();
    let texts = |seen: &[fallaway_ffi::SeenReading]| -> Actual {
        seen.iter().map(|one| one.text.clone()).collect::<Vec<_>>().into()
    };
    let noted: Vec<String> = found.noted.iter().map(|noted| noted.text.clone()).collect();
    Answer::from([
        ("parts", parts.iter().map(|p| part(&p.part)).collect::<Vec<_>>().into()),
        ("verdicts", parts.iter().map(|p| verdict(p.verdict)).collect::<Vec<_>>().into()),
        ("changes_mm", parts.iter().map(|p| p.change.value).collect::<Vec<_>>().into()),
        ("lows_mm", parts.iter().map(|p| p.low_mm.unwrap_or(0.0)).collect::<Vec<_>>().into()),
        ("highs_mm", parts.iter().map(|p| p.high_mm.unwrap_or(0.0)).collect::<Vec<_>>().into()),
        ("would_tell", would.into()),
        ("common", found.common.into()),
        ("contradicting", texts(&found.contradicting)),
        ("outvoted", texts(&found.outvoted)),
        ("noted", noted.into()),
        ("sentences", found.sentences.into()),
    ])
}

fn card_line(line: &CardLine) -> String {
    let last = line.last.as_ref().map_or("", |last| &last.value.text);
    let target = line.target.as_ref().map_or("", |target| &target.value.text);
    let standing = match line.standing {
        CardStanding::Within => "within",
        CardStanding::SameAsFarAsReadable => "same_as_far_as_readable",
        CardStanding::Above => "above",
        CardStanding::Below => "below",
        CardStanding::MeasureAgain => "measure_again",
        CardStanding::TwoValues => "two_values",
        CardStanding::NoTarget => "no_target",
        CardStanding::NotRead => "not_read",
        CardStanding::CannotTell => "cannot_tell",
        CardStanding::Newer => "newer",
    };
    format!("{}; {}; {last}; {target}; {standing}", line.quantity_text, line.place_text)
}

fn clearance(instrument: &Instrument, given: Given<'_>) -> Result<Answer> {
    let touch = Touch {
        force_n: Some(given.number("force_n")),
        direction: PluckDirection::TowardBoard,
        from_saddle_mm: 100.0,
        spare_mm: 0.0,
    };
    let found = instrument.clearance(touch, None, None, None, false)?.answer;
    let strings = &found.strings;
    let limiting = &strings[usize::try_from(found.limiting_string).unwrap()].name;
    let lowest: Vec<Option<f64>> =
        strings.iter().map(|s| s.lowest_clean.map(|lowest| lowest.action_mm)).collect();
    Ok(Answer::from([
        ("limiting", limiting.clone().into()),
        ("names", strings.iter().map(|s| s.name.clone()).collect::<Vec<_>>().into()),
        ("buzzes", strings.iter().map(|s| s.buzzes).collect::<Vec<_>>().into()),
        ("smallest_mm", strings.iter().map(|s| s.smallest.margin_mm).collect::<Vec<_>>().into()),
        ("lowest_clean_mm", lowest.into()),
    ]))
}

fn contested(instrument: &Instrument) -> Result<Answer> {
    let mut fields = instrument.contested()?;
    fields.sort_by(|a, b| a.label.cmp(&b.label));
    let versions = fields.iter().map(|field| {
        let shown = field.versions.iter().map(|v| format!("{}, by {}", v.shown, v.device));
        let mut shown: Vec<String> = shown.collect();
        shown.sort();
        shown.join(" / ")
    });
    Ok(Answer::from([
        ("versions", versions.collect::<Vec<_>>().into()),
        ("fields", fields.iter().map(|field| field.label.clone()).collect::<Vec<_>>().into()),
    ]))
}

fn merge(instrument: &Instrument, report: Option<MergeReport>) -> Result<Answer> {
    let report = report.unwrap();
    let added = report.added.iter().map(|added| {
        let entries: u32 = added.entries.iter().map(|entries| entries.count).sum();
        format!("{}: {entries}, {}", added.device, added.values)
    });
    let mut added: Vec<String> = added.collect();
    added.sort();
    let mut newly: Vec<String> = report.newly_contested.into_iter().map(|f| f.label).collect();
    newly.sort();
    let view = instrument.details()?;
    let mut people: Vec<String> = view.people.into_iter().map(|person| person.label).collect();
    people.retain(|label| label != "reader");
    people.sort();
    Ok(Answer::from([
        ("added", added.into()),
        ("refused", u32::try_from(report.refused.len()).unwrap().into()),
        ("newly_contested", newly.into()),
        ("waiting", report.waiting.into()),
        ("name", view.name.into()),
        ("people", people.into()),
        ("state", view.history_digest.into()),
    ]))
}

fn try_answer(call: &str, given: Given<'_>) -> Result<Answer> {
    let (instrument, report) = brought_in(given)?;
    let setup = given.maybe_text("setup").map(|id| id.parse().unwrap());
    match call {
        "plan" => instrument.plan(setup).map(plan),
        "what_changed" => {
            let before = occasion(given, "before", "before_visit");
            let after = occasion(given, "after", "after_visit");
            instrument.what_changed(before, after).map(changed)
        }
        "card" => {
            let card = instrument.card(setup)?;
            let lines: Vec<String> = card.lines.iter().map(card_line).collect();
            Ok(Answer::from([
                ("setup", card.setup.map(|setup| setup.name).into()),
                ("lines", lines.into()),
            ]))
        }
        "clearance" => clearance(&instrument, given),
        "history" => {
            let entries = instrument.history(&HistoryFilter::default())?;
            let out: Vec<bool> = entries.iter().map(|e| !e.retracted.is_empty()).collect();
            Ok(Answer::from([
                ("texts", entries.iter().map(|e| e.text.clone()).collect::<Vec<_>>().into()),
                ("devices", entries.iter().map(|e| e.device.clone()).collect::<Vec<_>>().into()),
                ("retracted", out.into()),
            ]))
        }
        "contested" => contested(&instrument),
        "draw" => super::drawings::draw(&instrument, given),
        "sheet" => super::drawings::sheet(&instrument, given),
        _ => merge(&instrument, report),
    }
}

/// The answer or refusal of a call; `None` for one that is not here.
pub fn answer(call: &str, given: Given<'_>) -> Option<Answer> {
    let here = [
        "plan",
        "what_changed",
        "card",
        "clearance",
        "history",
        "contested",
        "draw",
        "sheet",
        "merge",
    ];
    let found = || try_answer(call, given).unwrap_or_else(|error| refusal(&error));
    here.contains(&call).then(found)
}
