//! The neck in profile, along its frets, with its gaps magnified.

use fallaway_advice::observe::{Estimate, EstimateUnit};
use fallaway_measure::{Amount, Fret, Quantity};
use fallaway_mechanics::units::as_mm;
use fallaway_record::Moment;
use fallaway_text::{Computed, List, Phrase, Voice, names};

use crate::letters;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 640.0;
/// It takes as much of this as it needs.
const MOST_HIGH: f64 = 350.0;
/// Nut and saddle.
const ENDS: (f64, f64) = (44.0, 616.0);
/// The height of the straight line between the frets at which relief is read.
const BASE: f64 = 186.0;
/// What the string may take over it, as far as the saddle, and the relief below it.
const MOST: (f64, f64) = (104.0, 46.0);
/// What a bent neck may take over it, where the end of the board is drawn.
const BENT: f64 = 70.0;
/// The margin of the page, and the sizes of a number and of what stands with it.
const EDGE: f64 = 12.0;
const LARGE: f64 = 20.0;
const SMALL: f64 = 9.5;
/// Half of an estimate's interval is so many standard uncertainties.
const COVERAGE: f64 = fallaway_advice::observe::COVERAGE;

/// A gap of the drawing: what was read, and what is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// The last reading in mm and as it was read.
    pub read: Option<(Estimate, Phrase)>,
    /// What was read when last something was done that moves it, if that was on an earlier day.
    pub before: Option<GapBefore>,
    /// The target and its tolerance.
    pub wanted: Option<(Amount, Amount)>,
    /// People wrote two targets.
    pub two_values: bool,
    /// Something done since has put the reading out of date.
    pub out_of_date: bool,
}

/// What a gap was before.
#[derive(Debug, Clone, PartialEq)]
pub struct GapBefore {
    /// When it was read, by the reader's clock.
    pub at: Moment,
    /// What, in mm.
    pub read: Estimate,
    /// The same as it was read.
    pub said: Phrase,
}

/// What the drawing is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Neck {
    /// Scale length in mm.
    pub scale_mm: f64,
    /// How many frets, 1 to 36.
    pub frets: u8,
    /// The string whose gaps are shown, as it is called.
    pub string: Option<Phrase>,
    /// Relief, fall-away, action and nut, as far as there are any: others are left out.
    pub gaps: Vec<Gap>,
}

/// Where things lie on the drawing.
#[derive(Clone, Copy)]
struct Frame {
    scale_mm: f64,
    /// Points a mm, across.
    tall: f64,
    /// Relief in mm, and between which distances from the nut in mm.
    bow: (f64, f64, f64),
    /// Whether relief is known.
    bows: bool,
    /// How the board ends, where that is known: then the straight part of the neck lies level, else the
    /// line between the frets at which relief is read.
    end: Option<End>,
}

/// How the board ends.
#[derive(Clone, Copy)]
struct End {
    /// From where to where a straight edge lies, and where the gap under it is read: mm from the nut.
    edge: (f64, f64, f64),
    /// How far it falls away there, in mm.
    falls: f64,
    /// How far the neck bends toward the nut, in 1/mm.
    bend: f64,
}

impl End {
    /// How deep the crowns lie under the straight edge, in mm: level as far as it reaches, bent toward the
    /// nut, falling away beyond.
    fn depth(&self, distance: f64) -> f64 {
        let (from, to, at) = self.edge;
        let bent = (from - distance).max(0.0);
        self.falls * ((distance - to) / (at - to)).max(0.0) - self.bend / 2.0 * bent * bent
    }

    /// The same neck, bent so that its crowns lie so deep under a straight line over those at both ends,
    /// in the middle between them. Where it is straight as far as that, it stays so.
    fn bent(self, relief: f64, (one, other): (f64, f64)) -> Self {
        let under = |end: &Self| {
            let line = f64::midpoint(end.depth(one), end.depth(other));
            end.depth(f64::midpoint(one, other)) - line
        };
        let straight = Self { bend: 0.0, ..self };
        let each = under(&Self { bend: 1e-6, falls: 0.0, ..self });
        if each < 1e-3 {
            return straight;
        }
        Self { bend: (relief - under(&straight)) / each * 1e-6, ..self }
    }
}

