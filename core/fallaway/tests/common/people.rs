//! Devices in folders that can be copied, and what people say and carry between them.

#![allow(dead_code, reason = "each test file uses a part of it")]

use std::fs;
use std::path::Path;

use fallaway::record::{EntryBody, Remark};
use fallaway::{HistoryFilter, Instrument, Role, Workshop, WorkshopOptions};

use super::{Seeded, Ticking, everything};

pub fn open(folder: &Path, label: &str, seed: u64) -> Workshop {
    let options = WorkshopOptions {
        clock: Box::new(Ticking::from(1_780_000_000)),
        random: Box::new(Seeded::new(seed)),
        ..WorkshopOptions::new(folder, label)
    };
    Workshop::open(options).unwrap()
}

/// Everything, the keys too.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

pub fn remark(instrument: &Instrument, text: &str) {
    let remark = Remark { text: text.into(), ..Remark::default() };
    instrument.add_remark(remark, None).unwrap();
    instrument.end_visit(None, None).ok();
}

pub fn remarks(instrument: &Instrument) -> Vec<String> {
    let history = instrument.history(&HistoryFilter::default()).unwrap();
    let said = history.iter().filter_map(|one| match &one.entry.body {
        EntryBody::Remark(remark) => Some(remark.text.clone()),
        _ => None,
    });
    let mut said: Vec<String> = said.collect();
    said.sort();
    said
}

/// Everything from one to the other; what is not taken is nothing.
pub fn carry(from: &Instrument, to: &Workshop) {
    let file = everything(from);
    to.bundle_in(&file).unwrap();
}

pub fn joined(owner: &Instrument, device: &Workshop, owners: &Workshop) -> Instrument {
    let invitation = owner.invite(Role::Contributor, 7).unwrap();
    let theirs = device.accept(&invitation.words, &invitation.welcome).unwrap();
    carry(owner, device);
    carry(&theirs, owners);
    theirs
}
