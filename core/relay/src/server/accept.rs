//! From sockets to requests: a loop of our own, since what is served must end by a timer.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};

use super::State;
use super::handle::handle;
use super::stall::Stall;
use super::tls::Tls;

/// For a TLS handshake.
const HANDSHAKE: Duration = Duration::from_secs(10);
/// For the head of a request, also of the next one on a connection.
const HEAD: Duration = Duration::from_secs(10);
/// Bytes of a head.
const HEAD_BYTES: usize = 8 * 1024;
/// When the system refuses another socket.
const PAUSE: Duration = Duration::from_millis(100);

/// How many may be connected.
pub(super) struct Slots {
    all: Arc<Semaphore>,
    each: usize,
    by: Mutex<HashMap<IpAddr, usize>>,
}

/// One that is connected.
struct Slot {
    slots: Arc<Slots>,
    from: IpAddr,
    _one_of_all: OwnedSemaphorePermit,
}

impl Slots {
    /// `each` 0 is no limit.
    pub(super) fn new(all: usize, each: usize) -> Self {
        Self { all: Arc::new(Semaphore::new(all)), each, by: Mutex::default() }
    }

    fn take(self: &Arc<Self>, from: IpAddr) -> Option<Slot> {
        let one = Arc::clone(&self.all).try_acquire_owned().ok()?;
        let mut by = self.by.lock().unwrap_or_else(PoisonError::into_inner);
        let count = by.entry(from).or_default();
        if self.each > 0 && *count >= self.each {
            return None;
        }
        *count += 1;
        Some(Slot { slots: Arc::clone(self), from, _one_of_all: one })
    }
}

impl Drop for Slot {
    fn drop(&mut self) {
        let mut by = self.slots.by.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = by.get_mut(&self.from) {
            *count -= 1;
            if *count == 0 {
                by.remove(&self.from);
            }
        }
    }
}

/// Who is taken for one: an address, or the network of 64 bits that one customer has.
pub(super) fn source(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(six) => {
            let [a, b, c, d, ..] = six.segments();
            Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0).into()
        }
        IpAddr::V4(four) => four.into(),
    }
}

/// Takes connections until it is to stop; answers when each has ended, or its time is over.
pub(super) async fn accept(
    state: Arc<State>,
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
    state: Arc<State>,
    stream: TcpStream,
    peer: SocketAddr,
    tls: Option<Arc<Tls>>,
    stop: watch::Receiver<bool>,
) {
    // Answers are small: they leave at once. A socket that refuses this is as good as closed.
    let _ = stream.set_nodelay(true);
    state.metrics.connections.inc();
    let gauge = state.metrics.connections.clone();
    match tls {
        None => speak(state, stream, peer, stop).await,
        Some(tls) => match timeout(HANDSHAKE, tls.acceptor().accept(stream)).await {
            Ok(Ok(stream)) => speak(state, stream, peer, stop).await,
            Ok(Err(_)) => state.metrics.refused("handshake"),
            Err(_) => state.metrics.refused("slow-handshake"),
        },
    }
    gauge.dec();
}

async fn speak<S>(state: Arc<State>, io: S, peer: SocketAddr, mut stop: watch::Receiver<bool>)
where
    S: AsyncRead + AsyncWrite + Send + Unpin + 'static,
{
    let service = service_fn(move |request| handle(Arc::clone(&state), peer, request));
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(HEAD_BYTES);
    let connection = builder.serve_connection(TokioIo::new(Stall::new(io)), service);
    let mut connection = std::pin::pin!(connection);
    tokio::select! {
        // Whatever ends it, it has ended.
        _ = connection.as_mut() => return,
        _ = stop.wait_for(|stop| *stop) => connection.as_mut().graceful_shutdown(),
    }
    let _ = connection.await;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_customer_is_one_source() {
        let read = |text: &str| source(text.parse().unwrap());
        assert_eq!(read("::ffff:192.0.2.1"), read("192.0.2.1"));
        assert_eq!(read("2001:db8:1:2::1"), read("2001:db8:1:2:ffff::9"));
        assert_ne!(read("2001:db8:1:2::1"), read("2001:db8:1:3::1"));
    }

    #[test]
    fn slots_come_back() {
        let slots = Arc::new(Slots::new(3, 2));
        let [a, b] = ["192.0.2.1", "192.0.2.2"].map(|text| text.parse().unwrap());
        let one = (slots.take(a).unwrap(), slots.take(a).unwrap());
        assert!(slots.take(a).is_none());
        let two = slots.take(b).unwrap();
        assert!(slots.take(b).is_none());
        drop((one, two));
        assert!(slots.take(a).is_some());
        assert!(slots.by.lock().unwrap().is_empty());
    }
}
