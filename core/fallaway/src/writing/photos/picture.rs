//! What of a picture goes into a record: what is needed to show it, and nothing that says where it was taken,
//! when, by whose device, or what else lay in its file.
//!
//! Of a JPEG (ITU-T T.81, JFIF: ITU-T T.871) stay the frames, the tables, the colour profile (ICC.1, annex B.4)
//! and which side is up (Exif 2.32, tag 274), written anew; of a PNG (third edition, W3C) the picture and its
//! colours. Whatever follows the end goes too: phones hang second pictures and films there.

use super::{jpeg, png};

/// A picture whose file says nothing but the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Picture {
    /// Its media type (RFC 6838).
    pub(super) media_type: &'static str,
    /// Its file.
    pub(super) bytes: Vec<u8>,
}

/// Why a file is no picture that can be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoPicture {
    /// Neither JPEG nor PNG.
    OtherKind,
    /// It breaks off, or is not in form.
    Broken,
}

/// Reads a file by what it begins with, whatever its name says.
pub(super) fn clean(file: &[u8]) -> Result<Picture, NoPicture> {
    let (media_type, bytes) = if file.starts_with(&jpeg::BEGIN) {
        ("image/jpeg", jpeg::clean(file))
    } else if file.starts_with(&png::BEGIN) {
        ("image/png", png::clean(file))
    } else {
        return Err(NoPicture::OtherKind);
    };
    bytes.map(|bytes| Picture { media_type, bytes }).ok_or(NoPicture::Broken)
}
