//! This device's identity: its keys, and which incarnation of the store it is.

use fallaway_order::Set;

use fallaway_changes::{DeviceId, Incarnation, RecordId, Writer};
use fallaway_order::OneByOne as _;
use fallaway_sharing::{DeviceKeys, secret_of};
use fallaway_store::Store;

use fallaway_text::messages::{errors as say, sharing};
use fallaway_text::{Phrase, Word};

use crate::error::{Error, Result};
use crate::keeping::environment::{Kept, Random, SecretKeeper};
use crate::keeping::notice::Notice;

const SEED: &str = "device seed";
const INCARNATION: &str = "incarnation";
/// How many changes this device has sealed. The store counts in the transaction that stores the
/// change; the keeper is told before any bundle leaves. A store whose count lies behind the keeper's
/// went back in time, and may lack changes that others have.
pub(crate) const SEALED: &str = "sealed";
const META_DEVICE: &str = "device";
const META_INCARNATION: &str = "incarnation";
/// Devices whose fingerprints were compared.
const META_COMPARED: &str = "compared";
/// What the device is called, if it was renamed.
const META_LABEL: &str = "label";

/// In the place of words that were written down.
const WRITTEN_DOWN: &[u8] = &[0];

/// Begins the name under which the store notes a record that was forgotten.
const META_FORGOTTEN: &str = "forgotten ";

/// Who this device is.
pub(crate) struct Identity {
    pub keys: DeviceKeys,
    pub incarnation: Incarnation,
    /// How this device is shown to others.
    pub label: String,
}

impl Identity {
    /// This device's writer in a record.
    pub(crate) fn writer(&self, record: &RecordId) -> Writer {
        fallaway_changes::writer(&self.keys.device(), record, &self.incarnation)
    }

    /// Reads the identity from the keeper, or draws one at the first start. Tells in `notices` what
    /// the person should know.
    pub(crate) fn open(
        store: &dyn Store,
        keeper: &dyn SecretKeeper,
        random: &dyn Random,
        label: String,
        notices: &mut Vec<Notice>,
    ) -> Result<Self> {
        let (seed, fresh) = match get::<32>(keeper, SEED)? {
            Some(seed) => (seed, false),
            None => (draw(random)?, true),
        };
        let keys = DeviceKeys::from_seed(&seed);
        let device = keys.device();
        let writable = store.access() == fallaway_store::StoreAccess::ReadWrite;
        let before = store.meta(META_DEVICE)?;
        if fresh {
            put(keeper, SEED, &seed)?;
            if before.is_some() {
                notices.push(Notice::KeysGone);
            }
        }
        match before {
            Some(before) if !fresh && before != device.as_bytes() => {
                notices.push(Notice::OtherKeys);
            }
            _ if writable && before.as_deref() != Some(device.as_bytes()) => {
                store.set_meta(META_DEVICE, Some(device.as_bytes()))?;
            }
            _ => {}
        }
        // These two can be drawn and counted anew: damage to them stops nothing.
        let (kept, count) = (get_if_sound(keeper, INCARNATION)?, get_if_sound(keeper, SEALED)?);
        let damaged = kept.is_err() || count.is_err();
        let kept = kept.ok().flatten().map(Incarnation::from_bytes);
        let count = count.ok().flatten().map_or(0, u64::from_be_bytes);
        let stored = store.meta(META_INCARNATION)?;
        let behind = count > sealed(store)?;
        let incarnation = match kept {
            Some(kept) if stored.as_deref() == Some(kept.as_bytes()) && !behind && !damaged => kept,
            // A store that the device did not write last: it was restored, or is new.
            kept => {
                notices.extend(if damaged {
                    Some(Notice::KeysDamaged)
                } else if stored.is_none() && count > 0 {
                    Some(Notice::RecordsGone)
                } else if kept.is_some() && stored.is_some() {
                    Some(Notice::Restored)
                } else {
                    None
                });
                if writable {
                    renew(store, keeper, random)?
                } else {
                    kept.unwrap_or(Incarnation::from_bytes(draw(random)?))
                }
            }
        };
        let renamed = store.meta(META_LABEL)?.and_then(|bytes| String::from_utf8(bytes).ok());
        Ok(Self { keys, incarnation, label: renamed.unwrap_or(label) })
    }

    /// Keeps another name for this device.
    pub(crate) fn rename(&mut self, store: &dyn Store, label: &str) -> Result<()> {
        store.set_meta(META_LABEL, Some(label.as_bytes()))?;
        label.clone_into(&mut self.label);
        Ok(())
    }

    /// Tells the keeper how many changes are sealed, before any of them leaves.
    pub(crate) fn note_sealed(store: &dyn Store, keeper: &dyn SecretKeeper) -> Result<()> {
        let count = sealed(store)?;
        // Another process of this device may have counted on.
        let noted = get_if_sound(keeper, SEALED)?.ok().flatten().map_or(0, u64::from_be_bytes);
        if noted < count { put(keeper, SEALED, &count.to_be_bytes()) } else { Ok(()) }
    }

    /// Takes over the incarnation that another process of this device has drawn.
    pub(crate) fn follow(&mut self, store: &dyn Store, keeper: &dyn SecretKeeper) -> Result<()> {
        let stored = store.meta(META_INCARNATION)?;
        if stored.as_deref() == Some(self.incarnation.as_bytes()) {
            return Ok(());
        }
        if let Ok(Some(kept)) = get_if_sound::<16>(keeper, INCARNATION)?
            && stored.as_deref() == Some(kept.as_slice())
        {
            self.incarnation = Incarnation::from_bytes(kept);
        }
        Ok(())
    }

