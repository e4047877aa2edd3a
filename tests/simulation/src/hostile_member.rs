//! A member who means harm. What it sends is sealed with the record's own key, and most of it signed
//! by a contributor, so it gets past checksum, seal and signature to the rules behind them.

use std::collections::BTreeSet;

use fallaway::{BundleContent, Instrument, Role, Workshop, WriteOptions};
use fallaway_changes::cbor::Builder;
use fallaway_changes::{
    Change, Container, Incarnation, MemberHash, Put, VerifiedChange, Writer, writer,
};
use fallaway_record::{EntryId, Record};
use fallaway_sharing::{
    ChainProof, ChangeBundle, DeviceKeys, Invitation, MemberOp, Payload, bundle_file, open, seal,
};

use crate::realistic::Dice;
use crate::work;
use crate::world::{HandClock, Seeded};

/// When all of it happens, in seconds since 1970.
const NOW: i64 = 1_790_000_000;
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
        let scene = Scene::new(number);
        let count = BATCH.min(inputs - depths.inputs);
        for _ in 0..count {
            println!("input {number}");
            scene.send(number, &mut depths);
            number += 1;
        }
        depths.inputs += count;
        scene.look();
    }
    depths
}

/// A record with two honest visits, and a contributor who means harm.
struct Scene {
    tech: Workshop,
    bass: Instrument,
    keys: DeviceKeys,
    invitation: Invitation,
    heads: BTreeSet<MemberHash>,
    /// The record as the member has received it.
    base: Record,
}

impl Scene {
    fn new(seed: u64) -> Self {
        let clock = Box::new(HandClock::at(NOW));
        let tech = Workshop::in_memory("tech", clock, Box::new(Seeded::new(seed))).unwrap();
        let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
        for reading in [9, 12] {
            bass.begin_visit(None, None).unwrap();
            bass.add_pass(work::relief_pass(reading), WriteOptions::sure().by("tech")).unwrap();
            bass.end_visit(None, None).unwrap();
        }
        let invitation = Invitation::parse(&bass.invite(Role::Contributor, 9).unwrap()).unwrap();
        let keys = DeviceKeys::from_seed(&[0x66; 32]);
        let (invite, secret) = (invitation.invite, &invitation.secret);
        let nothing = BTreeSet::new();
        let join = MemberOp::join(&keys, bass.id(), &nothing, NOW, invite, secret, "ours").unwrap();
        let heads = [join.hash()].into();
        let key = &invitation.epoch_keys[0];
        let mut base = Record::create(bass.id());
        for bytes in
            bundle_file::read(&bass.bundle_out(BundleContent::Everything).unwrap()).unwrap()
        {
            let payload = open(&bass.id(), &invitation.epoch_keys, bytes).unwrap().1;
            if let Payload::Changes(bundle) = payload {
                base.apply(bundle.changes());
            }
        }
        let sealed = seal(key, &bass.id(), &Payload::Member(join)).unwrap();
        tech.bundle_in(&sealed).unwrap();
        Self { tech, bass, keys, invitation, heads, base }
    }

    /// A change that breaks no rule.
    fn honest(&self, writer: Writer, dice: &mut Dice) -> Change {
        let put =
            |container, key: &str, value: Vec<u8>| Put { container, key: key.to_owned(), value };
        let entry = [&[0x86, 8, 0x1a, 0x6a, 0xb1, 0x2c, 0, 0, 0xf6, 0xf6, 0xa1, 0][..], b"\x62ok"];
        let own = EntryId::new(writer, 1).to_string();
        let theirs = self.base.state().entries().next().map(|placed| placed.entry.id.to_string());
        let mut ops = vec![
            put(Container::LOG, &own, entry.concat()),
            put(Container::SPEC, "about", b"\x64mine".to_vec()),
            put(Container::SPEC, "wood/top", b"\x66spruce".to_vec()),
        ];
        ops.extend(
            theirs
                .map(|id| put(Container::RETRACTED, &id, vec![0xa2, 0, 0x82, 0, 0, 2, 0x61, b'x'])),
        );
        let from = below(dice, ops.len());
        ops.rotate_left(from);
        ops.truncate(1 + below(dice, ops.len()));
        let deps = self.base.heads();
        Change { writer, seq: 1, time: NOW, deps, ops }
    }

    fn send(&self, number: u64, depths: &mut Depths) {
        let mut dice = Dice::new(number ^ 0x6d65_6d62_6572);
        let mut incarnation = [0; 16];
        incarnation[..8].copy_from_slice(&number.to_be_bytes());
        let incarnation = Incarnation::from_bytes(incarnation);
        let id = self.bass.id();
        let mut change = self.honest(writer(&self.keys.device(), &id, &incarnation), &mut dice);
        for _ in 0..below(&mut dice, 3) {
            spoil(&mut change, &mut dice);
        }
        let payload = match VerifiedChange::own(&id, change.clone()) {
            Ok(change) => {
                let (seq, tip) = (change.seq, change.id());
                let proof = ChainProof::sign(&self.keys, id, incarnation, seq, tip, &self.heads);
                ChangeBundle::new(proof, [change]).map(Payload::Changes).ok()
            }
            Err(_) => None,
        };
        // What no library would make goes in as it is, under the seal.
        let payload = payload.unwrap_or_else(|| {
            let mut body = Builder::new();
            body.array(8).raw(&change.encode());
            Payload::Unknown { kind: 1 + dice.roll() % 2, body: body.finish() }
        });
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
        let key = &self.invitation.epoch_keys[0];
        let sealed = seal(key, &id, &payload).unwrap();
        if matches!(open(&id, std::slice::from_ref(key), &sealed), Ok((_, Payload::Changes(_)))) {
            depths.verified += 1;
        }
        if let Ok(report) = self.tech.bundle_in(&bundle_file::write(&[sealed]).unwrap()) {
            depths.admitted += u64::from(!report.added.is_empty());
            depths.waiting = depths.waiting.max(report.waiting as u64);
        }
    }

    /// Honest people read, write, and hand everything to somebody new, who ends with the same.
    fn look(&self) {
        self.bass.add_remark(work::remark("still here"), None).unwrap();
        let clock = Box::new(HandClock::at(NOW));
        let reader = Workshop::in_memory("reader", clock, Box::new(Seeded::new(1))).unwrap();
        let theirs = reader.accept(&self.bass.invite(Role::Viewer, 9).unwrap()).unwrap();
        let report =
            reader.bundle_in(&self.bass.bundle_out(BundleContent::Everything).unwrap()).unwrap();
        assert!(report.refused.is_empty(), "{report:?}");
        assert_eq!(theirs.view().unwrap().state, self.bass.view().unwrap().state);
        self.tech.bundle_in(&theirs.bundle_out(BundleContent::Everything).unwrap()).unwrap();
        assert_eq!(work::told(&theirs), work::told(&self.bass));
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
