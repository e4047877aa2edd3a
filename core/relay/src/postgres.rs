//! Rows in PostgreSQL, which several processes share: none keeps anything but what is waited for.

mod rows;
mod schema;

use std::sync::atomic::AtomicU64;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use tokio::runtime::Handle;
use tokio_postgres::{Config, NoTls};

use crate::model::ShelvesError;
use crate::rows::{CommitWatch, LogRows, Shelves, Work};
use rows::PostgresRows;

/// Threads that write: while one waits for its commit, the other collects.
const WRITERS: usize = 2;
/// Works that one commit keeps at most.
const GROUP: usize = 256;
/// Reading connections that are kept for later.
const READERS: usize = 8;
/// For a connection, and for an answer of a network that is gone.
const PATIENCE: Duration = Duration::from_secs(10);

/// Rows in a database.
pub(crate) struct PostgresShelves {
    door: Arc<Door>,
    inbox: Option<Sender<Work>>,
    writers: Vec<JoinHandle<()>>,
    readers: Mutex<Vec<PostgresRows>>,
}

/// Makes connections.
struct Door {
    config: Config,
    runtime: Handle,
    total: Arc<AtomicU64>,
}

impl Door {
    fn connect(&self) -> Result<PostgresRows, ShelvesError> {
        let (client, connection) = self.runtime.block_on(self.config.connect(NoTls))?;
        // Its end shows at the client.
        self.runtime.spawn(connection);
        Ok(PostgresRows::new(self.runtime.clone(), client, Arc::clone(&self.total)))
    }
}

impl PostgresShelves {
    /// Opens what is at an address, or begins it.
    pub(crate) fn open(
        address: &str,
        runtime: Handle,
        watch: CommitWatch,
    ) -> Result<Self, ShelvesError> {
        let mut config: Config = address.parse()?;
        config.connect_timeout(PATIENCE).tcp_user_timeout(PATIENCE);
        let total = Arc::new(AtomicU64::new(0));
        let door = Arc::new(Door { config, runtime, total });
        let migrated = async {
            let (mut client, connection) = door.config.connect(NoTls).await?;
            door.runtime.spawn(connection);
            schema::migrate(&mut client).await
        };
        door.runtime.block_on(migrated)?;
        let mut first = door.connect()?;
        first.begin_reading()?;
        first.held()?;
        first.commit()?;
        let (inbox, works) = channel();
        let (works, watch) = (Arc::new(Mutex::new(works)), Arc::new(watch));
        let mut writers = Vec::new();
        for _ in 0..WRITERS {
            let (door, works) = (Arc::clone(&door), Arc::clone(&works));
            let watch = Arc::clone(&watch);
            let writer = std::thread::Builder::new().name("relay-writer".to_owned());
            writers.push(writer.spawn(move || write_all(&door, &works, &watch))?);
        }
        Ok(Self { door, inbox: Some(inbox), writers, readers: Mutex::new(vec![first]) })
    }
}

/// What is queued is done first.
impl Drop for PostgresShelves {
    fn drop(&mut self) {
        drop(self.inbox.take());
        for writer in self.writers.drain(..) {
            // If it panicked, there is nothing more to wait for.
            let _ = writer.join();
        }
    }
}

impl Shelves for PostgresShelves {
    fn read(
        &self,
        work: &mut dyn FnMut(&mut dyn LogRows) -> Result<(), ShelvesError>,
    ) -> Result<(), ShelvesError> {
        let kept = loop {
            let kept = self.readers.lock().unwrap_or_else(PoisonError::into_inner).pop();
            if kept.as_ref().is_none_or(|rows| !rows.is_closed()) {
                break kept;
            }
        };
        let mut rows = match kept {
            Some(rows) => rows,
            None => self.door.connect()?,
        };
        rows.begin_reading()?;
        work(&mut rows)?;
        rows.commit()?;
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        if readers.len() < READERS {
            readers.push(rows);
        }
        Ok(())
    }

    fn write(&self, work: Work) {
        let left = match &self.inbox {
            Some(inbox) => inbox.send(work).err().map(|unsent| unsent.0),
            None => Some(work),
        };
        if let Some(work) = left {
            let ruling = (work.run)(Err(ShelvesError::Closed));
            (ruling.settle)(Err(ShelvesError::Closed));
        }
    }
}

/// One writer's thread. A connection that was lost is made anew for the next group.
fn write_all(door: &Door, works: &Mutex<Receiver<Work>>, watch: &CommitWatch) {
    let mut open: Option<PostgresRows> = None;
    while let Some(group) = collect(works) {
        let began = Instant::now();
        let count = group.len();
        let lost = open.as_ref().is_none_or(PostgresRows::is_closed);
        let made = if lost { door.connect().map(|rows| open = Some(rows)) } else { Ok(()) };
        let mut kept = match (made, &mut open) {
            (Ok(()), Some(rows)) => rows.begin_writing(&group),
            (made, _) => made.and(Err(ShelvesError::Closed)),
        };
        let mut settles = Vec::new();
        for work in group {
            let ruling = match (&kept, &mut open) {
                (Ok(()), Some(rows)) => (work.run)(Ok(rows)),
                (Err(error), _) => (work.run)(Err(error.clone())),
                (Ok(()), None) => (work.run)(Err(ShelvesError::Closed)),
            };
            settles.push(ruling.settle);
            kept = kept.and(ruling.sound);
        }
        if let Some(rows) = &mut open {
            kept = kept.and_then(|()| rows.commit());
            if kept.is_err() {
                rows.roll_back();
            }
        }
        watch(count, began.elapsed());
        for settle in settles {
            settle(kept.clone());
        }
    }
}

/// What waits, once something does; `None` at the end.
fn collect(works: &Mutex<Receiver<Work>>) -> Option<Vec<Work>> {
    let works = works.lock().unwrap_or_else(PoisonError::into_inner);
    let mut group = vec![works.recv().ok()?];
    group.extend(works.try_iter().take(GROUP - 1));
    Some(group)
}

impl From<tokio_postgres::Error> for ShelvesError {
    fn from(error: tokio_postgres::Error) -> Self {
        use tokio_postgres::error::SqlState;
        match error.code() {
            Some(&SqlState::DISK_FULL) => Self::Full,
            // What it says of itself names the statement, and values of ours at most by their key.
            Some(code) => Self::Engine(format!("database: {}", code.code())),
            None => Self::Engine(error.to_string()),
        }
    }
}
