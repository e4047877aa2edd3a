//! The recovery words of a record: shown until they are written down, used when devices are lost.

use fallaway_record::Moment;
use fallaway_sharing::{Action, DeviceKeys, MemberOp, words_of};
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::keeping::environment::Kept;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::{draw, forget_words, kept_as, recovery_keys};
use crate::likely::likely;
use crate::sharing::people::removal_of;

impl Instrument {
    /// The recovery words of the record, as long as nobody has said on this device that they are written
    /// down; `None` from then on, and on every device but that which drew them. With them and a bundle
    /// file a new device becomes an owner when all others are lost. Whoever has them is above every
    /// owner: they belong on paper.
    ///
    /// # Errors
    /// [`Error::Keys`] when the keeper is locked or lost them.
    pub fn recovery_words(&self) -> Result<Option<String>> {
        drop(self.inner.session()?);
        match self.inner.keeper.get(&kept_as(&self.id)) {
            Kept::Found(secret) => {
                let secret: Option<[u8; 16]> = secret.as_slice().try_into().ok();
                Ok(secret.map(|secret| words_of(&secret).to_string()))
            }
            Kept::Absent => Ok(None),
            Kept::Locked => Err(Error::keys(say::locked())),
            Kept::Lost(reason) => Err(Error::keys(say::lost(reason.into()))),
            Kept::Failed(reason) => Err(Error::keys(reason)),
        }
    }

    /// The words are written down: from now on this device has them no more.
    ///
    /// # Errors
    /// [`Error::Keys`] when the keeper cannot be written.
    pub fn recovery_words_written_down(&self) -> Result<()> {
        drop(self.inner.session()?);
        forget_words(self.inner.keeper.as_ref(), &self.id)
    }

    /// Removes devices, by their fingerprints, with the recovery words: owners too, whoever was there
    /// first.
    ///
    /// # Errors
    /// As [`Instrument::remove_member`], and [`Error::Refused`] for words that are none, or in whose
    /// place others have come.
    pub fn remove_with_words(
        &self,
        words: &str,
        fingerprints: &[String],
        reason: Option<&str>,
    ) -> Result<()> {
        self.remove_with_words_at(words, fingerprints, reason, None)
    }

    /// The same of another time than now: when it was agreed, as [`Instrument::set_role_at`] has it.
    ///
    /// # Errors
    /// As [`Instrument::remove_with_words`], and [`Error::BadInput`] for a time before 1900 or after
    /// tomorrow.
    pub fn remove_with_words_at(
        &self,
        words: &str,
        fingerprints: &[String],
        reason: Option<&str>,
        at: Option<Moment>,
    ) -> Result<()> {
        likely(at, self.now())?;
        let keys = recovery_keys(words)?;
        self.write_with_words(&keys, |own, loaded, now| {
            let by = (&keys, own.device());
            Ok((removal_of(loaded, by, fingerprints, false, reason, (now, at))?, ()))
        })
    }

    /// Draws new recovery words in the place of the old ones, which are worth nothing from then on. The
    /// new ones stay in [`Instrument::recovery_words`] until they are written down.
    ///
    /// # Errors
    /// [`Error::Refused`] for words that are none, or in whose place others have come; [`Error::Keys`];
    /// when the store cannot be written.
    pub fn renew_recovery_words(&self, words: &str) -> Result<String> {
        let keys = recovery_keys(words)?;
        let secret = draw::<16>(self.inner.random.as_ref())?;
        let next = DeviceKeys::recovery(&secret).as_recovery();
        // Before anybody hears of them.
        self.inner.keeper.put(&kept_as(&self.id), &secret).map_err(Error::keys)?;
        self.write_with_words(&keys, |_, loaded, now| {
            let action = Action::HandRecovery { next };
            let op = MemberOp::sign(&keys, loaded.id, &loaded.members.heads(), now, action);
            Ok((op.map_err(|e| Error::internal("recovery words", e))?, ()))
        })?;
        Ok(words_of(&secret).to_string())
    }

    /// Stores an operation that the recovery key signs; `make` is given this device's own keys.
    pub(crate) fn write_with_words<T>(
        &self,
        words: &DeviceKeys,
        make: impl Fn(&DeviceKeys, &LoadedRecord, i64) -> Result<(MemberOp, T)>,
    ) -> Result<T> {
        self.write_op(|own, loaded, now| match loaded.members.recovery() {
            Some(known) if known == words.as_recovery() => make(own, loaded, now),
            Some(_) => Err(Error::refused(say::words_replaced())),
            None => Err(Error::refused(say::people_missing())),
        })
    }
}
