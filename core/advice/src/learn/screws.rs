//! What was learned of the screws.

use fallaway_record::spec::{Clockwise, ScrewPlace};

/// Which way the screws of one kind work, by readings before and after a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScrewLearned {
    /// Of which kind: the screws at this place all work alike.
    pub screw: ScrewPlace,
    /// Of which pickup, counted as its gaps are.
    pub pickup: Option<u8>,
    /// What a clockwise turn brings more or less of, as [`ScrewPlace`] has it; `None` where the readings
    /// contradict each other.
    pub clockwise: Option<Clockwise>,
    /// From how many turns with a reading before and after.
    pub observations: usize,
}
