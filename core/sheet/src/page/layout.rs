//! Where everything of a page stands on paper. The letters become smaller until one page holds it all; a
//! drawing gives way before they become hard to read, and what fits even then on no page goes on to the
//! next.

use super::{FOLDED, LargeNumber, MANY_FACTS, Paper, SheetBlock, SheetLine, SheetPage};
use crate::Scene;

/// About 14 mm.
const MARGIN: f64 = 40.0;
/// Letters that are tried, largest first, in points; those of a page with large numbers.
const SIZES: [f64; 8] = [10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0];
const LARGE_SIZES: [f64; 10] = [15.0, 14.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0, 7.5, 7.0];
/// Before letters are smaller than these, the numbers of five or six strings stand beside each other; where even that
/// needs a second page, those of seven or eight do.
const APART: f64 = 10.0;
const BESIDE: [usize; 2] = [6, 8];
/// Below these no drawing stands beside them.
const WITH_PICTURE: f64 = 8.0;
/// Letters of a page that has to go on.
const GOES_ON: f64 = 9.0;
/// How large a drawing is; so that its smallest letters can be read.
const PICTURE: f64 = 0.78;
/// How wide and high a code is, about 32 mm: a module is larger than half a millimetre.
const CODE: f64 = 90.0;
/// In letters smaller than these a number may take two lines in a table of two columns.
const BROKEN: f64 = 7.5;
const LINE: f64 = 1.28;
/// Their names take so much of the width at most.
const NAMES: f64 = 0.4;

/// How wide a text is.
pub(super) trait Measure {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64;
}

/// What a part of the page is, for who hears it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum PartRole<'a> {
    Page,
    Title(&'a str),
    Heading(&'a str),
    Paragraph,
    List,
    Item,
    Label,
    Body,
    Table,
    Row,
    ColumnHead,
    RowHead,
    Cell,
    Figure(&'a Scene),
}

pub(super) struct PagePart<'a> {
    pub(super) role: PartRole<'a>,
    pub(super) parent: usize,
}

/// How a text is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ink {
    pub(super) size: f64,
    pub(super) bold: bool,
    pub(super) quiet: bool,
}

pub(super) enum Op<'a> {
    /// Its base line begins here.
    Text {
        x: f64,
        y: f64,
        ink: Ink,
        text: String,
    },
    Rule {
        from: f64,
        to: f64,
        y: f64,
    },
    /// A caution's triangle: its lower left corner, and how wide it is.
    Triangle {
        x: f64,
        y: f64,
        size: f64,
    },
    Picture {
        x: f64,
        y: f64,
        scale: f64,
        scene: &'a Scene,
    },
}

pub(super) struct PlacedOp<'a> {
    pub(super) page: usize,
    pub(super) op: Op<'a>,
    /// The part that it belongs to; none for rules, which say nothing.
    pub(super) node: usize,
}

pub(super) struct Laid<'a> {
    pub(super) pages: usize,
    pub(super) ops: Vec<PlacedOp<'a>>,
    pub(super) nodes: Vec<PagePart<'a>>,
}

/// The page on this paper.
pub(super) fn layout<'a>(page: &'a SheetPage, paper: Paper, face: &dyn Measure) -> Laid<'a> {
    let large = page.blocks.iter().any(|block| matches!(block, SheetBlock::Numbers(_)));
    let sizes: &[f64] = if large { &LARGE_SIZES } else { &SIZES };
    let least = if large { APART } else { WITH_PICTURE };
    let of = |picture, beside| move |size: &f64| Way { size: *size, picture, beside };
    let first = sizes.iter().filter(|size| **size >= least).map(of(true, 0));
    let readable = || sizes.iter().filter(|size| large && **size >= WITH_PICTURE);
    let dense = BESIDE.into_iter().flat_map(|beside| readable().map(of(true, beside)));
    let most = if large { BESIDE[1] } else { 0 };
    for way in first.chain(dense).chain(sizes.iter().map(of(false, most))) {
        let laid = laid(page, paper, face, way);
        if laid.pages == 1 {
            return laid;
        }
    }
    laid(page, paper, face, Way { size: GOES_ON, picture: true, beside: 0 })
}

