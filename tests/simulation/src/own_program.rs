//! A member whose device runs a program of its own: it signs and seals what no library would make.

use fallaway_order::Set;

use fallaway_changes::{
    Change, ChangeId, DeviceId, Incarnation, MemberHash, RecordId, VerifiedChange, Writer, writer,
};
use fallaway_record::Record;
use fallaway_sharing::{
    ChainProof, ChangeBundle, DeviceKeys, EpochKey, Invitation, InviteSecret, MemberOp, OpenError,
    Payload, Welcome, bundle_file, is_letter, open, seal,
};

/// What the words of an invitation open in a file.
pub fn welcome(words: &str, file: &[u8]) -> (Welcome, InviteSecret) {
    let secret = Invitation::parse(words).unwrap().secret;
    let welcome = Welcome::find(&secret, bundle_file::read(file).unwrap()).unwrap();
    (welcome, secret)
}

/// What the bundles of a file hold, opened with the key of a welcome, but for keys that are handed to others.
pub fn opened(welcome: &Welcome, file: &[u8]) -> Vec<Payload> {
    let keys = std::slice::from_ref(&welcome.key);
    let sealed = bundle_file::read(file).unwrap().into_iter().filter(|bytes| !is_letter(bytes));
    let payloads = sealed.filter_map(|bytes| match open(&welcome.record, keys, bytes) {
        Ok((_, payload)) => Some(payload),
        Err(OpenError::UnknownEpoch(_)) => None,
        Err(error) => panic!("{error}"),
    });
    payloads.collect()
}

/// Such a member.
pub struct OwnProgram {
    /// The device's keys.
    pub keys: DeviceKeys,
    /// The record.
    pub id: RecordId,
    key: EpochKey,
    /// What it says to have seen of the members: its own join.
    pub heads: Set<MemberHash>,
    /// Its join.
    pub join: MemberOp,
    /// Everything that the others had handed over.
    pub base: Record,
    /// What had happened among the members.
    pub members: Vec<MemberOp>,
}

impl OwnProgram {
    /// Joins by an invitation and reads a file with everything.
    pub fn join(words: &str, everything: &[u8], (seed, label): (u8, &str), time: i64) -> Self {
        let (welcome, secret) = welcome(words, everything);
        let keys = DeviceKeys::from_seed(&[seed; 32]);
        let id = welcome.record;
        let (mut changes, mut members) = (Vec::new(), Vec::new());
        for payload in opened(&welcome, everything) {
            match payload {
                Payload::Changes(bundle) => changes.extend(bundle.into_parts().1),
                Payload::Member(op) => members.push(op),
                Payload::Receipt(_) | Payload::Unknown { .. } => {}
            }
        }
        let mut base = Record::create(id);
        let applied = base.apply(&changes);
        assert!(applied.refused.is_empty() && applied.waiting.is_empty(), "{applied:?}");
        let nothing = Set::new();
        let invite = welcome.invited.unwrap().invite;
        let join = MemberOp::join(&keys, id, &nothing, time, invite, &secret, label).unwrap();
        Self { keys, id, key: welcome.key, heads: [join.hash()].into(), join, base, members }
    }

    /// Reads what has happened among the members since, as far as its key opens it; it has seen that
    /// from then on.
    pub fn hear(&mut self, file: &[u8]) {
        let keys = std::slice::from_ref(&self.key);
        for sealed in bundle_file::read(file).unwrap() {
            if let Ok((_, Payload::Member(op))) = open(&self.id, keys, sealed) {
                self.members.push(op);
            }
        }
        let seen: Set<MemberHash> = self.members.iter().flat_map(|op| op.seen().to_vec()).collect();
        let heads = self.members.iter().map(MemberOp::hash);
        self.heads = heads.chain([self.join.hash()]).filter(|one| !seen.contains(one)).collect();
    }

    /// The device.
    pub fn device(&self) -> DeviceId {
        self.keys.device()
    }

    /// Its writer of this number: it can have as many as it likes.
    pub fn writer(&self, number: u64) -> (Incarnation, Writer) {
        let mut bytes = [0; 16];
        bytes[..8].copy_from_slice(&number.to_be_bytes());
        let incarnation = Incarnation::from_bytes(bytes);
        (incarnation, writer(&self.device(), &self.id, &incarnation))
    }

    /// Signs a change, with these heads; `None` for one that has no form. Also the change's id.
    pub fn signed(
        &self,
        incarnation: Incarnation,
        change: Change,
        heads: &Set<MemberHash>,
    ) -> Option<(ChangeId, Payload)> {
        let change = VerifiedChange::own(&self.id, change).ok()?;
        let (seq, tip) = (change.seq, change.id());
        let proof = ChainProof::sign(&self.keys, self.id, incarnation, seq, tip, heads);
        let bundle = ChangeBundle::new(proof, vec![change]).ok()?;
        Some((tip, Payload::Changes(bundle)))
    }

    /// Seals a payload.
    pub fn seal(&self, payload: &Payload) -> Vec<u8> {
        seal(&self.key, &self.id, payload).unwrap()
    }

    /// Whether sealed bytes are read as changes of a device that signed them.
    pub fn opens(&self, sealed: &[u8]) -> bool {
        matches!(
            open(&self.id, std::slice::from_ref(&self.key), sealed),
            Ok((_, Payload::Changes(_)))
        )
    }

    /// A file of payloads.
    pub fn file(&self, payloads: &[Payload]) -> Vec<u8> {
        let sealed: Vec<Vec<u8>> = payloads.iter().map(|one| self.seal(one)).collect();
        bundle_file::write(&sealed).unwrap()
    }
}
