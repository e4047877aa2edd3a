//! Intonation before and after what was done, string by string.

use fallaway_advice::observe::{COVERAGE, Estimate, EstimateUnit};
use fallaway_measure::{Amount, Reading};
use fallaway_text::{Computed, List, Phrase, Voice, names};

use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 560.0;
/// What it is wider by where people wrote two targets, which stands there.
const TWO: f64 = 84.0;
const ROW: f64 = 24.0;
const TOP: f64 = 36.0;
/// Where the names end, and the numbers begin.
const PLOT: (f64, f64) = (140.0, 380.0);
/// Under the rows stands the scale.
const BELOW: f64 = 30.0;

/// Intonation of a string, stopped at one fret.
#[derive(Debug, Clone, PartialEq)]
pub struct IntonationRow {
    /// What the string is called: "4 (E)".
    pub string: Phrase,
    /// Where it is stopped.
    pub fret: u8,
    /// What was read before the last thing that was done to it.
    pub before: Option<(Estimate, Phrase)>,
    /// What was read last, and nothing done since.
    pub after: Option<(Estimate, Phrase)>,
    /// The target and its tolerance.
    pub wanted: Option<(Amount, Amount)>,
    /// People wrote two targets.
    pub two_values: bool,
}

/// The drawing: a row for each string, flat at the left and sharp at the right of what is right. An arrow
/// goes from what was read before to what is read now.
pub fn intonation(of: &[IntonationRow], voice: &Voice) -> Scene {
    let height = TOP + ROW * of.len().max(1) as f64 + BELOW;
    let title = voice.sentence(&say::intonation_title());
    let contested = of.iter().any(|row| row.two_values);
    let width = if contested { WIDTH + TWO } else { WIDTH };
    let mut scene = Scene::new(width, height, title);
    scene.heading();
    if of.is_empty() {
        let none = format!("{}.", voice.sentence(&say::not_measured()));
        scene.text(MarkRole::Label, (12.0, TOP + 16.0), (Anchor::Start, 10.0, WIDTH - 24.0), &none);
        scene.sentences.push(none);
        return scene;
    }
    let reads = of.iter().flat_map(|row| [&row.before, &row.after]).flatten();
    let ends = reads.filter_map(|(read, _)| cents(*read)).map(|(value, about)| value.abs() + about);
    let targets = of.iter().filter_map(target).map(|(value, within)| value.abs() + within);
    let most = ends.chain(targets).fold(2.0, f64::max);
    let marks = Scale::of(most);
    let middle = f64::midpoint(PLOT.0, PLOT.1);
    let x = |cents: f64| middle + cents / marks.most * (PLOT.1 - PLOT.0) / 2.0;
    let low = height - BELOW;
    let mut named = Vec::new();
    for cents in [-marks.step, 0.0, marks.step] {
        scene.line(MarkRole::Fret, [(x(cents), TOP), (x(cents), low)]);
        let said = names::computed(Computed::cents(cents).places(0).signed());
        let label = (Anchor::Middle, 8.5, (PLOT.1 - PLOT.0) / 4.0);
        scene.text(MarkRole::Label, (x(cents), low + 12.0), label, &voice.say(&said));
        named.push(said);
    }
    let mut y = TOP + ROW / 2.0;
    for row in of {
        draw(&mut scene, row, &x, y);
        write(&mut scene, row, y, voice);
        y += ROW;
    }
    scene.sentences.push(voice.sentence(&say::history_scale(List::comma(named))));
    scene.of_drawing = 1;
    scene
}

/// From cents to places: as far as it goes, and a round mark on both sides.
struct Scale {
    most: f64,
    step: f64,
}

impl Scale {
    const STEPS: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];

    fn of(most: f64) -> Self {
        let step = Self::STEPS.into_iter().rfind(|step| *step <= most * 0.9).unwrap_or(1.0);
        Self { most: most * 1.05, step }
    }
}

fn cents(read: Estimate) -> Option<(f64, f64)> {
    (read.scale == EstimateUnit::Cent).then_some((read.value, COVERAGE * read.standard_uncertainty))
}

fn target(row: &IntonationRow) -> Option<(f64, f64)> {
    let (wanted, within) = row.wanted.filter(|_| !row.two_values)?;
    let exact = |amount: Amount| cents(Estimate::of_reading(Reading::Value(amount), None)?);
    Some((exact(wanted)?.0, exact(within)?.0))
}

fn draw(scene: &mut Scene, row: &IntonationRow, x: &impl Fn(f64) -> f64, y: f64) {
    if let Some((wanted, within)) = target(row) {
        let (left, right) = (x(wanted - within), x(wanted + within));
        scene.band(MarkRole::Tolerance, (left, y - 7.0), (right, y + 7.0));
        let at = Spot::new(x(wanted), y);
        scene.mark(MarkRole::Wanted, Shape::Ring { at, radius: 4.5 });
    }
    let of = |read: &Option<(Estimate, Phrase)>| read.as_ref().and_then(|(read, _)| cents(*read));
    let (before, after) = (of(&row.before), of(&row.after));
    match (before, after) {
        (Some((from, _)), Some((to, _))) if (x(from) - x(to)).abs() > 6.0 => {
            scene.arrow(MarkRole::Moved, (x(from), y - 8.0), (x(to), y - 8.0));
        }
        _ => {}
    }
    if let Some((from, _)) = before {
        scene.line(MarkRole::OutOfDate, [(x(from), y - 5.0), (x(from), y + 5.0)]);
    }
    if let Some((to, about)) = after {
        scene.line(MarkRole::Uncertain, [(x(to - about), y), (x(to + about), y)]);
        scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(x(to), y), radius: 3.0 });
    }
}

fn write(scene: &mut Scene, row: &IntonationRow, y: f64, voice: &Voice) {
    let of = say::intonation_of(row.string.clone(), i64::from(row.fret));
    let label = (Anchor::End, 10.0, PLOT.0 - 22.0);
    scene.text(MarkRole::Label, (PLOT.0 - 12.0, y + 3.5), label, &voice.say(&of));
    let said = |read: &Option<(Estimate, Phrase)>| read.as_ref().map(|(_, said)| said.clone());
    let (before, after) = (said(&row.before), said(&row.after));
    let number = after.as_ref().map_or_else(|| "–".to_owned(), |after| voice.say(after));
    scene.text(MarkRole::Number, (PLOT.1 + 12.0, y + 4.0), (Anchor::Start, 11.0, 72.0), &number);
    if let Some(before) = &before {
        let was = voice.say(&say::intonation_was(before.clone()));
        scene.text(MarkRole::Label, (PLOT.1 + 90.0, y + 4.0), (Anchor::Start, 9.5, 82.0), &was);
    }
    if row.two_values {
        let two = voice.say(&say::two_values());
        let room = (Anchor::Start, 9.5, TWO - 8.0);
        scene.text(MarkRole::Label, (WIDTH, y + 4.0), room, &two);
    }
    let wanted = match row.wanted {
        _ if row.two_values => Some(say::two_values()),
        wanted => wanted.map(|(wanted, within)| say::wanted(wanted, within)),
    };
    let told = match (before, after) {
        (Some(before), Some(after)) => say::intonation_moved(of, before, after),
        (None, Some(after)) => say::gap_read(of, after),
        (Some(before), None) => say::gap_out_of_date_only(of, before),
        (None, None) => say::gap_read(of, say::not_measured()),
    };
    let told = voice.sentence(&told);
    scene.sentences.push(match wanted {
        Some(wanted) => format!("{told}, {}.", voice.say(&wanted)),
        None => format!("{told}."),
    });
}
