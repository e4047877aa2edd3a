//! Why does this note buzz? Ranked causes, what each predicts, and the reading that decides.
//!
//! For each cause the clearance model says how far the instrument would have to be from what was
//! read for just these notes to touch, and which other notes would then touch too. A cause that
//! needs little, makes every named note buzz and no other ranks first; a relief that is small as
//! read speaks for the relief. The ranking is not a probability: the
//! sizes that count as little are common practice (no source), the swing is a calibration.

mod clues;
mod fit;

use fallaway_measure::Length;
use fallaway_mechanics::clearance::ClearanceMargin;
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_mechanics::{Error, Result};
use fallaway_order::PutInOrder as _;
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::clearance::{ClearanceModel, Departure, ForceFrom, TouchUsed};
pub use clues::{BuzzClues, CleanBy, CrownCheck, PullChange, ReadNow, SinceClean};
use fit::Fit;
pub use fit::HeardBuzz;

/// What may make a note buzz.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuzzCause {
    /// The neck is too straight for this touch.
    ReliefTooSmall,
    /// The string lies too low for this touch.
    ActionLow,
    /// One crown stands proud.
    ProudCrown {
        /// Which one explains the notes best.
        fret: u8,
    },
    /// The slot in the nut is too deep.
    NutSlot,
    /// Other strings or another tuning than when the string last played clean: it swings wider.
    LessPull,
    /// A loose wind on a post, a loose saddle, spring or cover.
    LoosePart,
}

/// A touch harder than the usual one of a player, within what was learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HarderTouch {
    /// The force at right angles to the board at which it buzzes, in N.
    pub force_newton: f64,
    /// Up to which the player was learned to play, in N.
    pub up_to_newton: f64,
}

/// A cause and what speaks for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// What may make it buzz.
    pub cause: BuzzCause,
    /// How far from what was read it needs the instrument to be, in mm; `None` where the model has no
    /// such number.
    pub needs: Option<Length>,
    /// By how much other notes would then touch that were not named, in mm.
    pub misfit: Length,
    /// The touch at which a named note buzzes with the numbers as read, if that is the cause.
    pub harder: Option<HarderTouch>,
    /// What is different since the string last played clean, if that speaks for the cause.
    pub since: Option<SinceClean>,
    /// Crowns that a short straightedge is to be laid over: of a proud crown those that explain the notes nearly as
    /// well; of a low string or a small relief, if it comes first, those of the crown that comes next. A reading tells of a
    /// low string only within what it can tell.
    pub try_crowns: Vec<u8>,
    /// The last fret of the string.
    pub last_fret: u8,
    /// Smaller is likelier.
    cost: f64,
}

impl Suspect {
    /// The three frets over which a short straightedge tells whether this crown stands proud.
    pub fn rock_over(&self, fret: u8) -> [u8; 3] {
        [fret.saturating_sub(1), fret, fret.saturating_add(1).min(self.last_fret)]
    }
}

/// Sizes that count as little, in mm (common practice, no source): relief, action and slot that moved
/// since they were read or were misread, unevenness of crowns.
const RELIEF_MM: f64 = 0.15;
const ACTION_MM: f64 = 0.40;
const CROWN_MM: f64 = 0.05;
const NUT_MM: f64 = 0.15;
/// The same where relief and action were read since it buzzes: what a feeler leaves open, and what a rule does and a
/// touch that is known to a seventh.
const RELIEF_READ_MM: f64 = 0.06;
const ACTION_READ_MM: f64 = 0.25;
/// An ordinary relief, the least that is, and what is much in it, mm (common practice, no source): a
/// smaller one speaks for the relief, one that is not small against it.
const ORDINARY_MM: (f64, f64) = (0.20, 0.12);
const ORDINARY_BY_MM: f64 = 0.08;
/// What a loose part costs: it explains everything, and is looked for once nothing within four such
/// sizes does.
const LOOSE_COST: f64 = 16.0;
/// What the hard half of a learned touch costs, and the steps in which it is gone through.
const HARDER_COST: f64 = 1.0;
const TOUCH_STEPS: u32 = 24;
/// What a proud crown costs beside its height, and a nut slot that was not read.
const PROUD_COST: f64 = 2.0;
const NUT_COST: f64 = 1.0;

