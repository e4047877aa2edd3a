//! What moves what: the table of what must be measured again after something was done.
//!
//! The order of the trade and the disturbances in [`TABLE`] are common practice; a floating bridge
//! balances string tension against springs, so there each change of one string moves all.

use fallaway_measure::{Location, Quantity, StringPlace};
use fallaway_order::PutInOrder as _;

use super::facts::Facts;
use super::intervention::{Intervention, InterventionKind};
use super::measurand::{Measurand, MeasurandKind};

/// Where an intervention's disturbance of a class reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// The whole instrument.
    Everywhere,
    /// The strings the intervention names.
    Same,
    /// The strings that the turned screws lift.
    Lifted,
    /// The gaps on both sides of the strings the intervention names.
    Neighbours,
    /// The pickup the intervention names.
    SamePickup,
    /// The whole bridge, where it was a post that was turned.
    Posts,
    /// The height at the post that was turned.
    SamePost,
}

/// When a rule applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// On every instrument.
    Always,
    /// Where the bridge balances on springs.
    Floating,
    /// Where it does so on two posts.
    OnPosts,
}

/// One line of the table.
#[derive(Debug, Clone, Copy)]
pub struct StaleRule {
    /// What was done.
    pub done: InterventionKind,
    /// Where the rule holds.
    pub when: When,
    /// What is to be measured again, and how far the disturbance reaches.
    pub again: &'static [(MeasurandKind, Reach)],
}

use MeasurandKind::{
    ActionOpen, ActionStopped, BridgeHeight, BridgeTail, FallAway, Intonation, IntonationNearNut,
    NutHeld, NutOpen, PickupGap, Pitch, Relief, SpacingBridge, SpacingNut,
};
use Reach::{Everywhere, Lifted, Neighbours, Posts, Same, SamePickup, SamePost};

const ALL_BUT_SPACING: &[(MeasurandKind, Reach)] = &[
    (Pitch, Everywhere),
    (Relief, Everywhere),
    (NutOpen, Everywhere),
    (NutHeld, Everywhere),
    (ActionOpen, Everywhere),
    (ActionStopped, Everywhere),
    (PickupGap, Everywhere),
    (IntonationNearNut, Everywhere),
    (Intonation, Everywhere),
];

const NECK_BENT: &[(MeasurandKind, Reach)] = &[
    (Pitch, Everywhere),
    (Relief, Everywhere),
    (NutOpen, Everywhere),
    (ActionOpen, Everywhere),
    (ActionStopped, Everywhere),
    (PickupGap, Everywhere),
    (IntonationNearNut, Everywhere),
    (Intonation, Everywhere),
];

const SPRINGS: &[(MeasurandKind, Reach)] = &[
    (Pitch, Everywhere),
    (ActionOpen, Everywhere),
    (ActionStopped, Everywhere),
    (PickupGap, Everywhere),
    (IntonationNearNut, Everywhere),
    (Intonation, Everywhere),
];

/// Strings that pull less or more let the bridge tilt, until they are at pitch again.
const TILT: &[(MeasurandKind, Reach)] = &[(BridgeTail, Everywhere)];
const WHOLE_BRIDGE: &[(MeasurandKind, Reach)] =
    &[(BridgeHeight, Everywhere), (BridgeTail, Everywhere)];

/// The end of the board lies on the body: strings and rod leave it where it is, damp wood does not (common
/// practice, no source).
const BOARD_END: &[(MeasurandKind, Reach)] = &[(FallAway, Everywhere)];

