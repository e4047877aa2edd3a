//! Two states of an instrument side by side: a reading against its target, today against the setup,
//! one visit against another.

mod against_target;
mod belief;
mod drift;
mod judge;
mod models;
mod together;
mod trail;
mod what_changed;

pub use against_target::{AgainstTarget, RestsOn};
pub use drift::{DriftPart, PointsAt, SetupDrift};
pub use judge::{JudgedTogether, Judgement, judge, judge_by};
pub use together::{OnScrews, outside_together};
pub use trail::{ReliefBefore, Trail, Trails};
pub use what_changed::{
    AgainstWish, CannotCompare, ComparedAt, HowSure, InstrumentPart, LikelyChange, MOST_ODDS,
    NotedIntervention, PartChange, PartVerdict, WhatChanged, what_changed,
};

pub(crate) use drift::{DriftLine, drift, part};
pub(crate) use models::{SIDE_MM, StringModels};