/// Crowns that explain the notes worse than the best by no more than this are tried along with it.
const NEARLY: f64 = 4.0;
/// What a trial with a capo counts for: more than any pattern of notes.
const TRIED: f64 = 400.0;
/// What a straightedge that rocks counts for: nearly every crown that makes notes buzz does so, and one level crown in
/// fifteen, by what is left of levelling (0.01 mm about the line, 0.02 mm rocks; common practice, no source).
const ROCKS: f64 = 5.4;
/// What a pull that fell costs: it is known to have, where other causes are only possible. And the steps up
/// to twice the touch in which it is gone through.
const LESS_PULL_COST: f64 = -1.0;
const PULL_STEPS: u32 = 24;

/// Ranks the causes of a buzz by the numbers alone, the likeliest first.
///
/// # Errors
/// [`Error::NoSuchPlace`] for a string or fret that the desk does not have; as [`ClearanceModel::ask`].
pub fn causes(
    desk: &mut ClearanceModel,
    heard: HeardBuzz,
    play: TouchUsed,
) -> Result<Vec<Suspect>> {
    causes_with(desk, heard, play, &BuzzClues::default())
}

/// As [`causes`], with what is known beside the numbers.
///
/// # Errors
/// As [`causes`].
pub fn causes_with(
    desk: &mut ClearanceModel,
    heard: HeardBuzz,
    play: TouchUsed,
    clues: &BuzzClues,
) -> Result<Vec<Suspect>> {
    let count = desk.strings().len();
    let string = desk.strings().get(heard.string).cloned().ok_or(Error::NoSuchPlace {
        what: "string with an action",
        number: heard.string + 1,
        first: 1,
        last: count,
    })?;
    let frets = string.geometry.frets;
    if heard.from > heard.to || usize::from(heard.to) >= frets {
        return Err(Error::NoSuchPlace {
            what: "note with a fret beyond it, fret",
            number: usize::from(heard.to),
            first: usize::from(heard.from),
            last: frets.saturating_sub(1),
        });
    }
    let mut suspects = Vec::new();
    let as_read = desk.margins(heard.string, &Departure::default(), play)?.unwrap_or_default();
    // What the relief as read leaves unexplained, if it is not the cause.
    let straight = beyond(ORDINARY_MM.0 - as_mm(string.relief.value));
    if heard.to > 0 || string.nut.is_some() {
        let mut neck = common(desk, heard, play, BuzzCause::ReliefTooSmall, clues)?;
        if let Some(neck) = &mut neck {
            let then = string.relief.value - neck.needs.unwrap_or_default();
            neck.cost += beyond(as_mm(then) - ORDINARY_MM.1);
        }
        suspects.extend(neck);
        let mut low = common(desk, heard, play, BuzzCause::ActionLow, clues)?;
        if let Some(low) = &mut low {
            low.cost += straight;
        }
        suspects.extend(match harder(desk, heard, play)? {
            // A touch within what was learned suffices, with the numbers as read.
            Some(hard) if low.as_ref().is_none_or(|low| hard.cost < low.cost) => Some(hard),
            _ => low,
        });
        suspects.extend(proud(heard, &as_read, frets, straight, &clues.crowns)?);
    }
    suspects.extend(less_pull(desk, heard, play, clues)?);
    if heard.from == 0 {
        let mut slot = nut(heard, &as_read, string.nut.is_some(), straight)?;
        slot.cost += match clues.gone_with_capo {
            Some(true) => -TRIED,
            Some(false) => TRIED,
            None => 0.0,
        };
        suspects.push(slot);
    }
    suspects.push(loose());
    for suspect in &mut suspects {
        suspect.last_fret = frets.try_into().unwrap_or(u8::MAX);
    }
    suspects.put_in_order_by(|a, b| a.cost.total_cmp(&b.cost));
    if let [first, next, ..] = suspects.as_mut_slice()
        && matches!(first.cause, BuzzCause::ReliefTooSmall | BuzzCause::ActionLow)
        && matches!(next.cause, BuzzCause::ProudCrown { .. })
    {
        first.try_crowns.clone_from(&next.try_crowns);
    }
    Ok(suspects)
}

/// What it costs that a relief lies so far on the wrong side of the ordinary, in mm.
fn beyond(by: f64) -> f64 {
    (by / ORDINARY_BY_MM).max(0.0).powi(2)
}

