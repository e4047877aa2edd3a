//! Two devices in one room, over a stream in memory that may be cut at any byte.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex};
use std::thread;

use fallaway::meeting::{ByteStream, MeetOptions, MeetReport, StreamFault};
use fallaway::{Error, Workshop};

const DIGITS: &str = "471108";

#[derive(Default)]
struct Wire {
    state: Mutex<State>,
    news: Condvar,
}

#[derive(Default)]
struct State {
    queues: [VecDeque<u8>; 2],
    closed: bool,
    /// How many bytes go over it still.
    left: Option<usize>,
}

struct End<'a> {
    wire: &'a Wire,
    me: usize,
}

impl ByteStream for End<'_> {
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
        let goes = state.left.map_or(bytes.len(), |left| left.min(bytes.len()));
        state.left = state.left.map(|left| left - goes);
        if !state.closed {
            state.queues[self.me].extend(&bytes[..goes]);
        }
        let gone = state.closed || goes < bytes.len();
        state.closed |= gone;
        self.wire.news.notify_all();
        if gone { Err(StreamFault::Gone) } else { Ok(()) }
    }
}

/// Lets two devices meet, the first of which comes and the second listens; the stream is cut after so
/// many bytes, if at all.
///
/// # Errors
/// Whatever a meeting answers, of each.
///
/// # Panics
/// If one of them does.
pub fn meet(devices: [&Workshop; 2], cut: Option<usize>) -> [Result<MeetReport, Error>; 2] {
    let wire = Wire::default();
    wire.state.lock().unwrap().left = cut;
    let end = |me: usize| {
        let options = MeetOptions {
            listens: me == 1,
            digits: DIGITS.to_owned(),
            only: None,
            invitation: None,
        };
        let report = devices[me].meet(&End { wire: &wire, me }, &options);
        wire.state.lock().unwrap().closed = true;
        wire.news.notify_all();
        report
    };
    thread::scope(|scope| {
        let listens = scope.spawn(|| end(1));
        [end(0), listens.join().unwrap()]
    })
}
