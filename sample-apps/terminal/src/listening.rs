//! Waiting for news from a relay, until there is something to send.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use fallaway::sync::{ExchangeFault, HttpRequest, HttpResponse, HttpTransport, NoAnswer};

/// Sends requests as another transport does, but gives up one that waits for news once more is to be sent than
/// when it began. The exchange takes that for a failure, and begins again: with what is to be sent.
pub struct Listening<'a, T> {
    web: Arc<T>,
    /// How much is to be sent.
    to_send: &'a (dyn Fn() -> usize + Sync),
    every: Duration,
    gave_up: AtomicBool,
}

impl<'a, T: HttpTransport + 'static> Listening<'a, T> {
    /// Looks how much is to be sent as often as that, while it waits.
    pub fn new(web: Arc<T>, to_send: &'a (dyn Fn() -> usize + Sync), every: Duration) -> Self {
        Self { web, to_send, every, gave_up: AtomicBool::new(false) }
    }
}

/// Whether the relay answers only once it has news, or has waited long enough (docs/sync-protocol.md).
fn waits_for_news(request: &HttpRequest) -> bool {
    let query = request.url.split_once('?').map_or("", |(_, query)| query);
    query.split('&').any(|one| one.starts_with("wait="))
}

impl<T: HttpTransport + 'static> HttpTransport for Listening<'_, T> {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        if !waits_for_news(request) {
            return self.web.send(request);
        }
        let before = (self.to_send)();
        let (tell, told) = mpsc::channel();
        let (web, request) = (Arc::clone(&self.web), request.clone());
        // Given up, it goes on until the relay answers, and nobody hears the answer.
        thread::spawn(move || tell.send(web.send(&request)));
        loop {
            match told.recv_timeout(self.every) {
                Ok(answer) => return answer,
                Err(RecvTimeoutError::Disconnected) => return Err(ExchangeFault::Offline.into()),
                Err(RecvTimeoutError::Timeout) if (self.to_send)() > before => {
                    self.gave_up.store(true, Ordering::Relaxed);
                    return Err(ExchangeFault::Slow.into());
                }
                Err(RecvTimeoutError::Timeout) => {}
            }
        }
    }

    fn wait(&self, millis: u64) {
        // Nothing failed: what is to be sent waits for nobody.
        if !self.gave_up.swap(false, Ordering::Relaxed) {
            self.web.wait(millis);
        }
    }

    fn admission(&self) -> Option<String> {
        self.web.admission()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::sync::Mutex;
    use std::sync::atomic::AtomicUsize;
    use std::sync::mpsc::{Receiver, Sender, channel};

    use fallaway::sync::HttpMethod;

    use super::*;

    /// A relay that answers what waits for news when it is told to, and everything else at once.
    struct Relay {
        news: Mutex<Receiver<()>>,
        waited: AtomicUsize,
    }

    impl HttpTransport for Relay {
        fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
            if waits_for_news(request) {
                self.news.lock().unwrap().recv().map_err(|_| ExchangeFault::Offline)?;
            }
            Ok(HttpResponse { status: 200, ..HttpResponse::default() })
        }

        fn wait(&self, _millis: u64) {
            self.waited.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn relay() -> (Arc<Relay>, Sender<()>) {
        let (tell, news) = channel();
        (Arc::new(Relay { news: Mutex::new(news), waited: AtomicUsize::new(0) }), tell)
    }

    fn get(url: &str) -> HttpRequest {
        let url = format!("https://relay.example/v1/{url}");
        HttpRequest { method: HttpMethod::Get, url, headers: Vec::new(), body: Vec::new() }
    }

    const SOON: Duration = Duration::from_millis(1);

    /// One more is to be sent with each look from the third on: the relay never answers, and the wait ends all the
    /// same. What follows is tried at once; what fails after that waits as always.
    #[test]
    fn a_wait_for_news_ends_once_there_is_something_to_send() {
        let (relay, tell) = relay();
        let looks = AtomicUsize::new(0);
        let to_send = || usize::from(looks.fetch_add(1, Ordering::Relaxed) >= 2);
        let listening = Listening::new(Arc::clone(&relay), &to_send, SOON);
        assert!(listening.send(&get("items?after=0&wait=55")).is_err());
        assert_eq!(looks.load(Ordering::Relaxed), 3);
        listening.wait(1_000);
        assert_eq!(relay.waited.load(Ordering::Relaxed), 0);
        listening.wait(1_000);
        assert_eq!(relay.waited.load(Ordering::Relaxed), 1);
        drop(tell);
    }

    #[test]
    fn news_are_heard_and_other_requests_wait_for_nothing() {
        let (relay, tell) = relay();
        let listening = Listening::new(relay, &|| 4, SOON);
        assert_eq!(listening.send(&get("items?after=0")).unwrap().status, 200);
        tell.send(()).unwrap();
        // What waited to be sent before is no reason to give up.
        assert_eq!(listening.send(&get("items?after=0&wait=55")).unwrap().status, 200);
        // And a relay that goes away is one that is not reached.
        drop(tell);
        let gone = listening.send(&get("items?wait=55")).unwrap_err();
        assert_eq!(gone.why, ExchangeFault::Offline);
    }
}
