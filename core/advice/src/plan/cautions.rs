//! Which cautions are shown at which step.

use fallaway_record::spec::{NutKind, RodKind};

use super::step::{PartWay, StepKind};
use crate::hazard::Hazard;
use crate::observe::{BridgeKind, Facts};

/// When a caution is shown with an adjustment.
type Condition = fn(&Facts, Option<PartWay>) -> bool;

/// The cautions of each step that asks for work.
const TABLE: &[(StepKind, Condition, Hazard)] = &[
    (StepKind::Tune, |f, _| f.nut == Some(NutKind::Locking), Hazard::LockingNut),
    (StepKind::Tune, |f, _| f.floating(), Hazard::FloatingRepeat),
    (StepKind::Tune, |_, way| way == Some(PartWay::TuneUp), Hazard::Eyes),
    (StepKind::Relief, |_, _| true, Hazard::RodQuarter),
    (StepKind::Relief, |_, _| true, Hazard::RodStop),
    (StepKind::Relief, |f, _| f.rod.kind == Some(RodKind::TwoWay), Hazard::RodDeadZone),
    (StepKind::Relief, |_, _| true, Hazard::NeckSettles),
    (StepKind::Relief, |f, _| f.nut == Some(NutKind::Locking), Hazard::LockingNut),
    (StepKind::BridgeHeight, |_, _| true, Hazard::KnifeEdges),
    (StepKind::BridgeHeight, |_, _| true, Hazard::FloatingRepeat),
    (StepKind::BridgeTilt, |_, _| true, Hazard::Springs),
    (StepKind::BridgeTilt, |_, _| true, Hazard::Eyes),
    (StepKind::BridgeTilt, |_, _| true, Hazard::FloatingRepeat),
    (StepKind::BridgeTilt, |f, _| f.nut == Some(NutKind::Locking), Hazard::LockingNut),
    (StepKind::Nut, |_, way| way == Some(PartWay::CutSlot), Hazard::Irreversible),
    (StepKind::Nut, |_, way| way == Some(PartWay::FillSlot), Hazard::ShimOrFill),
    (StepKind::Nut, |_, way| way.is_some(), Hazard::SharpTools),
    (StepKind::Action, |f, _| f.bridge.kind != BridgeKind::Fixed, Hazard::ScrewBinds),
    (StepKind::Action, |f, _| f.bridge.floats_on_posts(), Hazard::KnifeEdges),
    (StepKind::Action, |f, _| f.bridge.alike > 1, Hazard::ScrewsAlike),
    (StepKind::Action, |_, way| way == Some(PartWay::TakeOff), Hazard::Irreversible),
    (StepKind::Action, |_, way| way == Some(PartWay::TakeOff), Hazard::SharpTools),
    (StepKind::Action, |_, way| way == Some(PartWay::Shim), Hazard::ShimOrFill),
    (StepKind::Action, |f, _| f.floating(), Hazard::FloatingRepeat),
    (StepKind::Spacing, |_, _| true, Hazard::ScrewBinds),
    (StepKind::Intonation, |_, _| true, Hazard::ScrewBinds),
    (StepKind::Intonation, |f, _| f.floating(), Hazard::FloatingRepeat),
    (StepKind::AsLeft, |_, _| true, Hazard::Clinician),
];

/// The cautions for working on a step of this instrument.
pub(crate) fn for_work(kind: StepKind, facts: &Facts, way: Option<PartWay>) -> Vec<Hazard> {
    TABLE
        .iter()
        .filter(|&&(of, when, _)| of == kind && when(facts, way))
        .map(|&(_, _, caution)| caution)
        .collect()
}
