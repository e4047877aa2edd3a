//! Making edits: operations that are checked against what the instrument is, collected in a draft.

use std::borrow::Cow;

use fallaway_changes::limits::MAX_KEY;
use fallaway_changes::{Container, Put, Writer};
use fallaway_measure::{Amount, Dimension, Fret, Location, Quantity, StringPlace};
use fallaway_order::PutInOrder as _;

use crate::document::{OpId, Record};
use crate::entry::{AdjustedPart, CouldNot, Entry, EntryBody, EntryError, FretFinding};
use crate::registers::{REMOVED, Register, Registers, Version};
use crate::spec::{FactValue, SpecError, SpecField};
use crate::stated::{Stated, stated_key};
use crate::target::{SetupId, SetupKey, Target, target_key};
use crate::{EntryId, Moment, Retraction};

/// A text that an edit brings and that is not a fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditedText {
    /// Why an entry is crossed out.
    Reason,
    /// What a remark says.
    Remark,
    /// What a setup is called.
    SetupName,
    /// Who did it.
    Author,
}

impl EditedText {
    /// The word by which programs tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reason => "reason",
            Self::Remark => "remark",
            Self::SetupName => "name",
            Self::Author => "author",
        }
    }
}

/// Why an edit is not made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The instrument does not have the string.
    #[error("there is no string {place} on this instrument; it has {accepted}")]
    NoSuchString {
        /// What was asked for.
        place: StringPlace,
        /// The strings that it has.
        accepted: String,
    },
    /// The instrument does not have the fret.
    #[error("there is no fret {fret} on this instrument; it has 0 (nut) to {last}")]
    NoSuchFret {
        /// What was asked for.
        fret: Fret,
        /// The last fret.
        last: Fret,
    },
    /// The instrument does not have the pickup.
    #[error("there is no pickup {pickup} on this instrument; it has {count}, 1 nearest the bridge")]
    NoSuchPickup {
        /// What was asked for.
        pickup: u8,
        /// How many it has.
        count: u8,
    },
    /// Two frets in the wrong order.
    #[error("{what}: fret {first} must lie before fret {second}")]
    FretOrder {
        /// What has the two frets, such as "a buzz".
        what: &'static str,
        /// The one that is named first.
        first: Fret,
        /// The one that is named second.
        second: Fret,
    },
    /// A value that measures something else than the quantity.
    #[error("{quantity} is {wanted}, not {found}")]
    Dimension {
        /// What is read.
        quantity: Quantity,
        /// What it measures.
        wanted: Dimension,
        /// What was given.
        found: Dimension,
    },
    /// A tolerance below zero.
    #[error("the tolerance {tolerance} is below zero")]
    Tolerance {
        /// What was given.
        tolerance: Amount,
    },
    /// By how much a crown stands high or low is no length from zero on.
    #[error("a crown stands high or low by a length from zero on, not by {by}")]
    CrownHeight {
        /// What was given.
        by: Amount,
    },
    /// A pass without a reading.
    #[error("there is no reading in it")]
    NoReadings,
    /// An entry of this name exists.
    #[error("entry {0} already exists")]
    EntryExists(EntryId),
    /// There is no such entry.
    #[error("there is no entry {0}")]
    NoSuchEntry(EntryId),
    /// An entry is numbered by whoever writes it.
    #[error("entry {id} belongs to another writer than {writer}")]
    ForeignEntry {
        /// The entry that was to be written.
        id: EntryId,
        /// The writer whose editor this is.
        writer: Writer,
    },
    /// The writer has crossed it out already.
    #[error("entry {0} is crossed out already")]
    AlreadyRetracted(EntryId),
    /// A text is missing or too long.
    #[error("{} has {found} characters; accepted are 1 to {most}", what.word())]
    Text {
        /// Which text is missing or too long.
        what: EditedText,
        /// How many characters it has.
        found: usize,
        /// How many are accepted.
        most: usize,
    },
    /// A fact that no instrument has.
    #[error(transparent)]
    Spec(#[from] SpecError),
    /// A stated time that no calendar of four digits has.
    #[error(
        "{unix_s} s from 1970 at {offset_min} min from UTC is not a time in the years 1 to 9999 with \
         at most 18 hours from UTC"
    )]
    Time {
        /// Seconds from 1970-01-01T00:00:00Z.
        unix_s: i64,
        /// Minutes east of UTC.
        offset_min: i16,
    },
    /// A value that would not be read back as it was given.
    #[error("{key} would not be read back as it was given")]
    Unreadable {
        /// The key under which it would have been stored.
        key: String,
    },
    /// An entry that this version cannot write.
    #[error(transparent)]
    Entry(#[from] EntryError),
    /// A newer version wrote what would be overwritten.
    #[error("{key} was written by a newer version; this version does not overwrite it")]
    Newer {
        /// The key of what a newer version wrote.
        key: String,
    },
    /// There is nothing to remove.
    #[error("{key} is not set")]
    NotSet {
        /// The key that holds nothing.
        key: String,
    },
    /// Other values have arrived since the person looked.
    #[error("{key} has changed since: look at its values and decide again")]
    ContestedChanged {
        /// The container of the register.
        container: Container,
        /// The key of the register in its container.
        key: String,
        /// The values that are there now.
        now: Vec<Version>,
    },
    /// A quantity or place that only a newer version knows.
    #[error("this version cannot set a target for it")]
    UnknownTarget,
}

