//! From sockets to requests: a loop of our own, since what is served must end by a timer.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tokio_rustls::server::TlsStream;

use super::handle::handle;
use super::heard::Heard;
use super::slots::source;
use super::stall::Stall;
use super::state::RelayState;
use super::tls::Tls;
use super::waiting::{Wait, WaitingPlace, wait};

/// For a TLS handshake.
const HANDSHAKE: Duration = Duration::from_secs(10);
/// For the head of a request, also of the next one on a connection.
const HEAD: Duration = Duration::from_secs(10);
/// Bytes of a head.
const HEAD_BYTES: usize = 8 * 1024;
/// When the system refuses another socket.
const PAUSE: Duration = Duration::from_millis(100);

/// Takes connections until it is to stop; answers when each has ended, or its time is over.
pub(super) async fn accept(
    state: Arc<RelayState>,
    listener: TcpListener,
    tls: Option<Arc<Tls>>,
    mut stop: watch::Receiver<bool>,
    grace: Duration,
) {
    let mut connections = JoinSet::new();
    loop {
        let taken = tokio::select! {
            taken = listener.accept() => taken,
            Some(_) = connections.join_next() => continue,
            _ = stop.wait_for(|stop| *stop) => break,
        };
        let Ok((stream, peer)) = taken else {
            // Too many open files, mostly.
            state.metrics.refused("accept");
            sleep(PAUSE).await;
            continue;
        };
        let Some(slot) = state.slots.take(source(peer.ip())) else {
            state.metrics.refused("connections");
            continue;
        };
        let one = serve(Arc::clone(&state), stream, peer, tls.clone(), stop.clone());
        connections.spawn(async move {
            one.await;
            drop(slot);
        });
    }
    drop(listener);
    let all = async { while connections.join_next().await.is_some() {} };
    // What has not ended by then is cut off.
    let _ = timeout(grace, all).await;
}

async fn serve(
    state: Arc<RelayState>,
    stream: TcpStream,
    peer: SocketAddr,
    tls: Option<Arc<Tls>>,
    stop: watch::Receiver<bool>,
) {
    // Answers are small: they leave at once. A socket that refuses this is as good as closed.
    let _ = stream.set_nodelay(true);
    state.metrics.connections.inc();
    let gauge = state.metrics.connections.clone();
    // In boxes, so that who waits without TLS does not keep the room that a handshake needs.
    match tls {
        None => Box::pin(speak(state, stream, peer, stop)).await,
        Some(tls) => {
            if let Some(stream) = Box::pin(shake_hands(&state, &tls, stream)).await {
                Box::pin(speak(state, stream, peer, stop)).await;
            }
        }
    }
    gauge.dec();
}

async fn shake_hands(
    state: &RelayState,
    tls: &Tls,
    stream: TcpStream,
) -> Option<Box<TlsStream<TcpStream>>> {
    match timeout(HANDSHAKE, tls.acceptor().accept(stream)).await {
        Ok(Ok(stream)) => return Some(Box::new(stream)),
        Ok(Err(_)) => state.metrics.refused("handshake"),
        Err(_) => state.metrics.refused("slow-handshake"),
    }
    None
}

async fn speak<S>(state: Arc<RelayState>, io: S, peer: SocketAddr, mut stop: watch::Receiver<bool>)
where
    S: AsyncRead + AsyncWrite + Send + Unpin + 'static,
{
    let mut io = Stall::new(io);
    while let Some((mut seated, waits)) = answer(&state, io, peer, &mut stop).await {
        if !wait(&state, &mut seated, *waits, &mut stop).await {
            return;
        }
        io = seated;
    }
}

/// Answers requests, to the end of the connection or until one waits.
async fn answer<S>(
    state: &Arc<RelayState>,
    io: Stall<S>,
    peer: SocketAddr,
    stop: &mut watch::Receiver<bool>,
) -> Option<(Stall<S>, Box<(Heard, Wait)>)>
where
    S: AsyncRead + AsyncWrite + Send + Unpin + 'static,
{
    let seat = Arc::new(WaitingPlace::default());
    let (inner, place) = (Arc::clone(state), Arc::clone(&seat));
    let service =
        service_fn(move |request| handle(Arc::clone(&inner), peer, Arc::clone(&place), request));
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(HEAD_BYTES);
    // In a box, so that nothing of it is left while one waits.
    let mut connection = Box::new(builder.serve_connection(TokioIo::new(io), service));
    let mut stopping = false;
    let waits = loop {
        tokio::select! {
            // Whatever ends it, it has ended.
            _ = &mut connection => return None,
            waits = seat.taken() => break waits,
            _ = stop.wait_for(|stop| *stop), if !stopping => {
                stopping = true;
                Pin::new(&mut *connection).graceful_shutdown();
            }
        }
    };
    let parts = connection.into_parts();
    let mut io = parts.io.into_inner();
    io.give_back(&parts.read_buf);
    Some((io, waits))
}
