//! What is said when devices meet, and what a device tells by itself: `sharing.ftl`.

use crate::{Phrase, Word};

crate::messages! { crate::CATALOGUE, "sharing";
    /// Why a change is not applied.
    aside(why: Word);
    not_kept(count: usize, most: usize);
    stranger(device: String);
    /// What a device is known to have.
    has_all();
    has_until(until: Phrase, not_known: usize);
    has_unknown();
    /// An invitation was used a second time.
    second_use(who: &str, fingerprint: &str, used_by: &str);
    not_let_in(used_by: &str, invited_by: &str);
    newer_kind(kind: u64);
    needs_version(version: u32);
    version_asked(version: u32, who: Phrase);

    notice_newer(found: u32, supported: u32);
    notice_damage(part: Phrase, name: &str);
    damaged_part(part: Word);
    notice_keys_gone();
    notice_other_keys();
    notice_keys_damaged();
    notice_records_gone();
    notice_restored();
    notice_new_writer();
    notice_copied();
    secret(name: Word, reason: Phrase);
    secret_size(found: usize, expected: usize);
}
