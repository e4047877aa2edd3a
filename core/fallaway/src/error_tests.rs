//! Every error is said in every language.

use fallaway_order::Set;

use fallaway_text::errors::AcceptedValues;
use fallaway_text::{Language, Voice};

use super::*;
use crate::writing::write_options::{DoubtAbout, WhyDoubted};

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
        Error::bad_input(
            field("reading"),
            say::no_readings(),
            Accepted::like("5").said(say::at_least_one()),
        ),
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
                why: WhyDoubted::Unusual,
                usual: None,
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

/// What is accepted is there as data, or the kind asks for no value, for the reason beside its name.
#[test]
fn what_is_accepted_is_data_or_there_is_nothing_to_accept() {
    let asks_for_nothing = [
        ("contested", "the values are shown again; which one stays is chosen from them"),
        ("plan-moved", "the plan is shown again"),
        ("read-only", "the app has to be newer"),
        ("refused", "a bundle, words or a relay: another one, from whoever sent it"),
        ("not-allowed", "the role decides"),
        ("busy", "the same call later"),
        ("full", "the same call with more room"),
        ("storage", "the folder or the disk"),
        ("keys", "the keystore"),
        ("closed", "the workshop is opened again"),
        ("cancelled", "the listener's own answer"),
        ("internal", "a defect"),
    ];
    let mut all = all();
    all.push(Error::PlanMoved { step: "a step".to_owned() });
    let mut kinds = Set::new();
    for error in &all {
        kinds.insert(error.code());
        let without = asks_for_nothing.iter().any(|(code, _)| *code == error.code());
        match error {
            Error::NotFound { accepted, .. } | Error::BadInput { accepted, .. } => {
                let empty =
                    matches!(&*accepted.values, AcceptedValues::OneOf(all) if all.is_empty());
                assert!(!without && !empty, "{error:?}");
            }
            Error::Unsure { doubts, .. } => assert!(!without && !doubts.is_empty()),
            _ => assert!(without, "{error:?}"),
        }
    }
    assert_eq!(kinds.len(), asks_for_nothing.len() + 3, "a kind is missing: {kinds:?}");
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
