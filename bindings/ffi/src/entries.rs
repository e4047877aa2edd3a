//! The history: what is written down, and how it is read back.

use fallaway::measure::{Dimension, Limit, LimitUnit};
use fallaway::record;
use fallaway::text::messages::{errors, facts, formulas};
use fallaway::text::{Computed, names};

use crate::Entered;
use crate::choices::choices;
use crate::error::field;
use crate::given;
use crate::given::{fret, small};
use crate::numbers::count;
use crate::spec::{FittedString, TunedString};
use crate::{
    EntryId, FallawayError, Location, Moment, PassInfo, Quantity, Result, Side, StringPlace,
    VisitId,
};

/// What was adjusted.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum AdjustedPart {
    /// The truss rod.
    Rod,
    /// Height of a string's saddle.
    SaddleHeight {
        /// The string on that saddle; a saddle of several is named by the first of them.
        place: StringPlace,
    },
    /// A saddle fore or aft, for intonation.
    SaddlePosition {
        /// The string on that saddle.
        place: StringPlace,
    },
    /// A saddle sideways, for spacing.
    SaddleSideways {
        /// The string on that saddle.
        place: StringPlace,
    },
    /// A nut slot cut or filled.
    NutSlot {
        /// The string that runs in the slot.
        place: StringPlace,
    },
    /// The nut replaced or shimmed.
    Nut,
    /// One post of a bridge that stands on two.
    BridgePost {
        /// The post on the bass side or on the treble side.
        side: Side,
    },
    /// The springs of a floating bridge.
    Springs,
    /// Height of a pickup.
    PickupHeight {
        /// Which pickup; 1 is nearest the bridge.
        pickup: u32,
        /// On which side; `None` for both.
        side: Option<Side>,
    },
    /// The neck taken off, shimmed or set at another angle.
    Neck,
    /// Frets levelled, dressed or replaced.
    Frets,
    /// Saddle or bridge replaced or worked on.
    Bridge,
    /// Something else that the note describes.
    Elsewhere,
    /// One pole piece of a pickup, under a string. Turn only one that has a slot or a socket and turns
    /// freely: leave fixed ones, and one that is stuck, to a qualified repairer (`Hazard::PolePieces`).
    PolePiece {
        /// Which pickup; 1 is nearest the bridge.
        pickup: u32,
        /// The string over the pole piece.
        place: StringPlace,
    },
    /// Written by a newer version; it can be shown, not written.
    Newer {
        /// Its number in the record format.
        number: u32,
    },
}

impl From<record::AdjustedPart> for AdjustedPart {
    fn from(what: record::AdjustedPart) -> Self {
        use record::AdjustedPart as Typed;
        match what {
            Typed::Rod => Self::Rod,
            Typed::SaddleHeight(place) => Self::SaddleHeight { place: place.into() },
            Typed::SaddlePosition(place) => Self::SaddlePosition { place: place.into() },
            Typed::SaddleSideways(place) => Self::SaddleSideways { place: place.into() },
            Typed::NutSlot(place) => Self::NutSlot { place: place.into() },
            Typed::Nut => Self::Nut,
            Typed::BridgePost(side) => Self::BridgePost { side },
            Typed::Springs => Self::Springs,
            Typed::Pickup { pickup, side } => Self::PickupHeight { pickup: pickup.into(), side },
            Typed::Neck => Self::Neck,
            Typed::Frets => Self::Frets,
            Typed::Bridge => Self::Bridge,
            Typed::Elsewhere => Self::Elsewhere,
            Typed::Pole { pickup, place } => {
                Self::PolePiece { pickup: pickup.into(), place: place.into() }
            }
            other @ Typed::Other(_) => Self::Newer { number: other.number() },
        }
    }
}

