//! What is unsent stays so until somebody says that it arrived; series and searches of the history.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{action, everything, relief, workshop};
use fallaway::measure::{Location, StringPlace, Tool};
use fallaway::record::{Moment, Remark};
use fallaway::{Error, HistoryFilter, Instrument, PassOptions, Role, WriteOptions};

fn remark(bass: &Instrument, text: &str, by: Option<&str>) {
    bass.add_remark(Remark { text: text.to_owned(), ..Remark::default() }, by).unwrap();
}

#[test]
fn a_cancelled_share_loses_nothing_and_nothing_new_is_an_answer() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let shared = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&everything(&bass)).unwrap();
    assert_eq!(bass.unsent(), Ok(0));
    assert_eq!(bass.bundle_unsent(), Ok(None));

    remark(&bass, "one", None);
    assert_eq!(bass.unsent(), Ok(1));
    let thrown_away = bass.bundle_unsent().unwrap().unwrap();
    remark(&bass, "two", None);
    let sent = bass.bundle_unsent().unwrap().unwrap();
    let report = player.bundle_in(&sent.file).unwrap();
    assert_eq!(report.waiting, 0);
    assert_eq!(shared.history(&HistoryFilter::default()).unwrap().len(), 2);
    remark(&bass, "three", None);
    assert_eq!(bass.delivered(&thrown_away.token), Ok(2));
    assert_eq!(bass.delivered(&sent.token), Ok(1));
    assert_eq!(bass.delivered(&sent.token), Ok(1));
    assert!(matches!(bass.delivered("no token!"), Err(Error::BadInput { .. })));
    let last = bass.bundle_unsent().unwrap().unwrap();
    player.bundle_in(&last.file).unwrap();
    assert_eq!(bass.delivered(&last.token), Ok(0));
    assert_eq!(shared.history(&HistoryFilter::default()).unwrap().len(), 3);
}

/// Three people, files by hand: one file of what is new is for all of them, whoever wrote what is in it.
#[test]
fn what_somebody_may_lack_goes_out_whoever_wrote_it_until_everybody_is_known_to_have_it() {
    let (tech, owner, player) = (workshop("tech", 1), workshop("owner", 2), workshop("player", 3));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    assert_eq!(bass.bundle_unsent().unwrap().map(|sent| bass.delivered(&sent.token)), Some(Ok(0)));
    assert_eq!(bass.bundle_lacking(), Ok(None), "nobody else is there");
    let invited = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invited.words, &invited.welcome).unwrap();
    tech.bundle_in(&theirs.bundle_lacking().unwrap().unwrap().file).unwrap();
    player.bundle_in(&bass.bundle_lacking().unwrap().unwrap().file).unwrap();
    remark(&theirs, "of the player", None);
    tech.bundle_in(&everything(&theirs)).unwrap();

    // The owner joins at the technician's: the player has heard of nothing.
    let invited = bass.invite(Role::Contributor, 7).unwrap();
    let owners = owner.accept(&invited.words, &invited.welcome).unwrap();
    owner.bundle_in(&everything(&bass)).unwrap();
    remark(&owners, "of the owner", None);
    tech.bundle_in(&owners.bundle_lacking().unwrap().unwrap().file).unwrap();
    let first = bass.bundle_lacking().unwrap().unwrap();
    assert_eq!(bass.delivered(&first.token), Ok(0));
    // That it was given to one of them is no reason to keep it from the other.
    remark(&bass, "of the technician", None);
    let second = bass.bundle_lacking().unwrap().unwrap();
    let report = player.bundle_in(&second.file).unwrap();
    assert_eq!((report.waiting, report.people_added), (0, vec!["owner".to_owned()]));
    let all = ["of the owner", "of the player", "of the technician"];
    let lines = |of: &Instrument| {
        let texts = of.history(&HistoryFilter::default()).unwrap().into_iter();
        let mut texts: Vec<String> = texts
            .filter_map(|one| match one.entry.body {
                fallaway::record::EntryBody::Remark(remark) => Some(remark.text),
                _ => None,
            })
            .collect();
        texts.sort();
        texts
    };
    assert_eq!(lines(&theirs), all);
    // Once both have answered, nothing is new.
    for (device, of) in [(&player, &theirs), (&owner, &owners)] {
        device.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        remark(of, "seen", None);
        tech.bundle_in(&of.bundle_lacking().unwrap().unwrap().file).unwrap();
    }
    let last = bass.bundle_lacking().unwrap().unwrap();
    player.bundle_in(&last.file).unwrap();
    owner.bundle_in(&last.file).unwrap();
    remark(&theirs, "and that", None);
    remark(&owners, "and that", None);
    for of in [&theirs, &owners] {
        tech.bundle_in(&everything(of)).unwrap();
    }
    assert!(last.file.len() < everything(&bass).len() / 2, "{}", last.file.len());
}

/// Two people, files by hand: once the other one is known to have everything, no file is made; what one of
/// them has brought in was not lacking there.
#[test]
fn with_everything_known_to_be_there_nothing_is_lacking() {
    let (tech, owner) = (workshop("tech", 1), workshop("owner", 2));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    remark(&bass, "of the technician", None);
    let invited = bass.invite(Role::Contributor, 7).unwrap();
    let owners = owner.accept(&invited.words, &invited.welcome).unwrap();
    tech.bundle_in(&everything(&owners)).unwrap();
    owner.bundle_in(&everything(&bass)).unwrap();
    remark(&owners, "of the owner", None);
    tech.bundle_in(&owners.bundle_lacking().unwrap().unwrap().file).unwrap();
    assert_eq!(bass.lacking(), Ok(0));
    assert_eq!(bass.bundle_lacking(), Ok(None));
}

#[test]
fn the_history_is_searched_and_a_quantity_comes_as_a_series() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let then = |days: i64| Moment { unix_s: 1_770_000_000 + days * 86_400, offset_min: 60 };
    let read = |text: &str, days: i64| {
        let options = WriteOptions::default().at(then(days));
        let taken = PassOptions::default();
        bass.add_pass_text_with(action(), text, Tool::RULE_64, &taken, options).unwrap()
    };
    read("6 6 6 7", 30);
    let slip = read("7 7 7 7", 20);
    read("5 5 5 6", 10);
    bass.retract(slip, "a slip", None).unwrap();
    bass.add_pass_text(relief(), "12", Tool::FEELER_THOU).unwrap();
    let low = Location::Course(StringPlace::course(4).unwrap());
    let series = |since| {
        let points = bass.series(action(), Some(low), since, None).unwrap();
        points.iter().map(|point| (point.at, point.reading.to_string())).collect::<Vec<_>>()
    };
    let (first, second) = ((then(10), "6/64 in".to_owned()), (then(30), "7/64 in".to_owned()));
    assert_eq!(series(None), [first, second.clone()]);
    assert_eq!(series(Some(then(11))), [second]);

    remark(&bass, "Buzzes on the low string", Some("player"));
    remark(&bass, "new strings", None);
    let found = |text: &str| {
        let filter = HistoryFilter { text: Some(text.to_owned()), ..HistoryFilter::default() };
        bass.history(&filter).unwrap().len()
    };
    assert_eq!((found("buzzes"), found("PLAYER"), found("nothing")), (1, 1, 0));
}
