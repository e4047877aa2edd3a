//! Will it buzz, and what if.
//!
//! The swing of the strings comes from a model with assumed tension, stiffness, decay and touch: a
//! calibration, not a measurement. It ranks strings and changes; it does not decide. Show
//! [`ClearanceAnswer::caveat`] beside every number.

use std::sync::{Arc, Mutex, PoisonError};

use fallaway::advice::clearance::{Answer, Desk, Play, StringAnswer, TouchFrom, WhatIf};
use fallaway::mechanics::clearance::Margin;
use fallaway::mechanics::envelope;
use fallaway::mechanics::pluck::Direction;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::Force;
use fallaway::mechanics::uom::si::force::newton;

use crate::known::{Context, SeenReading, count};
use crate::{Instrument, Result};

/// Which way the string is displaced before it is let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PluckDirection {
    /// Pushed toward the board: an ordinary finger stroke.
    TowardBoard,
    /// Pulled away from the board: a snap.
    AwayFromBoard,
}

impl From<PluckDirection> for Direction {
    fn from(direction: PluckDirection) -> Self {
        match direction {
            PluckDirection::TowardBoard => Self::TowardBoard,
            PluckDirection::AwayFromBoard => Self::AwayFromBoard,
        }
    }
}

/// How it is played.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Touch {
    /// The part of the force at right angles to the board in N, 0 to 50; 0.5 is light, 2 hard.
    pub force_n: f64,
    /// Which way.
    pub direction: PluckDirection,
    /// Middle of the finger or pick from the saddle in mm, 10 to 1500.
    #[uniffi(default = 100.0)]
    pub from_saddle_mm: f64,
    /// Margin that has to stay, for the lowest clean action, in mm.
    #[uniffi(default = 0.0)]
    pub spare_mm: f64,
}

impl From<Touch> for Play {
    fn from(touch: Touch) -> Self {
        Self {
            touch: envelope::Touch {
                force: Force::new::<newton>(touch.force_n),
                direction: touch.direction.into(),
            },
            touch_from: TouchFrom::Given,
            from_saddle: mm(touch.from_saddle_mm),
            spare: mm(touch.spare_mm),
        }
    }
}

/// What is to be otherwise than it was read. Lists hold one number for each string of
/// [`ClearanceBasis::strings`], in that order, or are empty.
#[derive(Debug, Clone, PartialEq, Default, uniffi::Record)]
pub struct ClearanceWhatIf {
    /// This relief in mm, saddles untouched: every action moves with it.
    #[uniffi(default = None)]
    pub relief_mm: Option<f64>,
    /// Each saddle raised by so much, in mm; after the relief.
    #[uniffi(default = [])]
    pub saddle_rises_mm: Vec<f64>,
    /// These actions instead of those read, in mm; after relief and saddles.
    #[uniffi(default = [])]
    pub actions_mm: Vec<f64>,
    /// These frequencies of the open strings in Hz; tension follows with the square.
    #[uniffi(default = [])]
    pub frequencies_hz: Vec<f64>,
    /// These tensions in N; after the frequencies.
    #[uniffi(default = [])]
    pub tensions_n: Vec<f64>,
}

impl From<ClearanceWhatIf> for WhatIf {
    fn from(asked: ClearanceWhatIf) -> Self {
        let lengths = |values: Vec<f64>| values.into_iter().map(mm).collect();
        Self {
            relief: asked.relief_mm.map(mm),
            saddles: lengths(asked.saddle_rises_mm),
            actions: lengths(asked.actions_mm),
            hz: asked.frequencies_hz,
            tensions: asked.tensions_n.into_iter().map(Force::new::<newton>).collect(),
        }
    }
}

/// The room between string and crown at one place.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ClearanceMargin {
    /// Where the string is stopped; 0 open.
    pub stopped_fret: u32,
    /// The fret that it comes near to.
    pub over_fret: u32,
    /// The gap at rest in mm.
    pub gap_mm: f64,
    /// How deep it swings there in mm.
    pub depth_mm: f64,
    /// What is left, in mm; below zero: it touches.
    pub margin_mm: f64,
}

impl From<Margin> for ClearanceMargin {
    fn from(margin: Margin) -> Self {
        Self {
            stopped_fret: count(margin.place.stopped),
            over_fret: count(margin.place.over),
            gap_mm: as_mm(margin.gap),
            depth_mm: as_mm(margin.depth),
            margin_mm: as_mm(margin.margin),
        }
    }
}

