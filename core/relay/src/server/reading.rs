//! What has to wait for the disk.

use std::sync::Arc;
use std::time::Duration;

use fallaway_sync::wire::http::HttpResponse;
use fallaway_sync::wire::problem::Code;
use tokio::time::timeout;

use super::state::RelayState;
use crate::desk::{ItemsAsked, page_of, refuse};

/// For everything but waiting for news.
pub(super) const WORK: Duration = Duration::from_secs(30);

/// Lets something wait for the disk on another thread.
pub(super) async fn blocking(
    state: &Arc<RelayState>,
    work: impl FnOnce(&RelayState) -> HttpResponse + Send + 'static,
) -> HttpResponse {
    let state = Arc::clone(state);
    let work = tokio::task::spawn_blocking(move || work(&state));
    match timeout(WORK, work).await {
        Ok(Ok(response)) => response,
        _ => refuse(Code::Unavailable),
    }
}

/// What follows a place in a log, now.
pub(super) async fn read_items(state: &Arc<RelayState>, asked: ItemsAsked) -> HttpResponse {
    blocking(state, move |state| {
        let ItemsAsked { log, token, after, most, .. } = asked;
        match state.desk.engine().items(log, token, after, most) {
            Ok(portion) => page_of(&portion).unwrap_or_else(|problem| problem),
            Err(error) => error.into(),
        }
    })
    .await
}
