//! What changed, part by part, with intervals.

use fallaway_advice::compare::{PartChange, PartVerdict, WhatChanged};
use fallaway_record::InstrumentSpec;
use fallaway_text::messages::plan::off_head;
use fallaway_text::{Computed, Voice, changed};

use super::{DrawingWidth, PHONE};
use crate::letters::{self, wrap};
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const MARGIN: f64 = 12.0;
/// The size of the parts' names and numbers, and of those at the foot; and from one line to the next.
const SIZE: f64 = 10.0;
const SMALL: f64 = 9.0;
const LINE: f64 = 13.0;

/// How the rows stand.
struct Rows {
    wide: f64,
    top: f64,
    high: f64,
    /// Between what the changes are drawn.
    plot: (f64, f64),
    /// How far under the upper edge of a row the change is drawn.
    bar: f64,
    /// Where the part's name stands, and its number.
    name: Words,
    number: Words,
}

/// A text of a row: how far to the right, how far under the upper edge, about which place, how wide at most.
struct Words {
    right: f64,
    down: f64,
    anchor: Anchor,
    most: f64,
}

impl Rows {
    /// Name, change and number beside each other.
    const fn on_page() -> Self {
        Self {
            wide: 560.0,
            top: 34.0,
            high: 22.0,
            plot: (190.0, 390.0),
            bar: 11.0,
            name: Words { right: 180.0, down: 14.5, anchor: Anchor::End, most: 168.0 },
            number: Words { right: 400.0, down: 14.5, anchor: Anchor::Start, most: 154.0 },
        }
    }

    /// The change under its name and its number; the number under the name where one of the rows has no room
    /// for both.
    fn on_phone(told: &[(String, String)]) -> Self {
        let most = PHONE - 2.0 * MARGIN;
        let both = |(name, number): &(String, String)| {
            letters::width(name, SIZE) + letters::width(number, SIZE) * letters::BOLD + SIZE
        };
        let beside = told.iter().all(|row| both(row) <= most);
        let number = if beside {
            Words { right: PHONE - MARGIN, down: LINE, anchor: Anchor::End, most }
        } else {
            Words { right: MARGIN, down: 2.0 * LINE, anchor: Anchor::Start, most }
        };
        Self {
            wide: PHONE,
            top: 4.0,
            high: number.down + 21.0,
            plot: (MARGIN + 4.0, PHONE - MARGIN - 4.0),
            bar: number.down + 12.0,
            name: Words { right: MARGIN, down: LINE, anchor: Anchor::Start, most },
            number,
        }
    }
}

/// The drawing: a row for each part of which the readings tell, zero in the middle. What moved is an arrow
/// from then to now, what did not is a dot with its interval. Below are the names of the parts of which they
/// tell nothing: a row for each would bury the others. A phone says that and the title around the drawing, in
/// letters of its own.
pub fn changes(
    of: &WhatChanged,
    spec: &InstrumentSpec,
    width: DrawingWidth,
    voice: &Voice,
) -> Scene {
    let parts: Vec<(&PartChange, (f64, f64))> =
        of.parts.iter().filter_map(|part| Some((part, part.told()?))).collect();
    let told = parts.iter().map(|(part, (low, high))| {
        let mm = |mm: f64| Computed::mm(mm).signed();
        let told = say::change_told(mm(part.change.value), mm(*low).bare(), mm(*high).bare());
        let name = changed::part(part.part, spec);
        let said = format!("{}.", voice.sentence(&say::change_row(name.clone(), told.clone())));
        ((voice.say(&name), voice.say(&told)), said)
    });
    let (words, said): (Vec<(String, String)>, Vec<String>) = told.unzip();
    let rows = match width {
        DrawingWidth::Page => Rows::on_page(),
        DrawingWidth::Phone => Rows::on_phone(&words),
    };
    let untold = changed::untold_parts(of, spec).map(|untold| voice.sentence(&say::untold(untold)));
    let sentences = changed::sentences(of, spec).into_iter().map(|one| voice.sentence(&one));
    let sentences: Vec<String> = sentences.collect();
    // Against targets that were typed in there is no then and now to draw: it is said.
    let only_wishes = of.parts.is_empty() && !of.wishes.is_empty();
    let on_page = width == DrawingWidth::Page;
    let below = sentences.iter().filter(|_| only_wishes);
    let most = rows.wide - 2.0 * MARGIN;
    let foot = untold.iter().chain(below).filter(|_| on_page);
    let foot = foot.flat_map(|said| wrap(said, SMALL, most));
    let foot: Vec<String> = foot.collect();
    let plot_end = rows.top + rows.high * number(parts.len());
    let height = plot_end + 16.0 + LINE * number(foot.len());
    let title = if only_wishes { off_head() } else { say::changes_title() };
    let mut scene = Scene::new(rows.wide, height, voice.sentence(&title));
    let ends = parts.iter().flat_map(|(_, (low, high))| [low.abs(), high.abs()]);
    let furthest = ends.fold(0.1, f64::max);
    let middle = f64::midpoint(rows.plot.0, rows.plot.1);
    let x = |mm: f64| middle + mm / furthest * (rows.plot.1 - rows.plot.0) / 2.0;
    if on_page {
        scene.heading();
    }
    if !parts.is_empty() && on_page {
        scene.line(MarkRole::Fret, [(middle, rows.top), (middle, plot_end + 2.0)]);
    }
    for (row, ((part, (low, high)), (name, told))) in parts.iter().zip(&words).enumerate() {
        let top = rows.top + rows.high * number(row);
        let y = top + rows.bar;
        // Words stand between the rows of a phone: zero is marked in each.
        if !on_page {
            scene.line(MarkRole::Fret, [(middle, y - 5.0), (middle, y + 5.0)]);
        }
        scene.line(MarkRole::Uncertain, [(x(*low), y), (x(*high), y)]);
        let by = x(part.change.value);
        if part.verdict == PartVerdict::Moved {
            scene.arrow(MarkRole::Moved, (x(0.0), y - 5.0), (by, y - 5.0));
        }
        scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(by, y), radius: 3.0 });
        let mut put = |role: MarkRole, at: &Words, text: &str| {
            let place = (at.right, top + at.down);
            scene.text(role, place, (at.anchor, SIZE, at.most), text);
        };
        put(MarkRole::Label, &rows.name, name);
        let moved = matches!(part.verdict, PartVerdict::Moved);
        let role = if moved { MarkRole::Number } else { MarkRole::Label };
        put(role, &rows.number, told);
    }
    for (row, line) in foot.iter().enumerate() {
        let at = (MARGIN, plot_end + 12.0 + LINE * number(row));
        scene.text(MarkRole::Label, at, (Anchor::Start, SMALL, most), line);
    }
    scene.sentences = sentences;
    scene.sentences.extend(said);
    scene.sentences.extend(untold.map(|untold| format!("{untold}.")));
    scene
}

fn number(count: usize) -> f64 {
    f64::from(u16::try_from(count).unwrap_or(u16::MAX))
}
