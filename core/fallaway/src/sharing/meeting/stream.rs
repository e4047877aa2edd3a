//! The stream of bytes that a meeting goes over.

use std::io::{ErrorKind, Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Carries bytes to another device and back, in order, by whatever the platform has for that: a socket,
/// a channel between two phones, a pipe. It need not be encrypted.
pub trait ByteStream: Send + Sync {
    /// Waits for bytes, so many milliseconds at most: at least one, no more than `most`. None if the
    /// other end has closed.
    ///
    /// # Errors
    /// [`StreamFault`].
    fn read(&self, most: usize, millis: u64) -> Result<Vec<u8>, StreamFault>;

    /// Sends all of these within so many milliseconds.
    ///
    /// # Errors
    /// [`StreamFault`].
    fn write(&self, bytes: &[u8], millis: u64) -> Result<(), StreamFault>;
}

/// Why nothing was read or sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StreamFault {
    /// The time is over.
    Slow,
    /// The connection is gone.
    Gone,
}

fn fault(error: &std::io::Error) -> StreamFault {
    match error.kind() {
        ErrorKind::WouldBlock | ErrorKind::TimedOut => StreamFault::Slow,
        _ => StreamFault::Gone,
    }
}

impl ByteStream for TcpStream {
    fn read(&self, most: usize, millis: u64) -> Result<Vec<u8>, StreamFault> {
        // A timeout of nothing would be none.
        let timeout = Duration::from_millis(millis.max(1));
        self.set_read_timeout(Some(timeout)).map_err(|error| fault(&error))?;
        let mut bytes = vec![0; most];
        loop {
            match (&mut &*self).read(&mut bytes) {
                Ok(read) => {
                    bytes.truncate(read);
                    return Ok(bytes);
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(fault(&error)),
            }
        }
    }

    fn write(&self, mut bytes: &[u8], millis: u64) -> Result<(), StreamFault> {
        let end = Instant::now() + Duration::from_millis(millis);
        while !bytes.is_empty() {
            let left = end.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return Err(StreamFault::Slow);
            }
            self.set_write_timeout(Some(left)).map_err(|error| fault(&error))?;
            match (&mut &*self).write(bytes) {
                Ok(0) => return Err(StreamFault::Gone),
                Ok(written) => bytes = bytes.get(written..).unwrap_or_default(),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(fault(&error)),
            }
        }
        Ok(())
    }
}
