//! What changed between two visits, or between a setup and today: the neck, its twist and joint, each
//! saddle, each nut slot.
//!
//! All readings of both sides go into one least-squares system (`fallaway_mechanics::state`), each
//! with the uncertainty of its tool; offsets that one reader with one kind of tool carries from
//! reading to reading are unknowns of the same system, so that they cancel where both sides share
//! them. Targets count as readings that are anywhere within their tolerance. All parts of one
//! comparison together are wrongly called moved at most 5 % of the time.
//!
//! A reading may be misread or mistyped. The visits before, between and after are asked which may be
//! (`doubt`); what is said must hold whichever likely explanation is true. So one reading
//! that stands apart shows no part to have moved, until it is taken again, another one agrees, or a
//! note says what was done.
//!
//! Its cost grows with the cube of the number of strings, so the plan does without it
//! ([`crate::since`] answers there, from relief and action alone) and an app asks for it when somebody
//! wants to know.

mod doubt;
mod model;
mod sides;
mod words;

use std::fmt;

use fallaway_measure::Place;
use fallaway_mechanics::state::Verdict as Found;
use fallaway_mechanics::units::as_mm;
use fallaway_record::Posture;

use crate::bench::{Bench, Seen};
use crate::caution::Caution;
use crate::deed::DeedKind;
use crate::facts::NeckJoint;
use crate::input::Input;
use crate::known::Known;
use crate::learned::Apart;
use crate::learned::readers::{Aparts, Key};
use crate::thing::{Class, Thing};

use model::Layout;
pub(crate) use model::offset_mm;
use sides::Taken;
pub use words::sentences;

/// One side of a comparison. Visits are named by the position of the entry that opened them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Occasion {
    /// What a visit found: its readings up to the first deed that disturbs each.
    AsFound(usize),
    /// What a visit left: its readings that nothing done in it disturbed afterwards.
    AsLeft(usize),
    /// The targets, each anywhere within its tolerance.
    Setup,
    /// The readings that stand today.
    Today,
}

/// A part of the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// The bow of the neck in the middle of the board; its change is a change of relief.
    Neck,
    /// The bow on the bass side less that on the treble side, as relief.
    Twist,
    /// The neck tilting at the joint; its change is what that makes at the saddles.
    Joint,
    /// A string's height at the saddle, over the line of the neck: its saddle, or, on all strings
    /// alike, joint, bridge or posts.
    Saddle(Place),
    /// The height of a string at the nut, over the crowns: its slot, or a worn first fret.
    Nut(Place),
}

/// What can be said of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// It moved.
    Moved,
    /// It did not move beyond what was read.
    NotBeyondRead,
    /// The readings do not tell.
    CannotBeTold,
}

/// Something that was noted between the two sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted {
    /// The position of its entry.
    pub event: usize,
    /// What was done.
    pub kind: DeedKind,
    /// To which strings; empty for all, or where strings do not matter.
    pub places: Vec<Place>,
}

/// What happened to one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChange {
    /// The part.
    pub part: Part,
    /// After minus before, in mm, with its standard uncertainty.
    pub change: Known,
    /// Low end of the interval in mm. All intervals of a comparison together hold at least 95 % of
    /// the time.
    pub low_mm: f64,
    /// High end of the interval in mm.
    pub high_mm: f64,
    /// The verdict.
    pub verdict: Verdict,
    /// The one reading that would tell most, if the part cannot be told.
    pub would_tell: Option<Thing>,
    /// What was noted between that moves such a part: positions in [`WhatChanged::noted`].
    pub noted: Vec<usize>,
    /// For a part that moved: the one reading that shows it, if it is one. For a part that cannot be
    /// told: the reading that is wrong if the part is still, and right if it moved (or the other way
    /// round).
    pub rests_on_one: Option<Seen>,
}

