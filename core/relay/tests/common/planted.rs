//! A bundle and a photo with words in them, brought to a relay; and the words, tokens and names that may then
//! be found nowhere.
#![allow(dead_code, clippy::unwrap_used, reason = "each test uses a part")]

use fallaway_changes::RecordId;
use fallaway_sharing::{BlobKey, EpochKey, Payload, bundle_id, seal, seal_blob};
use fallaway_sync::wire::access::LogToken;
use fallaway_sync::wire::blob::BlobPlace;
use fallaway_sync::wire::route::{BYTES, PARTS};

use crate::process::{Device, ids};

const WORDS: &str = "planted walnut bass at the bench";

/// What was brought, and what may not be found.
pub struct Planted {
    /// The sealed bundle, and the sealed part of a photo: these are found.
    pub sealed: [Vec<u8>; 2],
    /// What a relay may not hold in any form.
    pub words: Vec<Vec<u8>>,
}

impl Planted {
    /// Brings both to the log of a device that has opened it; its key is 1.
    pub fn bring(device: &mut Device) -> Self {
        let (key, record) = (EpochKey::from_bytes([1; 32]), RecordId::from_bytes([0xc7; 16]));
        // A text string of CBOR: major type 3, 32 bytes.
        assert_eq!((WORDS.len(), device.key), (32, 1));
        let body = [&[0x78, 32], WORDS.as_bytes()].concat();
        let bundle = seal(&key, &record, &Payload::Unknown { kind: 9, body }).unwrap();
        let photo_key = [0xd9; 32];
        let photo = seal_blob(&BlobKey::from_bytes(photo_key), WORDS.as_bytes()).unwrap();
        let [part] = <[Vec<u8>; 1]>::try_from(photo.parts).unwrap();
        device.push(&device.start(), std::slice::from_ref(&bundle)).unwrap();
        assert_eq!(ids(&device.read_all()), [bundle_id(&bundle)]);
        let path = BlobPlace { log: device.log, blob: photo.id, part: 0 }.path();
        let token = device.token();
        let headers = [("Authorization", token.as_str()), ("Content-Type", BYTES)];
        let put = device.send("PUT", &format!("{path}?{PARTS}=1"), &headers, &part).unwrap();
        assert_eq!(put.status, 201);
        let got = device.send("GET", &path, &headers[..1], b"").unwrap();
        assert_eq!((got.status, &got.body), (200, &part));
        let tokens = [LogToken::access(&key, &device.log), LogToken::admin(&key, &device.log)];
        let tokens = tokens.map(|token| token.header().replace("Fallaway ", ""));
        let decode =
            |token: &String| data_encoding::BASE64URL_NOPAD.decode(token.as_bytes()).unwrap();
        let mut words: Vec<Vec<u8>> =
            vec![WORDS.into(), b"walnut".to_vec(), [1; 32].to_vec(), photo_key.to_vec()];
        words.push([0xc7; 16].to_vec());
        words.extend(tokens.iter().map(decode));
        words.extend(tokens.map(String::into_bytes));
        Self { sealed: [bundle, part], words }
    }

    /// Looks for all of it, as bytes and as the hexadecimal digits of a dump.
    pub fn look_in(&self, bytes: &[u8], place: &str) {
        for word in &self.words {
            let digits = data_encoding::HEXLOWER.encode(word).into_bytes();
            assert!(!holds(bytes, word) && !holds(bytes, &digits), "{word:?} in {place}");
        }
    }
}

/// Whether bytes lie among others.
pub fn holds(bytes: &[u8], word: &[u8]) -> bool {
    bytes.windows(word.len()).any(|found| found == word)
}
