//! One instrument's record.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use automerge::{Automerge, ReadDoc};
use fallaway_changes::limits::MAX_PREDS;
use fallaway_changes::{
    Change, ChangeError, ChangeId, Container, OpId, Put, RecordId, VerifiedChange, Writer,
    parse_entry_key,
};

use super::access::{self, Access};
use super::check::{self, Pending, Refusal};
use super::contents::{Document, Item, guarded};
use super::graph::Graph;
use super::snapshot;
use crate::EntryId;
use crate::registers::Registers;
use crate::state::State;

/// One instrument's record: the document and the graph of its changes.
///
/// It changes only through [`Record::apply`]; what was read from it stays valid until then.
#[derive(Debug)]
pub struct Record {
    id: RecordId,
    document: Document,
    registers: OnceLock<Registers>,
    state: OnceLock<State>,
}

/// One value of a register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    /// The operation that put it.
    pub op: OpId,
    /// The change that holds the operation; `None` in a draft.
    pub change: Option<ChangeId>,
    /// Stated time of the change, seconds since 1970-01-01T00:00:00Z; of the draft's last writing
    /// in a draft.
    pub time: i64,
    /// The value: one CBOR item; null means removed.
    pub value: Vec<u8>,
}

impl Version {
    /// Whether it says that the register was removed.
    pub fn is_removed(&self) -> bool {
        self.value == crate::registers::REMOVED
    }
}

/// Why a snapshot does not open.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LoadError {
    /// The bytes are not a document, or a damaged one.
    #[error("the snapshot of the record is damaged: {reason}")]
    Damaged {
        /// What the document library said.
        reason: String,
    },
    /// The document does not begin with the founding of this record.
    #[error("the snapshot belongs to another record than {expected}")]
    OtherRecord {
        /// The record that was asked for.
        expected: RecordId,
    },
}

