//! Who waits for what comes into a log.

use std::collections::HashMap;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};

use fallaway_changes::LogId;
use tokio::sync::Notify;
use tokio::sync::futures::OwnedNotified;

/// Those who wait, by log.
#[derive(Default)]
pub(super) struct News(Mutex<HashMap<LogId, (Arc<Notify>, usize)>>);

/// One who waits, until it is dropped.
pub(super) struct Waiter {
    news: Arc<News>,
    log: LogId,
    heard: Pin<Box<OwnedNotified>>,
}

impl News {
    /// Begins to wait. What comes from now on is heard.
    pub(super) fn wait(self: &Arc<Self>, log: LogId) -> Waiter {
        let mut logs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (bell, count) = logs.entry(log).or_default();
        *count += 1;
        let mut heard = Box::pin(Arc::clone(bell).notified_owned());
        heard.as_mut().enable();
        Waiter { news: Arc::clone(self), log, heard }
    }

    /// Says that something came.
    pub(super) fn tell(&self, log: &LogId) {
        let logs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((bell, _)) = logs.get(log) {
            bell.notify_waiters();
        }
    }

    /// The logs that somebody waits for.
    #[cfg(any(test, feature = "postgres"))]
    pub(super) fn logs(&self) -> Vec<LogId> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).keys().copied().collect()
    }
}

impl Waiter {
    /// Ends when something has come since the wait began. May be asked again if it was given up.
    pub(super) async fn heard(&mut self) {
        self.heard.as_mut().await;
    }
}

impl Drop for Waiter {
    fn drop(&mut self) {
        let mut logs = self.news.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, count)) = logs.get_mut(&self.log) {
            *count -= 1;
            if *count == 0 {
                logs.remove(&self.log);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn those_who_wait_hear_and_leave_nothing_behind() {
        let news = Arc::new(News::default());
        let (log, other) = (LogId::from_bytes([1; 16]), LogId::from_bytes([2; 16]));
        let (mut one, mut two, mut apart) = (news.wait(log), news.wait(log), news.wait(other));
        news.tell(&log);
        one.heard().await;
        two.heard().await;
        assert!(!apart.heard.as_mut().enable(), "nothing came there");
        assert_eq!(news.logs().len(), 2);
        drop((one, two, apart));
        assert_eq!(news.logs(), []);
    }
}
