//! Why does this note buzz? Ranked causes, what each predicts, and the reading that decides.
//!
//! For each cause the clearance model says how far the instrument would have to be from what was
//! read for just these notes to touch, and which other notes would then touch too. A cause that
//! needs little and makes no other note buzz ranks first. The ranking is not a probability: the
//! sizes that count as little are common practice (no source), the swing is a calibration.

use fallaway_measure::Length;
use fallaway_mechanics::clearance::Margin;
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_mechanics::{Error, Result};
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::clearance::{Desk, Play, TouchFrom};

/// A buzz as it was noted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Heard {
    /// The string's position among those of the desk.
    pub string: usize,
    /// The lowest fret at which it buzzes; 0 is open.
    pub from: u8,
    /// The highest.
    pub to: u8,
}

/// A cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
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
    /// A loose wind on a post, a loose saddle, spring or cover.
    LoosePart,
}

/// A cause and what speaks for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The cause.
    pub cause: Cause,
    /// How far from what was read it needs the instrument to be, in mm; `None` where the model has no
    /// such number.
    pub needs: Option<Length>,
    /// By how much other notes would then touch that were not named, in mm.
    pub misfit: Length,
    /// What it predicts.
    pub predicts: String,
    /// The reading or trial that decides.
    pub decide: String,
    /// Smaller is likelier.
    cost: f64,
}

/// Sizes that are met on instruments, in mm (common practice, no source): relief and action that
/// moved since they were read or were misread, unevenness of crowns, misfit.
const RELIEF_MM: f64 = 0.08;
const ACTION_MM: f64 = 0.15;
const CROWN_MM: f64 = 0.05;
const MISFIT_MM: f64 = 0.04;
/// What a loose part costs: it explains everything, and is looked for once nothing within three such
/// sizes does.
const LOOSE_COST: f64 = 9.0;
/// What the hard half of a learned touch costs, and the steps in which it is gone through.
const HARDER_COST: f64 = 1.0;
const TOUCH_STEPS: u32 = 24;
/// What a nut slot costs that was not read.
const NUT_COST: f64 = 1.0;
/// Largest departure that is tried, mm, and its step.
const MOST_MM: f64 = 0.6;
const STEP_MM: f64 = 0.02;

/// Ranks the causes of a buzz, the likeliest first.
///
/// # Errors
/// [`Error::NoSuchPlace`] for a string or fret that the desk does not have; as [`Desk::ask`].
pub fn causes(desk: &mut Desk, heard: Heard, play: Play) -> Result<Vec<Suspect>> {
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
    let (relief, action) = (string.relief.value, string.action.value);
    if heard.to > 0 || string.nut.is_some() {
        let as_read = margins(desk, heard, relief, action, play)?;
        suspects.extend(common(desk, heard, play, (relief, action), Cause::ReliefTooSmall)?);
        let low = common(desk, heard, play, (relief, action), Cause::ActionLow)?;
        suspects.extend(match harder(desk, heard, play, (relief, action))? {
            // A touch within what was learned suffices, with the numbers as read.
            Some(hard) if low.as_ref().is_none_or(|low| hard.cost < low.cost) => Some(hard),
            _ => low,
        });
        suspects.extend(proud(heard, &as_read, frets));
    }
    if heard.from == 0 {
        suspects.push(nut(heard));
    }
    suspects.push(loose());
    suspects.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    Ok(suspects)
}

fn margins(
    desk: &mut Desk,
    heard: Heard,
    relief: Length,
    action: Length,
    play: Play,
) -> Result<Vec<Margin>> {
    Ok(desk.margins(heard.string, relief, action, play)?.unwrap_or_default())
}

fn is_heard(heard: Heard, margin: &Margin) -> bool {
    (usize::from(heard.from)..=usize::from(heard.to)).contains(&margin.place.stopped)
}

/// Smallest margin of the notes heard, and by how much others touch, in mm.
fn fit(heard: Heard, margins: &[Margin]) -> (f64, f64) {
    let smallest = |inside: bool| {
        margins
            .iter()
            .filter(|m| is_heard(heard, m) == inside)
            .map(|m| as_mm(m.margin))
            .fold(f64::INFINITY, f64::min)
    };
    (smallest(true), (-smallest(false)).max(0.0))
}

/// Relief or action lower than read, by as little as lets a named note touch.
fn common(
    desk: &mut Desk,
    heard: Heard,
    play: Play,
    (relief, action): (Length, Length),
    cause: Cause,
) -> Result<Option<Suspect>> {
    let steps = (MOST_MM / STEP_MM).round() as u32;
    for step in 0..=steps {
        let by = f64::from(step) * STEP_MM;
        let (relief, action, scale) = match cause {
            Cause::ReliefTooSmall => (relief - mm(by), action, RELIEF_MM),
            _ => (relief, action - mm(by), ACTION_MM),
        };
        let (inside, misfit) = fit(heard, &margins(desk, heard, relief, action, play)?);
        if inside <= 0.0 {
            let (predicts, decide) = words(cause, by);
            let cost = (by / scale).powi(2) + (misfit / MISFIT_MM).powi(2);
            let needs = Some(mm(by));
            return Ok(Some(Suspect { cause, needs, misfit: mm(misfit), predicts, decide, cost }));
        }
    }
    Ok(None)
}

