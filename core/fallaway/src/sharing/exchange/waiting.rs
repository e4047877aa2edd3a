//! What changes wait for, and who can bring it.

use fallaway_order::Set;

use fallaway_order::OneByOne as _;
use fallaway_sharing::Role;
use fallaway_store::ChangeStanding;

use super::quotas::DevicesOf;
use super::why_aside::WhyAside;
use crate::error::Result;
use crate::instrument::Instrument;

/// What changes that arrived wait for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitingFor {
    /// How many changes wait.
    pub changes: usize,
    /// Whose: what these devices wrote earlier is missing. By the names under which they are shown.
    pub of: Vec<String>,
    /// Some were written by a device that is not known here: what let it in is missing.
    pub from_unknown: bool,
    /// Who surely can bring it: the owners, and whoever wrote what waits. Any of their devices writes a
    /// file with the whole record.
    pub ask: Vec<String>,
}

impl Instrument {
    /// What arrived here and waits for something else, and whom to ask for it; `None` if nothing waits.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn waits_for(&self) -> Result<Option<WaitingFor>> {
        self.inner.with_record(self.id, |identity, loaded| {
            let waits =
                || loaded.pending.iter().filter(|one| one.standing == ChangeStanding::Waiting);
            if waits().next().is_none() {
                return Ok(None);
            }
            let own = identity.keys.device();
            let (devices, labels) = (DevicesOf::new(loaded), loaded.members.labels(&own));
            let (mut of, mut from_unknown) = (Set::new(), false);
            for one in waits() {
                let stranger = WhyAside::stored(one.reason.as_deref()) == WhyAside::Invitation;
                match devices.of(&one.writer).and_then(|device| labels.get(&device)) {
                    Some(label) if !stranger => drop(of.insert(label.clone())),
                    _ => from_unknown = true,
                }
            }
            let owners = loaded.members.members().into_iter();
            let owners = owners.filter(|one| one.role == Role::Owner && one.device != own);
            let mut ask: Set<String> =
                owners.filter_map(|one| labels.get(&one.device).cloned()).in_set();
            ask.extend(of.iter().cloned());
            Ok(Some(WaitingFor {
                changes: waits().count(),
                of: of.into_iter().collect(),
                from_unknown,
                ask: ask.into_iter().collect(),
            }))
        })
    }
}
