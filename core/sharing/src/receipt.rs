//! Receipts: what a device says that it has. A device that only reads writes nothing else by which the
//! others could know it. A receipt gives nobody a right, and says something of its own author alone.

use fallaway_changes::cbor::{Builder, CborError, Reader};
use fallaway_changes::limits::{TooLarge, at_most, bounded, is_sorted_unique};
use fallaway_changes::{ChangeId, DeviceId, LogId, MemberHash, RecordId, Signature};
use fallaway_order::OneByOne as _;

use crate::identity::{DeviceKeys, verify};
use crate::limits::{MAX_RECEIPT_HEADS, MAX_RELAYS};

/// Begins the signed message of a [`Receipt`].
const DOMAIN: &str = "fallaway v1 receipt";
const ITEMS: usize = 6;

/// The beginning of a hash, by which a receipt names what it stands for.
pub type ShortHash = [u8; 16];
/// The beginning of a log's name.
pub type ShortLog = [u8; 8];

/// A place in a log up to which a device has read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadPlace {
    /// The log, by the beginning of its name.
    pub log: ShortLog,
    /// Number of the last bundle.
    pub seq: u64,
    /// The chain over everything up to it.
    pub chain: [u8; 16],
}

impl ReadPlace {
    /// Whether it lies in this log.
    pub fn is_in(&self, log: &LogId) -> bool {
        log.as_bytes().starts_with(&self.log)
    }
}

/// What a device says that it has: these, and all that they rest on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Receipt {
    /// The record that it is about.
    pub record: RecordId,
    /// Whose it is.
    pub device: DeviceId,
    /// When, in seconds since 1970 by its clock; later than its receipt before.
    pub time: i64,
    /// The newest member operations: sorted, unique, at most [`MAX_RECEIPT_HEADS`].
    pub member_heads: Vec<ShortHash>,
    /// The newest changes in its document: likewise.
    pub heads: Vec<ShortHash>,
    /// Up to where it has read which logs, at most [`MAX_RELAYS`].
    pub places: Vec<ReadPlace>,
    /// Over all of the above.
    pub signature: Signature,
}

/// A receipt whose signature was not checked: of many by one device only the newest counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnverifiedReceipt(Receipt);

/// Why a receipt is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReceiptError {
    /// Not the expected CBOR.
    #[error("malformed {0}")]
    Malformed(#[from] CborError),
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// What it names is unsorted or named twice.
    #[error("what a receipt names must be sorted and unique")]
    Order,
    /// The device did not sign this.
    #[error("the signature is not by device {0}")]
    BadSignature(DeviceId),
}

/// How a receipt names an operation.
pub fn short_op(hash: &MemberHash) -> ShortHash {
    beginning(hash.as_bytes())
}

/// How a receipt names a change.
pub fn short_change(id: &ChangeId) -> ShortHash {
    beginning(id.as_bytes())
}

/// How a receipt names a log.
pub fn short_log(log: &LogId) -> ShortLog {
    beginning(log.as_bytes())
}

fn beginning<const N: usize>(bytes: &[u8]) -> [u8; N] {
    bytes.first_chunk().copied().unwrap_or([0; N])
}

impl Receipt {
    /// Signs that this device has these operations and changes, and has read up to these places. Of more
    /// than a receipt names, the first ones in their order are named.
    pub fn sign(
        keys: &DeviceKeys,
        record: RecordId,
        time: i64,
        (ops, changes): (impl IntoIterator<Item = MemberHash>, impl IntoIterator<Item = ChangeId>),
        places: Vec<ReadPlace>,
    ) -> Self {
        let ops = ops.into_iter().map(|op| short_op(&op));
        let changes = changes.into_iter().map(|id| short_change(&id));
        let mut receipt = Self {
            record,
            device: keys.device(),
            time,
            member_heads: in_form(ops),
            heads: in_form(changes),
            places: places.into_iter().take(MAX_RELAYS).collect(),
            signature: Signature::from_bytes([0; 64]),
        };
        receipt.signature = keys.sign(&receipt.message());
        receipt
    }

    fn message(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(ITEMS + 1).text(DOMAIN).bytes(self.record.as_bytes());
        self.encode_items(&mut out);
        out.finish()
    }

    fn encode_items(&self, out: &mut Builder) {
        out.bytes(self.device.as_bytes())
            .int(self.time)
            .chunks(&self.member_heads)
            .chunks(&self.heads)
            .array(self.places.len());
        for place in &self.places {
            out.array(3).bytes(&place.log).uint(place.seq).bytes(&place.chain);
        }
    }

    /// The canonical bytes. The record is not among them: it is known to who opens the bundle.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(ITEMS);
        self.encode_items(&mut out);
        out.bytes(self.signature.as_bytes());
        out.finish()
    }

    /// Reads what [`Self::encode`] gave, from a place where only receipts are kept that were checked.
    ///
    /// # Errors
    /// [`ReceiptError`], but for the signature.
    pub fn decode_kept(bytes: &[u8], record: &RecordId) -> Result<Self, ReceiptError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(ITEMS as u64, "a receipt of 6 items")?;
        let device = DeviceId::from_bytes(reader.array_of("a device")?);
        let time = reader.int()?;
        let member_heads = hashes(&mut reader)?;
        let heads = hashes(&mut reader)?;
        let count = bounded("places of a receipt", reader.array()?, MAX_RELAYS)?;
        let mut places = Vec::new();
        for _ in 0..count {
            reader.array_len(3, "a place of 3 items")?;
            places.push(ReadPlace {
                log: reader.array_of("the beginning of a log's name")?,
                seq: reader.uint()?,
                chain: reader.array_of("a chain")?,
            });
        }
        let signature = Signature::from_bytes(reader.array_of("a signature")?);
        reader.end()?;
        Ok(Self { record: *record, device, time, member_heads, heads, places, signature })
    }
}