/// What changed.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatChanged {
    /// From when.
    pub from: Occasion,
    /// To when.
    pub to: Occasion,
    /// Each part, the neck first.
    pub parts: Vec<PartChange>,
    /// All strings moved alike at the saddle: that points to the joint, the bridge or its posts.
    pub common: bool,
    /// Readings that contradict others, of both sides or of the visits around. Those that are surely
    /// wrong count for nothing; while others are left, the intervals are wider.
    pub contradicting: Vec<Seen>,
    /// Readings that two others outvoted: left out.
    pub outvoted: Vec<Seen>,
    /// What was done between, as noted.
    pub noted: Vec<Noted>,
    /// The two sides were read in these two postures, and such readings are not compared.
    pub postures_differ: Option<(Posture, Posture)>,
    /// How many readings it rests on, before and after.
    pub readings: (usize, usize),
    /// Readers of the one side and of the other who are not the same: what is known of how far they lie
    /// apart is reckoned with. Without observations it is what such readers usually may.
    pub readers: Vec<Apart>,
    /// What can harm whoever follows it.
    pub cautions: Vec<Caution>,
}

impl WhatChanged {
    /// The parts that moved.
    pub fn moved(&self) -> impl Iterator<Item = &PartChange> {
        self.parts.iter().filter(|p| p.verdict == Verdict::Moved)
    }

    /// What happened to a part.
    pub fn part(&self, part: Part) -> Option<&PartChange> {
        self.parts.iter().find(|p| p.part == part)
    }
}

/// Why two sides cannot be compared.
#[derive(Debug, Clone, PartialEq)]
pub enum CannotCompare {
    /// A fact of the instrument is unwritten, or two values were written for it.
    Unwritten {
        /// Which: "strings", "scale length", "frets".
        fact: &'static str,
    },
    /// No visit was opened by the entry at this position, or it was crossed out.
    NoSuchVisit {
        /// The position.
        position: usize,
    },
    /// One side has no reading (or target) of relief, action or nut that stands.
    NothingRead {
        /// Which side.
        side: Occasion,
    },
    /// The model refused the numbers.
    Refused(fallaway_mechanics::Error),
}

impl fmt::Display for CannotCompare {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unwritten { fact } => {
                write!(f, "the instrument's {fact} must be written down (one value) to compare")
            }
            Self::NoSuchVisit { position } => {
                write!(f, "no visit was opened by entry {position} of the record")
            }
            Self::NothingRead { side: Occasion::Setup } => {
                f.write_str("the setup has no target of relief, action or nut")
            }
            Self::NothingRead { .. } => {
                f.write_str("one side has no reading of relief, action or nut that stands")
            }
            Self::Refused(error) => write!(f, "the readings cannot be compared: {error}"),
        }
    }
}

impl std::error::Error for CannotCompare {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Refused(error) => Some(error),
            _ => None,
        }
    }
}

impl From<fallaway_mechanics::Error> for CannotCompare {
    fn from(error: fallaway_mechanics::Error) -> Self {
        Self::Refused(error)
    }
}

