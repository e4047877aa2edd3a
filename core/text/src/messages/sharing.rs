//! What is said when devices meet, and what a device tells by itself: `sharing.ftl`.

use crate::{List, Phrase, Word};

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

    /// What was done about people.
    people_founded(who: Phrase);
    people_added(who: Phrase, whom: &str, role: Word);
    people_invited(who: Phrase, own_device: bool, role: Word);
    people_withdrew(who: Phrase);
    people_joined(who: Phrase, role: Word, invited_by: Phrase);
    people_gave_role(who: Phrase, whom: &str, role: Word);
    people_removed(who: Phrase, whom: List);
    people_removed_since(who: Phrase, whom: List, reason: &str);
    people_left(who: Phrase);
    people_took_in(who: Phrase);
    people_renewed_words(who: Phrase);
    /// Whoever had the recovery words.
    people_by_words();
    people_device_of(device: &str, person: &str);

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
