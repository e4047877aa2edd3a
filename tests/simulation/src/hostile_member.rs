//! A member who means harm. What it sends is sealed with the record's own key, and most of it signed
//! by a contributor, so it gets past checksum, seal and signature to the rules behind them.

use fallaway::Role;
use fallaway_changes::cbor::Builder;
use fallaway_changes::{Change, Container, Put, Writer};
use fallaway_record::EntryId;
use fallaway_sharing::{Payload, bundle_file};

use crate::hostile_program::{House, NOW};
use crate::own_program::OwnProgram;
use crate::realistic::Dice;

/// So many inputs go into one record before it is looked at and a new one is begun.
const BATCH: u64 = 40;

/// How far inputs have got.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Depths {
    /// All of them.
    pub inputs: u64,
    /// Opened and read as changes that a member signed.
    pub verified: u64,
    /// In the record.
    pub admitted: u64,
    /// Kept beside it.
    pub waiting: u64,
}

/// Sends so many inputs into records, and looks after each batch whether honest people still can
/// read, write and share.
///
/// # Panics
/// If anything panics, or honest people cannot go on.
pub fn run(first: u64, inputs: u64) -> Depths {
    let mut depths = Depths::default();
    let mut number = first;
    while depths.inputs < inputs {
        let mut house = House::new(number, Role::Contributor, false);
        let count = BATCH.min(inputs - depths.inputs);
        for _ in 0..count {
            println!("input {number}");
            send(&house, number, &mut depths);
            number += 1;
        }
        depths.inputs += count;
        house.look(number);
    }
    depths
}

/// A change that breaks no rule.
fn honest(mallory: &OwnProgram, writer: Writer, dice: &mut Dice) -> Change {
    let put = |container, key: &str, value: Vec<u8>| Put { container, key: key.to_owned(), value };
    let entry = [&[0x86, 8, 0x1a, 0x6a, 0xb1, 0x2c, 0, 0, 0xf6, 0xf6, 0xa1, 0][..], b"\x62ok"];
    let own = EntryId::new(writer, 1).to_string();
    let theirs = mallory.base.state().entries().next().map(|placed| placed.entry.id.to_string());
    let mut ops = vec![
        put(Container::LOG, &own, entry.concat()),
        put(Container::SPEC, "about", b"\x64mine".to_vec()),
        put(Container::SPEC, "wood/top", b"\x66spruce".to_vec()),
    ];
    ops.extend(
        theirs.map(|id| put(Container::RETRACTED, &id, vec![0xa2, 0, 0x82, 0, 0, 2, 0x61, b'x'])),
    );
    let from = below(dice, ops.len());
    ops.rotate_left(from);
    ops.truncate(1 + below(dice, ops.len()));
    let deps = mallory.base.heads();
    Change { writer, seq: 1, time: NOW, deps, ops }
}

fn send(house: &House, number: u64, depths: &mut Depths) {
    let mut dice = Dice::new(number ^ 0x6d65_6d62_6572);
    let mallory = &house.mallory;
    let (incarnation, writer) = mallory.writer(number);
    let mut change = honest(mallory, writer, &mut dice);
    for _ in 0..below(&mut dice, 3) {
        spoil(&mut change, &mut dice);
    }
    let signed = mallory.signed(incarnation, change.clone(), &mallory.heads);
    // What no library would make goes in as it is, under the seal.
    let payload = signed.map_or_else(
        || {
            let mut body = Builder::new();
            body.array(8).raw(&change.encode());
            Payload::Unknown { kind: 1 + dice.roll() % 2, body: body.finish() }
        },
        |(_, payload)| payload,
    );
    let mut body = match &payload {
        Payload::Changes(bundle) => bundle.encode(),
        _ => Vec::new(),
    };
    // One in eight is damaged after it was signed, and sealed again.
    let payload = if !body.is_empty() && dice.roll().is_multiple_of(8) {
        let at = below(&mut dice, body.len());
        body[at] ^= 1 << below(&mut dice, 8);
        Payload::Unknown { kind: 1, body }
    } else {
        payload
    };
    let sealed = mallory.seal(&payload);
    depths.verified += u64::from(mallory.opens(&sealed));
    if let Ok(report) = house.tech.bundle_in(&bundle_file::write(&[sealed]).unwrap()) {
        depths.admitted += u64::from(!report.added.is_empty());
        depths.waiting = depths.waiting.max(report.waiting as u64);
    }
}

fn below(dice: &mut Dice, count: usize) -> usize {
    (dice.roll() % count.max(1) as u64) as usize
}

/// Breaks a rule, or goes to the edge of one.
fn spoil(change: &mut Change, dice: &mut Dice) {
    const EDGES: [u64; 8] = [0, 1, 2, 1 << 20, (1 << 31) - 1, 1 << 31, 1 << 32, u64::MAX];
    let edge = EDGES[below(dice, EDGES.len())];
    let count = change.ops.len();
    let at = below(dice, count);
    if count == 0 {
        return;
    }
    match dice.roll() % 14 {
        0 => change.seq = edge,
        1 => change.ops.clear(),
        2 => change.time = edge as i64,
        3 => change.deps.push(fallaway_changes::ChangeId::from_bytes([dice.roll() as u8; 32])),
        4 => change.deps.clear(),
        5 => change.writer = Writer::from_bytes([dice.roll() as u8; 16]),
        6 => change.ops[at].key = "x".repeat(below(dice, 300)),
        7 => change.ops[at].container = Container((dice.roll() % 9) as u8),
        8 => {
            let again = change.ops[at].clone();
            change.ops.push(again);
        }
        9 => {
            let many = (0..300).map(|number| Put {
                container: Container::SPEC,
                key: format!("many/{number}"),
                value: value(dice, 2),
            });
            change.ops.extend(many.collect::<Vec<_>>());
        }
        _ => change.ops[at].value = value(dice, 4),
    }
}

/// Any CBOR item, in its deterministic form for the most part.
fn value(dice: &mut Dice, depth: usize) -> Vec<u8> {
    let mut out = Builder::new();
    match dice.roll() % if depth == 0 { 5 } else { 7 } {
        0 => out.uint(dice.roll() >> (dice.roll() % 64)),
        1 => out.int(-((dice.roll() >> (1 + dice.roll() % 62)) as i64)),
        2 => out.bytes(&vec![dice.roll() as u8; below(dice, 40)]),
        3 => out.text(&"\u{1b}[2J\u{202e}x".repeat(below(dice, 4))),
        4 => out.raw(&[[0xf4, 0xf5, 0xf6, 0xf7, 0xff][below(dice, 5)]]),
        5 => {
            let count = below(dice, 5);
            out.array(count);
            for _ in 0..count {
                out.raw(&value(dice, depth - 1));
            }
            &mut out
        }
        _ => {
            let count = below(dice, 5);
            out.raw(&[0xa0 | count as u8]);
            for key in 0..count {
                out.uint(key as u64).raw(&value(dice, depth - 1));
            }
            &mut out
        }
    };
    out.finish()
}