/// What can be adjusted, by the names of its variants.
const PARTS: &[&str] = &[
    "Rod",
    "SaddleHeight",
    "SaddlePosition",
    "SaddleSideways",
    "NutSlot",
    "Nut",
    "BridgePost",
    "Springs",
    "PickupHeight",
    "Neck",
    "Frets",
    "Bridge",
    "Elsewhere",
    "PolePiece",
];

impl AdjustedPart {
    fn typed(&self) -> Result<record::AdjustedPart> {
        use record::AdjustedPart as Typed;
        Ok(match self {
            Self::Rod => Typed::Rod,
            Self::SaddleHeight { place } => Typed::SaddleHeight(place.typed()?),
            Self::SaddlePosition { place } => Typed::SaddlePosition(place.typed()?),
            Self::SaddleSideways { place } => Typed::SaddleSideways(place.typed()?),
            Self::NutSlot { place } => Typed::NutSlot(place.typed()?),
            Self::Nut => Typed::Nut,
            Self::BridgePost { side } => Typed::BridgePost(*side),
            Self::Springs => Typed::Springs,
            Self::PickupHeight { pickup, side } => Typed::Pickup {
                pickup: small(field("pickup"), *pickup)?,
                side: side.map(fallaway::measure::Side::from),
            },
            Self::Neck => Typed::Neck,
            Self::Frets => Typed::Frets,
            Self::Bridge => Typed::Bridge,
            Self::Elsewhere => Typed::Elsewhere,
            Self::PolePiece { pickup, place } => {
                Typed::Pole { pickup: small(field("pickup"), *pickup)?, place: place.typed()? }
            }
            Self::Newer { .. } => return Err(crate::choices::newer(&field("value"), PARTS)),
        })
    }
}

/// Something was turned, moved, cut or replaced. Turn a truss rod only a little at a time, with the
/// right key and the strings' pull in mind; leave a rod that does not want to turn to a qualified
/// repairer.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Adjustment {
    /// What was worked on.
    pub part: AdjustedPart,
    /// How far it was turned, in turns, -100 to 100; above zero is clockwise as seen from the tool.
    #[uniffi(default = None)]
    pub turns: Option<f64>,
    /// How far it moved, where that was read, as a length: height up, saddle away from the nut,
    /// sideways toward the treble side and the thickness of a shim are above zero.
    #[uniffi(default = None)]
    pub moved: Option<Entered>,
    /// What was noticed, at most 2000 characters.
    #[uniffi(default = None)]
    pub note: Option<String>,
}

impl Adjustment {
    pub(crate) fn typed(self) -> Result<record::Adjustment> {
        let turned = |turns: f64| -> Result<record::Turns> {
            let field = field("turns");
            record::Turns::exact(given::decimal(&field, turns)?).ok_or_else(|| {
                let reason = formulas::outside(names::computed(Computed::exact(turns)));
                FallawayError::bad_input(&field, &reason, turns_accepted())
            })
        };
        Ok(record::Adjustment {
            what: self.part.typed()?,
            turns: self.turns.map(turned).transpose()?,
            amount: given::amount(self.moved.as_ref(), field("distance"), Dimension::Length)?,
            note: self.note,
        })
    }
}

/// How many turns a record takes.
fn turns_accepted() -> fallaway::Accepted {
    let most = record::Turns::MAX as f64;
    fallaway::Accepted::from_to(-most, most, LimitUnit::Turn).said(errors::turns_accepted())
}

impl From<&record::Adjustment> for Adjustment {
    fn from(adjusted: &record::Adjustment) -> Self {
        Self {
            part: adjusted.what.into(),
            turns: adjusted.turns.map(record::Turns::value),
            moved: adjusted.amount.map(Entered::from),
            note: adjusted.note.clone(),
        }
    }
}

