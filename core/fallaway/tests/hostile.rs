//! Bundles that open, because their author holds the record's key, and must do no harm.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use fallaway_order::Set;

use common::{Seeded, Ticking, relief_pass, told, workshop};
use fallaway::record::{EntryBody, Remark, SpecField};
use fallaway::{Error, HistoryFilter, Instrument, Role, Workshop, WorkshopOptions};
use fallaway_changes::{
    Change, ChangeId, Container, DeviceId, Incarnation, MemberHash, Put, VerifiedChange, writer,
};
use fallaway_sharing::{
    Action, ChainProof, ChangeBundle, DeviceKeys, Invitation, MemberOp, Members, OpenError,
    Payload, Welcome, bundle_file, is_letter, open, seal,
};

/// Breaks one rule.
type Spoil = Box<dyn FnOnce(&mut Change)>;

/// A device that keeps to no rules.
struct Mallory {
    keys: DeviceKeys,
    welcome: Welcome,
    invitation: Invitation,
    heads: Set<MemberHash>,
    join: MemberOp,
}

impl Mallory {
    fn invited(bass: &Instrument) -> Self {
        Self::invited_as(bass, Role::Contributor)
    }

    fn invited_as(bass: &Instrument, role: Role) -> Self {
        let invitation = bass.invite(role, 7).unwrap();
        let everything = bass.bundle_out().unwrap().file;
        let sealed = bundle_file::read(&everything).unwrap();
        let invitation = Invitation::parse(&invitation.words).unwrap();
        let welcome = Welcome::find(&invitation.secret, sealed.iter().copied()).unwrap();
        let keys = DeviceKeys::from_seed(&[66; 32]);
        let record = welcome.record;
        let mut members = Members::new(record);
        for sealed in sealed.into_iter().filter(|one| !is_letter(one)) {
            let keys = std::slice::from_ref(&welcome.key);
            match open(&record, keys, sealed) {
                Ok((_, Payload::Member(op))) => assert!(members.insert(op).is_ok()),
                // What hands a key to somebody else.
                Ok(_) | Err(OpenError::UnknownEpoch(_)) => {}
                Err(error) => panic!("{error}"),
            }
        }
        let time = 1_780_000_000;
        let (invite, secret) = (welcome.invited.unwrap().invite, &invitation.secret);
        let join = MemberOp::join(&keys, record, &members.heads(), time, invite, secret, "mallory")
            .unwrap();
        Self { keys, heads: members.heads(), welcome, invitation, join }
    }

    fn joined(mut self) -> Self {
        self.heads = [self.join.hash()].into();
        self
    }

    /// A change that is right but for what `spoil` does to it.
    fn change(&self, deps: Vec<ChangeId>, spoil: impl FnOnce(&mut Change)) -> Change {
        let record = self.welcome.record;
        let writer = writer(&self.keys.device(), &record, &Incarnation::from_bytes([1; 16]));
        let value = minicbor::to_vec("mine").unwrap();
        let put = Put { container: Container::SPEC, key: "about".into(), value };
        let mut change = Change { writer, seq: 1, time: 1_780_000_000, deps, ops: vec![put] };
        spoil(&mut change);
        change
    }

    /// Signed and sealed.
    fn sealed(&self, incarnation: Incarnation, change: Change) -> Vec<u8> {
        let record = self.welcome.record;
        let change = VerifiedChange::own(&record, change).unwrap();
        let proof =
            ChainProof::sign(&self.keys, record, incarnation, change.seq, change.id(), &self.heads);
        let bundle = ChangeBundle::new(proof, vec![change]).unwrap();
        self.seal(&Payload::Changes(bundle))
    }

    fn seal(&self, payload: &Payload) -> Vec<u8> {
        seal(&self.welcome.key, &self.welcome.record, payload).unwrap()
    }

    fn file(&self, change: Change, with_join: bool) -> Vec<u8> {
        let mut sealed = vec![self.sealed(Incarnation::from_bytes([1; 16]), change)];
        if with_join {
            sealed.push(self.seal(&Payload::Member(self.join.clone())));
        }
        bundle_file::write(&sealed).unwrap()
    }

