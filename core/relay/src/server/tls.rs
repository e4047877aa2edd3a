//! Certificate and key.

use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError, RwLock};

use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

use super::options::ServeError;

/// What is shown to clients, as it was last read.
pub(super) struct Tls {
    certificates: PathBuf,
    key: PathBuf,
    acceptor: RwLock<TlsAcceptor>,
}

impl Tls {
    pub(super) fn open(certificates: &Path, key: &Path) -> Result<Self, ServeError> {
        let acceptor = RwLock::new(read(certificates, key)?);
        Ok(Self { certificates: certificates.to_owned(), key: key.to_owned(), acceptor })
    }

    /// Reads both files again; what was read before stays if they are not sound.
    pub(super) fn reload(&self) -> Result<(), ServeError> {
        let read = read(&self.certificates, &self.key)?;
        *self.acceptor.write().unwrap_or_else(PoisonError::into_inner) = read;
        Ok(())
    }

    pub(super) fn acceptor(&self) -> TlsAcceptor {
        self.acceptor.read().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

fn read(certificates: &Path, key: &Path) -> Result<TlsAcceptor, ServeError> {
    let wrong = |path: &Path, error: &dyn std::fmt::Display| ServeError::Tls {
        path: path.to_owned(),
        reason: error.to_string(),
    };
    let chain = CertificateDer::pem_file_iter(certificates)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|error| wrong(certificates, &error))?;
    let secret = PrivateKeyDer::from_pem_file(key).map_err(|error| wrong(key, &error))?;
    let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(|error| wrong(certificates, &error))?
        .with_no_client_auth()
        .with_single_cert(chain, secret)
        .map_err(|error| wrong(certificates, &error))?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(TlsAcceptor::from(Arc::new(config)))
}