/// Strings were changed. Cut string ends are sharp, and strings under tension can whip: slacken
/// them first, and mind the eyes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringChange {
    /// Which strings; empty means all.
    #[uniffi(default = [])]
    pub strings: Vec<StringPlace>,
    /// The set as a whole, in the words of whoever fitted it.
    #[uniffi(default = None)]
    pub set_name: Option<String>,
    /// What was fitted where, as far as it is known; it becomes a fact of the instrument too.
    #[uniffi(default = [])]
    pub fitted: Vec<FittedString>,
    /// What was noticed, in free text.
    #[uniffi(default = None)]
    pub note: Option<String>,
}

impl From<&record::StringChange> for StringChange {
    fn from(change: &record::StringChange) -> Self {
        Self {
            strings: change.strings.iter().copied().map(StringPlace::from).collect(),
            set_name: change.set.clone(),
            fitted: change.fitted.iter().cloned().map(FittedString::from).collect(),
            note: change.note.clone(),
        }
    }
}

impl StringChange {
    pub(crate) fn typed(self) -> Result<record::StringChange> {
        Ok(record::StringChange {
            strings: places(&self.strings)?,
            set: self.set_name,
            fitted: self.fitted.iter().map(FittedString::typed).collect::<Result<_>>()?,
            note: self.note,
        })
    }
}

/// Strings were tuned.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TuningChange {
    /// Which strings; empty means all.
    #[uniffi(default = [])]
    pub strings: Vec<StringPlace>,
    /// Notes that differ from those before, which become facts of the instrument too; empty means
    /// that strings were brought back to pitch.
    #[uniffi(default = [])]
    pub changed: Vec<TunedString>,
    /// What was noticed, in free text.
    #[uniffi(default = None)]
    pub note: Option<String>,
}

impl TuningChange {
    pub(crate) fn typed(self) -> Result<record::Tuning> {
        Ok(record::Tuning {
            strings: places(&self.strings)?,
            changed: self.changed.iter().map(TunedString::typed).collect::<Result<_>>()?,
            note: self.note,
        })
    }
}

fn places(strings: &[StringPlace]) -> Result<Vec<fallaway::measure::StringPlace>> {
    strings.iter().map(StringPlace::typed).collect()
}

/// The air around the instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Climate {
    /// Temperature: "21 °C", "70 °F".
    #[uniffi(default = None)]
    pub temperature: Option<Entered>,
    /// Relative humidity in percent: "45%".
    #[uniffi(default = None)]
    pub humidity: Option<Entered>,
    /// Where it is kept: "bench", "case", "stage".
    #[uniffi(default = None)]
    pub where_kept: Option<String>,
    /// Hours that the instrument has been there.
    #[uniffi(default = None)]
    pub hours_there: Option<u32>,
}

impl Climate {
    pub(crate) fn typed(self) -> Result<record::Climate> {
        let temperature = self.temperature.as_ref();
        Ok(record::Climate {
            temperature: given::amount(temperature, Limit::Temperature, Dimension::Temperature)?,
            humidity: given::amount(self.humidity.as_ref(), Limit::Humidity, Dimension::Share)?,
            where_kept: self.where_kept,
            hours_there: self.hours_there,
        })
    }
}

/// A note that buzzes.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct BuzzNote {
    /// The string on which it buzzes.
    pub place: StringPlace,
    /// The lowest fret at which it is stopped; 0 for the open string.
    pub from_fret: u32,
    /// The highest such fret; the same as `from_fret` for a single note.
    pub to_fret: u32,
    /// How it is played, what is heard.
    #[uniffi(default = None)]
    pub note: Option<String>,
}

impl BuzzNote {
    pub(crate) fn typed(self) -> Result<record::Buzz> {
        Ok(record::Buzz {
            string: self.place.typed()?,
            from: fret(self.from_fret)?,
            to: fret(self.to_fret)?,
            note: self.note,
        })
    }
}

