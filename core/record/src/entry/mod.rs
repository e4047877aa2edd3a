//! Entries: the facts of a record. Immutable once they are in the document.

mod adjustment;
mod body;
mod notes;
mod pass;

use fallaway_changes::Writer;
use minicbor::data::Type;
use minicbor::{Decode, Decoder, Encoder};

pub use adjustment::{AdjustedPart, Adjustment, Turns, TurnsError};
pub use body::{EntryBody, EntryKind};
pub use notes::{
    Buzz, Climate, CouldNot, FretFinding, FretState, Photo, Remark, StringChange, Tuning,
    VisitEnded, VisitOpened,
};
pub use pass::{Pass, PassReading, Phase, Posture, StoppedBy};

use crate::{EntryId, Moment};

/// One fact of the record, as somebody wrote it down.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its id: who wrote it, and the number that the writer gave it.
    pub id: EntryId,
    /// When it happened, by the clock of the device.
    pub at: Moment,
    /// Who read it or did it: a free label such as "tech".
    pub by: Option<String>,
    /// The visit (an entry of kind [`EntryBody::Visit`]) to which it belongs.
    pub visit: Option<EntryId>,
    /// What it says.
    pub body: EntryBody,
    /// Which entry it says again: one that is no part of the record, and that its writer wrote before.
    /// Where both are, the first one is shown.
    pub again: Option<EntryId>,
    /// A newer version wrote parts of it that this version does not understand. They are kept in
    /// the document.
    pub newer: bool,
}

/// What is not an entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryError {
    /// Bytes that no version writes.
    #[error("not an entry: expected an array that begins with kind, seconds and offset: {found}")]
    Header {
        /// What stands there instead.
        found: String,
    },
    /// A part that only a newer version can write.
    #[error("this version cannot write such an entry: {part}")]
    Newer {
        /// What cannot be written, in the decoder's words.
        part: String,
    },
}

/// Items of an entry before its body.
const HEADER: u64 = 5;

impl Entry {
    /// An entry that this version writes.
    pub fn new(id: EntryId, at: Moment, body: EntryBody) -> Self {
        Self { id, at, by: None, visit: None, body, again: None, newer: false }
    }

    /// The same with the label of who read or did it.
    #[must_use]
    pub fn by(mut self, label: impl Into<String>) -> Self {
        self.by = Some(label.into());
        self
    }

    /// The same as part of a visit.
    #[must_use]
    pub fn within(mut self, visit: EntryId) -> Self {
        self.visit = Some(visit);
        self
    }

    /// The value that stands under [`Entry::id`] in the document:
    /// `[kind, seconds, offset, by, visit, body]`, and the entry that it says again, if it does.
    ///
    /// A visit by the same writer is written as how many numbers it lies back.
    ///
    /// # Errors
    /// [`EntryError::Newer`] if a part was named by its number only (a quantity of a newer version).
    pub fn encode(&self) -> Result<Vec<u8>, EntryError> {
        let mut e = Encoder::new(Vec::with_capacity(48));
        let written = (|| {
            e.array(HEADER + 1 + u64::from(self.again.is_some()))?
                .u32(self.body.kind().number())?
                .i64(self.at.unix_s)?
                .i16(self.at.offset_min)?
                .encode(&self.by)?;
            match self.visit {
                None => e.null()?,
                Some(visit) if visit.writer == self.id.writer => {
                    e.i64((self.id.number as i64).wrapping_sub(visit.number as i64))?
                }
                Some(visit) => e.encode(visit)?,
            };
            self.body.encode(&mut e)?;
            self.again.map_or(Ok(()), |again| e.encode(again).map(drop))
        })();
        match written {
            Ok(()) => Ok(e.into_writer()),
            Err(error) => Err(EntryError::Newer { part: error.to_string() }),
        }
    }

    /// Reads the value that stands under `id`. What this version does not understand becomes
    /// [`EntryBody::Unknown`] or sets [`Entry::newer`].
    ///
    /// # Errors
    /// [`EntryError`] if the value lacks what every version writes: an array that begins with kind,
    /// seconds, offset.
    pub fn decode(id: EntryId, value: &[u8]) -> Result<Self, EntryError> {
        let mut d = Decoder::new(value);
        let (kind, at, items) = header(&mut d)?;
        // From here on nothing is an error: a newer version may have changed its mind.
        let by = if items > 3 { optional(&mut d, Decoder::str) } else { Ok(None) };
        let visit = if items > 4 { optional(&mut d, |d| visit_of(id, d)) } else { Ok(None) };
        let body = EntryBody::decode(kind, d.input().get(d.position()..).unwrap_or_default());
        let again = if items > HEADER + 1 && d.skip().is_ok() {
            EntryId::decode(&mut d, &mut ()).ok()
        } else {
            None
        };
        let mut entry = Self {
            id,
            at,
            by: by.ok().flatten().map(str::to_owned),
            visit: visit.ok().flatten(),
            body,
            again,
            newer: false,
        };
        entry.newer = match &entry.body {
            EntryBody::Unknown { .. } => true,
            _ => by.is_err() || visit.is_err() || entry.encode().as_deref() != Ok(value),
        };
        Ok(entry)
    }

