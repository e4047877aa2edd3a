//! One instrument's record.

use std::sync::OnceLock;

use fallaway_changes::limits::MAX_DEPS;
use fallaway_changes::{
    Change, ChangeError, ChangeId, Container, Put, RecordId, VerifiedChange, Writer, canonical,
};
use fallaway_order::{OneByOne as _, PutInOrder as _, Set};

use super::access::{self, Access};
use super::check::{self, Refusal};
use super::contents::Document;
use super::graph::{FOUNDER, Graph, Node};
use super::snapshot::{self, Block, LoadError};
use crate::EntryId;
use crate::registers::{self, Registers, Version};
use crate::state::State;
use crate::stated::stated_key;

/// One instrument's record: the document and the graph of its changes.
///
/// It changes only through [`Record::apply`]; what was read from it stays valid until then.
#[derive(Debug, Clone)]
pub struct Record {
    id: RecordId,
    document: Document,
    /// The changes that were read from a snapshot, or written into one, as they stand there.
    saved: Vec<Block>,
    registers: OnceLock<Registers>,
    state: OnceLock<State>,
}

/// A change's place in the graph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GraphLink {
    /// The id of the change, a hash of its bytes.
    pub id: ChangeId,
    /// Who wrote it.
    pub writer: Writer,
    /// Its number among the writer's changes.
    pub seq: u64,
    /// When it was written, by its author's clock: seconds since 1970-01-01T00:00:00Z.
    pub time: i64,
    /// What it depends on.
    pub deps: Vec<ChangeId>,
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
    /// The change would break a rule of the record.
    #[error("the change would not be admitted: {0}")]
    Refused(#[from] Refusal),
    /// The change would break a rule that needs no record to see.
    #[error("the change would not be admitted: {0}")]
    Malformed(#[from] ChangeError),
}

impl Record {
    /// A record that holds nothing but its founding. Every device makes the same one.
    pub fn create(id: RecordId) -> Self {
        Self::of(id, Document::founded(&id), Vec::new())
    }

    fn of(id: RecordId, document: Document, saved: Vec<Block>) -> Self {
        Self { id, document, saved, registers: OnceLock::new(), state: OnceLock::new() }
    }

    /// Opens a snapshot that [`Record::save`] wrote. Its changes are not checked again, but each has
    /// the id that it had, or the snapshot is damaged.
    ///
    /// # Errors
    /// [`LoadError`].
    pub fn load(id: RecordId, snapshot: &[u8]) -> Result<Self, LoadError> {
        let (document, saved) = snapshot::read(&id, snapshot)?;
        Ok(Self::of(id, document, saved))
    }

    /// The whole record as one snapshot for the device's own store.
    pub fn save(&mut self) -> Vec<u8> {
        snapshot::write(&self.id, &self.document, &mut self.saved)
    }

    /// The record's id, by which devices tell it from others.
    pub const fn id(&self) -> RecordId {
        self.id
    }

    /// The changes that no other change of the record has seen, sorted.
    pub fn heads(&self) -> Vec<ChangeId> {
        let mut heads: Vec<_> = self.document.graph.heads().map(|node| node.id).collect();
        heads.put_in_order();
        heads
    }

    /// How many changes the record holds, its founding not counted.
    pub fn change_count(&self) -> usize {
        self.graph().nodes().len().saturating_sub(1)
    }

    /// Whether the record holds a change.
    pub fn contains(&self, id: &ChangeId) -> bool {
        self.graph().contains(id)
    }

    /// What this version may do with the record.
    pub fn access(&self) -> Access {
        self.access_with(&[])
    }

    /// The same once these operations are in it.
    pub fn access_with(&self, puts: &[Put]) -> Access {
        let version = |key: &str| {
            let put = puts.iter().find(|put| put.container == Container::FORMAT && put.key == key);
            if let Some(version) = put.and_then(|put| access::version(&put.value)) {
                return version;
            }
            let versions = self.versions(Container::FORMAT, key);
            // The strictest of concurrent values: a newer version knows what it asks for.
            versions.iter().filter_map(|version| access::version(&version.value)).max().unwrap_or(1)
        };
        Access::of(version(access::MIN_READER), version(access::MIN_WRITER))
    }

    /// Those who ask for a newer version of the format than this library's.
    pub fn ask_for_newer(&self) -> Set<Writer> {
        self.format_values().filter(|(_, newer, _)| *newer).map(|(_, _, writer)| writer).in_set()
    }

    /// The operations after which the record asks for this library's version of the format and no
    /// newer one.
    pub fn ask_for_this_version(&self) -> Vec<Put> {
        let mut puts = Vec::new();
        for (key, newer, _) in self.format_values() {
            if newer && puts.last().is_none_or(|put: &Put| put.key != key) {
                let value = access::value(access::FORMAT_VERSION);
                puts.push(Put { container: Container::FORMAT, key: key.to_owned(), value });
            }
        }
        puts
    }

    /// What the record asks for: which key, whether more than this library is, and who.
    fn format_values(&self) -> impl Iterator<Item = (&'static str, bool, Writer)> {
        [access::MIN_READER, access::MIN_WRITER].into_iter().flat_map(|key| {
            self.versions(Container::FORMAT, key).into_iter().map(move |version| {
                let asked = access::version(&version.value);
                (key, asked > Some(access::FORMAT_VERSION), version.op.writer)
            })
        })
    }

    pub(crate) const fn document(&self) -> &Document {
        &self.document
    }

    pub(super) const fn document_mut(&mut self) -> &mut Document {
        &mut self.document
    }

    pub(crate) const fn graph(&self) -> &Graph {
        &self.document.graph
    }

    /// What was read before is out of date, as far as these operations say.
    pub(super) fn changed<'a>(&mut self, ops: impl Iterator<Item = &'a Put>) {
        for put in ops {
            self.state = OnceLock::new();
            if !put.container.is_append_only() {
                self.registers = OnceLock::new();
                return;
            }
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

    /// Whether somebody has ever stated of a register when or by whom it was written.
    pub fn was_stated(&self, container: Container, key: &str) -> bool {
        !self.document.register(Container::STATED, &stated_key(container, key)).is_empty()
    }

    /// All values of a register, by rising operation; the last one is shown while they differ.
    pub fn versions(&self, container: Container, key: &str) -> Vec<Version> {
        registers::versions(&self.document, container, key)
    }

    /// Whether the record holds an entry.
    pub fn has_entry(&self, id: EntryId) -> bool {
        self.document.entry(id).is_some()
    }

    /// The entry of this id, crossed out or not, drafts left out; `None` if it is not here or
    /// cannot be decoded.
    pub fn entry(&self, id: EntryId) -> Option<crate::Entry> {
        crate::Entry::decode(id, self.document.value(self.document.entry(id)?)).ok()
    }

    /// Writers that have crossed out an entry.
    pub fn retracted_by(&self, id: EntryId) -> Vec<Writer> {
        let slots = self.document.retractions_of(id).iter();
        slots.filter_map(|slot| Some(self.document.op_id(*slot)?.writer)).collect()
    }

    /// The greatest number that a writer has given to an entry; 0 if none.
    pub fn highest_number(&self, writer: &Writer) -> u64 {
        self.document.highest_number(writer)
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
        check::check(&self.document, change).map(drop)
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

    /// Makes the writer's next change of these operations. Where more was done apart than one change
    /// can name, others that only join it come before; the last one holds the operations. They are
    /// not applied.
    ///
    /// # Errors
    /// [`PrepareError`].
    pub fn prepare(
        &self,
        writer: Writer,
        time: i64,
        puts: Vec<Put>,
    ) -> Result<Vec<VerifiedChange>, PrepareError> {
        if puts.is_empty() {
            return Err(PrepareError::Nothing);
        }
        // What lifts the demand for a newer version may always be written: else whoever raised it
        // would have the last word.
        match (self.access(), self.access_with(&puts)) {
            (Access::Full, _) | (_, Access::Full) => {}
            (Access::ReadOnly { needs } | Access::Outdated { needs }, _) => {
                return Err(PrepareError::NeedsNewer { needs });
            }
        }
        if writer == FOUNDER {
            return Err(Refusal::ReservedWriter.into());
        }
        check::check_operations(&self.document, &puts)?;
        let mut previous = self.last_of(&writer);
        let mut heads: Set<ChangeId> = self.heads().into_iter().in_set();
        if let Some((_, id)) = &previous {
            heads.remove(id);
        }
        let has_previous = previous.is_some();
        let mut prepared = Vec::new();
        let mut next = |heads: Set<ChangeId>, ops| -> Result<(), ChangeError> {
            let deps = previous.iter().map(|(_, id)| *id).chain(heads).in_set();
            let seq = previous.map_or(0, |(seq, _)| seq) + 1;
            let change = Change { writer, seq, time, deps: deps.into_iter().collect(), ops };
            let change = VerifiedChange::own(&self.id, change)?;
            previous = Some((seq, change.id()));
            prepared.push(change);
            Ok(())
        };
        // One place is for the writer's previous change.
        let mut room = MAX_DEPS - usize::from(has_previous);
        while let Some(from) = heads.iter().nth(room).copied() {
            let rest = heads.range(from..).copied().in_set();
            heads.retain(|head| *head < from);
            next(std::mem::replace(&mut heads, rest), Vec::new())?;
            room = MAX_DEPS - 1;
        }
        next(heads, puts)?;
        Ok(prepared)
    }

    /// A change that the record holds. `None` for one that it does not hold, and for the founding.
    pub fn change(&self, id: &ChangeId) -> Option<VerifiedChange> {
        let graph = self.graph();
        let position = graph.position(id)?;
        let node = graph.node(position).filter(|node| !node.deps.is_empty())?;
        let bytes = self.canonical(position, node)?;
        VerifiedChange::kept(&self.id, bytes).ok()
    }

    fn canonical(&self, position: u32, node: &Node) -> Option<Vec<u8>> {
        let graph = self.graph();
        let deps = node.deps.iter().map(|dep| graph.node(*dep).map(|node| node.id));
        let mut deps = deps.collect::<Option<Vec<_>>>()?;
        deps.put_in_order();
        let writer = graph.writers().get(node.writer as usize)?;
        let operations = self.document.operations(position);
        Some(canonical(writer, u64::from(node.seq), node.time, &deps, operations))
    }

    /// Every change with what it depends on, each after those: what decides which are in.
    pub fn links(&self) -> impl Iterator<Item = GraphLink> {
        let graph = self.graph();
        graph.nodes().iter().skip(1).filter_map(|node| {
            let deps = node.deps.iter().map(|dep| graph.node(*dep).map(|node| node.id));
            Some(GraphLink {
                id: node.id,
                writer: *graph.writers().get(node.writer as usize)?,
                seq: u64::from(node.seq),
                time: node.time,
                deps: deps.collect::<Option<_>>()?,
            })
        })
    }

    /// Ids of a writer's changes in order.
    pub fn ids_of(&self, writer: &Writer) -> Vec<ChangeId> {
        self.graph().changes_of(writer).map(|node| node.id).collect()
    }

    /// A writer's changes in order.
    pub fn changes_of(&self, writer: &Writer) -> Vec<VerifiedChange> {
        self.ids_of(writer).iter().map_while(|id| self.change(id)).collect()
    }

    /// Registers: what the instrument is, setups. Read once, without the log.
    pub fn registers(&self) -> &Registers {
        self.registers.get_or_init(|| Registers::read(&self.document))
    }

    /// Everything, entries in order. Read once.
    pub fn state(&self) -> &State {
        self.state.get_or_init(|| State::read(&self.document, self.registers().clone()))
    }
}