impl Frame {
    fn distance(&self, fret: u8) -> f64 {
        self.scale_mm * (1.0 - (-f64::from(fret) / 12.0).exp2())
    }

    fn x(&self, distance: f64) -> f64 {
        ENDS.0 + distance / self.scale_mm * (ENDS.1 - ENDS.0)
    }

    /// Where relief is read, between these frets.
    fn relief_at(&self, from: Fret, to: Fret, at: Option<Fret>) -> f64 {
        let [from, to] = [from, to].map(|fret| self.distance(fret.number()));
        at.map_or(f64::midpoint(from, to), |at| self.distance(at.number()))
    }

    /// The height of the line between the frets at which relief is read, at one of these.
    fn level(&self, distance: f64) -> f64 {
        if self.end.is_some() { self.board(distance) } else { BASE }
    }

    /// The same neck with another relief, and another fall-away.
    fn bowed(self, relief: Option<f64>, falls: Option<f64>) -> Self {
        let relief = relief.unwrap_or(self.bow.0);
        let ends = (self.bow.1, self.bow.2);
        let end = self.end.map(|end| End { falls: falls.unwrap_or(end.falls), ..end });
        let end = end.map(|end| if self.bows { end.bent(relief, ends) } else { end });
        Self { bow: (relief, ends.0, ends.1), end, ..self }
    }

    /// The height of the crowns at a distance from the nut: an arc between the frets at which relief
    /// is read, straight beyond them; where the end of the board was read, an arc up to the straight edge.
    fn board(&self, distance: f64) -> f64 {
        let (relief, from, to) = self.bow;
        if let Some(end) = &self.end {
            return BASE + self.tall * end.depth(distance);
        }
        let share = (distance - from) / (to - from);
        let depth = if (0.0..=1.0).contains(&share) {
            4.0 * relief * share * (1.0 - share)
        } else if share < 0.0 {
            4.0 * relief * share
        } else {
            4.0 * relief * (1.0 - share)
        };
        BASE + self.tall * depth
    }
}

