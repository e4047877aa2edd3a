//! Opening the file: fast when it is as it should be, and put right when it is not.

use std::sync::Mutex;
use std::time::{Duration, Instant};

use rusqlite::{Connection, OpenFlags};

use super::connection::{Garbage, Options, connect, connect_to_read};
use super::fault::Fault;
use super::folder::{Folder, Lock};
use super::last::{self, Last};
use super::{salvage, schema};
use crate::error::StoreError;
use crate::model::StoreAccess;

/// Earlier versions can corrupt a write-ahead log that two connections write
/// (the WAL-reset bug, fixed in 3.51.3; SQLite, "Write-Ahead Logging", https://www.sqlite.org/wal.html).
const ENGINE_NEEDED: (i32, &str) = (3_051_003, "3.51.3");

/// The open file.
pub(super) struct Open {
    /// The one connection that writes. Idle, it reads too, so that a program with one thread has
    /// one connection.
    pub writer: Mutex<Connection>,
    /// Connections that read while the writer is busy.
    pub readers: Mutex<Vec<Connection>>,
    /// Whether it can be written.
    pub access: StoreAccess,
    /// Where the last commit is noted.
    pub last: Last,
    /// Held for as long as the file is open; nothing is locked where nothing may be written.
    _lock: Option<Lock>,
}

/// How many things may have to be put right, one after the other, before the file opens.
const REPAIRS: u32 = 4;
/// How long to wait for other processes to close the file before looking at it again.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

/// Why the file cannot be used as it is.
enum Trouble {
    /// There is none yet.
    Absent,
    /// What else is wrong.
    Fault(Fault),
}

impl<F: Into<Fault>> From<F> for Trouble {
    fn from(fault: F) -> Self {
        Self::Fault(fault.into())
    }
}

/// Opens the store in this folder; creates, migrates or repairs it first if need be.
pub(super) fn open(folder: &Folder, options: &Options) -> Result<Open, StoreError> {
    let (needed, name) = ENGINE_NEEDED;
    if rusqlite::version_number() < needed {
        let found = rusqlite::version().to_owned();
        return Err(StoreError::EngineTooOld { found, needed: name });
    }
    let begun = Instant::now();
    let mut repairs = 0;
    loop {
        let lock = match folder.share(options.patience) {
            Err(refused @ StoreError::NotWritable { .. }) => {
                return to_read(folder, options, refused);
            }
            lock => lock?,
        };
        let trouble = match attempt(folder, options) {
            Ok((writer, access, last)) => {
                let (writer, readers) = (Mutex::new(writer), Mutex::new(Vec::new()));
                return Ok(Open { writer, readers, access, last, _lock: Some(lock) });
            }
            Err(trouble) => trouble,
        };
        drop(lock);
        let error = match trouble {
            Trouble::Absent => StoreError::Busy,
            Trouble::Fault(fault @ (Fault::Corrupt(_) | Fault::Foreign(_))) => {
                fault.into_error(&folder.database())
            }
            Trouble::Fault(fault) => return Err(fault.into_error(&folder.database())),
        };
        // Each round puts one thing right.
        if repairs == REPAIRS {
            return Err(error);
        }
        match folder.seize(options.patience.min(LOOK_AGAIN)) {
            Ok(_lock) => {
                put_right(folder, options)?;
                repairs += 1;
            }
            // Another process has it open, perhaps the one that has just put it right and keeps it
            // open from now on: look again before waiting on.
            Err(StoreError::Busy) if begun.elapsed() < options.patience => {}
            Err(StoreError::Busy) => return Err(error),
            Err(error) => return Err(error),
        }
    }
}

