//! Who is at the other end of a meeting: a device signs the handshake that both have just made.

use fallaway_changes::cbor::Builder;
use fallaway_changes::{DeviceId, Signature};

use crate::identity::{DeviceKeys, verify};

/// Domain separation; frozen with the protocol.
const DOMAIN: &str = "fallaway v1 meeting";

impl DeviceKeys {
    /// Proves to the other end of a handshake which device this is: a signature over the handshake's
    /// hash and over which end this is, so that it can be shown to nobody else.
    pub fn sign_meeting(&self, listens: bool, handshake: &[u8; 32]) -> Signature {
        self.sign(&message(listens, handshake))
    }
}

/// Whether `device` is at the end of the handshake that `listens`, or at the one that came.
pub fn is_meeting(
    device: &DeviceId,
    listens: bool,
    handshake: &[u8; 32],
    signature: &Signature,
) -> bool {
    verify(device.as_bytes(), &message(listens, handshake), signature)
}

fn message(listens: bool, handshake: &[u8; 32]) -> Vec<u8> {
    let mut out = Builder::new();
    out.array(3).text(DOMAIN).uint(u64::from(listens)).bytes(handshake);
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_proof_holds_for_one_handshake_and_one_end() {
        let keys = DeviceKeys::from_seed(&[7; 32]);
        let proof = keys.sign_meeting(true, &[1; 32]);
        assert!(is_meeting(&keys.device(), true, &[1; 32], &proof));
        assert!(!is_meeting(&keys.device(), false, &[1; 32], &proof));
        assert!(!is_meeting(&keys.device(), true, &[2; 32], &proof));
        let other = DeviceKeys::from_seed(&[8; 32]).device();
        assert!(!is_meeting(&other, true, &[1; 32], &proof));
    }
}