/// The lowest action that stays clean at this relief.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct LowestClean {
    /// The action in mm, read where the string's action is read.
    pub action_mm: f64,
    /// The note that limits it: where it is stopped.
    pub stopped_fret: u32,
    /// The fret that it would touch first.
    pub over_fret: u32,
}

/// The relief that allows the lowest action.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct BestRelief {
    /// The relief in mm.
    pub relief_mm: f64,
    /// The lowest clean action that it allows, in mm.
    pub action_mm: f64,
    /// From this relief on the action is within 0.02 mm of that.
    pub good_from_mm: f64,
    /// Up to this one.
    pub good_to_mm: f64,
}

/// The hardest touch that stays clean.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct HardestTouch {
    /// The force in N.
    pub force_n: f64,
    /// The note that limits it: where it is stopped.
    pub stopped_fret: u32,
    /// The fret that it touches first.
    pub over_fret: u32,
}

/// The answer for one string.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringClearance {
    /// What it is called: "4 (E)".
    pub name: String,
    /// Its action with what was asked, in mm.
    pub action_mm: f64,
    /// Where the action is read: stopped at.
    pub action_stopped_fret: u32,
    /// Where the action is read: over.
    pub action_over_fret: u32,
    /// The smallest margin and where: below zero, it buzzes there first.
    pub smallest: ClearanceMargin,
    /// Whether it buzzes at all, by the model.
    pub buzzes: bool,
    /// Standard uncertainty of the smallest margin in mm that the readings leave; the model's own
    /// error is not in it.
    pub smallest_uncertainty_mm: f64,
    /// Of each note the smallest margin, lowest note first: a row of the map.
    pub notes: Vec<ClearanceMargin>,
    /// Every margin of every note; empty unless it was asked for.
    pub all_margins: Vec<ClearanceMargin>,
    /// The lowest clean action at this relief; `None` if no saddle within reach is clean.
    pub lowest_clean: Option<LowestClean>,
    /// The relief that allows the lowest action; `None` as above.
    pub best_relief: Option<BestRelief>,
    /// The hardest touch that stays clean as it is; `None` if the string lies on a fret.
    pub hardest_touch: Option<HardestTouch>,
}

/// The answer for the instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceAnswer {
    /// String by string, highest pitch first.
    pub strings: Vec<StringClearance>,
    /// Which string limits: its position in `strings`.
    pub limiting_string: u32,
    /// What has to be said beside every number of it.
    pub caveat: String,
}

/// One string as it was read.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceString {
    /// What it is called: "4 (E)".
    pub name: String,
    /// Its action in mm, as read.
    pub action_mm: f64,
    /// Where it was stopped for that.
    pub action_stopped_fret: u32,
    /// Over which fret it was read.
    pub action_over_fret: u32,
    /// Relief under it in mm, as read.
    pub relief_mm: f64,
    /// Frequency of the open string in Hz.
    pub frequency_hz: f64,
    /// Tension in N, from pack, gauge or wire as `assumed` says.
    pub tension_n: f64,
    /// Inharmonicity of the open string.
    pub inharmonicity: f64,
}

/// What the answers rest on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceBasis {
    /// The strings, highest pitch first; those without an action are left out.
    pub strings: Vec<ClearanceString>,
    /// The readings.
    pub rests_on: Vec<SeenReading>,
    /// Those among them that something was done to since: measure again.
    pub out_of_date: Vec<SeenReading>,
    /// What was taken for granted, a sentence each.
    pub assumed: Vec<String>,
}

/// An answer with what it rests on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Clearance {
    /// The answer.
    pub answer: ClearanceAnswer,
    /// What it rests on.
    pub basis: ClearanceBasis,
}

/// An instrument laid out for questions, for a slider: the first question of a note or tuning takes
/// some tens of milliseconds a string, those after it well under one.
///
/// It goes by what was read when it was made; make another after something was read. It keeps
/// nothing of the workshop open.
#[derive(uniffi::Object)]
pub struct ClearanceBench {
    desk: Mutex<Desk>,
    basis: ClearanceBasis,
}