    /// Checks what every version can rely on, without decoding the body.
    ///
    /// # Errors
    /// As [`Entry::decode`].
    pub fn check(value: &[u8]) -> Result<(), EntryError> {
        header(&mut Decoder::new(value)).map(|_| ())
    }
}

/// The items that never change: array, kind, seconds, offset. Also the count of items.
fn header(d: &mut Decoder<'_>) -> Result<(u32, Moment, u64), EntryError> {
    let mut read = || {
        let items = d.array()?.unwrap_or(0);
        if items < 3 {
            return Err(minicbor::decode::Error::message("an array of fewer than three items"));
        }
        let kind = d.u32()?;
        let (unix_s, offset_min) = (d.i64()?, d.i16()?);
        let at = Moment::new(unix_s, offset_min).ok_or_else(|| {
            minicbor::decode::Error::message("a time outside the years 1 to 9999")
        })?;
        Ok((kind, at, items))
    };
    read().map_err(|error| EntryError::Header { found: error.to_string() })
}

/// An item is there, but of a form that this version does not know.
#[derive(Clone, Copy)]
struct Unreadable;

/// Reads an item that may be null. [`Unreadable`] if it is something else, which is skipped.
fn optional<'b, T>(
    d: &mut Decoder<'b>,
    read: impl FnOnce(&mut Decoder<'b>) -> Result<T, minicbor::decode::Error>,
) -> Result<Option<T>, Unreadable> {
    let start = d.position();
    if d.datatype().ok() == Some(Type::Null) {
        return d.null().map(|()| None).map_err(|_| Unreadable);
    }
    if let Ok(value) = read(d) {
        return Ok(Some(value));
    }
    d.set_position(start);
    if d.skip().is_err() {
        d.set_position(d.input().len());
    }
    Err(Unreadable)
}

