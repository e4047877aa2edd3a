//! The row of the strings over the board's curve, seen along the strings.

use fallaway_advice::observe::COVERAGE;
use fallaway_measure::Quantity;
use fallaway_mechanics::board::{ArcFit, Centre, crown_drop, fit_arc};
use fallaway_mechanics::units::{as_mm, as_per_mm, mm};
use fallaway_order::PutInOrder as _;
use fallaway_text::{Computed, List, Phrase, Voice};

use super::neck::{Gap, in_mm, sentence, target_mm};
use crate::letters;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 250.0;
/// Between these the highest and the lowest of it lie.
const TOP: f64 = 56.0;
const LOW: f64 = 176.0;
const EDGE: f64 = 8.0;
/// That there are two targets is written this large, in rows this high.
const TWO: f64 = 8.5;
const ROW: f64 = 11.0;

/// The curve of a board at one fret.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BoardArc {
    /// Nobody wrote it down.
    Unwritten,
    /// No curve: the crowns lie in a plane.
    Flat,
    /// Its radius in mm.
    Radius(f64),
}

/// A string of the row.
#[derive(Debug, Clone, PartialEq)]
pub struct RowString {
    /// What it is called: "4 (E)".
    pub name: Phrase,
    /// From the middle of the board at the fret where its action is read, toward the bass side, in mm.
    pub offset_mm: f64,
    /// Its action at that fret, in mm.
    pub action: Gap,
}

/// What the drawing is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct SaddleRow {
    /// How the actions are read: all over one fret.
    pub quantity: Quantity,
    /// The board's curve at that fret.
    pub board: BoardArc,
    /// The strings that lie on the saddles.
    pub strings: Vec<RowString>,
}

/// Where things lie on the drawing.
struct Frame {
    /// Points a mm, across and upwards.
    wide: f64,
    tall: f64,
    middle_mm: f64,
    low_mm: f64,
    board: BoardArc,
}

impl Frame {
    /// The bass side lies left.
    fn x(&self, offset: f64) -> f64 {
        WIDTH / 2.0 - (offset - self.middle_mm) * self.wide
    }

    fn y(&self, height: f64) -> f64 {
        LOW - (height - self.low_mm) * self.tall
    }

    /// The crown of the fret, over that in the middle of the board.
    fn crown(&self, offset: f64) -> f64 {
        crown(self.board, offset)
    }
}

fn crown(board: BoardArc, offset: f64) -> f64 {
    match board {
        BoardArc::Radius(radius) => {
            crown_drop(mm(radius), mm(offset)).map_or(0.0, |drop| -as_mm(drop))
        }
        BoardArc::Flat | BoardArc::Unwritten => 0.0,
    }
}

