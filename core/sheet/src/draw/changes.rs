//! What changed, part by part, with intervals.

use fallaway_advice::compare::{PartChange, PartVerdict, WhatChanged};
use fallaway_record::InstrumentSpec;
use fallaway_text::messages::plan::off_head;
use fallaway_text::{Computed, Voice, changed};

use crate::letters::wrap;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 560.0;
const ROW: f64 = 22.0;
const TOP: f64 = 34.0;
const MARGIN: f64 = 12.0;
/// The size of the names at the foot, and from one of their lines to the next.
const SMALL: f64 = 9.0;
const LINE: f64 = 13.0;
/// Where the parts' names end, and the numbers begin.
const PLOT: (f64, f64) = (190.0, 390.0);

/// The drawing: a row for each part of which the readings tell, zero in the middle. What moved is an arrow
/// from then to now, what did not is a dot with its interval. Below are the names of the parts of which they
/// tell nothing: a row for each would bury the others.
pub fn changes(of: &WhatChanged, spec: &InstrumentSpec, voice: &Voice) -> Scene {
    let voice = &voice.typeset();
    let parts: Vec<(&PartChange, (f64, f64))> =
        of.parts.iter().filter_map(|part| Some((part, part.told()?))).collect();
    let untold = changed::untold_parts(of, spec).map(|untold| voice.sentence(&say::untold(untold)));
    let sentences = changed::sentences(of, spec).into_iter().map(|one| voice.sentence(&one));
    let sentences: Vec<String> = sentences.collect();
    // Against targets that were typed in there is no then and now to draw: it is said.
    let only_wishes = of.parts.is_empty() && !of.wishes.is_empty();
    let below = sentences.iter().filter(|_| only_wishes);
    let foot = untold.iter().chain(below).flat_map(|said| wrap(said, SMALL, WIDTH - 2.0 * MARGIN));
    let foot: Vec<String> = foot.collect();
    let plot_end = TOP + ROW * rows(parts.len());
    let height = plot_end + 16.0 + LINE * rows(foot.len());
    let title = if only_wishes { off_head() } else { say::changes_title() };
    let mut scene = Scene::new(WIDTH, height, voice.sentence(&title));
    let ends = parts.iter().flat_map(|(_, (low, high))| [low.abs(), high.abs()]);
    let most = ends.fold(0.1, f64::max);
    let middle = f64::midpoint(PLOT.0, PLOT.1);
    let x = |mm: f64| middle + mm / most * (PLOT.1 - PLOT.0) / 2.0;
    scene.heading();
    if !parts.is_empty() {
        scene.line(MarkRole::Fret, [(middle, TOP), (middle, plot_end + 2.0)]);
    }
    let mut y = TOP + ROW / 2.0;
    let mut said = Vec::new();
    for (part, (low, high)) in parts {
        let name = changed::part(part.part, spec);
        let mm = |mm: f64| Computed::mm(mm).signed();
        let told = say::change_told(mm(part.change.value), mm(low).bare(), mm(high).bare());
        scene.line(MarkRole::Uncertain, [(x(low), y), (x(high), y)]);
        let by = x(part.change.value);
        if part.verdict == PartVerdict::Moved {
            scene.arrow(MarkRole::Moved, (x(0.0), y - 5.0), (by, y - 5.0));
        }
        scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(by, y), radius: 3.0 });
        let label = (Anchor::End, 10.0, PLOT.0 - 22.0);
        scene.text(MarkRole::Label, (PLOT.0 - 10.0, y + 3.5), label, &voice.say(&name));
        let moved = matches!(part.verdict, PartVerdict::Moved);
        let role = if moved { MarkRole::Number } else { MarkRole::Label };
        let number = (Anchor::Start, 10.0, WIDTH - PLOT.1 - 16.0);
        scene.text(role, (PLOT.1 + 10.0, y + 3.5), number, &voice.say(&told));
        said.push(format!("{}.", voice.sentence(&say::change_row(name, told))));
        y += ROW;
    }
    for (row, line) in foot.iter().enumerate() {
        let at = (MARGIN, plot_end + 12.0 + LINE * rows(row));
        scene.text(MarkRole::Label, at, (Anchor::Start, SMALL, WIDTH - 2.0 * MARGIN), line);
    }
    scene.sentences = sentences;
    scene.sentences.extend(said);
    scene.sentences.extend(untold.map(|untold| format!("{untold}.")));
    scene
}

fn rows(count: usize) -> f64 {
    f64::from(u16::try_from(count).unwrap_or(u16::MAX))
}