/// Relief or action lower than read, by as much as explains the named notes best. The neck moves
/// with the saddle untouched, as it does in another air.
fn common(
    desk: &mut ClearanceModel,
    heard: HeardBuzz,
    play: TouchUsed,
    cause: BuzzCause,
    clues: &BuzzClues,
) -> Result<Option<Suspect>> {
    let (relief, action) = (clues.read_now.relief, clues.read_now.action);
    let (scale, fell) = match (cause, &clues.since) {
        (BuzzCause::ReliefTooSmall, since) => {
            let fell = since.as_ref().and_then(|since| since.relief_fell_mm);
            (if relief { RELIEF_READ_MM } else { RELIEF_MM }, fell)
        }
        (_, since) => {
            let fell = since.as_ref().and_then(|since| since.action_fell_mm);
            (if action { ACTION_READ_MM } else { ACTION_MM }, fell)
        }
    };
    // What fell by so much since it was clean need not be explained once more.
    let scale = scale + 2.0 * fell.unwrap_or(0.0);
    let since = clues.since.clone().filter(|_| fell.is_some());
    let found = fit::best(heard, scale, |by| {
        let departure = match cause {
            BuzzCause::ReliefTooSmall => Departure { relief: mm(-by), ..Departure::default() },
            _ => Departure { action: mm(-by), ..Departure::default() },
        };
        let margins = desk.margins(heard.string, &departure, play)?.unwrap_or_default();
        Ok::<_, Error>(fit::by_note(&margins, |_| 0.0))
    })?;
    Ok(found.map(|fit| {
        let (needs, misfit) = (Some(mm(fit.by)), mm(fit.misfit));
        Suspect {
            cause,
            needs,
            misfit,
            harder: None,
            since,
            try_crowns: Vec::new(),
            last_fret: 0,
            cost: fit.cost,
        }
    }))
}

/// The string pulls less than when it last played clean: as it is now a named note touches, at the usual
/// touch or one up to twice as hard.
fn less_pull(
    desk: &mut ClearanceModel,
    heard: HeardBuzz,
    play: TouchUsed,
    clues: &BuzzClues,
) -> Result<Option<Suspect>> {
    let Some(since) = &clues.since else { return Ok(None) };
    let Ok(share) = since.slacker() else { return Ok(None) };
    let usual = play.touch.force.get::<newton>();
    let mut at = |force: f64| {
        let mut hard = play;
        hard.touch.force = Force::new::<newton>(force);
        let margins = desk.margins(heard.string, &Departure::default(), hard)?;
        Ok::<_, Error>(fit::by_note(&margins.unwrap_or_default(), |_| 0.0))
    };
    for step in 0..=PULL_STEPS {
        let times = 1.0 + f64::from(step) / f64::from(PULL_STEPS);
        let notes = at(usual * times)?;
        let (inside, misfit) = fit::ends(heard, &notes);
        if inside > 0.0 {
            continue;
        }
        // With the pull as it was the swing was less by that share: what still touches then, the pull
        // does not explain.
        let left = match share {
            Some(share) => (-fit::ends(heard, &at(usual * times * share)?).0).max(0.0),
            None => 0.0,
        };
        let cost = LESS_PULL_COST
            + (times.ln() / 1.5_f64.ln()).powi(2)
            + (left / ACTION_MM).powi(2)
            + fit::pattern(heard, &notes);
        return Ok(Some(Suspect {
            cause: BuzzCause::LessPull,
            needs: None,
            misfit: mm(misfit),
            harder: None,
            since: Some(since.clone()),
            try_crowns: Vec::new(),
            last_fret: 0,
            cost,
        }));
    }
    Ok(None)
}

/// The string lies low for the hard half of a touch that was learned: with the numbers as read a named
/// note touches there.
fn harder(desk: &mut ClearanceModel, heard: HeardBuzz, play: TouchUsed) -> Result<Option<Suspect>> {
    let ForceFrom::Learned { high_newton, .. } = play.touch_from else { return Ok(None) };
    let usual = play.touch.force.get::<newton>();
    for step in 0..=TOUCH_STEPS {
        let force = usual + (high_newton - usual) * f64::from(step) / f64::from(TOUCH_STEPS);
        let mut hard = play;
        hard.touch.force = Force::new::<newton>(force);
        let margins = desk.margins(heard.string, &Departure::default(), hard)?;
        let notes = fit::by_note(&margins.unwrap_or_default(), |_| 0.0);
        let (inside, misfit) = fit::ends(heard, &notes);
        if inside <= 0.0 {
            let cost = HARDER_COST + fit::pattern(heard, &notes);
            return Ok(Some(with_touch(force, high_newton, misfit, cost)));
        }
    }
    Ok(None)
}

