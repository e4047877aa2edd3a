//! A page as PDF (ISO 32000-1), tagged for who hears it (PDF/UA-1, ISO 14289-1), its font in it, its texts
//! to be selected and searched.

use std::fmt;
use std::num::NonZeroU16;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::color::rgb;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node as TagNode, SpanTag,
    TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};
use krilla::text::{Font, Tag as Axis, TextDirection};
use skrifa::MetadataProvider;
use skrifa::instance::Size;

use super::layout::{Ink, Laid, Measure, Op, PartRole, layout};
use super::{Paper, SheetPage};
use crate::look::{Colour, Paint, Theme};
use crate::scene::{Anchor, Mark, MarkRole, Scene, Shape, Spot};
use crate::svg::head_places;

/// A font with Latin, Greek and Cyrillic letters, under the SIL Open Font License 1.1
/// (`fonts/OFL.txt`), with the weights between thin and bold in it.
static FONT: &[u8] = include_bytes!("../../fonts/IBMPlexSans.ttf");
const BOLD: f32 = 600.0;
/// What the letters may be wider than they are measured, as they are set.
const SLACK: f64 = 1.01;

/// No PDF could be made: the reason, for a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfFailed(String);

impl fmt::Display for PdfFailed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PdfFailed {}

/// The page as a PDF for this paper. The same page gives the same bytes.
///
/// # Errors
/// [`PdfFailed`] is a defect of this library.
pub fn sheet_pdf(page: &SheetPage, paper: Paper) -> Result<Vec<u8>, PdfFailed> {
    let face = Face::new().ok_or_else(|| PdfFailed("the font cannot be read".to_owned()))?;
    let laid = layout(page, paper, &face);
    let accessible =
        ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let configuration = accessible.map_err(|why| PdfFailed(format!("{why:?}")))?;
    let mut document =
        Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    let (width, height) = paper.size_pt();
    let mut spoken: Vec<Vec<(usize, Identifier)>> = vec![Vec::new(); laid.nodes.len()];
    let mut outline = Outline::new();
    for number in 0..laid.pages {
        let size = PageSettings::from_wh(width as f32, height as f32)
            .ok_or_else(|| PdfFailed("no such paper".to_owned()))?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        for (order, placed) in laid.ops.iter().enumerate().filter(|(_, op)| op.page == number) {
            let said = paint(&mut surface, &face, &placed.op);
            if let (Some(said), Some(of)) = (said, spoken.get_mut(placed.node)) {
                of.push((order, said));
            }
            if let (Op::Text { y, .. }, Some(PartRole::Title(text) | PartRole::Heading(text))) =
                (&placed.op, laid.nodes.get(placed.node).map(|node| &node.role))
                && spoken.get(placed.node).is_some_and(|said| said.len() == 1)
            {
                let to =
                    XyzDestination::new(number, Point::from_xy(0.0, (*y - 20.0).max(0.0) as f32));
                outline.push_child(OutlineNode::new(face.clean(text), to));
            }
        }
        surface.finish();
        page.finish();
    }
    document.set_outline(outline);
    document.set_tag_tree(tags(&laid, &spoken).with_lang(Some(page.language.clone())));
    let title = format!("{}: {}", face.clean(&page.title), face.clean(&page.subtitle));
    document.set_metadata(Metadata::new().title(title).language(page.language.clone()));
    document.finish().map_err(|why| PdfFailed(format!("{why:?}")))
}

/// The parts of the page, in the order in which they are read.
fn tags(laid: &Laid<'_>, spoken: &[Vec<(usize, Identifier)>]) -> TagTree {
    let mut tree = TagTree::new();
    let below = |parent: usize| {
        let all = laid.nodes.iter().enumerate().skip(1);
        all.filter(move |(_, node)| node.parent == parent).map(|(number, _)| number)
    };
    for child in below(0) {
        tree.push(group(laid, spoken, child, &below));
    }
    tree
}

