//! Every error is said in every language.

use fallaway_text::{Language, Voice};

use super::*;
use crate::writing::write_options::DoubtAbout;

fn all() -> Vec<Error> {
    let reason = || say::locked();
    let whats = [
        NotFoundKind::Instrument,
        NotFoundKind::Template,
        NotFoundKind::Entry,
        NotFoundKind::Setup,
        NotFoundKind::Visit,
        NotFoundKind::OpenVisit,
        NotFoundKind::Fact,
        NotFoundKind::Player,
        NotFoundKind::Person,
        NotFoundKind::Invitation,
        NotFoundKind::Held,
        NotFoundKind::Readings,
        NotFoundKind::Write,
        NotFoundKind::Field,
    ];
    let mut all: Vec<Error> = whats.map(|what| Error::not_found(what, "blue five")).to_vec();
    all.extend([
        Error::NotFound {
            what: NotFoundKind::Setup,
            name: "x".into(),
            accepted: there_are(["stage", "low"]),
        },
        Error::bad_input(field("reading"), say::no_readings(), say::at_least_one()),
        Error::Unsure {
            field: field("reading"),
            doubts: vec![Doubt {
                about: DoubtAbout::Target {
                    quantity: fallaway_measure::Quantity::Pitch,
                    location: Location::Whole,
                    wanted: fallaway_measure::Amount::zero(fallaway_measure::Unit::Cent),
                },
                given: reason(),
                reason: reason(),
                entry: None,
            }],
        },
        Error::Contested { field: field("setup") },
        Error::read_only(say::store_newer()),
        Error::refused(say::not_a_bundle()),
        Error::not_allowed(say::viewer()),
        Error::busy(say::record_moved()),
        Error::Full { reason: say::store_full() },
        Error::storage(say::io("disk".into())),
        Error::keys(reason()),
        Error::Closed,
        Error::Cancelled,
        Error::internal("here", "defect"),
    ]);
    all
}

#[test]
fn every_error_is_said_in_every_language() {
    for error in all() {
        let mut said = Vec::new();
        for language in Language::all() {
            let text = Voice::new(language).say(&error.phrase());
            assert!(!text.contains(['{', '_']) && !text.contains("::"), "{text}");
            said.push(text);
        }
        assert_eq!(said[0], error.to_string());
        assert_ne!(said[0], said[1]);
    }
}

#[test]
fn an_error_says_what_would_be_accepted() {
    let error = Error::NotFound {
        what: NotFoundKind::Setup,
        name: "loud".into(),
        accepted: there_are(["stage"]),
    };
    assert_eq!(error.to_string(), "no setup “loud” (there are: stage)");
    let german = Voice::new(Language::named("de").unwrap());
    assert_eq!(german.say(&error.phrase()), "kein Setup „loud“ (es gibt: stage)");
}
