//! Two processes with four threads each edit one record of one store through the library. No lock
//! error reaches a caller, and everything that anybody wrote is there.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::collections::BTreeSet;
use std::process::{Command, Stdio};
use std::thread;

use fallaway::record::{EntryBody, SpecField};
use fallaway::{HistoryFilter, Workshop, WorkshopOptions};
use fallaway_simulation::work;

/// Tells a child where to work, and which one it is.
const FOLDER: &str = "FALLAWAY_PROCESSES_FOLDER";
const CHILD: &str = "FALLAWAY_PROCESSES_CHILD";

const CHILDREN: usize = 2;
const THREADS: usize = 4;
const EDITS: usize = 12;

/// A child's part; does nothing unless a parent asks for it.
#[test]
fn child() {
    let (Some(folder), Ok(child)) = (std::env::var_os(FOLDER), std::env::var(CHILD)) else {
        return;
    };
    // The first child's opening creates the store and the device's identity; both race for it.
    let workshop = Workshop::open(WorkshopOptions::new(folder, "bench")).unwrap();
    let bass = loop {
        // Both add it; a name that is taken is found.
        match workshop.instrument_named("shared") {
            Ok(bass) => break bass,
            Err(_) if child == "0" => drop(workshop.add_instrument("bass-4", "shared").unwrap()),
            Err(_) => thread::yield_now(),
        }
    };
    thread::scope(|scope| {
        for number in 0..THREADS {
            let (bass, child) = (bass.clone(), child.clone());
            scope.spawn(move || {
                for edit in 0..EDITS {
                    let text = format!("{child} {number} {edit}");
                    bass.add_remark(work::remark(&text), None).unwrap();
                    match edit % 6 {
                        2 => bass.set_spec(&SpecField::About(text), None).unwrap(),
                        5 => drop(bass.bundle_unsent().unwrap()),
                        _ => drop(bass.card(None).unwrap()),
                    }
                }
            });
        }
    });
}

#[test]
fn everything_that_anybody_wrote_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let children: Vec<_> = (0..CHILDREN)
        .map(|number| {
            Command::new(std::env::current_exe().unwrap())
                .args(["--exact", "child", "--nocapture"])
                .env(FOLDER, folder.path())
                .env(CHILD, number.to_string())
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    for child in children {
        let output = child.wait_with_output().unwrap();
        assert!(output.status.success(), "{output:?}");
    }
    let workshop = Workshop::open(WorkshopOptions::new(folder.path(), "bench")).unwrap();
    assert_eq!(workshop.notices().unwrap(), []);
    let bass = workshop.instrument_named("shared").unwrap();
    let history = bass.history(&HistoryFilter::default()).unwrap();
    let texts = history.iter().filter_map(|one| match &one.entry.body {
        EntryBody::Remark(remark) => Some(remark.text.clone()),
        _ => None,
    });
    let texts: BTreeSet<String> = texts.collect();
    let expected: BTreeSet<String> = (0..CHILDREN)
        .flat_map(|child| (0..THREADS).map(move |thread| (child, thread)))
        .flat_map(|(child, thread)| (0..EDITS).map(move |edit| format!("{child} {thread} {edit}")))
        .collect();
    assert_eq!(texts, expected);
    assert_eq!(history.len(), expected.len(), "nothing twice");
    // They saw each other: one writer, no contest.
    assert_eq!(bass.contested().unwrap().len(), 0);
    assert!(bass.details().unwrap().spec.about.is_some());
}
