//! What changed, part by part, with intervals.

use fallaway_advice::compare::{PartChange, PartVerdict, WhatChanged};
use fallaway_record::InstrumentSpec;
use fallaway_text::{Computed, Voice, changed};

use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 560.0;
const ROW: f64 = 22.0;
const TOP: f64 = 34.0;
/// Where the parts' names end, and the numbers begin.
const PLOT: (f64, f64) = (190.0, 390.0);

/// The drawing: a row for each part, zero in the middle. What moved is an arrow from then to now, what
/// did not is a dot with its interval; a dash where the readings leave it open.
pub fn changes(of: &WhatChanged, spec: &InstrumentSpec, voice: &Voice) -> Scene {
    let rows = u16::try_from(of.parts.len()).unwrap_or(u16::MAX);
    let height = TOP + ROW * f64::from(rows.max(1)) + 16.0;
    let mut scene = Scene::new(WIDTH, height, voice.sentence(&say::changes_title()));
    let ends = of.parts.iter().filter_map(interval);
    let most = ends.flat_map(|(low, high)| [low.abs(), high.abs()]).fold(0.1, f64::max);
    let middle = f64::midpoint(PLOT.0, PLOT.1);
    let x = |mm: f64| middle + mm / most * (PLOT.1 - PLOT.0) / 2.0;
    scene.heading();
    scene.line(MarkRole::Fret, [(middle, TOP), (middle, height - 14.0)]);
    let mut y = TOP + ROW / 2.0;
    let mut rows = Vec::new();
    for part in &of.parts {
        let name = changed::part(part.part, spec);
        let told = interval(part).map_or_else(say::change_open, |(low, high)| {
            let mm = |mm: f64| Computed::mm(mm).signed();
            say::change_told(mm(part.change.value), mm(low).bare(), mm(high).bare())
        });
        draw(&mut scene, part, x, y);
        let label = (Anchor::End, 10.0, PLOT.0 - 22.0);
        scene.text(MarkRole::Label, (PLOT.0 - 10.0, y + 3.5), label, &voice.say(&name));
        let moved = matches!(part.verdict, PartVerdict::Moved);
        let role = if moved { MarkRole::Number } else { MarkRole::Label };
        let number = (Anchor::Start, 10.0, WIDTH - PLOT.1 - 16.0);
        scene.text(role, (PLOT.1 + 10.0, y + 3.5), number, &voice.say(&told));
        rows.push(format!("{}.", voice.sentence(&say::change_row(name, told))));
        y += ROW;
    }
    scene.sentences = changed::sentences(of, spec).iter().map(|one| voice.sentence(one)).collect();
    scene.sentences.extend(rows);
    scene
}

/// The interval of a part of which the readings tell something.
fn interval(part: &PartChange) -> Option<(f64, f64)> {
    part.interval_mm.filter(|_| part.verdict != PartVerdict::CannotBeTold)
}

fn draw(scene: &mut Scene, part: &PartChange, x: impl Fn(f64) -> f64, y: f64) {
    let Some((low, high)) = interval(part) else {
        return scene.line(MarkRole::OutOfDate, [(x(0.0) - 5.0, y), (x(0.0) + 5.0, y)]);
    };
    scene.line(MarkRole::Uncertain, [(x(low), y), (x(high), y)]);
    match part.verdict {
        PartVerdict::Moved => {
            scene.arrow(MarkRole::Moved, (x(0.0), y - 5.0), (x(part.change.value), y - 5.0));
        }
        PartVerdict::NotBeyondRead | PartVerdict::CannotBeTold => {}
    }
    scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(x(part.change.value), y), radius: 3.0 });
}
