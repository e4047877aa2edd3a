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
    /// Posts of a floating bridge under full pull.
    KnifeEdges,
    /// Springs under load, and the screws that hold them.
    Springs,
    /// On a floating bridge each change moves all.
    FloatingRepeat,
    /// Work that cannot be undone.
    Irreversible,
    /// Files, blades and sharp ends.
    SharpTools,
    /// A shim, or a slot that is filled.
    ShimOrFill,
    /// Frets that are levelled, or a board that is planed.
    BoardLevelled,
    /// For a repairer.
    Repairer,
    /// For a clinician.
    Clinician,
    /// Pole pieces: which of them are turned, and how far.
    PolePieces,
    /// A pickup that is too near pulls the pitch.
    PickupNear,
    /// The tension rises by more than a tenth.
    TensionRise,
    /// A string would be stressed near breaking.
    Stress,
}
