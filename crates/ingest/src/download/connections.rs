//! How many connections one host has to bear: at most so many at a time, and none while it asks to be left alone.

use std::collections::HashMap;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// The connections of all hosts.
#[derive(Debug)]
pub(crate) struct Connections {
    most: usize,
    hosts: Mutex<HashMap<String, Host>>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct Host {
    in_use: usize,
    /// How many are waiting because the host asked for it.
    asked_to_wait: usize,
    /// Whether the last that tried as often as it may got no connection.
    out_of_reach: bool,
}

impl Connections {
    pub(crate) fn new(most: usize) -> Self {
        Self { most: most.max(1), hosts: Mutex::default(), changed: Condvar::new() }
    }

    /// Waits until the host has a connection to give.
    pub(crate) fn take(&self, host: &str) -> Taken<'_> {
        let mut hosts = self.hosts();
        loop {
            let known = hosts.entry(host.to_owned()).or_default();
            if known.in_use < self.most && known.asked_to_wait == 0 {
                known.in_use += 1;
                return Taken { connections: self, host: host.to_owned(), waiting: false };
            }
            hosts = self.changed.wait(hosts).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Nobody gets a connection of the host until this is dropped.
    pub(crate) fn hold_off(&self, host: &str) -> Taken<'_> {
        self.hosts().entry(host.to_owned()).or_default().asked_to_wait += 1;
        Taken { connections: self, host: host.to_owned(), waiting: true }
    }

    /// Whether the host was tried as often as it may be, in vain: whoever comes next need not wait as long.
    pub(crate) fn is_out_of_reach(&self, host: &str) -> bool {
        self.hosts().get(host).is_some_and(|host| host.out_of_reach)
    }

    /// Remembers that.
    pub(crate) fn set_out_of_reach(&self, host: &str, out_of_reach: bool) {
        self.hosts().entry(host.to_owned()).or_default().out_of_reach = out_of_reach;
    }

    fn hosts(&self) -> MutexGuard<'_, HashMap<String, Host>> {
        // Numbers alone, which no panic leaves half changed.
        self.hosts.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A connection, or a pause, given back when dropped.
#[derive(Debug)]
pub(crate) struct Taken<'a> {
    connections: &'a Connections,
    host: String,
    waiting: bool,
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        if let Some(host) = self.connections.hosts().get_mut(&self.host) {
            let count = if self.waiting { &mut host.asked_to_wait } else { &mut host.in_use };
            *count = count.saturating_sub(1);
        }
        self.connections.changed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn a_host_has_no_more_than_it_may_and_others_do_not_wait_for_it() {
        let connections = Connections::new(2);
        let (now, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let _taken = connections.take("a");
                        most.fetch_max(now.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        std::thread::yield_now();
                        now.fetch_sub(1, Ordering::SeqCst);
                    }
                });
            }
        });
        assert!(most.load(Ordering::SeqCst) <= 2);
        let _both = (connections.take("a"), connections.take("a"));
        drop(connections.take("b"));
    }

    #[test]
    fn a_host_that_asks_for_it_is_left_alone() {
        let connections = Connections::new(2);
        let pause = connections.hold_off("a");
        let (sender, receiver) = std::sync::mpsc::channel();
        std::thread::scope(|scope| {
            scope.spawn(|| {
                let _taken = connections.take("a");
                sender.send(()).unwrap();
            });
            std::thread::yield_now();
            assert!(receiver.try_recv().is_err());
            drop(pause);
            receiver.recv().unwrap();
        });
    }
}
