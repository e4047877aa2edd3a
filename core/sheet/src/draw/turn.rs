//! A turn as a dial: the one picture a hand needs.

use fallaway_advice::plan::{PlanStep, ScrewMove, StepVerdict};
use fallaway_advice::turns::TurnDirection;
use fallaway_record::InstrumentSpec;
use fallaway_text::{Voice, names, plan};

use crate::letters;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 130.0;
const MIDDLE: (f64, f64) = (65.0, 65.0);
const RADIUS: f64 = 46.0;
/// Where the words begin.
const WORDS: f64 = 136.0;

/// The turns of a step of the plan, a dial each: the screw as seen from the tool, its slot at twelve
/// o'clock, an arc as long as the turn. Whole turns are full rings inside it. Where the way is not
/// known, both are dashed. Nothing for a step that turns nothing.
pub fn turn(step: &PlanStep, spec: &InstrumentSpec, voice: &Voice) -> Vec<Scene> {
    let StepVerdict::Adjust(work) = &step.verdict else { return Vec::new() };
    let text = plan::step(step, spec);
    let mut after: Vec<String> = text.then.iter().map(|then| voice.sentence(then)).collect();
    let expected =
        work.expect_shown.map(|shown| voice.sentence(&say::then_reads(names::amount(shown))));
    after.extend(expected.clone());
    work.moves.iter().map(|one| dial(one, expected.as_deref(), &after, spec, voice)).collect()
}

fn dial(
    one: &ScrewMove,
    expected: Option<&str>,
    after: &[String],
    spec: &InstrumentSpec,
    voice: &Voice,
) -> Scene {
    let (screw, turned) = (plan::screw(&one.screw, spec), plan::turn(one.turn));
    let title = voice.sentence(&say::turn_title(screw.clone(), turned.clone()));
    let mut scene = Scene::new(WIDTH, HEIGHT, title.clone());
    let (x, y) = MIDDLE;
    let at = Spot::new(x, y);
    scene.mark(MarkRole::Board, Shape::Ring { at, radius: RADIUS });
    for eighth in 0..8 {
        let angle = f64::from(eighth) * std::f64::consts::FRAC_PI_4;
        let inner = RADIUS - if eighth % 2 == 0 { 8.0 } else { 4.0 };
        let place = |radius: f64| (x + radius * angle.sin(), y - radius * angle.cos());
        scene.line(MarkRole::Fret, [place(inner), place(RADIUS)]);
    }
    // The slot.
    scene.line(MarkRole::Read, [(x, y - RADIUS + 10.0), (x, y - RADIUS)]);
    let eighths = f64::from(one.turn.eighths);
    let (whole, rest) = ((eighths / 8.0).floor(), eighths % 8.0);
    // More whole turns than rings fit are told by the words alone.
    for ring in 0..(whole.min(3.0) as u8) {
        scene.mark(
            MarkRole::Moved,
            Shape::Ring { at, radius: RADIUS - 12.0 - 5.0 * f64::from(ring) },
        );
    }
    // Less than an eighth is drawn as half of one.
    let degrees = 45.0 * if eighths == 0.0 { 0.5 } else { rest };
    let radius = RADIUS + 6.0;
    let arc = |sweep| Shape::Arc { at, radius, sweep };
    match one.turn.direction {
        Some(_) if degrees == 0.0 => {}
        Some(TurnDirection::Clockwise) => scene.mark(MarkRole::Act, arc(degrees)),
        Some(TurnDirection::Anticlockwise) => scene.mark(MarkRole::Act, arc(-degrees)),
        None => {
            scene.mark(MarkRole::Doubtful, arc(degrees));
            scene.mark(MarkRole::Doubtful, arc(-degrees));
        }
    }
    let most = WIDTH - WORDS - 8.0;
    let mut top = 34.0;
    for line in letters::wrap(&voice.sentence(&turned), 17.0, most).iter().take(3) {
        scene.text(MarkRole::Act, (WORDS, top), (Anchor::Start, 17.0, most), line);
        top += 20.0;
    }
    let mut small: Vec<String> = vec![voice.sentence(&screw)];
    small.extend(plan::alike(one).map(|alike| voice.sentence(&alike)));
    small.extend(expected.map(str::to_owned));
    for line in small.iter().flat_map(|text| letters::wrap(text, 10.0, most)).take(6) {
        scene.text(MarkRole::Label, (WORDS, top), (Anchor::Start, 10.0, most), &line);
        top += 13.0;
    }
    // Long words in a narrow column need more than the dial's height.
    scene.height = scene.height.max(top);
    scene.sentences.push(format!("{title}."));
    scene.sentences.extend(plan::alike(one).map(|alike| format!("{}.", voice.sentence(&alike))));
    scene.sentences.extend(after.iter().cloned());
    scene
}
