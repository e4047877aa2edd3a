//! An object store: a folder, or what speaks S3.

use std::path::{Path as FilePath, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use object_store::aws::{AmazonS3Builder, AmazonS3ConfigKey};
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::{BackoffConfig, ClientConfigKey, ObjectStore, ObjectStoreExt as _, RetryConfig};
use tokio::runtime::Handle;

use crate::model::ShelvesError;
use crate::objects::{ObjectName, ObjectPlace};

/// For one request with all its repetitions; whoever asked the relay waits for 30 seconds.
const PATIENCE: Duration = Duration::from_secs(10);

/// Why there is no store. Says nothing of what was shown to it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ObjectsError {
    /// The address is none.
    #[error("an address like s3://bucket/folder or file:///folder is wanted")]
    Address,
    /// The folder cannot be used.
    #[error("{}: {reason}", .folder.display())]
    Folder {
        /// The folder that cannot be used.
        folder: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// What stands in the environment.
    #[error(
        "AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY, AWS_REGION or AWS_ENDPOINT in the environment is not usable"
    )]
    Environment,
    /// It does not keep an object.
    #[error("{0}")]
    Probe(ShelvesError),
}

/// Objects in a store. The runtime outlives it, and no call of it comes from one of its tasks.
pub struct StoredObjects {
    store: Arc<dyn ObjectStore>,
    folder: Path,
    runtime: Handle,
}

impl StoredObjects {
    /// The store at an address: `file:///folder`, or `s3://bucket/folder` with key, region and endpoint from
    /// the environment (`AWS_ACCESS_KEY_ID`, `AWS_SECRET_ACCESS_KEY`, `AWS_REGION`, `AWS_ENDPOINT`,
    /// `AWS_ALLOW_HTTP`). It has to keep an object and give it up again.
    ///
    /// # Errors
    /// [`ObjectsError`].
    pub fn open(address: &str, runtime: Handle) -> Result<Self, ObjectsError> {
        let opened = match address.split_once("://") {
            Some(("file", folder)) if FilePath::new(folder).is_absolute() => {
                Self { store: Arc::new(in_folder(folder)?), folder: Path::default(), runtime }
            }
            Some(("s3", place)) => {
                let (bucket, folder) = place.split_once('/').unwrap_or((place, ""));
                let named = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.');
                if bucket.is_empty() || !bucket.bytes().all(named) {
                    return Err(ObjectsError::Address);
                }
                let folder = Path::parse(folder).map_err(|_| ObjectsError::Address)?;
                Self { store: Arc::new(in_bucket(bucket)?), folder, runtime }
            }
            _ => return Err(ObjectsError::Address),
        };
        let probe: Path = opened.folder.parts().chain(["probe".into()]).collect();
        let kept = opened.runtime.block_on(async {
            opened.store.put(&probe, b"fallaway".to_vec().into()).await?;
            opened.store.delete(&probe).await
        });
        kept.map_err(|error| ObjectsError::Probe(said(&error)))?;
        Ok(opened)
    }

    /// In folders of their own by the first byte, since a folder with a million files is slow.
    fn path(&self, name: &ObjectName) -> Path {
        let name = name.to_string();
        let first = name.get(..2).unwrap_or_default().to_owned();
        self.folder.parts().chain([first.into(), name.into()]).collect()
    }
}

fn in_folder(folder: &str) -> Result<LocalFileSystem, ObjectsError> {
    let why = |reason: String| ObjectsError::Folder { folder: PathBuf::from(folder), reason };
    std::fs::create_dir_all(folder).map_err(|error| why(error.to_string()))?;
    let store = LocalFileSystem::new_with_prefix(folder).map_err(|error| why(error.to_string()))?;
    // What was acknowledged outlives a power cut.
    Ok(store.with_fsync(true))
}

fn in_bucket(bucket: &str) -> Result<object_store::aws::AmazonS3, ObjectsError> {
    // The HTTP client takes its cryptography from the process. One that has its own already keeps it.
    let _ = tokio_rustls::rustls::crypto::ring::default_provider().install_default();
    let backoff = BackoffConfig {
        init_backoff: Duration::from_millis(100),
        max_backoff: Duration::from_secs(2),
        base: 2.0,
    };
    let seconds = format!("{} seconds", PATIENCE.as_secs());
    let timeout = |key| AmazonS3ConfigKey::Client(key);
    AmazonS3Builder::from_env()
        .with_bucket_name(bucket)
        .with_config(timeout(ClientConfigKey::Timeout), seconds)
        .with_config(timeout(ClientConfigKey::ConnectTimeout), "5 seconds")
        .with_retry(RetryConfig { backoff, max_retries: 3, retry_timeout: PATIENCE })
        .build()
        .map_err(|_| ObjectsError::Environment)
}

/// What it says itself may repeat what was shown to it.
fn said(error: &object_store::Error) -> ShelvesError {
    use object_store::Error::{NotFound, PermissionDenied, Unauthenticated};
    ShelvesError::Engine(match error {
        NotFound { .. } => "the object store has no such place".to_owned(),
        PermissionDenied { .. } | Unauthenticated { .. } => {
            "the object store does not allow it".to_owned()
        }
        _ => "the object store does not answer".to_owned(),
    })
}

impl ObjectPlace for StoredObjects {
    fn put(&self, name: &ObjectName, sealed: Vec<u8>) -> Result<(), ShelvesError> {
        let put = self.runtime.block_on(self.store.put(&self.path(name), sealed.into()));
        put.map(drop).map_err(|error| said(&error))
    }

    fn get(&self, name: &ObjectName) -> Result<Option<Vec<u8>>, ShelvesError> {
        let got =
            self.runtime.block_on(async { self.store.get(&self.path(name)).await?.bytes().await });
        match got {
            Ok(sealed) => Ok(Some(sealed.into())),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(error) => Err(said(&error)),
        }
    }

    fn remove(&self, name: &ObjectName) -> Result<(), ShelvesError> {
        match self.runtime.block_on(self.store.delete(&self.path(name))) {
            Ok(()) | Err(object_store::Error::NotFound { .. }) => Ok(()),
            Err(error) => Err(said(&error)),
        }
    }
}
