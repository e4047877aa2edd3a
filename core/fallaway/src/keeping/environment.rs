//! What the library needs from the world around it: a clock, randomness, and a place for secrets.
//!
//! All three are injected, so that a test can run a year in a second and a phone app can use its
//! platform's keystore.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use fallaway_order::Map;
use fallaway_record::Moment;

/// Tells the time. The time is noted in entries and never decides what is kept.
pub trait Clock: Send + Sync {
    /// The present moment: seconds since 1970-01-01T00:00:00Z and the local offset in minutes.
    fn now(&self) -> Moment;
}

/// Draws unpredictable bytes for keys and names.
pub trait Random: Send + Sync {
    /// Fills `bytes`, or says why the system gave none.
    ///
    /// # Errors
    /// The platform's own words when its generator does not answer.
    fn fill(&self, bytes: &mut [u8]) -> Result<(), String>;
}

/// What a [`SecretKeeper`] answers when it is asked for a secret.
#[derive(Clone, PartialEq, Eq)]
pub enum Kept {
    /// The secret is here.
    Found(Vec<u8>),
    /// Nothing has ever been stored under this name.
    Absent,
    /// Something is stored, but the device is locked; ask again after it is unlocked.
    Locked,
    /// Something was stored and can no longer be read.
    Lost(String),
    /// The keeper cannot tell: it failed.
    Failed(String),
}

impl std::fmt::Debug for Kept {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Secrets never reach a log.
        f.write_str(match self {
            Self::Found(_) => "Found(..)",
            Self::Absent => "Absent",
            Self::Locked => "Locked",
            Self::Lost(_) => "Lost",
            Self::Failed(_) => "Failed",
        })
    }
}

/// Keeps the device's few secrets outside the store and outside backups: the platform's keystore
/// in a phone app, a private file elsewhere.
pub trait SecretKeeper: Send + Sync {
    /// The secret stored under `name`.
    fn get(&self, name: &str) -> Kept;
    /// Stores `secret` under `name`, replacing what was there.
    ///
    /// # Errors
    /// The platform's own words when it refuses.
    fn put(&self, name: &str, secret: &[u8]) -> Result<(), String>;
}

/// The computer's clock and time zone.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> Moment {
        let now = chrono::Local::now();
        Moment {
            unix_s: now.timestamp(),
            offset_min: i16::try_from(now.offset().local_minus_utc() / 60).unwrap_or(0),
        }
    }
}

/// The operating system's random generator.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemRandom;

impl Random for SystemRandom {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), String> {
        getrandom::fill(bytes).map_err(|e| e.to_string())
    }
}

/// Keeps secrets in memory; they end with the process. For tests.
#[derive(Default)]
pub struct MemoryKeeper(Mutex<Map<String, Vec<u8>>>);

impl SecretKeeper for MemoryKeeper {
    fn get(&self, name: &str) -> Kept {
        match self.0.lock() {
            Ok(map) => map.get(name).map_or(Kept::Absent, |s| Kept::Found(s.clone())),
            Err(_) => Kept::Lost("a thread ended while it held the secrets".into()),
        }
    }

    fn put(&self, name: &str, secret: &[u8]) -> Result<(), String> {
        let mut map = self.0.lock().map_err(|e| e.to_string())?;
        map.insert(name.to_owned(), secret.to_vec());
        Ok(())
    }
}

/// Separates the checksums of secrets from every other use of the hash. Frozen.
const SECRET_CONTEXT: &str = "fallaway v1 secret file";
/// Bytes of such a checksum, at the end of the file.
const SECRET_SUM: usize = 16;

/// Keeps each secret in a file of its own that only its owner may read (mode 0600 on Unix). A file
/// ends with a checksum over its secret and its name: with one bit changed it would else be the key
/// of another device.
///
/// Meant for computers without a keystore. Leave its folder out of backups: a copy of this folder
/// is a copy of the device's identity.
#[derive(Debug, Clone)]
pub struct FileKeeper {
    folder: PathBuf,
}

