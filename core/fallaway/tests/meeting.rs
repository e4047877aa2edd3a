//! Devices that meet, over a stream that is cut where it hurts: one history, and nothing for whoever
//! has no part in it.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::people::remarks;
use common::{everything, relief_pass, told, wire, workshop};
use fallaway::meeting::{MeetOptions, MeetReport, MeetingOutcome};
use fallaway::record::Remark;
use fallaway::{
    Error, Instrument, NewInvitation, PhotoNote, PhotoState, Role, Workshop, WriteOptions,
};
use proptest::prelude::*;

const DIGITS: &str = "123 456";

fn options(listens: bool) -> MeetOptions {
    MeetOptions { listens, digits: DIGITS.to_owned(), only: None, invitation: None }
}

fn met(came: &Workshop, listens: &Workshop) -> [MeetReport; 2] {
    let (both, _) = wire::meet((came, options(false)), (listens, options(true)), None);
    both.map(Result::unwrap)
}

fn with_words(invitation: &NewInvitation) -> MeetOptions {
    MeetOptions { invitation: Some(invitation.words.clone()), ..options(false) }
}

fn remark(instrument: &Instrument, text: &str) {
    let remark = Remark { text: text.into(), ..Remark::default() };
    instrument.add_remark(remark, None).unwrap();
}

/// A tech with an instrument of which something is written, and a player who has heard nothing yet.
fn tech_and_player() -> (Workshop, Instrument, Workshop, NewInvitation) {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    remark(&bass, "rattles at the sixth fret");
    bass.add_pass(relief_pass("12"), WriteOptions::default()).unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    (tech, bass, player, invitation)
}

/// The same, and both have met.
fn shared() -> (Workshop, Instrument, Workshop, Instrument) {
    let (tech, bass, player, invitation) = tech_and_player();
    let (both, _) = wire::meet((&player, with_words(&invitation)), (&tech, options(true)), None);
    for report in both {
        assert_eq!(report.unwrap().outcome, MeetingOutcome::UpToDate);
    }
    let theirs = player.instrument_named("walnut bass").unwrap();
    (tech, bass, player, theirs)
}

#[test]
fn twelve_words_and_a_meeting_are_all_that_a_newcomer_needs() {
    for newcomer_listens in [false, true] {
        let (tech, bass, player, invitation) = tech_and_player();
        let words = MeetOptions { listens: newcomer_listens, ..with_words(&invitation) };
        let host = options(!newcomer_listens);
        let (both, said) = if newcomer_listens {
            wire::meet((&tech, host), (&player, words), None)
        } else {
            wire::meet((&player, words), (&tech, host), None)
        };
        for report in both {
            let report = report.unwrap();
            assert_eq!(report.outcome, MeetingOutcome::UpToDate);
            assert_eq!(report.met.len(), 1);
            assert_eq!(report.met[0].name, "walnut bass");
            assert!(["tech", "player"].contains(&report.met[0].other.as_str()));
        }
        let theirs = player.instrument_named("walnut bass").unwrap();
        assert_eq!(told(&theirs), told(&bass));
        assert_eq!(theirs.details().unwrap().people.len(), 2);
        // What was written, and who writes, is nowhere on the wire.
        for word in ["walnut", "rattles", "tech", "player", "sixth"] {
            assert!(!said.windows(word.len()).any(|bytes| bytes == word.as_bytes()), "{word}");
        }
    }
}

#[test]
fn what_both_wrote_apart_is_on_both_afterwards() {
    let (tech, bass, player, theirs) = shared();
    remark(&bass, "new nut");
    remark(&theirs, "hums");
    tech.rename_instrument(bass.id(), "walnut", None).unwrap();
    player.rename_instrument(theirs.id(), "the walnut", None).unwrap();
    let [came, listened] = met(&player, &tech);
    assert_eq!(
        (came.outcome, listened.outcome),
        (MeetingOutcome::UpToDate, MeetingOutcome::UpToDate)
    );
    assert_eq!(came.met[0].other, "tech");
    assert_eq!(listened.met[0].merges[0].added[0].device, "player");
    assert_eq!(told(&theirs), told(&bass));
    assert_eq!(bass.contested().unwrap().len(), 1);
    // A second time there is nothing to say.
    let [again, _] = met(&tech, &player);
    assert_eq!((again.met[0].sent, again.met[0].received), (0, 0));
    assert!(again.bytes < 1_800, "{}", again.bytes);
}