/// Why a change cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PrepareError {
    /// Nothing to write.
    #[error("there is nothing to write")]
    Nothing,
    /// The record asks for a newer version of the library.
    #[error(
        "this record needs version {needs} of the format to be changed; this library writes version {}",
        access::FORMAT_VERSION
    )]
    NeedsNewer {
        /// The version that may write.
        needs: u32,
    },
    /// Other values have arrived since the edit was made.
    #[error("{key} has changed since: look at its values and decide again")]
    ContestedChanged {
        /// Which container.
        container: Container,
        /// Which key.
        key: String,
        /// The values that are there now.
        now: Vec<Version>,
    },
    /// The change would break a rule of the record.
    #[error("the change would not be admitted: {0}")]
    Refused(#[from] Refusal),
    /// The change would break a rule that needs no record to see.
    #[error("the change would not be admitted: {0}")]
    Malformed(#[from] ChangeError),
}

impl Record {
    /// A record that holds nothing but its founding. Every device makes the same one.
    ///
    /// # Errors
    /// [`LoadError::Damaged`] if the document library refuses the founding change, which its pinned
    /// version does not.
    pub fn create(id: RecordId) -> Result<Self, LoadError> {
        let document = Document::founded(&id).map_err(|reason| LoadError::Damaged { reason })?;
        Ok(Self { id, document, registers: OnceLock::new(), state: OnceLock::new() })
    }

    /// Opens a snapshot that [`Record::save`] wrote.
    ///
    /// # Errors
    /// [`LoadError`]. A snapshot comes from the device's own store: the document library can run out
    /// of memory on bytes that were made to harm it.
    pub fn load(id: RecordId, snapshot: &[u8]) -> Result<Self, LoadError> {
        let damaged = |reason: String| LoadError::Damaged { reason };
        let Some((ids, document)) = snapshot::read(snapshot) else {
            return Err(damaged("it does not begin as a snapshot does".to_owned()));
        };
        if document.is_empty() {
            return Err(damaged("it is empty".to_owned()));
        }
        let document = guarded(|| -> Result<Document, LoadError> {
            let doc = Automerge::load(document).map_err(|error| damaged(error.to_string()))?;
            let graph = snapshot::graph(&id, &ids, &doc);
            let graph = graph.map_err(|reason| damaged(reason.to_owned()))?;
            if !Document::is_of(&id, &graph) {
                return Err(LoadError::OtherRecord { expected: id });
            }
            Ok(Document { doc, graph })
        });
        let document = document.map_err(damaged)??;
        Ok(Self { id, document, registers: OnceLock::new(), state: OnceLock::new() })
    }

    /// The record's id.
    pub const fn id(&self) -> RecordId {
        self.id
    }

    /// The whole record as one snapshot for the device's own store.
    ///
    /// # Errors
    /// [`ApplyError`](super::ApplyError) if the document library fails at it; the record is as it was.
    pub fn save(&self) -> Result<Vec<u8>, super::ApplyError> {
        let saved = guarded(|| self.document.doc.save());
        let saved = saved.map_err(|reason| super::ApplyError { reason })?;
        Ok(snapshot::write(&self.document.graph, &saved))
    }

    /// Proves that a snapshot of this record is read back as what was put in: it has the same heads
    /// and as many changes, and each of these changes has its canonical bytes. Done for the changes
    /// that came in since the last proof, before the snapshot takes the place of an earlier one.
    ///
    /// # Errors
    /// What differs, in words.
    pub fn read_back(&self, snapshot: &[u8], changes: &[ChangeId]) -> Result<(), String> {
        let (_, document) =
            snapshot::read(snapshot).ok_or("it does not begin as a snapshot does")?;
        self.read_back_from(document, changes)
    }

    pub(super) fn read_back_from(
        &self,
        document: &[u8],
        changes: &[ChangeId],
    ) -> Result<(), String> {
        let graph = &self.document.graph;
        guarded(|| -> Result<(), String> {
            let doc = Automerge::load(document).map_err(|error| error.to_string())?;
            let heads: BTreeSet<_> = graph.heads().map(|node| node.library).collect();
            if !doc.get_heads().iter().map(|head| head.0).eq(heads) {
                return Err("its heads differ after saving and loading".to_owned());
            }
            if doc.stats().num_changes != graph.nodes().len() as u64 {
                return Err("it holds another number of changes after loading".to_owned());
            }
            for id in changes {
                let node = graph.get(id).ok_or("a change that is not in the record")?;
                let library = automerge::ChangeHash(node.library);
                let found = doc.get_change_by_hash(&library);
                let found =
                    found.and_then(|change| Document::canonical(graph, &change, &node.deps));
                let found = found.and_then(|change| VerifiedChange::own(&self.id, change).ok());
                #[cfg(test)]
                let found = found.filter(|_| FORGOTTEN.get() != Some(*id));
                if found.is_none_or(|found| found.id() != *id) {
                    return Err(format!("change {id} is another one after loading"));
                }
            }
            Ok(())
        })?
    }

    /// The changes that no other change of the record has seen, sorted.
    pub fn heads(&self) -> Vec<ChangeId> {
        let mut heads: Vec<_> = self.document.graph.heads().map(|node| node.id).collect();
        heads.sort_unstable();
        heads
    }

    /// How many changes the record holds, its founding not counted.
    pub fn change_count(&self) -> usize {
        self.graph().nodes().len().saturating_sub(1)
    }

    /// The number of the next operation of whoever has seen everything in the record.
    pub fn next_op(&self) -> u64 {
        self.document.graph.greatest_op() + 1
    }

    /// Whether the record holds a change.
    pub fn contains(&self, id: &ChangeId) -> bool {
        self.graph().contains(id)
    }

    /// What this version may do with the record.
    pub fn access(&self) -> Access {
        let version = |key: &str| {
            let versions = self.versions(Container::FORMAT, key);
            // The strictest of concurrent values: a newer version knows what it asks for.
            versions.iter().filter_map(|version| access::version(&version.value)).max().unwrap_or(1)
        };
        Access::of(version(access::MIN_READER), version(access::MIN_WRITER))
    }

    pub(super) const fn document(&self) -> &Document {
        &self.document
    }

    pub(super) const fn document_mut(&mut self) -> &mut Document {
        &mut self.document
    }

    pub(crate) const fn graph(&self) -> &Graph {
        &self.document.graph
    }

    /// Takes the document of which the graph is already. What was read from the log is out of date,
    /// and from the registers if any was written.
    pub(super) fn swap(&mut self, doc: Automerge, registers: bool) {
        self.document.doc = doc;
        self.state = OnceLock::new();
        if registers {
            self.registers = OnceLock::new();
        }
    }

    /// The writer's last change: its number and id.
    pub fn last_of(&self, writer: &Writer) -> Option<(u64, ChangeId)> {
        self.graph().last_of(writer).map(|node| (u64::from(node.seq), node.id))
    }

    /// Everybody who has written in the record.
    pub fn writers(&self) -> Vec<Writer> {
        // The first one is the genesis.
        self.graph().writers().iter().skip(1).copied().collect()
    }

    /// All values of a register, by rising operation; the last one is shown while they differ.
    pub fn versions(&self, container: Container, key: &str) -> Vec<Version> {
        let graph = self.graph();
        let values = self.document.values(container, key).into_iter();
        let versions = values.filter_map(|(op, value)| {
            let node = graph.node(graph.of_op(&op.writer, op.counter)?)?;
            Some(Version { op, change: Some(node.id), time: node.time, value })
        });
        versions.collect()
    }

    /// Every key of a container whose values can be read, with one of them.
    pub(crate) fn keys(&self, container: Container) -> impl Iterator<Item = Item<'_>> {
        self.document.keys(container)
    }

    /// Whether the record holds an entry.
    pub fn has_entry(&self, id: EntryId) -> bool {
        self.document.has_key(Container::LOG, &id.to_string())
    }

    /// One entry.
    pub fn entry(&self, id: EntryId) -> Option<crate::Entry> {
        let (_, value) = self.document.values(Container::LOG, &id.to_string()).pop()?;
        crate::Entry::decode(id, &value).ok()
    }

    /// Writers that have crossed out an entry.
    pub fn retracted_by(&self, id: EntryId) -> Vec<Writer> {
        let versions = self.versions(Container::RETRACTED, &id.to_string());
        versions.into_iter().map(|version| version.op.writer).collect()
    }

    /// The greatest number that a writer has given to an entry; 0 if none.
    pub fn highest_number(&self, writer: &Writer) -> u64 {
        let first = format!("{writer}.");
        // '/' follows '.' in ASCII.
        let end = format!("{writer}/");
        let keys = self.document.keys_within(Container::LOG, first..end);
        keys.filter_map(|key| parse_entry_key(&key)).map(|(_, number)| number).max().unwrap_or(0)
    }

    /// Checks every rule that a change must keep to be admitted now. A change that the record already
    /// holds passes.
    ///
    /// # Errors
    /// [`Refusal`]; [`Refusal::is_waiting`] tells what should be kept and tried again.
    pub fn check(&self, change: &VerifiedChange) -> Result<(), Refusal> {
        if self.contains(&change.id()) {
            return Ok(());
        }
        let mut pending = Pending::new(self.graph());
        guarded(|| check::check(&self.document, &mut pending, change).map(drop))
            .map_err(|reason| Refusal::Document { reason })?
    }

    /// Whether these operations could be the writer's next change: every check that
    /// [`Record::prepare`] makes. Ask before a draft is stored, so that nothing is accepted that
    /// could never be committed.
    ///
    /// # Errors
    /// [`PrepareError`].
    pub fn check_draft(&self, writer: Writer, time: i64, puts: &[Put]) -> Result<(), PrepareError> {
        self.prepare(writer, time, puts.to_vec()).map(drop)
    }

    /// Makes the writer's next change of these operations. It is not applied.
    ///
    /// # Errors
    /// [`PrepareError`].
    pub fn prepare(
        &self,
        writer: Writer,
        time: i64,
        puts: Vec<Put>,
    ) -> Result<VerifiedChange, PrepareError> {
        if puts.is_empty() {
            return Err(PrepareError::Nothing);
        }
        match self.access() {
            Access::Full => {}
            Access::ReadOnly { needs } | Access::Outdated { needs } => {
                return Err(PrepareError::NeedsNewer { needs });
            }
        }
        for put in puts.iter().filter(|put| !put.container.is_append_only()) {
            let now = self.versions(put.container, &put.key);
            if !now.iter().take(MAX_PREDS).map(|version| &version.op).eq(&put.pred) {
                let (container, key) = (put.container, put.key.clone());
                return Err(PrepareError::ContestedChanged { container, key, now });
            }
        }
        let previous = self.graph().last_of(&writer);
        let mut deps: BTreeSet<ChangeId> = self.heads().into_iter().collect();
        deps.extend(previous.map(|node| node.id));
        let change = Change {
            writer,
            seq: previous.map_or(0, |node| u64::from(node.seq)) + 1,
            start_op: self.next_op(),
            time,
            deps: deps.into_iter().collect(),
            ops: puts,
        };
        let change = VerifiedChange::own(&self.id, change)?;
        self.check(&change)?;
        Ok(change)
    }

    /// A change that the record holds. `None` for one that it does not hold, for the founding, and
    /// for what only a newer version can read.
    pub fn change(&self, id: &ChangeId) -> Option<VerifiedChange> {
        VerifiedChange::own(&self.id, self.document.change(id)?).ok()
    }

    /// Ids of a writer's changes in order.
    pub fn ids_of(&self, writer: &Writer) -> Vec<ChangeId> {
        self.graph().changes_of(writer).map(|node| node.id).collect()
    }

    /// A writer's changes in order. Stops before one that only a newer version can read.
    pub fn changes_of(&self, writer: &Writer) -> Vec<VerifiedChange> {
        self.ids_of(writer).iter().map_while(|id| self.change(id)).collect()
    }

    /// Registers: what the instrument is, setups. Read once, without the log.
    pub fn registers(&self) -> &Registers {
        self.registers.get_or_init(|| Registers::read(self))
    }

    /// Everything, entries in order. Read once.
    pub fn state(&self) -> &State {
        self.state.get_or_init(|| State::read(self))
    }
}

#[cfg(test)]
thread_local! {
    /// Stands for a defect of the document library: a change that is not read back.
    pub(super) static FORGOTTEN: std::cell::Cell<Option<ChangeId>> =
        const { std::cell::Cell::new(None) };
}
