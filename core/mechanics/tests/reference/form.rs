//! The known forms of reference files.

use serde_json::Value;

use crate::fields::Fields;
use crate::{Report, Unreadable};

/// One form of reference file.
pub trait Form: Sync {
    /// What people call it.
    fn name(&self) -> &'static str;

    /// Whether the file is of this form, told by its keys.
    fn recognises(&self, file: &Fields<'_>) -> bool;

    /// Computes every output from the inputs and compares.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when an input without which nothing can be computed is missing.
    fn check(&self, file: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable>;
}

/// Every known form.
pub fn all() -> &'static [&'static dyn Form] {
    &[
        &crate::geometry::Geometry,
        &crate::board::Board,
        &crate::strings::Strings,
        &crate::pluck::Plucks,
    ]
}

/// Checks the text of a file; returns the form's name and the report.
///
/// # Errors
///
/// [`Unreadable`] when the text is not JSON, of no known form, or lacks an input.
pub fn check_text(text: &str) -> Result<(&'static str, Report), Unreadable> {
    let value: Value =
        serde_json::from_str(text).map_err(|e| Unreadable::NotJson(e.to_string()))?;
    check_value(&value)
}

/// Checks a file that has been read; returns the form's name and the report.
///
/// # Errors
///
/// As [`check_text`].
pub fn check_value(value: &Value) -> Result<(&'static str, Report), Unreadable> {
    let file = Fields::new("", value)?;
    let Some(form) = all().iter().find(|form| form.recognises(&file)) else {
        let known: Vec<_> = all().iter().map(|form| form.name()).collect();
        let keys: Vec<_> = file.keys().collect();
        return Err(Unreadable::UnknownForm { known: known.join(", "), keys: keys.join(", ") });
    };
    let mut report = Report::default();
    form.check(&file, &mut report)?;
    file.finish(&mut report);
    Ok((form.name(), report))
}
