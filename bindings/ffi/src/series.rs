//! One quantity over the years, for a chart.

use crate::{EntryId, Estimate, Location, Moment, Phase, Tool};

/// One reading of a series.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SeriesPoint {
    /// When it was read, by the reader's clock.
    pub at: Moment,
    /// Which string or side, or the whole instrument: one line of the chart each.
    pub location: Location,
    /// What was read, with what a reading like it can tell.
    pub value: Estimate,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// Where in its visit it belongs.
    pub phase: Option<Phase>,
    /// Who read it, if that was said.
    pub by: Option<String>,
    /// The entry that holds the reading, for `entry`.
    pub entry: EntryId,
}

impl SeriesPoint {
    pub(crate) fn of(point: fallaway::SeriesPoint, quantity: fallaway::measure::Quantity) -> Self {
        Self {
            at: point.at.into(),
            location: point.location.into(),
            value: crate::estimate::of_reading(point.reading, point.tool, quantity.into()),
            tool: point.tool.map(Tool::from),
            phase: point.phase.map(Phase::from),
            by: point.by,
            entry: EntryId(point.entry),
        }
    }
}