fn visit_of(id: EntryId, d: &mut Decoder<'_>) -> Result<EntryId, minicbor::decode::Error> {
    if d.datatype()? == Type::Array {
        return EntryId::decode(d, &mut ());
    }
    let back = d.i64()?;
    let number = (id.number as i64)
        .checked_sub(back)
        .and_then(|number| u64::try_from(number).ok())
        .ok_or_else(|| minicbor::decode::Error::message("a visit before the first entry"))?;
    Ok(EntryId::new(Writer::from_bytes(id.writer.to_bytes()), number))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spec::StringSpec;
    use fallaway_measure::{Amount, Fret, Note, Quantity, Reading, StringPlace, Tool, Unit};

    fn id(number: u64) -> EntryId {
        EntryId::new(Writer::from_bytes([7; 16]), number)
    }

    fn at() -> Moment {
        Moment::new(1_790_000_000, 120).unwrap()
    }

    fn bodies() -> Vec<EntryBody> {
        let place = StringPlace::course(4).unwrap();
        let some = |text: &str| Some(text.to_owned());
        let percent = |n| Some(Amount::decimal(n, 0, Unit::Percent).unwrap());
        let two = Reading::Value(Amount::decimal(200, 2, Unit::Millimetre).unwrap());
        vec![
            EntryBody::Visit(VisitOpened { purpose: some("rattles since autumn") }),
            EntryBody::VisitEnd(VisitEnded::default()),
            EntryBody::Pass(
                Pass::new(
                    Quantity::Gap { stopped: Fret::OPEN, over: Fret::new(12).unwrap() },
                    Some(Tool::CALIPER_MM),
                )
                .across(1, &[Some(two), None, Some(two)])
                .unwrap(),
            ),
            EntryBody::Adjustment(Adjustment {
                what: AdjustedPart::SaddleHeight(place),
                turns: Some(Turns::eighths(-3)),
                amount: None,
                note: some("stiff"),
            }),
            EntryBody::StringChange(StringChange {
                strings: vec![place],
                set: None,
                fitted: vec![(place, StringSpec::default())],
                note: None,
            }),
            EntryBody::Tuning(Tuning {
                strings: vec![],
                changed: vec![(place, Note::new(26).unwrap())],
                note: None,
            }),
            EntryBody::Climate(Climate {
                humidity: percent(38),
                hours_there: Some(20),
                ..Climate::default()
            }),
            EntryBody::Remark(Remark {
                text: "dead spot at 5".into(),
                replaces: Some(id(3)),
                ..Remark::default()
            }),
            EntryBody::Buzz(Buzz {
                string: place,
                from: Fret::OPEN,
                to: Fret::new(3).unwrap(),
                note: None,
            }),
            EntryBody::Photo(Photo {
                hash: [9; 32],
                media_type: "image/jpeg".into(),
                caption: None,
                key: Some([8; 32]),
                bytes: Some(1_000),
                sealed: Some([7; 32]),
                about: None,
            }),
        ]
    }

    /// As entries were written before photos had bytes beside the record; and what is a secret of the record
    /// is no part of what a log may show.
    #[test]
    fn photos_without_bytes_are_read_and_keys_are_not_shown() {
        let photo = Photo {
            hash: [9; 32],
            media_type: "image/jpeg".into(),
            caption: Some("nut slot".into()),
            key: None,
            bytes: None,
            sealed: None,
            about: Some(id(3)),
        };
        let entry = Entry::new(id(1), at(), EntryBody::Photo(photo.clone()));
        let value = entry.encode().unwrap();
        assert_eq!(Entry::decode(entry.id, &value).unwrap(), entry);
        let shown = format!("{:?}", Photo { key: Some([0xb7; 32]), ..photo });
        assert!(!shown.contains("183"), "{shown}");
    }

    #[test]
    fn every_kind_round_trips() {
        for (number, body) in (1..).zip(bodies()) {
            assert_eq!(
                u64::from(body.kind().number()),
                number,
                "the numbers are assigned for ever"
            );
            let mut entry = Entry::new(id(100 + number), at(), body).by("tech");
            for visit in [None, Some(id(100)), Some(EntryId::new(Writer::from_bytes([1; 16]), 5))] {
                entry.visit = visit;
                let value = entry.encode().unwrap();
                assert_eq!(Entry::decode(entry.id, &value).unwrap(), entry);
                assert!(Entry::check(&value).is_ok());
            }
        }
    }

    #[test]
    fn what_could_not_be_done_round_trips_and_may_be_of_a_newer_version() {
        let place = StringPlace::course(4).unwrap();
        for what in [
            CouldNot::Move(AdjustedPart::Rod),
            CouldNot::Move(AdjustedPart::Pickup { pickup: 1, side: None }),
            CouldNot::Read {
                quantity: Quantity::Pitch,
                location: fallaway_measure::Location::Course(place),
            },
        ] {
            let text = "the nut turns round".to_owned();
            let body =
                EntryBody::Remark(Remark { text, could_not: Some(what), ..Remark::default() });
            let entry = Entry::new(id(1), at(), body);
            assert_eq!(Entry::decode(entry.id, &entry.encode().unwrap()).unwrap(), entry);
        }
        let later = [0x82, 23, 0xf6];
        assert_eq!(minicbor::decode::<CouldNot>(&later).unwrap(), CouldNot::Other(23));
    }

    #[test]
    fn what_was_found_at_a_fret_round_trips() {
        let place = StringPlace::course(4).unwrap();
        for state in FretState::KNOWN.iter().copied().chain([FretState::Other(9)]) {
            for (strings, by) in
                [(vec![], None), (vec![place], Amount::decimal(8, 2, Unit::Millimetre).ok())]
            {
                let fret = Some(FretFinding { fret: Fret::new(7).unwrap(), state, strings, by });
                let body = EntryBody::Remark(Remark { fret, ..Remark::default() });
                let entry = Entry::new(id(1), at(), body);
                assert_eq!(Entry::decode(entry.id, &entry.encode().unwrap()).unwrap(), entry);
            }
        }
    }

    #[test]
    fn what_a_newer_version_adds_is_told_and_not_an_error() {
        let body = EntryBody::Remark(Remark { text: "fits".into(), ..Remark::default() });
        let value = Entry::new(id(1), at(), body.clone()).encode().unwrap();
        assert!(!Entry::decode(id(1), &value).unwrap().newer);

        // A seventh item.
        let mut longer = value.clone();
        longer[0] += 1;
        longer.push(0);
        let entry = Entry::decode(id(1), &longer).unwrap();
        assert!(entry.newer);
        assert_eq!(entry.body, body);

        // An unknown field inside the body.
        let mut wider = value.clone();
        let map = wider.iter().rposition(|byte| *byte == 0xa1).unwrap();
        wider[map] = 0xa2;
        wider.extend([0x17, 0]);
        let entry = Entry::decode(id(1), &wider).unwrap();
        assert!(entry.newer);
        assert_eq!(entry.body, body);

        // An unknown kind, and a known kind whose body cannot be read.
        let mut unknown = value.clone();
        unknown[1] = 23;
        let mut changed = value.clone();
        changed[1] = 3;
        for (value, kind) in [(unknown, 23), (changed, 3)] {
            let entry = Entry::decode(id(1), &value).unwrap();
            assert!(entry.newer);
            assert!(matches!(entry.body, EntryBody::Unknown { kind: found, .. } if found == kind));
            assert_eq!(entry.encode().unwrap(), value, "kept byte for byte");
        }
    }

    #[test]
    fn what_no_version_writes_is_refused() {
        let no_offset = [0x83, 8, 0, 0xf6];
        let year_0 = [&[0x83, 8, 0x3b], &[0xff; 8][..], &[0]].concat();
        for value in [&[][..], &[0x80], &[0x82, 8, 0], &no_offset, &year_0, &[0xa0], &[0xff; 9]] {
            assert!(Entry::check(value).is_err());
            assert!(Entry::decode(id(1), value).is_err());
        }
    }

    proptest::proptest! {
        #[test]
        fn any_bytes_are_read_or_refused(value in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..80)) {
            let _ = Entry::decode(id(9), &value);
            let framed = [&[0x86, 3, 0, 0, 0xf6, 0xf6][..], &value].concat();
            let _ = Entry::decode(id(9), &framed);
        }
    }
}