impl UnverifiedReceipt {
    pub(crate) fn decode(bytes: &[u8], record: &RecordId) -> Result<Self, ReceiptError> {
        Receipt::decode_kept(bytes, record).map(Self)
    }

    pub(crate) const fn inside(&self) -> &Receipt {
        &self.0
    }

    /// Whose it says it is.
    pub const fn device(&self) -> &DeviceId {
        &self.0.device
    }

    /// When it says it was written, in seconds since 1970.
    pub const fn time(&self) -> i64 {
        self.0.time
    }

    /// The receipt, if its device has signed it.
    ///
    /// # Errors
    /// [`ReceiptError::BadSignature`].
    pub fn verify(self) -> Result<Receipt, ReceiptError> {
        let Self(receipt) = self;
        if verify(receipt.device.as_bytes(), &receipt.message(), &receipt.signature) {
            Ok(receipt)
        } else {
            Err(ReceiptError::BadSignature(receipt.device))
        }
    }
}

impl From<Receipt> for UnverifiedReceipt {
    fn from(receipt: Receipt) -> Self {
        Self(receipt)
    }
}

fn in_form(hashes: impl Iterator<Item = ShortHash>) -> Vec<ShortHash> {
    hashes.in_set().into_iter().take(MAX_RECEIPT_HEADS).collect()
}

fn hashes(reader: &mut Reader<'_>) -> Result<Vec<ShortHash>, ReceiptError> {
    let hashes: Vec<ShortHash> = reader.chunks("hashes of 16 bytes each")?;
    at_most("hashes of a receipt", hashes.len(), MAX_RECEIPT_HEADS)?;
    if is_sorted_unique(&hashes) { Ok(hashes) } else { Err(ReceiptError::Order) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::testing::{keys, record};

    fn receipt(seq: u64) -> Receipt {
        let places = vec![ReadPlace { log: [7; 8], seq, chain: [9; 16] }];
        let (ops, changes) = ([MemberHash::from_bytes([1; 32])], [ChangeId::from_bytes([2; 32])]);
        Receipt::sign(&keys(1), record(), 1_700_000_000, (ops, changes), places)
    }

    fn bytes(text: &Value) -> Vec<u8> {
        data_encoding::HEXLOWER.decode(text.as_str().unwrap().as_bytes()).unwrap()
    }

    fn array<const N: usize>(text: &Value) -> [u8; N] {
        bytes(text).try_into().unwrap()
    }

    /// Written and signed by another implementation, which had nothing but the description of the format; with
    /// the keys of RFC 8032, 7.1.
    #[test]
    fn a_second_implementation_writes_the_same_receipts() {
        let file =
            concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/vectors/sharing/receipts.json");
        let vectors: Value = serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
        let vectors_of = |name: &str| vectors[name].as_array().unwrap().clone();
        for vector in vectors_of("receipts") {
            let record = RecordId::from_bytes(array(&vector["record"]));
            let whole = bytes(&vector["receipt"]);
            let read = UnverifiedReceipt::decode(&whole, &record).unwrap().verify().unwrap();
            let hashes = |name: &str| -> Vec<ShortHash> {
                vector[name].as_array().unwrap().iter().map(array).collect()
            };
            let place = |place: &Value| ReadPlace {
                log: array(&place["log"]),
                seq: place["seq"].as_u64().unwrap(),
                chain: array(&place["chain"]),
            };
            let places = vector["places"].as_array().unwrap().iter().map(place).collect();
            let said = Receipt {
                record,
                device: DeviceId::from_bytes(array(&vector["device"])),
                time: vector["time"].as_i64().unwrap(),
                member_heads: hashes("operations"),
                heads: hashes("changes"),
                places,
                signature: read.signature,
            };
            assert_eq!(read, said, "{}", vector["says"]);
            assert_eq!(said.message(), bytes(&vector["signed"]), "{}", vector["says"]);
            assert_eq!(said.encode(), whole, "{}", vector["says"]);
        }
        for vector in vectors_of("refused") {
            let record = RecordId::from_bytes(array(&vector["record"]));
            let read = UnverifiedReceipt::decode(&bytes(&vector["receipt"]), &record);
            assert!(read.and_then(UnverifiedReceipt::verify).is_err(), "{}", vector["says"]);
        }
    }

    #[test]
    fn nobody_signs_for_another_or_for_another_record() {
        let whole = receipt(3);
        assert_eq!(UnverifiedReceipt::from(whole.clone()).verify(), Ok(whole.clone()));
        let mut others = [whole.clone(), whole.clone(), whole.clone()];
        others[0].device = keys(2).device();
        others[1].record = RecordId::from_bytes([3; 16]);
        others[2].heads = vec![[5; 16]];
        for other in others {
            let refused = Err(ReceiptError::BadSignature(other.device));
            assert_eq!(UnverifiedReceipt::from(other).verify(), refused);
        }
    }

    #[test]
    fn only_one_form_is_read() {
        let mut whole = receipt(3);
        whole.heads = vec![[5; 16], [4; 16]];
        let read = UnverifiedReceipt::decode(&whole.encode(), &record());
        assert_eq!(read, Err(ReceiptError::Order));
        whole.heads = vec![[4; 16]; 2];
        let read = UnverifiedReceipt::decode(&whole.encode(), &record());
        assert_eq!(read, Err(ReceiptError::Order));
        whole.heads = (0..65_u8).map(|n| [n; 16]).collect();
        let read = UnverifiedReceipt::decode(&whole.encode(), &record());
        assert!(matches!(read, Err(ReceiptError::TooLarge(_))));
    }
}
