//! String spacing at nut and bridge, seen from above.

use fallaway_measure::Quantity;
use fallaway_text::{Phrase, Voice, names};

use super::neck::{Gap, in_mm, sentence, target_mm};
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 250.0;
/// The rulers of nut and bridge.
const NUT: f64 = 78.0;
const BRIDGE: f64 = 180.0;
const EDGE: f64 = 28.0;
/// A gap narrower than this has no room for its number.
const NARROW: f64 = 56.0;

/// From one string to the next lower one.
#[derive(Debug, Clone, PartialEq)]
pub struct SpacingGap {
    /// The strings' names: "1 (G)", "2 (D)".
    pub between: (Phrase, Phrase),
    /// At the nut.
    pub nut: Gap,
    /// At the bridge.
    pub bridge: Gap,
}

/// The drawing: a ruler at the nut and one at the bridge, in true proportion to each other, the strings as
/// they lie between them; rings where they are wanted. The bass side is left.
pub fn spacing(of: &[SpacingGap], voice: &Voice) -> Scene {
    let mut scene = Scene::new(WIDTH, HEIGHT, voice.sentence(&say::spacing_title()));
    scene.heading();
    let nut: Vec<&Gap> = of.iter().map(|gap| &gap.nut).collect();
    let bridge: Vec<&Gap> = of.iter().map(|gap| &gap.bridge).collect();
    let lain = [Row::of(&nut), Row::of(&bridge)];
    let known = of.iter().any(|gap| told(&gap.nut) || told(&gap.bridge));
    if !known {
        let none = format!("{}.", voice.sentence(&say::not_measured()));
        scene.text(MarkRole::Label, (12.0, NUT), (Anchor::Start, 10.0, WIDTH - 24.0), &none);
        scene.sentences.push(none);
        scene.height = NUT + 24.0;
        return scene;
    }
    let seen = voice.sentence(&say::spacing_seen());
    let at = (12.0, HEIGHT - 9.0);
    scene.text(MarkRole::Label, at, (Anchor::Start, 9.0, WIDTH - 24.0), &seen);
    let most = lain.iter().flatten().map(Row::width).fold(10.0, f64::max);
    let scale = (WIDTH - 2.0 * EDGE) / most;
    if let [Some(nut), Some(bridge)] = &lain {
        for (from, to) in nut.lies.iter().zip(&bridge.lies) {
            let (from, to) = (place(*from, nut.width(), scale), place(*to, bridge.width(), scale));
            scene.line(MarkRole::String, [(from, NUT), (to, BRIDGE)]);
        }
    }
    for ((row, gaps), y) in lain.iter().zip([&nut, &bridge]).zip([NUT, BRIDGE]) {
        if let Some(row) = row {
            draw(&mut scene, row, y, scale);
            write(&mut scene, (row, gaps), y, scale, voice);
        }
    }
    for (gaps, quantity) in [(&nut, Quantity::SpacingNut), (&bridge, Quantity::SpacingBridge)] {
        for (gap, one) in gaps.iter().zip(of) {
            let (from, to) = one.between.clone();
            let what = say::spacing_between(names::quantity(quantity), from, to);
            scene.sentences.extend(sentence(what, gap, voice));
        }
    }
    scene.sentences.push(format!("{seen}."));
    scene.of_drawing = 1;
    scene
}

fn told(gap: &Gap) -> bool {
    gap.read.is_some() || gap.wanted.is_some() || gap.two_values
}

/// Strings across a board, from the first, in mm.
struct Row {
    lies: Vec<f64>,
    wanted: Option<Vec<f64>>,
    /// From which string to the next nothing was read: what is drawn is a guess.
    guessed: Vec<bool>,
}

