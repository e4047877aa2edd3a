//! What is said behind the handshake: one deterministic CBOR array a frame.

use fallaway_changes::cbor::{Builder, CborError, CborFault, Reader};
use fallaway_changes::{ChangeId, DeviceId, MemberHash, Signature, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

/// Frames from this kind on may be passed over by who does not know them.
const MAY_BE_PASSED_OVER: u64 = 64;

/// One frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Frame {
    /// 1: which device is at this end, and the proof over the handshake.
    Hello { device: DeviceId, signature: Signature },
    /// 2: some bytes of something, of which `left` follow.
    Part { what: Piece, left: u64, bytes: Vec<u8> },
    /// 3: it is the other's turn. So many bundles follow in later ones; whether the other one is
    /// nobody by what is known at this end.
    Turn { more: u64, stranger: bool },
    /// 4: the meeting is over.
    Bye(Bye),
    /// Something that a newer version may say in between.
    Unknown,
}

/// What is sent in parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Piece {
    /// 1: what a device has.
    State,
    /// 2: a sealed bundle.
    Bundle,
    /// 3: the welcome to whoever comes with the words of an invitation.
    Letter,
    /// 4: which photos a device lacks.
    Wants,
    /// 5: a sealed part of one.
    Photo,
}

/// Why a meeting is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bye {
    /// 0: both have everything.
    Equal,
    /// 1: a person stopped it.
    Stopped,
    /// 2: that device shares the record by nothing that is known here.
    NoMember,
    /// 3: that device was removed; what removed it was said before.
    Removed,
    /// 4: what came could not be kept.
    NotTaken,
    /// 5: what came is not of this protocol, or more than a meeting takes.
    Refused,
    /// Something newer.
    Other,
}

impl Bye {
    const fn code(self) -> u64 {
        match self {
            Self::Equal => 0,
            Self::Stopped => 1,
            Self::NoMember => 2,
            Self::Removed => 3,
            Self::NotTaken => 4,
            Self::Refused => 5,
            Self::Other => 6,
        }
    }

    const fn of(code: u64) -> Self {
        match code {
            0 => Self::Equal,
            1 => Self::Stopped,
            2 => Self::NoMember,
            3 => Self::Removed,
            4 => Self::NotTaken,
            5 => Self::Refused,
            _ => Self::Other,
        }
    }
}

fn expected<T>(at: usize, what: &'static str) -> Result<T, CborError> {
    Err(CborError { at, fault: CborFault::Expected(what) })
}

impl Frame {
    pub(crate) fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        match self {
            Self::Hello { device, signature } => {
                out.array(3).uint(1).bytes(device.as_bytes()).bytes(signature.as_bytes())
            }
            Self::Part { what, left, bytes } => {
                let what = match what {
                    Piece::State => 1,
                    Piece::Bundle => 2,
                    Piece::Letter => 3,
                    Piece::Wants => 4,
                    Piece::Photo => 5,
                };
                out.array(4).uint(2).uint(what).uint(*left).bytes(bytes)
            }
            Self::Turn { more, stranger } => {
                out.array(3).uint(3).uint(*more).uint(u64::from(*stranger))
            }
            Self::Bye(bye) => out.array(2).uint(4).uint(bye.code()),
            Self::Unknown => out.array(1).uint(MAY_BE_PASSED_OVER),
        };
        out.finish()
    }

    pub(crate) fn decode(bytes: &[u8]) -> Result<Self, CborError> {
        let mut reader = Reader::new(bytes);
        let count = reader.array()?;
        let at = reader.position();
        let frame = match (reader.uint()?, count) {
            (1, 3) => Self::Hello {
                device: DeviceId::from_bytes(reader.array_of("a device")?),
                signature: Signature::from_bytes(reader.array_of("a signature")?),
            },
            (2, 4) => {
                let at = reader.position();
                let what = match reader.uint()? {
                    1 => Piece::State,
                    2 => Piece::Bundle,
                    3 => Piece::Letter,
                    4 => Piece::Wants,
                    5 => Piece::Photo,
                    _ => return expected(at, "1 state, 2 bundle, 3 letter, 4 wants or 5 photo"),
                };
                Self::Part { what, left: reader.uint()?, bytes: reader.bytes()?.to_vec() }
            }
            (3, 3) => {
                let (more, at) = (reader.uint()?, reader.position());
                match reader.uint()? {
                    stranger @ (0 | 1) => Self::Turn { more, stranger: stranger == 1 },
                    _ => return expected(at, "0 or 1"),
                }
            }
            (4, 2) => Self::Bye(Bye::of(reader.uint()?)),
            (MAY_BE_PASSED_OVER.., _) => return Ok(Self::Unknown),
            _ => return expected(at, "a frame of kind 1 to 4"),
        };
        reader.end()?;
        Ok(frame)
    }
}

