//! A word, looked for in everything that this device keeps.

use fallaway_record::{EntryId, Moment};
use fallaway_text::{Phrase, Voice};

use crate::error::Result;
use crate::showing::views::{HistoryFilter, InstrumentId};
use crate::workshop::Workshop;

/// Where something was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FoundIn {
    /// In the name of an instrument, or what identifies it.
    Instrument,
    /// In whose it is, or how to reach them.
    Customer,
    /// In a job.
    Job,
    /// In an entry of the history.
    Entry,
    /// In the name of a setup.
    Setup,
    /// In the name of numbers of the shop.
    Spec,
    /// In the name of a string set.
    StringSet,
}

/// Something that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundText {
    /// Of which instrument, by its id and name; `None` for what is kept for all.
    pub instrument: Option<(InstrumentId, String)>,
    /// Where it stood: in a name, a job, an entry and so on.
    pub found_in: FoundIn,
    /// The text in which it was found, as a line to show.
    pub text: Phrase,
    /// The entry, if in one.
    pub entry: Option<EntryId>,
    /// When, if it has a time.
    pub at: Option<Moment>,
}

impl Workshop {
    /// Looks for a text in all that this device keeps: names, customers, jobs, histories (as `voice` says
    /// them), setups, numbers and string sets of the shop. Case does not matter. Each history is read, so it
    /// takes as long as that.
    ///
    /// # Errors
    /// [`crate::Error::Closed`], or when a record cannot be read.
    pub fn search(&self, text: &str, voice: Voice) -> Result<Vec<FoundText>> {
        let wanted = text.trim().to_lowercase();
        let mut found = Vec::new();
        if wanted.is_empty() {
            return Ok(found);
        }
        let has = |text: &str| text.to_lowercase().contains(&wanted);
        let filter =
            HistoryFilter { text: Some(wanted.clone()), voice, ..HistoryFilter::default() };
        for one in self.all_instruments()? {
            let instrument = self.instrument(one.id)?;
            let named = Some((one.id, one.name.clone()));
            let mut tell = |found_in, text: Phrase, entry, at| {
                found.push(FoundText { instrument: named.clone(), found_in, text, entry, at });
            };
            let about = instrument.details()?.spec.about.unwrap_or_default();
            for text in [&one.name, &about] {
                if has(text) {
                    tell(FoundIn::Instrument, Phrase::written(text), None, None);
                }
            }
            let kept = instrument.shop()?;
            for customer in kept.customer.iter().filter(|one| has(&one.name) || has(&one.contact)) {
                let text = [customer.name.as_str(), customer.contact.as_str()];
                let text = text.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>();
                tell(FoundIn::Customer, Phrase::written(text.join(", ")), None, None);
            }
            for job in &kept.jobs {
                let parts = job.parts.iter().map(|part| part.what.as_str());
                let mut texts = parts.chain([job.what.as_str()]).chain(job.waits_for.as_deref());
                if texts.any(has) {
                    tell(FoundIn::Job, Phrase::written(&job.what), None, Some(job.begun));
                }
            }
            for setup in instrument.setups()?.iter().filter(|setup| has(&setup.name)) {
                tell(FoundIn::Setup, Phrase::written(&setup.name), None, None);
            }
            for view in instrument.history(&filter)? {
                let (id, at) = (view.entry.id, view.entry.at);
                tell(FoundIn::Entry, view.text, Some(id), Some(at));
            }
        }
        let specs = self.specs()?.into_iter().map(|one| (FoundIn::Spec, one.name));
        let sets = self.string_sets()?.into_iter().map(|one| (FoundIn::StringSet, one.name));
        found.extend(specs.chain(sets).filter(|(_, name)| has(name)).map(|(found_in, name)| {
            FoundText {
                instrument: None,
                found_in,
                text: Phrase::written(&name),
                entry: None,
                at: None,
            }
        }));
        Ok(found)
    }
}
