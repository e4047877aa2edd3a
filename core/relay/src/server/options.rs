//! How a relay is run, and why it is not.

use std::net::SocketAddr;
use std::path::PathBuf;

use crate::desk::Policy;
use crate::model::{Quotas, ShelvesError};

/// How a relay is run.
#[derive(Debug, Clone)]
pub struct ServeOptions {
    /// The folder of its data.
    pub data: PathBuf,
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
    /// How often.
    pub allowance: Allowance,
    /// Connections in all.
    pub connections: usize,
    /// Connections of one address; 0 is no limit.
    pub connections_each: usize,
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
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The data.
    #[error("{}: {error}", path.display())]
    Data {
        /// The folder.
        path: PathBuf,
        /// What is wrong with it.
        error: ShelvesError,
    },
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
