//! Registers: what people negotiate. Every concurrent value is kept until somebody settles it.

use std::borrow::Cow;

use fallaway_changes::{ChangeId, Container, Put, Writer, derive};
use fallaway_measure::{Location, Quantity};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};

use crate::document::{Document, OpId};
use crate::spec::{InstrumentSpec, SpecField};
use crate::stated::{Stated, stated_key};
use crate::target::{SetupId, SetupKey, Target, target_key};

/// Domain separation of what a deletion saw. Frozen.
const CONTEXT_SEEN: &str = "fallaway v1 deleted setup";

/// The value of a register that was removed: CBOR null.
pub const REMOVED: &[u8] = &[0xf6];

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
    /// When it was put and by whom, where somebody said so.
    pub stated: Option<Stated>,
}

impl Version {
    /// Whether it says that the register was removed.
    pub fn is_removed(&self) -> bool {
        self.value == REMOVED
    }
}

/// The values of one register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Register {
    /// Every value that nobody has superseded, by rising operation. A draft's value stands alone.
    pub versions: Vec<Version>,
    /// Whether the values differ in meaning.
    pub contested: bool,
}

impl Register {
    fn new(container: Container, key: &str, versions: Vec<Version>) -> Self {
        let contested = is_contested(container, key, &versions);
        Self { versions, contested }
    }

    /// The value that is shown: of several the one whose operation is the greatest.
    pub fn shown(&self) -> Option<&Version> {
        self.versions.last()
    }
}

/// Whether values of a register differ in meaning. Two people who write the same do not contest it.
pub(crate) fn is_contested(container: Container, key: &str, versions: &[Version]) -> bool {
    let Some((first, rest)) = versions.split_first() else { return false };
    // Each belongs to a value of its own.
    if container == Container::STATED {
        return false;
    }
    rest.iter().any(|other| !same_meaning(container, key, &first.value, &other.value))
}

fn same_meaning(container: Container, key: &str, one: &[u8], other: &[u8]) -> bool {
    if one == other {
        return true;
    }
    // Whether a setup is deleted does not hang on which of two deletions is shown.
    if container == Container::SETUPS && matches!(SetupKey::parse(key), Some(SetupKey::Deleted(_)))
    {
        return true;
    }
    // A target says who set it and when; two who ask for the same agree.
    let target = |value| match SetupKey::parse(key)? {
        SetupKey::Target(_, key) if container == Container::SETUPS => {
            Target::decode_exact(key, value)
        }
        _ => None,
    };
    match (target(one), target(other)) {
        (Some(one), Some(other)) => one.agrees_with(&other),
        _ => false,
    }
}

/// One named set of targets.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedTargets {
    /// What people call it.
    pub name: Option<String>,
    /// Targets by their key within the setup.
    pub targets: Map<String, Target>,
}

impl NamedTargets {
    /// The target for a quantity at a place.
    pub fn target(&self, quantity: Quantity, location: Location) -> Option<&Target> {
        self.targets.get(&target_key(quantity, location)?)
    }
}

/// Every register of a record, and the typed wholes that their shown values fold into.
#[derive(Debug, Clone, PartialEq)]
pub struct Registers {
    all: Map<(Container, String), Register>,
    spec: InstrumentSpec,
    setups: Map<SetupId, NamedTargets>,
    deleted: Map<SetupId, NamedTargets>,
    newer: Vec<(Container, String)>,
}

/// All values of a register, by rising operation.
pub(crate) fn versions(document: &Document, container: Container, key: &str) -> Vec<Version> {
    let slots = document.register(container, key);
    let beside = match container {
        Container::STATED => &[],
        _ => document.register(Container::STATED, &stated_key(container, key)),
    };
    let version = |slot: &_| {
        let node = document.node(*slot)?;
        let (op, value) = (document.op_id(*slot)?, document.value(*slot).to_vec());
        let of_it = |other: &&_| document.node(**other).is_some_and(|one| one.id == node.id);
        let stated = beside.iter().find(of_it).and_then(|slot| read_stated(document.value(*slot)));
        Some(Version { op, change: Some(node.id), time: node.time, value, stated })
    };
    let mut versions: Vec<_> = slots.iter().filter_map(version).collect();
    versions.put_in_order_by_key(|version| version.op);
    versions
}

