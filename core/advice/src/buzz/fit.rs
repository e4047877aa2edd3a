//! How well a departure from what was read explains just the notes that were named.

use fallaway_mechanics::clearance::ClearanceMargin;
use fallaway_mechanics::units::as_mm;

/// A buzz as it was noted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeardBuzz {
    /// The string's position among those of the desk.
    pub string: usize,
    /// The lowest fret at which it buzzes; 0 is open.
    pub from: u8,
    /// The highest fret at which it buzzes; the same as `from` for a single note.
    pub to: u8,
}

/// How far a note may miss what was said of it as though it were nothing, mm (common practice, no
/// source), and the most that one note can cost: an end of the run is easily named one fret off.
const MISFIT_MM: f64 = 0.04;
const MOST_OF_ONE: f64 = 4.0;

/// The least margin of each note, lowest first, in mm.
pub(super) fn by_note(
    margins: &[ClearanceMargin],
    change: impl Fn(&ClearanceMargin) -> f64,
) -> Vec<(usize, f64)> {
    let mut notes: Vec<(usize, f64)> = Vec::new();
    for margin in margins {
        let left = as_mm(margin.margin) + change(margin);
        match notes.last_mut() {
            Some((note, least)) if *note == margin.place.stopped => *least = least.min(left),
            _ => notes.push((margin.place.stopped, left)),
        }
    }
    notes
}

fn named(heard: HeardBuzz, note: usize) -> bool {
    (usize::from(heard.from)..=usize::from(heard.to)).contains(&note)
}

/// What it costs that named notes do not touch and others do.
pub(super) fn pattern(heard: HeardBuzz, notes: &[(usize, f64)]) -> f64 {
    notes
        .iter()
        .map(|&(note, left)| {
            let wrong = if named(heard, note) { left } else { -left };
            (wrong.max(0.0) / MISFIT_MM).powi(2).min(MOST_OF_ONE)
        })
        .sum()
}

/// The least margin of the named notes, and by how much others touch, in mm.
pub(super) fn ends(heard: HeardBuzz, notes: &[(usize, f64)]) -> (f64, f64) {
    let smallest = |inside: bool| {
        let of = notes.iter().filter(|(note, _)| named(heard, *note) == inside);
        of.map(|(_, left)| *left).fold(f64::INFINITY, f64::min)
    };
    (smallest(true), (-smallest(false)).max(0.0))
}

/// A departure that was tried.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    /// How far from what was read, mm.
    pub by: f64,
    /// By how much notes then touch that were not named, mm.
    pub misfit: f64,
    /// What the departure and what is left unexplained cost.
    pub cost: f64,
}

/// Largest departure that is tried, in sizes that count as little, and steps to such a size.
const MOST_SIZES: u32 = 6;
const STEPS_A_SIZE: u32 = 8;

/// The departure that costs least, if one makes a named note touch. `notes` gives the notes for a
/// departure; `scale` is the size that counts as little.
///
/// Where named notes touch with the numbers as read, nothing more is needed; the size is then how far
/// it would have to go back for them to be clean: of two things that explain it, the one that needs less.
pub(super) fn best<E>(
    heard: HeardBuzz,
    scale: f64,
    mut notes: impl FnMut(f64) -> Result<Vec<(usize, f64)>, E>,
) -> Result<Option<Fit>, E> {
    let steps = MOST_SIZES * STEPS_A_SIZE;
    let size_at = |step: u32| f64::from(step) / f64::from(STEPS_A_SIZE) * scale;
    let mut back = 0.0;
    for step in 0..=steps {
        back = size_at(step);
        if ends(heard, &notes(-back)?).0 >= 0.0 {
            break;
        }
    }
    let mut best: Option<Fit> = None;
    for step in 0..=steps {
        let by = size_at(step);
        let size = ((by + back) / scale).powi(2);
        if best.is_some_and(|best| size > best.cost) {
            break;
        }
        let notes = notes(by)?;
        let (inside, misfit) = ends(heard, &notes);
        let cost = size + pattern(heard, &notes);
        if inside <= 0.0 && best.is_none_or(|best| cost < best.cost) {
            best = Some(Fit { by, misfit, cost });
        }
    }
    Ok(best)
}