choices! {
    /// What kind of entry: called as in `EntryBody`.
    EntryKind = record::EntryKind {
        /// The instrument came in.
        VisitBegun,
        /// The visit is over.
        VisitEnded,
        /// A pass of readings.
        Readings,
        /// Something was turned, moved, cut or replaced.
        Adjusted,
        /// Strings were changed.
        StringsChanged,
        /// Strings were tuned.
        Tuned,
        /// The air around the instrument.
        ClimateNoted,
        /// A remark in free text.
        Remarked,
        /// A note that buzzes.
        Buzzed,
        /// A photo, with what it shows.
        PhotoTaken,
    }
}

/// What somebody tried at the instrument and could not do.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum CouldNot {
    /// Move a part: a screw that does not turn, a nut that is glued in.
    Move {
        /// The part that would not move, or could not be worked on.
        part: AdjustedPart,
    },
    /// Read something: no room for the tool, no tool that is fine enough.
    Read {
        /// What, and which way.
        quantity: Quantity,
        /// Of which string or side, or of the whole instrument.
        location: Location,
    },
    /// What a newer version wrote, or this app is too old for; the entry's `text` says it.
    Newer,
}

impl From<record::CouldNot> for CouldNot {
    fn from(could_not: record::CouldNot) -> Self {
        match could_not {
            record::CouldNot::Move(part) => Self::Move { part: part.into() },
            record::CouldNot::Read { quantity, location } => {
                Self::Read { quantity: quantity.into(), location: location.into() }
            }
            record::CouldNot::Other(_) => Self::Newer,
        }
    }
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum EntryBody {
    /// The instrument came in.
    VisitBegun {
        /// What is wanted: the complaint, the reason.
        purpose: Option<String>,
    },
    /// The visit is over.
    VisitEnded {
        /// What is left to do or to watch.
        note: Option<String>,
    },
    /// A pass of readings.
    Readings {
        /// Quantity, tool, conditions, and the readings in the order in which they were taken.
        taken: PassInfo,
    },
    /// Something was turned, moved, cut or replaced.
    Adjusted {
        /// What and how far.
        adjustment: Adjustment,
    },
    /// Strings were changed.
    StringsChanged {
        /// Which strings, and what was fitted.
        change: StringChange,
    },
    /// Strings were tuned.
    Tuned {
        /// Which strings, and to which notes if to others.
        tuning: TuningChange,
    },
    /// The air around the instrument.
    ClimateNoted {
        /// Temperature, humidity, where it is kept and for how long.
        climate: Climate,
    },
    /// A remark in free text.
    Remarked {
        /// What it says.
        text: String,
        /// The remark that this one corrects.
        replaces: Option<EntryId>,
        /// The entry that this one is about.
        about: Option<EntryId>,
        /// What could not be done: the text says why.
        could_not: Option<CouldNot>,
    },
    /// A note that buzzes.
    Buzzed {
        /// String, frets, and how it sounds.
        buzz: BuzzNote,
    },
    /// A photo, by its content.
    PhotoTaken {
        /// BLAKE3 hash of its bytes, 32 bytes.
        hash: Vec<u8>,
        /// Media type (RFC 6838), such as "image/jpeg".
        media_type: String,
        /// What it shows.
        caption: Option<String>,
    },
    /// Written by a newer version; the entry's `text` says so.
    FromNewer {
        /// The number of its kind in the record format.
        kind: u32,
    },
}

impl From<&record::EntryBody> for EntryBody {
    fn from(body: &record::EntryBody) -> Self {
        let strings = |places: &[fallaway::measure::StringPlace]| {
            places.iter().copied().map(StringPlace::from).collect()
        };
        match body {
            record::EntryBody::Visit(visit) => Self::VisitBegun { purpose: visit.purpose.clone() },
            record::EntryBody::VisitEnd(end) => Self::VisitEnded { note: end.note.clone() },
            record::EntryBody::Pass(pass) => Self::Readings { taken: pass.into() },
            record::EntryBody::Adjustment(adjusted) => {
                Self::Adjusted { adjustment: adjusted.into() }
            }
            record::EntryBody::StringChange(change) => {
                Self::StringsChanged { change: change.into() }
            }
            record::EntryBody::Tuning(tuning) => Self::Tuned {
                tuning: TuningChange {
                    strings: strings(&tuning.strings),
                    changed: tuning.changed.iter().map(|one| (*one).into()).collect(),
                    note: tuning.note.clone(),
                },
            },
            record::EntryBody::Climate(climate) => Self::ClimateNoted {
                climate: Climate {
                    temperature: climate.temperature.map(Entered::from),
                    humidity: climate.humidity.map(Entered::from),
                    where_kept: climate.where_kept.clone(),
                    hours_there: climate.hours_there,
                },
            },
            record::EntryBody::Remark(remark) => Self::Remarked {
                text: remark.text.clone(),
                replaces: remark.replaces.map(EntryId),
                about: remark.about.map(EntryId),
                could_not: remark.could_not.map(CouldNot::from),
            },
            record::EntryBody::Buzz(buzz) => Self::Buzzed {
                buzz: BuzzNote {
                    place: buzz.string.into(),
                    from_fret: buzz.from.number().into(),
                    to_fret: buzz.to.number().into(),
                    note: buzz.note.clone(),
                },
            },
            record::EntryBody::Photo(photo) => Self::PhotoTaken {
                hash: photo.hash.to_vec(),
                media_type: photo.media_type.clone(),
                caption: photo.caption.clone(),
            },
            other @ record::EntryBody::Unknown { .. } => {
                Self::FromNewer { kind: other.kind().number() }
            }
        }
    }
}

/// Somebody crossed an entry out.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Retraction {
    /// Who, if that was said.
    pub by: Option<String>,
    /// When, by their clock.
    pub at: Moment,
    /// Why it no longer counts, in the words of whoever crossed it out.
    pub reason: String,
}