#[test]
fn several_instruments_go_over_in_one_meeting_and_one_if_it_is_asked_for() {
    let (tech, _, player, _) = shared();
    for name in ["ash guitar", "maple bass"] {
        let one = tech.add_instrument("bass-4", name).unwrap();
        let invitation = one.invite(Role::Viewer, 7).unwrap();
        let file = everything(&one);
        player.accept(&invitation.words, &file).unwrap();
    }
    // Somebody else's, of which the player has no part.
    tech.add_instrument("bass-4", "not yours").unwrap();
    let maple = tech.instrument_named("maple bass").unwrap();
    remark(&maple, "buzzes");
    let only = MeetOptions { only: Some(maple.id()), ..options(false) };
    let (both, _) = wire::meet((&tech, only), (&player, options(true)), None);
    let [came, listened] = both.map(Result::unwrap);
    assert_eq!((came.met.len(), listened.met.len()), (1, 1));
    let [came, listened] = met(&player, &tech);
    assert_eq!((came.met.len(), listened.met.len()), (3, 3));
    assert_eq!(came.outcome, MeetingOutcome::UpToDate);
    for name in ["walnut bass", "ash guitar", "maple bass"] {
        let [ours, theirs] = [&tech, &player].map(|one| one.instrument_named(name).unwrap());
        assert_eq!(told(&ours), told(&theirs));
    }
    assert_eq!(player.instruments().unwrap().len(), 3);
}

#[test]
fn other_digits_and_strangers_get_nothing() {
    let (tech, bass, player, _) = shared();
    remark(&bass, "secret");
    let before = told(&player.instrument_named("walnut bass").unwrap());
    let other = MeetOptions { digits: "654321".into(), ..options(false) };
    let (both, _) = wire::meet((&player, other), (&tech, options(true)), None);
    for report in both {
        let report = report.unwrap();
        assert_eq!((report.outcome, report.met.len()), (MeetingOutcome::Apart, 0));
    }
    assert_eq!(told(&player.instrument_named("walnut bass").unwrap()), before);
    let stranger = workshop("stranger", 9);
    stranger.add_instrument("bass-4", "walnut bass").unwrap();
    for report in met(&stranger, &tech) {
        assert_eq!((report.outcome, report.met.len()), (MeetingOutcome::Apart, 0));
    }
    let none = MeetOptions { digits: "12345".into(), ..options(false) };
    let (both, _) = wire::meet((&player, none), (&tech, options(true)), None);
    assert!(matches!(&both[0], Err(Error::BadInput { .. })));
}

#[test]
fn whoever_was_removed_learns_that_and_nothing_else() {
    for removed_listens in [false, true] {
        let (tech, bass, player, theirs) = shared();
        let fingerprint = player.device().unwrap().fingerprint;
        bass.remove_member(&fingerprint, false, None).unwrap();
        remark(&bass, "after the removal");
        remark(&theirs, "written without knowing");
        let [one, other] = if removed_listens { met(&tech, &player) } else { met(&player, &tech) };
        let (removed, owner) = if removed_listens { (other, one) } else { (one, other) };
        assert_eq!(removed.met[0].outcome, MeetingOutcome::Removed);
        assert_eq!(owner.met[0].outcome, MeetingOutcome::PeerRemoved);
        assert!(!remarks(&theirs).iter().any(|said| said.contains("after")));
        assert!(theirs.details().unwrap().people.iter().all(|one| one.label != "player"));
        // It may write no more, and knows.
        let remark = Remark { text: "more".into(), ..Remark::default() };
        assert!(matches!(theirs.add_remark(remark, None), Err(Error::NotAllowed { .. })));
    }
}

#[test]
fn whoever_was_removed_and_is_invited_again_comes_in_by_words() {
    let (tech, bass, player, theirs) = shared();
    let fingerprint = player.device().unwrap().fingerprint;
    bass.remove_member(&fingerprint, false, None).unwrap();
    met(&player, &tech);
    remark(&bass, "meanwhile");
    player.remove_from_this_device(theirs.id()).unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let (both, _) = wire::meet((&player, with_words(&invitation)), (&tech, options(true)), None);
    for report in both {
        assert_eq!(report.unwrap().outcome, MeetingOutcome::UpToDate);
    }
    let theirs = player.instrument_named("walnut bass").unwrap();
    assert_eq!(told(&theirs), told(&bass));
}

