//! What is left between strings and frets while a string swings, note by note.

use fallaway_advice::clearance::{ClearanceAnswer, StringClearance};
use fallaway_mechanics::clearance::ClearanceMargin;
use fallaway_mechanics::units::as_mm;
use fallaway_record::{FretFinding, FretState, InstrumentSpec};
use fallaway_text::{Computed, List, Phrase, Voice, clearance as told, entries, names};

use crate::letters;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 640.0;
const TOP: f64 = 40.0;
/// Between the lines of two strings.
const ROW: f64 = 40.0;
/// How high the largest margin stands above its string's line, and how deep one below it may go.
const TALL: f64 = 26.0;
const DEEP: f64 = 8.0;
/// Nut, and the last fret.
const NECK: (f64, f64) = (96.0, 486.0);
const BELOW: f64 = 44.0;
/// So much more where frets are marked: the line that says how.
const FOUND: f64 = 14.0;
/// Half as wide as a fret's mark.
const MARK: f64 = 3.4;

/// The drawing: a line for each string along its frets, at which it would touch; over it what is left
/// when the note of that fret is played, below it where it buzzes, with a triangle. By the model, with
/// the touch that was asked for. Frets that were found high, worn or loose are marked: at the top of their
/// line, or on the strings under which they were found so.
pub fn clearance(
    of: &ClearanceAnswer,
    frets: &[FretFinding],
    spec: &InstrumentSpec,
    voice: &Voice,
) -> Scene {
    let rows = of.strings.len().max(1) as f64;
    let marked = frets.iter().any(|found| is_marked(found.state));
    let height = TOP + ROW * rows + BELOW + if marked { FOUND } else { 0.0 };
    let mut scene = Scene::new(WIDTH, height, voice.sentence(&say::clearance_title()));
    scene.heading();
    let notes: Vec<Vec<ClearanceMargin>> =
        of.strings.iter().map(StringClearance::by_note).collect();
    let margins = || notes.iter().flatten().map(|one| as_mm(one.margin));
    let most = margins().map(f64::abs).fold(0.05, f64::max);
    let last = notes.iter().flatten().map(|one| one.place.stopped).max().unwrap_or(0).max(1);
    // Where the string is stopped; all strings as long as each other, so that frets are straight.
    let share = |fret: usize| 1.0 - (-(fret as f64) / 12.0).exp2();
    let x = |fret: usize| NECK.0 + share(fret) / share(last) * (NECK.1 - NECK.0);
    let low = TOP + ROW * rows;
    for fret in 0..=last {
        scene.line(MarkRole::Fret, [(x(fret), TOP), (x(fret), low + 4.0)]);
    }
    let mut numbered = Vec::new();
    let mut free_from = f64::NEG_INFINITY;
    for fret in 0..=last {
        let number = fret.to_string();
        let wide = letters::width(&number, 9.0);
        if x(fret) - wide / 2.0 > free_from {
            free_from = x(fret) + wide / 2.0 + 3.0;
            let at = (x(fret), low + 16.0);
            scene.text(MarkRole::Label, at, (Anchor::Middle, 9.0, 40.0), &number);
            numbered.push(say::fret_number(fret as i64));
        }
    }
    let text = told::answer(of, spec);
    scene.sentences.push(voice.sentence(&text.lead));
    for (row, (string, notes)) in (1_u8..).zip(of.strings.iter().zip(&notes)) {
        let y = TOP + ROW * f64::from(row) - DEEP;
        draw(&mut scene, (y, most), notes, &x);
        write(&mut scene, y, string, spec, voice);
    }
    for found in frets.iter().filter(|found| usize::from(found.fret.number()) <= last) {
        let at = x(usize::from(found.fret.number()));
        let rows = (1_u8..).zip(&of.strings);
        let under = rows.filter(|(_, string)| found.strings.contains(&string.place));
        for (row, _) in under {
            state(&mut scene, (at, TOP + ROW * f64::from(row) - DEEP), found.state);
        }
        if found.strings.is_empty() {
            state(&mut scene, (at, TOP - 6.0), found.state);
        }
        scene.sentences.push(format!("{}.", voice.sentence(&entries::fret_finding(found, spec))));
    }
    if marked {
        legend(&mut scene, low + 32.0 + FOUND, frets, voice);
    }
    let scale = say::clearance_scale(Computed::mm(most));
    let said = voice.sentence(&scale);
    scene.text(MarkRole::Label, (12.0, low + 32.0), (Anchor::Start, 9.0, WIDTH - 24.0), &said);
    scene.sentences.push(voice.sentence(&told::caveat()));
    scene.sentences.push(format!("{said}."));
    scene.sentences.push(voice.sentence(&say::frets_numbered(List::comma(numbered))));
    scene.of_drawing = 2;
    scene
}

