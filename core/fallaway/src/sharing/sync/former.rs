//! The relays that a record has left, and for how long somebody may still look for it there.

use fallaway_changes::{DeviceId, LogId, MemberHash};
use fallaway_sharing::{Action, RelayAddress};

use super::address;
use crate::error::Result;
use crate::instrument::Instrument;
use crate::keeping::loaded_record::LoadedRecord;
use crate::sharing::known::somebody_may_not_know;
use crate::sharing::receipts::Receipts;
use crate::sharing::relay::RelaysKept;

/// After so many seconds nobody is waited for any more; common practice, no source.
const MOST_WAITING_S: i64 = 90 * 24 * 3600;

impl Instrument {
    /// The relays that this record has left, while somebody may not have heard of it. They are forgotten
    /// when everybody has.
    pub(super) fn former_relays(&self) -> Result<Vec<(String, LogId)>> {
        let now = self.inner.clock.now().unix_s;
        let known = RelaysKept::load(self.inner.store.as_ref(), &self.id);
        if known.iter().nth(1).is_none() {
            return Ok(Vec::new());
        }
        self.inner.with_record(self.id, |identity, loaded| {
            let carries = address(&self.inner, loaded);
            let own = identity.keys.device();
            let said = Receipts::load(self.inner.store.as_ref(), &self.id);
            let waits = carries
                .as_ref()
                .is_some_and(|(url, log)| is_waited_for(loaded, &said, (url, log), &own, now));
            let former = known.iter().map(|one| (one.url.clone(), one.log));
            Ok(former.filter(|one| waits && Some(one) != carries.as_ref()).collect())
        })
    }
}

/// Whether somebody shares the record of whom nothing shows that it knows this log.
fn is_waited_for(
    loaded: &LoadedRecord,
    said: &Receipts,
    (url, log): (&str, &LogId),
    own: &DeviceId,
    now: i64,
) -> bool {
    let members = &loaded.members;
    let names = |relay: &RelayAddress| relay.url == url && relay.log == log.to_bytes();
    let moves: Vec<_> = members
        .epochs()
        .filter(|(_, op)| match op.action() {
            Action::NewEpoch { relays, .. } => relays.iter().any(names),
            _ => false,
        })
        .map(|(_, op)| (op.hash(), op.time()))
        .collect();
    let first = moves.iter().map(|(_, time)| *time).min();
    if first.is_none_or(|first| now.saturating_sub(first) > MOST_WAITING_S) {
        return false;
    }
    let knows = |heads: &[MemberHash]| moves.iter().any(|(op, _)| members.had_seen(heads, op));
    let invited = members.open_invitations(now);
    invited.iter().any(|one| !knows(&[one.invite]))
        || somebody_may_not_know(loaded, said, own, knows)
}