/// The drawing. Along the neck everything keeps its true proportion; across, gaps are drawn larger by a
/// factor that stands on it.
pub fn neck(of: &Neck, voice: &Voice) -> Scene {
    let title = match &of.string {
        Some(string) => say::neck_title(string.clone()),
        None => say::neck_title_whole(),
    };
    let mut scene = Scene::new(WIDTH, MOST_HIGH, voice.sentence(&title));
    let (frame, factor) = frame(of);
    let last = of.frets.clamp(1, 36);

    // Board, frets and their numbers.
    let ends = [0, last].map(|fret| frame.distance(fret));
    let steps = 48_u8;
    let along = |step: u8| ends[0] + (ends[1] - ends[0]) * f64::from(step) / f64::from(steps);
    let curve = (0..=steps).map(|step| (frame.x(along(step)), frame.board(along(step))));
    let wanted = wanted_board(of, &frame);
    if let Some(wanted) = &wanted {
        let at = |step: u8| (wanted.x(along(step)), wanted.board(along(step)));
        scene.line(MarkRole::Wanted, (0..=steps).map(at));
    }
    scene.line(MarkRole::Board, curve);
    // Numbers stand under the board, and under where it is wanted.
    let deepest = |frame: &Frame| {
        (0..=last).map(|fret| frame.board(frame.distance(fret))).fold(BASE, f64::max)
    };
    let lowest = wanted.map_or(BASE, |wanted| deepest(&wanted)).max(deepest(&frame));
    let mut numbered = Vec::new();
    let mut free_from = f64::NEG_INFINITY;
    for fret in 1..=last {
        let (x, y) = (frame.x(frame.distance(fret)), frame.board(frame.distance(fret)));
        scene.line(MarkRole::Fret, [(x, y), (x, y + 6.0)]);
        let wide = letters::width(&fret.to_string(), 9.0);
        let named = matches!(fret, 1 | 3 | 5 | 7 | 9 | 12 | 15 | 17 | 19 | 21 | 24) || fret == last;
        if named && x - wide / 2.0 > free_from {
            free_from = x + wide / 2.0 + 3.0;
            let number = fret.to_string();
            let at = (x, lowest + 18.0);
            scene.text(MarkRole::Label, at, (Anchor::Middle, 9.0, 40.0), &number);
            numbered.push(say::fret_number(i64::from(fret)));
        }
    }
    // Nut and saddle.
    let nut = frame.board(0.0);
    scene.line(MarkRole::Board, [(ENDS.0, nut - 8.0), (ENDS.0, nut + 8.0)]);

    let shown = |beside: Beside| {
        of.gaps.iter().any(|gap| told(gap) && Beside::of(gap.quantity) == Some(beside))
    };
    let reliefs = of.gaps.iter().find_map(|gap| match gap.quantity {
        Quantity::Relief { from, to, at } => Some(frame.x(frame.relief_at(from, to, at))),
        _ => None,
    });
    let split = frame.end.map(|end| {
        let end = frame.x(end.edge.2);
        let between = f64::midpoint(reliefs.unwrap_or(end - SHARED), end);
        between.clamp(EDGE + SHARED + APART, WIDTH - EDGE - SHARED - APART)
    });
    let rows = Rows { nut: shown(Beside::Nut), split, below: lowest + 44.0 };
    let mut zones = Zones { left: false, middle: false, right: false, end: false };
    for gap in &of.gaps {
        draw_gap(&mut scene, gap, &frame, &mut zones, rows, voice);
    }
    let mut foot = scene.lowest() + 12.0;
    if let Some(since) = since(of, voice) {
        foot += 10.0;
        let at = (ENDS.0, foot);
        scene.text(MarkRole::Number, at, (Anchor::Start, 11.0, ENDS.1 - ENDS.0), &since);
        scene.sentences.insert(0, format!("{since}."));
        foot += 4.0;
    }
    foot += 12.0;
    scene.height = foot + 8.0;
    let named = scene.title.clone();
    scene.text(MarkRole::Label, (ENDS.0, foot), (Anchor::Start, 9.0, 300.0), &named);
    // Without a gap there is nothing that was magnified.
    let is_drawn = |gap: &Gap| gap.read.is_some() || gap.before.is_some() || gap.wanted.is_some();
    let is_measured = of.gaps.iter().any(is_drawn);
    let note = if is_measured { say::magnified(i64::from(factor)) } else { say::not_measured() };
    scene.text(MarkRole::Label, (ENDS.1, foot), (Anchor::End, 9.0, 200.0), &voice.say(&note));
    scene.sentences.push(format!("{}.", voice.sentence(&note)));
    scene.sentences.push(voice.sentence(&say::frets_numbered(List::comma(numbered))));
    scene.of_drawing = if is_measured { 2 } else { 1 };
    // Where nothing is known of the string, little stands over the board: where it is wanted, or was before.
    if !zones.left && !zones.right {
        let highest = (0..=last).map(|fret| frame.board(frame.distance(fret)));
        let highest = highest.fold(BASE, f64::min) - 40.0;
        scene.crop(highest.min(scene.highest() - 4.0));
    }
    scene
}

pub(super) fn in_mm(estimate: Estimate) -> Option<(f64, f64)> {
    (estimate.scale == EstimateUnit::Millimetre)
        .then_some((estimate.value, COVERAGE * estimate.standard_uncertainty))
}

fn length_mm(amount: Amount) -> Option<f64> {
    amount.length().map(as_mm)
}

/// The target of a gap and its tolerance, in mm; none where people wrote two.
pub(super) fn target_mm(gap: &Gap) -> Option<(f64, f64)> {
    let (wanted, tolerance) = gap.wanted.filter(|_| !gap.two_values)?;
    Some((length_mm(wanted)?, length_mm(tolerance)?))
}

