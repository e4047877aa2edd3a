//! A drawing in characters, for a terminal that shows none.

use fallaway::sheet::{Anchor, MarkRole, Scene, Shape, Spot};

/// Fewer columns than these show nothing that can be read.
const LEAST_COLUMNS: usize = 72;
const MOST_COLUMNS: usize = 100;

/// The drawing in lines of at most this many columns; nothing where there is no room for it. A letter is
/// about twice as high as it is wide. What a dot covers stays covered, and texts that find no room are left
/// out: its sentences have them all.
pub fn in_characters(scene: &Scene, columns: usize) -> Vec<String> {
    if columns < LEAST_COLUMNS || scene.width < 1.0 {
        return Vec::new();
    }
    let wide = columns.min(MOST_COLUMNS);
    let scale = wide as f64 / scene.width;
    let high = (scene.height * scale / 2.0).ceil() as usize;
    let mut grid = Grid { cells: vec![vec![' '; wide]; high], scale };
    for mark in &scene.marks {
        match &mark.shape {
            Shape::Line { places, arrow } => grid.line(mark.role, places, *arrow),
            Shape::Dot { at, .. } => grid.put(*at, '*'),
            Shape::Ring { at, .. } => grid.put(*at, 'o'),
            Shape::Area { places } if mark.role == MarkRole::Caution => {
                if let Some(at) = places.first() {
                    grid.put(*at, '!');
                }
            }
            Shape::Area { .. } | Shape::Arc { .. } | Shape::Text { .. } => {}
        }
    }
    for mark in &scene.marks {
        if let Shape::Text { at, anchor, text, .. } = &mark.shape {
            grid.text(*at, *anchor, text);
        }
    }
    let lines = grid.cells.into_iter().map(|row| row.into_iter().collect::<String>());
    let lines: Vec<String> = lines.map(|line| line.trim_end().to_owned()).collect();
    let first = lines.iter().position(|line| !line.is_empty()).unwrap_or(lines.len());
    let last = lines.iter().rposition(|line| !line.is_empty()).map_or(first, |last| last + 1);
    lines.get(first..last).unwrap_or_default().to_vec()
}

struct Grid {
    cells: Vec<Vec<char>>,
    scale: f64,
}

impl Grid {
    /// Column and row of a place.
    fn cell(&self, at: Spot) -> (usize, usize) {
        let (x, y) = (at.x * self.scale, at.y * self.scale / 2.0);
        (x.max(0.0) as usize, y.max(0.0) as usize)
    }

    fn put(&mut self, at: Spot, letter: char) {
        let (column, row) = self.cell(at);
        if let Some(cell) = self.cells.get_mut(row).and_then(|row| row.get_mut(column)) {
            *cell = letter;
        }
    }

    fn line(&mut self, role: MarkRole, places: &[Spot], arrow: bool) {
        for (from, to) in places.iter().zip(places.iter().skip(1)) {
            let (wide, high) = ((to.x - from.x) * self.scale, (to.y - from.y) * self.scale / 2.0);
            let letter = match role {
                _ if high.abs() > wide.abs() * 2.0 => '|',
                MarkRole::Wanted | MarkRole::Forecast | MarkRole::Doubtful => '.',
                MarkRole::Board => '=',
                _ => '-',
            };
            // Frets and marks shorter than a letter would only hide what they stand on.
            if wide.abs().max(high.abs()) < 1.0 && matches!(role, MarkRole::Fret | MarkRole::Act) {
                continue;
            }
            let steps = wide.abs().max(high.abs()).ceil().max(1.0) as u16;
            for step in 0..=steps {
                let share = f64::from(step) / f64::from(steps);
                let (x, y) = (from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share);
                self.put(Spot { x, y }, letter);
            }
        }
        if let (true, [.., before, tip]) = (arrow, places) {
            let (wide, high) = (tip.x - before.x, tip.y - before.y);
            let head = match (wide.abs() > high.abs(), wide > 0.0, high > 0.0) {
                (true, true, _) => '>',
                (true, false, _) => '<',
                (false, _, true) => 'v',
                (false, _, false) => '^',
            };
            self.put(*tip, head);
        }
    }

    /// The text where its place is, or on one of the next lines, if nothing is written there.
    fn text(&mut self, at: Spot, anchor: Anchor, text: &str) {
        let letters: Vec<char> = text.chars().collect();
        let (column, row) = self.cell(at);
        let start = match anchor {
            Anchor::Start => column,
            Anchor::Middle => column.saturating_sub(letters.len() / 2),
            Anchor::End => column.saturating_sub(letters.len()),
        };
        // What would reach over the edge ends there.
        let start = start.min(self.cells.first().map_or(0, Vec::len).saturating_sub(letters.len()));
        for row in row..row + 3 {
            let Some(cells) = self.cells.get_mut(row) else { return };
            let (left, right) = (start.saturating_sub(1), start + letters.len());
            let around = cells.get(left..(right + 1).min(cells.len())).unwrap_or_default();
            let written = around.iter().any(|cell| cell.is_alphanumeric());
            if written || right > cells.len() {
                continue;
            }
            for (cell, letter) in cells.iter_mut().skip(start).zip(letters) {
                *cell = letter;
            }
            return;
        }
    }
}
