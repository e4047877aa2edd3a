//! One instrument's record.

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::OnceLock;

use automerge::{Automerge, ObjId, ReadDoc, ScalarValue, Value};
use fallaway_changes::{
    Change, ChangeError, ChangeHash, Container, OpId, Put, RecordId, Writer, parse_entry_key,
};

use super::access::{self, Access};
use super::check::{self, Pending, Refusal};
use super::graph::{Graph, NewNode};
use super::{genesis, rebuild};
use crate::EntryId;
use crate::registers::Registers;
use crate::state::State;

/// One instrument's record: the document and the graph of its changes.
///
/// It changes only through [`Record::apply`]; what was read from it stays valid until then.
#[derive(Debug)]
pub struct Record {
    id: RecordId,
    doc: Automerge,
    graph: Graph,
    registers: OnceLock<Registers>,
    state: OnceLock<State>,
}

/// One value of a register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    /// The operation that put it.
    pub op: OpId,
    /// The change that holds the operation; `None` in a draft.
    pub change: Option<ChangeHash>,
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

/// A change that is ready to be applied and sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prepared {
    /// The change.
    pub change: Change,
    /// Its hash.
    pub hash: ChangeHash,
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
    /// The change would break a rule.
    #[error("the change would not be admitted: {0}")]
    Refused(#[from] Refusal),
}

/// Runs a call of the document library so that its panics become errors. Nothing that was mutated
/// inside is used after a panic.
pub(super) fn guarded<T>(what: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(what)).map_err(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
        format!("panic: {}", text.unwrap_or("without a text").chars().take(200).collect::<String>())
    })
}

impl Record {
    /// A record that holds nothing but its founding. Every device makes the same one.
    ///
    /// # Errors
    /// [`LoadError::Damaged`] if the document library refuses the founding change, which its pinned
    /// version does not.
    pub fn create(id: RecordId) -> Result<Self, LoadError> {
        let damaged = |reason: String| LoadError::Damaged { reason };
        let doc = guarded(|| {
            let mut doc = Automerge::new();
            doc.apply_changes([genesis::change(&id)]).map(|()| doc)
        });
        let doc = doc.map_err(damaged)?.map_err(|error| damaged(error.to_string()))?;
        Self::from_document(id, doc)
    }

    /// Opens a snapshot that [`Record::save`] wrote.
    ///
    /// # Errors
    /// [`LoadError`]. A snapshot comes from the device's own store: the document library can run out
    /// of memory on bytes that were made to harm it.
    pub fn load(id: RecordId, snapshot: &[u8]) -> Result<Self, LoadError> {
        let damaged = |reason: String| LoadError::Damaged { reason };
        if snapshot.is_empty() {
            return Err(damaged("it is empty".to_owned()));
        }
        let doc = guarded(|| Automerge::load(snapshot)).map_err(damaged)?;
        let doc = doc.map_err(|error| damaged(error.to_string()))?;
        guarded(|| Self::from_document(id, doc)).map_err(damaged)?
    }

    pub(super) fn from_document(id: RecordId, doc: Automerge) -> Result<Self, LoadError> {
        let damaged = |reason: &str| LoadError::Damaged { reason: reason.to_owned() };
        let graph = {
            let mut graph = Graph::default();
            for meta in doc.get_changes_meta(&[]) {
                let writer = rebuild::writer(&meta.actor)
                    .ok_or_else(|| damaged("a writer without 16 bytes"))?;
                let added = graph.add(&NewNode {
                    hash: rebuild::hash(&meta.hash),
                    writer,
                    seq: meta.seq,
                    start_op: meta.start_op,
                    max_op: meta.max_op,
                    time: meta.timestamp,
                    deps: meta.deps.iter().map(rebuild::hash).collect(),
                });
                added.ok_or_else(|| damaged("changes out of order"))?;
            }
            graph
        };
        let founding = rebuild::hash(&genesis::change(&id).hash());
        if graph.nodes().first().map(|node| node.hash) != Some(founding) {
            return Err(LoadError::OtherRecord { expected: id });
        }
        Ok(Self { id, doc, graph, registers: OnceLock::new(), state: OnceLock::new() })
    }

    /// The record's id.
    pub const fn id(&self) -> RecordId {
        self.id
    }

    /// The whole record as one snapshot for the device's own store.
    pub fn save(&self) -> Vec<u8> {
        self.doc.save()
    }

    /// The changes that no other change of the record has seen, sorted.
    pub fn heads(&self) -> Vec<ChangeHash> {
        self.doc.get_heads().iter().map(rebuild::hash).collect()
    }

