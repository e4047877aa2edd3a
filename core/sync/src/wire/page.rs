//! A page: a bundle file, in a request or an answer. A relay looks at the form of what it carries
//! and at nothing else.

use fallaway_changes::BundleId;
use fallaway_sharing::bundle_file::{self, FileError};
use fallaway_sharing::{OpenError, bundle_id, header};

use super::limits::MAX_PAGE_BUNDLES;

/// Why a page is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PageError {
    /// It is no sound bundle file.
    #[error(transparent)]
    File(#[from] FileError),
    /// One of its bundles is none.
    #[error("bundle {place} of the page is none: {why}")]
    Bundle {
        /// Its place, from 0.
        place: usize,
        /// What is wrong with it.
        why: OpenError,
    },
    /// More bundles than a page holds.
    #[error("{0} bundles; a page holds {MAX_PAGE_BUNDLES} at most")]
    TooMany(usize),
}

/// The bundles of a page with their ids, unopened.
///
/// # Errors
/// [`PageError`].
pub fn read(bytes: &[u8]) -> Result<Vec<(BundleId, &[u8])>, PageError> {
    let bundles = bundle_file::read(bytes)?;
    if bundles.len() > MAX_PAGE_BUNDLES {
        return Err(PageError::TooMany(bundles.len()));
    }
    let with_id = |(place, sealed)| match header(sealed) {
        Ok(_) => Ok((bundle_id(sealed), sealed)),
        Err(why) => Err(PageError::Bundle { place, why }),
    };
    bundles.into_iter().enumerate().map(with_id).collect()
}

/// Writes a page.
///
/// # Errors
/// [`PageError`] for more than a page holds.
pub fn write<T: AsRef<[u8]>>(bundles: &[T]) -> Result<Vec<u8>, PageError> {
    if bundles.len() > MAX_PAGE_BUNDLES {
        return Err(PageError::TooMany(bundles.len()));
    }
    Ok(bundle_file::write(bundles)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_a_file_of_few_sound_bundles() {
        let mut sealed = vec![0; 512];
        sealed[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
        let page = write(&[&sealed]).unwrap();
        assert_eq!(read(&page), Ok(vec![(bundle_id(&sealed), sealed.as_slice())]));
        assert_eq!(write(&vec![&sealed; 65]), Err(PageError::TooMany(65)));
        let many = bundle_file::write(&vec![&sealed; 65]).unwrap();
        assert_eq!(read(&many), Err(PageError::TooMany(65)));
        let other = bundle_file::write(&[vec![0; 512]]).unwrap();
        let why = OpenError::NotABundle;
        assert_eq!(read(&other), Err(PageError::Bundle { place: 0, why }));
        assert!(matches!(read(b"x"), Err(PageError::File(_))));
    }
}