    /// The first changes of so many writers of its own, and its join.
    fn flood(&self, count: u32, deps: &[ChangeId]) -> Vec<u8> {
        let mut sealed = vec![self.seal(&Payload::Member(self.join.clone()))];
        for number in 0..count {
            let mut bytes = [7; 16];
            bytes[..4].copy_from_slice(&number.to_be_bytes());
            let incarnation = Incarnation::from_bytes(bytes);
            let other = writer(&self.keys.device(), &self.welcome.record, &incarnation);
            let change = self.change(deps.to_vec(), |change| change.writer = other);
            sealed.push(self.sealed(incarnation, change));
        }
        bundle_file::write(&sealed).unwrap()
    }

    /// So many operations on the members, each after the one before it.
    fn operations(&self, count: u32) -> Vec<u8> {
        let (mut seen, mut sealed) = (self.heads.clone(), Vec::new());
        for number in 0..count {
            let mut device = [9; 32];
            device[..4].copy_from_slice(&number.to_be_bytes());
            let (device, exchange) = (DeviceId::from_bytes(device), self.keys.exchange());
            let (role, label) = (Role::Owner, "anybody".to_owned());
            let action = Action::Add { device, exchange, role, label };
            let record = self.welcome.record;
            let op = MemberOp::sign(&self.keys, record, &seen, 1_780_000_000, action).unwrap();
            seen = [op.hash()].into();
            sealed.push(self.seal(&Payload::Member(op)));
        }
        bundle_file::write(&sealed).unwrap()
    }
}

fn remark(text: &str) -> Remark {
    Remark { text: text.to_owned(), ..Remark::default() }
}

fn bass() -> (Workshop, Instrument) {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    bass.end_visit(None, None).unwrap();
    (tech, bass)
}

#[test]
fn what_a_stranger_signs_is_refused_and_not_kept() {
    let (tech, bass) = bass();
    let stranger = Mallory::invited(&bass);
    let before = told(&bass);
    let founding = ChangeId::founding(&bass.id());
    let file = stranger.file(stranger.change(vec![founding], |_| {}), false);
    let refused = tech.bundle_in(&file).unwrap_err();
    assert!(
        matches!(&refused, Error::Refused { reason } if reason.to_string().contains("not a member")),
        "{refused}"
    );
    assert_eq!(told(&bass), before);
    assert_eq!(bass.details().unwrap().waiting, 0);
}

/// Whoever has read an invitation and its file holds a key, and has joined nothing.
#[test]
fn operations_without_end_by_a_stranger_stop_nobody() {
    let folder = tempfile::tempdir().unwrap();
    let opened = |seed| {
        let options = WorkshopOptions {
            clock: Box::new(Ticking::from(1_780_000_000)),
            random: Box::new(Seeded::new(seed)),
            ..WorkshopOptions::new(folder.path(), "tech")
        };
        Workshop::open(options).unwrap()
    };
    let tech = opened(1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let before = bass.bundle_out().unwrap().file.len();
    let junk = Mallory::invited_as(&bass, Role::Viewer).operations(4_200);
    drop(tech.bundle_in(&junk));
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    bass.add_remark(remark("still works"), None).unwrap();
    let everything = bass.bundle_out().unwrap().file;
    assert!(everything.len() < before + 8 * 1024, "what strangers sent is not handed on");

    // It opens again, and whoever comes meets nothing of it; who gets the same file goes on, too.
    tech.shut_down().unwrap();
    let tech = opened(3);
    let bass = tech.instrument_named("stage").unwrap();
    let theirs = player.accept(&invitation.words, &everything).unwrap();
    drop(player.bundle_in(&junk));
    theirs.add_remark(remark("here too"), None).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&theirs), told(&bass));
    let people: Vec<String> =
        bass.details().unwrap().people.into_iter().map(|one| one.label).collect();
    assert_eq!(people.len(), 2, "{people:?}");
    assert_eq!(bass.history(&HistoryFilter::default()).unwrap().len(), 2);
}

