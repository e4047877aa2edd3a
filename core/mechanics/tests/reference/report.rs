//! What came out: the worst deviation per quantity, and what nothing compared.

use std::collections::BTreeMap;
use std::fmt;

/// How far computed and expected may lie apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// At most this far, in the named unit.
    Absolute(f64, &'static str),
    /// At most this part of the expected value; `floor` is the expected magnitude below which the
    /// same absolute distance (`part * floor`) is allowed, so that zero can be compared.
    Relative {
        /// Largest accepted |computed - expected| / |expected|.
        part: f64,
        /// Smallest magnitude used as the denominator.
        floor: f64,
    },
}

impl Tolerance {
    /// The deviation in this tolerance's own measure, and its limit.
    fn measure(self, expected: f64, computed: f64) -> (f64, f64) {
        let apart = (computed - expected).abs();
        match self {
            Self::Absolute(limit, _) => (apart, limit),
            Self::Relative { part, floor } => (apart / expected.abs().max(floor), part),
        }
    }
}

/// The worst of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// How many values were compared.
    pub compared: usize,
    /// How many lay beyond the tolerance.
    pub beyond: usize,
    /// Largest deviation, in the tolerance's measure; infinite when a value could not be computed.
    pub worst: f64,
    /// Where in the file the worst lies.
    pub place: String,
    /// Expected and computed there.
    pub values: (f64, f64),
    /// What was allowed.
    pub tolerance: Tolerance,
}

/// What came out of one file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Report {
    rows: BTreeMap<String, Row>,
    not_checked: Vec<String>,
    not_given: usize,
    refused: Vec<String>,
}

impl Report {
    /// Compares one value.
    pub fn compare(
        &mut self,
        quantity: impl Into<String>,
        place: impl Into<String>,
        expected: f64,
        computed: f64,
        tolerance: Tolerance,
    ) {
        let (mut apart, limit) = tolerance.measure(expected, computed);
        if apart.is_nan() {
            apart = f64::INFINITY;
        }
        let place = place.into();
        let row = self.rows.entry(quantity.into()).or_insert_with(|| Row {
            compared: 0,
            beyond: 0,
            worst: -1.0,
            place: String::new(),
            values: (0.0, 0.0),
            tolerance,
        });
        row.compared += 1;
        if apart > limit {
            row.beyond += 1;
        }
        if apart > row.worst {
            row.worst = apart;
            row.place = place;
            row.values = (expected, computed);
            row.tolerance = tolerance;
        }
    }

    /// Compares one value that may be missing in the file, or that our code may refuse to compute.
    pub fn compare_result<E: fmt::Display>(
        &mut self,
        quantity: impl Into<String>,
        place: impl Into<String>,
        expected: Option<f64>,
        computed: Result<f64, E>,
        tolerance: Tolerance,
    ) {
        let (quantity, place) = (quantity.into(), place.into());
        match (expected, computed) {
            (None, _) => self.not_given += 1,
            (Some(expected), Ok(computed)) => {
                self.compare(quantity, place, expected, computed, tolerance);
            }
            (Some(_), Err(error)) => self.refused(format!("{place} ({quantity}): {error}")),
        }
    }

    /// A field that nothing compared.
    pub fn not_checked(&mut self, place: impl Into<String>) {
        self.not_checked.push(place.into());
    }

    /// A value that our code refuses to compute although the file expects one: counts as beyond.
    pub fn refused(&mut self, what: impl Into<String>) {
        self.refused.push(what.into());
    }

    /// Whether anything lies beyond its tolerance or could not be computed, or nothing was compared.
    pub fn failed(&self) -> bool {
        !self.refused.is_empty()
            || self.compared() == 0
            || self.rows.values().any(|row| row.beyond > 0)
    }

    /// How many values were compared.
    pub fn compared(&self) -> usize {
        self.rows.values().map(|row| row.compared).sum()
    }

    /// The fields that nothing compared.
    pub fn unchecked(&self) -> &[String] {
        &self.not_checked
    }

    /// The worst per quantity.
    pub fn rows(&self) -> &BTreeMap<String, Row> {
        &self.rows
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let width = self.rows.keys().map(String::len).max().unwrap_or(8).max(8);
        writeln!(f, "{:width$}  values      worst    allowed  where", "quantity")?;
        for (quantity, row) in &self.rows {
            let (limit, unit) = match row.tolerance {
                Tolerance::Absolute(limit, unit) => (limit, unit),
                Tolerance::Relative { part, .. } => (part, "relative"),
            };
            let verdict = if row.beyond > 0 {
                format!("  BEYOND in {} of {}", row.beyond, row.compared)
            } else {
                String::new()
            };
            writeln!(
                f,
                "{quantity:width$}  {:6}  {:9.2e}  {limit:9.2e}  {} ({unit}; file {}, computed {}){verdict}",
                row.compared, row.worst, row.place, row.values.0, row.values.1
            )?;
        }
        for what in &self.refused {
            writeln!(f, "NOT COMPUTED  {what}")?;
        }
        for place in &self.not_checked {
            writeln!(f, "NOT CHECKED  {place}")?;
        }
        write!(
            f,
            "{} values compared, {} left open in the file, {} fields not checked",
            self.compared(),
            self.not_given,
            self.not_checked.len()
        )
    }
}
