//! How a key that is handed to a member reaches it, whatever other keys it has.
//!
//! The key inside is encrypted to the member already. What is around it (who hands it, which epoch's) is
//! kept from carriers by a key that follows from the record and the member's device: no epoch's, since
//! of those the member may lack any. It came with one key, perhaps that of an epoch which counts for
//! nothing any more, and which others have never had.

use fallaway_order::Map;

use crate::action::Action;
use crate::epoch::EpochKey;
use crate::known::VerifiedBefore;
use crate::members::Members;
use crate::seal::{Header, OpenError, Payload, header, open_beside};
use fallaway_changes::{DeviceId, EpochId, RecordId, derive};

const CONTEXT: &str = "fallaway v1 key of what is handed to a device";

/// The key under which a key that is handed to `device` is sealed.
pub fn handing_key(record: &RecordId, device: &DeviceId) -> EpochKey {
    EpochKey::from_bytes(derive(CONTEXT, &[record.as_bytes(), device.as_bytes()]))
}

/// These keys of all devices that a record has heard of, by the names that bundles say.
#[derive(Debug, Clone, Default)]
pub struct HandingKeys(Map<EpochId, (DeviceId, EpochKey)>);

impl Members {
    /// The keys that open what is handed to anybody here, whether what it came by counts or not.
    pub fn handing_keys(&self) -> HandingKeys {
        let devices = self.ops().filter_map(|op| match op.action() {
            Action::Found { .. } | Action::Join { .. } => Some(op.device()),
            Action::Add { device, .. } => Some(device),
            _ => None,
        });
        let keys = devices.map(|device| {
            let key = handing_key(self.record(), device);
            (key.id(), (*device, key))
        });
        HandingKeys(keys.collect())
    }
}

impl HandingKeys {
    /// How many devices they are for.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nobody is known.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Opens a bundle that hands a key to one of these devices.
    ///
    /// # Errors
    /// [`OpenError::UnknownEpoch`] if it is sealed under another key; [`OpenError::Altered`] if it is
    /// anything but a key for that device: whoever knows a device could seal that; else as [`open`](crate::open).
    pub fn open(
        &self,
        record: &RecordId,
        bytes: &[u8],
        known: &dyn VerifiedBefore,
    ) -> Result<(Header, Payload), OpenError> {
        let epoch = header(bytes)?.epoch;
        let (device, key) = self.0.get(&epoch).ok_or(OpenError::UnknownEpoch(epoch))?;
        let opened = open_beside(record, std::slice::from_ref(key), bytes, known)?;
        let is_for_it = match &opened.1 {
            Payload::Member(op) => match op.action() {
                Action::HandKey { wrapped, .. } => wrapped.device == *device,
                _ => false,
            },
            _ => false,
        };
        if is_for_it { Ok(opened) } else { Err(OpenError::Altered) }
    }
}

#[cfg(test)]
#[path = "handing_tests.rs"]
mod tests;