#[test]
fn a_reader_fills_a_share_of_its_own_and_no_file_with_it() {
    let (tech, bass) = bass();
    let reader = Mallory::invited_as(&bass, Role::Viewer).joined();
    let (player, guest) = (workshop("player", 2), workshop("guest", 3));
    let join = |device: &Workshop| {
        let invitation = bass.invite(Role::Contributor, 7).unwrap();
        let theirs = device.accept(&invitation.words, &bass.bundle_out().unwrap().file).unwrap();
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        theirs
    };
    let (b, c) = (join(&player), join(&guest));
    let before = bass.bundle_out().unwrap().file.len();
    tech.bundle_in(&reader.flood(900, &[ChangeId::founding(&bass.id())])).unwrap();
    let view = bass.details().unwrap();
    assert!((1..=512).contains(&(view.waiting + view.set_aside)), "{view:?}");
    // What has to wait for somebody else's work is kept beside it all the same.
    c.add_remark(remark("of the guest"), None).unwrap();
    let of_guest = c.bundle_out().unwrap().file;
    player.bundle_in(&of_guest).unwrap();
    b.bundle_out().unwrap();
    let unsent = b.bundle_unsent().unwrap();
    if let Some(unsent) = unsent {
        b.delivered(&unsent.token).unwrap();
    }
    b.add_remark(remark("of the player"), None).unwrap();
    let of_player = b.bundle_unsent().unwrap().unwrap().file;
    assert_eq!(tech.bundle_in(&of_player).unwrap().waiting, view.waiting + 1);
    let report = tech.bundle_in(&of_guest).unwrap();
    assert_eq!((report.added.len(), report.waiting), (2, view.waiting));
    let file = bass.bundle_out().unwrap().file;
    assert!(file.len() < before + 4 * 1024, "what a reader writes is not handed on");
    player.bundle_in(&file).unwrap();
    assert_eq!(told(&b), told(&bass));
}

#[test]
fn three_hundred_writers_of_one_member_keep_nobody_from_sealing() {
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &bass.bundle_out().unwrap().file).unwrap();
    let flood = mallory.flood(300, &[ChangeId::founding(&bass.id())]);
    for device in [&tech, &player] {
        device.bundle_in(&flood).unwrap();
    }
    bass.add_remark(remark("of the owner"), None).unwrap();
    theirs.add_remark(remark("of the player"), None).unwrap();
    // Three hundred values of one fact: whoever sets it anew has settled all of them.
    bass.set_spec(&SpecField::About("ours".into()), None).unwrap();
    for _ in 0..2 {
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    }
    assert_eq!(told(&theirs), told(&bass));
    assert_eq!(bass.contested().unwrap(), []);
}

/// Whoever may write can have any number of writers, and what they wrote is in; it stands in nobody's
/// way, and ends with its author's removal. Whoever may not write has one share for all of them.
#[test]
fn thousands_of_writers_of_one_device_stand_in_nobody_s_way() {
    const WRITERS: u32 = 2_000;
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let reader = Mallory::invited_as(&bass, Role::Viewer);
    let reader = Mallory { keys: DeviceKeys::from_seed(&[67; 32]), ..reader };
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &bass.bundle_out().unwrap().file).unwrap();
    let founding = [ChangeId::founding(&bass.id())];
    let (flood, read) = (mallory.flood(WRITERS, &founding), reader.flood(WRITERS, &founding));
    for device in [&tech, &player] {
        let report = device.bundle_in(&flood).unwrap();
        assert_eq!((report.added.len(), report.refused.len()), (1, 0));
        drop(device.bundle_in(&read));
    }
    let view = bass.details().unwrap();
    assert!(view.waiting + view.set_aside <= 512, "{view:?}");
    // They write and meet, and everything is told once.
    let meet = || {
        for _ in 0..2 {
            tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
            player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        }
    };
    bass.add_remark(remark("of the owner"), None).unwrap();
    theirs.add_remark(remark("of the player"), None).unwrap();
    meet();
    assert_eq!(told(&theirs), told(&bass));
    let remarks = |one: &Instrument| {
        let history = one.history(&HistoryFilter::default()).unwrap();
        history.iter().filter(|one| matches!(one.entry.body, EntryBody::Remark(_))).count()
    };
    assert_eq!((remarks(&bass), remarks(&theirs)), (2, 2));
    // The author is removed, and sends as many again.
    let fingerprint = mallory.keys.device().fingerprint();
    bass.remove_member(&fingerprint, true, None).unwrap();
    meet();
    let more = mallory.flood(2 * WRITERS, &founding);
    for device in [&tech, &player] {
        drop(device.bundle_in(&more));
        let instrument = device.instrument_named("stage").unwrap();
        let held = instrument.held().unwrap();
        let held: usize = held.iter().map(|one| one.values).sum();
        assert!(held <= 2 * 512, "{held}");
    }
    bass.add_remark(remark("after it"), None).unwrap();
    meet();
    assert_eq!(told(&theirs), told(&bass));
    assert_eq!((remarks(&bass), remarks(&theirs)), (3, 3));
}

