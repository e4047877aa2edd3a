//! Who may do what in a log.

use fallaway_changes::LogId;
use fallaway_sync::wire::access::TokenHash;

use crate::model::EngineError;
use crate::rows::{LogRow, LogRows, TokenUse};

/// Seconds of a day.
pub(crate) const DAY: i64 = 24 * 60 * 60;

/// A log and what the token may do in it.
pub(crate) fn enter(
    rows: &mut dyn LogRows,
    log: &LogId,
    token: &TokenHash,
) -> Result<(LogRow, TokenUse), EngineError> {
    let (row, allowed) = (rows.log(log)?, rows.token_use(log, token)?);
    let (Some(row), Some(allowed)) = (row, allowed) else { return Err(EngineError::NoAccess) };
    if row.gone.is_some() { Err(EngineError::Gone) } else { Ok((row, allowed)) }
}

/// A log in which the token may do everything.
pub(crate) fn enter_whole(
    rows: &mut dyn LogRows,
    log: &LogId,
    token: &TokenHash,
) -> Result<LogRow, EngineError> {
    match enter(rows, log, token)? {
        (row, TokenUse::Whole) => Ok(row),
        (_, TokenUse::Until(number)) => Err(EngineError::Retired(number)),
    }
}

/// A log that the token rules, or ruled until the last change.
pub(crate) fn ruled(
    rows: &mut dyn LogRows,
    log: &LogId,
    admin: &TokenHash,
) -> Result<LogRow, EngineError> {
    let row = rows.log(log)?.ok_or(EngineError::NoAccess)?;
    if row.admin != *admin && row.admin_before.as_ref() != Some(admin) {
        return Err(EngineError::NoAccess);
    }
    if row.gone.is_some() { Err(EngineError::Gone) } else { Ok(row) }
}
