//! Whatever is written takes when it happened and who did it, also where nobody writes it into the history:
//! facts, names, setups, choices, roles.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{everything, relief, relief_target, workshop};
use fallaway::measure::Tool;
use fallaway::record::{Moment, SpecField, Target};
use fallaway::{Error, FactWritten, Instrument, Role, WriteOptions};

fn then(days: i64) -> Moment {
    Moment { unix_s: 1_770_000_000 + days * 86_400, offset_min: 60 }
}

fn of(bass: &Instrument, key: &str) -> FactWritten {
    bass.facts_written().unwrap().into_iter().find(|one| one.key == key).unwrap()
}

fn said(bass: &Instrument, key: &str) -> (Moment, Option<String>) {
    let written = of(bass, key);
    (written.at, written.by)
}

#[test]
fn a_fact_has_the_time_and_the_person_that_were_said_and_undo_gives_them_back() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let owner = |days| WriteOptions::sure().by("owner").at(then(days));
    bass.set_spec(&SpecField::About("bought used".to_owned()), owner(1)).unwrap();
    assert_eq!(said(&bass, "about"), (then(1), Some("owner".to_owned())));
    assert_eq!(of(&bass, "about").device, "tech");
    bass.set_spec(&SpecField::About("refretted".to_owned()), owner(2)).unwrap();
    // What nobody says is as ever: now, and whoever is at the device, however it is written.
    bass.set_spec(&SpecField::About("as new".to_owned()), Some("tech")).unwrap();
    let (at, by) = said(&bass, "about");
    assert_eq!((at > then(2), by), (true, None));
    bass.undo("a slip", None).unwrap();
    assert_eq!(said(&bass, "about"), (then(2), Some("owner".to_owned())));
    // The same when others have it already.
    bass.bundle_out().unwrap();
    bass.undo("a slip", None).unwrap();
    assert_eq!(said(&bass, "about"), (then(1), Some("owner".to_owned())));
    bass.redo(None).unwrap();
    assert_eq!(said(&bass, "about"), (then(2), Some("owner".to_owned())));
    let lines = bass.undoable().unwrap().unwrap();
    assert_eq!(lines.len(), 1, "one fact, one line");
    tech.rename_instrument(bass.id(), "walnut", owner(3)).unwrap();
    assert_eq!(said(&bass, "name"), (then(3), Some("owner".to_owned())));
}

#[test]
fn two_values_and_what_was_chosen_say_when_and_who() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&everything(&bass)).unwrap();
    let about = |text: &str| SpecField::About(text.to_owned());
    bass.set_spec(&about("of ash"), WriteOptions::sure().by("owner").at(then(1))).unwrap();
    theirs.set_spec(&about("of alder"), WriteOptions::sure().at(then(2))).unwrap();
    player.bundle_in(&everything(&bass)).unwrap();
    tech.bundle_in(&everything(&theirs)).unwrap();
    for here in [&bass, &theirs] {
        let contested = here.contested().unwrap();
        assert_eq!(contested.len(), 1, "what is said of values is not to be settled");
        let mut said: Vec<_> =
            contested[0].versions.iter().map(|one| (one.at, one.by.as_deref())).collect();
        said.sort();
        assert_eq!(said, [(then(1), Some("owner")), (then(2), None)]);
    }
    let shown = bass.contested().unwrap();
    bass.settle(&shown[0], 0, WriteOptions::sure().by("owner").at(then(5))).unwrap();
    player.bundle_in(&everything(&bass)).unwrap();
    for here in [&bass, &theirs] {
        assert_eq!(said(here, "about"), (then(5), Some("owner".to_owned())));
        assert_eq!(here.contested().unwrap(), []);
    }
    // Nobody speaks as another device: whose word it is stands beside it.
    theirs.set_spec(&about("of maple"), WriteOptions::sure().by("Tech").at(then(6))).unwrap();
    tech.bundle_in(&everything(&theirs)).unwrap();
    for here in [&bass, &theirs] {
        assert_eq!(said(here, "about"), (then(6), Some("Tech (player)".to_owned())));
    }
}

/// From 1900 to tomorrow, whatever is written.
#[test]
fn a_time_at_which_nothing_can_have_happened_is_refused_by_every_write() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    tech.bundle_in(&everything(&theirs)).unwrap();
    let of_player = player.device().unwrap().fingerprint;
    let stage = bass.add_setup("stage", None).unwrap().id;
    let open = bass.invite(Role::Viewer, 7).unwrap().id;
    let words = bass.recovery_words().unwrap().unwrap();
    let passed = bass.add_pass_text(relief(), "12", Tool::FEELER_THOU).unwrap();
    bass.bundle_out().unwrap();
    bass.retract(passed, "a slip", None).unwrap();
    for at in [-2_208_988_801, bass.now().unix_s + 2 * 86_400] {
        let at = Moment { unix_s: at, offset_min: 0 };
        let when = || WriteOptions::sure().at(at);
        let all = [
            bass.set_spec(&SpecField::Pickups(2), when()),
            bass.unset_spec("pickups", when()),
            bass.add_setup("club", when()).map(drop),
            bass.rename_setup(&stage, "club", when()),
            bass.delete_setup(&stage, when()),
            bass.set_target(&stage, &Target { at, ..relief_target(30) }, None),
            tech.rename_instrument(bass.id(), "other", when()),
            bass.set_role_at(&of_player, Role::Viewer, Some(at)),
            bass.remove_member_at(&of_player, false, None, Some(at)),
            bass.remove_with_words_at(&words, std::slice::from_ref(&of_player), None, Some(at)),
            bass.withdraw_at(&open, Some(at)),
            theirs.leave_at(Some(at)),
            bass.bring_back_as(passed, when()).map(drop),
        ];
        for (number, refused) in all.into_iter().enumerate() {
            let is_time = matches!(&refused, Err(Error::BadInput { field, .. })
                if field.to_string() == "time");
            assert!(is_time, "{number}: {refused:?}");
        }
    }
    assert_eq!(bass.setups().unwrap().len(), 1);
    bass.set_role_at(&of_player, Role::Viewer, Some(then(1))).unwrap();
}
