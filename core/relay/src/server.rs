//! The relay as a program: a socket, limits, a journal and numbers around a [`Desk`].

mod accept;
mod buckets;
mod gate;
mod handle;
mod heard;
mod journal;
mod metrics;
mod news;
mod openapi;
mod options;
mod reading;
mod slots;
mod stall;
mod state;
mod tls;
mod waiting;

use std::convert::Infallible;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use http_body_util::Full;
use hyper::body::Bytes;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use serde_json::json;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::{Semaphore, watch};

use crate::desk::Desk;
use crate::engine::Engine;
use crate::model::ShelvesError;
use gate::Gate;
use journal::RequestLog;
use metrics::Metrics;
use news::News;
pub use options::{Allowance, DataPlace, ServeError, ServeOptions};
use slots::ConnectionSlots;
use state::{RelayState, now};
use tls::Tls;

/// How long requests that run have when it is to stop.
const GRACE: Duration = Duration::from_secs(20);
/// How often the disk is looked at, and old things are taken away.
const ROUND: Duration = Duration::from_secs(5);
/// Of the disk, what is left free: a twentieth, or this if that is less.
const LEFT_FREE: u64 = 1 << 30;
/// Bodies that are in memory at one time, in KiB.
const BODIES_KIB: usize = 256 * 1024;

/// Serves until SIGTERM or SIGINT; then answers what waits, and ends.
///
/// # Errors
/// [`ServeError`].
pub async fn serve(options: ServeOptions) -> Result<(), ServeError> {
    if !options.listen.ip().is_loopback() && options.tls.is_none() && !options.behind_proxy {
        return Err(ServeError::Plaintext(options.listen));
    }
    let tls = match &options.tls {
        Some((certificates, key)) => Some(Arc::new(Tls::open(certificates, key)?)),
        None => None,
    };
    let random = |error: getrandom::Error| ServeError::System {
        what: "randomness".to_owned(),
        error: std::io::Error::other(error.to_string()),
    };
    let journal = RequestLog::new(options.journal_requests).map_err(random)?;
    let metrics = Metrics::new();
    let (commit, group) = (metrics.commit.clone(), metrics.group.clone());
    let watched = Box::new(move |works: usize, took: Duration| {
        commit.observe(took.as_secs_f64());
        group.observe(works as f64);
    });
    let (place, quotas) = (options.data.clone(), options.quotas);
    let opened = tokio::task::spawn_blocking(move || match place {
        DataPlace::Folder(folder) => Engine::in_folder_watched(&folder, quotas, watched),
        #[cfg(feature = "postgres")]
        DataPlace::Postgres(address) => {
            Engine::on_postgres(&address, tokio::runtime::Handle::current(), quotas, watched)
        }
    });
    let engine = opened
        .await
        .unwrap_or(Err(ShelvesError::Closed))
        .map_err(|error| ServeError::Data { place: options.data.clone(), error })?;
    #[cfg(feature = "s3")]
    let engine = match options.blobs.clone() {
        None => engine,
        Some(address) => {
            let runtime = tokio::runtime::Handle::current();
            let open = move || crate::stores::StoredObjects::open(&address, runtime);
            let closed = || Err(crate::stores::ObjectsError::Probe(ShelvesError::Closed));
            let store = tokio::task::spawn_blocking(open).await.unwrap_or_else(|_| closed());
            engine.with_objects(Box::new(store.map_err(ServeError::Blobs)?))
        }
    };
    let bind = |address: SocketAddr| async move {
        TcpListener::bind(address).await.map_err(ServeError::system(address.to_string()))
    };
    let listener = bind(options.listen).await?;
    let numbers = match options.metrics {
        Some(address) => Some(bind(address).await?),
        None => None,
    };
    let address = listener.local_addr().map_err(ServeError::system("the socket"))?;
    let (stop, stopped) = watch::channel(false);
    let each = if options.behind_proxy { 0 } else { options.connections_each };
    let state = Arc::new(RelayState {
        desk: Desk::new(Arc::new(engine), options.policy),
        news: Arc::new(News::default()),
        gate: Gate::new(&options.allowance),
        slots: Arc::new(ConnectionSlots::new(options.connections, each)),
        metrics,
        journal,
        body_kib: Arc::new(Semaphore::new(BODIES_KIB)),
        behind_proxy: options.behind_proxy,
        ready: AtomicBool::new(true),
        full: AtomicBool::new(false),
        stop,
    });
    let numbers_at = numbers.as_ref().and_then(|listener| listener.local_addr().ok());
    journal::say(
        "info",
        "listening",
        &json!({
            "address": address.to_string(), "tls": tls.is_some(), "version": env!("CARGO_PKG_VERSION"),
            "metrics": numbers_at.map(|address| address.to_string()),
        }),
    );
    if let Some(listener) = numbers {
        tokio::spawn(serve_numbers(Arc::clone(&state), listener));
    }
    match options.data {
        DataPlace::Folder(folder) => {
            tokio::spawn(look_after(Arc::clone(&state), Some(folder)));
        }
        #[cfg(feature = "postgres")]
        DataPlace::Postgres(_) => {
            tokio::spawn(look_after(Arc::clone(&state), None));
            tokio::spawn(hear_others(Arc::clone(&state)));
        }
    }
    hear_signals(&state, tls.clone())?;
    accept::accept(Arc::clone(&state), listener, tls, stopped, GRACE).await;
    journal::say("info", "stopped", &json!(null));
    Ok(())
}

