//! Hundreds of sealed visits later, after compaction, a newcomer can still prove who wrote what; a
//! history that was altered is refused, even if it was sealed with the record's own key.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

use std::collections::BTreeMap;

use fallaway::{Role, Workshop, WriteOptions};
use fallaway_changes::{Change, LinkError, Put, VerifiedChange, Writer};
use fallaway_sharing::{
    ChainError, ChainProof, ChangeBundle, Payload, Welcome, bundle_file, open, seal,
};
use fallaway_simulation::own_program::{opened, welcome};
use fallaway_simulation::work;
use fallaway_simulation::world::{HandClock, Seeded};

const VISITS: usize = 300;

fn workshop(label: &str, clock: &HandClock, seed: u64) -> Workshop {
    Workshop::in_memory(label, Box::new(clock.clone()), Box::new(Seeded::new(seed))).unwrap()
}

/// The change bundles of a file, opened, which checks their signatures.
fn chains(welcome: &Welcome, file: &[u8]) -> Vec<ChangeBundle> {
    let bundles = opened(welcome, file).into_iter().filter_map(|payload| match payload {
        Payload::Changes(bundle) => Some(bundle),
        _ => None,
    });
    bundles.collect()
}

/// A file in which one change bundle was replaced.
fn with(file: &[u8], welcome: &Welcome, place: usize, bundle: ChangeBundle) -> Vec<u8> {
    let mut sealed: Vec<Vec<u8>> =
        bundle_file::read(file).unwrap().into_iter().map(<[u8]>::to_vec).collect();
    let changes = |bytes: &Vec<u8>| {
        let payload = open(&welcome.record, std::slice::from_ref(&welcome.key), bytes);
        matches!(payload, Ok((_, Payload::Changes(_))))
    };
    let at: Vec<usize> = (0..sealed.len()).filter(|at| changes(&sealed[*at])).collect();
    sealed[at[place]] = seal(&welcome.key, &welcome.record, &Payload::Changes(bundle)).unwrap();
    bundle_file::write(&sealed).unwrap()
}

#[test]
fn a_newcomer_proves_a_compacted_history_and_refuses_an_altered_one() {
    let clock = HandClock::at(1_700_000_000);
    let tech = workshop("tech", &clock, 1);
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    for visit in 0..VISITS {
        clock.wind(86_400);
        bass.begin_visit(None, None).unwrap();
        bass.add_pass(work::relief_pass(5 + visit as i64 % 9), WriteOptions::sure().by("tech"))
            .unwrap();
        bass.end_visit(None, None).unwrap();
    }
    let words = bass.invite(Role::Contributor, 9).unwrap().words;
    let file = bass.bundle_out().unwrap().file;
    let (welcome, _) = welcome(&words, &file);

    // Fewer signatures than changes are left, and each change is under one.
    let bundles = chains(&welcome, &file);
    let mut proved: BTreeMap<Writer, u64> = BTreeMap::new();
    for bundle in &bundles {
        let last = proved.entry(bundle.proof().writer()).or_default();
        for change in bundle.changes() {
            assert_eq!(change.seq, *last + 1);
            *last = change.seq;
        }
    }
    // The instrument's facts are one more change.
    assert_eq!(proved.into_values().collect::<Vec<_>>(), [VISITS as u64 + 1]);
    assert!(bundles.len() < VISITS / 2, "{} bundles: nothing was compacted", bundles.len());

    let newcomer = workshop("newcomer", &clock, 2);
    let theirs = newcomer.accept(&words, &file).unwrap();
    let report = newcomer.bundle_in(&file).unwrap();
    assert!(report.refused.is_empty() && report.waiting == 0, "{report:?}");
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(work::told(&bass), work::told(&theirs));

    // Somebody with the key writes another reading into an old change, or leaves one out.
    let (place, bundle) =
        bundles.iter().enumerate().find(|(_, bundle)| bundle.changes().len() > 9).unwrap();
    let (proof, changes) = bundle.clone().into_parts();
    let mut other = Change::clone(&changes[4]);
    let signed = |put: &&mut Put| put.value.windows(4).any(|text| text == b"tech");
    let put = other.ops.iter_mut().find(signed).unwrap();
    let at = put.value.windows(4).position(|text| text == b"tech").unwrap();
    put.value[at..at + 4].copy_from_slice(b"else");
    let mut rewritten = changes.clone();
    rewritten[4] = VerifiedChange::own(&welcome.record, other).unwrap();
    let refused = ChangeBundle::new(proof.clone(), rewritten).unwrap_err();
    assert!(matches!(refused, ChainError::Link(LinkError::Unlinked(_))), "{refused}");
    let mut stolen = proof.clone();
    stolen.seq += 1;
    assert!(stolen.verify().is_err(), "a signature moved to another number");
    assert!(ChainProof::decode(&stolen.encode()).is_err());

    let shortened = ChangeBundle::new(proof, changes[3..].to_vec()).unwrap();
    let file = with(&file, &welcome, place, shortened);
    let reader = workshop("reader", &clock, 3);
    let invitation = bass.invite(Role::Viewer, 9).unwrap();
    let theirs = reader.accept(&invitation.words, &invitation.welcome).unwrap();
    let report = reader.bundle_in(&file).unwrap();
    // What is missing is waited for, and what follows waits with it.
    assert!(report.refused.is_empty() && report.waiting > 0, "{report:?}");
    assert_ne!(theirs.details().unwrap().history_digest, bass.details().unwrap().history_digest);
    // With the true file everything is there.
    reader.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(theirs.details().unwrap().history_digest, bass.details().unwrap().history_digest);
}
