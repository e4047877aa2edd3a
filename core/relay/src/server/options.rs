//! How a relay is run, and why it is not.

use std::net::SocketAddr;
use std::path::PathBuf;

use crate::desk::Policy;
use crate::model::{Quotas, ShelvesError};

/// How a relay is run.
#[derive(Debug, Clone)]
pub struct ServeOptions {
    /// Where its data are.
    pub data: DataPlace,
    /// The address of a store for photos, if they are not to lie with the rest.
    #[cfg(feature = "s3")]
    pub blobs: Option<String>,
    /// Where it listens.
    pub listen: SocketAddr,
    /// Certificates and key, as PEM files.
    pub tls: Option<(PathBuf, PathBuf)>,
    /// Whether what comes in plaintext is TLS outside, and `X-Forwarded-For` can be believed.
    pub behind_proxy: bool,
    /// Where Prometheus asks; best on this machine only.
    pub metrics: Option<SocketAddr>,
    /// Whether each request has a line in the journal.
    pub journal_requests: bool,
    /// What it grants.
    pub quotas: Quotas,
    /// Who may open logs.
    pub policy: Policy,
    /// How often an address or a token may do what costs something.
    pub allowance: Allowance,
    /// Connections in all.
    pub connections: usize,
    /// Connections of one address; 0 is no limit.
    pub connections_each: usize,
}

/// Where the data of a relay are.
#[derive(Debug, Clone)]
pub enum DataPlace {
    /// In a folder, which is made if it is not there.
    Folder(PathBuf),
    /// In PostgreSQL, under a connection string; several processes may serve from there.
    #[cfg(feature = "postgres")]
    Postgres(String),
}

impl std::fmt::Display for DataPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Folder(folder) => write!(f, "{}", folder.display()),
            // The string may hold a password.
            #[cfg(feature = "postgres")]
            Self::Postgres(_) => f.write_str("PostgreSQL"),
        }
    }
}

/// How often something may be done. 0 is no limit.
#[derive(Debug, Clone, Copy)]
pub struct Allowance {
    /// Pushes a second with one token in one log; ten times as many at once.
    pub pushes: u32,
    /// Wrong tokens an address a minute, before it is shut out for a quarter of an hour.
    pub wrong_tokens: u32,
    /// New logs an address a day.
    pub new_logs: u32,
    /// Knocks an address an hour.
    pub knocks: u32,
    /// Parcels that an address leaves an hour.
    pub parcels: u32,
}

impl Default for Allowance {
    fn default() -> Self {
        Self { pushes: 20, wrong_tokens: 5, new_logs: 10, knocks: 4, parcels: 60 }
    }
}

/// Why a relay does not serve.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Everybody on the way could read tokens.
    #[error(
        "{0} is not on this machine: give --tls-cert and --tls-key, or, behind a proxy that speaks TLS, \
         --plaintext-behind-proxy"
    )]
    Plaintext(SocketAddr),
    /// Certificates or key.
    #[error("{}: {reason}", path.display())]
    Tls {
        /// The file of certificates or of the key.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The data cannot be used.
    #[error("{place}: {error}")]
    Data {
        /// Where they are.
        place: DataPlace,
        /// What is wrong with it.
        error: ShelvesError,
    },
    /// The store for photos.
    #[cfg(feature = "s3")]
    #[error("--blobs: {0}")]
    Blobs(crate::stores::ObjectsError),
    /// The network or the system.
    #[error("{what}: {error}")]
    System {
        /// What it was asked for.
        what: String,
        /// What it says.
        error: std::io::Error,
    },
}

impl ServeError {
    pub(super) fn system(what: impl Into<String>) -> impl FnOnce(std::io::Error) -> Self {
        let what = what.into();
        move |error| Self::System { what, error }
    }
}