#[test]
fn what_a_member_crosses_out_is_brought_back() {
    let (tech, bass) = bass();
    bass.add_remark(remark("of the owner"), None).unwrap();
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &bass.bundle_out().unwrap().file).unwrap();
    let shown = |one: &Instrument| {
        let filter = HistoryFilter { hide_retracted: true, ..HistoryFilter::default() };
        one.history(&filter).unwrap()
    };
    let before = shown(&theirs);
    for one in before
        .iter()
        .filter(|one| !matches!(one.entry.body, EntryBody::Visit(_) | EntryBody::VisitEnd(_)))
    {
        theirs.retract(one.entry.id, "not true", None).unwrap();
    }
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    let left = shown(&bass).len();
    assert!(left < before.len());
    for one in bass.history(&HistoryFilter::default()).unwrap() {
        if !one.retracted.is_empty() {
            bass.bring_back(one.entry.id).unwrap();
        }
    }
    assert_eq!(shown(&bass).len(), before.len());
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&theirs), told(&bass));
}

#[test]
fn a_member_who_breaks_the_rules_of_the_document_changes_nothing() {
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let founding = ChangeId::founding(&bass.id());
    let fill = |change: &mut Change| change.ops[0].value = minicbor::to_vec("harmless").unwrap();
    let spoils: Vec<(&str, Spoil)> = vec![
        ("a gap in the numbers", Box::new(|change| change.seq = 3)),
        ("nothing in its past", Box::new(|change| change.deps.clear())),
        (
            "a version of the format that is no number",
            Box::new(|change| {
                change.ops[0].container = Container::FORMAT;
                change.ops[0].key = "min_writer".into();
            }),
        ),
    ];
    // The device joins with its first file; that stays.
    let early = mallory.file(mallory.change(vec![founding], fill), true);
    assert_eq!(tech.bundle_in(&early).unwrap().added.len(), 1);
    let other = Mallory { keys: DeviceKeys::from_seed(&[67; 32]), ..Mallory::invited(&bass) };
    let join = MemberOp::join(
        &other.keys,
        bass.id(),
        &other.heads,
        1_780_000_000,
        other.welcome.invited.unwrap().invite,
        &other.invitation.secret,
        "second",
    )
    .unwrap();
    let other = Mallory { join, ..other }.joined();
    for (what, spoil) in spoils {
        let before = bass.details().unwrap().history_digest;
        let file = other.file(other.change(vec![founding], spoil), true);
        let told = tech.bundle_in(&file);
        let refused = match &told {
            Err(Error::Refused { .. }) => true,
            Ok(report) => report.added.is_empty() && report.refused.len() == 1,
            Err(_) => false,
        };
        assert!(refused, "{what}: {told:?}");
        assert_eq!(bass.details().unwrap().history_digest, before, "{what}");
    }
}