/// The string lies low for the hard half of a touch that was learned: with the numbers as read a named
/// note touches there.
fn harder(
    desk: &mut Desk,
    heard: Heard,
    play: Play,
    (relief, action): (Length, Length),
) -> Result<Option<Suspect>> {
    let TouchFrom::Learned { high_newton, .. } = play.touch_from else { return Ok(None) };
    let usual = play.touch.force.get::<newton>();
    for step in 0..=TOUCH_STEPS {
        let force = usual + (high_newton - usual) * f64::from(step) / f64::from(TOUCH_STEPS);
        let mut hard = play;
        hard.touch.force = Force::new::<newton>(force);
        let (inside, misfit) = fit(heard, &margins(desk, heard, relief, action, hard)?);
        if inside <= 0.0 {
            return Ok(Some(with_touch(force, high_newton, misfit)));
        }
    }
    Ok(None)
}

fn with_touch(force: f64, high_newton: f64, misfit: f64) -> Suspect {
    Suspect {
        cause: Cause::ActionLow,
        needs: Some(mm(0.0)),
        misfit: mm(misfit),
        predicts: format!(
            "at {force:.1} N, within what was learned of this player (up to {high_newton:.1} N), a named \
             note touches in the model with the numbers as read; a lighter touch is clean"
        ),
        decide: "play it lighter; then tune and read the action of this string and its neighbours"
            .to_owned(),
        cost: HARDER_COST + (misfit / MISFIT_MM).powi(2),
    }
}

fn words(cause: Cause, by: f64) -> (String, String) {
    let needs = if by < STEP_MM / 2.0 {
        "with the numbers as read a named note touches in the model".to_owned()
    } else {
        format!("a named note touches in the model once this is {by:.2} mm less than read")
    };
    match cause {
        Cause::ReliefTooSmall => (
            format!(
                "{needs}; neighbouring low and middle notes nearly touch too, high ones do not"
            ),
            "tune, then read the relief in playing position".to_owned(),
        ),
        _ => (
            format!(
                "{needs}; it grows with the touch, and the same notes of strings as low do it too"
            ),
            "tune, then read the action of this string and its neighbours".to_owned(),
        ),
    }
}

/// One crown beyond the notes that stands high enough for the named notes to touch it.
fn proud(heard: Heard, as_read: &[Margin], frets: usize) -> Option<Suspect> {
    let last = (usize::from(heard.to) + 4).min(frets);
    (usize::from(heard.from) + 1..=last)
        .filter_map(|fret| {
            let over = || as_read.iter().filter(move |m| m.place.over == fret);
            // Each named note below it has to reach it; those at or above it cannot.
            let named = over().filter(|m| is_heard(heard, m));
            let height = named.map(|m| as_mm(m.margin)).fold(f64::NEG_INFINITY, f64::max);
            if !height.is_finite() {
                return None;
            }
            let height = height.max(0.0);
            let unnamed = over().filter(|m| !is_heard(heard, m));
            let others = unnamed.map(|m| height - as_mm(m.margin)).fold(0.0, f64::max);
            // Named notes at or above the crown stay unexplained.
            let left = usize::from(heard.to).saturating_sub(fret - 1) as f64;
            let cost = (height / CROWN_MM).powi(2) + (others / MISFIT_MM).powi(2) + 4.0 * left;
            Some((fret, height, others, cost))
        })
        .min_by(|a, b| a.3.total_cmp(&b.3))
        .map(|(fret, height, others, cost)| Suspect {
            cause: Cause::ProudCrown { fret: fret as u8 },
            needs: Some(mm(height)),
            misfit: mm(others),
            predicts: format!(
                "the crown of fret {fret} {height:.2} mm over its neighbours makes the named notes \
                 below it touch in the model; the note stopped at {fret} itself is clean"
            ),
            decide: format!(
                "a short straight edge over frets {}, {fret} and {}: does it rock?",
                fret - 1,
                (fret + 1).min(frets)
            ),
            cost,
        })
}

fn nut(heard: Heard) -> Suspect {
    let only_open = heard.to == 0;
    Suspect {
        cause: Cause::NutSlot,
        needs: None,
        misfit: mm(0.0),
        predicts:
            "only the open string buzzes, over the first frets; stopped at any fret it is clean"
                .to_owned(),
        decide:
            "stop the string at 3 and read the gap over 1; then a capo or finger at 1: is it gone?"
                .to_owned(),
        cost: if only_open { NUT_COST } else { NUT_COST + 4.0 * f64::from(heard.to) },
    }
}