/// Operations that are not sealed into a change yet. A line may still be corrected or erased.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Draft {
    puts: Vec<Put>,
}

impl Draft {
    /// An empty draft.
    pub const fn new() -> Self {
        Self { puts: Vec::new() }
    }

    /// Adds an operation. One for the same key takes the place of the earlier one.
    pub fn add(&mut self, put: Put) {
        let same = |old: &&mut Put| old.container == put.container && old.key == put.key;
        match self.puts.iter_mut().find(same) {
            Some(old) => old.value = put.value,
            None => self.puts.push(put),
        }
    }

    /// Erases the operation for a key; tells whether there was one.
    pub fn erase(&mut self, container: Container, key: &str) -> bool {
        let before = self.puts.len();
        self.puts.retain(|put| put.container != container || put.key != key);
        before != self.puts.len()
    }

    /// The operations in order.
    pub fn puts(&self) -> &[Put] {
        &self.puts
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.puts.is_empty()
    }

    /// Whether it states of a register when or by whom it was written.
    pub fn was_stated(&self, container: Container, key: &str) -> bool {
        self.holds(Container::STATED, &stated_key(container, key))
    }

    fn holds(&self, container: Container, key: &str) -> bool {
        self.puts.iter().any(|put| put.container == container && put.key == key)
    }
}

/// Makes operations for one writer, checked against the record with its draft on top. None of them
/// is kept here: add what comes back to the draft.
#[derive(Debug)]
pub struct Editor<'a> {
    record: &'a Record,
    registers: Cow<'a, Registers>,
    draft: &'a Draft,
    writer: Writer,
}

/// Most characters of a label that says who.
const MAX_LABEL: usize = 64;
/// Most characters of a reason.
const MAX_REASON: usize = 500;
/// Most characters of a setup's name.
const MAX_SETUP_NAME: usize = 64;

impl Record {
    /// Makes operations for a writer, on top of that writer's draft.
    pub fn editor<'a>(&'a self, writer: Writer, draft: &'a Draft) -> Editor<'a> {
        let registers = self.registers().with_draft(draft.puts(), writer, 0);
        Editor { record: self, registers, draft, writer }
    }
}

