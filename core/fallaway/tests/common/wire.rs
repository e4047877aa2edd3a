//! A stream in memory between two devices, that may be cut at any byte.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex};
use std::thread;

use fallaway::meeting::{ByteStream, MeetOptions, MeetReport, StreamFault};
use fallaway::{Error, Workshop};

#[derive(Default)]
struct Wire {
    state: Mutex<State>,
    news: Condvar,
}

#[derive(Default)]
struct State {
    queues: [VecDeque<u8>; 2],
    closed: bool,
    said: Vec<u8>,
    cut: Option<usize>,
}

struct WireEnd<'a> {
    wire: &'a Wire,
    me: usize,
}

impl Wire {
    fn close(&self) {
        self.state.lock().unwrap().closed = true;
        self.news.notify_all();
    }
}

impl ByteStream for WireEnd<'_> {
    fn read(&self, most: usize, _: u64) -> Result<Vec<u8>, StreamFault> {
        let mut state = self.wire.state.lock().unwrap();
        loop {
            let queue = &mut state.queues[1 - self.me];
            if !queue.is_empty() {
                let most = most.min(queue.len());
                return Ok(queue.drain(..most).collect());
            }
            if state.closed {
                return Ok(Vec::new());
            }
            state = self.wire.news.wait(state).unwrap();
        }
    }

    fn write(&self, bytes: &[u8], _: u64) -> Result<(), StreamFault> {
        let mut state = self.wire.state.lock().unwrap();
        let left = state.cut.map_or(bytes.len(), |cut| cut.saturating_sub(state.said.len()));
        let sent = &bytes[..left.min(bytes.len())];
        state.said.extend(sent);
        if !state.closed {
            state.queues[self.me].extend(sent);
        }
        let gone = state.closed || sent.len() < bytes.len();
        state.closed |= gone;
        self.wire.news.notify_all();
        if gone { Err(StreamFault::Gone) } else { Ok(()) }
    }
}

/// Lets two devices meet over a stream that is cut after so many bytes, if at all; what each of them has
/// to report, and all that went over it.
///
/// # Errors
/// Whatever a meeting answers, of each.
///
/// # Panics
/// If one of them does.
pub fn meet(
    came: (&Workshop, MeetOptions),
    listens: (&Workshop, MeetOptions),
    cut: Option<usize>,
) -> ([Result<MeetReport, Error>; 2], Vec<u8>) {
    let wire = Wire::default();
    wire.state.lock().unwrap().cut = cut;
    let end = |me: usize, (workshop, options): (&Workshop, MeetOptions)| {
        let report = workshop.meet(&WireEnd { wire: &wire, me }, &options);
        wire.close();
        report
    };
    let both = thread::scope(|scope| {
        let listens = scope.spawn(|| end(1, listens));
        [end(0, came), listens.join().unwrap()]
    });
    (both, wire.state.into_inner().unwrap().said)
}
