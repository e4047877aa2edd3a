//! Entries of the history.

use fallaway::HistoryEntry;
use fallaway::record::{Body, Spec, Turns};
use serde::Serialize;

use super::{AmountJson, ReadingJson, amount, moment, reading};
use crate::render::{entries, names};

/// An entry of the history.
#[derive(Debug, Serialize)]
pub struct EntryJson {
    /// Its short name on this device.
    pub short: String,
    /// Its name everywhere.
    pub id: String,
    /// When it happened, by the clock of the device.
    pub at: String,
    /// Who read or did it, if that was said.
    pub by: Option<String>,
    /// The device that wrote it.
    pub device: String,
    /// The visit to which it belongs.
    pub visit: Option<String>,
    /// Whether it may still be taken back.
    pub draft: bool,
    /// Who crossed it out, and why.
    pub crossed_out: Vec<StruckJson>,
    /// The entry in words.
    pub text: String,
    /// What kind it is, and its details.
    #[serde(flatten)]
    pub detail: Detail,
}

/// Somebody crossed an entry out.
#[derive(Debug, Serialize)]
pub struct StruckJson {
    /// Who, if that was said.
    pub by: Option<String>,
    /// When.
    pub at: String,
    /// Why.
    pub reason: String,
}

/// What kind of entry, and its details. Kinds that carry only words have them in `text`.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Detail {
    /// A visit begins.
    VisitBegun,
    /// A visit ends.
    VisitEnded,
    /// Readings.
    Readings {
        /// What was read, and which way.
        quantity: String,
        /// With which tool.
        tool: Option<String>,
        /// as found, working, as left.
        phase: Option<String>,
        /// How the instrument lay.
        posture: Option<String>,
        /// The readings.
        readings: Vec<ReadingJson>,
    },
    /// Something was adjusted.
    Adjustment {
        /// What.
        what: String,
        /// The string's number, if there is one.
        string: Option<String>,
        /// Turns, clockwise above zero.
        turns_clockwise: Option<f64>,
        /// How far it moved; up, back (away from the nut) and treble are above zero.
        moved: Option<AmountJson>,
    },
    /// Strings were changed.
    Strings,
    /// Strings were tuned.
    Tuned,
    /// The air.
    Climate {
        /// Temperature.
        temperature: Option<AmountJson>,
        /// Relative humidity.
        relative_humidity: Option<AmountJson>,
        /// Hours that the instrument has been there.
        hours_there: Option<u32>,
    },
    /// A remark.
    Remark,
    /// A buzz.
    Buzz {
        /// The string's number.
        string: String,
        /// Lowest fret; 0 is open.
        from_fret: u8,
        /// Highest fret.
        to_fret: u8,
    },
    /// A photo.
    Photo,
    /// Written by a newer version.
    Unknown,
}

/// Describes an entry.
pub fn entry(view: &HistoryEntry, spec: &Spec) -> EntryJson {
    let entry = &view.entry;
    EntryJson {
        short: view.short.clone(),
        id: entry.id.to_string(),
        at: moment(entry.at),
        by: entry.by.clone(),
        device: view.device.clone(),
        visit: entry.visit.map(|visit| visit.to_string()),
        draft: view.draft,
        crossed_out: view
            .retracted
            .iter()
            .map(|retraction| StruckJson {
                by: retraction.by.clone(),
                at: moment(retraction.at),
                reason: retraction.reason.clone(),
            })
            .collect(),
        text: entries::words(entry, spec),
        detail: detail(&entry.body, spec),
    }
}

fn detail(body: &Body, spec: &Spec) -> Detail {
    match body {
        Body::Visit(_) => Detail::VisitBegun,
        Body::VisitEnd(_) => Detail::VisitEnded,
        Body::Pass(pass) => Detail::Readings {
            quantity: names::quantity(pass.quantity),
            tool: pass.tool.map(|tool| tool.to_string()),
            phase: pass.phase.map(|phase| phase.to_string()),
            posture: pass.posture.map(|posture| posture.to_string()),
            readings: pass.readings.iter().map(|read| reading(read, spec)).collect(),
        },
        Body::Adjustment(adjustment) => Detail::Adjustment {
            what: adjustment.what.to_string(),
            string: adjustment.what.place().map(|place| place.to_string()),
            turns_clockwise: adjustment.turns.map(Turns::value),
            moved: adjustment.amount.map(amount),
        },
        Body::StringChange(_) => Detail::Strings,
        Body::Tuning(_) => Detail::Tuned,
        Body::Climate(climate) => Detail::Climate {
            temperature: climate.temperature.map(amount),
            relative_humidity: climate.humidity.map(amount),
            hours_there: climate.hours_there,
        },
        Body::Remark(_) => Detail::Remark,
        Body::Buzz(buzz) => Detail::Buzz {
            string: buzz.string.to_string(),
            from_fret: buzz.from.number(),
            to_fret: buzz.to.number(),
        },
        Body::Photo(_) => Detail::Photo,
        Body::Unknown { .. } => Detail::Unknown,
    }
}
