//! What the crates below refuse is said in every language. The lists are complete: each ends in a
//! match without a wildcard, which numbers the variants.

use fallaway_order::Set;
use std::fmt::Debug;

use fallaway_changes::cbor::{CborError, CborFault};
use fallaway_changes::limits::TooLarge;
use fallaway_changes::{ChangeId, Container, EpochId, RecordId, Tag, Writer};
use fallaway_measure::{Amount, Dimension, Fret, Quantity, StringPlace, Unit};
use fallaway_record::spec::{Fact, FactFault, SpecError};
use fallaway_record::{EditedText, EntryError, EntryId};
use fallaway_sharing::{ChainError, MemberError, ReceiptError};
use fallaway_text::errors::AcceptedValues;
use fallaway_text::{Language, Voice};

use super::*;

/// Answers those that have nothing to accept, each with the reason.
fn complete<T: Debug>(all: Vec<T>, count: usize, number: impl Fn(&T) -> usize) -> Vec<String>
where
    Error: From<T>,
{
    let numbers: Set<usize> = all.iter().map(number).collect();
    assert_eq!(numbers, (0..count).collect());
    let mut nothing = Vec::new();
    for one in all {
        let shown = format!("{one:?}");
        let error = Error::from(one);
        if matches!(error, Error::Internal { .. }) {
            // For developers, with an id for the log.
            continue;
        }
        let said: Set<String> = Language::all()
            .into_iter()
            .map(|language| Voice::new(language).say(&error.phrase()))
            .collect();
        assert_eq!(said.len(), Language::all().len(), "{shown} is not translated: {said:?}");
        for text in said {
            assert!(!text.contains(['{', '_']) && !text.contains("::"), "{text}");
        }
        if let Error::BadInput { field, accepted, .. } = error {
            assert_ne!(field.to_string(), "input", "{shown} names a field that has no name");
            if let AcceptedValues::Nothing(why) = *accepted.values {
                let variant = shown.split([' ', '(']).next().unwrap();
                nothing.push(format!("{variant}: {why:?}"));
            }
        }
    }
    nothing
}

const RECORD: RecordId = RecordId::from_bytes([1; 16]);
const WRITER: Writer = Writer::from_bytes([2; 16]);
const CHANGE: ChangeId = ChangeId::from_bytes([3; 32]);

fn reason() -> String {
    "as the system says it".to_owned()
}

#[test]
fn what_the_store_refuses() {
    let all = vec![
        StoreError::NoSuchRecord { record: RECORD },
        StoreError::RecordExists { record: RECORD },
        StoreError::Moved { current: fallaway_store::Generation(7) },
        StoreError::Taken { writer: WRITER, seq: 7 },
        StoreError::Known { hash: CHANGE },
        StoreError::NoSuchChange { hash: CHANGE },
        StoreError::NumberWentBack { writer: WRITER, stored: 7, given: 6 },
        StoreError::TooGreat { what: "number", value: 7, limit: 6 },
        StoreError::NotCompactable { hash: CHANGE, reason: "it is not admitted" },
        StoreError::CheckFailed { reason: reason() },
        StoreError::Newer { found: 7, supported: 6 },
        StoreError::NotWritable { path: "folder".into(), reason: reason() },
        StoreError::CannotOpen { path: "folder".into(), reason: reason() },
        StoreError::NoLog { path: "folder".into() },
        StoreError::Busy,
        StoreError::Full,
        StoreError::Io { reason: reason() },
        StoreError::Damaged { reason: reason() },
        StoreError::NotAStore { path: "folder".into(), reason: reason() },
        StoreError::EngineTooOld { found: "3.40".into(), needed: "3.51" },
        StoreError::Engine { reason: reason() },
    ];
    complete(all, 21, |error| match error {
        StoreError::NoSuchRecord { .. } => 0,
        StoreError::RecordExists { .. } => 1,
        StoreError::Moved { .. } => 2,
        StoreError::Taken { .. } => 3,
        StoreError::Known { .. } => 4,
        StoreError::NoSuchChange { .. } => 5,
        StoreError::NumberWentBack { .. } => 6,
        StoreError::TooGreat { .. } => 7,
        StoreError::NotCompactable { .. } => 8,
        StoreError::CheckFailed { .. } => 9,
        StoreError::Newer { .. } => 10,
        StoreError::NotWritable { .. } => 11,
        StoreError::CannotOpen { .. } => 12,
        StoreError::Busy => 13,
        StoreError::Full => 14,
        StoreError::Io { .. } => 15,
        StoreError::Damaged { .. } => 16,
        StoreError::NotAStore { .. } => 17,
        StoreError::EngineTooOld { .. } => 18,
        StoreError::Engine { .. } => 19,
        StoreError::NoLog { .. } => 20,
    });
}