#[test]
fn who_was_away_while_the_key_changed_comes_back_by_a_meeting() {
    let (tech, bass, player, theirs) = shared();
    let third = workshop("third", 3);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let (both, _) = wire::meet((&third, with_words(&invitation)), (&tech, options(true)), None);
    assert!(both.iter().all(Result::is_ok));
    let fingerprint = third.device().unwrap().fingerprint;
    bass.remove_member(&fingerprint, false, None).unwrap();
    remark(&bass, "under a new key");
    remark(&theirs, "meanwhile");
    met(&player, &tech);
    assert_eq!(told(&theirs), told(&bass));
    assert_eq!(remarks(&theirs).len(), 3);
    // And the one who was removed is refused by whoever heard of it last.
    let [came, _] = met(&third, &player);
    assert_eq!(came.met[0].outcome, MeetingOutcome::Removed);
}

#[test]
fn two_that_know_of_each_other_by_nothing_are_told_by_what_they_belong() {
    // Both were let in by the tech; neither has heard of the other.
    let (tech, bass, player, theirs) = shared();
    let third = workshop("third", 3);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let (both, _) = wire::meet((&third, with_words(&invitation)), (&tech, options(true)), None);
    assert!(both.iter().all(Result::is_ok));
    let other = third.instrument_named("walnut bass").unwrap();
    remark(&other, "of the third");
    remark(&theirs, "of the player");
    for report in met(&player, &third) {
        assert_eq!(report.outcome, MeetingOutcome::UpToDate);
    }
    assert_eq!(told(&theirs), told(&other));
    assert_eq!(remarks(&theirs).len(), 3);
}

/// The whole length of a meeting in which a newcomer joins, so that cuts can be drawn within it.
fn length_of_joining() -> usize {
    let (tech, _, player, invitation) = tech_and_player();
    wire::meet((&player, with_words(&invitation)), (&tech, options(true)), None).1.len()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// Cut at any byte, twice; the third time both have the same, though both have gone on writing.
    #[test]
    fn a_meeting_that_is_cut_is_made_good_by_the_next(cuts in prop::array::uniform2(0.0..1.0_f64)) {
        let whole = length_of_joining() as f64;
        let (tech, bass, player, invitation) = tech_and_player();
        for cut in cuts {
            let cut = Some((whole * cut) as usize);
            let (both, _) =
                wire::meet((&player, with_words(&invitation)), (&tech, options(true)), cut);
            prop_assert!(both.iter().all(Result::is_ok), "{both:?}");
            remark(&bass, "at the bench");
            if let Some(theirs) = player.instruments().unwrap().first() {
                let theirs = player.instrument(theirs.id).unwrap();
                let said = Remark { text: "on stage".into(), ..Remark::default() };
                let _ = theirs.add_remark(said, None);
            }
        }
        let (both, _) = wire::meet((&player, with_words(&invitation)), (&tech, options(true)), None);
        for report in both {
            prop_assert_eq!(report.unwrap().outcome, MeetingOutcome::UpToDate);
        }
        let theirs = player.instrument_named("walnut bass").unwrap();
        prop_assert_eq!(told(&theirs), told(&bass));
        prop_assert_eq!(bass.details().unwrap().people.len(), 2);
    }
}

/// A PNG whose one data chunk holds so many bytes. Nobody decodes it here.
fn picture(bytes: usize) -> Vec<u8> {
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let data = vec![7; bytes];
    for (name, data) in [(b"IHDR", &[0; 13][..]), (b"IDAT", &data), (b"IEND", &[])] {
        file.extend((data.len() as u32).to_be_bytes());
        file.extend(name);
        file.extend(data);
        file.extend([0; 4]);
    }
    file
}

const PICTURE: usize = 2_500_000;

