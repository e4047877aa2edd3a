//! Photos in a meeting: what an end asks for, and a part of one.

use fallaway_changes::BlobId;
use fallaway_changes::cbor::{Builder, CborError, CborFault, Reader};

use super::limits::MAX_WANTS;
use crate::wire::blob::is_part;

/// A photo that an end lacks, and the parts of it that it has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoWant {
    /// The photo that is lacking.
    pub blob: BlobId,
    /// Numbers of parts that are here, in order, each once.
    pub here: Vec<u32>,
}

/// A sealed part of a photo that was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoPart {
    /// The photo that it is a part of.
    pub blob: BlobId,
    /// Its number, from 0.
    pub part: u32,
    /// How many the photo has.
    pub parts: u32,
    /// The sealed bytes.
    pub bytes: Vec<u8>,
}

fn expected<T>(at: usize, what: &'static str) -> Result<T, CborError> {
    Err(CborError { at, fault: CborFault::Expected(what) })
}

fn number(reader: &mut Reader<'_>) -> Result<u32, CborError> {
    let at = reader.position();
    u32::try_from(reader.uint()?).or_else(|_| expected(at, "the number of a part"))
}

pub(super) fn encode_wants(wants: &[PhotoWant]) -> Vec<u8> {
    let mut out = Builder::new();
    out.array(wants.len());
    for want in wants {
        out.array(2).bytes(want.blob.as_bytes()).array(want.here.len());
        for part in &want.here {
            out.uint(u64::from(*part));
        }
    }
    out.finish()
}

pub(super) fn decode_wants(bytes: &[u8]) -> Result<Vec<PhotoWant>, CborError> {
    let mut reader = Reader::new(bytes);
    let (at, count) = (reader.position(), reader.array()?);
    if count > MAX_WANTS as u64 {
        return expected(at, "at most 256 photos");
    }
    let mut wants = Vec::new();
    for _ in 0..count {
        reader.array_len(2, "a photo of 2 items")?;
        let blob = BlobId::from_bytes(reader.array_of("a photo")?);
        let at = reader.position();
        let mut here = Vec::new();
        for _ in 0..reader.array()? {
            here.push(number(&mut reader)?);
        }
        if !here.is_sorted_by(|a, b| a < b) {
            return expected(at, "numbers in order");
        }
        wants.push(PhotoWant { blob, here });
    }
    reader.end()?;
    Ok(wants)
}

impl PhotoPart {
    pub(super) fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(4).bytes(self.blob.as_bytes()).uint(u64::from(self.part));
        out.uint(u64::from(self.parts)).bytes(&self.bytes);
        out.finish()
    }

    pub(super) fn decode(bytes: &[u8]) -> Result<Self, CborError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(4, "a part of 4 items")?;
        let blob = BlobId::from_bytes(reader.array_of("a photo")?);
        let (part, parts) = (number(&mut reader)?, number(&mut reader)?);
        let at = reader.position();
        let bytes = reader.bytes()?.to_vec();
        reader.end()?;
        if is_part(part, parts, bytes.len()) {
            Ok(Self { blob, part, parts, bytes })
        } else {
            expected(at, "a part of a photo, full unless it is the last")
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_of_photos_comes_back_as_it_was() {
        let blob = BlobId::from_bytes([7; 32]);
        let wants = vec![
            PhotoWant { blob, here: vec![0, 2] },
            PhotoWant { blob: BlobId::from_bytes([8; 32]), here: Vec::new() },
        ];
        let bytes = encode_wants(&wants);
        assert_eq!(decode_wants(&bytes).unwrap(), wants);
        assert_eq!(bytes.first(), Some(&0x82));
        let part = PhotoPart { blob, part: 0, parts: 1, bytes: vec![1, 2, 3] };
        assert_eq!(PhotoPart::decode(&part.encode()).unwrap(), part);
        for cut in 0..bytes.len() {
            assert!(decode_wants(&bytes[..cut]).is_err());
        }
    }

    #[test]
    fn what_can_be_no_part_is_none() {
        let blob = BlobId::from_bytes([7; 32]);
        for (part, parts, bytes) in
            [(0, 2, vec![1]), (1, 1, vec![1]), (0, 0, vec![1]), (0, 1, vec![])]
        {
            assert!(PhotoPart::decode(&PhotoPart { blob, part, parts, bytes }.encode()).is_err());
        }
        let twice = [PhotoWant { blob, here: vec![1, 1] }];
        assert!(decode_wants(&encode_wants(&twice)).is_err());
        let many = vec![PhotoWant { blob, here: Vec::new() }; MAX_WANTS + 1];
        assert!(decode_wants(&encode_wants(&many)).is_err());
    }
}