/// What is done makes readings before it out of date.
pub const TABLE: &[StaleRule] = &[
    StaleRule { done: InterventionKind::Strings, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule { done: InterventionKind::Tuning, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule { done: InterventionKind::Rod, when: When::Always, again: NECK_BENT },
    StaleRule { done: InterventionKind::Season, when: When::Always, again: NECK_BENT },
    StaleRule { done: InterventionKind::Season, when: When::Always, again: BOARD_END },
    StaleRule { done: InterventionKind::Frets, when: When::Always, again: BOARD_END },
    StaleRule { done: InterventionKind::Neck, when: When::Always, again: BOARD_END },
    StaleRule { done: InterventionKind::Unknown, when: When::Always, again: BOARD_END },
    StaleRule {
        done: InterventionKind::Nut,
        when: When::Always,
        again: &[
            (NutOpen, Same),
            (NutHeld, Same),
            (ActionOpen, Same),
            (IntonationNearNut, Same),
            (Pitch, Same),
            (SpacingNut, Neighbours),
        ],
    },
    StaleRule {
        done: InterventionKind::SaddleSideways,
        when: When::Always,
        again: &[
            (SpacingBridge, Neighbours),
            (ActionOpen, Same),
            (ActionStopped, Same),
            (PickupGap, Same),
            (Pitch, Same),
        ],
    },
    StaleRule {
        done: InterventionKind::SaddleHeight,
        when: When::Always,
        again: &[
            (ActionOpen, Lifted),
            (ActionStopped, Lifted),
            (NutOpen, Lifted),
            (PickupGap, Lifted),
            (IntonationNearNut, Lifted),
            (Intonation, Lifted),
            (Pitch, Lifted),
        ],
    },
    StaleRule {
        done: InterventionKind::SaddleForeAft,
        when: When::Always,
        again: &[(IntonationNearNut, Same), (Intonation, Same), (Pitch, Same)],
    },
    StaleRule { done: InterventionKind::Spring, when: When::Always, again: SPRINGS },
    StaleRule { done: InterventionKind::SaddleHeight, when: When::Floating, again: SPRINGS },
    // Saddles change where strings lie, not how they pull at pitch; posts carry the whole bridge.
    StaleRule {
        done: InterventionKind::SaddleHeight,
        when: When::OnPosts,
        again: &[(BridgeHeight, SamePost), (BridgeTail, Posts)],
    },
    StaleRule { done: InterventionKind::Spring, when: When::Floating, again: TILT },
    StaleRule { done: InterventionKind::Strings, when: When::Floating, again: TILT },
    StaleRule { done: InterventionKind::Tuning, when: When::Floating, again: TILT },
    StaleRule { done: InterventionKind::Bridge, when: When::Floating, again: WHOLE_BRIDGE },
    StaleRule { done: InterventionKind::Unknown, when: When::Floating, again: WHOLE_BRIDGE },
    StaleRule { done: InterventionKind::SaddleSideways, when: When::Floating, again: SPRINGS },
    StaleRule { done: InterventionKind::SaddleForeAft, when: When::Floating, again: SPRINGS },
    StaleRule { done: InterventionKind::Frets, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule { done: InterventionKind::Neck, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule { done: InterventionKind::Bridge, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule {
        done: InterventionKind::Bridge,
        when: When::Always,
        again: &[(SpacingBridge, Everywhere)],
    },
    StaleRule {
        done: InterventionKind::Pickup,
        when: When::Always,
        again: &[(PickupGap, SamePickup)],
    },
    StaleRule { done: InterventionKind::Unknown, when: When::Always, again: ALL_BUT_SPACING },
    StaleRule {
        done: InterventionKind::Unknown,
        when: When::Always,
        again: &[(SpacingBridge, Everywhere), (SpacingNut, Everywhere)],
    },
];

/// Whether `intervention` makes readings of `measurand` before it out of date.
pub fn disturbs(intervention: &Intervention, measurand: Measurand, facts: &Facts) -> bool {
    let Some(class) = measurand.kind() else { return false };
    rules(intervention.kind, facts).flat_map(|rule| rule.again).any(|&(disturbed, reach)| {
        disturbed == class && reaches(reach, intervention, measurand, facts)
    })
}

/// The classes that a kind of intervention disturbs on this instrument, in the order of the chain of work.
pub fn again(kind: InterventionKind, facts: &Facts) -> Vec<MeasurandKind> {
    let mut classes: Vec<MeasurandKind> =
        rules(kind, facts).flat_map(|rule| rule.again).map(|&(class, _)| class).collect();
    classes.put_in_order();
    classes.dedup();
    classes
}

fn rules(kind: InterventionKind, facts: &Facts) -> impl Iterator<Item = &'static StaleRule> {
    let (floating, on_posts) = (facts.floating(), facts.bridge.floats_on_posts());
    TABLE.iter().filter(move |r| {
        r.done == kind
            && match r.when {
                When::Always => true,
                When::Floating => floating,
                When::OnPosts => on_posts,
            }
    })
}

fn reaches(reach: Reach, intervention: &Intervention, measurand: Measurand, facts: &Facts) -> bool {
    let at = |reached: &dyn Fn(StringPlace) -> bool| match measurand.location {
        Location::Course(place) => reached(place),
        // A side, or the whole: some string of it may be among those reached.
        _ => true,
    };
    match reach {
        Reach::Everywhere => true,
        Reach::Same => at(&|place| intervention.touches(place)),
        Reach::Lifted => at(&|place| {
            intervention.touches(place)
                || intervention
                    .places
                    .iter()
                    .any(|&turned| facts.moved_with(turned).contains(&place))
        }),
        // Spacing is read from a string to the next lower one: a string has a gap of its own and is
        // the far end of its higher neighbour's.
        Reach::Neighbours => at(&|place| {
            intervention.touches(place)
                || intervention
                    .places
                    .iter()
                    .any(|&p| p.number() == place.number().saturating_add(1))
        }),
        Reach::Posts => intervention.post.is_some(),
        Reach::SamePost => match (intervention.post, measurand.location) {
            (Some(turned), Location::Side(side)) => turned == side,
            (turned, _) => turned.is_some(),
        },
        Reach::SamePickup => {
            let same = match (measurand.quantity, intervention.pickup) {
                (Quantity::PickupGap { pickup, .. }, Some(moved)) => pickup == moved,
                _ => true,
            };
            // Of a pole piece, under its string.
            same && at(&|place| intervention.touches(place))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::gap;
    use crate::observe::{BridgeFacts, BridgeKind, StringFacts};
    use fallaway_measure::{Fret, Quantity, Side};
    use fallaway_mechanics::{bridge::Bridge, screws::Screw};

    fn place(n: u8) -> StringPlace {
        StringPlace::course(n).unwrap()
    }

    fn facts(kind: BridgeKind) -> Facts {
        let strings = (1..=4)
            .map(|n| StringFacts {
                place: place(n),
                pitch_hz: None,
                scale_mm: None,
                offset_mm: None,
                gauge_mm: None,
                plain: None,
            })
            .collect();
        Facts {
            strings,
            bridge: BridgeFacts { kind, ..BridgeFacts::default() },
            ..Facts::default()
        }
    }

    fn action(n: u8) -> Measurand {
        Measurand::string(gap(1, 24).unwrap(), place(n))
    }

    #[test]
    fn a_saddle_of_its_own_disturbs_its_string_only() {
        let facts = facts(BridgeKind::OwnSaddles);
        let intervention = Intervention::string(InterventionKind::SaddleHeight, place(3), None);
        assert!(disturbs(&intervention, action(3), &facts));
        assert!(!disturbs(&intervention, action(2), &facts));
    }

    #[test]
    fn posts_and_springs_disturb_all() {
        let intervention = Intervention::string(InterventionKind::SaddleHeight, place(3), None);
        for kind in [BridgeKind::TwoPosts, BridgeKind::Floating] {
            assert!(disturbs(&intervention, action(2), &facts(kind)));
        }
        let aft = Intervention::string(InterventionKind::SaddleForeAft, place(3), None);
        assert!(disturbs(&aft, action(2), &facts(BridgeKind::Floating)));
        assert!(!disturbs(&aft, action(2), &facts(BridgeKind::TwoPosts)));
    }

    #[test]
    fn posts_lift_the_bridge_and_the_claw_tilts_it() {
        let mut facts = facts(BridgeKind::Floating);
        facts.bridge.posts = Some(crate::observe::Posts { matrix: None });
        let at =
            |side| Measurand { quantity: Quantity::BridgeHeight, location: Location::Side(side) };
        let tail = Measurand::whole(Quantity::BridgeTail);
        let post = Intervention {
            post: Some(Side::Bass),
            ..Intervention::whole(InterventionKind::SaddleHeight)
        };
        assert!(disturbs(&post, at(Side::Bass), &facts) && disturbs(&post, tail, &facts));
        assert!(!disturbs(&post, at(Side::Treble), &facts));
        let claw = Intervention::whole(InterventionKind::Spring);
        assert!(disturbs(&claw, tail, &facts) && !disturbs(&claw, at(Side::Bass), &facts));
        let saddle = Intervention::string(InterventionKind::SaddleHeight, place(3), None);
        assert!(!disturbs(&saddle, tail, &facts) && !disturbs(&saddle, at(Side::Bass), &facts));
        assert!(disturbs(&saddle, action(1), &facts));
    }

    #[test]
    fn a_shared_saddle_disturbs_those_it_carries() {
        let mut facts = facts(BridgeKind::SharedSaddles);
        facts.bridge.rows = (1..=4).map(place).collect();
        facts.bridge.matrix = Some(Bridge::shared_saddles(&[2, 2], Screw::default()).unwrap());
        let intervention = Intervention::string(InterventionKind::SaddleHeight, place(1), None);
        assert!(disturbs(&intervention, action(2), &facts));
        assert!(!disturbs(&intervention, action(3), &facts));
    }

    #[test]
    fn the_rod_leaves_the_held_nut_reading_and_the_spacing() {
        let facts = facts(BridgeKind::OwnSaddles);
        let rod = Intervention::rod(None);
        assert!(disturbs(&rod, action(1), &facts));
        assert!(disturbs(&rod, Measurand::string(gap(0, 1).unwrap(), place(1)), &facts));
        assert!(!disturbs(&rod, Measurand::string(gap(3, 1).unwrap(), place(1)), &facts));
        assert!(!disturbs(&rod, Measurand::string(Quantity::SpacingBridge, place(1)), &facts));
    }

    #[test]
    fn sideways_touches_the_spacing_on_both_sides() {
        let facts = facts(BridgeKind::OwnSaddles);
        let intervention = Intervention::string(InterventionKind::SaddleSideways, place(3), None);
        let spacing = |n| Measurand::string(Quantity::SpacingBridge, place(n));
        assert!(disturbs(&intervention, spacing(3), &facts));
        assert!(disturbs(&intervention, spacing(2), &facts));
        assert!(!disturbs(&intervention, spacing(1), &facts));
    }

    #[test]
    fn a_pickup_disturbs_its_own_gaps() {
        let facts = facts(BridgeKind::OwnSaddles);
        let intervention =
            Intervention { pickup: Some(1), ..Intervention::whole(InterventionKind::Pickup) };
        let gap = |pickup| {
            let stopped = Fret::new(24).unwrap();
            Measurand::string(Quantity::PickupGap { pickup, stopped }, place(1))
        };
        assert!(disturbs(&intervention, gap(1), &facts));
        assert!(!disturbs(&intervention, gap(2), &facts));
        // A pole piece: under its string.
        let pole = Intervention {
            pickup: Some(1),
            ..Intervention::string(InterventionKind::Pickup, place(1), None)
        };
        assert!(disturbs(&pole, gap(1), &facts) && !disturbs(&pole, gap(2), &facts));
        let other = Measurand { location: Location::Course(place(2)), ..gap(1) };
        assert!(!disturbs(&pole, other, &facts));
    }

    #[test]
    fn every_deed_makes_something_stale() {
        for kind in InterventionKind::ALL {
            assert!(!again(kind, &facts(BridgeKind::Fixed)).is_empty(), "{kind:?}");
        }
    }
}
