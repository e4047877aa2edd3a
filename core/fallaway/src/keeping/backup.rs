//! Everything that a device keeps, in one file.

use std::path::Path;

use fallaway_store::{Garbage, Options, SqliteStore};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result, field};
use crate::workshop::Workshop;

impl Workshop {
    /// Writes everything that the folder of a workshop keeps to one file: records, drafts, preferences,
    /// what the shop keeps for itself. The workshop may be open meanwhile, here or elsewhere. The device's
    /// secrets are not in it: where they are lost too, each record's recovery words let a new device in
    /// ([`Workshop::recover`]). The file is not sealed. One that is there is replaced.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a folder without a workshop; when the store cannot be read or the file cannot
    /// be written.
    pub fn back_up(folder: &Path, file: &Path) -> Result<()> {
        if !SqliteStore::is_in(folder) {
            let other = Accepted::nothing(NothingAccepted::OtherFile).said(say::store_folder());
            return Err(Error::bad_input(field("folder"), say::no_store(), other));
        }
        let options = Options { garbage: Garbage::Refuse, ..Options::default() };
        Ok(SqliteStore::open_with(folder, options)?.copy_to(file)?)
    }

    /// Makes the workshop of a folder that has none out of such a file. Opened with the secrets of its
    /// device, it goes on under a new name of its own where others may have seen more than the file holds.
    ///
    /// # Errors
    /// [`Error::BadInput`] if there is a workshop in the folder; [`Error::Storage`] for a file that
    /// [`Workshop::back_up`] did not write, and when files cannot be read or written.
    pub fn restore(file: &Path, folder: &Path) -> Result<()> {
        if SqliteStore::is_in(folder) {
            let other = Accepted::nothing(NothingAccepted::OtherFile).said(say::store_empty());
            return Err(Error::bad_input(field("folder"), say::store_there(), other));
        }
        Ok(SqliteStore::put_back(file, folder)?)
    }
}