    /// Notes that a record is forgotten. Its numbers were given, and this device may come back to it.
    pub(crate) fn note_forgotten(store: &dyn Store, record: &RecordId) -> Result<()> {
        Ok(store.set_meta(&format!("{META_FORGOTTEN}{record}"), Some(&[1]))?)
    }

    /// Draws a new incarnation if this device has written the record before.
    pub(crate) fn come_back(
        &mut self,
        store: &dyn Store,
        keeper: &dyn SecretKeeper,
        random: &dyn Random,
        record: &RecordId,
    ) -> Result<()> {
        let noted = format!("{META_FORGOTTEN}{record}");
        if store.meta(&noted)?.is_some() {
            self.renew(store, keeper, random)?;
            store.set_meta(&noted, None)?;
        }
        Ok(())
    }

    /// Draws a new incarnation, after the device met an own change that its store lacks.
    pub(crate) fn renew(
        &mut self,
        store: &dyn Store,
        keeper: &dyn SecretKeeper,
        random: &dyn Random,
    ) -> Result<()> {
        self.incarnation = renew(store, keeper, random)?;
        Ok(())
    }
}

/// The keeper's name for the recovery words of a record.
pub(crate) fn kept_as(record: &RecordId) -> String {
    format!("recovery {record}")
}

/// The keeper has the recovery words of a record no more, if it had them.
pub(crate) fn forget_words(keeper: &dyn SecretKeeper, record: &RecordId) -> Result<()> {
    let name = kept_as(record);
    match keeper.get(&name) {
        Kept::Found(words) if words != WRITTEN_DOWN => {
            keeper.put(&name, WRITTEN_DOWN).map_err(Error::keys)
        }
        _ => Ok(()),
    }
}

/// The keys of recovery words.
pub(crate) fn recovery_keys(words: &str) -> Result<DeviceKeys> {
    Ok(DeviceKeys::recovery(&*secret_of(words)?))
}

/// The devices whose fingerprints somebody has compared by voice.
pub(crate) fn compared(store: &dyn Store) -> Result<Set<DeviceId>> {
    let bytes = store.meta(META_COMPARED)?.unwrap_or_default();
    let (devices, _) = bytes.as_chunks::<{ DeviceId::LEN }>();
    Ok(devices.iter().map(|bytes| DeviceId::from_bytes(*bytes)).in_set())
}

/// Adds one to them.
pub(crate) fn note_compared(store: &dyn Store, device: DeviceId) -> Result<()> {
    let mut known = compared(store)?;
    if known.insert(device) {
        let bytes: Vec<u8> = known.iter().flat_map(|one| one.to_bytes()).collect();
        store.set_meta(META_COMPARED, Some(&bytes))?;
    }
    Ok(())
}

fn sealed(store: &dyn Store) -> Result<u64> {
    let stored = store.meta(SEALED)?;
    let bytes = stored.and_then(|bytes| bytes.as_slice().try_into().ok());
    Ok(bytes.map_or(0, u64::from_be_bytes))
}

fn renew(store: &dyn Store, keeper: &dyn SecretKeeper, random: &dyn Random) -> Result<Incarnation> {
    let incarnation = Incarnation::from_bytes(draw(random)?);
    put(keeper, INCARNATION, incarnation.as_bytes())?;
    match get_if_sound(keeper, SEALED)? {
        Ok(Some(count)) => store.count_on(SEALED, u64::from_be_bytes(count)).map(drop)?,
        Ok(None) => {}
        // Whatever it was, what is sealed from now on is sealed by the new writer.
        Err(_) => put(keeper, SEALED, &sealed(store)?.to_be_bytes())?,
    }
    store.set_meta(META_INCARNATION, Some(incarnation.as_bytes()))?;
    Ok(incarnation)
}

fn get<const N: usize>(keeper: &dyn SecretKeeper, name: &'static str) -> Result<Option<[u8; N]>> {
    secret(name, keeper.get(name))
}

/// The same, for a secret that can be drawn anew: damage is no error, but answered.
fn get_if_sound<const N: usize>(
    keeper: &dyn SecretKeeper,
    name: &'static str,
) -> Result<Result<Option<[u8; N]>>> {
    let kept = keeper.get(name);
    let untold = matches!(kept, Kept::Locked | Kept::Failed(_));
    let secret = secret(name, kept);
    if untold { secret.map(Ok) } else { Ok(secret) }
}

fn secret<const N: usize>(name: &'static str, kept: Kept) -> Result<Option<[u8; N]>> {
    match kept {
        Kept::Found(bytes) => match bytes.as_slice().try_into() {
            Ok(bytes) => Ok(Some(bytes)),
            Err(_) => Err(bad_secret(name, sharing::secret_size(bytes.len(), N))),
        },
        Kept::Absent => Ok(None),
        Kept::Locked => Err(Error::keys(say::locked())),
        Kept::Failed(reason) => Err(bad_secret(name, reason)),
        Kept::Lost(reason) => {
            Err(Error::keys(say::lost(sharing::secret(Word(name), reason.into()))))
        }
    }
}

fn put(keeper: &dyn SecretKeeper, name: &'static str, bytes: &[u8]) -> Result<()> {
    keeper.put(name, bytes).map_err(|reason| bad_secret(name, reason))
}

fn bad_secret(name: &'static str, reason: impl Into<Phrase>) -> Error {
    Error::keys(sharing::secret(Word(name), reason.into()))
}

/// Unpredictable bytes.
pub(crate) fn draw<const N: usize>(random: &dyn Random) -> Result<[u8; N]> {
    let mut bytes = [0; N];
    random.fill(&mut bytes).map_err(Error::keys)?;
    Ok(bytes)
}
