//! Numbers of the shop: targets with a name, for every instrument of a kind.

use fallaway_order::PutInOrder as _;
use fallaway_record::SetupId;

use super::model::ShopSpec;
use super::work::check_text;
use crate::error::{Error, NotFoundKind, Result, near};
use crate::instrument::Instrument;
use crate::workshop::Workshop;
use crate::writing::targets_from::SourceTargets;

impl Instrument {
    /// Keeps the targets of a setup (the default one if none is named) for other instruments, under a name,
    /// on this device only. One of this name is replaced.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have, or that has no targets;
    /// [`Error::BadInput`] for a name that is empty or too long; when the store cannot be written.
    pub fn keep_spec(&self, name: &str, setup: Option<&SetupId>) -> Result<ShopSpec> {
        let name = name.trim();
        check_text("name", name, 1, 80)?;
        let SourceTargets { courses, last_fret, notes, targets } = self.wanted(setup)?;
        let spec = ShopSpec { name: name.to_owned(), targets, courses, last_fret, notes };
        let _session = self.inner.session()?;
        let mut kept = self.inner.shop()?;
        kept.specs.retain(|one| one.name != name);
        kept.specs.push(spec.clone());
        kept.specs.put_in_order_by(|a, b| a.name.cmp(&b.name));
        self.inner.keep_shop(&kept)?;
        Ok(spec)
    }
}

impl Workshop {
    /// The numbers of the shop, by name.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn specs(&self) -> Result<Vec<ShopSpec>> {
        drop(self.inner.session()?);
        Ok(self.inner.shop()?.specs)
    }

    /// Those whose name begins so; an exact name wins. Case does not matter.
    ///
    /// # Errors
    /// [`Error::NotFound`] with the names that there are, also where several begin so.
    pub fn spec_named(&self, name: &str) -> Result<ShopSpec> {
        let specs = self.specs()?;
        match by_name(&specs, name, |one| &one.name) {
            Some(spec) => Ok(spec.clone()),
            None => Err(no_spec(name, &specs)),
        }
    }

    /// Forgets numbers of the shop. Targets that came from them stay.
    ///
    /// # Errors
    /// [`Error::NotFound`]; when the store cannot be written.
    pub fn remove_spec(&self, name: &str) -> Result<()> {
        let _session = self.inner.session()?;
        let mut kept = self.inner.shop()?;
        let before = kept.specs.len();
        kept.specs.retain(|one| one.name != name);
        if kept.specs.len() == before {
            return Err(no_spec(name, &kept.specs));
        }
        self.inner.keep_shop(&kept)
    }
}

/// The one of this name, or else the only one whose name begins so.
pub(super) fn by_name<'a, T>(
    all: &'a [T],
    name: &str,
    of: impl Fn(&T) -> &String,
) -> Option<&'a T> {
    let wanted = name.trim().to_lowercase();
    let exact = all.iter().find(|one| of(one).to_lowercase() == wanted);
    let mut begin = all.iter().filter(|one| of(one).to_lowercase().starts_with(&wanted));
    exact.or_else(|| begin.next().filter(|_| !wanted.is_empty() && begin.next().is_none()))
}

fn no_spec(name: &str, there: &[ShopSpec]) -> Error {
    Error::NotFound {
        what: NotFoundKind::Spec,
        name: name.to_owned(),
        accepted: near(name, there.iter().map(|one| one.name.as_str())),
    }
}
