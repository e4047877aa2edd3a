//! What was known when a visit was over: targets and facts without what was written later.

use std::collections::{HashMap, HashSet};

use fallaway_changes::ChangeId;
use fallaway_record::{EntryId, InstrumentSpec, Record, SetupId};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::showing::card::{Card, CardData};

/// What was written without a visit belongs together as far back as this before the last of it.
pub(crate) const DAY_OF_WORK_S: i64 = 12 * 3_600;

/// The numbers and what the instrument was.
pub(crate) struct AsThen {
    /// Its targets are those that stood then.
    pub(crate) card: Card,
    pub(crate) spec: InstrumentSpec,
}

impl Instrument {
    /// Targets and facts as they stood when these entries were written, and for the rest of that day of
    /// work: what was set after it was over judges other visits. A setup that there was none of then has no
    /// targets.
    ///
    /// # Errors
    /// As [`Instrument::card`].
    pub(crate) fn as_then(&self, of: &[EntryId], setup: Option<&SetupId>) -> Result<AsThen> {
        let card = self.card(setup)?;
        let low_first = self.inner.preferences()?.low_first;
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let today = AsThen { card, spec: state.spec().clone() };
            let links: Vec<_> = loaded.record.links().collect();
            let times: HashMap<ChangeId, i64> =
                links.iter().map(|link| (link.id, link.time)).collect();
            let written = of.iter().filter_map(|id| state.get(*id)).map(|placed| placed.change);
            // A draft is written now.
            let written =
                written.map(|by| by.and_then(|by| times.get(&by)).copied().unwrap_or(now));
            let Some(until) = written.max().map(|last| last.saturating_add(DAY_OF_WORK_S)) else {
                return Ok(today);
            };
            // What somebody had seen who wrote by then counts, whatever the clocks said.
            let mut past: HashSet<ChangeId> = HashSet::new();
            for link in links.iter().rev() {
                if link.time <= until || past.contains(&link.id) {
                    past.insert(link.id);
                    past.extend(&link.deps);
                }
            }
            let all = links.iter().all(|link| past.contains(&link.id));
            if all && (loaded.draft.is_empty() || now <= until) {
                return Ok(today);
            }
            let ids = links.iter().map(|link| link.id).filter(|id| past.contains(id));
            let changes: Vec<_> = ids.filter_map(|id| loaded.record.change(&id)).collect();
            let mut record = Record::create(self.id);
            record.apply(&changes);
            let registers = record.registers();
            let data = CardData::of(registers, self.inner.latest_with_draft(loaded, now));
            let none = CardData { setups: Vec::new(), ..data.clone() };
            let then =
                Card::of(&data, setup, low_first).or_else(|_| Card::of(&none, None, low_first));
            let spec = registers.spec().clone();
            Ok(AsThen { card: then.unwrap_or(today.card), spec })
        })
    }
}