/// Opens the file of a folder that may only be read, if it can be read as it lies: it is whole, and of this
/// version or a newer one. Else as `refused`.
fn to_read(folder: &Folder, options: &Options, refused: StoreError) -> Result<Open, StoreError> {
    if folder.size()? == 0 || folder.has_log() || folder.repair_note().exists() {
        return Err(refused);
    }
    let path = folder.database();
    let opened = || {
        let conn = connect_to_read(&path, options)?;
        let known = schema::application(&conn)? == schema::APPLICATION_ID;
        let version = schema::version(&conn)?;
        Ok::<_, Fault>((conn, known, version))
    };
    let (conn, known, version) = opened().map_err(|fault| fault.into_error(&path))?;
    if !known || version < schema::SCHEMA {
        return Err(refused);
    }
    let access = if version > schema::SCHEMA {
        StoreAccess::ReadOnlyNewer { found: version, supported: schema::SCHEMA }
    } else {
        StoreAccess::ReadOnlyFolder
    };
    let (writer, readers) = (Mutex::new(conn), Mutex::new(Vec::new()));
    Ok(Open { writer, readers, access, last: Last::none(), _lock: None })
}

/// Opens the file if it is as it should be.
fn attempt(folder: &Folder, options: &Options) -> Result<(Connection, StoreAccess, Last), Trouble> {
    if folder.repair_note().exists() {
        return Err(Fault::Corrupt("damaged pages were found earlier".to_owned()).into());
    }
    match folder.size()? {
        0 => return Err(Trouble::Absent),
        // The database library takes a file of less than its smallest page for an empty one.
        1..512 => return Err(Fault::Foreign("it is too short for a store".to_owned()).into()),
        _ => {}
    }
    // The note first: what it says is in the database already, if nothing was lost.
    let (last, noted) = Last::open(&folder.last());
    let mut conn = connect(&folder.database(), options, OpenFlags::empty())?;
    let application = schema::application(&conn)?;
    let version = schema::version(&conn)?;
    if application != schema::APPLICATION_ID {
        let tables: i64 =
            conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        // Creation that was cut short leaves a file with nothing in it.
        let empty = (application, version, tables) == (0, 0, 0);
        let foreign = Fault::Foreign("it is another program's database".to_owned());
        return Err(if empty { Trouble::Absent } else { foreign.into() });
    }
    if version > schema::SCHEMA {
        conn.pragma_update(None, "query_only", true)?;
        let access = StoreAccess::ReadOnlyNewer { found: version, supported: schema::SCHEMA };
        return Ok((conn, access, last));
    }
    use_log(&conn)?;
    if version < schema::SCHEMA {
        schema::migrate(&mut conn)?;
    }
    if let Some(noted) = noted {
        last::compare(&mut conn, &last, noted)?;
    }
    Ok((conn, StoreAccess::ReadWrite, last))
}

/// Creates or repairs the file. No other process has it open.
fn put_right(folder: &Folder, options: &Options) -> Result<(), StoreError> {
    let path = folder.database();
    if folder.size()? == 0 && folder.rescue().exists() {
        // Salvage had moved the damaged file aside and was cut short.
        folder.set_stray_log_aside()?;
        return folder.use_rescue();
    }
    match attempt(folder, options) {
        Ok(_) => Ok(()),
        Err(Trouble::Absent) => {
            if folder.size()? == 0 {
                folder.set_stray_log_aside()?;
            }
            create(folder, options).map_err(|fault| fault.into_error(&path))
        }
        Err(Trouble::Fault(Fault::Foreign(reason))) => match options.garbage {
            Garbage::SetAside => folder.set_aside(&reason),
            Garbage::Refuse => Err(StoreError::NotAStore { path, reason }),
        },
        Err(Trouble::Fault(Fault::Corrupt(reason))) => salvage::run(folder, options, &reason),
        Err(Trouble::Fault(fault)) => Err(fault.into_error(&path)),
    }
}

fn create(folder: &Folder, options: &Options) -> Result<(), Fault> {
    let mut conn = connect(&folder.database(), options, OpenFlags::SQLITE_OPEN_CREATE)?;
    use_log(&conn)?;
    schema::migrate(&mut conn)
}

/// One writer and readers beside it.
fn use_log(conn: &Connection) -> Result<(), Fault> {
    let mode: String =
        conn.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))?;
    if mode == "wal" { Ok(()) } else { Err(Fault::NoLog) }
}