impl Row {
    /// `None` where nothing is known of it.
    fn of(gaps: &[&Gap]) -> Option<Self> {
        let read = |gap: &Gap| Some(in_mm(gap.read.as_ref()?.0)?.0);
        let wanted: Vec<Option<f64>> = gaps.iter().map(|gap| Some(target_mm(gap)?.0)).collect();
        let known: Vec<Option<f64>> =
            gaps.iter().zip(&wanted).map(|(gap, wanted)| read(gap).or(*wanted)).collect();
        let all: Vec<f64> = known.iter().flatten().copied().collect();
        if all.is_empty() {
            return None;
        }
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let lies = along(known.iter().map(|gap| gap.unwrap_or(mean)));
        let wanted: Option<Vec<f64>> = wanted.into_iter().collect();
        Some(Self {
            lies,
            wanted: wanted.map(|wanted| along(wanted.into_iter())),
            guessed: gaps.iter().map(|gap| read(gap).is_none()).collect(),
        })
    }

    fn width(&self) -> f64 {
        let last = |lies: &[f64]| lies.last().copied().unwrap_or(0.0);
        last(&self.lies).max(self.wanted.as_deref().map_or(0.0, last))
    }
}

fn along(gaps: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut at = 0.0;
    std::iter::once(0.0)
        .chain(gaps.map(|gap| {
            at += gap.max(0.0);
            at
        }))
        .collect()
}

/// Rows lie about the middle; the first string, of the treble side, is right.
fn place(at: f64, width: f64, scale: f64) -> f64 {
    WIDTH / 2.0 + (width / 2.0 - at) * scale
}

fn draw(scene: &mut Scene, row: &Row, y: f64, scale: f64) {
    let x = |at: f64| place(at, row.width(), scale);
    scene.line(MarkRole::Board, [(x(row.width()) - 12.0, y), (x(0.0) + 12.0, y)]);
    for wanted in row.wanted.iter().flatten() {
        let at = Spot::new(x(*wanted), y);
        scene.mark(MarkRole::Wanted, Shape::Ring { at, radius: 5.5 });
    }
    for (number, at) in row.lies.iter().enumerate() {
        // A string beside which nothing was read lies where it is guessed.
        let beside = [number.checked_sub(1), Some(number)].into_iter().flatten();
        let read = beside.filter_map(|gap| row.guessed.get(gap)).any(|guessed| !guessed);
        if read {
            let at = Spot::new(x(*at), y);
            scene.mark(MarkRole::Read, Shape::Dot { at, radius: 3.0 });
        } else {
            scene.line(MarkRole::OutOfDate, [(x(*at) - 4.0, y), (x(*at) + 4.0, y)]);
        }
    }
}

/// The numbers of a ruler over or under its gaps, or, where those are narrow, in columns of equal width:
/// what was read, and beneath it what is wanted.
fn write(scene: &mut Scene, (row, gaps): (&Row, &[&Gap]), y: f64, scale: f64, voice: &Voice) {
    let column = (WIDTH - 24.0) / gaps.len().max(1) as f64;
    let x = |at: f64| place(at, row.width(), scale);
    let lies: Vec<(f64, f64)> = row
        .lies
        .iter()
        .zip(row.lies.iter().skip(1))
        .map(|(from, to)| (f64::midpoint(x(*from), x(*to)), x(*from) - x(*to)))
        .collect();
    let narrow = lies.iter().any(|(_, room)| *room < NARROW);
    let above = y < f64::midpoint(NUT, BRIDGE);
    let (number, beneath) = if above { (y - 24.0, y - 12.0) } else { (y + 22.0, y + 34.0) };
    for (at, (gap, lies)) in gaps.iter().zip(lies).enumerate() {
        let columns = WIDTH - 12.0 - column * (at as f64 + 0.5);
        let (middle, room) = if narrow { (columns, column - 4.0) } else { (lies.0, lies.1 - 4.0) };
        let read = gap.read.as_ref().map_or_else(|| "–".to_owned(), |(_, read)| voice.say(read));
        scene.text(MarkRole::Number, (middle, number), (Anchor::Middle, 12.0, room), &read);
        let wanted = match gap.wanted {
            _ if gap.two_values => say::two_values(),
            Some((wanted, _)) => say::spacing_wanted(names::amount(wanted).of(gap.quantity)),
            None => continue,
        };
        let wanted = voice.say(&wanted);
        scene.text(MarkRole::Label, (middle, beneath), (Anchor::Middle, 8.5, room), &wanted);
    }
}
