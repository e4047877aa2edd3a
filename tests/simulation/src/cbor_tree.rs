//! CBOR as a tree that can be damaged and written again: what gets past the seal, and fails, if at
//! all, in the decoders.

use crate::realistic::Dice;

/// One item.
#[derive(Debug, Clone)]
enum Tree {
    /// Major type and argument: a number, a simple value, a float.
    Head(u8, u64),
    /// Bytes or text, by its major type.
    Text(u8, Vec<u8>),
    Array(Vec<Tree>),
    Map(Vec<Tree>),
    /// Whatever it is.
    Raw(Vec<u8>),
}

/// Numbers at which something ends.
const EDGES: [u64; 8] = [0, 1, 23, 255, 1 << 31, 1 << 32, 1 << 63, u64::MAX];

/// A damaged copy of an item; of other bytes, these bytes.
pub fn damaged(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let Some((mut tree, _)) = Tree::read(bytes, 0) else { return bytes.to_vec() };
    for _ in 0..=dice.roll() % 3 {
        tree.spoil(dice);
    }
    let mut out = Vec::new();
    tree.write(&mut out);
    out
}

fn below(dice: &mut Dice, count: usize) -> usize {
    (dice.roll() % count.max(1) as u64) as usize
}

impl Tree {
    fn read(bytes: &[u8], depth: usize) -> Option<(Self, &[u8])> {
        let (first, rest) = bytes.split_first()?;
        let (major, small) = (first >> 5, first & 31);
        let width = match small {
            0..24 => 0,
            24..28 => 1 << (small - 24),
            _ => return None,
        };
        let (argument, mut rest) = rest.split_at_checked(width)?;
        let big = argument.iter().fold(0, |sum, byte| sum << 8 | u64::from(*byte));
        let argument = if width == 0 { u64::from(small) } else { big };
        if major == 2 || major == 3 {
            let (text, rest) = rest.split_at_checked(usize::try_from(argument).ok()?)?;
            return Some((Self::Text(major, text.to_vec()), rest));
        }
        if !(major == 4 || major == 5) || depth > 40 {
            return Some((Self::Head(major, argument), rest));
        }
        let mut items = Vec::new();
        for _ in 0..argument.checked_mul(u64::from(major - 3))? {
            let (item, after) = Self::read(rest, depth + 1)?;
            items.push(item);
            rest = after;
        }
        Some((if major == 4 { Self::Array(items) } else { Self::Map(items) }, rest))
    }

    fn write(&self, out: &mut Vec<u8>) {
        match self {
            Self::Head(major, argument) => head(*major, *argument, out),
            Self::Text(major, text) => {
                head(*major, text.len() as u64, out);
                out.extend(text);
            }
            Self::Array(items) => {
                head(4, items.len() as u64, out);
                for item in items {
                    item.write(out);
                }
            }
            Self::Map(items) => {
                head(5, items.len() as u64 / 2, out);
                for item in items {
                    item.write(out);
                }
            }
            Self::Raw(bytes) => out.extend(bytes),
        }
    }

    fn spoil(&mut self, dice: &mut Dice) {
        // Down to some item, mostly a deep one.
        if let Self::Array(items) | Self::Map(items) = self
            && !items.is_empty()
            && !dice.roll().is_multiple_of(4)
        {
            let at = below(dice, items.len());
            return items[at].spoil(dice);
        }
        let edge = EDGES[below(dice, EDGES.len())];
        match (self, dice.roll() % 8) {
            (Self::Array(items) | Self::Map(items), 0) if !items.is_empty() => {
                items.remove(below(dice, items.len()));
            }
            (Self::Array(items) | Self::Map(items), 1) if !items.is_empty() => {
                let again = items[below(dice, items.len())].clone();
                let count = [1, 2, 300][below(dice, 3)];
                items.extend(std::iter::repeat_n(again, count));
            }
            (Self::Array(items) | Self::Map(items), 2) => {
                let (a, b) = (below(dice, items.len()), below(dice, items.len()));
                if a < items.len() && b < items.len() {
                    items.swap(a, b);
                }
            }
            (Self::Text(_, text), 3 | 4) => match dice.roll() % 3 {
                0 => text.truncate(below(dice, text.len())),
                1 => text.extend(vec![dice.roll() as u8; [1, 40, 70_000][below(dice, 3)]]),
                _ if !text.is_empty() => {
                    let at = below(dice, text.len());
                    text[at] ^= 1 << below(dice, 8);
                }
                _ => {}
            },
            (Self::Head(_, argument), 3 | 4) => *argument = edge,
            // A length that nothing stands behind, or one in more bytes than it takes.
            (other, 5) => {
                let major = [0x40, 0x60, 0x80, 0xa0, 0x00, 0xc0][below(dice, 6)];
                let mut raw = vec![major | 0x1b];
                raw.extend(edge.to_be_bytes());
                *other = Self::Raw(raw);
            }
            (other, 6) => {
                let depth = [1, 17, 30, 2_000][below(dice, 4)];
                let mut raw = vec![0x81; depth];
                other.write(&mut raw);
                *other = Self::Raw(raw);
            }
            (other, _) => *other = Self::Head([0, 1, 7][below(dice, 3)], edge),
        }
    }
}

fn head(major: u8, argument: u64, out: &mut Vec<u8>) {
    let (major, bytes) = (major << 5, argument.to_be_bytes());
    let (small, from) = match argument {
        0..24 => (argument as u8, 8),
        24..0x100 => (24, 7),
        0x100..0x1_0000 => (25, 6),
        0x1_0000..0x1_0000_0000 => (26, 4),
        _ => (27, 0),
    };
    out.push(major + small);
    out.extend(&bytes[from..]);
}
