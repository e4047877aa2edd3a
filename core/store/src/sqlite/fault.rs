//! What can go wrong inside this store, before the caller hears of it.

use std::path::Path;

use rusqlite::ErrorCode;

use crate::error::StoreError;
use crate::model::{DamagedPart, Generation};

/// A row whose checksum or form is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct BadRow {
    /// Its table.
    pub table: &'static str,
    /// Its row number.
    pub n: i64,
    /// What it was.
    pub part: DamagedPart,
    /// What is wrong with it.
    pub reason: &'static str,
}

#[derive(Debug)]
pub(super) enum Fault {
    /// The caller can deal with it.
    Store(StoreError),
    /// Rows have to be set aside first.
    Rows(Vec<BadRow>),
    /// Pages of the file are damaged.
    Corrupt(String),
    /// The file is not a store at all.
    Foreign(String),
    /// The file may not be written.
    NotWritable(String),
    /// The file could not be opened.
    CannotOpen(String),
    /// The file system allows no write-ahead log.
    NoLog,
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        let reason = error.to_string();
        let code = match &error {
            rusqlite::Error::SqliteFailure(failure, _)
            | rusqlite::Error::SqlInputError { error: failure, .. } => failure.code,
            // The tables are strict, so no page that was written by us holds such a cell.
            rusqlite::Error::InvalidColumnType(..)
            | rusqlite::Error::FromSqlConversionFailure(..)
            | rusqlite::Error::IntegralValueOutOfRange(..) => return Self::Corrupt(reason),
            _ => return Self::Store(StoreError::Engine { reason }),
        };
        Self::Store(match code {
            // A constraint: whatever a row would collide with was looked for first, so an index says
            // otherwise than its table.
            ErrorCode::DatabaseCorrupt | ErrorCode::ConstraintViolation => {
                return Self::Corrupt(reason);
            }
            ErrorCode::NotADatabase => return Self::Foreign(reason),
            // A missing table or column: the statements are fixed, so the file's schema is wrong.
            ErrorCode::Unknown if reason.contains("no such") => return Self::Corrupt(reason),
            ErrorCode::ReadOnly | ErrorCode::PermissionDenied => return Self::NotWritable(reason),
            ErrorCode::CannotOpen => return Self::CannotOpen(reason),
            ErrorCode::DatabaseBusy
            | ErrorCode::DatabaseLocked
            | ErrorCode::FileLockingProtocolFailed => StoreError::Busy,
            ErrorCode::DiskFull => StoreError::Full,
            ErrorCode::SystemIoFailure => StoreError::Io { reason },
            _ => StoreError::Engine { reason },
        })
    }
}

impl Fault {
    /// What the caller hears when nothing could be done about it here. `path` is the file that was
    /// worked on.
    pub(super) fn into_error(self, path: &Path) -> StoreError {
        match self {
            Self::Store(error) => error,
            Self::Rows(rows) => StoreError::Damaged {
                reason: rows.first().map_or_else(
                    || "rows are damaged".to_owned(),
                    |row| format!("a row of {}: {}", row.table, row.reason),
                ),
            },
            Self::Corrupt(reason) | Self::Foreign(reason) => StoreError::Damaged { reason },
            Self::NotWritable(reason) => StoreError::NotWritable { path: path.to_owned(), reason },
            Self::CannotOpen(reason) => StoreError::CannotOpen { path: path.to_owned(), reason },
            Self::NoLog => StoreError::NoLog { path: path.to_owned() },
        }
    }
}

/// A record that has to be loaded again because parts of it were set aside.
pub(super) fn moved(current: Generation) -> Fault {
    Fault::Store(StoreError::Moved { current })
}
