//! Usual cautions, shown at the step where they matter. They defer to a qualified repairer, and to a
//! clinician where a body hurts.

/// What can harm the instrument or a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hazard {
    /// Which way the rod works is not known.
    RodTry,
    /// At most a quarter turn of the rod between two readings.
    RodQuarter,
    /// When to stop turning a rod.
    RodStop,
    /// A rod that works both ways has a dead zone.
    RodDeadZone,
    /// The neck settles for a while.
    NeckSettles,
    /// A screw that binds.
    ScrewBinds,
    /// Both screws of a saddle alike.
    ScrewsAlike,
    /// Neck screws only with slack strings.
    NeckScrewsSlack,
    /// A locking nut.
    LockingNut,
    /// Strings, springs and eyes.
    Eyes,
    /// On a floating bridge each change moves all.
    FloatingRepeat,
    /// Work that cannot be undone.
    Irreversible,
    /// Files, blades and sharp ends.
    SharpTools,
    /// For a repairer.
    Repairer,
    /// For a clinician.
    Clinician,
    /// A pickup that is too near pulls the pitch.
    PickupNear,
    /// The tension rises by more than a tenth.
    TensionRise,
    /// A string would be stressed near breaking.
    Stress,
}

impl Hazard {
    /// In words.
    pub const fn text(self) -> &'static str {
        match self {
            Self::RodTry => {
                "Which way this rod works has not been shown on this instrument: an eighth of a \
                 turn, tune, read, and only then go on."
            }
            Self::RodQuarter => "At most a quarter turn of the rod; then tune and read.",
            Self::RodStop => {
                "Stop if the rod moves the wrong way, does not answer, is slack, or refuses to \
                 turn: that is for a qualified repairer."
            }
            Self::RodDeadZone => {
                "This rod works both ways: between them it turns freely, and nothing is learned \
                 there."
            }
            Self::NeckSettles => "Let the neck settle, tune, and read again.",
            Self::ScrewBinds => "If the screw binds, take the string load off first.",
            Self::ScrewsAlike => "Turn the screws of one saddle alike, so that it stays level.",
            Self::NeckScrewsSlack => "Neck screws only with slack strings.",
            Self::LockingNut => "Unlock the nut before tuning.",
            Self::Eyes => {
                "Protect your eyes and let tension off slowly when strings or springs come off or \
                 on; string ends are sharp."
            }
            Self::FloatingRepeat => {
                "On this bridge each change moves the pitch and height of every string: tune, read \
                 all, and repeat until it settles."
            }
            Self::Irreversible => {
                "This cannot be undone: stop 0.1 mm high, tune, read, and go on from there. If in \
                 doubt, leave it to a qualified repairer."
            }
            Self::SharpTools => "Files and blades slip: work away from hands, strings slack.",
            Self::Repairer => {
                "A seized rod, a twisted neck, lifting frets or bridge, or cracks are for a \
                 qualified repairer."
            }
            Self::Clinician => {
                "Pain, numbness or fatigue in the hand is for a clinician; a set-up is no \
                 treatment."
            }
            Self::PickupNear => {
                "A strong pickup this near to a low string can pull its pitch (common practice)."
            }
            Self::TensionRise => {
                "The tension on the neck rises by more than a tenth: watch relief, and ask a \
                 repairer if the instrument is old or cracked."
            }
            Self::Stress => {
                "A plain string tuned this high is stressed near breaking (wire breaks at about 2.2 GPa, \
                 from memory): protect your eyes, or choose a shorter scale, a lower note or \
                 another string."
            }
        }
    }
}
