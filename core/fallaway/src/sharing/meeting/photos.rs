//! Photos in a meeting: after the lines, a part a turn, so that a connection that is cut loses one part.

use fallaway_changes::{BlobId, RecordId};
use fallaway_order::{Map, Set};
use fallaway_sync::meeting::limits::MAX_WANTS;
use fallaway_sync::meeting::{PhotoPart, PhotoWant};

use crate::error::Result;
use crate::keeping::workshop_state::WorkshopState;
use crate::sharing::photos::{PartTaken, SealedPhotos};

/// What of photos goes and comes in one meeting.
#[derive(Default)]
pub(super) struct MetPhotos {
    asked: Set<BlobId>,
    said: Set<(BlobId, u32)>,
    /// Of each photo the other one asked for: how many parts it lacks still.
    lacking: Map<BlobId, usize>,
    sent: usize,
    received: usize,
}

impl MetPhotos {
    /// Photos that the other device has all parts of now, and that came.
    pub(super) const fn counts(&self) -> (usize, usize) {
        (self.sent, self.received)
    }

    /// Whether nothing was asked for in the last turn.
    pub(super) fn lacks_nothing(&self) -> bool {
        self.asked.is_empty()
    }

    /// The photos that this device lacks.
    pub(super) fn wants(&mut self, inner: &WorkshopState, id: RecordId) -> Result<Vec<PhotoWant>> {
        let photos = SealedPhotos { inner, id };
        let named = photos.named()?;
        if named.is_empty() {
            return Ok(Vec::new());
        }
        let whole: Set<BlobId> = photos.whole()?.into_iter().map(|(blob, _)| blob).collect();
        let mut wants = Vec::new();
        for blob in named.difference(&whole).take(MAX_WANTS) {
            wants.push(PhotoWant { blob: *blob, here: photos.parts_here(blob)? });
        }
        self.asked = wants.iter().map(|want| want.blob).collect();
        Ok(wants)
    }

    /// The next part that the other device lacks and that is here; none that it was sent before.
    pub(super) fn next(
        &mut self,
        inner: &WorkshopState,
        id: RecordId,
        wants: &[PhotoWant],
    ) -> Result<Option<PhotoPart>> {
        if wants.is_empty() {
            return Ok(None);
        }
        let photos = SealedPhotos { inner, id };
        // Of what nobody names, nothing goes.
        let named = photos.named()?;
        let whole: Map<BlobId, u32> =
            photos.whole()?.into_iter().filter(|(blob, _)| named.contains(blob)).collect();
        for PhotoWant { blob, here } in wants {
            let Some(parts) = whole.get(blob).copied() else { continue };
            for part in (0..parts).filter(|part| !here.contains(part)) {
                if !self.said.insert((*blob, part)) {
                    continue;
                }
                let Some(bytes) = photos.part(blob, part)? else { break };
                let left = self
                    .lacking
                    .entry(*blob)
                    .or_insert_with(|| (0..parts).filter(|part| !here.contains(part)).count());
                *left = left.saturating_sub(1);
                self.sent += usize::from(*left == 0);
                return Ok(Some(PhotoPart { blob: *blob, part, parts, bytes }));
            }
        }
        Ok(None)
    }

    /// Keeps parts that were asked for.
    pub(super) fn take(
        &mut self,
        inner: &WorkshopState,
        id: RecordId,
        parts: Vec<PhotoPart>,
    ) -> Result<()> {
        let photos = SealedPhotos { inner, id };
        for PhotoPart { blob, part, parts, bytes } in parts {
            if !self.asked.contains(&blob) {
                continue;
            }
            match photos.take(blob, (part, parts), bytes)? {
                PartTaken::More => {}
                PartTaken::Whole => {
                    self.asked.remove(&blob);
                    self.received += 1;
                }
                // Nothing of it is kept, and nobody is asked for it again here.
                PartTaken::Wrong => drop(self.asked.remove(&blob)),
            }
        }
        Ok(())
    }
}