fn with_touch(force: f64, high_newton: f64, misfit: f64, cost: f64) -> Suspect {
    Suspect {
        cause: BuzzCause::ActionLow,
        needs: Some(mm(0.0)),
        misfit: mm(misfit),
        harder: Some(HarderTouch { force_newton: force, up_to_newton: high_newton }),
        since: None,
        try_crowns: Vec::new(),
        last_fret: 0,
        cost,
    }
}

/// One crown beyond the notes that stands high enough for the named notes to touch it.
fn proud(
    heard: HeardBuzz,
    as_read: &[ClearanceMargin],
    frets: usize,
    straight: f64,
    tried: &[CrownCheck],
) -> Result<Option<Suspect>> {
    // A crown that rocks is the one; one that does not is none.
    let rocks = tried.iter().any(|one| one.rocks);
    let may = |fret: usize| match tried.iter().rev().find(|one| usize::from(one.fret) == fret) {
        Some(one) => one.rocks,
        None => !rocks,
    };
    let last = (usize::from(heard.to) + 6).min(frets);
    let mut found: Vec<(usize, Fit)> = Vec::new();
    for fret in (usize::from(heard.from) + 1..=last).filter(|fret| may(*fret)) {
        let crown = fit::best(heard, CROWN_MM, |height| {
            Ok::<_, Error>(fit::by_note(as_read, |margin| match margin.place {
                place if place.over == fret => -height,
                // Stopped on it, the string lies higher, by the less the farther on.
                place if place.stopped == fret => height * toward_saddle(place.over - fret),
                _ => 0.0,
            }))
        })?;
        found.extend(crown.map(|fit| (fret, fit)));
    }
    let best = found.iter().min_by(|a, b| a.1.cost.total_cmp(&b.1.cost)).copied();
    let untried = |fret: usize| !tried.iter().any(|one| usize::from(one.fret) == fret);
    Ok(best.map(|(fret, fit)| Suspect {
        cause: BuzzCause::ProudCrown { fret: fret as u8 },
        try_crowns: found
            .iter()
            .filter(|(fret, other)| untried(*fret) && other.cost <= fit.cost + NEARLY)
            .map(|(fret, _)| *fret as u8)
            .collect(),
        needs: Some(mm(fit.by)),
        misfit: mm(fit.misfit),
        harder: None,
        since: None,
        last_fret: 0,
        cost: PROUD_COST + fit.cost + straight - if rocks { ROCKS } else { 0.0 },
    }))
}

/// The share of a change at a fret that is left so many frets on, the saddle fixed at the scale length.
fn toward_saddle(frets: usize) -> f64 {
    (-(frets as f64) / 12.0).exp2()
}

fn nut(
    heard: HeardBuzz,
    as_read: &[ClearanceMargin],
    was_read: bool,
    straight: f64,
) -> Result<Suspect> {
    let found = fit::best(heard, NUT_MM, |by| {
        Ok::<_, Error>(fit::by_note(as_read, |margin| match margin.place {
            place if place.stopped == 0 => -by * toward_saddle(place.over),
            _ => 0.0,
        }))
    })?;
    let found = found.filter(|_| was_read);
    let unread = NUT_COST + fit::pattern(heard, &fit::by_note(as_read, |_| 0.0));
    let needs = found.map(|fit| mm(fit.by));
    Ok(Suspect {
        cause: BuzzCause::NutSlot,
        needs,
        misfit: mm(found.map_or(0.0, |fit| fit.misfit)),
        harder: None,
        since: None,
        try_crowns: Vec::new(),
        last_fret: 0,
        cost: straight + found.map_or(unread, |fit| fit.cost),
    })
}