#[test]
fn photos_go_over_after_the_lines_and_none_twice() {
    let (tech, bass, player, theirs) = shared();
    let file = picture(PICTURE);
    let note = PhotoNote { caption: Some("nut slot, before".to_owned()), about: None };
    let id = bass.add_photo(&file, note, None).unwrap();
    let [came, listened] = met(&player, &tech);
    assert_eq!(
        (came.outcome, listened.outcome),
        (MeetingOutcome::UpToDate, MeetingOutcome::UpToDate)
    );
    assert_eq!((came.met[0].photos_sent, came.met[0].photos_received), (0, 1));
    assert_eq!((listened.met[0].photos_sent, listened.met[0].photos_received), (1, 0));
    assert_eq!(theirs.photo_bytes(id).unwrap().as_ref(), Some(&file));
    assert!(came.bytes > PICTURE as u64 && came.bytes < PICTURE as u64 + 20_000);
    // Who has it gives it, whoever listens; who has it is not given it again.
    let [came, _] = met(&tech, &player);
    assert_eq!((came.met[0].photos_sent, came.bytes < 2_000), (0, true));
    // What is crossed out is not asked for.
    bass.retract(id, "the wrong instrument", None).unwrap();
    let note = PhotoNote { caption: None, about: None };
    let other = theirs.add_photo(&picture(1_000), note, None).unwrap();
    let [came, listened] = met(&tech, &player);
    assert_eq!((came.met[0].photos_received, listened.met[0].photos_received), (1, 0));
    assert_eq!(bass.photo(other).unwrap().state, PhotoState::Here);
}

#[test]
fn a_meeting_that_is_cut_at_any_byte_of_a_photo_goes_on_with_the_parts_that_are_lacking() {
    let (tech, bass, player, theirs) = shared();
    let file = picture(PICTURE);
    let note = PhotoNote { caption: None, about: None };
    let id = bass.add_photo(&file, note, None).unwrap();
    let cut_at = |cut| {
        let _ = wire::meet((&player, options(false)), (&tech, options(true)), Some(cut));
        theirs.photo(id).ok().map(|photo| photo.state)
    };
    let mut cut = 0;
    while cut < 1_200_000 {
        assert_ne!(cut_at(cut), Some(PhotoState::Here), "{cut}");
        cut = (cut + 1) * 3;
    }
    // One part of three has come by now, and is not sent again.
    assert_ne!(cut_at(1_060_000), Some(PhotoState::Here));
    let [came, _] = met(&player, &tech);
    assert_eq!((came.met[0].photos_received, came.bytes < 1_600_000), (1, true), "{}", came.bytes);
    assert_eq!(theirs.photo_bytes(id).unwrap().as_ref(), Some(&file));
}

#[test]
fn what_each_device_has_is_known_by_what_it_wrote_and_by_meetings() {
    let (tech, bass, player, theirs) = shared();
    let seen = |by: &Instrument, of: &Workshop| {
        let fingerprint = of.device().unwrap().fingerprint;
        let mut all = by.device_states().unwrap().into_iter();
        let one = all.find(|one| one.fingerprint == fingerprint).unwrap();
        (one.not_known, one.has_until.is_some(), one.last_heard.is_some())
    };
    assert_eq!(seen(&bass, &tech), (0, true, true), "one's own");
    assert_eq!(seen(&bass, &player), (0, true, true), "they have met");
    remark(&bass, "slot filed");
    let file = bass.bundle_out().unwrap().file;
    assert_eq!(seen(&bass, &player), (1, true, true), "nothing tells that it has this");
    // It takes it from a file, and nobody learns of that until it writes.
    player.bundle_in(&file).unwrap();
    assert_eq!(seen(&bass, &player), (1, true, true));
    remark(&theirs, "plays well");
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(seen(&bass, &player), (0, true, true));
    assert_eq!(seen(&theirs, &tech), (1, true, true), "its own remark");
    met(&player, &tech);
    assert_eq!(seen(&theirs, &tech), (0, true, true));
}

/// Nobody told the sender that it had arrived: that both met is enough.
#[test]
fn after_a_meeting_nothing_is_unsent_on_either_side() {
    let (tech, bass, player, theirs) = shared();
    // What let the newcomer in was written when it had come.
    met(&player, &tech);
    remark(&bass, "slot filed");
    remark(&theirs, "plays well");
    assert_eq!((bass.unsent(), bass.lacking()), (Ok(1), Ok(1)));
    met(&player, &tech);
    for of in [&bass, &theirs] {
        assert_eq!((of.unsent(), of.lacking()), (Ok(0), Ok(0)));
        assert_eq!((of.bundle_unsent(), of.bundle_lacking()), (Ok(None), Ok(None)));
    }
    remark(&theirs, "and another word");
    assert_eq!((theirs.unsent(), theirs.lacking()), (Ok(1), Ok(1)));
    assert_eq!(bass.lacking(), Ok(0));
}
