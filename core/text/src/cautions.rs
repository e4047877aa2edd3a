//! Usual cautions. They defer to a qualified repairer, and to a clinician where a body hurts.

use fallaway_advice::hazard::Hazard;
use fallaway_advice::plan::STOP_HIGH_MM;

use crate::messages::cautions as say;
use crate::{Computed, Phrase};

/// A caution in a sentence.
pub fn text(hazard: Hazard) -> Phrase {
    match hazard {
        Hazard::RodTry => say::rod_try(),
        Hazard::RodQuarter => say::rod_quarter(),
        Hazard::RodStop => say::rod_stop(),
        Hazard::RodDeadZone => say::rod_dead_zone(),
        Hazard::NeckSettles => say::neck_settles(),
        Hazard::ScrewBinds => say::screw_binds(),
        Hazard::ScrewsAlike => say::screws_alike(),
        Hazard::NeckScrewsSlack => say::neck_screws_slack(),
        Hazard::LockingNut => say::locking_nut(),
        Hazard::Eyes => say::eyes(),
        Hazard::KnifeEdges => say::knife_edges(),
        Hazard::Springs => say::springs(),
        Hazard::FloatingRepeat => say::floating_repeat(),
        Hazard::Irreversible => say::irreversible(Computed::mm(STOP_HIGH_MM).places(1)),
        Hazard::SharpTools => say::sharp_tools(),
        Hazard::ShimOrFill => say::shim_or_fill(),
        Hazard::BoardLevelled => say::board_levelled(),
        Hazard::Repairer => say::repairer(),
        Hazard::Clinician => say::clinician(),
        Hazard::PolePieces => say::pole_pieces(),
        Hazard::PickupNear => say::pickup_near(),
        Hazard::TensionRise => say::tension_rise(),
        Hazard::Stress => say::stress(),
    }
}