#[test]
fn what_an_edit_may_not_be() {
    let (place, fret) = (StringPlace::course(7).unwrap(), Fret::new(30).unwrap());
    let (id, key) = (EntryId { writer: WRITER, number: 7 }, || "scale".to_owned());
    let text = |what| EditError::Text { what, found: 0, most: 64 };
    let of_text = |what: &EditedText| match what {
        EditedText::Reason => 0,
        EditedText::Remark => 1,
        EditedText::SetupName => 2,
        EditedText::Author => 3,
    };
    let texts = [EditedText::Reason, EditedText::Remark, EditedText::SetupName, EditedText::Author];
    let tolerance = Amount::decimal(-1, 0, Unit::Millimetre).unwrap();
    let fault = FactFault::SaddleWithoutStrings;
    let mut all = vec![
        EditError::NoSuchString { place, accepted: "1, 2, 3".into() },
        EditError::NoSuchFret { fret, last: fret },
        EditError::NoSuchPickup { pickup: 3, count: 2 },
        EditError::FretOrder { what: "relief", first: fret, second: fret },
        EditError::Dimension {
            quantity: Quantity::Pitch,
            wanted: Dimension::Interval,
            found: Dimension::Length,
        },
        EditError::Tolerance { tolerance },
        EditError::NoReadings,
        EditError::EntryExists(id),
        EditError::NoSuchEntry(id),
        EditError::ForeignEntry { id, writer: WRITER },
        EditError::AlreadyRetracted(id),
        EditError::Spec(SpecError { fact: Fact::Bridge, fault }),
        EditError::Time { unix_s: i64::MAX, offset_min: 0 },
        EditError::Unreadable { key: key() },
        EditError::Entry(EntryError::Newer { part: "posture".into() }),
        EditError::Newer { key: key() },
        EditError::NotSet { key: key() },
        EditError::ContestedChanged { container: Container::SPEC, key: key(), now: Vec::new() },
        EditError::UnknownTarget,
        EditError::CrownHeight { by: tolerance },
    ];
    all.extend(texts.map(text));
    let nothing = complete(all, 24, |error| match error {
        EditError::NoSuchString { .. } => 0,
        EditError::NoSuchFret { .. } => 1,
        EditError::NoSuchPickup { .. } => 2,
        EditError::FretOrder { .. } => 3,
        EditError::Dimension { .. } => 4,
        EditError::Tolerance { .. } => 5,
        EditError::NoReadings => 6,
        EditError::EntryExists(_) => 7,
        EditError::NoSuchEntry(_) => 8,
        EditError::ForeignEntry { .. } => 9,
        EditError::AlreadyRetracted(_) => 10,
        EditError::Spec(_) => 11,
        EditError::Time { .. } => 12,
        EditError::Unreadable { .. } => 13,
        EditError::Entry(_) => 14,
        EditError::Newer { .. } => 15,
        EditError::NotSet { .. } => 16,
        EditError::ContestedChanged { .. } => 17,
        EditError::UnknownTarget => 18,
        EditError::Text { what, .. } => 19 + of_text(what),
        EditError::CrownHeight { .. } => 23,
    });
    let stands = ["NoSuchEntry: Unwritten", "AlreadyRetracted: Already", "NotSet: Already"];
    let newer = ["Unreadable: NeedsNewer", "UnknownTarget: NeedsNewer"];
    let named: Set<&str> = nothing.iter().map(String::as_str).collect();
    assert_eq!(named, stands.into_iter().chain(newer).collect());
}