/// What a gap is and was and what is wanted of it, in words.
pub(super) fn sentence(what: Phrase, gap: &Gap, voice: &Voice) -> Vec<String> {
    let read = gap.read.as_ref().map(|(_, said)| said.clone());
    let wanted = match gap.wanted {
        _ if gap.two_values => Some(say::two_values()),
        wanted => wanted.map(|(wanted, within)| say::wanted(wanted, within).of(gap.quantity)),
    };
    let before = gap.before.as_ref();
    let before = before.map(|was| say::gap_was(what.clone(), was.said.clone(), names::day(was.at)));
    let said = match (read, wanted) {
        (Some(read), Some(wanted)) if gap.out_of_date => {
            Some(say::gap_out_of_date(what, read, wanted))
        }
        (Some(read), None) if gap.out_of_date => Some(say::gap_out_of_date_only(what, read)),
        (Some(read), Some(wanted)) => Some(say::gap_read_wanted(what, read, wanted)),
        (Some(read), None) => Some(say::gap_read(what, read)),
        (None, Some(wanted)) => Some(say::gap_wanted(what, wanted)),
        (None, None) => None,
    };
    let said = said.into_iter().chain(before);
    said.map(|one| format!("{}.", voice.sentence(&one))).collect()
}

/// The board as it is wanted, where it was read.
fn wanted_board(of: &Neck, frame: &Frame) -> Option<Frame> {
    let wanted = |is_it: fn(&Gap) -> bool| {
        let gap = of.gaps.iter().find(|gap| is_it(gap))?;
        gap.read.as_ref()?;
        target_mm(gap).map(|(wanted, _)| wanted)
    };
    let relief = wanted(|gap| matches!(gap.quantity, Quantity::Relief { .. }));
    let falls = wanted(|gap| matches!(gap.quantity, Quantity::FallAway { .. }));
    (relief.is_some() || falls.is_some()).then(|| frame.bowed(relief, falls))
}

/// The frame, and by what gaps are larger in it than they are along the neck.
fn frame(of: &Neck) -> (Frame, u16) {
    let scale_mm = of.scale_mm.clamp(100.0, 3000.0);
    let mut frame = Frame { scale_mm, tall: 1.0, bow: (0.0, 0.0, 1.0), bows: false, end: None };
    // Points a mm at most.
    let mut tall = MOST.1 / 0.2;
    for gap in &of.gaps {
        let read = gap.read.as_ref().and_then(|(read, _)| in_mm(*read));
        let wanted = target_mm(gap);
        // The string rises on beyond the fret, as far as the saddle.
        let rise = match gap.quantity {
            Quantity::Gap { stopped, over } if over > stopped => {
                let ends = [stopped, over].map(|fret| frame.distance(fret.number()));
                (scale_mm - ends[0]) / (ends[1] - ends[0])
            }
            _ => 1.0,
        };
        let before = gap.before.as_ref().and_then(|was| in_mm(was.read));
        for (value, about) in [read, wanted, before].into_iter().flatten() {
            let room = if value >= 0.0 && rise > 1.0 { MOST.0 } else { MOST.1 };
            tall = tall.min(room / ((value.abs() + about) * rise).max(1e-6));
        }
        if let Quantity::Relief { from, to, .. } = gap.quantity {
            let ends = [from, to].map(|fret| frame.distance(fret.number()));
            if ends[1] > ends[0] {
                let relief = read.or(wanted).map_or(0.0, |(value, _)| value);
                frame.bow = (relief, ends[0], ends[1]);
                frame.bows = read.or(wanted).is_some();
            }
        }
        if let Quantity::FallAway { from, to, at } = gap.quantity
            && frame.end.is_none()
            && from < to
            && to < at
        {
            let [from, to, at] = [from, to, at].map(|fret| frame.distance(fret.number()));
            let falls = read.or(wanted).map_or(0.0, |(value, _)| value);
            frame.end = Some(End { edge: (from, to, at), falls, bend: 0.0 });
        }
    }
    if frame.bow.2 <= 1.0 {
        frame.bow = (0.0, 0.0, frame.distance(of.frets.clamp(1, 36)));
    }
    frame = frame.bowed(None, None);
    if frame.end.is_some() {
        tall = tall.min(tallest(of, &frame));
    }
    let along = (ENDS.1 - ENDS.0) / scale_mm;
    let factor = super::factor(tall / along);
    frame.tall = f64::from(factor) * along;
    (frame, factor)
}