/// What changed from one occasion to another.
///
/// # Errors
///
/// [`CannotCompare`], which says what is missing.
pub fn what_changed(
    input: &Input<'_>,
    from: Occasion,
    to: Occasion,
) -> Result<WhatChanged, CannotCompare> {
    let layout = Layout::new(&input.facts)?;
    let bench = Bench::new(input);
    let (posture, postures_differ) = sides::common_posture(&bench, from, to)?;
    let mut before = sides::side(&bench, from, posture)?;
    let mut after = sides::side(&bench, to, posture)?;
    if postures_differ.is_some() {
        for side in [&mut before, &mut after] {
            side.keep(|t| t.seen.as_ref().is_none_or(|s| s.posture.is_none()));
        }
    }
    for (side, occasion) in [(&mut before, from), (&mut after, to)] {
        side.keep(|t| layout.tells(t));
        if side.taken.is_empty() {
            return Err(CannotCompare::NothingRead { side: occasion });
        }
    }
    let ends = [&before, &after];
    let readers = readers_apart(&bench, &before.taken, &after.taken);
    let doubts = doubt::doubt(&bench, &layout, [from, to], ends, (posture, &readers))?;
    let asked = layout.asked();
    let compare = |explanation: &doubt::Explanation| {
        doubts.compare(&layout, ends, explanation, asked.clone())
    };
    let mut all = doubts.explanations.iter().map(&compare).collect::<Result<Vec<_>, _>>()?;
    let Some(likeliest) = doubts.explanations.first() else {
        return Err(CannotCompare::NothingRead { side: to });
    };
    // That a joint holds is taken for granted where it helps to tell of the neck, never of the joint.
    let given_way = likeliest.given_way();
    let given_way = compare(&given_way)?;
    let explained = all.len();
    all.push(given_way);
    let candidates = layout.candidates()?;
    let noted = sides::noted(&bench, &before, &after);
    let Some(first) = all.first() else {
        return Err(CannotCompare::NothingRead { side: to });
    };
    let mut parts: Vec<PartChange> = Vec::new();
    for (index, found) in first.found.parts.iter().enumerate() {
        let Some(part) = layout.part(found.part) else { continue };
        let count = if part == Part::Joint { explained + 1 } else { explained };
        let Some(told) = doubt::under_all(all.get(..count).unwrap_or_default(), index) else {
            continue;
        };
        // The reading that makes the difference; one of the earlier side cannot be taken again.
        let others = told.otherwise.iter().filter_map(|n| doubts.explanations.get(*n));
        let differs = others.filter_map(|other| likeliest.differs(other, ends)).max_by_key(|d| d.0);
        let best = found.best_reading.and_then(|i| candidates.get(i));
        let best = best.and_then(|c| layout.thing(c.what, c.string));
        let again = differs.filter(|(end, _)| *end == 1).map(|(_, seen)| seen.thing);
        let single = || single(part, &after.taken).or_else(|| single(part, &before.taken));
        parts.push(PartChange {
            part,
            rests_on_one: match told.verdict {
                Found::Moved => single(),
                _ => differs.map(|(_, seen)| seen.clone()),
            },
            change: Known::mm(as_mm(found.change.value), as_mm(found.change.standard_uncertainty)),
            low_mm: as_mm(told.interval.0),
            high_mm: as_mm(told.interval.1),
            verdict: match told.verdict {
                Found::Moved => Verdict::Moved,
                Found::NotBeyondReading => Verdict::NotBeyondRead,
                Found::CannotBeTold => Verdict::CannotBeTold,
            },
            would_tell: if told.verdict == Found::CannotBeTold { again.or(best) } else { None },
            noted: (0..noted.len())
                .filter(|&n| noted.get(n).is_some_and(|d| moves(d, part, input)))
                .collect(),
        });
    }
    let mut contradicting: Vec<Seen> = doubts.wrong.clone();
    // What they contradict is seen with all of them in.
    let trusting = likeliest.trusting();
    let trusting = if contradicting.is_empty() { None } else { Some(compare(&trusting)?) };
    for (end, index) in trusting.as_ref().unwrap_or(first).contradicting() {
        let seen = ends.get(end).and_then(|s| s.taken.get(index)?.seen.clone());
        contradicting.extend(seen.filter(|s| !contradicting.contains(s)));
    }
    let common = common(&parts);
    let bolted = matches!(input.facts.neck_joint, NeckJoint::Bolted | NeckJoint::Unknown);
    Ok(WhatChanged {
        from,
        to,
        common,
        contradicting,
        outvoted: before.outvoted.into_iter().chain(after.outvoted).collect(),
        noted,
        postures_differ,
        readings: first.readings(),
        readers,
        cautions: if common && bolted { vec![Caution::NeckScrewsSlack] } else { Vec::new() },
        parts,
    })
}

