//! How many are connected.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// How many may be connected.
pub(super) struct ConnectionSlots {
    all: Arc<Semaphore>,
    each: usize,
    by: Mutex<HashMap<IpAddr, usize>>,
}

/// One that is connected, until it is dropped.
pub(super) struct ConnectionSlot {
    slots: Arc<ConnectionSlots>,
    from: IpAddr,
    _one_of_all: OwnedSemaphorePermit,
}

impl ConnectionSlots {
    /// `each` 0 is no limit.
    pub(super) fn new(all: usize, each: usize) -> Self {
        Self { all: Arc::new(Semaphore::new(all)), each, by: Mutex::default() }
    }

    pub(super) fn take(self: &Arc<Self>, from: IpAddr) -> Option<ConnectionSlot> {
        let one = Arc::clone(&self.all).try_acquire_owned().ok()?;
        let mut by = self.by.lock().unwrap_or_else(PoisonError::into_inner);
        let count = by.entry(from).or_default();
        if self.each > 0 && *count >= self.each {
            return None;
        }
        *count += 1;
        Some(ConnectionSlot { slots: Arc::clone(self), from, _one_of_all: one })
    }
}

impl Drop for ConnectionSlot {
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
        let slots = Arc::new(ConnectionSlots::new(3, 2));
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
