//! Two ends over a stream that is cut, altered, slow or replayed. What they exchange stands for
//! operations: a set of them is a record.

#![allow(
    clippy::collapsible_if,
    clippy::match_same_arms,
    clippy::needless_continue,
    clippy::needless_pass_by_value,
    reason = "a test reads from top to bottom"
)]

use fallaway_order::Set;
use std::collections::VecDeque;

use fallaway_changes::MemberHash;
use fallaway_sharing::{DeviceKeys, EpochKey};
use proptest::prelude::*;

use super::super::limits::PAGE_BUNDLES;
use super::*;
use crate::types::TakeFault;

const WORDS: &[u8] = b"walnut bass";

fn key(number: u8, digits: &str) -> MeetingKey {
    let record = fallaway_changes::RecordId::from_bytes([9; 16]);
    MeetingKey::of_epoch(&EpochKey::from_bytes([number; 32]), &record, digits)
}

/// A device with its record, in which each thing is a number and some words.
struct Side {
    device: DeviceKeys,
    has: Set<u32>,
    page: usize,
    stranger: bool,
    full: bool,
}

fn side(number: u8, has: impl IntoIterator<Item = u32>) -> Side {
    let device = DeviceKeys::from_seed(&[number; 32]);
    let has = has.into_iter().collect();
    Side { device, has, page: PAGE_BUNDLES, stranger: false, full: false }
}

fn hash(number: u32) -> MemberHash {
    MemberHash::from_bytes(*blake3::hash(&number.to_be_bytes()).as_bytes())
}

fn bundle(number: u32) -> Vec<u8> {
    let mut bytes = number.to_be_bytes().to_vec();
    bytes.extend(WORDS.repeat(usize::try_from(number % 40).unwrap()));
    bytes
}

/// One of two ends that are run against each other.
struct End<'a> {
    side: &'a mut Side,
    meeting: Meeting,
    sent: Set<u32>,
    step: MeetingStep,
    outcome: Option<MeetingOutcome>,
}

impl<'a> End<'a> {
    fn new(side: &'a mut Side, listens: bool, keys: Vec<MeetingKey>, random: u8) -> Self {
        let mut meeting = Meeting::new(listens, keys, &[random; 32]);
        let step = meeting.step(0, MeetingEvent::Start);
        Self { side, meeting, sent: Set::new(), step, outcome: None }
    }

    fn offer(&mut self, state: Option<MeetingState>) -> MeetingOffer {
        let mut own = MeetingState::default();
        if !self.side.stranger {
            self.side.has.iter().for_each(|number| own.add_op(&hash(*number)));
        }
        let lacks = |number: &&u32| state.as_ref().is_some_and(|has| !has.has_op(&hash(**number)));
        let lacking: Vec<u32> = self.side.has.iter().filter(lacks).copied().collect();
        let fresh: Vec<u32> = lacking.into_iter().filter(|one| !self.sent.contains(one)).collect();
        let page: Vec<u32> = fresh.iter().copied().take(self.side.page).collect();
        self.sent.extend(&page);
        MeetingOffer {
            state: own,
            bundles: page.iter().map(|number| bundle(*number)).collect(),
            more: (fresh.len() - page.len()) as u64,
            stranger: self.side.stranger,
            ..MeetingOffer::default()
        }
    }

    fn take(&mut self, bundles: &[Vec<u8>]) -> Result<(), TakeFault> {
        if self.side.full {
            return Err(TakeFault::Full);
        }
        for bytes in bundles {
            let (number, _) = bytes.split_first_chunk::<4>().unwrap();
            self.side.has.insert(u32::from_be_bytes(*number));
        }
        Ok(())
    }
}

/// What a stream does to what is sent on it.
#[derive(Default)]
struct Stream {
    /// It is cut after so many bytes.
    cut: Option<usize>,
    /// The byte at this place is altered.
    altered: Option<usize>,
    /// Everything that went over it, by who comes and by who listens.
    said: [Vec<u8>; 2],
    passed: usize,
}