/// The beginning of a hash, by which a state names it.
type Short = [u8; 16];

/// What a device has of a record: each operation on the members, of each writer how many changes the
/// document has and the last of them, and each change beside the document.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MeetingState {
    ops: Set<Short>,
    writers: Map<Writer, (u64, ChangeId)>,
    beside: Set<Short>,
}

fn short(hash: &[u8; 32]) -> Short {
    let mut short = Short::default();
    short.iter_mut().zip(hash).for_each(|(to, from)| *to = *from);
    short
}

impl MeetingState {
    /// It has this operation.
    pub fn add_op(&mut self, op: &MemberHash) {
        self.ops.insert(short(op.as_bytes()));
    }

    /// Its document has so many changes of a writer; `last` is the last of them.
    pub fn add_writer(&mut self, writer: Writer, count: u64, last: ChangeId) {
        self.writers.insert(writer, (count, last));
    }

    /// It keeps this change beside the document.
    pub fn add_beside(&mut self, change: &ChangeId) {
        self.beside.insert(short(change.as_bytes()));
    }

    /// Whether it has an operation.
    pub fn has_op(&self, op: &MemberHash) -> bool {
        self.ops.contains(&short(op.as_bytes()))
    }

    /// Whether a change is kept beside its document.
    pub fn has_beside(&self, change: &ChangeId) -> bool {
        self.beside.contains(&short(change.as_bytes()))
    }

    /// How many changes of a writer its document has, and the last of them.
    pub fn writer(&self, writer: &Writer) -> Option<(u64, ChangeId)> {
        self.writers.get(writer).copied()
    }

    /// The canonical bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(3).chunks::<16, Short>(&self.ops.iter().copied().collect::<Vec<_>>());
        out.array(self.writers.len());
        for (writer, (count, last)) in &self.writers {
            out.array(3).bytes(writer.as_bytes()).uint(*count).bytes(last.as_bytes());
        }
        out.chunks::<16, Short>(&self.beside.iter().copied().collect::<Vec<_>>());
        out.finish()
    }

    /// Reads them.
    ///
    /// # Errors
    /// For anything else.
    pub fn decode(bytes: &[u8]) -> Result<Self, CborError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(3, "a state of 3 items")?;
        let ops = sorted(&mut reader)?;
        let mut writers = Map::new();
        for _ in 0..reader.array()? {
            let at = reader.position();
            reader.array_len(3, "a writer of 3 items")?;
            let writer = Writer::from_bytes(reader.array_of("a writer")?);
            let after = writers.last_key_value().is_none_or(|(last, _)| *last < writer);
            let last = (reader.uint()?, ChangeId::from_bytes(reader.array_of("a change")?));
            if !after {
                return expected(at, "writers in order");
            }
            writers.insert(writer, last);
        }
        let beside = sorted(&mut reader)?;
        reader.end()?;
        Ok(Self { ops, writers, beside })
    }
}

/// Hashes in order, each once.
fn sorted(reader: &mut Reader<'_>) -> Result<Set<Short>, CborError> {
    let at = reader.position();
    let list: Vec<Short> = reader.chunks("hashes of 16 bytes")?;
    if list.is_sorted_by(|a, b| a < b) {
        Ok(list.into_iter().in_set())
    } else {
        expected(at, "hashes in order")
    }
}

#[cfg(test)]
#[path = "frames_tests.rs"]
mod tests;
