//! What every request sees.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::{SystemTime, UNIX_EPOCH};

use tokio::sync::{Semaphore, watch};

use super::gate::Gate;
use super::journal::RequestLog;
use super::metrics::Metrics;
use super::news::News;
use super::slots::ConnectionSlots;
use crate::desk::Desk;

/// All of it.
pub(super) struct RelayState {
    pub(super) desk: Desk,
    pub(super) news: Arc<News>,
    pub(super) gate: Gate,
    pub(super) slots: Arc<ConnectionSlots>,
    pub(super) metrics: Metrics,
    pub(super) journal: RequestLog,
    pub(super) body_kib: Arc<Semaphore>,
    pub(super) behind_proxy: bool,
    pub(super) ready: AtomicBool,
    pub(super) full: AtomicBool,
    pub(super) stop: watch::Sender<bool>,
}

/// Seconds from 1970.
pub(super) fn now() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_secs()).unwrap_or(i64::MAX)
}