/// The drawing: each string's underside over the crown of one fret, read against wanted, and the arc
/// through what was read beside that of the board. Heights are drawn larger by a factor that stands on it.
pub fn saddles(of: &SaddleRow, voice: &Voice) -> Scene {
    let fret = match of.quantity {
        Quantity::Gap { over, .. } => i64::from(over.number()),
        _ => 0,
    };
    let mut scene = Scene::new(WIDTH, HEIGHT, voice.sentence(&say::saddles_title(fret)));
    scene.heading();
    let mut strings: Vec<&RowString> = of.strings.iter().collect();
    strings.put_in_order_by(|one, other| other.offset_mm.total_cmp(&one.offset_mm));
    let column = (WIDTH - 2.0 * EDGE) / strings.len().max(1) as f64;
    let (frame, factor) = frame(of, &strings, column);

    let steps = 48_u8;
    let across = |step: u8| {
        let x = EDGE + (WIDTH - 2.0 * EDGE) * f64::from(step) / f64::from(steps);
        let offset = frame.middle_mm + (WIDTH / 2.0 - x) / frame.wide;
        (x, frame.y(frame.crown(offset)).min(LOW + 8.0))
    };
    scene.line(MarkRole::Board, (0..=steps).map(across));
    let fit = row(&strings, &frame);
    let told = fit.as_ref().map(RowTold::of);
    if let (Some(fit), [first, .., last]) = (&fit, strings.as_slice())
        && !matches!(told, Some(RowTold::Nothing))
    {
        let along = |step: u8| {
            let share = f64::from(step) / f64::from(steps);
            let offset = first.offset_mm + (last.offset_mm - first.offset_mm) * share;
            let aside = offset - as_mm(fit.centre);
            let height = as_mm(fit.top) - as_per_mm(fit.curvature.value) * aside * aside / 2.0;
            (frame.x(offset), frame.y(height).clamp(TOP - 8.0, LOW + 8.0))
        };
        scene.line(MarkRole::Computed, (0..=steps).map(along));
    }
    let mut board = vec![match of.board {
        BoardArc::Radius(radius) => say::saddles_board(Computed::mm(radius).places(0)),
        BoardArc::Flat => say::saddles_flat(),
        BoardArc::Unwritten => say::saddles_unwritten(),
    }];
    board.extend(told.map(RowTold::phrase));
    let board = voice.sentence(&List::semicolon(board).into());
    let room = (Anchor::Start, 9.5, WIDTH - 24.0);
    scene.text(MarkRole::Label, (12.0, 35.0), room, &board);
    scene.sentences.push(format!("{board}."));

    // Where people wrote two targets, no ring stands: it says why.
    let two = letters::wrap(&voice.say(&say::two_values()), TWO, column - 4.0);
    let contested = strings.iter().any(|string| string.action.two_values);
    if contested {
        scene.height += ROW * two.len() as f64;
    }
    for (number, string) in strings.iter().enumerate() {
        draw(&mut scene, string, &frame);
        let middle = EDGE + column * (number as f64 + 0.5);
        let room = column - 4.0;
        let read = string.action.read.as_ref();
        let shown = read.map_or_else(|| "–".to_owned(), |(_, said)| voice.say(said));
        let at = (middle, LOW + 28.0);
        scene.text(MarkRole::Number, at, (Anchor::Middle, 13.0, room), &shown);
        let at = (middle, LOW + 42.0);
        scene.text(MarkRole::Label, at, (Anchor::Middle, 9.5, room), &voice.say(&string.name));
        for (line, words) in two.iter().enumerate().filter(|_| string.action.two_values) {
            let at = (middle, LOW + 54.0 + ROW * line as f64);
            scene.text(MarkRole::Label, at, (Anchor::Middle, TWO, room), words);
        }
        let mut told = sentence(string.name.clone(), &string.action, voice);
        if string.action.read.is_none()
            && string.action.wanted.is_none()
            && !string.action.two_values
        {
            let none = say::gap_read(string.name.clone(), say::not_measured());
            told.insert(0, format!("{}.", voice.sentence(&none)));
        }
        scene.sentences.extend(told);
    }
    let seen = voice.sentence(&say::saddles_seen(i64::from(factor)));
    let at = (12.0, scene.height - 9.0);
    scene.text(MarkRole::Label, at, (Anchor::Start, 9.0, WIDTH - 24.0), &seen);
    scene.sentences.push(format!("{seen}."));
    scene.of_drawing = 1;
    scene
}

fn frame(of: &SaddleRow, strings: &[&RowString], column: f64) -> (Frame, u16) {
    let ends = [strings.first(), strings.last()].map(|one| one.map_or(0.0, |one| one.offset_mm));
    let middle_mm = f64::midpoint(ends[0], ends[1]);
    let spread = (ends[0] - ends[1]).abs().max(5.0);
    let wide = (WIDTH - 2.0 * EDGE - column) / spread;
    let mut wide = if wide > 0.0 { wide } else { 8.0 };
    let crown = |offset| crown(of.board, offset);
    let aside = (WIDTH / 2.0 - EDGE) / wide;
    let edges = [middle_mm - aside, middle_mm + aside].map(crown);
    let (mut low, mut high) = (edges[0].min(edges[1]).max(-20.0), 0.2_f64);
    for string in strings {
        let read = string.action.read.as_ref().and_then(|(read, _)| in_mm(*read));
        for (value, about) in [read, target_mm(&string.action)].into_iter().flatten() {
            let at = crown(string.offset_mm);
            low = low.min(at + value - about);
            high = high.max(at + value + about);
        }
    }
    let most = (LOW - TOP) / (high - low);
    let factor = super::factor(most / wide);
    if factor == 1 {
        wide = wide.min(most);
    }
    let tall = wide * f64::from(factor);
    (Frame { wide, tall, middle_mm, low_mm: low, board: of.board }, factor)
}