/// Named readers, each with a kind of tool, who read the same kind of thing on different sides. What
/// the compared readings themselves say of them is left to the comparison.
fn readers_apart(bench: &Bench<'_>, before: &[Taken], after: &[Taken]) -> Vec<Apart> {
    let readers = |taken: &[Taken]| {
        let mut all: Vec<(Key, Vec<Option<Class>>)> = Vec::new();
        for seen in taken.iter().filter_map(|t| t.seen.as_ref()).filter(|s| s.by.is_some()) {
            let key = (seen.by.clone(), seen.tool.map(fallaway_measure::Tool::kind));
            let class = seen.thing.class();
            match all.iter_mut().find(|(k, _)| *k == key) {
                Some((_, classes)) => classes.push(class),
                None => all.push((key, vec![class])),
            }
        }
        all
    };
    let (before_by, after_by) = (readers(before), readers(after));
    let events: Vec<usize> =
        before.iter().chain(after).filter_map(|t| Some(t.seen.as_ref()?.event)).collect();
    let mut aparts = None;
    let mut found = Vec::new();
    for (a, read) in &before_by {
        for (b, also) in &after_by {
            let shared = read.iter().any(|class| also.contains(class));
            let already = found.iter().any(|f: &Apart| f.a == *b && f.b == *a);
            if a != b && shared && !already {
                let aparts = aparts.get_or_insert_with(|| Aparts::of(bench));
                found.push(aparts.between(a, b, &events));
            }
        }
    }
    found
}

/// The one reading of a side that tells of a part, if it is one.
fn single(part: Part, taken: &[Taken]) -> Option<Seen> {
    let tells = |t: &&Taken| {
        let class = t.thing.class();
        match part {
            Part::Neck | Part::Twist | Part::Joint => class == Some(Class::Relief),
            Part::Saddle(place) => {
                t.thing.place() == Some(place) && class.is_some_and(Class::is_action)
            }
            Part::Nut(place) => t.thing.place() == Some(place) && class.is_some_and(Class::is_nut),
        }
    };
    let mut telling = taken.iter().filter(tells);
    let first = telling.next()?;
    telling.next().is_none().then(|| first.seen.clone()).flatten()
}

/// Whether a deed moves a part.
fn moves(deed: &Noted, part: Part, input: &Input<'_>) -> bool {
    let touches = |place: Place| {
        deed.places.is_empty()
            || deed.places.iter().any(|&p| input.facts.moved_with(p).contains(&place))
    };
    match (deed.kind, part) {
        (DeedKind::Unknown, _)
        | (
            DeedKind::Rod | DeedKind::Season | DeedKind::Strings | DeedKind::Tuning,
            Part::Neck | Part::Twist,
        )
        | (DeedKind::Neck, Part::Joint | Part::Saddle(_))
        | (DeedKind::Frets, Part::Neck | Part::Twist | Part::Nut(_))
        | (DeedKind::Bridge | DeedKind::Spring, Part::Saddle(_)) => true,
        (DeedKind::SaddleHeight, Part::Saddle(place)) => touches(place),
        (DeedKind::Nut, Part::Nut(place)) => deed.places.is_empty() || deed.places.contains(&place),
        _ => false,
    }
}

/// Whether all strings moved alike at the saddle.
fn common(parts: &[PartChange]) -> bool {
    let saddles: Vec<&PartChange> =
        parts.iter().filter(|p| matches!(p.part, Part::Saddle(_))).collect();
    let low = saddles.iter().map(|p| p.low_mm).fold(f64::NEG_INFINITY, f64::max);
    let high = saddles.iter().map(|p| p.high_mm).fold(f64::INFINITY, f64::min);
    // One change lies in the intervals of all, and each is told from none.
    saddles.len() > 1 && saddles.iter().all(|p| p.verdict == Verdict::Moved) && low <= high
}