#[test]
fn what_does_not_come_in() {
    let cbor = CborError { at: 7, fault: CborFault::Truncated };
    let large = TooLarge { what: "bytes of a bundle", found: 7, most: 6 };
    let all = vec![
        OpenError::NotABundle,
        OpenError::Newer(7),
        OpenError::Truncated(7),
        OpenError::TooLarge(large),
        OpenError::OtherRecord(Tag::from_bytes([4; 16])),
        OpenError::UnknownEpoch(EpochId::from_bytes([5; 16])),
        OpenError::Altered,
        OpenError::Padding,
        OpenError::Malformed(cbor),
        OpenError::Changes(ChainError::from(cbor)),
        OpenError::Member(MemberError::from(cbor)),
        OpenError::Readdressed(RECORD),
        OpenError::Receipt(ReceiptError::Order),
    ];
    complete(all, 13, |error| match error {
        OpenError::NotABundle => 0,
        OpenError::Newer(_) => 1,
        OpenError::Truncated(_) => 2,
        OpenError::TooLarge(_) => 3,
        OpenError::OtherRecord(_) => 4,
        OpenError::UnknownEpoch(_) => 5,
        OpenError::Altered => 6,
        OpenError::Padding => 7,
        OpenError::Malformed(_) => 8,
        OpenError::Changes(_) => 9,
        OpenError::Member(_) => 10,
        OpenError::Readdressed(_) => 11,
        OpenError::Receipt(_) => 12,
    });
    let all = vec![
        FileError::NotABundleFile,
        FileError::Newer(7),
        FileError::Truncated(7),
        FileError::Trailing(7),
        FileError::BundleSize { place: 0, bytes: 7 },
        FileError::Count,
        FileError::Damaged,
    ];
    complete(all, 7, |error| match error {
        FileError::NotABundleFile => 0,
        FileError::Newer(_) => 1,
        FileError::Truncated(_) => 2,
        FileError::Trailing(_) => 3,
        FileError::BundleSize { .. } => 4,
        FileError::Count => 5,
        FileError::Damaged => 6,
    });
    let all = vec![CodeError::TooMuch(0), CodeError::Other, CodeError::Damaged];
    complete(all, 3, |error| match error {
        CodeError::TooMuch(_) => 0,
        CodeError::Other => 1,
        CodeError::Damaged => 2,
    });
    let all = vec![
        InvitationError::TooLarge(large),
        InvitationError::Words(WordsError::Count(3)),
        InvitationError::Newer("7".into()),
        InvitationError::Damaged,
        InvitationError::Relay,
    ];
    complete(all, 5, |error| match error {
        InvitationError::TooLarge(_) => 0,
        InvitationError::Words(_) => 1,
        InvitationError::Newer(_) => 2,
        InvitationError::Damaged => 3,
        InvitationError::Relay => 4,
    });
    let word = || "hatte".to_owned();
    let all = vec![
        WordsError::Count(3),
        WordsError::Unknown { place: 2, word: word() },
        WordsError::Checksum,
    ];
    complete(all, 3, |error| match error {
        WordsError::Count(_) => 0,
        WordsError::Unknown { .. } => 1,
        WordsError::Checksum => 2,
    });
    let all = vec![
        LetterError::NotALetter,
        LetterError::Newer(2),
        LetterError::OtherReader,
        LetterError::Altered,
        LetterError::Malformed(MemberError::Label),
        LetterError::NotAKey,
    ];
    complete(all, 6, |error| match error {
        LetterError::NotALetter => 0,
        LetterError::Newer(_) => 1,
        LetterError::OtherReader => 2,
        LetterError::Altered => 3,
        LetterError::Malformed(_) => 4,
        LetterError::NotAKey => 5,
    });
}

/// The words by which the code names input fields all stand in the message.
#[test]
fn every_input_field_has_a_name() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![folder];
    let mut named = 0;
    while let Some(folder) = folders.pop() {
        for file in std::fs::read_dir(folder).unwrap() {
            let path = file.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            if path.to_string_lossy().contains("tests") {
                continue;
            }
            let text = std::fs::read_to_string(&path).unwrap();
            let unwritten = text.split("unwritten(\"").skip(1);
            for rest in text.split("field(\"").skip(1).chain(unwritten) {
                let word: &'static str = rest.split('"').next().unwrap().to_owned().leak();
                assert_ne!(field(word).to_string(), "input", "{word}, in {}", path.display());
                named += 1;
            }
        }
    }
    assert!(named > 40, "the sources were not read");
}