fn loose() -> Suspect {
    Suspect {
        cause: BuzzCause::LoosePart,
        needs: None,
        misfit: mm(0.0),
        harder: None,
        since: None,
        try_crowns: Vec::new(),
        last_fret: 0,
        cost: LOOSE_COST,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clearance::{SetString, TouchBounds};
    use crate::observe::InterventionKind;
    use fallaway_mechanics::Uncertain;
    use fallaway_mechanics::conversions::StringGeometry;
    use fallaway_mechanics::neck::{Joint, ReliefWay};
    use fallaway_mechanics::string_line::{GapPlace, NutReading};
    use fallaway_record::{EntryId, Moment};

    fn desk(relief: f64, action: f64) -> ClearanceModel {
        ClearanceModel::new(vec![SetString {
            place: fallaway_measure::StringPlace::course(4).unwrap(),
            geometry: StringGeometry::level(mm(863.6), 24, Joint::known(20.0).unwrap()),
            hz: 41.203,
            tension: Uncertain::exact(Force::new::<newton>(155.0)),
            inharmonicity: 1e-4,
            relief: Uncertain::new(mm(relief), mm(0.02)).unwrap(),
            relief_way: ReliefWay::largest(24),
            action: Uncertain::new(mm(action), mm(0.05)).unwrap(),
            action_at: GapPlace::stopped_at_1_over(24),
            nut: Some(NutReading::OpenOver1(mm(0.5))),
        }])
    }

    fn first(desk: &mut ClearanceModel, from: u8, to: u8, force: f64) -> BuzzCause {
        let heard = HeardBuzz { string: 0, from, to };
        causes(desk, heard, TouchUsed::with_force(force)).unwrap()[0].cause
    }

    #[test]
    fn a_single_note_on_a_roomy_neck_points_at_one_crown() {
        // By construction: everything else clears, so nothing common explains one note alone.
        let cause = first(&mut desk(0.25, 2.4), 7, 7, 1.0);
        assert!(matches!(cause, BuzzCause::ProudCrown { fret: 8 }), "{cause:?}");
    }

    #[test]
    fn a_player_known_to_play_hard_needs_no_other_cause() {
        let heard = HeardBuzz { string: 0, from: 1, to: 12 };
        let learned = |high_newton| TouchUsed {
            touch_from: ForceFrom::Learned {
                observations: 3,
                low_newton: 0.5,
                high_newton,
                sides: TouchBounds::AtLeast,
            },
            ..TouchUsed::with_force(1.0)
        };
        let hard = causes(&mut desk(0.25, 2.2), heard, learned(4.0)).unwrap();
        assert_eq!(hard[0].cause, BuzzCause::ActionLow);
        assert_eq!(hard[0].harder.unwrap().up_to_newton, 4.0);
        let soft = causes(&mut desk(0.25, 2.2), heard, learned(1.1)).unwrap();
        assert!(soft.iter().all(|s| s.harder.is_none()));
    }

    #[test]
    fn an_open_string_alone_points_at_the_nut() {
        assert_eq!(first(&mut desk(0.25, 2.8), 0, 0, 1.0), BuzzCause::NutSlot);
    }

    #[test]
    fn low_notes_on_a_straight_neck_point_at_the_relief() {
        assert_eq!(first(&mut desk(-0.05, 2.4), 1, 6, 1.5), BuzzCause::ReliefTooSmall);
    }

    #[test]
    fn the_likeliest_comes_first() {
        let heard = HeardBuzz { string: 0, from: 3, to: 6 };
        let all = causes(&mut desk(0.1, 1.6), heard, TouchUsed::with_force(2.0)).unwrap();
        assert!(all.len() >= 3);
        assert!(all.windows(2).all(|w| w[0].cost <= w[1].cost));
    }

    fn since(pull: Option<PullChange>, strings: Option<InterventionKind>) -> BuzzClues {
        let writer = fallaway_changes::Writer::from_bytes([7; 16]);
        let since = SinceClean {
            entry: EntryId::new(writer, 1),
            at: Moment { unix_s: 0, offset_min: 0 },
            by: CleanBy::AsLeft,
            strings,
            pull,
            action_fell_mm: None,
            relief_fell_mm: None,
        };
        BuzzClues { since: Some(since), ..BuzzClues::default() }
    }

    #[test]
    fn a_string_that_pulls_less_than_when_it_was_clean_comes_first() {
        // A whole tone down: 2^(-1/3) of the pull. Low notes touch that did not.
        let pull = PullChange { then_newton: 195.0, now_newton: 155.0 };
        let heard = HeardBuzz { string: 0, from: 1, to: 9 };
        let play = TouchUsed::with_force(1.5);
        let mut low = desk(0.2, 1.75);
        let by_numbers = causes(&mut low, heard, play).unwrap();
        assert!(by_numbers.iter().all(|s| s.cause != BuzzCause::LessPull));
        let strings = Some(InterventionKind::Tuning);
        let found = causes_with(&mut low, heard, play, &since(Some(pull), strings)).unwrap();
        assert_eq!(found[0].cause, BuzzCause::LessPull, "{found:?}");
        // The same pull as then explains nothing.
        let same = PullChange { then_newton: 155.0, now_newton: 155.0 };
        let found = causes_with(&mut low, heard, play, &since(Some(same), None)).unwrap();
        assert!(found.iter().all(|s| s.cause != BuzzCause::LessPull));
    }

    #[test]
    fn what_fell_since_the_string_played_clean_is_the_likelier_and_says_so() {
        let (heard, play) = (HeardBuzz { string: 0, from: 1, to: 12 }, TouchUsed::with_force(1.5));
        let of = |cause: BuzzCause, action, relief| {
            let mut clues = since(None, None);
            let since = clues.since.as_mut().unwrap();
            (since.action_fell_mm, since.relief_fell_mm) = (action, relief);
            let all = causes_with(&mut desk(0.15, 1.75), heard, play, &clues).unwrap();
            let found = all.into_iter().find(|s| s.cause == cause).unwrap();
            (found.cost, found.since.is_some())
        };
        for (cause, action, relief) in
            [(BuzzCause::ActionLow, Some(0.5), None), (BuzzCause::ReliefTooSmall, None, Some(0.3))]
        {
            let (before, fell) = (of(cause, None, None), of(cause, action, relief));
            assert!(fell.0 < before.0, "{cause:?}: {fell:?} {before:?}");
            assert_eq!((fell.1, before.1), (true, false), "{cause:?}");
        }
    }

    #[test]
    fn a_short_straightedge_decides_between_a_crown_and_the_rest() {
        let tried = |frets: &[u8], rocks| BuzzClues {
            crowns: frets.iter().map(|&fret| CrownCheck { fret, rocks }).collect(),
            ..BuzzClues::default()
        };
        // One note alone on a roomy neck: the crown before it, and its like.
        let (heard, play) = (HeardBuzz { string: 0, from: 7, to: 7 }, TouchUsed::with_force(1.0));
        let untried = causes(&mut desk(0.25, 2.4), heard, play).unwrap();
        assert_eq!(untried[0].cause, BuzzCause::ProudCrown { fret: 8 }, "{untried:?}");
        assert!(untried[0].try_crowns.contains(&8), "{untried:?}");
        let rocks = causes_with(&mut desk(0.25, 2.4), heard, play, &tried(&[8], true)).unwrap();
        assert_eq!(rocks[0].cause, BuzzCause::ProudCrown { fret: 8 }, "{rocks:?}");
        // All that were tried and do not rock are out, and are not asked for again.
        let level = tried(&untried[0].try_crowns, false);
        let found = causes_with(&mut desk(0.25, 2.4), heard, play, &level).unwrap();
        let again = |s: &Suspect| s.try_crowns.iter().any(|f| untried[0].try_crowns.contains(f));
        assert!(!found.iter().any(again), "{found:?}");
        // One that does not rock is out, and another is named or none.
        let mut roomy = desk(0.25, 2.4);
        let alone = HeardBuzz { string: 0, from: 7, to: 7 };
        let play = TouchUsed::with_force(1.0);
        let found = causes_with(&mut roomy, alone, play, &tried(&[8], false)).unwrap();
        assert!(found.iter().all(|s| s.cause != BuzzCause::ProudCrown { fret: 8 }));
    }

    #[test]
    fn a_capo_decides_on_the_slot() {
        let heard = HeardBuzz { string: 0, from: 0, to: 0 };
        let play = TouchUsed::with_force(1.0);
        let capo = |gone| BuzzClues { gone_with_capo: Some(gone), ..BuzzClues::default() };
        let slot = causes_with(&mut desk(0.25, 2.8), heard, play, &capo(true)).unwrap();
        assert_eq!(slot[0].cause, BuzzCause::NutSlot);
        let other = causes_with(&mut desk(0.25, 2.8), heard, play, &capo(false)).unwrap();
        assert_ne!(other[0].cause, BuzzCause::NutSlot);
    }

    #[test]
    fn notes_that_are_not_there_are_refused() {
        let ask = |string, from, to| {
            causes(&mut desk(0.2, 2.0), HeardBuzz { string, from, to }, TouchUsed::with_force(1.0))
        };
        assert!(ask(1, 3, 3).is_err());
        assert!(ask(0, 5, 3).is_err());
        assert!(ask(0, 3, 24).is_err());
    }
}