/// One line of the history.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HistoryEntry {
    /// Its id: the same on every device.
    pub id: EntryId,
    /// A short name for it on this device; `entry_called` takes it.
    pub short_id: String,
    /// When it happened, by the clock of the device that wrote it.
    pub at: Moment,
    /// Who read it or did it, if that was said.
    pub by: Option<String>,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
    /// Who did it, to be shown: whom the entry names, with the device beside it where that could be
    /// taken for another device; else the device.
    pub who: String,
    /// The id of the visit to which it belongs.
    pub visit: Option<VisitId>,
    /// Not part of a change yet: nobody else has seen it, and crossing it out erases it.
    pub draft: bool,
    /// Who crossed it out, and why; empty if nobody did.
    pub retracted: Vec<Retraction>,
    /// The id of the later remark that takes its place.
    pub replaced_by: Option<EntryId>,
    /// A newer version wrote parts of it that this version does not understand; they are kept.
    pub newer: bool,
    /// What it says in words, in one line.
    pub text: String,
    /// What it says.
    pub body: EntryBody,
}

impl HistoryEntry {
    pub(crate) fn of(view: &fallaway::HistoryEntry) -> Self {
        let entry = &view.entry;
        let strikes = view.retracted.iter().map(|retraction| Retraction {
            by: retraction.by.clone(),
            at: retraction.at.into(),
            reason: match retraction.reason.as_str() {
                "" => crate::voice::say(&facts::newer()),
                reason => reason.to_owned(),
            },
        });
        Self {
            id: EntryId(entry.id),
            short_id: view.short.clone(),
            at: entry.at.into(),
            by: entry.by.clone(),
            device: view.device.clone(),
            who: view.who.clone(),
            visit: entry.visit.map(VisitId),
            draft: view.draft,
            retracted: strikes.collect(),
            replaced_by: view.replaced_by.map(EntryId),
            newer: entry.newer,
            text: crate::voice::say(&view.text),
            body: (&entry.body).into(),
        }
    }
}

