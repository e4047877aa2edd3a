//! A reading of a database file that owes nothing to the database library: which page holds what.
//! (SQLite, "Database File Format", https://www.sqlite.org/fileformat2.html, sections 1.3, 1.5 and
//! 1.6.)
#![allow(dead_code, clippy::indexing_slicing, reason = "each test binary uses some of these")]

use std::collections::{BTreeMap, BTreeSet};

pub const PAGE: usize = 4096;

/// What a page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    First,
    TableLeaf,
    TableInterior,
    IndexLeaf,
    IndexInterior,
    Free,
    Overflow,
}

fn page(file: &[u8], number: u32) -> &[u8] {
    let end = number as usize * PAGE;
    &file[end - PAGE..end]
}

fn u32_at(bytes: &[u8], at: usize) -> u32 {
    u32::from_be_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]])
}

fn u16_at(bytes: &[u8], at: usize) -> usize {
    usize::from(u16::from_be_bytes([bytes[at], bytes[at + 1]]))
}

/// A number of variable length, and where it ends.
fn varint(bytes: &[u8], mut at: usize) -> (u64, usize) {
    let mut value = 0;
    for _ in 0..8 {
        value = value << 7 | u64::from(bytes[at] & 0x7f);
        at += 1;
        if bytes[at - 1] & 0x80 == 0 {
            return (value, at);
        }
    }
    (value << 8 | u64::from(bytes[at]), at + 1)
}

/// The rows of the table with this root: the number of each, and all pages that it takes to read
/// it (those above it in the tree, its leaf, and those that it runs over onto).
pub fn rows(file: &[u8], root: u32) -> BTreeMap<i64, BTreeSet<u32>> {
    let mut found = BTreeMap::new();
    walk(file, root, &BTreeSet::new(), &mut found);
    found
}

fn walk(file: &[u8], number: u32, above: &BTreeSet<u32>, found: &mut BTreeMap<i64, BTreeSet<u32>>) {
    let bytes = page(file, number);
    let header = if number == 1 { 100 } else { 0 };
    let mut path = above.clone();
    path.insert(number);
    let cells = u16_at(bytes, header + 3);
    match bytes[header] {
        5 => {
            for cell in 0..cells {
                let at = u16_at(bytes, header + 12 + cell * 2);
                walk(file, u32_at(bytes, at), &path, found);
            }
            walk(file, u32_at(bytes, header + 8), &path, found);
        }
        13 => {
            for cell in 0..cells {
                let at = u16_at(bytes, header + 8 + cell * 2);
                let (payload, at) = varint(bytes, at);
                let (n, at) = varint(bytes, at);
                let mut pages = path.clone();
                let payload = usize::try_from(payload).unwrap_or(usize::MAX);
                if payload > PAGE - 35 {
                    let least = (PAGE - 12) * 32 / 255 - 23;
                    let local = least + (payload - least) % (PAGE - 4);
                    let local = if local <= PAGE - 35 { local } else { least };
                    let mut next = u32_at(bytes, at + local);
                    while next != 0 {
                        pages.insert(next);
                        next = u32_at(page(file, next), 0);
                    }
                }
                found.insert(n.cast_signed(), pages);
            }
        }
        other => panic!("page {number} is of kind {other}"),
    }
}

/// What each page of the file is, from page 1.
pub fn kinds(file: &[u8]) -> Vec<Kind> {
    let mut free = BTreeSet::new();
    let mut trunk = u32_at(file, 32);
    while trunk != 0 {
        let bytes = page(file, trunk);
        free.insert(trunk);
        free.extend((0..u32_at(bytes, 4)).map(|leaf| u32_at(bytes, 8 + leaf as usize * 4)));
        trunk = u32_at(bytes, 0);
    }
    let count = u32::try_from(file.len() / PAGE).unwrap_or(u32::MAX);
    (1..=count)
        .map(|number| match page(file, number)[0] {
            _ if number == 1 => Kind::First,
            _ if free.contains(&number) => Kind::Free,
            13 => Kind::TableLeaf,
            5 => Kind::TableInterior,
            10 => Kind::IndexLeaf,
            2 => Kind::IndexInterior,
            _ => Kind::Overflow,
        })
        .collect()
}
