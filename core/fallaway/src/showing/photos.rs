//! The photos of a record, and whether their bytes are here.

use fallaway_changes::BlobId;
use fallaway_record::{EntryBody, EntryId, Photo, Placed};
use fallaway_sharing::{BlobKey, open_blob};
use fallaway_store::{BlobHere, Store};
use fallaway_text::messages::photos as say;

use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::showing::views::InstrumentId;

/// Whether a photo can be shown on this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoState {
    /// It is here.
    Here,
    /// It is on another device or on the relay and has not come: a normal state.
    Missing,
}

impl PhotoState {
    /// The word by which programs tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Here => "here",
            Self::Missing => "missing",
        }
    }
}

/// A photo in the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoView {
    /// Its line in the history.
    pub entry: EntryId,
    /// What it shows; `None` if nobody said.
    pub caption: Option<String>,
    /// Media type of its file (RFC 6838): `image/jpeg` or `image/png`.
    pub media_type: String,
    /// Bytes of its file; 0 if the line does not say.
    pub bytes: u64,
    /// The entry that it belongs to.
    pub about: Option<EntryId>,
    /// Whether its line is crossed out. The bytes stay on this device, and leave the relay.
    pub retracted: bool,
    /// Whether it can be shown.
    pub state: PhotoState,
}

impl Instrument {
    /// All photos of the instrument, in the order of the history; those that are crossed out too.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn photos(&self) -> Result<Vec<PhotoView>> {
        let now = self.inner.clock.now().unix_s;
        let here = self.inner.store.blobs(&self.id)?;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let photos = state.entries().filter_map(|placed| Some((placed, photo_of(placed)?)));
            let view = |(placed, photo): (&Placed, &Photo)| PhotoView {
                entry: placed.entry.id,
                caption: photo.caption.clone(),
                media_type: photo.media_type.clone(),
                bytes: photo.bytes.unwrap_or_default(),
                about: photo.about,
                retracted: state.is_retracted(placed.entry.id),
                state: if is_here(&here, photo) { PhotoState::Here } else { PhotoState::Missing },
            };
            Ok(photos.map(view).collect())
        })
    }

    /// One photo, by its line in the history.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a line that is not there or is not a photo.
    pub fn photo(&self, entry: EntryId) -> Result<PhotoView> {
        let found = self.photos()?.into_iter().find(|photo| photo.entry == entry);
        found.ok_or_else(|| Error::not_found(NotFoundKind::Entry, entry.to_string()))
    }

    /// The file of a photo; `None` while it is not here.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a line that is not there or is not a photo; [`Error::Refused`] if what lies here
    /// is not what the line says: whoever wrote the line did not seal the photo that it names.
    pub fn photo_bytes(&self, entry: EntryId) -> Result<Option<Vec<u8>>> {
        let now = self.inner.clock.now().unix_s;
        let photo = self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let photo = state.get(entry).and_then(photo_of).cloned();
            photo.ok_or_else(|| Error::not_found(NotFoundKind::Entry, entry.to_string()))
        })?;
        open_here(self.inner.store.as_ref(), self.id, &photo)
    }
}

fn photo_of(placed: &Placed) -> Option<&Photo> {
    match &placed.entry.body {
        EntryBody::Photo(photo) => Some(photo),
        _ => None,
    }
}

/// The name that the photo of an entry lies under.
pub(crate) fn blob_of(body: &EntryBody) -> Option<BlobId> {
    match body {
        EntryBody::Photo(Photo { key: Some(_), bytes: Some(_), sealed: Some(id), .. }) => {
            Some(BlobId::from_bytes(*id))
        }
        _ => None,
    }
}

fn is_here(here: &[BlobHere], photo: &Photo) -> bool {
    let is = |one: &BlobHere| photo.sealed.as_ref() == Some(one.blob.as_bytes()) && one.is_whole();
    here.iter().any(is)
}

fn open_here(store: &dyn Store, record: InstrumentId, photo: &Photo) -> Result<Option<Vec<u8>>> {
    let (Some(key), Some(bytes), Some(id)) = (photo.key, photo.bytes, photo.sealed) else {
        return Ok(None);
    };
    if !is_here(&store.blobs(&record)?, photo) {
        return Ok(None);
    }
    let id = BlobId::from_bytes(id);
    let mut parts = Vec::new();
    while let Some(part) = store.blob_part(&record, &id, parts.len() as u32)? {
        parts.push(part);
    }
    let opened = open_blob(&BlobKey::from_bytes(key), bytes, parts.iter());
    match opened {
        Ok(file) if *blake3::hash(&file).as_bytes() == photo.hash => Ok(Some(file)),
        _ => Err(Error::refused(say::altered())),
    }
}