impl Registers {
    pub(crate) fn read(document: &Document) -> Self {
        let mut all = Map::new();
        for (container, key) in document.registers() {
            let versions = versions(document, container, key);
            all.insert((container, key.to_owned()), Register::new(container, key, versions));
        }
        let mut registers = Self {
            all,
            spec: InstrumentSpec::default(),
            setups: Map::new(),
            deleted: Map::new(),
            newer: Vec::new(),
        };
        registers.fold();
        registers
    }

    fn fold(&mut self) {
        self.spec = InstrumentSpec::default();
        self.setups.clear();
        self.newer.clear();
        for ((container, key), register) in &self.all {
            let Some(shown) = register.shown().filter(|shown| !shown.is_removed()) else {
                continue;
            };
            let understood = match *container {
                Container::SPEC => {
                    if let Some(field) = SpecField::decode(key, &shown.value) {
                        self.spec.set(field);
                        true
                    } else {
                        self.spec.newer.insert(key.clone(), shown.value.clone());
                        false
                    }
                }
                Container::SETUPS => fold_setup(&mut self.setups, key, &shown.value),
                _ => true,
            };
            if !understood {
                self.newer.push((*container, key.clone()));
            }
        }
        self.deleted.clear();
        for (setup, deleted) in self.deletions() {
            // Nobody has to choose between two targets of a setup that is not there.
            for ((container, key), register) in self.all.range_mut(of_setup(&setup)) {
                let differ = is_contested(*container, key, &register.versions);
                register.contested = differ && !deleted;
            }
            if let Some(targets) = self.setups.remove(&setup) {
                let kept = if deleted { &mut self.deleted } else { &mut self.setups };
                kept.insert(setup, targets);
            }
        }
    }

    /// The setups that somebody deleted, and whether they are. A value that whoever deleted one had
    /// not seen brings it back, and so does whoever took the deletion back.
    fn deletions(&self) -> Vec<(SetupId, bool)> {
        let marks = self.all.iter().filter_map(|((container, key), register)| {
            match (*container == Container::SETUPS).then(|| SetupKey::parse(key))?? {
                SetupKey::Deleted(setup) => Some((setup, &register.versions)),
                _ => None,
            }
        });
        let is_deleted = |setup: &SetupId, marks: &[Version]| {
            let seen = minicbor::to_vec(minicbor::bytes::ByteArray::from(self.seen(setup)));
            let seen = seen.unwrap_or_default();
            marks.iter().all(|mark| !mark.is_removed())
                && marks.iter().any(|mark| mark.value == seen)
        };
        marks.map(|(setup, marks)| (setup.clone(), is_deleted(&setup, marks))).collect()
    }

    /// Name and targets of a setup in sixteen bytes: every value of each, whoever wrote it.
    pub(crate) fn seen(&self, setup: &SetupId) -> [u8; 16] {
        let mut text = Vec::new();
        let mut part = |bytes: &[u8]| {
            text.extend((bytes.len() as u64).to_be_bytes());
            text.extend(bytes);
        };
        for ((_, key), register) in self.all.range(of_setup(setup)) {
            let is_mark = matches!(SetupKey::parse(key), Some(SetupKey::Deleted(_)));
            if is_mark || register.versions.iter().all(Version::is_removed) {
                continue;
            }
            let values: Set<&[u8]> =
                register.versions.iter().map(|version| version.value.as_slice()).in_set();
            part(key.as_bytes());
            part(&(values.len() as u64).to_be_bytes());
            values.into_iter().for_each(&mut part);
        }
        derive(CONTEXT_SEEN, &[&text])
    }

