//! One connection with everything that protects the file.

use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use super::fault::Fault;

/// How the store is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// How long to wait while another process writes, before [`StoreError::Busy`](crate::StoreError::Busy).
    pub patience: Duration,
    /// What to do with a file that is not a store.
    pub garbage: Garbage,
    /// The greatest number of pages (4096 bytes each) that the file may have; beyond it
    /// [`StoreError::Full`](crate::StoreError::Full). `None` leaves it to the disk.
    pub max_pages: Option<u32>,
}

impl Default for Options {
    fn default() -> Self {
        Self { patience: Duration::from_secs(10), garbage: Garbage::SetAside, max_pages: None }
    }
}

/// What to do with a file that is not a store.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Garbage {
    /// Rename it, report it in [`Store::damages`](crate::Store::damages), and begin a new store.
    SetAside,
    /// Leave it alone and answer [`StoreError::NotAStore`](crate::StoreError::NotAStore).
    Refuse,
}

/// Opens one connection with everything that protects the file.
pub(super) fn connect(
    path: &Path,
    options: &Options,
    more: OpenFlags,
) -> Result<Connection, Fault> {
    // Every connection is used under a lock of ours.
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | more;
    let conn = Connection::open_with_flags(path, flags)?;
    if conn.is_readonly("main")? {
        return Err(Fault::NotWritable("the file is read-only".to_owned()));
    }
    protect(&conn, options)?;
    // The log is written home at 1,000 pages by default.
    conn.execute_batch("PRAGMA synchronous = FULL; PRAGMA journal_size_limit = 4194304;")?;
    // Elsewhere these do nothing.
    if cfg!(target_vendor = "apple") {
        conn.execute_batch("PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON;")?;
    }
    if let Some(pages) = options.max_pages {
        conn.pragma_update(None, "max_page_count", pages)?;
    }
    Ok(conn)
}

/// Opens one connection to a file in a folder that may only be read, which nobody writes: there is no log
/// beside it.
pub(super) fn connect_to_read(path: &Path, options: &Options) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_URI;
    let conn = Connection::open_with_flags(immutable(path), flags)?;
    protect(&conn, options)?;
    conn.pragma_update(None, "query_only", true)?;
    Ok(conn)
}

/// The address of a file that does not change while it is open (SQLite, "Uniform Resource Identifiers",
/// https://www.sqlite.org/uri.html).
fn immutable(path: &Path) -> String {
    let mut uri = "file:".to_owned();
    let text = path.to_string_lossy();
    // A drive's letter stands behind a slash.
    if !text.starts_with('/') {
        uri.push('/');
    }
    for c in text.chars() {
        match c {
            '?' => uri.push_str("%3f"),
            '#' => uri.push_str("%23"),
            '%' => uri.push_str("%25"),
            '\\' if cfg!(windows) => uri.push('/'),
            c => uri.push(c),
        }
    }
    uri + "?immutable=1"
}

/// What protects the file and its reader.
fn protect(conn: &Connection, options: &Options) -> Result<(), Fault> {
    conn.busy_timeout(options.patience)?;
    conn.set_prepared_statement_cache_capacity(64);
    // The file may come from anywhere: nothing in its schema is run.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true)?;
    // Else statements are planned anew whenever another value is bound to them.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    conn.execute_batch("PRAGMA cell_size_check = ON; PRAGMA temp_store = MEMORY;")?;
    Ok(())
}