    /// How many changes the record holds, its founding not counted.
    pub fn change_count(&self) -> usize {
        self.graph.nodes().len().saturating_sub(1)
    }

    /// The number of the next operation of whoever has seen everything in the record.
    pub fn next_op(&self) -> u64 {
        self.graph.nodes().iter().map(|node| node.max_op).max().unwrap_or(0) + 1
    }

    /// Whether the record holds a change.
    pub fn contains(&self, hash: &ChangeHash) -> bool {
        self.graph.contains(hash)
    }

    /// Hash of the change that every record of this id begins with.
    pub fn founding(id: &RecordId) -> ChangeHash {
        rebuild::hash(&genesis::change(id).hash())
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

    pub(crate) const fn graph(&self) -> &Graph {
        &self.graph
    }

    pub(super) const fn doc(&self) -> &Automerge {
        &self.doc
    }

    pub(super) fn swap(&mut self, doc: Automerge, graph: Graph) {
        self.doc = doc;
        self.graph = graph;
        self.registers = OnceLock::new();
        self.state = OnceLock::new();
    }

    /// The writer's last change: its number and hash.
    pub fn last_of(&self, writer: &Writer) -> Option<(u64, ChangeHash)> {
        self.graph.last_of(writer).map(|node| (u64::from(node.seq), node.hash))
    }

    /// Everybody who has written in the record.
    pub fn writers(&self) -> Vec<Writer> {
        // The first one is the genesis.
        self.graph.writers().iter().skip(1).copied().collect()
    }

    /// All values of a register, by rising operation; the last one is shown while they differ.
    pub fn versions(&self, container: Container, key: &str) -> Vec<Version> {
        let object = genesis::object(container);
        let values = self.doc.get_all(&object, key).unwrap_or_default();
        values.into_iter().filter_map(|(value, id)| self.version(&value, &id)).collect()
    }

    fn version(&self, value: &Value<'_>, id: &ObjId) -> Option<Version> {
        let op = op_id(id)?;
        let node = self.graph.node(self.graph.of_op(&op.writer, op.counter)?)?;
        Some(Version { op, change: Some(node.hash), time: node.time, value: bytes(value)? })
    }

    /// Every key of a container whose values can be read, with one of them.
    pub(crate) fn keys(&self, container: Container) -> impl Iterator<Item = Item<'_>> {
        let items = self.doc.map_range(genesis::object(container), ..);
        items.filter_map(|item| {
            let op = op_id(&item.id())?;
            let automerge::ValueRef::Scalar(automerge::ScalarValueRef::Bytes(value)) = item.value
            else {
                return None;
            };
            Some(Item { key: item.key, value, op })
        })
    }

    /// Whether a key has any value.
    pub(super) fn has_key(&self, container: Container, key: &str) -> bool {
        !matches!(self.doc.get(genesis::object(container), key), Ok(None))
    }

    /// Whether the record holds an entry.
    pub fn has_entry(&self, id: EntryId) -> bool {
        self.has_key(Container::LOG, &id.to_string())
    }

    /// One entry.
    pub fn entry(&self, id: EntryId) -> Option<crate::Entry> {
        let (value, _) = self.doc.get(genesis::object(Container::LOG), id.to_string()).ok()??;
        crate::Entry::decode(id, &bytes(&value)?).ok()
    }

    /// Writers that have crossed out an entry.
    pub fn retracted_by(&self, id: EntryId) -> Vec<Writer> {
        let versions = self.versions(Container::STRUCK, &id.to_string());
        versions.into_iter().map(|version| version.op.writer).collect()
    }

    /// The greatest number that a writer has given to an entry; 0 if none.
    pub fn highest_number(&self, writer: &Writer) -> u64 {
        let first = format!("{writer}.");
        // '/' follows '.' in ASCII.
        let end = format!("{writer}/");
        let items = self.doc.map_range(genesis::object(Container::LOG), first..end);
        items
            .filter_map(|item| parse_entry_key(&item.key))
            .map(|(_, number)| number)
            .max()
            .unwrap_or(0)
    }

    /// Operations under a key that were visible when these changes were the heads.
    pub(super) fn op_ids_at(
        &self,
        container: Container,
        key: &str,
        heads: &[ChangeHash],
    ) -> Vec<OpId> {
        let object = genesis::object(container);
        let now = self.doc.get_heads();
        let at: Vec<_> = heads.iter().map(rebuild::library_hash).collect();
        let values = if now.iter().all(|head| at.contains(head)) {
            self.doc.get_all(&object, key)
        } else {
            self.doc.get_all_at(&object, key, &at)
        };
        let values = values.unwrap_or_default();
        values.iter().filter_map(|(_, id)| op_id(id)).collect()
    }

