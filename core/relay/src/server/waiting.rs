//! Requests that wait for news. While they do there is no HTTP around them: the library keeps two buffers of
//! 8 KiB for each connection, and ten thousand may wait.

use std::fmt::Write as _;
use std::io;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime};

use fallaway_sync::wire::http::HttpResponse;
use hyper::StatusCode;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::sync::{Notify, watch};

use super::heard::Heard;
use super::news::Waiter;
use super::reading::read_items;
use super::stall::Stall;
use super::state::RelayState;
use crate::desk::ItemsAsked;

/// What a request waits for.
pub(super) struct Wait {
    pub(super) waiter: Waiter,
    pub(super) asked: ItemsAsked,
    /// The answer if nothing comes.
    pub(super) nothing: HttpResponse,
}

/// Where a request of a connection sits down to wait.
#[derive(Default)]
pub(super) struct WaitingPlace {
    taken: Mutex<Option<Box<(Heard, Wait)>>>,
    bell: Notify,
}

impl WaitingPlace {
    pub(super) fn take(&self, heard: Heard, wait: Wait) {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        *taken = Some(Box::new((heard, wait)));
        self.bell.notify_one();
    }

    /// Ends when one has sat down.
    pub(super) async fn taken(&self) -> Box<(Heard, Wait)> {
        loop {
            let taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner).take();
            if let Some(taken) = taken {
                return taken;
            }
            self.bell.notified().await;
        }
    }
}

/// Waits, and writes the answer. Says whether the connection goes on.
pub(super) async fn wait<S: AsyncRead + AsyncWrite + Unpin>(
    state: &Arc<RelayState>,
    io: &mut Stall<S>,
    (heard, wait): (Heard, Wait),
    stop: &mut watch::Receiver<bool>,
) -> bool {
    let Wait { mut waiter, asked, nothing } = wait;
    state.metrics.waiters.inc();
    let came = tokio::select! {
        () = waiter.heard() => Some(true),
        () = tokio::time::sleep(Duration::from_secs(asked.wait.into())) => Some(false),
        _ = stop.wait_for(|stop| *stop) => Some(false),
        () = has_gone(io) => None,
    };
    state.metrics.waiters.dec();
    let Some(came) = came else { return false };
    let response = if came { read_items(state, asked).await } else { nothing };
    heard.answered(state, &response);
    let stays = heard.stays && !*stop.borrow();
    write(io, &response, stays, heard.is_head()).await.is_ok() && stays
}

/// Ends when nobody is there any more. Whoever sends the next request before this one is answered is heard
/// after it.
async fn has_gone<S: AsyncRead + Unpin>(io: &mut Stall<S>) {
    let mut first = [0];
    if matches!(io.read(&mut first).await, Ok(1)) {
        io.give_back(&first);
        std::future::pending::<()>().await;
    }
}

/// An answer as RFC 9112 has it.
async fn write<S: AsyncRead + AsyncWrite + Unpin>(
    io: &mut Stall<S>,
    response: &HttpResponse,
    stays: bool,
    head_only: bool,
) -> io::Result<()> {
    let status = StatusCode::from_u16(response.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let mut head = format!("HTTP/1.1 {status}\r\n");
    let date = httpdate::fmt_http_date(SystemTime::now());
    let (length, cache) = (response.body.len().to_string(), "no-store".to_owned());
    let own = [("Cache-Control", &cache), ("Content-Length", &length), ("Date", &date)];
    let said = response.headers.iter().map(|(name, value)| (name.as_str(), value));
    for (name, value) in said.chain(own) {
        // Into a string nothing fails.
        let _ = write!(head, "{name}: {value}\r\n");
    }
    head.push_str(if stays { "\r\n" } else { "Connection: close\r\n\r\n" });
    let mut all = head.into_bytes();
    if !head_only {
        all.extend_from_slice(&response.body);
    }
    io.write_all(&all).await?;
    io.flush().await?;
    if stays { Ok(()) } else { io.shutdown().await }
}
