//! Shutting a workshop down, also while other threads are inside.

#![allow(clippy::unwrap_used, clippy::panic)]

mod common;

use std::sync::mpsc;
use std::thread;

use common::{options, read, texts, workshop};
use fallaway_ffi::{FallawayError, HistoryFilter, Workshop};

#[test]
fn after_shutting_down_every_handle_says_so() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    tech.shut_down().unwrap();
    assert_eq!(tech.shut_down(), Err(FallawayError::Closed));
    assert_eq!(tech.instruments(), Err(FallawayError::Closed));
    assert_eq!(tech.device(), Err(FallawayError::Closed));
    assert_eq!(tech.pause(), Err(FallawayError::Closed));
    assert_eq!(bass.details(), Err(FallawayError::Closed));
    assert_eq!(bass.name(), Err(FallawayError::Closed));
    assert_eq!(bass.setups(), Err(FallawayError::Closed));
    assert_eq!(bass.history(&HistoryFilter::default()), Err(FallawayError::Closed));
    let remark = bass.add_remark("too late".to_owned(), None, None, None);
    assert_eq!(remark, Err(FallawayError::Closed));
}

#[test]
fn what_a_call_answered_is_there_at_the_next_open() {
    let folder = tempfile::tempdir().unwrap();
    let open = || Workshop::open(options(folder.path(), "tech"), None, None, None, None).unwrap();
    let tech = open();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "5 5 5 6");
    let before = texts(&bass);
    let fingerprint = tech.device().unwrap().fingerprint;
    tech.shut_down().unwrap();
    let again = open();
    assert_eq!(texts(&again.instrument_named("walnut").unwrap()), before);
    assert_eq!(again.device().unwrap().fingerprint, fingerprint);
}

/// Threads call on and on; one shuts down in between. Every call answers what it should, or that
/// the workshop was shut down, and what was answered as written is there afterwards.
#[test]
fn shutting_down_while_other_threads_are_inside() {
    let folder = tempfile::tempdir().unwrap();
    let open = || Workshop::open(options(folder.path(), "tech"), None, None, None, None).unwrap();
    let tech = open();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let (inside, entered) = mpsc::channel();
    let written: usize = thread::scope(|scope| {
        let threads: Vec<_> = (0..4)
            .map(|number| {
                let (inside, bass, tech) = (inside.clone(), &bass, &tech);
                scope.spawn(move || {
                    let mut written = 0;
                    for turn in 0.. {
                        let text = format!("thread {number}, turn {turn}");
                        match bass.add_remark(text, None, None, None) {
                            Ok(_) => written += 1,
                            Err(error) => {
                                assert_eq!(error, FallawayError::Closed);
                                break;
                            }
                        }
                        // Whoever listens may have heard enough.
                        let _ = inside.send(());
                        let listed = tech.instruments();
                        assert!(matches!(listed, Ok(_) | Err(FallawayError::Closed)));
                    }
                    written
                })
            })
            .collect();
        // Each thread is at work, on the whole.
        entered.iter().take(12).for_each(drop);
        tech.shut_down().unwrap();
        threads.into_iter().map(|thread| thread.join().unwrap()).sum()
    });
    assert_eq!(texts(&open().instrument_named("walnut").unwrap()).len(), written);
}

#[test]
fn threads_share_one_workshop() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    thread::scope(|scope| {
        for number in 0..2 {
            let bass = &bass;
            scope.spawn(move || {
                for turn in 0..20 {
                    let text = format!("thread {number}, turn {turn}");
                    bass.add_remark(text, None, None, None).unwrap();
                    bass.card(None).unwrap();
                }
            });
        }
    });
    assert_eq!(texts(&bass).len(), 40);
}
