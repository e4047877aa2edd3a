//! Seeded damage to the input of every parser.
//!
//! A target is a parser with inputs that it takes. Each number gives one damaged input, the same on
//! every machine. Whatever a parser answers is right, so long as it answers: a panic that leaves
//! the library, an abort, or memory without bound is a defect.

use std::cell::OnceCell;
use std::fs;
use std::path::Path;

use fallaway::measure::{
    Dimension, Location, Quantity, StringPlace, Tool, parse_pass, parse_reading,
};
use fallaway::record::{Entry, EntryId, SetupId, SpecField, Turns};
use fallaway::{HistoryFilter, Instrument, Workshop};
use fallaway_changes::{Put, VerifiedChange};
use fallaway_record::Record;
use fallaway_sharing::{
    ChangeBundle, DeviceKeys, Invitation, InviteSecret, MemberOp, Payload, Welcome, bundle_file,
    header, is_letter, open, open_letter, open_welcome, seal, seal_letter, seal_welcome, words_of,
};
use fallaway_store::{Batch, DraftEdit, DraftLine, SqliteStore, Store};

use crate::cbor_tree;
use crate::freeze;
use crate::own_program::{opened, welcome};
use crate::realistic::Dice;
use crate::world::{HandClock, Seeded};

/// What the parsers take: the files of `tests/compat/v1`.
pub struct Samples {
    folder: std::path::PathBuf,
    welcome: Welcome,
    secret: InviteSecret,
    words: String,
    file: Vec<u8>,
    sealed: Vec<Vec<u8>>,
    changes: Vec<VerifiedChange>,
    bundles: Vec<ChangeBundle>,
    members: Vec<MemberOp>,
    database: Vec<u8>,
    reader: OnceCell<(Workshop, Instrument)>,
}

impl Samples {
    /// Reads them from a frozen folder.
    pub fn read(folder: &Path) -> Self {
        let words = fs::read_to_string(folder.join("invitation.txt")).unwrap();
        let file = fs::read(folder.join("bundle.fallaway")).unwrap();
        let newer = fs::read(folder.join("newer.fallaway")).unwrap();
        let (welcome, secret) = welcome(&words, &file);
        let mut sealed: Vec<Vec<u8>> =
            bundle_file::read(&file).unwrap().into_iter().map(<[u8]>::to_vec).collect();
        sealed.extend(bundle_file::read(&newer).unwrap().into_iter().map(<[u8]>::to_vec));
        let (mut bundles, mut members) = (Vec::new(), Vec::new());
        for payload in [&file, &newer].into_iter().flat_map(|file| opened(&welcome, file)) {
            match payload {
                Payload::Changes(bundle) => bundles.push(bundle),
                Payload::Member(op) => members.push(op),
                Payload::Receipt(_) | Payload::Unknown { .. } => {}
            }
        }
        let changes = bundles.iter().flat_map(|bundle| bundle.changes().to_vec()).collect();
        let database = fs::read(folder.join("store/fallaway.db")).unwrap();
        let folder = folder.to_owned();
        Self {
            folder,
            welcome,
            secret,
            words,
            file,
            sealed,
            changes,
            bundles,
            members,
            database,
            reader: OnceCell::new(),
        }
    }

    /// Brings bytes in to a workshop that shares the record, and looks whether it can still be read.
    fn bring_in(&self, bytes: &[u8]) {
        let (workshop, bass) = self.reader.get_or_init(|| {
            let clock = Box::new(HandClock::at(freeze::THEN));
            let reader = Workshop::in_memory("reader", clock, Box::new(Seeded::new(1))).unwrap();
            let bass = reader.accept(&self.words, &self.file).unwrap();
            (reader, bass)
        });
        drop(workshop.bundle_in(bytes));
        bass.details().unwrap();
    }

    fn puts(&self) -> impl Iterator<Item = &Put> {
        self.changes.iter().flat_map(|change| &change.ops)
    }
}

/// A parser, inputs that it takes, and how many damaged ones are tried in CI.
pub struct Target {
    /// Its name.
    pub name: &'static str,
    /// Damaged inputs in CI.
    pub inputs: u64,
    samples: fn(&Samples) -> Vec<Vec<u8>>,
    check: fn(&Samples, &[u8]),
}

