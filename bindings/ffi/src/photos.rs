//! Photos of an instrument.

use std::sync::Arc;

use fallaway::PhotoNote;

use crate::mirror::mirror;
use crate::sync::{Carrier, HttpTransport};
use crate::voice::say;
use crate::write_options::typed;
use crate::{EntryId, Instrument, Result, WriteOptions};

mirror! {
    /// Whether a photo can be shown on this device.
    PhotoState = fallaway::PhotoState {
        /// It is here: its bytes can be asked for.
        Here,
        /// It is on another device or on the relay and has not come: a normal state.
        Missing,
    }
}

/// A photo in the history.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PhotoView {
    /// Its line in the history.
    pub entry: EntryId,
    /// What it shows; `None` if nobody said.
    pub caption: Option<String>,
    /// Media type of its file (RFC 6838): "image/jpeg" or "image/png".
    pub media_type: String,
    /// Bytes of its file; 0 if the line does not say.
    pub file_bytes: u64,
    /// The entry that it belongs to.
    pub about: Option<EntryId>,
    /// Whether its line is crossed out. The bytes stay on this device, and leave the relay.
    pub retracted: bool,
    /// Whether it can be shown.
    pub state: PhotoState,
}

impl From<fallaway::PhotoView> for PhotoView {
    fn from(photo: fallaway::PhotoView) -> Self {
        Self {
            entry: photo.entry.into(),
            caption: photo.caption,
            media_type: photo.media_type,
            file_bytes: photo.bytes,
            about: photo.about.map(EntryId),
            retracted: photo.retracted,
            state: photo.state.into(),
        }
    }
}

/// How fetching a photo ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PhotoFetched {
    /// It is here now, whole.
    Here,
    /// The relay does not have it yet: it comes with the next exchange of a device that has it.
    NotThere,
    /// The relay gave something else. Nothing of that is kept.
    Altered,
    /// The record has no relay.
    NoRelay,
    /// Not this time: make the call again later. Parts that came stay.
    Later,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// What became of fetching a photo.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PhotoFetch {
    /// How it ended.
    pub how: PhotoFetched,
    /// The same in words.
    pub text: String,
}

impl From<fallaway::sync::PhotoFetched> for PhotoFetch {
    fn from(fetched: fallaway::sync::PhotoFetched) -> Self {
        use fallaway::sync::PhotoFetched as Core;
        let how = match fetched {
            Core::Here => PhotoFetched::Here,
            Core::NotThere => PhotoFetched::NotThere,
            Core::Altered => PhotoFetched::Altered,
            Core::NoRelay => PhotoFetched::NoRelay,
            Core::Later(_) => PhotoFetched::Later,
        };
        Self { how, text: say(&fetched.phrase()) }
    }
}

#[uniffi::export]
impl Instrument {
    /// Adds a photo: the bytes of a JPEG or PNG file of up to 16 MiB. Place, time and camera are taken out of
    /// the file before anything is kept; which side is up stays. The photo is sealed with a key of its own
    /// and goes to the relay with the next exchange. Opens a visit if none is open. `about` is the id of an
    /// entry that it belongs to.
    ///
    /// # Errors
    /// `BadInput` for a file of another kind (ask the platform for a JPEG), one that is broken or too large,
    /// and when the photos of the instrument have 256 MiB; whatever an edit answers.
    #[uniffi::method(default(caption = None, about = None, options = None))]
    pub fn add_photo(
        &self,
        file: Vec<u8>,
        caption: Option<String>,
        about: Option<EntryId>,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        self.voice.is_asked();
        let note = PhotoNote { caption, about: about.map(|id| id.0) };
        Ok(self.inner().add_photo(&file, note, typed(options)?)?.into())
    }

    /// All photos of the instrument, in the order of the history; those that are crossed out too.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn photos(&self) -> Result<Vec<PhotoView>> {
        Ok(self.inner().photos()?.into_iter().map(PhotoView::from).collect())
    }

    /// One photo, by the id of its entry.
    ///
    /// # Errors
    /// `NotFound` for an entry that is not there or is not a photo.
    pub fn photo(&self, entry: EntryId) -> Result<PhotoView> {
        Ok(self.inner().photo(entry.0)?.into())
    }

    /// The file of a photo; `None` while it is not here: show that it is not here yet, and fetch it.
    ///
    /// # Errors
    /// `NotFound` for an entry that is not there or is not a photo; `Refused` if whoever wrote the entry sealed
    /// something else.
    pub fn photo_bytes(&self, entry: EntryId) -> Result<Option<Vec<u8>>> {
        Ok(self.inner().photo_bytes(entry.0)?)
    }

    /// Fetches a photo from the relay, if it is not here.
    ///
    /// # Errors
    /// `NotFound` for an entry that is not there or is not a photo; when the store cannot be written; `Closed`.
    /// That the relay cannot be reached or does not have it is no error.
    pub fn fetch_photo(&self, http: Arc<dyn HttpTransport>, entry: EntryId) -> Result<PhotoFetch> {
        Ok(self.inner().fetch_photo(&Carrier(http), entry.0)?.into())
    }
}

#[cfg(feature = "thumbnails")]
#[uniffi::export]
impl Instrument {
    /// A photo made small: a JPEG file whose longer side has at most so many points (16 to 2048), the right
    /// side up, and that says nothing but the picture; `None` while the photo is not here. It is decoded anew
    /// at each call. The library for phones does not have it: the platform decodes better.
    ///
    /// # Errors
    /// `BadInput` for another number of points, and for a photo that is damaged or says that it has more than
    /// 64 million points, or more than 16,384 at a side, which is asked before it is decoded; as `photo_bytes`.
    pub fn photo_thumbnail(&self, entry: EntryId, longest_side: u32) -> Result<Option<Vec<u8>>> {
        Ok(self.inner().photo_thumbnail(entry.0, longest_side)?)
    }
}
