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
/// The ring of the whole turns, in degrees as far round as leaves its arrow head to be seen.
const RING: f64 = 28.0;
const ROUND: f64 = 345.0;
/// Where the words begin.
const WORDS: f64 = 136.0;

/// The turns of a step of the plan, a dial each: the screw as seen from the tool, its slot at twelve
/// o'clock, an arc as long as the turn. Whole turns are a full ring inside it, with how many there are.
/// Where the way is not known, both are dashed. Nothing for a step that turns nothing.
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
    let (screw, how_far) = (plan::screw(&one.screw, spec), plan::turn(one.turn));
    let title = voice.sentence(&say::turn_title(screw.clone(), how_far.clone()));
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
    // Less than an eighth is drawn as half of one.
    let degrees = 45.0 * if eighths == 0.0 { 0.5 } else { rest };
    let mut turned = |radius: f64, degrees: f64| {
        let arc = |sweep| Shape::Arc { at, radius, sweep };
        match one.turn.direction {
            Some(TurnDirection::Clockwise) => scene.mark(MarkRole::Act, arc(degrees)),
            Some(TurnDirection::Anticlockwise) => scene.mark(MarkRole::Act, arc(-degrees)),
            None => {
                scene.mark(MarkRole::Doubtful, arc(degrees));
                scene.mark(MarkRole::Doubtful, arc(-degrees));
            }
        }
    };
    if degrees > 0.0 {
        turned(RADIUS + 6.0, degrees);
    }
    if whole > 0.0 {
        turned(RING, ROUND);
        let times = voice.say(&say::turn_whole(whole as i64));
        let room = (Anchor::Middle, 15.0, 2.0 * RING - 14.0);
        scene.text(MarkRole::Act, (x, y + 5.0), room, &times);
    }
    let most = WIDTH - WORDS - 8.0;
    let mut top = 34.0;
    for line in letters::wrap(&voice.sentence(&how_far), 17.0, most).iter().take(3) {
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
