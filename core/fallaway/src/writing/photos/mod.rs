//! Photos: cleaned, sealed with a key of their own, and kept beside the record; the entry says under which
//! name they lie and holds the key.

mod jpeg;
mod number;
mod picture;
mod png;

use fallaway_order::Set;

use fallaway_changes::BlobId;
use fallaway_order::OneByOne as _;
use fallaway_record::{EntryBody, EntryId, Photo};
use fallaway_sharing::limits::MAX_BLOB_BYTES;
use fallaway_sharing::{BlobKey, SealedBlob, seal_blob};
use fallaway_store::StoredBlobPart;
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::photos as say;

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::secrets::draw;
use crate::keeping::workshop_state::Edit;
use crate::showing::photos::blob_of;
use crate::writing::write_options::WriteOptions;
use picture::{NoPicture, Picture};

/// Bytes of a photo that is added, before and after it was cleaned.
pub const MAX_PHOTO_BYTES: usize = MAX_BLOB_BYTES;
/// Bytes of all photos of one instrument that are kept on a device.
pub const MAX_PHOTOS_BYTES: u64 = 256 * 1024 * 1024;

/// What is said of a photo.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PhotoNote {
    /// What it shows.
    pub caption: Option<String>,
    /// The entry that it belongs to: a remark, a reading, a visit.
    pub about: Option<EntryId>,
}

impl Instrument {
    /// Adds a photo: a JPEG or PNG file of up to 16 MiB. What the file says beside the picture (place, time,
    /// camera, whatever an app has put there) is taken out before anything is kept; which side is up stays.
    /// The photo is sealed with a key of its own and kept on this device; with the next exchange it goes to
    /// the relay, where nobody can open it. Opens a visit if none is open.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a file of another kind, one that is broken or too large, and when the photos of
    /// the instrument have 256 MiB; whatever an edit answers.
    pub fn add_photo(
        &self,
        file: &[u8],
        note: PhotoNote,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        let options = options.into();
        let Picture { media_type, bytes } = read(file)?;
        let key: [u8; 32] = draw(self.inner.random.as_ref())?;
        let sealed = seal_blob(&BlobKey::from_bytes(key), &bytes);
        let SealedBlob { id, parts } = sealed.map_err(|e| Error::internal("photo", e))?;
        let body = EntryBody::Photo(Photo {
            hash: *blake3::hash(&bytes).as_bytes(),
            media_type: media_type.to_owned(),
            caption: note.caption,
            key: Some(key),
            bytes: Some(bytes.len() as u64),
            sealed: Some(id.to_bytes()),
            about: note.about,
        });
        let of = u32::try_from(parts.len()).unwrap_or(u32::MAX);
        let stored = (0..).zip(parts).map(|(part, bytes)| StoredBlobPart {
            blob: id,
            part,
            parts: of,
            bytes,
        });
        let stored: Vec<_> = stored.collect();
        let size: u64 = stored.iter().map(|part| part.bytes.len() as u64).sum();
        self.inner.edit(self.id, |edit| {
            let here = self.inner.store.blobs(&self.id)?;
            let named = named(edit);
            let (kept, stale): (Vec<_>, Vec<_>) =
                here.into_iter().partition(|one| named.contains(&one.blob));
            let held: u64 = kept.iter().map(|one| one.bytes).sum();
            if held.saturating_add(size) > MAX_PHOTOS_BYTES {
                let too_much = Accepted::nothing(NothingAccepted::TooMuch);
                return Err(Error::bad_input(
                    field("photo"),
                    say::all_full(),
                    too_much.said(say::all_accepted()),
                ));
            }
            let entry = edit.write(&body, &options)?;
            edit.keep_photo(stored.clone(), stale.iter().map(|one| one.blob).collect());
            Ok(entry)
        })
    }
}

fn read(file: &[u8]) -> Result<Picture> {
    let refused = |reason| {
        let accepted = Accepted::nothing(NothingAccepted::OtherFile).said(say::accepted());
        Error::bad_input(field("photo"), reason, accepted)
    };
    if file.is_empty() {
        return Err(refused(say::empty()));
    }
    if file.len() > MAX_PHOTO_BYTES {
        return Err(refused(say::too_large()));
    }
    let picture = picture::clean(file).map_err(|why| {
        refused(match why {
            NoPicture::OtherKind => say::other_kind(),
            NoPicture::Broken => say::broken(),
        })
    })?;
    // Which side is up may be a few bytes more than it was.
    if picture.bytes.len() > MAX_PHOTO_BYTES { Err(refused(say::too_large())) } else { Ok(picture) }
}

/// The photos that lines of the record and of the draft name: what else is kept was taken back.
fn named(edit: &Edit<'_>) -> Set<BlobId> {
    let state = edit.loaded.state(edit.at.unix_s);
    state.entries().filter_map(|placed| blob_of(&placed.entry.body)).in_set()
}

#[cfg(test)]
mod picture_tests;