    /// The hash of a change: that of the document library's change rebuilt from it.
    ///
    /// # Errors
    /// [`ChangeError`] if the change breaks a rule that needs no record to see.
    pub fn hash_of(change: &Change) -> Result<ChangeHash, ChangeError> {
        rebuild::build(change).map(|built| rebuild::hash(&built.hash()))
    }

    /// Checks every rule that a change must keep to be admitted now, and that it has the stated
    /// hash. A change that the record already holds passes.
    ///
    /// # Errors
    /// [`Refusal`]; [`Refusal::is_waiting`] tells what should be kept and tried again.
    pub fn check(&self, change: &Change, hash: &ChangeHash) -> Result<(), Refusal> {
        let found = Self::hash_of(change)?;
        if found != *hash {
            return Err(Refusal::Hash { stated: *hash, found });
        }
        if self.contains(hash) {
            return Ok(());
        }
        guarded(|| check::check(self, &Pending::default(), change))
            .map_err(|reason| Refusal::Document { reason })?
    }

    /// Makes the writer's next change of these operations. It is not applied. A draft for which
    /// [`Record::check_draft`] answers is accepted.
    ///
    /// # Errors
    /// [`PrepareError`].
    pub fn prepare(
        &self,
        writer: Writer,
        time: i64,
        puts: Vec<Put>,
    ) -> Result<Prepared, PrepareError> {
        let change = self.proposed(writer, time, puts)?;
        let hash = Self::hash_of(&change).map_err(Refusal::Malformed)?;
        Ok(Prepared { change, hash })
    }

    /// Whether these operations could be the writer's next change: every check that
    /// [`Record::prepare`] makes. Ask before a draft is stored, so that nothing is accepted that
    /// could never be committed.
    ///
    /// # Errors
    /// [`PrepareError`].
    pub fn check_draft(&self, writer: Writer, time: i64, puts: &[Put]) -> Result<(), PrepareError> {
        self.proposed(writer, time, puts.to_vec()).map(drop)
    }

    /// The writer's next change, after every check that admitting it makes, but for its hash.
    fn proposed(&self, writer: Writer, time: i64, puts: Vec<Put>) -> Result<Change, PrepareError> {
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
            if !now.iter().map(|version| &version.op).eq(&put.pred) {
                let (container, key) = (put.container, put.key.clone());
                return Err(PrepareError::ContestedChanged { container, key, now });
            }
        }
        let previous = self.graph.last_of(&writer);
        let mut deps: BTreeSet<ChangeHash> = self.heads().into_iter().collect();
        deps.extend(previous.map(|node| node.hash));
        let change = Change {
            writer,
            seq: previous.map_or(0, |node| u64::from(node.seq)) + 1,
            start_op: self.next_op(),
            time,
            deps: deps.into_iter().collect(),
            ops: puts,
        };
        change.validate().map_err(Refusal::Malformed)?;
        guarded(|| check::check(self, &Pending::default(), &change))
            .map_err(|reason| Refusal::Document { reason })??;
        Ok(change)
    }

    /// The canonical form of a change that the record holds. `None` for one that it does not hold,
    /// for the founding, and for what only a newer version can read.
    pub fn change(&self, hash: &ChangeHash) -> Option<Change> {
        self.graph.get(hash)?;
        let change =
            guarded(|| self.doc.get_change_by_hash(&rebuild::library_hash(hash))).ok()??;
        rebuild::canonical(&change)
    }

    /// Hashes of a writer's changes in order.
    pub fn hashes_of(&self, writer: &Writer) -> Vec<ChangeHash> {
        self.graph.changes_of(writer).map(|node| node.hash).collect()
    }

    /// A writer's changes in order. Stops before one that only a newer version can read.
    pub fn changes_of(&self, writer: &Writer) -> Vec<Change> {
        self.hashes_of(writer).iter().map_while(|hash| self.change(hash)).collect()
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

/// A key with one of its values.
pub(crate) struct Item<'a> {
    pub key: std::borrow::Cow<'a, str>,
    pub value: std::borrow::Cow<'a, [u8]>,
    pub op: OpId,
}

fn op_id(id: &ObjId) -> Option<OpId> {
    match id {
        ObjId::Id(counter, actor, _) => {
            Some(OpId { counter: *counter, writer: rebuild::writer(actor)? })
        }
        ObjId::Root => None,
    }
}

fn bytes(value: &Value<'_>) -> Option<Vec<u8>> {
    match value {
        Value::Scalar(scalar) => match scalar.as_ref() {
            ScalarValue::Bytes(bytes) => Some(bytes.clone()),
            _ => None,
        },
        Value::Object(_) => None,
    }
}
