//! A file of sealed bundles, for any carrier that moves files.
//!
//! Magic, version, count; each bundle behind its length; BLAKE3 of everything before. The checksum
//! only tells damage early and plainly: what is inside is authenticated by its seals.

use crate::limits::MAX_BUNDLE_BYTES;
use crate::seal::PAD;

/// The first byte is no text, and the line ends show whether somebody "converted" the file.
const MAGIC: [u8; 8] = *b"\xfaFWB\r\n\x1a\n";
const VERSION: u8 = 1;
const CHECKSUM: usize = 32;

/// Why a bundle file is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// It does not begin like one.
    #[error("not a bundle file")]
    NotABundleFile,
    /// A form of a newer version.
    #[error("a bundle file of format {0}, written by a newer version; this one reads format 1")]
    Newer(u8),
    /// It ends too early.
    #[error("the bundle file is cut short after {0} bytes")]
    Truncated(usize),
    /// Bytes follow the end.
    #[error("{0} bytes follow the end of the bundle file")]
    Trailing(usize),
    /// A bundle of an impossible size.
    #[error(
        "bundle {place} has {bytes} bytes; {PAD} to {MAX_BUNDLE_BYTES} in steps of {PAD} are accepted"
    )]
    BundleSize {
        /// Its place in the file, from 0.
        place: usize,
        /// How many bytes it has.
        bytes: usize,
    },
    /// More bundles than a file can count.
    #[error("more than {} bundles", u32::MAX)]
    Count,
    /// The checksum is not that of the content.
    #[error("the bundle file was damaged: its checksum differs")]
    Damaged,
}

/// Writes a bundle file.
///
/// # Errors
/// [`FileError::BundleSize`], [`FileError::Count`].
pub fn write<T: AsRef<[u8]>>(bundles: &[T]) -> Result<Vec<u8>, FileError> {
    let mut out = Vec::new();
    out.extend(MAGIC);
    out.push(VERSION);
    out.extend(u32::try_from(bundles.len()).map_err(|_| FileError::Count)?.to_be_bytes());
    for (place, bundle) in bundles.iter().enumerate() {
        let bundle = bundle.as_ref();
        out.extend(size(place, bundle.len())?.to_be_bytes());
        out.extend(bundle);
    }
    out.extend(blake3::hash(&out).as_bytes());
    Ok(out)
}

fn size(place: usize, bytes: usize) -> Result<u32, FileError> {
    match u32::try_from(bytes) {
        // So no file has more bundles than it can have sealed ones: each that is refused is told.
        Ok(size) if bytes > 0 && bytes <= MAX_BUNDLE_BYTES && bytes.is_multiple_of(PAD) => Ok(size),
        _ => Err(FileError::BundleSize { place, bytes }),
    }
}

/// The sealed bundles of a file, unopened.
///
/// # Errors
/// [`FileError`].
pub fn read(bytes: &[u8]) -> Result<Vec<&[u8]>, FileError> {
    let truncated = FileError::Truncated(bytes.len());
    let shown = bytes.len().min(MAGIC.len());
    if bytes.is_empty() || bytes.get(..shown) != MAGIC.get(..shown) {
        return Err(FileError::NotABundleFile);
    }
    let mut rest = bytes.get(MAGIC.len()..).unwrap_or_default();
    match rest.split_first() {
        None => return Err(truncated),
        Some((&VERSION, after)) => rest = after,
        Some((0, _)) => return Err(FileError::NotABundleFile),
        Some((newer, _)) => return Err(FileError::Newer(*newer)),
    }
    let count = number(&mut rest).ok_or(truncated.clone())?;
    // Grows with the bytes that are there, not with the count.
    let mut bundles = Vec::new();
    for place in 0..count {
        let length = number(&mut rest).ok_or(truncated.clone())?;
        size(place, length)?;
        let (bundle, after) = rest.split_at_checked(length).ok_or(truncated.clone())?;
        bundles.push(bundle);
        rest = after;
    }
    let (checksum, after) = rest.split_first_chunk::<CHECKSUM>().ok_or(truncated)?;
    if !after.is_empty() {
        return Err(FileError::Trailing(after.len()));
    }
    let content = bytes.get(..bytes.len() - CHECKSUM).unwrap_or_default();
    if blake3::hash(content) == *checksum { Ok(bundles) } else { Err(FileError::Damaged) }
}

fn number(rest: &mut &[u8]) -> Option<usize> {
    let (number, after) = rest.split_first_chunk()?;
    *rest = after;
    usize::try_from(u32::from_be_bytes(*number)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn bundles(most: usize) -> impl Strategy<Value = Vec<Vec<u8>>> {
        vec((1..4_usize, any::<u8>()).prop_map(|(steps, byte)| vec![byte; steps * PAD]), 0..most)
    }

    #[test]
    fn an_empty_file_has_no_bundles() {
        let file = write::<Vec<u8>>(&[]).unwrap();
        assert_eq!(read(&file), Ok(Vec::new()));
    }

    #[test]
    fn refusals_are_told_apart() {
        let file = write(&[vec![1; 512], vec![2; 256]]).unwrap();
        assert_eq!(read(b"hello"), Err(FileError::NotABundleFile));
        assert_eq!(read(&[]), Err(FileError::NotABundleFile));
        let mut newer = file.clone();
        newer[8] = 2;
        assert_eq!(read(&newer), Err(FileError::Newer(2)));
        assert_eq!(read(&file[..100]), Err(FileError::Truncated(100)));
        assert_eq!(read(&[&file[..], &[0]].concat()), Err(FileError::Trailing(1)));
        let mut damaged = file.clone();
        damaged[50] ^= 1;
        assert_eq!(read(&damaged), Err(FileError::Damaged));
        let mut huge = file;
        huge[13] = 0xff;
        let bytes = 0xff00_0200;
        assert_eq!(read(&huge), Err(FileError::BundleSize { place: 0, bytes }));
        for bytes in [0, 1, 257] {
            assert_eq!(write(&[vec![0; bytes]]), Err(FileError::BundleSize { place: 0, bytes }));
        }
    }

    proptest! {
        #[test]
        fn files_round_trip(bundles in bundles(8)) {
            let file = write(&bundles).unwrap();
            let read: Vec<Vec<u8>> = read(&file).unwrap().iter().map(|b| b.to_vec()).collect();
            prop_assert_eq!(read, bundles);
        }

        #[test]
        fn a_flipped_or_shortened_file_is_refused(
            bundles in bundles(4),
            place: prop::sample::Index,
            bit in 0..8,
        ) {
            let file = write(&bundles).unwrap();
            let place = place.index(file.len());
            prop_assert!(read(&file[..place]).is_err());
            let mut flipped = file;
            flipped[place] ^= 1_u8 << bit;
            prop_assert!(read(&flipped).is_err());
        }

        #[test]
        fn any_bytes_are_read_or_refused(mut bytes in vec(any::<u8>(), 0..100), plausible: bool) {
            if plausible {
                bytes.splice(0..0, [&MAGIC[..], &[VERSION]].concat());
            }
            let _ = read(&bytes);
        }
    }
}
