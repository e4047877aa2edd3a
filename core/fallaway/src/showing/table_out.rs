//! Readings as a table that spreadsheets open, and that comes in again.

use fallaway_measure::Location;
use fallaway_record::{EntryBody, EntryKind, Pass, Phase};

use crate::dates::written_moment;
use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::showing::views::HistoryFilter;

const HEADINGS: [&str; 8] = ["date", "visit", "by", "quantity", "place", "value", "tool", "phase"];

impl Instrument {
    /// Every reading that was not crossed out as comma-separated values (RFC 4180), a row each, under the
    /// headings of `docs/import.md`, so that [`Instrument::import_table`] reads it back.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn export_table(&self) -> Result<String> {
        let failed = |error: &dyn std::fmt::Display| Error::internal("table", error);
        let mut rows = csv::Writer::from_writer(Vec::new());
        rows.write_record(HEADINGS).map_err(|error| failed(&error))?;
        let visits = self.visits()?;
        let filter = HistoryFilter {
            kinds: vec![EntryKind::Readings],
            hide_retracted: true,
            ..HistoryFilter::default()
        };
        for view in self.history(&filter)? {
            let EntryBody::Pass(pass) = &view.entry.body else { continue };
            let visit = visits.iter().find(|one| Some(one.visit.id) == view.entry.visit);
            let purpose = visit.and_then(|one| one.visit.purpose.clone()).unwrap_or_default();
            for read in &pass.readings {
                let row: [String; 8] = [
                    written_moment(view.entry.at),
                    purpose.clone(),
                    view.who.clone(),
                    pass.quantity.to_string(),
                    place(read.location),
                    read.reading.to_string(),
                    pass.tool.map(|tool| tool.to_string()).unwrap_or_default(),
                    phase(pass).to_owned(),
                ];
                rows.write_record(&row).map_err(|error| failed(&error))?;
            }
        }
        let bytes = rows.into_inner().map_err(|error| failed(&error))?;
        String::from_utf8(bytes).map_err(|error| failed(&error))
    }
}

fn place(location: Location) -> String {
    match location {
        Location::Whole => String::new(),
        other => other.to_string(),
    }
}

const fn phase(pass: &Pass) -> &'static str {
    match pass.phase {
        Some(Phase::AsFound) => "as found",
        Some(Phase::AsLeft) => "as left",
        Some(Phase::Working) => "working",
        Some(Phase::Other(_)) | None => "",
    }
}
