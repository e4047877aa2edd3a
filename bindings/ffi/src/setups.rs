//! Setups: named sets of targets.

use fallaway::record;

use crate::entered::Entered;
use crate::error::field;
use crate::{EntryId, Location, Moment, Quantity, Result, SetupId};

/// A target to set.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NewTarget {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// For which string or side, or for the whole instrument.
    pub location: Location,
    /// The wanted value: "1.75 mm", "5/64 in", "0 cent".
    pub wanted: Entered,
    /// How far a reading may lie from it either way: "0.1 mm"; not below zero.
    pub tolerance: Entered,
}

impl NewTarget {
    /// The target, set by somebody at some time.
    pub(crate) fn typed(
        self,
        options: fallaway::WriteOptions,
        now: record::Moment,
    ) -> Result<record::Target> {
        let quantity = self.quantity.typed()?;
        Ok(record::Target {
            quantity,
            location: self.location.typed()?,
            wanted: self.wanted.amount(field("target"), quantity.dimension())?,
            tolerance: self.tolerance.amount(field("tolerance"), quantity.dimension())?,
            by: options.by,
            at: options.at.unwrap_or(now),
            taken_from: None,
        })
    }
}

/// A target of a setup.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Target {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// For which string or side, or for the whole instrument.
    pub location: Location,
    /// The quantity in words, such as "action at fret 24, fretted at 1".
    pub label: String,
    /// The wanted value, or the one displayed while there are several.
    pub wanted: Entered,
    /// How far a reading may lie from it either way.
    pub tolerance: Entered,
    /// Who set it, if that was said.
    pub by: Option<String>,
    /// When it was set.
    pub at: Moment,
    /// The id of the pass from which it was taken.
    pub taken_from: Option<EntryId>,
    /// Whether there are several values; `contested` has them.
    pub contested: bool,
}

impl From<fallaway::TargetView> for Target {
    fn from(view: fallaway::TargetView) -> Self {
        let target = view.target;
        Self {
            quantity: target.quantity.into(),
            location: target.location.into(),
            label: crate::voice::say(&fallaway::text::names::quantity(target.quantity)),
            wanted: target.wanted.into(),
            tolerance: target.tolerance.into(),
            by: target.by,
            at: target.at.into(),
            taken_from: target.taken_from.map(EntryId),
            contested: view.contested,
        }
    }
}

/// A setup by id and name, for a choice of one.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Record)]
pub struct SetupName {
    /// The setup, as calls take it.
    pub id: SetupId,
    /// What people call it.
    pub name: String,
}

impl From<fallaway::SetupName> for SetupName {
    fn from(setup: fallaway::SetupName) -> Self {
        Self { id: setup.id.into(), name: setup.name }
    }
}

/// A named set of targets.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Setup {
    /// Its id: two devices that name a setup alike mean the same one. It stays when the setup is called
    /// something else.
    pub id: SetupId,
    /// What people call it.
    pub name: String,
    /// Whether it is the one that is meant where none is named.
    pub is_default: bool,
    /// Its targets, by quantity and string.
    pub targets: Vec<Target>,
}

impl From<fallaway::Setup> for Setup {
    fn from(setup: fallaway::Setup) -> Self {
        let targets = setup.targets.into_iter().map(Target::from).collect();
        let (id, name) = (setup.id.into(), setup.name);
        Self { id, name, is_default: setup.is_default, targets }
    }
}