/// Runs both ends, who comes first, until each has an outcome.
fn run(ends: [&mut End<'_>; 2], stream: &mut Stream) -> [MeetingOutcome; 2] {
    let mut pipes = [VecDeque::new(), VecDeque::new()];
    let mut gone = [false; 2];
    let mut idle = 0;
    while ends.iter().any(|end| end.outcome.is_none()) && idle < 4 {
        idle += 1;
        for me in 0..2 {
            let cut = stream.cut.is_some_and(|cut| stream.passed >= cut);
            let end = &mut *ends[me];
            let event = match end.step.clone() {
                MeetingStep::Done(outcome) => {
                    end.outcome = Some(outcome);
                    gone[me] = true;
                    continue;
                }
                MeetingStep::Write { .. } if cut || gone[1 - me] => MeetingEvent::Ended,
                MeetingStep::Write { bytes, .. } => {
                    let left = stream.cut.map_or(bytes.len(), |cut| cut - stream.passed);
                    for byte in bytes.into_iter().take(left) {
                        let altered = stream.altered == Some(stream.passed);
                        let byte = if altered { byte ^ 0x10 } else { byte };
                        stream.said[me].push(byte);
                        pipes[me].push_back(byte);
                        stream.passed += 1;
                    }
                    MeetingEvent::Wrote
                }
                MeetingStep::Read { most, .. } if !pipes[1 - me].is_empty() => {
                    let most = most.min(pipes[1 - me].len());
                    MeetingEvent::Read(pipes[1 - me].drain(..most).collect())
                }
                MeetingStep::Read { .. } if cut || gone[1 - me] => MeetingEvent::Ended,
                MeetingStep::Read { .. } => {
                    // Both wait: somebody has been promised more than will come.
                    if idle < 3 {
                        continue;
                    }
                    MeetingEvent::Late
                }
                MeetingStep::Prove { handshake } => {
                    let keys = &end.side.device;
                    let proof = keys.sign_meeting(end.meeting.listens, &handshake);
                    MeetingEvent::Proved(keys.device(), proof)
                }
                MeetingStep::Open { .. } => MeetingEvent::Taken(Ok(())),
                MeetingStep::Take { bundles, .. } => MeetingEvent::Taken(end.take(&bundles)),
                MeetingStep::Offer { state, .. } => MeetingEvent::Offered(end.offer(state)),
            };
            idle = if event == MeetingEvent::Late { idle } else { 0 };
            end.step = end.meeting.step(0, event);
        }
    }
    [0, 1].map(|me| ends[me].outcome.unwrap())
}

/// One meeting of two sides under these keys.
fn meet(
    came: (&mut Side, Vec<MeetingKey>),
    listens: (&mut Side, Vec<MeetingKey>),
    stream: &mut Stream,
) -> [MeetingOutcome; 2] {
    let mut came = End::new(came.0, false, came.1, 1);
    let mut listens = End::new(listens.0, true, listens.1, 2);
    run([&mut came, &mut listens], stream)
}

fn meet_once(came: &mut Side, listens: &mut Side, stream: &mut Stream) -> [MeetingOutcome; 2] {
    meet((came, vec![key(1, "123456")]), (listens, vec![key(1, "123456")]), stream)
}

const BOTH: [MeetingOutcome; 2] = [MeetingOutcome::UpToDate; 2];

#[test]
fn two_ends_have_the_same_afterwards() {
    for (one, other) in [(0..0, 0..0), (0..3, 0..0), (0..0, 0..200), (0..500, 300..900)] {
        let (mut came, mut listens) = (side(1, one), side(2, other));
        let mut stream = Stream::default();
        assert_eq!(meet_once(&mut came, &mut listens, &mut stream), BOTH);
        assert_eq!(came.has, listens.has);
        let said = stream.said.concat();
        assert!(!said.windows(WORDS.len()).any(|window| window == WORDS));
    }
}

#[test]
fn what_is_there_already_crosses_in_few_bytes_and_turns() {
    let (mut came, mut listens) = (side(1, 0..5), side(2, 0..5));
    let mut stream = Stream::default();
    assert_eq!(meet_once(&mut came, &mut listens, &mut stream), BOTH);
    assert!(stream.passed < 1_300, "{}", stream.passed);
}

/// The first bytes of both ends with fixed randomness, as they stand in `docs/sync-protocol.md`.
#[test]
fn the_first_messages_of_the_document() {
    let (mut came, mut listens) = (side(1, 0..1), side(2, 0..1));
    let mut stream = Stream::default();
    meet_once(&mut came, &mut listens, &mut stream);
    let hex = |bytes: &[u8]| data_encoding::HEXLOWER.encode(bytes);
    let [came, listens] = &stream.said;
    // Preamble; 64 bytes of hints and 48 of the first message, each behind its length.
    assert_eq!(came[..4], [0x46, 0x57, 0x4d, 0x01]);
    assert_eq!(came[20..22], [0, 64]);
    assert_eq!(came[86..88], [0, 48]);
    // The choice and 96 bytes of the second message.
    assert_eq!(listens[20..24], [0, 2, 0, 0]);
    assert_eq!(listens[24..26], [0, 96]);
    // 64 bytes of the third.
    assert_eq!(came[136..138], [0, 64]);
    let said = [&came[..20], &came[22..30], &came[88..136], &listens[26..122], &came[138..202]];
    assert_eq!(said.map(hex), GOLDEN);
}

const GOLDEN: [&str; 5] = [
    "46574d0199c2f25a4e8b01aa4a70001c4b4ede01",
    "330c0e8983f8a1d5",
    "0d6ad02ce22153cd58dfca92b4efcd2d6501c4502e3082c2c86d67bf647d7c588af3cafd2e8760848adabb3a\
     75a49ab7",
    "60eeb33c6c9d88c9415daa84b83bba4b1c4f07e2517b07f27dde64240e732053a0389a1afbb97d50d4505532\
     49db0376c8854fbbe5f3ecdf955fde81b991bdf2eead93b1f1c5cc81c37c1559fba6b1dcf65ff06a7159291b\
     d74a656a5df49a13",
    "3543d5eadef78a97278e0d1a1b53877ee97b8106e129be4f6650eb77567a883cbb3795411f11c5791a3266fe\
     f56b408a2baa4ddca4faa0dde56b338bcd206ad5",
];

#[test]
fn who_shares_no_key_or_other_digits_learns_nothing() {
    for keys in [vec![key(2, "123456")], vec![key(1, "654321")], Vec::new()] {
        let (mut came, mut listens) = (side(1, 0..3), side(2, 5..9));
        let mut stream = Stream::default();
        let listening = (&mut listens, vec![key(1, "123456"), key(3, "123456")]);
        let ended = meet((&mut came, keys), listening, &mut stream);
        assert_eq!(ended, [MeetingOutcome::Apart; 2]);
        // Preamble and "none": the same for everybody.
        assert_eq!(stream.said[1][20..], [0, 2, 0xff, 0xff]);
        assert_eq!(stream.said[0].len(), 20 + 2 + 64 + 2 + 48);
        assert_eq!((came.has.len(), listens.has.len()), (3, 4));
    }
}

#[test]
fn the_first_of_the_listeners_keys_that_both_have_is_taken() {
    let (mut came, mut listens) = (side(1, 0..1), side(2, 0..1));
    let keys = |numbers: &[u8]| numbers.iter().map(|number| key(*number, "1")).collect();
    let mut came = End::new(&mut came, false, keys(&[1, 2, 3]), 1);
    let mut listens = End::new(&mut listens, true, keys(&[9, 3, 2]), 2);
    assert_eq!(run([&mut came, &mut listens], &mut Stream::default()), BOTH);
    assert_eq!((came.meeting.key(), listens.meeting.key()), (Some(2), Some(1)));
    assert_eq!(came.meeting.peer(), Some(listens.side.device.device()));
    assert_eq!(listens.meeting.peer(), Some(came.side.device.device()));
}

#[test]
fn who_is_known_by_nothing_is_told_and_given_nothing() {
    let (mut came, mut listens) = (side(1, 0..3), side(2, 5..9));
    listens.stranger = true;
    let ended = meet_once(&mut came, &mut listens, &mut Stream::default());
    assert_eq!(ended, [MeetingOutcome::Unknown, MeetingOutcome::PeerUnknown]);
    assert!((0..3).all(|number| listens.has.contains(&number)));
}

#[test]
fn who_has_no_room_says_so() {
    let (mut came, mut listens) = (side(1, 0..3), side(2, 5..9));
    listens.full = true;
    let ended = meet_once(&mut came, &mut listens, &mut Stream::default());
    assert_eq!(ended, [MeetingOutcome::PeerNotTaken, MeetingOutcome::NotTaken]);
}

/// A byte that is altered anywhere ends the meeting, or it was one of the hints that nobody finds; no
/// end ever has what nobody wrote.
#[test]
fn an_altered_byte_brings_nothing_wrong() {
    let whole = {
        let (mut came, mut listens) = (side(1, 0..4), side(2, 3..6));
        let mut stream = Stream::default();
        meet_once(&mut came, &mut listens, &mut stream);
        stream.passed
    };
    for place in 0..whole {
        let (mut came, mut listens) = (side(1, 0..4), side(2, 3..6));
        let mut stream = Stream { altered: Some(place), ..Stream::default() };
        let ended = meet_once(&mut came, &mut listens, &mut stream);
        assert!(came.has.iter().chain(&listens.has).all(|number| *number < 6));
        if ended == BOTH {
            assert_eq!(came.has, listens.has, "at {place}");
            // The last frame is sent when both are done.
            panic!("an altered byte at {place} was not found");
        }
    }
}

#[test]
fn what_was_recorded_is_of_no_use_a_second_time() {
    let (mut came, mut listens) = (side(1, 0..4), side(2, 3..6));
    let mut stream = Stream::default();
    meet_once(&mut came, &mut listens, &mut stream);
    let [recorded, _] = stream.said;
    let mut fresh = side(2, 3..6);
    let mut end = End::new(&mut fresh, true, vec![key(1, "123456")], 77);
    let mut rest = recorded.into_iter();
    let outcome = loop {
        let event = match end.step.clone() {
            MeetingStep::Write { .. } => MeetingEvent::Wrote,
            MeetingStep::Read { most, .. } => {
                let bytes: Vec<u8> = rest.by_ref().take(most).collect();
                if bytes.is_empty() { MeetingEvent::Late } else { MeetingEvent::Read(bytes) }
            }
            MeetingStep::Done(outcome) => break outcome,
            other => panic!("a replay got as far as {other:?}"),
        };
        end.step = end.meeting.step(0, event);
    };
    assert_eq!(outcome, MeetingOutcome::Apart);
}

#[test]
fn whoever_is_slow_is_not_waited_for() {
    let mut listens = side(2, 0..1);
    let end = End::new(&mut listens, true, vec![key(1, "1")], 2);
    // A byte now and then does not move the end of the handshake.
    let mut meeting = end.meeting;
    let MeetingStep::Read { until, .. } = end.step else { panic!() };
    assert_eq!(until, HANDSHAKE_MS);
    let MeetingStep::Read { until, most } = meeting.step(9_000, MeetingEvent::Read(vec![0x46; 1]))
    else {
        panic!()
    };
    assert_eq!((until, most), (HANDSHAKE_MS, PREAMBLE - 1));
    let done = meeting.step(HANDSHAKE_MS, MeetingEvent::Late);
    assert_eq!(done, MeetingStep::Done(MeetingOutcome::Failed(MeetingFault::Slow)));
}

/// Ends a handshake as an insider, and then says this.
fn liar(frames: Vec<Frame>) -> MeetingOutcome {
    let (mut came, mut listens) = (side(1, 0..1), side(2, 0..1));
    let mut came = End::new(&mut came, false, vec![key(1, "1")], 1);
    let mut listens = End::new(&mut listens, true, vec![key(1, "1")], 2);
    let mut pipes = [VecDeque::new(), VecDeque::new()];
    let mut frames = Some(frames);
    loop {
        for me in 0..2 {
            let end = if me == 0 { &mut came } else { &mut listens };
            let waits = matches!(end.step, MeetingStep::Read { .. });
            if me == 0 && end.meeting.has_said_who && waits {
                if let Some(frames) = frames.take() {
                    let mut out = Vec::new();
                    for frame in frames {
                        end.meeting.say(&mut out, &frame).unwrap();
                    }
                    pipes[0].extend(out);
                }
            }
            let event = match end.step.clone() {
                MeetingStep::Write { bytes, .. } => {
                    pipes[me].extend(bytes);
                    MeetingEvent::Wrote
                }
                MeetingStep::Read { most, .. } if !pipes[1 - me].is_empty() => {
                    let most = most.min(pipes[1 - me].len());
                    MeetingEvent::Read(pipes[1 - me].drain(..most).collect())
                }
                MeetingStep::Read { .. } if me == 1 && frames.is_none() && pipes[0].is_empty() => {
                    MeetingEvent::Late
                }
                MeetingStep::Read { .. } => continue,
                MeetingStep::Prove { handshake } => {
                    let keys = &end.side.device;
                    MeetingEvent::Proved(keys.device(), keys.sign_meeting(me == 1, &handshake))
                }
                MeetingStep::Offer { state, .. } => MeetingEvent::Offered(end.offer(state)),
                MeetingStep::Take { bundles, .. } => MeetingEvent::Taken(end.take(&bundles)),
                MeetingStep::Open { .. } => MeetingEvent::Taken(Ok(())),
                MeetingStep::Done(outcome) if me == 1 => return outcome,
                MeetingStep::Done(_) => continue,
            };
            end.step = end.meeting.step(0, event);
        }
    }
}

#[test]
fn whoever_announces_too_much_is_stopped_before_it_comes() {
    let part = |left: u64| Frame::Part { what: Piece::Bundle, left, bytes: vec![1; 8] };
    let failed = |why| MeetingOutcome::Failed(why);
    let stopped = |frames| liar(frames);
    assert_eq!(stopped(vec![part(u64::MAX)]), failed(MeetingFault::Garbage));
    assert_eq!(stopped(vec![part(u64::MAX - 8)]), failed(MeetingFault::TooMuch));
    assert_eq!(stopped(vec![part(5 * 1024 * 1024)]), failed(MeetingFault::TooMuch));
    // More than it said, less than it said, or nothing at all.
    assert_eq!(stopped(vec![part(16), part(16)]), failed(MeetingFault::Garbage));
    assert_eq!(stopped(vec![part(16), part(0)]), failed(MeetingFault::Garbage));
    assert_eq!(
        stopped(vec![part(16), Frame::Turn { more: 0, stranger: false }]),
        failed(MeetingFault::Garbage)
    );
    let empty = Frame::Part { what: Piece::Bundle, left: 9, bytes: Vec::new() };
    assert_eq!(stopped(vec![empty]), failed(MeetingFault::Garbage));
    // One thing inside another.
    let state = Frame::Part { what: Piece::State, left: 0, bytes: vec![1] };
    assert_eq!(stopped(vec![part(8), state]), failed(MeetingFault::Garbage));
    // Many small ones.
    let many = vec![part(0); super::super::limits::MAX_TURN_BUNDLES + 1];
    assert_eq!(stopped(many), failed(MeetingFault::TooMuch));
    // It says again who it is, as somebody else.
    let other = DeviceKeys::from_seed(&[3; 32]);
    let signature = other.sign_meeting(false, &[0; 32]);
    let hello = Frame::Hello { device: other.device(), signature };
    assert_eq!(stopped(vec![hello]), failed(MeetingFault::Garbage));
}

#[test]
fn a_frame_that_a_newer_version_says_is_passed_over() {
    let done = liar(vec![Frame::Unknown, Frame::Bye(Bye::Equal)]);
    assert_eq!(done, MeetingOutcome::UpToDate);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Cut at any byte, and tried again: after at most three tries both have all, and nothing twice.
    #[test]
    fn a_meeting_that_is_cut_goes_on_at_the_next(
        one in prop::collection::btree_set(0_u32..60, 0..30),
        other in prop::collection::btree_set(0_u32..60, 0..30),
        cuts in prop::collection::vec(0_f64..1.0, 2),
        page in 1_usize..8,
    ) {
        let sides = || {
            let (mut came, mut listens) = (side(1, one.clone()), side(2, other.clone()));
            (came.page, listens.page) = (page, page);
            (came, listens)
        };
        let (mut came, mut listens) = sides();
        let mut stream = Stream::default();
        prop_assert_eq!(meet_once(&mut came, &mut listens, &mut stream), BOTH);
        let whole = stream.passed;
        let (mut came, mut listens) = sides();
        for cut in cuts {
            let cut = Some((whole as f64 * cut) as usize);
            let before = came.has.len() + listens.has.len();
            meet_once(&mut came, &mut listens, &mut Stream { cut, ..Stream::default() });
            prop_assert!(came.has.len() + listens.has.len() >= before);
        }
        let last = meet_once(&mut came, &mut listens, &mut Stream::default());
        prop_assert_eq!(last, BOTH);
        prop_assert_eq!(&came.has, &listens.has);
        prop_assert_eq!(came.has, one.iter().chain(&other).copied().collect::<Set<_>>());
    }

    /// Whatever a stranger says, an end neither panics nor gets past the handshake.
    #[test]
    fn noise_of_a_stranger_is_refused(
        listens: bool,
        bytes in prop::collection::vec(any::<u8>(), 0..400),
        greets: bool,
    ) {
        let mut own = side(1, 0..3);
        let mut end = End::new(&mut own, listens, vec![key(1, "1")], 1);
        let preamble = if greets { opening::preamble(&[5; NONCE]) } else { Vec::new() };
        let mut rest = preamble.into_iter().chain(bytes);
        loop {
            let event = match end.step.clone() {
                MeetingStep::Write { .. } => MeetingEvent::Wrote,
                MeetingStep::Read { most, .. } => {
                    let bytes: Vec<u8> = rest.by_ref().take(most).collect();
                    if bytes.is_empty() { MeetingEvent::Ended } else { MeetingEvent::Read(bytes) }
                }
                MeetingStep::Done(_) => break,
                other => panic!("{other:?}"),
            };
            end.step = end.meeting.step(0, event);
        }
    }
}