/// Which entries to show.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct HistoryFilter {
    /// Only those of this visit, by its id.
    #[uniffi(default = None)]
    pub visit: Option<VisitId>,
    /// Only those of these kinds; all if empty.
    #[uniffi(default = [])]
    pub kinds: Vec<EntryKind>,
    /// Only passes of this quantity.
    #[uniffi(default = None)]
    pub quantity: Option<Quantity>,
    /// Only what happened then or later, by the clock of whoever wrote it.
    #[uniffi(default = None)]
    pub since: Option<Moment>,
    /// Only what happened before then.
    #[uniffi(default = None)]
    pub until: Option<Moment>,
    /// Only what has this text in its words, in the language that was set, or in the name of who did
    /// it; case does not matter.
    #[uniffi(default = None)]
    pub text: Option<String>,
    /// Only those before this entry, by its id: with `last` the page before the one on the screen.
    #[uniffi(default = None)]
    pub before: Option<EntryId>,
    /// Only the last so many.
    #[uniffi(default = None)]
    pub last: Option<u32>,
    /// Leave out what was crossed out.
    #[uniffi(default = false)]
    pub hide_retracted: bool,
}

impl HistoryFilter {
    pub(crate) fn typed(&self) -> Result<fallaway::HistoryFilter> {
        Ok(fallaway::HistoryFilter {
            visit: self.visit.map(|visit| visit.0),
            kinds: self.kinds.iter().map(|kind| kind.typed()).collect::<Result<_>>()?,
            quantity: self.quantity.map(super::place::Quantity::typed).transpose()?,
            since: self.since.map(Moment::typed).transpose()?,
            until: self.until.map(Moment::typed).transpose()?,
            text: self.text.clone(),
            voice: crate::voice::voice(),
            before: self.before.map(|before| before.0),
            last: self.last.map(|last| usize::try_from(last).unwrap_or(usize::MAX)),
            hide_retracted: self.hide_retracted,
        })
    }
}

/// What crossing out did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum RetractOutcome {
    /// The entry was a line of this device's draft that nobody has seen: it is gone.
    Erased,
    /// The entry stays in the history, crossed out.
    Kept,
    /// What came after this app was built.
    Newer,
    /// Of the library with which the tests try how a choice grows; never in another one.
    #[cfg(feature = "grown")]
    Grown,
}

impl From<fallaway::RetractOutcome> for RetractOutcome {
    fn from(outcome: fallaway::RetractOutcome) -> Self {
        match outcome {
            #[cfg(feature = "grown")]
            fallaway::RetractOutcome::Erased if crate::growth::knows(2) => Self::Grown,
            #[cfg(feature = "grown")]
            fallaway::RetractOutcome::Erased => Self::Newer,
            #[cfg(not(feature = "grown"))]
            fallaway::RetractOutcome::Erased => Self::Erased,
            fallaway::RetractOutcome::Kept => Self::Kept,
        }
    }
}

/// A visit: what was done in one go.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Visit {
    /// Its id, the id of the entry that opened it.
    pub id: VisitId,
    /// What it is for, if that was said.
    pub purpose: Option<String>,
    /// When it was opened.
    pub begun: Moment,
}

impl From<fallaway::Visit> for Visit {
    fn from(visit: fallaway::Visit) -> Self {
        Self { id: VisitId(visit.id), purpose: visit.purpose, begun: visit.begun.into() }
    }
}

/// A visit in the list of visits.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct VisitLine {
    /// What it is for and when it was opened.
    pub visit: Visit,
    /// When it was ended; `None` if nobody wrote that down.
    pub ended: Option<Moment>,
    /// The device that opened it, by the name it gave itself.
    pub device: String,
    /// How many entries belong to it, its beginning and end not counted.
    pub entry_count: u32,
}

impl From<fallaway::VisitLine> for VisitLine {
    fn from(line: fallaway::VisitLine) -> Self {
        Self {
            visit: line.visit.into(),
            ended: line.ended.map(Moment::from),
            device: line.device,
            entry_count: count(line.entries),
        }
    }
}