/// A level fret is as it should be.
const fn is_marked(state: FretState) -> bool {
    matches!(state, FretState::High | FretState::Worn | FretState::Lifting)
}

/// How a fret was found: a triangle that stands, one that points down where it is worn, a ring where it is
/// loose.
fn state(scene: &mut Scene, (x, y): (f64, f64), state: FretState) {
    let triangle = |up: f64| {
        let corners = [(-MARK, up * 2.8), (MARK, up * 2.8), (0.0, -up * 2.8)];
        let places = corners.map(|(right, down)| Spot::new(x + right, y + down)).to_vec();
        Shape::Area { places }
    };
    let shape = match state {
        FretState::High => triangle(1.0),
        FretState::Worn => triangle(-1.0),
        FretState::Lifting => Shape::Ring { at: Spot::new(x, y), radius: 2.8 },
        _ => return,
    };
    scene.mark(MarkRole::Read, shape);
}

/// What the marks of the frets mean, each beside its word.
fn legend(scene: &mut Scene, y: f64, frets: &[FretFinding], voice: &Voice) {
    let size = 9.0;
    let lead = format!("{}: ", voice.sentence(&say::clearance_frets()));
    scene.text(MarkRole::Label, (12.0, y), (Anchor::Start, size, 160.0), &lead);
    let mut x = 12.0 + letters::width(&lead, size).min(160.0) + 2.0 * MARK;
    let states = [
        (FretState::High, say::clearance_fret_high()),
        (FretState::Worn, say::clearance_fret_worn()),
        (FretState::Lifting, say::clearance_fret_loose()),
    ];
    for (each, word) in states {
        if !frets.iter().any(|found| found.state == each) {
            continue;
        }
        state(scene, (x, y - 3.0), each);
        let word = voice.say(&word);
        let at = x + 2.0 * MARK;
        scene.text(MarkRole::Label, (at, y), (Anchor::Start, size, 140.0), &word);
        x = at + letters::width(&word, size).min(140.0) + 4.0 * MARK;
    }
}

/// A string's line, and the margins over it.
fn draw(
    scene: &mut Scene,
    (y, most): (f64, f64),
    notes: &[ClearanceMargin],
    x: &impl Fn(usize) -> f64,
) {
    let tall = |margin: f64| {
        // What is below the line may touch no other string's margins.
        if margin >= 0.0 { y - margin / most * TALL } else { y + (-margin / most * TALL).min(DEEP) }
    };
    let ends = [notes.first(), notes.last()].map(|note| note.map(|note| x(note.place.stopped)));
    if let [Some(from), Some(to)] = ends {
        scene.line(MarkRole::String, [(from, y), (to, y)]);
    }
    scene.line(
        MarkRole::Computed,
        notes.iter().map(|note| (x(note.place.stopped), tall(as_mm(note.margin)))),
    );
    for note in notes {
        let at = (x(note.place.stopped), tall(as_mm(note.margin)));
        if as_mm(note.margin) < 0.0 {
            let places = [(0.0, -7.0), (4.0, 0.0), (-4.0, 0.0)];
            let places = places.map(|(right, down)| Spot::new(at.0 + right, y + down)).to_vec();
            scene.mark(MarkRole::Caution, Shape::Area { places });
        } else {
            scene.mark(MarkRole::Computed, Shape::Dot { at: Spot::new(at.0, at.1), radius: 1.6 });
        }
    }
}

/// The string's name before its line, and behind it what is left where it is least.
fn write(
    scene: &mut Scene,
    y: f64,
    string: &StringClearance,
    spec: &InstrumentSpec,
    voice: &Voice,
) {
    let name = names::string_label(spec, string.place);
    let label = voice.say(&name);
    scene.text(MarkRole::Label, (NECK.0 - 10.0, y), (Anchor::End, 10.0, NECK.0 - 16.0), &label);
    let (place, margin) = (string.smallest.place, as_mm(string.smallest.margin));
    let note = match place.stopped {
        0 => say::clearance_open(),
        fret => say::clearance_fretted(fret as i64),
    };
    let (over, by) = (place.over as i64, Computed::mm(margin.abs()));
    let buzzes = margin < 0.0;
    let (said, short): (Phrase, Phrase) = if buzzes {
        (say::clearance_short(name, by, note.clone(), over), say::clearance_short_by(by))
    } else {
        (say::clearance_spare(name, by, note.clone(), over), names::computed(by))
    };
    let role = if buzzes { MarkRole::Caution } else { MarkRole::Number };
    let (at, room) = (NECK.1 + 14.0, WIDTH - NECK.1 - 20.0);
    scene.text(role, (at, y - 12.0), (Anchor::Start, 12.0, room), &voice.say(&short));
    let small = voice.say(&say::clearance_place(note, over));
    scene.text(MarkRole::Label, (at, y), (Anchor::Start, 8.5, room), &small);
    scene.sentences.push(format!("{}.", voice.sentence(&said)));
}