/// How tall a mm may be where the end of the board is drawn: crowns and strings stay on the drawing.
fn tallest(of: &Neck, frame: &Frame) -> f64 {
    let mut tall = f64::INFINITY;
    let wanted = wanted_board(of, frame);
    for one in [Some(*frame), wanted].into_iter().flatten() {
        let Some(end) = one.end else { continue };
        for fret in 0..=of.frets.clamp(1, 36) {
            let depth = end.depth(one.distance(fret));
            let room = if depth > 0.0 { MOST.1 } else { BENT };
            tall = tall.min(room / depth.abs().max(1e-6));
        }
        for gap in &of.gaps {
            let Quantity::Gap { stopped, over } = gap.quantity else { continue };
            let read = gap.read.as_ref().and_then(|(read, _)| in_mm(*read));
            let before = gap.before.as_ref().and_then(|was| in_mm(was.read));
            let ends = [stopped, over].map(|fret| one.distance(fret.number()));
            let rise = (one.scale_mm - ends[0]) / (ends[1] - ends[0]);
            for (value, about) in [read, before, target_mm(gap)].into_iter().flatten() {
                let [start, over] = ends.map(|distance| -end.depth(distance));
                let high =
                    (value + about + over).max(start + (value + about + over - start) * rise);
                tall = tall.min(MOST.0 / high.max(1e-6));
            }
        }
    }
    tall
}

/// Which of the four places for numbers are taken.
struct Zones {
    left: bool,
    middle: bool,
    right: bool,
    end: bool,
}

fn draw_gap(
    scene: &mut Scene,
    gap: &Gap,
    frame: &Frame,
    zones: &mut Zones,
    rows: Rows,
    voice: &Voice,
) {
    if !told(gap) {
        return;
    }
    // Where on the drawing, from which height and which way the gap is counted, and where its number
    // stands.
    let (beside, x, zero, way, zone) = match gap.quantity {
        Quantity::Relief { from, to, at } => {
            let ends = [from, to].map(|fret| frame.distance(fret.number()));
            let middle = frame.relief_at(from, to, at);
            let share = (middle - ends[0]) / (ends[1] - ends[0]);
            let line = ends.map(|distance| frame.level(distance));
            let zero = line[0] + (line[1] - line[0]) * share;
            (Beside::Board, frame.x(middle), zero, 1.0, &mut zones.middle)
        }
        Quantity::FallAway { .. } => {
            let Some(end) = frame.end else { return };
            (Beside::End, frame.x(end.edge.2), BASE, 1.0, &mut zones.end)
        }
        Quantity::Gap { over, .. } => {
            let distance = frame.distance(over.number());
            let (beside, zone) = if over.number() <= NUT {
                (Beside::Nut, &mut zones.left)
            } else {
                (Beside::String, &mut zones.right)
            };
            (beside, frame.x(distance), frame.board(distance), -1.0, zone)
        }
        _ => return,
    };
    if std::mem::replace(zone, true) {
        return;
    }
    let place = |mm: f64| zero + way * frame.tall * mm;
    let wanted = target_mm(gap);
    let read = gap.read.as_ref().and_then(|(read, _)| in_mm(*read));
    if let (Some((mm, _)), Quantity::Gap { stopped, over }) = (read.or(wanted), gap.quantity)
        && over.number() > NUT
    {
        // The string, through what was read, to the saddle.
        let from = frame.distance(stopped.number());
        let start = (frame.x(from), frame.board(from));
        let to_saddle = |mm: f64| {
            let slope = (place(mm) - start.1) / (x - start.0);
            // With a deep bow an open string can point off the drawing: it stays on its edge.
            let end = start.1 + slope * (ENDS.1 - start.0);
            (ENDS.1, end.clamp(78.0, MOST_HIGH - 50.0))
        };
        if let (Some(_), Some((wanted, _))) = (read, wanted) {
            scene.line(MarkRole::Wanted, [start, to_saddle(wanted)]);
        }
        let saddle = to_saddle(mm);
        scene.line(MarkRole::String, [start, saddle]);
        scene.line(MarkRole::Board, [saddle, (ENDS.1, saddle.1.max(BASE) + 14.0)]);
    }
    if matches!(gap.quantity, Quantity::Relief { .. }) {
        let ends = [frame.bow.1, frame.bow.2];
        scene.line(MarkRole::Fret, ends.map(|distance| (frame.x(distance), frame.level(distance))));
    }
    if let (Beside::End, Some(End { edge: (from, _, at), .. })) = (beside, frame.end) {
        scene.line(MarkRole::Fret, [from, at].map(|distance| (frame.x(distance), BASE)));
    }
    if let Some((mm, tolerance)) = wanted {
        let (one, other) = (place(mm - tolerance), place(mm + tolerance));
        scene.band(MarkRole::Tolerance, (x - 7.0, one.min(other)), (x + 7.0, one.max(other)));
        scene.mark(MarkRole::Wanted, Shape::Ring { at: Spot::new(x, place(mm)), radius: 4.5 });
    }
    match read {
        Some((mm, _)) if gap.out_of_date => {
            scene.line(MarkRole::OutOfDate, [(x - 5.0, place(mm)), (x + 5.0, place(mm))]);
        }
        Some((mm, about)) => {
            moved(scene, gap, (x - 14.0, mm, about), place);
            scene.line(MarkRole::Uncertain, [(x, place(mm - about)), (x, place(mm + about))]);
            scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(x, place(mm)), radius: 3.0 });
        }
        None => {}
    }
    // Down to the highest of what is drawn there.
    let values = [read.map(|(mm, about)| mm + about), wanted.map(|(mm, about)| mm + about)];
    let high = values.into_iter().flatten().map(place).fold(BASE, f64::min);
    write(scene, gap, (beside, x), (rows, high), voice);
}

