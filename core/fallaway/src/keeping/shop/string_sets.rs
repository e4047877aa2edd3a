//! String sets of the shop: what is in the packs that it fits, with the unit weights printed on them.

use fallaway_measure::StringPlace;
use fallaway_order::PutInOrder as _;
use fallaway_record::{SpecField, StringChange};

use super::model::StringSet;
use super::specs::by_name;
use super::work::check_text;
use crate::error::{Error, NotFoundKind, Result, near};
use crate::instrument::Instrument;
use crate::workshop::Workshop;

impl Workshop {
    /// The string sets of the shop, by name.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn string_sets(&self) -> Result<Vec<StringSet>> {
        drop(self.inner.session()?);
        Ok(self.inner.shop()?.sets)
    }

    /// The set whose name begins so; an exact name wins. Case does not matter.
    ///
    /// # Errors
    /// [`Error::NotFound`] with the names that there are, also where several begin so.
    pub fn string_set_named(&self, name: &str) -> Result<StringSet> {
        let sets = self.string_sets()?;
        by_name(&sets, name, |one| &one.name).cloned().ok_or_else(|| no_set(name, &sets))
    }

    /// Keeps a set, on this device only. One of this name is replaced.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that is empty or too long, for a set without strings, and for a gauge
    /// or weight that no string has; when the store cannot be written.
    pub fn keep_string_set(&self, set: &StringSet) -> Result<()> {
        check_text("name", &set.name, 1, 80)?;
        for (course, string) in (1..).zip(&set.strings) {
            let place = StringPlace::course(course)
                .map_err(|error| Error::internal("string set", error))?;
            let checked = SpecField::Strings(place, string.clone()).check();
            checked.map_err(fallaway_record::EditError::from)?;
        }
        let _session = self.inner.session()?;
        let mut kept = self.inner.shop()?;
        kept.sets.retain(|one| one.name != set.name.trim());
        kept.sets.push(StringSet { name: set.name.trim().to_owned(), ..set.clone() });
        kept.sets.put_in_order_by(|a, b| a.name.cmp(&b.name));
        self.inner.keep_shop(&kept)
    }

    /// Forgets a set. What was fitted stays as it was written down.
    ///
    /// # Errors
    /// [`Error::NotFound`]; when the store cannot be written.
    pub fn remove_string_set(&self, name: &str) -> Result<()> {
        let _session = self.inner.session()?;
        let mut kept = self.inner.shop()?;
        let before = kept.sets.len();
        kept.sets.retain(|one| one.name != name);
        if kept.sets.len() == before {
            return Err(no_set(name, &kept.sets));
        }
        self.inner.keep_shop(&kept)
    }
}

impl Instrument {
    /// The string sets of the shop that have as many strings as the instrument, by name.
    ///
    /// # Errors
    /// When the record or the store cannot be read.
    pub fn fitting_string_sets(&self) -> Result<Vec<StringSet>> {
        let strings = self.details()?.spec.places().len();
        let sets = self.inner.shop()?.sets;
        Ok(sets.into_iter().filter(|set| set.strings.len() == strings).collect())
    }

    /// A change of all strings to those of a set, for [`Instrument::add_string_change`]: each string of the
    /// instrument gets the one of its place, the highest first. `None` if their numbers differ.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn fitting(&self, set: &StringSet) -> Result<Option<StringChange>> {
        let places = self.details()?.spec.places();
        let fits = places.len() == set.strings.len();
        Ok(fits.then(|| StringChange {
            set: Some(set.name.clone()),
            fitted: places.into_iter().zip(set.strings.iter().cloned()).collect(),
            ..StringChange::default()
        }))
    }
}

fn no_set(name: &str, there: &[StringSet]) -> Error {
    Error::NotFound {
        what: NotFoundKind::StringSet,
        name: name.to_owned(),
        accepted: near(name, there.iter().map(|one| one.name.as_str())),
    }
}