fn loose() -> Suspect {
    Suspect {
        cause: Cause::LoosePart,
        needs: None,
        misfit: mm(0.0),
        predicts:
            "one pitch rattles wherever it is played, also on other strings, and hardly depends \
                   on the touch"
                .to_owned(),
        decide:
            "play the same pitch elsewhere; damp winds, saddle, screws, springs and covers with a \
                 finger, one after the other"
                .to_owned(),
        cost: LOOSE_COST,
    }
}

impl Cause {
    /// In words.
    pub fn text(self) -> String {
        match self {
            Self::ReliefTooSmall => "relief too small for this touch".to_owned(),
            Self::ActionLow => "action low for this touch".to_owned(),
            Self::ProudCrown { fret } => format!("the crown of fret {fret} stands proud"),
            Self::NutSlot => "nut slot too deep".to_owned(),
            Self::LoosePart => "a loose wind, saddle or other part".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clearance::SetString;
    use crate::learned::touch::Sides;
    use fallaway_mechanics::Estimate;
    use fallaway_mechanics::conversions::StringGeometry;
    use fallaway_mechanics::neck::{Joint, ReliefWay};
    use fallaway_mechanics::string_line::{NutReading, Place};

    fn desk(relief: f64, action: f64) -> Desk {
        Desk::new(vec![SetString {
            name: "4 (E)".to_owned(),
            geometry: StringGeometry::level(mm(863.6), 24, Joint::known(20.0).unwrap()),
            hz: 41.203,
            tension: Estimate::exact(Force::new::<newton>(155.0)),
            inharmonicity: 1e-4,
            relief: Estimate::new(mm(relief), mm(0.02)).unwrap(),
            relief_way: ReliefWay::largest(24),
            action: Estimate::new(mm(action), mm(0.05)).unwrap(),
            action_at: Place::stopped_at_1_over(24),
            nut: Some(NutReading::OpenOver1(mm(0.5))),
        }])
    }

    fn first(desk: &mut Desk, from: u8, to: u8, force: f64) -> Cause {
        let heard = Heard { string: 0, from, to };
        causes(desk, heard, Play::with_force(force)).unwrap()[0].cause
    }

    #[test]
    fn a_single_note_on_a_roomy_neck_points_at_one_crown() {
        // By construction: everything else clears, so nothing common explains one note alone.
        let cause = first(&mut desk(0.25, 2.4), 7, 7, 1.0);
        assert!(matches!(cause, Cause::ProudCrown { fret: 8 }), "{cause:?}");
    }

    #[test]
    fn a_player_known_to_play_hard_needs_no_other_cause() {
        let heard = Heard { string: 0, from: 1, to: 12 };
        let learned = |high_newton| Play {
            touch_from: TouchFrom::Learned {
                observations: 3,
                low_newton: 0.5,
                high_newton,
                sides: Sides::AtLeast,
            },
            ..Play::with_force(1.0)
        };
        let hard = causes(&mut desk(0.25, 2.2), heard, learned(4.0)).unwrap();
        assert_eq!(hard[0].cause, Cause::ActionLow);
        assert!(hard[0].predicts.contains("up to 4.0 N"), "{}", hard[0].predicts);
        let soft = causes(&mut desk(0.25, 2.2), heard, learned(1.1)).unwrap();
        assert!(soft.iter().all(|s| !s.predicts.contains("learned of this player")));
    }

    #[test]
    fn an_open_string_alone_points_at_the_nut() {
        assert_eq!(first(&mut desk(0.25, 2.8), 0, 0, 1.0), Cause::NutSlot);
    }

    #[test]
    fn low_notes_on_a_straight_neck_point_at_the_relief() {
        assert_eq!(first(&mut desk(-0.05, 2.4), 1, 6, 1.5), Cause::ReliefTooSmall);
    }

    #[test]
    fn each_suspect_says_what_decides() {
        let heard = Heard { string: 0, from: 3, to: 6 };
        let all = causes(&mut desk(0.1, 1.6), heard, Play::with_force(2.0)).unwrap();
        assert!(all.len() >= 3);
        assert!(all.iter().all(|s| !s.predicts.is_empty() && !s.decide.is_empty()));
        assert!(all.windows(2).all(|w| w[0].cost <= w[1].cost));
    }

    #[test]
    fn notes_that_are_not_there_are_refused() {
        let ask = |string, from, to| {
            causes(&mut desk(0.2, 2.0), Heard { string, from, to }, Play::with_force(1.0))
        };
        assert!(ask(1, 3, 3).is_err());
        assert!(ask(0, 5, 3).is_err());
        assert!(ask(0, 3, 24).is_err());
    }
}