impl Editor<'_> {
    /// Registers as the person sees them, the draft on top.
    pub fn registers(&self) -> &Registers {
        &self.registers
    }

    /// A new entry, or the correction of one that still stands in the draft.
    ///
    /// # Errors
    /// [`EditError`]: strings, frets or pickups that the instrument does not have, readings of
    /// another dimension, an entry or a visit that does not fit.
    pub fn log(&self, entry: &Entry) -> Result<Put, EditError> {
        let key = entry.id.to_string();
        if entry.id.writer != self.writer {
            return Err(EditError::ForeignEntry { id: entry.id, writer: self.writer });
        }
        if self.record.has_entry(entry.id) {
            return Err(EditError::EntryExists(entry.id));
        }
        if let Some(visit) = entry.visit {
            self.existing(visit)?;
        }
        check_time(entry.at)?;
        check_label(entry.by.as_deref())?;
        self.check_body(&entry.body)?;
        let value = entry.encode()?;
        if Entry::decode(entry.id, &value).as_ref() != Ok(entry) {
            return Err(EditError::Unreadable { key });
        }
        Ok(Put { container: Container::LOG, key, value })
    }

    /// Crosses an entry out. One that still stands in the draft is erased there instead.
    ///
    /// # Errors
    /// [`EditError::NoSuchEntry`], [`EditError::AlreadyRetracted`] if this writer did so before,
    /// [`EditError::Text`] for a reason that is empty or too long.
    pub fn retract(&self, id: EntryId, retraction: &Retraction) -> Result<Put, EditError> {
        let key = id.to_string();
        if !self.record.has_entry(id) {
            return Err(EditError::NoSuchEntry(id));
        }
        let drafted = self.draft.holds(Container::RETRACTED, &key);
        if drafted || self.record.retracted_by(id).contains(&self.writer) {
            return Err(EditError::AlreadyRetracted(id));
        }
        check_text(EditedText::Reason, &retraction.reason, MAX_REASON)?;
        check_time(retraction.at)?;
        check_label(retraction.by.as_deref())?;
        Ok(Put { container: Container::RETRACTED, key, value: to_vec(retraction)? })
    }

    /// Sets a fact about the instrument.
    ///
    /// # Errors
    /// [`EditError::Spec`] with what would be accepted, [`EditError::NoSuchString`] for the note or
    /// the make of a string that the instrument does not have, [`EditError::Newer`].
    pub fn set_spec(&self, field: &SpecField) -> Result<Put, EditError> {
        field.check()?;
        let named = field.strings();
        named.into_iter().try_for_each(|place| self.check_place(place))?;
        if let FactValue::JointFret(joint) = field.value() {
            self.check_fret(joint.fret)?;
        }
        let (key, value) = (field.key(), field.encode()?);
        if SpecField::decode(&key, &value).as_ref() != Some(field) {
            return Err(EditError::Unreadable { key });
        }
        self.write(Container::SPEC, key, value)
    }

    /// Takes a fact back, by its key ([`SpecField::key`]): it is not known any more, and can be set
    /// anew, also if a newer version wrote it. What it was stays in the history of the record.
    ///
    /// # Errors
    /// [`EditError::NotSet`].
    pub fn unset_spec(&self, key: &str) -> Result<Put, EditError> {
        self.remove(Container::SPEC, key.to_owned())
    }

    /// Sets a target in a setup.
    ///
    /// # Errors
    /// [`EditError`]: a string or fret that the instrument does not have, a value of another
    /// dimension, a tolerance below zero.
    pub fn set_target(&self, setup: &SetupId, target: &Target) -> Result<Put, EditError> {
        self.check_quantity(target.quantity)?;
        self.check_location(target.location)?;
        let wanted = target.quantity.dimension();
        for amount in [target.wanted, target.tolerance] {
            if amount.dimension() != wanted {
                return Err(EditError::Dimension {
                    quantity: target.quantity,
                    wanted,
                    found: amount.dimension(),
                });
            }
        }
        if target.tolerance.sign() == std::cmp::Ordering::Less {
            return Err(EditError::Tolerance { tolerance: target.tolerance });
        }
        check_time(target.at)?;
        check_label(target.by.as_deref())?;
        let within = target.key().ok_or(EditError::UnknownTarget)?;
        let (key, value) = (SetupKey::Target(setup.clone(), &within).to_string(), to_vec(target)?);
        if Target::decode_exact(&within, &value).as_ref() != Some(target) {
            return Err(EditError::Unreadable { key });
        }
        self.write(Container::SETUPS, key, value)
    }

    /// Removes a target from a setup.
    ///
    /// # Errors
    /// [`EditError::NotSet`].
    pub fn remove_target(
        &self,
        setup: &SetupId,
        quantity: Quantity,
        location: Location,
    ) -> Result<Put, EditError> {
        let key = target_key(quantity, location).ok_or(EditError::UnknownTarget)?;
        self.remove(Container::SETUPS, SetupKey::Target(setup.clone(), &key).to_string())
    }

    /// Names a setup.
    ///
    /// # Errors
    /// [`EditError::Text`], [`EditError::Newer`].
    pub fn name_setup(&self, setup: &SetupId, name: &str) -> Result<Put, EditError> {
        check_text(EditedText::SetupName, name, MAX_SETUP_NAME)?;
        let key = SetupKey::Name(setup.clone()).to_string();
        self.write(Container::SETUPS, key, to_vec(name)?)
    }

    /// Settles a register: `value` takes the place of the values that the person saw, which are
    /// named by their operations. The value is one of theirs, or a new one in the same form.
    ///
    /// # Errors
    /// [`EditError::ContestedChanged`] with the present values if they are not the ones that were
    /// seen.
    pub fn settle(
        &self,
        container: Container,
        key: &str,
        value: &[u8],
        seen: &[OpId],
    ) -> Result<Put, EditError> {
        let changed = |now| EditError::ContestedChanged { container, key: key.to_owned(), now };
        let Some(register) = self.registers.get(container, key) else {
            return Err(changed(Vec::new()));
        };
        let mut seen = seen.to_vec();
        seen.put_in_order();
        if !register.versions.iter().map(|version| version.op).eq(seen) {
            return Err(changed(register.versions.clone()));
        }
        Ok(Put { container, key: key.to_owned(), value: value.to_vec() })
    }

    /// What is stated of the value that is put into a register together with this: when it happened and who
    /// did it. None if there is nothing to write: nothing is stated, and nothing was.
    ///
    /// # Errors
    /// [`EditError::Time`], [`EditError::Text`]; [`EditError::Unreadable`] for a key that has no room for it.
    pub fn state(
        &self,
        container: Container,
        key: &str,
        stated: &Stated,
    ) -> Result<Option<Put>, EditError> {
        stated.at.map_or(Ok(()), check_time)?;
        check_label(stated.by.as_deref())?;
        let key = stated_key(container, key);
        if stated.is_empty() {
            let shown = self.registers.get(Container::STATED, &key).and_then(Register::shown);
            let said = shown.is_some_and(|shown| !shown.is_removed());
            let value = REMOVED.to_vec();
            return Ok(said.then_some(Put { container: Container::STATED, key, value }));
        }
        if key.len() > MAX_KEY {
            return Err(EditError::Unreadable { key });
        }
        Ok(Some(Put { container: Container::STATED, key, value: to_vec(stated)? }))
    }

    /// Deletes a setup, its name and all its targets, as they are seen here: who wrote in it without
    /// having seen the deletion, or writes in it later, brings it back.
    ///
    /// # Errors
    /// [`EditError::NotSet`] if there is none.
    pub fn delete_setup(&self, setup: &SetupId) -> Result<Put, EditError> {
        let key = SetupKey::Deleted(setup.clone()).to_string();
        if !self.registers.setups().contains_key(setup) {
            return Err(EditError::NotSet { key });
        }
        let seen = minicbor::bytes::ByteArray::from(self.registers.seen(setup));
        Ok(Put { container: Container::SETUPS, key, value: to_vec(seen)? })
    }

    /// Brings a deleted setup back as it was.
    ///
    /// # Errors
    /// [`EditError::NotSet`] if it is not deleted.
    pub fn bring_back_setup(&self, setup: &SetupId) -> Result<Put, EditError> {
        let key = SetupKey::Deleted(setup.clone()).to_string();
        if !self.registers.deleted_setups().contains_key(setup) {
            return Err(EditError::NotSet { key });
        }
        self.remove(Container::SETUPS, key)
    }

    /// Gives a register a value that it had before, in the form of [`Registers`]' values, or
    /// [`REMOVED`].
    ///
    /// # Errors
    /// [`EditError::Newer`].
    pub fn restore(&self, container: Container, key: &str, value: &[u8]) -> Result<Put, EditError> {
        Ok(Put { value: value.to_vec(), ..self.write(container, key.to_owned(), Vec::new())? })
    }

    fn write(&self, container: Container, key: String, value: Vec<u8>) -> Result<Put, EditError> {
        let newer = self.registers.newer().iter();
        if newer.into_iter().any(|(at, newer)| *at == container && *newer == key) {
            return Err(EditError::Newer { key });
        }
        Ok(Put { container, key, value })
    }

    fn remove(&self, container: Container, key: String) -> Result<Put, EditError> {
        let shown = self.registers.get(container, &key).and_then(|register| register.shown());
        if shown.is_none_or(Version::is_removed) {
            return Err(EditError::NotSet { key });
        }
        // What a newer version wrote too: a person who takes it back has named it, it stays in the
        // history, and nobody can make a fact that others cannot mend.
        Ok(Put { container, key, value: REMOVED.to_vec() })
    }

    fn existing(&self, id: EntryId) -> Result<(), EditError> {
        let known = self.draft.holds(Container::LOG, &id.to_string()) || self.record.has_entry(id);
        if known { Ok(()) } else { Err(EditError::NoSuchEntry(id)) }
    }

    fn check_body(&self, body: &EntryBody) -> Result<(), EditError> {
        match body {
            EntryBody::Pass(pass) => {
                self.check_quantity(pass.quantity)?;
                if pass.readings.is_empty() {
                    return Err(EditError::NoReadings);
                }
                let wanted = pass.quantity.dimension();
                for read in &pass.readings {
                    self.check_location(read.location)?;
                    let found = read.reading.dimension();
                    if found != wanted {
                        return Err(EditError::Dimension {
                            quantity: pass.quantity,
                            wanted,
                            found,
                        });
                    }
                }
                Ok(())
            }
            EntryBody::Adjustment(adjustment) => self.check_part(adjustment.what),
            EntryBody::StringChange(change) => {
                let fitted = change.fitted.iter().map(|(place, _)| place);
                change.strings.iter().chain(fitted).try_for_each(|place| self.check_place(*place))
            }
            EntryBody::Tuning(tuning) => {
                let changed = tuning.changed.iter().map(|(place, _)| place);
                tuning.strings.iter().chain(changed).try_for_each(|place| self.check_place(*place))
            }
            EntryBody::Buzz(buzz) => {
                self.check_place(buzz.string)?;
                self.check_fret(buzz.from)?;
                self.check_fret(buzz.to)?;
                if buzz.from > buzz.to {
                    let (first, second) = (buzz.from, buzz.to);
                    return Err(EditError::FretOrder { what: "a buzz", first, second });
                }
                Ok(())
            }
            EntryBody::Remark(remark) => {
                match &remark.fret {
                    Some(found) => self.check_finding(found)?,
                    None => check_text(EditedText::Remark, &remark.text, 4_000)?,
                }
                if remark.fret.is_some() && !remark.text.is_empty() {
                    check_text(EditedText::Remark, &remark.text, 4_000)?;
                }
                match remark.could_not {
                    Some(CouldNot::Move(part)) => self.check_part(part)?,
                    Some(CouldNot::Read { quantity, location }) => {
                        self.check_quantity(quantity)?;
                        self.check_location(location)?;
                    }
                    Some(CouldNot::Other(_)) | None => {}
                }
                let named = remark.replaces.into_iter().chain(remark.about);
                named.into_iter().try_for_each(|id| self.existing(id))
            }
            EntryBody::Visit(_) | EntryBody::VisitEnd(_) | EntryBody::Climate(_) => Ok(()),
            EntryBody::Photo(photo) => {
                if let Some(caption) = &photo.caption {
                    check_text(EditedText::Remark, caption, 4_000)?;
                }
                photo.about.map_or(Ok(()), |id| self.existing(id))
            }
            EntryBody::Unknown { .. } => {
                Err(EditError::Newer { key: format!("entry kind {}", body.kind().number()) })
            }
        }
    }

    fn check_quantity(&self, quantity: Quantity) -> Result<(), EditError> {
        let before = |what, first: Fret, second: Fret| {
            if first < second { Ok(()) } else { Err(EditError::FretOrder { what, first, second }) }
        };
        match quantity {
            Quantity::Gap { stopped, over } => {
                self.check_fret(stopped)?;
                self.check_fret(over)?;
                // A nut is read over fret 1 with the string held down at 3.
                let held = over > Fret::OPEN && over < stopped;
                if held { Ok(()) } else { before("a gap", stopped, over) }
            }
            Quantity::Relief { from, to, at } => {
                self.check_fret(from)?;
                self.check_fret(to)?;
                before("relief", from, to)?;
                match at {
                    Some(at) => before("relief", from, at).and(before("relief", at, to)),
                    None => Ok(()),
                }
            }
            Quantity::FallAway { from, to, at } => {
                self.check_fret(at)?;
                before("fall-away", from, to).and(before("fall-away", to, at))
            }
            Quantity::Intonation { fret } => self.check_fret(fret),
            Quantity::PickupGap { pickup, stopped } => {
                self.check_pickup(pickup)?;
                self.check_fret(stopped)
            }
            _ => Ok(()),
        }
    }

    fn check_part(&self, part: AdjustedPart) -> Result<(), EditError> {
        if let AdjustedPart::Pickup { pickup, .. } | AdjustedPart::Pole { pickup, .. } = part {
            self.check_pickup(pickup)?;
        }
        part.place().map_or(Ok(()), |place| self.check_place(place))
    }

    fn check_location(&self, location: Location) -> Result<(), EditError> {
        match location {
            Location::Course(place) => self.check_place(place),
            _ => Ok(()),
        }
    }

    fn check_place(&self, place: StringPlace) -> Result<(), EditError> {
        let spec = self.registers.spec();
        if spec.has(place) {
            return Ok(());
        }
        let accepted: Vec<_> = spec.places().iter().map(StringPlace::to_string).collect();
        Err(EditError::NoSuchString { place, accepted: accepted.join(", ") })
    }

    fn check_fret(&self, fret: Fret) -> Result<(), EditError> {
        let spec = self.registers.spec();
        match spec.last_fret() {
            Some(last) if !spec.has_fret(fret) => Err(EditError::NoSuchFret { fret, last }),
            _ => Ok(()),
        }
    }

    fn check_finding(&self, found: &FretFinding) -> Result<(), EditError> {
        self.check_fret(found.fret)?;
        found.strings.iter().try_for_each(|place| self.check_place(*place))?;
        let Some(by) = found.by else { return Ok(()) };
        if by.dimension() != Dimension::Length || by.number() < 0.0 {
            return Err(EditError::CrownHeight { by });
        }
        Ok(())
    }

    fn check_pickup(&self, pickup: u8) -> Result<(), EditError> {
        match self.registers.spec().pickups {
            Some(count) if !(1..=count).contains(&pickup) => {
                Err(EditError::NoSuchPickup { pickup, count })
            }
            _ => Ok(()),
        }
    }
}

fn check_time(at: Moment) -> Result<(), EditError> {
    let Moment { unix_s, offset_min } = at;
    match Moment::new(unix_s, offset_min) {
        Some(_) => Ok(()),
        None => Err(EditError::Time { unix_s, offset_min }),
    }
}

/// A label says who, if it is given.
fn check_label(label: Option<&str>) -> Result<(), EditError> {
    label.map_or(Ok(()), |label| check_text(EditedText::Author, label, MAX_LABEL))
}

fn check_text(what: EditedText, text: &str, most: usize) -> Result<(), EditError> {
    let found = text.chars().count();
    if text.trim().is_empty() || found > most {
        return Err(EditError::Text { what, found, most });
    }
    Ok(())
}

fn to_vec<T: minicbor::Encode<()>>(value: T) -> Result<Vec<u8>, EditError> {
    minicbor::to_vec(value).map_err(|error| EntryError::Newer { part: error.to_string() }.into())
}