/// How a page is tried.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// Of its letters.
    size: f64,
    /// Whether drawings stand on it, or their sentences.
    picture: bool,
    /// The numbers of so many strings stand beside each other, where there are more than four.
    beside: usize,
}

fn laid<'a>(
    page: &'a SheetPage,
    paper: Paper,
    face: &dyn Measure,
    Way { size, picture, beside }: Way,
) -> Laid<'a> {
    let (width, height) = paper.size_pt();
    let root = PagePart { role: PartRole::Page, parent: 0 };
    let laid = Laid { pages: 1, ops: Vec::new(), nodes: vec![root] };
    let (low, width) = (height - MARGIN, width - 2.0 * MARGIN);
    let mut flow = Flow { face, laid, size, beside, y: MARGIN, low, width };
    let plain = Ink { size, bold: false, quiet: false };
    let title = flow.node(PartRole::Title(&page.title), 0);
    let large = Ink { size: size * 1.8, bold: true, quiet: false };
    flow.paragraph(title, &page.title, large, 0.0);
    let below = flow.node(PartRole::Paragraph, 0);
    flow.paragraph(below, &page.subtitle, Ink { quiet: true, ..plain }, 0.0);
    flow.y += size * 0.5;
    for block in &page.blocks {
        match block {
            SheetBlock::Heading(text) => flow.heading(text),
            SheetBlock::Paragraph(text) => {
                let node = flow.node(PartRole::Paragraph, 0);
                flow.paragraph(node, text, plain, 0.0);
            }
            SheetBlock::Points(points) => flow.points(points, plain),
            SheetBlock::Facts(facts) => flow.facts(facts, plain),
            SheetBlock::Table { head, lines } => flow.table(&super::titles(head), lines),
            SheetBlock::Numbers(numbers) => flow.numbers(numbers),
            SheetBlock::Picture(scene) if picture => flow.picture(scene),
            SheetBlock::Picture(scene) => {
                let node = flow.node(PartRole::Paragraph, 0);
                for sentence in scene.told() {
                    flow.paragraph(node, sentence, plain, 0.0);
                }
            }
            SheetBlock::Code { picture, text, beside } => flow.code(picture, text, beside, plain),
            SheetBlock::Caution(text) => flow.caution(text, Ink { quiet: true, ..plain }),
        }
    }
    flow.laid
}

struct Flow<'a, 'f> {
    face: &'f dyn Measure,
    laid: Laid<'a>,
    size: f64,
    beside: usize,
    y: f64,
    low: f64,
    width: f64,
}

/// Lines of a cell.
type Lines = Vec<String>;

