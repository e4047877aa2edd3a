//! A stream whose writes may not stand still: a client that does not read what it asked for is let go.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use hyper::body::Bytes;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Sleep, sleep};

/// How long a write may stand still.
const STILL: Duration = Duration::from_secs(30);

/// The stream.
pub(super) struct Stall<S> {
    io: S,
    waits: Option<Pin<Box<Sleep>>>,
    /// What was read already, and is read again.
    again: Bytes,
}

impl<S> Stall<S> {
    pub(super) fn new(io: S) -> Self {
        Self { io, waits: None, again: Bytes::new() }
    }

    /// Takes back what was read of it, to be read before what comes.
    pub(super) fn give_back(&mut self, again: &[u8]) {
        self.again = [again, &self.again].concat().into();
    }
}

impl<S: Unpin> Stall<S> {
    fn watch<T>(
        &mut self,
        cx: &mut Context<'_>,
        poll: impl FnOnce(Pin<&mut S>, &mut Context<'_>) -> Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        let done = poll(Pin::new(&mut self.io), cx);
        if done.is_ready() {
            self.waits = None;
            return done;
        }
        let waits = self.waits.get_or_insert_with(|| Box::pin(sleep(STILL)));
        ready!(waits.as_mut().poll(cx));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Stall<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if !self.again.is_empty() {
            let most = self.again.len().min(into.remaining());
            into.put_slice(&self.again.split_to(most));
            return Poll::Ready(Ok(()));
        }
        Pin::new(&mut self.io).poll_read(cx, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Stall<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        from: &[u8],
    ) -> Poll<io::Result<usize>> {
        self.watch(cx, |io, cx| io.poll_write(cx, from))
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        from: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        self.watch(cx, |io, cx| io.poll_write_vectored(cx, from))
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.watch(cx, AsyncWrite::poll_flush)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.watch(cx, AsyncWrite::poll_shutdown)
    }
}