#[test]
fn an_owner_writes_whatever_version_a_member_asks_for() {
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let demand = |change: &mut Change| {
        let most = minicbor::to_vec(u32::MAX).unwrap();
        let put =
            |key: &str| Put { container: Container::FORMAT, key: key.into(), value: most.clone() };
        change.ops = vec![put("min_reader"), put("min_writer")];
    };
    let founding = ChangeId::founding(&bass.id());
    tech.bundle_in(&mallory.file(mallory.change(vec![founding], demand), true)).unwrap();
    // Whoever meets it is told who asks.
    let Err(Error::ReadOnly { asked_by, reason }) = bass.add_remark(remark("mine"), None) else {
        panic!("it is read only")
    };
    assert_eq!(asked_by, ["mallory"]);
    assert!(reason.to_string().contains("mallory"), "{reason}");
    assert!(bass.details().unwrap().read_only.is_some());
    // A contributor cannot set it aside, an owner can.
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert!(matches!(theirs.write_anyway(), Err(Error::NotAllowed { .. })));
    bass.write_anyway().unwrap();
    bass.add_remark(remark("mine"), None).unwrap();
    assert_eq!(bass.details().unwrap().read_only, None);
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    theirs.add_remark(remark("and mine"), None).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&theirs), told(&bass));
    // Nobody asks any more: there is nothing to write.
    let unsent = bass.unsent().unwrap();
    bass.write_anyway().unwrap();
    assert_eq!(bass.unsent().unwrap(), unsent);
}

#[test]
fn values_that_nobody_can_read_are_taken_back_and_set_anew() {
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let keys = ["name", "frets", "scale"];
    let fill = |change: &mut Change| {
        let value = vec![0x82, 0x18, 99, 0x18, 99];
        let put =
            |key: &str| Put { container: Container::SPEC, key: key.into(), value: value.clone() };
        change.ops = keys.map(put).to_vec();
    };
    let founding = ChangeId::founding(&bass.id());
    tech.bundle_in(&mallory.file(mallory.change(vec![founding], fill), true)).unwrap();
    let name = SpecField::Name("stage bass".into());
    for _ in 0..2 {
        match bass.set_spec(&name, None) {
            Ok(()) => {}
            Err(Error::ReadOnly { .. }) => bass.unset_spec("name", None).unwrap(),
            Err(other) => panic!("{other}"),
        }
    }
    bass.set_spec(&name, None).unwrap();
    assert_eq!(bass.name().unwrap(), "stage bass");
}

#[test]
fn nobody_speaks_under_the_name_of_another() {
    let (tech, bass) = bass();
    let player = workshop("tech", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    theirs.add_remark(remark("turn the rod"), None).unwrap();
    let report = tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(report.people_added, ["tech 2"]);
    assert_eq!(report.added[0].device, "tech 2");
    let last = bass.history(&HistoryFilter::default()).unwrap().pop().unwrap();
    assert_eq!((last.device.as_str(), last.who.as_str()), ("tech 2", "tech 2"));
    // What an entry says of who did it is only said.
    let by = |who: &str| fallaway::WriteOptions { by: Some(who.to_owned()), ..Default::default() };
    theirs.add_remark(remark("cut the nut"), by("TECH")).unwrap();
    theirs.add_remark(remark("play it"), by("player")).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    let history = bass.history(&HistoryFilter::default()).unwrap();
    let who: Vec<&str> = history.iter().rev().take(2).map(|one| one.who.as_str()).collect();
    assert_eq!(who, ["player", "TECH (tech 2)"]);
    let mut people: Vec<_> = bass.details().unwrap().people.into_iter().map(|p| p.label).collect();
    people.sort();
    assert_eq!(people, ["tech", "tech 2"]);
}

#[test]
fn a_container_of_a_newer_version_waits() {
    let (tech, bass) = bass();
    let mallory = Mallory::invited(&bass).joined();
    let founding = ChangeId::founding(&bass.id());
    let newer = |change: &mut Change| change.ops[0].container = Container(9);
    let report =
        tech.bundle_in(&mallory.file(mallory.change(vec![founding], newer), true)).unwrap();
    assert_eq!((report.waiting, report.added.len()), (1, 0));
}
