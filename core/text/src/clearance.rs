//! Will it buzz with these numbers: the touch, what was assumed, and what the answer is worth.

use fallaway_advice::clearance::{Assumed, ForceFrom, Play, TouchBounds, UnderTouch};
use fallaway_advice::strings::MassSource;
use fallaway_mechanics::units::as_mm;
use fallaway_record::Spec;
use uom::si::force::newton;

use crate::messages::clearance as say;
use crate::{Computed, Phrase, names};

/// What has to be said beside every number of the model.
pub fn caveat() -> Phrase {
    say::caveat()
}

/// How hard it is played, and what that rests on.
pub fn touch(play: &Play) -> Phrase {
    let force = |newtons| Computed::newtons(newtons).places(2);
    let from = match play.force_from {
        ForceFrom::Assumed => say::touch_assumed(),
        ForceFrom::Given => say::touch_given(),
        ForceFrom::Learned { observations, low_newton, high_newton, bounds } => {
            let (low, high) = (force(low_newton), force(high_newton));
            match bounds {
                TouchBounds::AtMost => say::touch_learned_upper(low, high, observations),
                TouchBounds::AtLeast => say::touch_learned_lower(low, high, observations),
                TouchBounds::Contradict => say::touch_learned_contradict(low, high, observations),
                TouchBounds::Neither | TouchBounds::Both => {
                    say::touch_learned(low, high, observations)
                }
            }
        }
    };
    say::touch(force(play.touch.force.get::<newton>()), from)
}

/// Whether a string stays clean.
pub fn under_touch(under: UnderTouch) -> Phrase {
    match under {
        UnderTouch::Clean => say::clean(),
        UnderTouch::Touches => say::touches(),
        UnderTouch::CannotBeTold => say::untold(),
    }
}

/// Where a string's mass comes from.
pub fn mass(source: MassSource) -> Phrase {
    match source {
        MassSource::Pack => say::mass_pack(),
        MassSource::Construction => say::mass_wire(),
        MassSource::OuterDiameter => say::mass_guessed(),
    }
}

/// What was taken for granted.
pub fn assumed(assumed: &Assumed, spec: &Spec) -> Phrase {
    match assumed {
        Assumed::LeftOut(place) => say::assumed_left_out(names::string_label(spec, *place)),
        Assumed::Tension { string, newtons, source, inharmonicity, from_note } => {
            say::assumed_tension(
                names::string_label(spec, *string),
                Computed::newtons(*newtons).places(0),
                mass(*source),
                format!("{inharmonicity:.1e}"),
                if *from_note { say::inharmonicity_assumed() } else { say::inharmonicity_wire() },
            )
        }
        Assumed::Joint { fret, by } => say::assumed_joint(*fret, *by),
        Assumed::Level => say::assumed_level(),
    }
}
