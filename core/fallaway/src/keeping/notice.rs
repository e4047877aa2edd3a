//! What the person should know of the store and of this device's keys.

use fallaway_store::DamagedPart;
use fallaway_text::messages::sharing as say;
use fallaway_text::{Phrase, Word};

/// Something that the person should know, and can act on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// A newer version wrote the store: it can be read, not changed.
    NewerStore {
        /// The schema that was found.
        found: u32,
        /// The newest that this version writes.
        supported: u32,
    },
    /// This device's keys are gone: it has a new identity.
    KeysGone,
    /// The keys are not those of the device that wrote the store.
    OtherKeys,
    /// A part of the keys is damaged: the device goes on as a new writer.
    KeysDamaged,
    /// This device has written records before, and the store no longer has them.
    RecordsGone,
    /// The store was restored from a copy: the device goes on as a new writer.
    Restored,
    /// A bundle brought work of this device that its store did not have.
    NewWriter,
    /// This device was copied: a second one writes under its name.
    Copied,
    /// A damaged part was set aside; the rest is in use.
    Damage {
        /// Which part of the store was damaged.
        part: DamagedPart,
        /// By which name it is kept.
        name: String,
    },
}

impl Notice {
    /// What happened, as a sentence to show.
    pub fn phrase(&self) -> Phrase {
        match self {
            Self::NewerStore { found, supported } => say::notice_newer(*found, *supported),
            Self::KeysGone => say::notice_keys_gone(),
            Self::OtherKeys => say::notice_other_keys(),
            Self::KeysDamaged => say::notice_keys_damaged(),
            Self::RecordsGone => say::notice_records_gone(),
            Self::Restored => say::notice_restored(),
            Self::NewWriter => say::notice_new_writer(),
            Self::Copied => say::notice_copied(),
            Self::Damage { part, name } => {
                say::notice_damage(say::damaged_part(damaged_word(*part)), name)
            }
        }
    }
}

/// The word by which the message names a part.
const fn damaged_word(part: DamagedPart) -> Word {
    Word(match part {
        DamagedPart::File => "file",
        DamagedPart::Snapshot => "snapshot",
        DamagedPart::Change => "change",
        DamagedPart::Signature => "signature",
        DamagedPart::Draft => "draft",
        DamagedPart::Member => "member",
        DamagedPart::EpochKey => "epoch_key",
        DamagedPart::Writer => "writer",
        DamagedPart::Projection => "projection",
        DamagedPart::Outgoing => "outgoing",
        DamagedPart::Meta => "meta",
        DamagedPart::Record => "record",
        DamagedPart::LastWrites => "last_writes",
        DamagedPart::Blob => "photo",
        DamagedPart::Other(_) => "newer",
    })
}