/// Whether there is something to tell of it.
const fn told(gap: &Gap) -> bool {
    gap.read.is_some() || gap.wanted.is_some() || gap.two_values
}

/// An arrow from then to now, where readings tell one from the other.
fn moved(
    scene: &mut Scene,
    gap: &Gap,
    (x, now, about): (f64, f64, f64),
    place: impl Fn(f64) -> f64,
) {
    let Some((then, before)) = gap.before.as_ref().and_then(|was| in_mm(was.read)) else { return };
    if (now - then).abs() > about.hypot(before) {
        scene.line(MarkRole::OutOfDate, [(x - 4.0, place(then)), (x + 4.0, place(then))]);
        scene.arrow(MarkRole::Moved, (x, place(then)), (x, place(now)));
    }
}

/// How neck and string moved since then, as far as readings tell it, in one line.
fn since(of: &Neck, voice: &Voice) -> Option<String> {
    let mut told: Vec<(String, Phrase, Vec<Phrase>)> = Vec::new();
    let mut compared = None;
    for gap in of.gaps.iter().filter(|gap| !gap.out_of_date) {
        let (Some(before), Some((now, about))) =
            (&gap.before, gap.read.as_ref().and_then(|(read, _)| in_mm(*read)))
        else {
            continue;
        };
        let Some((then, before_about)) = in_mm(before.read) else { continue };
        let (day, change) = (names::day(before.at), now - then);
        compared.get_or_insert_with(|| day.clone());
        if change.abs() <= about.hypot(before_about) {
            continue;
        }
        let by = Computed::mm(change.abs()).of(gap.quantity);
        let said = match gap.quantity {
            Quantity::Relief { .. } if change > 0.0 => say::neck_bows_more(by),
            Quantity::Relief { .. } => say::neck_bows_less(by),
            Quantity::FallAway { .. } if change > 0.0 => say::neck_end_lower(by),
            Quantity::FallAway { .. } => say::neck_end_higher(by),
            Quantity::Gap { over, .. } if over.number() <= NUT => continue,
            _ if change > 0.0 => say::neck_string_higher(by),
            _ => say::neck_string_lower(by),
        };
        let named = voice.say(&day);
        match told.iter_mut().find(|(other, ..)| *other == named) {
            Some((.., all)) => all.push(said),
            None => told.push((named, day, vec![said])),
        }
    }
    let all = told.into_iter().map(|(_, day, all)| say::neck_since(day, List::comma(all)));
    let all: Vec<Phrase> = all.collect();
    if all.is_empty() {
        return compared.map(|day| voice.sentence(&say::neck_same(day)));
    }
    Some(voice.sentence(&List::semicolon(all).into()))
}

