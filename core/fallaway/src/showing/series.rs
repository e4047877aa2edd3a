//! One quantity over the years, for a chart.

use fallaway_measure::{Location, Quantity, Reading, Tool};
use fallaway_order::PutInOrder as _;
use fallaway_record::{EntryBody, EntryId, EntryKind, Moment, Phase};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::showing::views::HistoryFilter;

/// One reading of a series.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesPoint {
    /// When it was read, by the reader's clock.
    pub at: Moment,
    /// Which string or side, or the whole instrument: one line of a chart each.
    pub location: Location,
    /// What was read.
    pub reading: Reading,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// Where in its visit it belongs.
    pub phase: Option<Phase>,
    /// Who read it, if that was said.
    pub by: Option<String>,
    /// The entry that holds the reading.
    pub entry: EntryId,
}

impl Instrument {
    /// Every reading of a quantity that was not crossed out, by time: at one place or at all, since a
    /// time and before another, where they are given.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn series(
        &self,
        quantity: Quantity,
        location: Option<Location>,
        since: Option<Moment>,
        until: Option<Moment>,
    ) -> Result<Vec<SeriesPoint>> {
        let passes = self.history(&HistoryFilter {
            kinds: vec![EntryKind::Readings],
            quantity: Some(quantity),
            since,
            until,
            hide_retracted: true,
            ..HistoryFilter::default()
        })?;
        let mut points = Vec::new();
        for view in passes {
            let entry = view.entry;
            let EntryBody::Pass(pass) = entry.body else { continue };
            let read = pass.readings.iter().filter(|r| location.is_none_or(|at| at == r.location));
            points.extend(read.map(|read| SeriesPoint {
                at: entry.at,
                location: read.location,
                reading: read.reading,
                tool: pass.tool,
                phase: pass.phase,
                by: entry.by.clone(),
                entry: entry.id,
            }));
        }
        points.put_in_order_by_key(|point| point.at.unix_s);
        Ok(points)
    }
}
