//! The model of each string, with everything of today taken in.

use fallaway_measure::{Location, Quantity, StringPlace};

use crate::neck::StringModel;
use crate::observe::{Estimate, Freshness, ReadingIndex};

/// Uncertainty in mm of relief read on one side, for a string somewhere between the sides (common
/// practice, no source).
pub(crate) const SIDE_MM: f64 = 0.05;

/// The strings over their necks.
pub(crate) struct StringModels(Vec<(StringPlace, StringModel)>);

impl StringModels {
    pub(crate) fn of(bench: &ReadingIndex<'_>) -> Self {
        let facts = &bench.input.facts;
        let mut models: Vec<(StringPlace, StringModel)> = facts
            .strings
            .iter()
            .filter_map(|s| Some((s.place, StringModel::new(s.scale_mm?, facts)?)))
            .collect();
        for measurand in bench.read_today() {
            let Freshness::Read { seen, .. } = bench.standing(measurand, None) else { continue };
            for (place, model) in &mut models {
                match (measurand.quantity, measurand.location) {
                    (Quantity::Relief { .. }, Location::Side(_)) => {
                        let u = seen.known.standard_uncertainty.hypot(SIDE_MM);
                        let known = Estimate { standard_uncertainty: u, ..seen.known };
                        model.read(measurand.quantity, known);
                    }
                    (Quantity::Relief { .. }, Location::Whole) => {
                        model.read(measurand.quantity, seen.known);
                    }
                    (_, Location::Course(of)) if of == *place => {
                        model.read(measurand.quantity, seen.known);
                    }
                    _ => {}
                }
            }
        }
        Self(models)
    }

    /// The model of a string.
    pub(crate) fn of_string(&self, place: StringPlace) -> Option<&StringModel> {
        self.0.iter().find(|(p, _)| *p == place).map(|(_, m)| m)
    }

    /// The model that stands for the instrument where no string is named: the middle string's.
    pub(crate) fn middle(&self) -> Option<&StringModel> {
        self.0.get(self.0.len() / 2).map(|(_, m)| m)
    }
}