/// SIGTERM and SIGINT end it; SIGHUP has it read its certificates again.
fn hear_signals(state: &Arc<RelayState>, tls: Option<Arc<Tls>>) -> Result<(), ServeError> {
    let on = |kind| signal(kind).map_err(ServeError::system("signals"));
    let (mut term, mut int) = (on(SignalKind::terminate())?, on(SignalKind::interrupt())?);
    let mut hup = on(SignalKind::hangup())?;
    let state = Arc::clone(state);
    tokio::spawn(async move {
        loop {
            tokio::select! {
                _ = term.recv() => break,
                _ = int.recv() => break,
                _ = hup.recv() => {
                    let read = tls.as_ref().map_or(Ok(()), |tls| tls.reload());
                    let said = read.err().map(|error| error.to_string());
                    let level = if said.is_some() { "error" } else { "info" };
                    journal::say(level, "certificates read again", &json!(said));
                }
            }
        }
        journal::say("info", "stopping", &json!(null));
        state.ready.store(false, Ordering::Relaxed);
        state.stop.send_replace(true);
    });
    Ok(())
}

/// Looks at the disk and takes away what is old, while it runs.
async fn look_after(state: Arc<RelayState>, data: Option<PathBuf>) {
    let mut stop = state.stop.subscribe();
    loop {
        let (inner, folder) = (Arc::clone(&state), data.clone());
        // If it panicked, the next round says so again.
        let _ = tokio::task::spawn_blocking(move || look(&inner, folder.as_deref())).await;
        tokio::select! {
            () = tokio::time::sleep(ROUND) => {}
            _ = stop.wait_for(|stop| *stop) => return,
        }
    }
}

fn look(state: &RelayState, data: Option<&std::path::Path>) {
    let engine = state.desk.engine();
    let metrics = &state.metrics;
    if let Some(Ok(disk)) = data.map(rustix::fs::statvfs) {
        let free = disk.f_bavail.saturating_mul(disk.f_frsize);
        let least = (disk.f_blocks.saturating_mul(disk.f_frsize) / 20).min(LEFT_FREE);
        metrics.disk_free.set(free);
        let full = free < least;
        if state.full.swap(full, Ordering::Relaxed) != full {
            let level = if full { "error" } else { "info" };
            journal::say(level, "disk", &json!({ "full": full, "free": free }));
        }
    }
    let whole = |number: u64| i64::try_from(number).unwrap_or(i64::MAX);
    match engine.held() {
        Ok(held) => {
            metrics.logs.set(whole(held.logs));
            metrics.bundles.set(whole(held.bundles));
            metrics.blobs.set(whole(held.blobs));
            metrics.bytes.set(whole(held.bytes));
            metrics.knocks.set(whole(held.knocks));
            let stopping = *state.stop.borrow();
            state.ready.store(!stopping, Ordering::Relaxed);
        }
        Err(error) => {
            state.ready.store(false, Ordering::Relaxed);
            journal::say("error", "data", &json!(error.to_string()));
        }
    }
    // What is left is taken in the next round.
    let swept = engine.sweep(now()).and_then(|_| engine.sweep_objects(now()));
    if let Err(error) = swept {
        journal::say("error", "sweep", &json!(error.to_string()));
    }
}

/// Asks for what other processes have written where somebody waits.
#[cfg(feature = "postgres")]
async fn hear_others(state: Arc<RelayState>) {
    const EVERY: Duration = Duration::from_secs(2);
    let mut known = std::collections::HashMap::new();
    let mut stop = state.stop.subscribe();
    loop {
        tokio::select! {
            () = tokio::time::sleep(EVERY) => {}
            _ = stop.wait_for(|stop| *stop) => return,
        }
        let (logs, inner) = (state.news.logs(), Arc::clone(&state));
        let asked = logs.clone();
        let ends = tokio::task::spawn_blocking(move || inner.desk.engine().ends(&asked)).await;
        // The next round asks again.
        let Ok(Ok(ends)) = ends else { continue };
        let now: std::collections::HashMap<_, _> = logs.into_iter().zip(ends).collect();
        for (log, end) in &now {
            // Whoever began to wait since the last round has read it since then.
            if known.get(log).is_some_and(|before| before != end) {
                state.news.tell(log);
            }
        }
        known = now;
    }
}

/// `GET /metrics`, and nothing else.
async fn serve_numbers(state: Arc<RelayState>, listener: TcpListener) {
    while let Ok((stream, _)) = listener.accept().await {
        let state = Arc::clone(&state);
        tokio::spawn(async move {
            let service = service_fn(move |request: hyper::Request<hyper::body::Incoming>| {
                let found = request.uri().path() == "/metrics";
                let text = if found { state.metrics.text() } else { String::new() };
                let response = hyper::Response::builder()
                    .status(if found { 200 } else { 404 })
                    .header(
                        "Content-Type",
                        "application/openmetrics-text; version=1.0.0; charset=utf-8",
                    )
                    .body(Full::<Bytes>::from(text));
                let response = response.unwrap_or_default();
                async move { Ok::<_, Infallible>(response) }
            });
            let mut builder = http1::Builder::new();
            builder.timer(TokioTimer::new()).header_read_timeout(ROUND);
            // Whoever asked and went is not waited for.
            let _ = builder.serve_connection(TokioIo::new(stream), service).await;
        });
    }
}
