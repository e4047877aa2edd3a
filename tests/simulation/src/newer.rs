//! A device that runs a newer version: it writes kinds, fields, containers and payloads that this
//! library does not know.

use fallaway_changes::{Change, ChangeId, Container, Incarnation, Put, Writer, writer};
use fallaway_record::EntryId;
use fallaway_sharing::Payload;

use crate::own_program::OwnProgram;

/// The kind of entry that only a newer version knows.
pub const KIND: u32 = 77;
/// The container that only a newer version knows.
pub const CONTAINER: Container = Container(9);

/// A member whose library is newer than this one.
pub struct Newer {
    program: OwnProgram,
    incarnation: Incarnation,
}

impl Newer {
    /// Joins by an invitation and reads a file with everything.
    pub fn join(words: &str, everything: &[u8], seed: u8, time: i64) -> Self {
        let program = OwnProgram::join(words, everything, (seed, "newer phone"), time);
        Self { program, incarnation: Incarnation::from_bytes([seed; 16]) }
    }

    fn writer(&self) -> Writer {
        writer(&self.program.device(), &self.program.id, &self.incarnation)
    }

    fn chain(&self, change: Change) -> (ChangeId, Payload) {
        self.program.signed(self.incarnation, change, &self.program.heads).unwrap()
    }

    /// What this device has written, by key, as it must be found in any later copy.
    pub fn puts(&self, time: i64) -> Vec<Put> {
        let mut at = vec![0x1a];
        at.extend(u32::try_from(time).unwrap().to_be_bytes());
        let entry = |number: u64, value: Vec<u8>| Put {
            container: Container::LOG,
            key: EntryId::new(self.writer(), number).to_string(),
            value,
        };
        // [77, time, 60, null, null, {0: "warped"}], and a remark (kind 8) with a field 40.
        let unknown_kind =
            [&[0x86, 0x18, 77][..], &at, &[0x18, 60, 0xf6, 0xf6, 0xa1, 0, 0x66], b"warped"];
        let unknown_field = [
            &[0x86, 8][..],
            &at,
            &[0x18, 60, 0xf6, 0xf6, 0xa2, 0, 0x64],
            b"both",
            &[0x18, 40, 0x19, 1, 0],
        ];
        let register =
            |container, key: &str, value: Vec<u8>| Put { container, key: key.to_owned(), value };
        vec![
            entry(1, unknown_kind.concat()),
            entry(2, unknown_field.concat()),
            // A fact that this version does not have, and a form of one that it has.
            register(Container::SPEC, "wood/top", b"\x66spruce".to_vec()),
            register(Container::SPEC, "headless", vec![0x82, 0xf5, 0x18, 24]),
            register(Container::SETUPS, "stage/feel", b"\x64soft".to_vec()),
        ]
    }

    /// A bundle file with all of it: the join, a change with unknown kinds and fields, one with an
    /// unknown container that waits, and a payload of an unknown kind.
    pub fn file(&self, time: i64) -> Vec<u8> {
        let deps = self.program.base.heads();
        let change = Change { writer: self.writer(), seq: 1, time, deps, ops: self.puts(time) };
        let (first, changes) = self.chain(change);
        let unknown =
            Put { container: CONTAINER, key: "humidity/1".to_owned(), value: vec![0x18, 48] };
        let (_, waiting) = self.chain(Change {
            writer: self.writer(),
            seq: 2,
            time: time + 60,
            deps: vec![first],
            ops: vec![unknown],
        });
        let payloads = [
            Payload::Member(self.program.join.clone()),
            changes,
            waiting,
            Payload::Unknown { kind: 40, body: vec![0x82, 1, 2] },
        ];
        self.program.file(&payloads)
    }
}