    /// The same with the operations of an unsealed draft on top.
    ///
    /// The draft's own operation numbers begin after every one of the document; `time` is shown as
    /// the time of its values.
    #[must_use]
    pub fn with_draft(&self, draft: &[Put], writer: Writer, time: i64) -> Cow<'_, Self> {
        if draft.iter().all(|put| put.container.is_append_only()) {
            return Cow::Borrowed(self);
        }
        let mut with = self.clone();
        let greatest = self.all.values().flat_map(|register| &register.versions);
        let first = greatest.map(|version| version.op.counter).max().unwrap_or(0) + 1;
        for (counter, put) in (first..).zip(draft) {
            if put.container.is_append_only() {
                continue;
            }
            let key = (put.container, put.key.clone());
            let stated_key = stated_key(put.container, &put.key);
            let beside = draft
                .iter()
                .find(|one| one.container == Container::STATED && one.key == stated_key);
            let version = Version {
                op: OpId { counter, writer },
                change: None,
                time,
                value: put.value.clone(),
                stated: beside.and_then(|one| read_stated(&one.value)),
            };
            // It takes the place of every value that is here.
            with.all.insert(key, Register { versions: vec![version], contested: false });
        }
        with.fold();
        Cow::Owned(with)
    }

    /// What the instrument is; of contested fields the value that is shown.
    pub const fn spec(&self) -> &InstrumentSpec {
        &self.spec
    }

    /// Every setup; of contested targets the value that is shown.
    pub const fn setups(&self) -> &Map<SetupId, NamedTargets> {
        &self.setups
    }

    /// The setups that were deleted, as they would be if they were brought back.
    pub const fn deleted_setups(&self) -> &Map<SetupId, NamedTargets> {
        &self.deleted
    }

    /// What people call a setup, a deleted one too; its id where it has no name.
    pub fn setup_name<'a>(&'a self, setup: &'a SetupId) -> &'a str {
        let known = self.setups.get(setup).or_else(|| self.deleted.get(setup));
        known.and_then(|known| known.name.as_deref()).unwrap_or_else(|| setup.as_str())
    }

    /// The register of a key, with every value that stands, removed ones too; `None` if nobody ever
    /// wrote it.
    pub fn get(&self, container: Container, key: &str) -> Option<&Register> {
        self.all.get(&(container, key.to_owned()))
    }

    /// Every register, removed ones too.
    pub fn iter(&self) -> impl Iterator<Item = (Container, &str, &Register)> {
        self.all.iter().map(|((container, key), register)| (*container, key.as_str(), register))
    }

    /// Registers whose values differ.
    pub fn contested(&self) -> impl Iterator<Item = (Container, &str, &Register)> {
        self.iter().filter(|(_, _, register)| register.contested)
    }

    /// Whether a target is contested.
    pub fn target_contested(
        &self,
        setup: &SetupId,
        quantity: Quantity,
        location: Location,
    ) -> bool {
        let key = target_key(quantity, location)
            .map(|key| SetupKey::Target(setup.clone(), &key).to_string());
        let register = key.and_then(|key| self.get(Container::SETUPS, &key));
        register.is_some_and(|register| register.contested)
    }

    /// Registers whose shown value a newer version wrote.
    pub fn newer(&self) -> &[(Container, String)] {
        &self.newer
    }
}

/// What is stated; nothing where it was taken back, or a newer version wrote it.
fn read_stated(value: &[u8]) -> Option<Stated> {
    minicbor::decode::<Stated>(value).ok().filter(|stated| !stated.is_empty())
}

/// The keys of a setup. What names it has no character that sorts between `/` and `0`.
fn of_setup(setup: &SetupId) -> std::ops::Range<(Container, String)> {
    (Container::SETUPS, format!("{setup}/"))..(Container::SETUPS, format!("{setup}0"))
}

/// Puts a value of the setups container in its place. `false` if a newer version wrote it.
fn fold_setup(setups: &mut Map<SetupId, NamedTargets>, key: &str, value: &[u8]) -> bool {
    match SetupKey::parse(key) {
        Some(SetupKey::Name(setup)) => {
            let Ok(name) = minicbor::decode::<String>(value) else { return false };
            setups.entry(setup).or_default().name = Some(name);
            true
        }
        Some(SetupKey::Target(setup, key)) => {
            let Some(target) = Target::decode_exact(key, value) else { return false };
            setups.entry(setup).or_default().targets.insert(key.to_owned(), target);
            true
        }
        Some(SetupKey::Deleted(_)) => {
            minicbor::decode::<minicbor::bytes::ByteArray<16>>(value).is_ok()
        }
        None => false,
    }
}
