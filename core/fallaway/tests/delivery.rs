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