impl std::fmt::Debug for Target {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

/// The secret of recovery words.
const WORDS: [u8; 16] = [0x57; 16];

/// Their keys.
fn words() -> DeviceKeys {
    DeviceKeys::recovery(&WORDS)
}

/// The target whose inputs are damaged as trees, not as bytes.
const PAYLOAD: &str = "payload";

/// Every parser that outside bytes reach.
pub const TARGETS: [Target; 13] = [
    Target {
        name: "bundle-file",
        inputs: 40_000,
        samples: |all| vec![all.file.clone()],
        check: |_, bytes| drop(bundle_file::read(bytes)),
    },
    Target {
        name: "sealed-bundle",
        inputs: 20_000,
        samples: |all| all.sealed.clone(),
        check: |all, bytes| {
            drop(header(bytes));
            let keys = std::slice::from_ref(&all.welcome.key);
            drop(open(&all.welcome.record, keys, bytes));
            drop(open_welcome(&all.secret, bytes));
        },
    },
    Target {
        // What comes with an invitation, or lies beside the record for whoever has the words.
        name: "letter",
        inputs: 4_000,
        samples: |all| {
            let letters = bundle_file::read(&all.file).unwrap().into_iter();
            let mut letters: Vec<_> =
                letters.filter(|one| is_letter(one)).map(<[u8]>::to_vec).collect();
            letters.push(seal_letter(&words().as_recovery(), &all.welcome).unwrap());
            letters.push(seal_welcome(&all.secret, &all.welcome).unwrap());
            letters
        },
        check: |all, bytes| {
            drop(open_welcome(&all.secret, bytes));
            drop(open_letter(&words(), bytes));
            let Ok(file) = bundle_file::write(&[bytes]) else { return };
            drop(Workshop::look_at_invitation(&all.words, &file));
            let clock = Box::new(HandClock::at(freeze::THEN));
            let guest = Workshop::in_memory("guest", clock, Box::new(Seeded::new(1))).unwrap();
            drop(guest.recover(&words_of(&WORDS), &file));
            drop(guest.accept(&all.words, &file));
            // The true one is taken whatever came before it.
            if !guest.instruments().unwrap().is_empty() {
                return;
            }
            guest.accept(&all.words, &all.file).unwrap();
        },
    },
    Target {
        name: "bundle-in",
        inputs: 4_000,
        samples: |all| {
            let file = |one: &Vec<u8>| bundle_file::write(&[one]).unwrap();
            let mut files: Vec<_> = all.sealed.iter().map(file).collect();
            files.push(all.file.clone());
            files
        },
        // With a checksum that is right, so that the damage gets as far as the header and the cipher.
        check: |all, bytes| {
            let content = &bytes[..bytes.len().saturating_sub(blake3::OUT_LEN)];
            all.bring_in(&[content, blake3::hash(content).as_bytes()].concat());
        },
    },
    Target {
        // What somebody can seal who holds the record's key: past the cipher, into the decoders.
        name: PAYLOAD,
        inputs: 4_000,
        samples: |all| {
            let changes = all.bundles.iter().map(|one| [vec![1], one.encode()].concat());
            changes.chain(all.members.iter().map(|one| [vec![2], one.encode()].concat())).collect()
        },
        check: |all, bytes| {
            let (kind, body) = bytes.split_first().unwrap();
            let payload = Payload::Unknown { kind: u64::from(*kind), body: body.to_vec() };
            let (key, id) = (&all.welcome.key, &all.welcome.record);
            if let Ok(sealed) = seal(key, id, &payload) {
                all.bring_in(&bundle_file::write(&[sealed]).unwrap());
            }
        },
    },
    Target {
        name: "change-bundle",
        inputs: 40_000,
        samples: |all| all.bundles.iter().map(ChangeBundle::encode).collect(),
        check: |_, bytes| drop(ChangeBundle::decode(bytes)),
    },
    Target {
        // What a member with a broken library can sign: past the signature, into the document.
        name: "change",
        inputs: 6_000,
        samples: |all| all.changes.iter().map(|change| change.bytes().to_vec()).collect(),
        check: |all, bytes| {
            let id = all.welcome.record;
            let Ok(change) = VerifiedChange::kept(&id, bytes.to_vec()) else { return };
            let mut record = Record::create(all.welcome.record);
            record.apply(&all.changes);
            record.apply(&[change]);
            let saved = record.save();
            let again = Record::load(all.welcome.record, &saved).unwrap();
            assert_eq!(again.heads(), record.heads());
            again.state().entries().count();
        },
    },
    Target {
        name: "member-operation",
        inputs: 40_000,
        samples: |all| all.members.iter().map(MemberOp::encode).collect(),
        check: |_, bytes| drop(MemberOp::decode(bytes)),
    },
    Target {
        name: "invitation",
        inputs: 40_000,
        samples: |all| {
            let code = Invitation::parse(&all.words).unwrap().code();
            vec![all.words.clone().into_bytes(), code.into_bytes()]
        },
        check: |_, bytes| drop(Invitation::parse(&String::from_utf8_lossy(bytes))),
    },
    Target {
        name: "value",
        inputs: 40_000,
        samples: |all| all.puts().map(|put| put.value.clone()).collect(),
        check: |_, bytes| {
            let id = EntryId::new(fallaway_changes::Writer::from_bytes([7; 16]), 9);
            if let Ok(entry) = Entry::decode(id, bytes) {
                drop(entry.encode());
            }
            for key in ["name", "tuning/1", "string/1", "board", "bridge", "scale", "screw/rod"] {
                drop(SpecField::decode(key, bytes));
            }
            drop(minicbor::decode::<fallaway::record::Target>(bytes));
            let _ = fallaway_changes::check_item(bytes);
        },
    },
    Target {
        name: "text",
        inputs: 40_000,
        samples: |_| {
            let texts = [
                "5/64",
                "1 1/16",
                ".078",
                "1,98 mm",
                "<= 0",
                ".010 goes, .012 not",
                "5 5 5 6",
                "= - 5 6",
                "12 thou",
                "-3 cent",
                "gap stopped at 1 over 20",
                "relief 1 to 20",
                "rule 1/64",
                "feeler 0.01 mm",
                "1 1/2 turns anticlockwise",
                "3a",
                "5.5; 6; touches",
            ];
            texts.iter().map(|text| text.as_bytes().to_vec()).collect()
        },
        check: |_, bytes| {
            let text = String::from_utf8_lossy(bytes);
            for tool in [None, Some(Tool::RULE_64), Some(Tool::FEELER_MM)] {
                drop(parse_reading(&text, tool.as_ref(), Dimension::Length));
                drop(parse_pass(&text, tool.as_ref(), Dimension::Length, 4, None));
            }
            drop(parse_reading(&text, Some(&Tool::TUNER_CENT), Dimension::Interval));
            drop(text.parse::<Quantity>());
            drop(text.parse::<Tool>());
            drop(text.parse::<StringPlace>());
            drop(text.parse::<Location>());
            drop(text.parse::<Turns>());
            drop(text.parse::<SetupId>());
            drop(text.parse::<EntryId>());
        },
    },
    Target {
        name: "database",
        inputs: 400,
        samples: |all| vec![all.database.clone()],
        check: |all, bytes| {
            with_store(all, |folder| fs::write(folder.join("store/fallaway.db"), bytes).unwrap());
        },
    },
    Target {
        // Bytes that the store hands back as they are: drafts and projections.
        name: "draft-and-projection",
        inputs: 400,
        samples: |all| all.puts().map(|put| put.value.clone()).collect(),
        check: |all, bytes| {
            with_store(all, |folder| {
                let store = SqliteStore::open(&folder.join("store")).unwrap();
                let head = store.records().unwrap().remove(0);
                let draft = store.draft(&head.record).unwrap();
                let line = |line: DraftLine| DraftLine { value: bytes.to_vec(), ..line };
                let batch = Batch {
                    draft: draft.into_iter().map(line).map(DraftEdit::Put).collect(),
                    projections: vec![(1, Some(bytes.to_vec())), (2, Some(bytes.to_vec()))],
                    ..Batch::new()
                };
                store.commit(&head.record, head.generation, &batch).unwrap();
                store.pause().unwrap();
            });
        },
    },
];

/// Damages a copy of the frozen store, then does with it what an app does.
fn with_store(all: &Samples, damage: impl FnOnce(&Path)) {
    let folder = std::env::temp_dir().join(format!("fallaway-fuzz-{}", std::process::id()));
    drop(fs::remove_dir_all(&folder));
    fs::create_dir_all(folder.join("store/keys")).unwrap();
    for name in ["store/fallaway.db", "store/keys/device-seed.secret"] {
        fs::copy(all.folder.join(name), folder.join(name)).unwrap();
    }
    let incarnation = "store/keys/incarnation.secret";
    fs::copy(all.folder.join(incarnation), folder.join(incarnation)).unwrap();
    damage(&folder);
    let clock = HandClock::at(freeze::THEN + 86_400);
    let opened = Workshop::open(fallaway::WorkshopOptions {
        clock: Box::new(clock),
        random: Box::new(Seeded::new(9)),
        ..fallaway::WorkshopOptions::new(folder.join("store"), "tech")
    });
    if let Ok(workshop) = opened {
        for summary in workshop.instruments().unwrap_or_default() {
            let Ok(bass) = workshop.instrument(summary.id) else { continue };
            drop(bass.card(None));
            drop(bass.details());
            drop(bass.history(&HistoryFilter::default()));
            drop(bass.contested());
            drop(bass.add_remark(crate::work::remark("still here"), None));
            drop(bass.bundle_out());
        }
        drop(workshop.bundle_in(&all.file));
        drop(workshop.notices());
        drop(workshop.shut_down());
    }
    fs::remove_dir_all(&folder).unwrap();
}

impl Target {
    /// The damaged input of this number.
    pub fn input(&self, all: &Samples, number: u64) -> Vec<u8> {
        let samples = (self.samples)(all);
        let mut dice = Dice::new(number ^ 0x5eed_0000_0000);
        let pick = |dice: &mut Dice, count: usize| (dice.roll() % count.max(1) as u64) as usize;
        let mut bytes = samples[pick(&mut dice, samples.len())].clone();
        if self.name == PAYLOAD {
            let (kind, body) = bytes.split_first().unwrap();
            return [vec![*kind], cbor_tree::damaged(body, &mut dice)].concat();
        }
        for _ in 0..=pick(&mut dice, 6) {
            let at = pick(&mut dice, bytes.len() + 1).min(bytes.len().saturating_sub(1));
            let length = pick(&mut dice, 16).min(bytes.len() - at.min(bytes.len()));
            match pick(&mut dice, 9) {
                0 | 1 if !bytes.is_empty() => bytes[at] ^= 1 << pick(&mut dice, 8),
                2 if !bytes.is_empty() => bytes[at] = dice.roll() as u8,
                3 => bytes.truncate(at),
                4 => drop(bytes.drain(at..at + length)),
                5 => {
                    let copied = bytes[at..at + length].to_vec();
                    bytes.splice(at..at, copied);
                }
                6 => {
                    // A length or a number of the greatest kind.
                    let huge = [0x9b, 0x7f, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff];
                    let from = pick(&mut dice, 3) * 4;
                    bytes.splice(at..at, huge[from.min(8)..].iter().copied());
                }
                7 => {
                    let other = &samples[pick(&mut dice, samples.len())];
                    let from = pick(&mut dice, other.len());
                    let to = (from + pick(&mut dice, 64)).min(other.len());
                    bytes.splice(at..at, other[from..to].iter().copied());
                }
                _ => {
                    for byte in bytes.iter_mut().skip(at).take(length) {
                        *byte = dice.roll() as u8;
                    }
                }
            }
        }
        bytes
    }

    /// Lets the parser answer. Panics if it does.
    pub fn check(&self, all: &Samples, bytes: &[u8]) {
        (self.check)(all, bytes);
    }
}