impl FileKeeper {
    /// Keeps secrets in `folder`, which is created at the first [`SecretKeeper::put`].
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into() }
    }

    fn path(&self, name: &str) -> PathBuf {
        let safe: String =
            name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        self.folder.join(format!("{safe}.secret"))
    }
}

impl SecretKeeper for FileKeeper {
    fn get(&self, name: &str) -> Kept {
        let path = self.path(name);
        match fs::read(&path) {
            Ok(bytes) => match bytes.split_last_chunk() {
                Some((secret, sum)) if *sum == secret_sum(name, secret) => {
                    Kept::Found(secret.to_vec())
                }
                _ => Kept::Lost(format!(
                    "its file {} is damaged; put back a copy of it, or move it away to go on as a \
                     new device, which an owner has to invite",
                    path.display()
                )),
            },
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Kept::Absent,
            Err(e) => Kept::Lost(e.to_string()),
        }
    }

    fn put(&self, name: &str, secret: &[u8]) -> Result<(), String> {
        private_folder(&self.folder).map_err(|e| e.to_string())?;
        let path = self.path(name);
        // Several processes may put secrets at once: each in its turn, or they would take each
        // other's new file away.
        let turn = open_private(&self.folder.join("turn")).map_err(|e| e.to_string())?;
        turn.lock().map_err(|e| e.to_string())?;
        let fresh = path.with_extension("new");
        let bytes = [secret, secret_sum(name, secret).as_slice()].concat();
        write_private(&fresh, &bytes).map_err(|e| e.to_string())?;
        fs::rename(&fresh, &path).map_err(|e| e.to_string())?;
        #[cfg(unix)]
        fs::File::open(&self.folder).and_then(|f| f.sync_all()).map_err(|e| e.to_string())?;
        Ok(())
    }
}

fn secret_sum(name: &str, secret: &[u8]) -> [u8; SECRET_SUM] {
    let mut hasher = blake3::Hasher::new_derive_key(SECRET_CONTEXT);
    hasher.update(&(name.len() as u64).to_le_bytes()).update(name.as_bytes()).update(secret);
    let mut sum = [0; SECRET_SUM];
    hasher.finalize_xof().fill(&mut sum);
    sum
}

fn private_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(folder)
}

fn open_private(path: &Path) -> std::io::Result<fs::File> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options.open(path)
}

fn write_private(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = open_private(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_keeper_returns_what_it_was_given_and_only_to_its_owner() {
        let folder = tempfile::tempdir().unwrap();
        let keeper = FileKeeper::new(folder.path().join("secrets"));
        assert_eq!(keeper.get("device seed"), Kept::Absent);
        keeper.put("device seed", &[7; 32]).unwrap();
        keeper.put("device seed", &[8; 32]).unwrap();
        assert_eq!(keeper.get("device seed"), Kept::Found(vec![8; 32]));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = fs::metadata(keeper.path("device seed")).unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o600);
        }
    }

    #[test]
    fn a_flipped_bit_in_a_secrets_file_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let keeper = FileKeeper::new(folder.path());
        keeper.put("device seed", &[7; 32]).unwrap();
        let path = keeper.path("device seed");
        let sound = fs::read(&path).unwrap();
        for bit in 0..sound.len() * 8 {
            let mut bytes = sound.clone();
            bytes[bit / 8] ^= 1 << (bit % 8);
            fs::write(&path, bytes).unwrap();
            assert!(matches!(keeper.get("device seed"), Kept::Lost(_)), "bit {bit}");
        }
        for length in 0..sound.len() {
            fs::write(&path, &sound[..length]).unwrap();
            assert!(matches!(keeper.get("device seed"), Kept::Lost(_)), "{length} bytes");
        }
        // Nor is one secret taken for another.
        fs::write(keeper.path("incarnation"), &sound).unwrap();
        assert!(matches!(keeper.get("incarnation"), Kept::Lost(_)));
    }

    #[test]
    fn a_secret_is_not_printed() {
        assert_eq!(format!("{:?}", Kept::Found(vec![1, 2, 3])), "Found(..)");
    }
}