impl<'a> Flow<'a, '_> {
    fn node(&mut self, role: PartRole<'a>, parent: usize) -> usize {
        self.laid.nodes.push(PagePart { role, parent });
        self.laid.nodes.len() - 1
    }

    fn put(&mut self, node: usize, op: Op<'a>) {
        let page = self.laid.pages - 1;
        self.laid.ops.push(PlacedOp { page, op, node });
    }

    /// Goes on to the next page where so much does not fit on this one.
    fn room(&mut self, height: f64) {
        if self.y + height > self.low && self.y > MARGIN {
            self.laid.pages += 1;
            self.y = MARGIN;
        }
    }

    fn wrap(&self, text: &str, ink: Ink, most: f64) -> Lines {
        wrap(self.face, text, ink, most)
    }

    fn text(&mut self, node: usize, (x, y): (f64, f64), ink: Ink, text: String) {
        if !text.is_empty() {
            self.put(node, Op::Text { x, y: y + ink.size, ink, text });
        }
    }

    fn paragraph(&mut self, node: usize, text: &str, ink: Ink, indent: f64) {
        for line in self.wrap(text, ink, self.width - indent) {
            let height = ink.size * LINE;
            self.room(height);
            self.text(node, (MARGIN + indent, self.y), ink, line);
            self.y += height;
        }
    }

    fn heading(&mut self, text: &'a str) {
        self.y += self.size * 0.6;
        // With a line or two below it.
        self.room(self.size * 5.0);
        let node = self.node(PartRole::Heading(text), 0);
        let ink = Ink { size: self.size * 1.1, bold: true, quiet: false };
        self.paragraph(node, text, ink, 0.0);
        let y = self.y + 0.5;
        self.put(node, Op::Rule { from: MARGIN, to: MARGIN + self.width, y });
        self.y += self.size * 0.3;
    }

    fn points(&mut self, points: &[String], ink: Ink) {
        let list = self.node(PartRole::List, 0);
        for point in points {
            let item = self.node(PartRole::Item, list);
            let (label, body) = (self.node(PartRole::Label, item), self.node(PartRole::Body, item));
            self.room(ink.size * LINE);
            self.text(label, (MARGIN, self.y), ink, "–".to_owned());
            self.paragraph(body, point, ink, ink.size);
        }
    }

    fn facts(&mut self, facts: &[(String, String)], ink: Ink) {
        let table = self.node(PartRole::Table, 0);
        let gap = self.size * 2.0;
        let half = (self.width - gap) / 2.0;
        let middle = facts.len().div_ceil(2);
        let (one, other) = facts.split_at(middle);
        let tall = |part| self.fact_lines(part, ink, half).map(|(.., lines)| lines).sum::<usize>();
        let tall = tall(one).max(tall(other)) as f64 * ink.size * LINE;
        // A name is not broken within a word for the sake of a second column.
        let words = facts.iter().flat_map(|(name, _)| name.split_whitespace());
        let widest = words.map(|word| self.face.width(word, ink.size, false)).fold(0.0, f64::max);
        let whole = widest <= half * NAMES;
        if facts.len() > MANY_FACTS && whole && self.y + tall <= self.low {
            let top = self.y;
            self.fact_rows(table, one, ink, (MARGIN, half));
            let below = std::mem::replace(&mut self.y, top);
            self.fact_rows(table, other, ink, (MARGIN + half + gap, half));
            self.y = self.y.max(below);
        } else {
            self.fact_rows(table, facts, ink, (MARGIN, self.width));
        }
    }

    /// How wide the names are, with the gap after them.
    fn fact_column(&self, facts: &[(String, String)], ink: Ink, width: f64) -> f64 {
        let wide = facts.iter().map(|(name, _)| self.face.width(name, ink.size, false));
        // A little more than the widest, which rounding may not break.
        wide.fold(0.0, f64::max).min(width * NAMES) + 0.5 + ink.size
    }

    /// The lines of each name and of each value, and how many they take together.
    fn fact_lines(
        &self,
        facts: &[(String, String)],
        ink: Ink,
        width: f64,
    ) -> impl Iterator<Item = (Lines, Lines, usize)> {
        let column = self.fact_column(facts, ink, width);
        facts.iter().map(move |(name, value)| {
            let names = self.wrap(name, Ink { quiet: true, ..ink }, column - ink.size);
            let values = self.wrap(value, ink, width - column);
            let lines = names.len().max(values.len());
            (names, values, lines)
        })
    }

    fn fact_rows(
        &mut self,
        table: usize,
        facts: &[(String, String)],
        ink: Ink,
        (left, width): (f64, f64),
    ) {
        let quiet = Ink { quiet: true, ..ink };
        let column = self.fact_column(facts, ink, width);
        let laid: Vec<_> = self.fact_lines(facts, ink, width).collect();
        for (names, values, _) in laid {
            let row = self.node(PartRole::Row, table);
            let (head, cell) = (self.node(PartRole::RowHead, row), self.node(PartRole::Cell, row));
            let height = ink.size * LINE;
            for number in 0..names.len().max(values.len()) {
                self.room(height);
                for (node, ink, lines, x) in
                    [(head, quiet, &names, left), (cell, ink, &values, left + column)]
                {
                    if let Some(line) = lines.get(number) {
                        self.text(node, (x, self.y), ink, line.clone());
                    }
                }
                self.y += height;
            }
        }
    }

    fn table(&mut self, head: &[String], lines: &[SheetLine]) {
        let gap = self.size * 2.0;
        let half = (self.width - gap) / 2.0;
        let table = self.node(PartRole::Table, 0);
        if lines.len() > FOLDED {
            let (columns, cut) = self.columns(head, lines, half);
            let height = |part: &[SheetLine]| self.height(head, part, &columns);
            let middle = (1..lines.len())
                .find(|at| {
                    let (one, other) = lines.split_at(*at);
                    height(one) >= height(other)
                })
                .unwrap_or(lines.len());
            let (one, other) = lines.split_at(middle);
            // What began in the first column is named again in the second.
            let group = one.iter().rfind(|line| matches!(line, SheetLine::Group(_)));
            let goes_on = matches!(other.first(), Some(SheetLine::Row { grouped: true, .. }));
            let again = group.filter(|_| goes_on).cloned();
            let other: Vec<SheetLine> = again.into_iter().chain(other.iter().cloned()).collect();
            let tall = self.height(head, one, &columns).max(self.height(head, &other, &columns));
            // Smaller letters first, before a number is broken.
            let whole = !cut || self.size < BROKEN;
            if whole && self.y + tall <= self.low {
                let top = self.y;
                self.rows(table, head, one, (&columns, MARGIN, half));
                let below = self.y;
                self.y = top;
                self.rows(table, head, &other, (&columns, MARGIN + half + gap, half));
                self.y = self.y.max(below);
                return;
            }
        }
        let (columns, _) = self.columns(head, lines, self.width);
        self.rows(table, head, lines, (&columns, MARGIN, self.width));
    }

    /// How wide each column is: as wide as what stands in it, but none takes all; and whether one is too
    /// narrow for what stands in it.
    fn columns(&self, head: &[String], lines: &[SheetLine], width: f64) -> (Vec<f64>, bool) {
        let cells = head.len().saturating_sub(1);
        let most = width * 0.66 / cells.max(1) as f64;
        let of = |line: &SheetLine, column: usize| match line {
            SheetLine::Row { cells, .. } => cells.get(column).cloned(),
            SheetLine::Group(_) => None,
        };
        let mut columns: Vec<f64> = (0..cells)
            .map(|column| {
                let texts = lines.iter().filter_map(|line| of(line, column));
                let texts = texts.chain(head.get(column + 1).cloned());
                let wide = texts.map(|text| self.face.width(&text, self.size, true));
                wide.fold(0.0, f64::max) + self.size
            })
            .collect();
        let natural = columns.clone();
        // Where all of them leave room for the first, none is cut.
        if columns.iter().sum::<f64>() > width * 0.75 {
            for wide in &mut columns {
                *wide = wide.min(most);
            }
        }
        let cut = columns != natural;
        columns.insert(0, (width - columns.iter().sum::<f64>()).max(0.0));
        (columns, cut)
    }

    /// The texts of a line with where they begin and how they are written.
    fn cells(&self, line: &SheetLine, columns: &[f64]) -> Vec<(f64, Ink, Lines)> {
        let ink = Ink { size: self.size, bold: false, quiet: false };
        let bold = Ink { bold: true, ..ink };
        let width: f64 = columns.iter().sum();
        match line {
            SheetLine::Group(text) => vec![(0.0, bold, self.wrap(text, bold, width))],
            SheetLine::Row { what, grouped, cells } => {
                let indent = if *grouped { self.size } else { 0.0 };
                let first = columns.first().copied().unwrap_or_default();
                let mut texts =
                    vec![(indent, ink, self.wrap(what, ink, first - indent - self.size * 0.5))];
                let mut x = first;
                for (number, (cell, wide)) in cells.iter().zip(columns.iter().skip(1)).enumerate() {
                    // What is left is what counts tomorrow.
                    let ink = if number + 1 == cells.len() { bold } else { ink };
                    texts.push((x, ink, self.wrap(cell, ink, wide - self.size * 0.5)));
                    x += wide;
                }
                texts
            }
        }
    }

    fn head_line(head: &[String]) -> SheetLine {
        let mut head = head.iter().cloned();
        let what = head.next().unwrap_or_default();
        SheetLine::Row { what, grouped: false, cells: head.collect() }
    }

    fn line_height(&self, cells: &[(f64, Ink, Lines)]) -> f64 {
        let most = cells.iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(0);
        most.max(1) as f64 * self.size * LINE
    }

    fn height(&self, head: &[String], lines: &[SheetLine], columns: &[f64]) -> f64 {
        let head = Self::head_line(head);
        let all = std::iter::once(&head).chain(lines);
        all.map(|line| self.line_height(&self.cells(line, columns))).sum::<f64>() + self.size * 0.2
    }

    fn rows(
        &mut self,
        table: usize,
        head: &[String],
        lines: &[SheetLine],
        (columns, left, width): (&[f64], f64, f64),
    ) {
        let row = self.node(PartRole::Row, table);
        let quiet = |ink: Ink| Ink { bold: false, quiet: true, ..ink };
        let cells = self.cells(&Self::head_line(head), columns);
        let head: Vec<_> = cells.into_iter().map(|(x, ink, text)| (x, quiet(ink), text)).collect();
        self.line(row, head, left, |_| PartRole::ColumnHead);
        let y = self.y;
        self.put(table, Op::Rule { from: left, to: left + width, y });
        self.y += self.size * 0.2;
        for line in lines {
            let row = self.node(PartRole::Row, table);
            let cells = self.cells(line, columns);
            self.line(row, cells, left, |number| {
                if number == 0 { PartRole::RowHead } else { PartRole::Cell }
            });
        }
    }

    fn line(
        &mut self,
        row: usize,
        cells: Vec<(f64, Ink, Lines)>,
        left: f64,
        role: impl Fn(usize) -> PartRole<'a>,
    ) {
        let height = self.line_height(&cells);
        self.room(height);
        for (number, (x, ink, lines)) in cells.into_iter().enumerate() {
            let node = self.node(role(number), row);
            let mut y = self.y;
            for line in lines {
                self.text(node, (left + x, y), ink, line);
                y += self.size * LINE;
            }
        }
        self.y += height;
    }

    fn numbers(&mut self, numbers: &[LargeNumber]) {
        let gap = self.size * 1.4;
        let columns = match numbers.len() {
            count if (5..=self.beside).contains(&count) => count,
            count => super::columns(count),
        };
        let wide = (self.width - (columns as f64 - 1.0) * gap) / columns as f64;
        let small = Ink { size: self.size, bold: false, quiet: false };
        for row in numbers.chunks(columns) {
            let laid: Vec<(Ink, &LargeNumber, Lines, Lines)> = row
                .iter()
                .map(|one| {
                    let natural = self.face.width(&one.number, 1.0, true).max(0.1);
                    let size = (self.size * 2.2).min(wide / natural);
                    let label = self.wrap(&one.label, small, wide);
                    let beside = self.wrap(&one.beside, Ink { quiet: true, ..small }, wide);
                    (Ink { size, bold: true, quiet: false }, one, label, beside)
                })
                .collect();
            let below = |(_, _, label, beside): &(Ink, &LargeNumber, Lines, Lines)| {
                (label.len() + beside.len()) as f64 * self.size * LINE
            };
            let tall = self.size * 2.2 * 1.25 + laid.iter().map(below).fold(0.0, f64::max);
            let height = tall + self.size * 0.7;
            self.room(height);
            for (column, (ink, one, label, beside)) in (0_u8..).zip(laid) {
                let x = MARGIN + f64::from(column) * (wide + gap);
                let node = self.node(PartRole::Paragraph, 0);
                let top = self.y;
                self.put(node, Op::Rule { from: x, to: x + wide, y: top });
                self.text(node, (x, top + self.size * 0.15), ink, one.number.clone());
                let mut y = top + self.size * 2.2 * 1.25;
                for line in label {
                    self.text(node, (x, y), small, line);
                    y += self.size * LINE;
                }
                for line in beside {
                    self.text(node, (x, y), Ink { quiet: true, ..small }, line);
                    y += self.size * LINE;
                }
            }
            self.y += height;
        }
    }

    fn picture(&mut self, scene: &'a Scene) {
        let scale = PICTURE.min(self.width / scene.width);
        self.room(scene.height * scale);
        let node = self.node(PartRole::Figure(scene), 0);
        let x = MARGIN + (self.width - scene.width * scale) / 2.0;
        let y = self.y;
        self.put(node, Op::Picture { x, y, scale, scene });
        self.y += scene.height * scale;
    }

    /// A code, and what is said beside it.
    fn code(&mut self, picture: &'a Scene, text: &str, beside: &[String], ink: Ink) {
        let scale = CODE / picture.width;
        let left = CODE + ink.size;
        let quiet = Ink { quiet: true, ..ink };
        let said = beside.iter().map(|one| (ink, one.as_str())).chain([(quiet, text)]);
        let said: Vec<(Ink, Lines)> =
            said.map(|(ink, one)| (ink, self.wrap(one, ink, self.width - left))).collect();
        let tall = said.iter().map(|(ink, lines)| lines.len() as f64 * ink.size * LINE + 3.0);
        let tall = tall.sum::<f64>().max(CODE);
        self.room(tall);
        let node = self.node(PartRole::Figure(picture), 0);
        let (x, top) = (MARGIN, self.y);
        self.put(node, Op::Picture { x, y: top, scale, scene: picture });
        let mut y = top;
        for (ink, lines) in said {
            let node = self.node(PartRole::Paragraph, 0);
            for line in lines {
                self.text(node, (MARGIN + left, y), ink, line);
                y += ink.size * LINE;
            }
            y += 3.0;
        }
        self.y = top + tall;
    }

    fn caution(&mut self, text: &str, ink: Ink) {
        self.y += ink.size * 0.3;
        let node = self.node(PartRole::Paragraph, 0);
        self.room(ink.size * LINE);
        let at = (MARGIN, self.y + ink.size);
        self.put(node, Op::Triangle { x: at.0, y: at.1, size: ink.size * 0.9 });
        self.paragraph(node, text, ink, ink.size * 1.4);
    }
}

/// Lines of at most this width, broken at spaces, and within a word that is wider.
fn wrap(face: &dyn Measure, text: &str, ink: Ink, most: f64) -> Lines {
    let wide = |text: &str| face.width(text, ink.size, ink.bold);
    let mut lines: Lines = Vec::new();
    for word in text.split_whitespace() {
        if let Some(line) = lines.last_mut()
            && wide(line) + wide(" ") + wide(word) <= most
        {
            line.push(' ');
            line.push_str(word);
            continue;
        }
        let mut rest = String::new();
        for letter in word.chars() {
            let mut longer = rest.clone();
            longer.push(letter);
            if wide(&longer) > most && !rest.is_empty() {
                lines.push(std::mem::take(&mut rest));
            }
            rest.push(letter);
        }
        lines.push(rest);
    }
    lines
}

#[cfg(test)]
#[path = "layout_tests.rs"]
mod tests;