#[uniffi::export]
impl Instrument {
    /// Margins of every string, where it buzzes first, lowest clean action, best relief and hardest
    /// touch, as the instrument stands or with what is asked to be otherwise, in one call.
    ///
    /// `all_margins`: with every margin of every note, some hundreds a string.
    ///
    /// # Errors
    /// `BadInput` naming what is not known (relief, action, gauges, frets), for a fretless board, and
    /// for numbers outside their limits; when the record cannot be read; `Closed`.
    #[uniffi::method(default(all_margins = false))]
    pub fn clearance(
        &self,
        touch: Touch,
        what_if: ClearanceWhatIf,
        all_margins: bool,
    ) -> Result<Clearance> {
        let mut view = self.inner.clearance_view()?;
        let context = Context { facts: &view.about, entries: &view.entries };
        let basis = context.clearance_basis(&view.desk);
        let found = view.desk.ask(&what_if.into(), touch.into())?;
        Ok(Clearance { answer: answer(&found, all_margins), basis })
    }

    /// The same laid out for many questions, for a slider.
    ///
    /// # Errors
    /// As `clearance`.
    pub fn clearance_bench(&self) -> Result<Arc<ClearanceBench>> {
        let view = self.inner.clearance_view()?;
        let context = Context { facts: &view.about, entries: &view.entries };
        let basis = context.clearance_basis(&view.desk);
        Ok(Arc::new(ClearanceBench { desk: Mutex::new(view.desk), basis }))
    }
}

#[uniffi::export]
impl ClearanceBench {
    /// Answers a question.
    ///
    /// # Errors
    /// `BadInput` for numbers outside their limits, and lists of another length than the strings.
    #[uniffi::method(default(all_margins = false))]
    pub fn ask(
        &self,
        touch: Touch,
        what_if: ClearanceWhatIf,
        all_margins: bool,
    ) -> Result<ClearanceAnswer> {
        // What a question leaves on the desk is a cache: whole after a panic, too.
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        let found = desk.ask(&what_if.into(), touch.into())?;
        Ok(answer(&found, all_margins))
    }

    /// What its answers rest on.
    pub fn basis(&self) -> ClearanceBasis {
        self.basis.clone()
    }
}

pub(crate) fn answer(found: &Answer, all_margins: bool) -> ClearanceAnswer {
    ClearanceAnswer {
        strings: found.strings.iter().map(|string| string_answer(string, all_margins)).collect(),
        limiting_string: count(found.limiting),
        caveat: found.caveat().to_owned(),
    }
}

fn string_answer(string: &StringAnswer, all_margins: bool) -> StringClearance {
    let margins = |margins: Vec<Margin>| margins.into_iter().map(Into::into).collect();
    StringClearance {
        name: string.name.clone(),
        action_mm: as_mm(string.action),
        action_stopped_fret: count(string.action_at.stopped),
        action_over_fret: count(string.action_at.over),
        smallest: string.smallest.into(),
        buzzes: as_mm(string.smallest.margin) < 0.0,
        smallest_uncertainty_mm: as_mm(string.uncertainty),
        notes: margins(string.by_note()),
        all_margins: if all_margins { margins(string.map.clone()) } else { Vec::new() },
        lowest_clean: string.lowest.map(|lowest| LowestClean {
            action_mm: as_mm(lowest.action),
            stopped_fret: count(lowest.limited_by.stopped),
            over_fret: count(lowest.limited_by.over),
        }),
        best_relief: string.best_relief.map(|best| BestRelief {
            relief_mm: as_mm(best.relief),
            action_mm: as_mm(best.action),
            good_from_mm: as_mm(best.good.0),
            good_to_mm: as_mm(best.good.1),
        }),
        hardest_touch: string.touch.map(|touch| HardestTouch {
            force_n: touch.force.get::<newton>(),
            stopped_fret: count(touch.limited_by.stopped),
            over_fret: count(touch.limited_by.over),
        }),
    }
}

impl Context<'_> {
    pub(crate) fn clearance_basis(&self, desk: &Desk) -> ClearanceBasis {
        let strings = desk.strings().iter().map(|string| ClearanceString {
            name: string.name.clone(),
            action_mm: as_mm(string.action.value),
            action_stopped_fret: count(string.action_at.stopped),
            action_over_fret: count(string.action_at.over),
            relief_mm: as_mm(string.relief.value),
            frequency_hz: string.hz,
            tension_n: string.tension.value.get::<newton>(),
            inharmonicity: string.inharmonicity,
        });
        ClearanceBasis {
            strings: strings.collect(),
            rests_on: self.all_seen(&desk.rests_on),
            out_of_date: self.all_seen(&desk.out_of_date),
            assumed: desk.assumed.clone(),
        }
    }
}