/// What the readings tell of the arc through the undersides.
#[derive(Debug, Clone, Copy, PartialEq)]
enum RowTold {
    /// They lie higher in the middle: radius in mm, and between which it lies, in 95 % of cases.
    Arc(f64, (f64, f64)),
    Flat,
    Hollow,
    /// They cannot be told from either.
    Nothing,
}

impl RowTold {
    /// Nobody who sets up strings tells a larger radius from flat, in mm (common practice, no source).
    const FLAT: f64 = 2_000.0;
    /// Between ends closer to each other than this the middle alone is told.
    const SURE: f64 = 1.1;

    fn of(fit: &ArcFit) -> Self {
        let bent = as_per_mm(fit.curvature.value);
        let about = COVERAGE * as_per_mm(fit.curvature.standard_uncertainty);
        let (least, most) = (bent - about, bent + about);
        if least > 1.0 / Self::FLAT {
            Self::Arc(1.0 / bent, (1.0 / most, 1.0 / least))
        } else if most < -1.0 / Self::FLAT {
            Self::Hollow
        } else if least > -1.0 / Self::FLAT && most < 1.0 / Self::FLAT {
            Self::Flat
        } else {
            Self::Nothing
        }
    }

    fn phrase(self) -> Phrase {
        let mm = |radius: f64| Computed::mm(radius).places(0);
        match self {
            Self::Arc(radius, (least, most)) if most < least * Self::SURE => {
                say::saddles_row(mm(radius))
            }
            Self::Arc(radius, (least, most)) => {
                say::saddles_row_about(mm(radius), mm(least).bare(), mm(most).bare())
            }
            Self::Flat => say::saddles_row_flat(),
            Self::Hollow => say::saddles_row_hollow(),
            Self::Nothing => say::saddles_row_untold(),
        }
    }
}

/// The arc through the undersides that were read and still stand.
fn row(strings: &[&RowString], frame: &Frame) -> Option<ArcFit> {
    let mut points = Vec::new();
    let mut square = 0.0;
    for string in strings.iter().filter(|string| !string.action.out_of_date) {
        let read = string.action.read.as_ref().map(|(read, _)| *read)?;
        let (value, _) = in_mm(read)?;
        points.push((mm(string.offset_mm), mm(frame.crown(string.offset_mm) + value)));
        square += read.standard_uncertainty.powi(2);
    }
    if points.len() < 3 || frame.board == BoardArc::Unwritten {
        return None;
    }
    let centre = if points.len() > 3 { Centre::Free } else { Centre::At(mm(0.0)) };
    fit_arc(&points, centre, mm((square / points.len() as f64).sqrt())).ok()
}

fn draw(scene: &mut Scene, string: &RowString, frame: &Frame) {
    let (x, crown) = (frame.x(string.offset_mm), frame.crown(string.offset_mm));
    let y = |gap: f64| frame.y(crown + gap);
    let gap = &string.action;
    if let Some((wanted, within)) = target_mm(gap) {
        let corners = ((x - 8.0, y(wanted + within)), (x + 8.0, y(wanted - within)));
        scene.band(MarkRole::Tolerance, corners.0, corners.1);
        let at = Spot::new(x, y(wanted));
        scene.mark(MarkRole::Wanted, Shape::Ring { at, radius: 5.0 });
    }
    let Some((value, about)) = gap.read.as_ref().and_then(|(read, _)| in_mm(*read)) else { return };
    scene.line(MarkRole::Fret, [(x, y(0.0)), (x, y(value))]);
    if gap.out_of_date {
        return scene.line(MarkRole::OutOfDate, [(x - 6.0, y(value)), (x + 6.0, y(value))]);
    }
    scene.line(MarkRole::Uncertain, [(x, y(value - about)), (x, y(value + about))]);
    scene.mark(MarkRole::Read, Shape::Dot { at: Spot::new(x, y(value)), radius: 3.0 });
}