fn group<I: Iterator<Item = usize>>(
    laid: &Laid<'_>,
    spoken: &[Vec<(usize, Identifier)>],
    at: usize,
    below: &impl Fn(usize) -> I,
) -> TagGroup {
    let level = |level: u16| NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
    let kind: TagKind = match laid.nodes.get(at).map_or(&PartRole::Page, |node| &node.role) {
        PartRole::Page | PartRole::Paragraph => Tag::P.into(),
        PartRole::Title(text) => Tag::Hn(level(1), Some((*text).to_owned())).into(),
        PartRole::Heading(text) => Tag::Hn(level(2), Some((*text).to_owned())).into(),
        PartRole::List => Tag::L(ListNumbering::None).into(),
        PartRole::Item => Tag::LI.into(),
        PartRole::Label => Tag::Lbl.into(),
        PartRole::Body => Tag::LBody.into(),
        PartRole::Table => Tag::Table.into(),
        PartRole::Row => Tag::TR.into(),
        PartRole::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        PartRole::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        PartRole::Cell => Tag::TD.into(),
        PartRole::Figure(scene) => Tag::Figure(Some(scene.sentences.join(" "))).into(),
    };
    let mut group = TagGroup::new(kind);
    for (_, said) in spoken.get(at).into_iter().flatten() {
        group.push(TagNode::from(*said));
    }
    for child in below(at) {
        group.push(self::group(laid, spoken, child, below));
    }
    group
}

/// The font in two weights, and how wide its letters are.
pub(super) struct Face {
    regular: Font,
    bold: Font,
    file: skrifa::FontRef<'static>,
}

impl Face {
    pub(super) fn new() -> Option<Self> {
        let weight =
            |weight: f32| Font::new_variable(FONT.into(), 0, &[(Axis::new(b"wght"), weight)]);
        let file = skrifa::FontRef::new(FONT).ok()?;
        Some(Self { regular: weight(400.0)?, bold: weight(BOLD)?, file })
    }

    /// A text in letters that the font has.
    fn clean(&self, text: &str) -> String {
        let known = self.file.charmap();
        let letter = |letter: char| match letter {
            '♭' => Some('b'),
            '♯' => Some('#'),
            letter if letter.is_control() => None,
            letter if known.map(letter).is_some() => Some(letter),
            _ => Some('?'),
        };
        text.chars().filter_map(letter).collect()
    }

    fn write(&self, surface: &mut Surface<'_>, (x, y): (f64, f64), text: &str, ink: Ink) {
        let font = if ink.bold { &self.bold } else { &self.regular };
        let at = Point::from_xy(x as f32, y as f32);
        let (size, text) = (ink.size as f32, self.clean(text));
        surface.draw_text(at, font.clone(), size, &text, false, TextDirection::LeftToRight);
    }
}

impl Measure for Face {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let weight = if bold { BOLD } else { 400.0 };
        let place = self.file.axes().location([("wght", weight)]);
        let metrics = self.file.glyph_metrics(Size::new(1.0), &place);
        let letters = self.file.charmap();
        let wide = |letter: char| {
            letters
                .map(letter)
                .and_then(|glyph| metrics.advance_width(glyph))
                .map_or(0.0, f64::from)
        };
        self.clean(text).chars().map(wide).sum::<f64>() * size * SLACK
    }
}

fn fill(Colour(red, green, blue): Colour) -> Fill {
    let paint = rgb::Color::new(red, green, blue).into();
    Fill { paint, opacity: NormalizedF32::ONE, ..Fill::default() }
}

fn stroke(paint: &Paint, scale: f64) -> Stroke {
    let Colour(red, green, blue) = paint.colour;
    let scaled = |points: f64| (points * scale) as f32;
    let dash = paint
        .dash
        .map(|(on, off)| StrokeDash { array: vec![scaled(on), scaled(off)], offset: 0.0 });
    Stroke {
        paint: rgb::Color::new(red, green, blue).into(),
        width: scaled(paint.width),
        dash,
        ..Stroke::default()
    }
}

fn line(places: &[Spot], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (number, at) in places.iter().enumerate() {
        if number == 0 {
            path.move_to(at.x as f32, at.y as f32);
        } else {
            path.line_to(at.x as f32, at.y as f32);
        }
    }
    if closed {
        path.close();
    }
    path.finish()
}