/// A gap over such a fret, or nearer to the nut, is of the nut.
const NUT: u8 = 3;

/// Where the number of a gap stands.
#[derive(Clone, Copy, PartialEq)]
enum Beside {
    /// Under the middle of the board.
    Board,
    /// Under its end.
    End,
    /// Over the nut.
    Nut,
    /// Over the string.
    String,
}

impl Beside {
    const fn of(quantity: Quantity) -> Option<Self> {
        Some(match quantity {
            Quantity::Relief { .. } => Self::Board,
            Quantity::FallAway { .. } => Self::End,
            Quantity::Gap { over, .. } if over.number() <= NUT => Self::Nut,
            Quantity::Gap { .. } => Self::String,
            _ => return None,
        })
    }
}

/// What stands beside what.
#[derive(Clone, Copy)]
struct Rows {
    /// There is a number over the nut.
    nut: bool,
    /// Where one under the board ends and one under its end begins, if there are both.
    split: Option<f64>,
    /// Where those under the board begin.
    below: f64,
}

/// Numbers over the neck begin here.
const OVER: f64 = 30.0;
/// How wide a number over the nut may be, and one under the board beside another.
const NUT_WIDE: f64 = 245.0;
const SHARED: f64 = 200.0;
const APART: f64 = 6.0;

/// The number, what it is of and what is wanted: over or under the place where it was read.
fn write(
    scene: &mut Scene,
    gap: &Gap,
    (beside, x): (Beside, f64),
    (rows, high): (Rows, f64),
    voice: &Voice,
) {
    let what = names::quantity(gap.quantity);
    let wanted = match gap.wanted {
        _ if gap.two_values => Some(say::two_values()),
        wanted => wanted.map(|(wanted, within)| say::wanted(wanted, within).of(gap.quantity)),
    };
    let read = gap.read.as_ref().map(|(_, said)| said);
    let ends = (EDGE, WIDTH - EDGE);
    let (top, most, (left, right)) = match (beside, rows.split) {
        // Under the board two may stand side by side.
        (Beside::Board, Some(split)) => (rows.below, SHARED, (EDGE, split - APART)),
        (Beside::End, Some(split)) => (rows.below, SHARED, (split + APART, ends.1)),
        (Beside::Board | Beside::End, None) => (rows.below, 270.0, ends),
        (Beside::Nut, _) => (OVER, NUT_WIDE, ends),
        (Beside::String, _) if rows.nut => (OVER, 300.0, (EDGE + NUT_WIDE + APART, ends.1)),
        (Beside::String, _) => (OVER, 300.0, ends),
    };
    let number = read.map_or_else(|| "–".to_owned(), |read| voice.say(read));
    let before = gap.before.as_ref();
    let before = before.map(|was| say::was(was.said.clone(), names::day(was.at)));
    let mut small: Vec<String> = letters::wrap(&voice.say(&what), SMALL, most);
    small.extend(wanted.iter().chain(&before).map(|said| voice.say(said)));
    // As wide as the widest, about its place as far as the page and what stands beside it let it be.
    let wide = small.iter().map(|line| letters::width(line, SMALL));
    let wide = wide.chain([letters::width(&number, LARGE) * letters::BOLD]).fold(0.0, f64::max);
    let half = wide.min(most) / 2.0;
    let middle = x.min(right - half).max(left + half);
    scene.text(MarkRole::Number, (middle, top), (Anchor::Middle, LARGE, most), &number);
    let mut down = top + 2.0;
    for line in &small {
        down += 12.0;
        scene.text(MarkRole::Label, (middle, down), (Anchor::Middle, SMALL, most), line);
    }
    // From a number over the neck a thin line leads to its place.
    let (from, to) = (down + 5.0, high - 8.0);
    if matches!(beside, Beside::Nut | Beside::String) && to > from + 6.0 {
        scene.line(MarkRole::Fret, [(x, from), (x, to)]);
    }
    scene.sentences.extend(sentence(what, gap, voice));
}