/// Paints, and answers by what the parts of the page name it, if it says something.
fn paint(surface: &mut Surface<'_>, face: &Face, op: &Op<'_>) -> Option<Identifier> {
    let ornament = ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout));
    match op {
        Op::Text { x, y, ink, text } => {
            let said = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
            let role = if ink.quiet { MarkRole::Label } else { MarkRole::Number };
            surface.set_stroke(None);
            surface.set_fill(Some(fill(Theme::Print.paint(role).colour)));
            face.write(surface, (*x, *y), text, *ink);
            surface.end_tagged();
            Some(said)
        }
        Op::Rule { from, to, y } => {
            surface.start_tagged(ornament);
            let rule = Theme::Print.paint(MarkRole::Fret);
            draw(
                surface,
                &[Spot::new(*from, *y), Spot::new(*to, *y)],
                None,
                Some(stroke(&rule, 0.7)),
            );
            surface.end_tagged();
            None
        }
        Op::Triangle { x, y, size } => {
            surface.start_tagged(ornament);
            let places = [
                Spot::new(*x, *y),
                Spot::new(x + size, *y),
                Spot::new(x + size / 2.0, y - size * 0.85),
            ];
            let caution = Theme::Print.paint(MarkRole::Caution);
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(&caution, 0.7)));
            if let Some(path) = line(&places, true) {
                surface.draw_path(&path);
            }
            surface.end_tagged();
            None
        }
        Op::Picture { x, y, scale, scene } => {
            let said = surface.start_tagged(ContentTag::Other);
            picture(surface, face, scene, (*x, *y, *scale));
            surface.end_tagged();
            Some(said)
        }
    }
}

fn draw(surface: &mut Surface<'_>, places: &[Spot], fill: Option<Fill>, stroke: Option<Stroke>) {
    let closed = fill.is_some();
    surface.set_fill(fill);
    surface.set_stroke(stroke);
    if let Some(path) = line(places, closed) {
        surface.draw_path(&path);
    }
}

/// Places on a circle, from so many degrees after twelve o'clock, clockwise.
fn round(at: Spot, radius: f64, sweep: f64) -> Vec<Spot> {
    let steps = ((sweep.abs() / 4.0).ceil() as u16).max(1);
    let place = |step: u16| {
        let angle = (sweep * f64::from(step) / f64::from(steps)).to_radians();
        Spot::new(at.x + radius * angle.sin(), at.y - radius * angle.cos())
    };
    (0..=steps).map(place).collect()
}

fn picture(surface: &mut Surface<'_>, face: &Face, scene: &Scene, (x, y, scale): (f64, f64, f64)) {
    let put = |at: &Spot| Spot::new(x + at.x * scale, y + at.y * scale);
    for Mark { role, shape } in &scene.marks {
        let paint = Theme::Print.paint(*role);
        let (full, thin) = (fill(paint.colour), stroke(&paint, scale));
        match shape {
            Shape::Line { places, arrow } => {
                let places: Vec<Spot> = places.iter().map(put).collect();
                draw(surface, &places, None, Some(thin));
                if let (true, [.., before, tip]) = (arrow, places.as_slice()) {
                    let head =
                        head_places(*tip, (tip.x - before.x, tip.y - before.y), &paint, scale);
                    draw(surface, &head, Some(full), None);
                }
            }
            Shape::Area { places } => {
                let places: Vec<Spot> = places.iter().map(put).collect();
                draw(surface, &places, Some(full), None);
            }
            Shape::Dot { at, radius } => {
                draw(surface, &round(put(at), radius * scale, 360.0), Some(full), None);
            }
            Shape::Ring { at, radius } => {
                let whole = stroke(&Paint { dash: None, ..paint }, scale);
                draw(surface, &round(put(at), radius * scale, 360.0), None, Some(whole));
            }
            Shape::Arc { at, radius, sweep } => {
                let places = round(put(at), radius * scale, *sweep);
                draw(surface, &places, None, Some(thin));
                if let (MarkRole::Act | MarkRole::Doubtful, [.., before, tip]) =
                    (role, places.as_slice())
                {
                    let head =
                        head_places(*tip, (tip.x - before.x, tip.y - before.y), &paint, scale);
                    draw(surface, &head, Some(full), None);
                }
            }
            Shape::Text { at, anchor, size, text } => {
                let ink = Ink { size: size * scale, bold: paint.bold, quiet: false };
                let wide = face.width(text, ink.size, ink.bold) / SLACK;
                let at = put(at);
                let left = match anchor {
                    Anchor::Start => at.x,
                    Anchor::Middle => at.x - wide / 2.0,
                    Anchor::End => at.x - wide,
                };
                surface.set_stroke(None);
                surface.set_fill(Some(full));
                face.write(surface, (left, at.y), text, ink);
            }
        }
    }
}
