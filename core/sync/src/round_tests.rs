use fallaway_order::Set;
use std::collections::BTreeMap;

use fallaway_sharing::EpochKey;
use proptest::prelude::*;

use super::*;
use crate::wire::access::{AccessBody, TokenHash};
use crate::wire::chain::Position;

const URL: &str = "https://relay.example";

fn log() -> LogId {
    LogId::from_bytes([7; 16])
}

fn key(n: u8) -> EpochKey {
    EpochKey::from_bytes([n; 32])
}

fn access(n: u8) -> LogAccess {
    LogAccess::of(&key(n), &log())
}

/// Bytes with the form of a sealed bundle.
fn sealed(n: u8) -> Vec<u8> {
    let mut bytes = vec![n; 256];
    bytes[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
    bytes
}

/// A relay as the protocol describes it, with one log, in memory.
#[derive(Clone, Default)]
struct FakeRelay {
    live: Option<AccessBody>,
    retired: Vec<(TokenHash, u64)>,
    items: Vec<Vec<u8>>,
    /// Bundles of these ids are refused.
    refused: Set<BundleId>,
    /// It takes no more bundles than these.
    room: Option<usize>,
    gone: bool,
}

impl FakeRelay {
    fn end(&self, seq: u64) -> Position {
        let ids = self.items.iter().take(seq as usize).map(|sealed| bundle_id(sealed));
        ids.fold(Position::start(&log()), |position, id| position.next(&id))
    }

    fn problem(code: Code) -> HttpResponse {
        let headers = vec![(route::PROBLEM_HEADER.to_owned(), code.as_str().to_owned())];
        HttpResponse { status: code.status(), headers, body: Vec::new() }
    }

    fn answer(&mut self, request: &HttpRequest) -> HttpResponse {
        let token = request.headers.iter().find(|(name, _)| *name == "Authorization");
        let token = token.and_then(|(_, value)| LogToken::from_header(value)).map(|t| t.hash());
        let path = request.url.strip_prefix(URL).unwrap();
        let (path, query) = path.split_once('?').unwrap_or((path, ""));
        let query: BTreeMap<&str, &str> =
            query.split('&').filter_map(|one| one.split_once('=')).collect();
        let of = |template| route::of_log(template, &log()) == path;
        if self.gone {
            return Self::problem(Code::Gone);
        }
        let done = |status| HttpResponse { status, ..HttpResponse::default() };
        if of(route::LOG) {
            let body = AccessBody::decode(&request.body).unwrap();
            return match self.live {
                None => {
                    self.live = Some(body);
                    done(201)
                }
                Some(live) if live == body => done(200),
                Some(_) => Self::problem(Code::NoAccess),
            };
        }
        let Some(live) = self.live else { return Self::problem(Code::NoAccess) };
        let after: u64 = query[route::AFTER].parse().unwrap();
        let diverged = after > self.items.len() as u64
            || self.end(after).chain.to_string() != query[route::CHAIN];
        if of(route::ACCESS) {
            if token != Some(live.admin) {
                return Self::problem(Code::NoAccess);
            }
            if diverged {
                return Self::problem(Code::Diverged);
            }
            let body = AccessBody::decode(&request.body).unwrap();
            if body != live {
                self.retired.push((live.access, self.items.len() as u64));
                self.live = Some(body);
            }
            return done(204);
        }
        let mut last = self.items.len() as u64;
        let mut headers = Vec::new();
        if token != Some(live.access) {
            let old = self.retired.iter().rev().find(|(hash, _)| token == Some(*hash));
            let Some((_, until)) = old else { return Self::problem(Code::NoAccess) };
            last = *until;
            headers.push((route::RETIRED_HEADER.to_owned(), last.to_string()));
            if of(route::EXCHANGE) {
                let mut answer = Self::problem(Code::Retired);
                answer.headers.extend(headers);
                return answer;
            }
        }
        if diverged {
            return Self::problem(Code::Diverged);
        }
        let mut accepted = Vec::new();
        if of(route::EXCHANGE) {
            let pushed = page::read(&request.body).unwrap();
            if pushed.iter().any(|(id, _)| self.refused.contains(id)) {
                return Self::problem(Code::TooLarge);
            }
            if self.room.is_some_and(|room| self.items.len() + pushed.len() > room) {
                return Self::problem(Code::Full);
            }
            for (id, sealed) in pushed {
                let place = self.items.iter().position(|known| bundle_id(known) == id);
                if place.is_none() {
                    self.items.push(sealed.to_vec());
                }
                accepted.push(place.map_or(self.items.len() as u64, |place| place as u64 + 1));
            }
            last = self.items.len() as u64;
        }
        let (mut end, mut page) = (after, Vec::new());
        while end < last {
            if !accepted.contains(&(end + 1)) {
                if page.len() == 3 {
                    break;
                }
                page.push(&self.items[end as usize]);
            }
            end += 1;
        }
        let end = self.end(end);
        headers.extend([
            (route::SEQ_HEADER.to_owned(), end.seq.to_string()),
            (route::CHAIN_HEADER.to_owned(), end.chain.to_string()),
            (route::MORE_HEADER.to_owned(), last.saturating_sub(end.seq).to_string()),
            (route::ACCEPTED_HEADER.to_owned(), route::accepted(&accepted)),
        ]);
        HttpResponse { status: 200, headers, body: page::write(&page).unwrap() }
    }
}

/// What a device keeps: durable at each take, as the store does it.
#[derive(Clone)]
struct FakeShelf {
    keys: Vec<u8>,
    here: Set<Vec<u8>>,
    known: Set<BundleId>,
    aside: BTreeMap<BundleId, Code>,
    cursor: LogCursor,
    full: bool,
    /// It cannot open what would give it a key.
    deaf: bool,
}

impl FakeShelf {
    fn new(here: impl IntoIterator<Item = u8>) -> Self {
        Self {
            keys: vec![1],
            here: here.into_iter().map(sealed).collect(),
            known: Set::new(),
            aside: BTreeMap::new(),
            cursor: LogCursor::start(&log()),
            full: false,
            deaf: false,
        }
    }

    fn round(&self) -> Round {
        Round::new(URL, log(), self.cursor)
    }

    /// The epochs after the one that was shown last.
    fn path(&self) -> Vec<EpochId> {
        let epochs = self.keys.iter().map(|n| key(*n).id());
        let shown = epochs.clone().position(|epoch| Some(epoch) == self.cursor.epoch);
        epochs.skip(shown.map_or(0, |place| place + 1)).collect()
    }

    fn offer(&self, bundles: usize) -> Offer {
        let left = |sealed: &&Vec<u8>| {
            let id = bundle_id(sealed);
            !self.known.contains(&id) && !self.aside.contains_key(&id)
        };
        Offer {
            keys: self.keys.iter().rev().map(|n| access(*n)).collect(),
            path: self.path(),
            opens: true,
            bundles: self.here.iter().filter(left).take(bundles).cloned().collect(),
            ..Offer::default()
        }
    }

    fn take(&mut self, page: Page) -> Result<(), TakeFault> {
        if self.full {
            return Err(TakeFault::Full);
        }
        if page.anew {
            self.known.clear();
        }
        for sealed in page.bundles {
            self.known.insert(bundle_id(&sealed));
            // Key n is in the bundle of number 200 + n.
            if let Some(n) = sealed[10].checked_sub(200)
                && !self.deaf
                && !self.keys.contains(&n)
            {
                self.keys.push(n);
            }
            self.here.insert(sealed);
        }
        self.known.extend(page.accepted);
        self.cursor = page.cursor;
        Ok(())
    }
}

/// Drives a round until it is done. `fault` says what becomes of each request.
fn drive(
    round: &mut Round,
    shelf: &mut FakeShelf,
    mode: Mode,
    mut send: impl FnMut(&HttpRequest) -> Result<HttpResponse, ExchangeFault>,
) -> SyncOutcome {
    let mut now = 0;
    let mut event = RoundEvent::Start(mode);
    for random in 0..500 {
        event = match round.step(now, random * 7919, event) {
            RoundStep::Offer { bundles, .. } => RoundEvent::Offered(shelf.offer(bundles)),
            RoundStep::Send(request) => {
                send(&request).map_or_else(RoundEvent::Failed, RoundEvent::Response)
            }
            RoundStep::Take(page) => RoundEvent::Taken(shelf.take(page)),
            RoundStep::SetAside { id, why } => {
                shelf.aside.insert(id, why);
                RoundEvent::IsAside
            }
            RoundStep::Wait { until } => {
                now = until;
                RoundEvent::Timer
            }
            RoundStep::Done(outcome) => return outcome,
        };
    }
    panic!("the round does not end: {round:?}");
}

fn sync(shelf: &mut FakeShelf, relay: &mut FakeRelay) -> (SyncOutcome, RoundReport, usize) {
    let (mut round, mut requests) = (shelf.round(), 0);
    let outcome = drive(&mut round, shelf, Mode::Once, |request| {
        requests += 1;
        Ok(relay.answer(request))
    });
    (outcome, round.report().clone(), requests)
}

#[test]
fn the_first_device_opens_the_log_and_the_second_takes_what_is_there() {
    let mut relay = FakeRelay::default();
    let (mut bench, mut phone) = (FakeShelf::new(1..=9), FakeShelf::new([20]));
    let (outcome, report, _) = sync(&mut bench, &mut relay);
    assert_eq!(outcome, SyncOutcome::UpToDate);
    assert!(report.opened && !report.rebuilt);
    assert_eq!((report.sent, report.received), (9, 0));
    let (outcome, report, _) = sync(&mut phone, &mut relay);
    assert_eq!((outcome, report.sent, report.received), (SyncOutcome::UpToDate, 1, 9));
    let (outcome, report, requests) = sync(&mut bench, &mut relay);
    assert_eq!((outcome, report.received, requests), (SyncOutcome::UpToDate, 1, 1));
    assert_eq!(bench.here, phone.here);
    // One more visit: one round trip.
    bench.here.insert(sealed(30));
    assert_eq!(sync(&mut bench, &mut relay).2, 1);
    assert_eq!(relay.items.len(), 11);
}

#[test]
fn a_relay_that_is_wiped_or_goes_back_is_filled_by_any_one_device() {
    let mut relay = FakeRelay::default();
    let (mut bench, mut phone) = (FakeShelf::new(1..=5), FakeShelf::new([]));
    sync(&mut bench, &mut relay);
    let copy = relay.clone();
    bench.here.extend((6..=9).map(sealed));
    sync(&mut bench, &mut relay);
    sync(&mut phone, &mut relay);
    for mut relay in [FakeRelay::default(), copy] {
        let (mut bench, mut phone) = (bench.clone(), phone.clone());
        let (outcome, report, _) = sync(&mut phone, &mut relay);
        assert_eq!(outcome, SyncOutcome::UpToDate);
        assert!(report.rebuilt);
        assert_eq!(relay.items.len(), 9);
        let (_, report, _) = sync(&mut bench, &mut relay);
        assert_eq!(bench.here, phone.here);
        assert_eq!(report.sent, 0);
        assert_eq!(relay.items.len(), 9);
        // And then there is nothing more to tell.
        assert!(!sync(&mut bench, &mut relay).1.rebuilt);
    }
}

#[test]
fn who_has_the_next_key_follows_and_who_has_not_is_told() {
    let mut relay = FakeRelay::default();
    let (mut bench, mut phone) = (FakeShelf::new([1]), FakeShelf::new([2]));
    sync(&mut bench, &mut relay);
    sync(&mut phone, &mut relay);
    // The bundle that gives key 3 to whoever reads it.
    bench.here.insert(sealed(203));
    bench.keys.push(3);
    let (outcome, report, _) = sync(&mut bench, &mut relay);
    assert_eq!(outcome, SyncOutcome::UpToDate);
    assert!(report.rotated);
    let mut removed = phone.clone();
    phone.here.insert(sealed(9));
    assert_eq!(sync(&mut phone, &mut relay).0, SyncOutcome::UpToDate);
    assert_eq!(phone.cursor.epoch, Some(key(3).id()));
    let (_, report, _) = sync(&mut bench, &mut relay);
    assert!(!report.rotated);
    assert_eq!(bench.here, phone.here);
    // Another one cannot open what gives the key: it reads to the end of its own, and writes nothing.
    removed.deaf = true;
    removed.here.insert(sealed(77));
    let before = relay.items.len();
    assert_eq!(sync(&mut removed, &mut relay).0, SyncOutcome::Blocked(SyncBlocked::NoKey));
    assert_eq!(relay.items.len(), before);
}

#[test]
fn a_relay_that_goes_back_behind_a_change_of_keys_is_brought_on_again() {
    let mut relay = FakeRelay::default();
    let mut bench = FakeShelf::new([1]);
    sync(&mut bench, &mut relay);
    let mut copy = relay.clone();
    bench.here.insert(sealed(203));
    bench.keys.push(3);
    sync(&mut bench, &mut relay);
    let (outcome, report, _) = sync(&mut bench, &mut copy);
    assert_eq!(outcome, SyncOutcome::UpToDate);
    assert!(report.rebuilt && report.rotated);
    assert_eq!(copy.items.len(), 2);
}

/// It has all bundles, at the same place, but takes the key of before: who has only the newer one waits.
#[test]
fn a_relay_that_goes_back_to_just_before_a_change_of_keys_is_brought_on_again() {
    let mut relay = FakeRelay::default();
    let mut bench = FakeShelf::new([1, 203]);
    sync(&mut bench, &mut relay);
    let mut copy = relay.clone();
    bench.keys.push(3);
    assert!(sync(&mut bench, &mut relay).1.rotated);
    let (outcome, report, _) = sync(&mut bench, &mut copy);
    assert_eq!(outcome, SyncOutcome::UpToDate);
    assert!(!report.rebuilt && report.rotated);
    assert_eq!(bench.cursor.epoch, Some(key(3).id()));
}

#[test]
fn nobody_gets_in_without_a_key() {
    let mut relay = FakeRelay { live: Some(access(99).body), ..FakeRelay::default() };
    let mut bench = FakeShelf::new([1]);
    let (outcome, _, requests) = sync(&mut bench, &mut relay);
    assert_eq!((outcome, requests), (SyncOutcome::Blocked(SyncBlocked::NoAccess), 2));
    bench.keys = (1..40).collect();
    assert!(sync(&mut bench, &mut relay).2 <= MAX_TRIES + 1);
    bench.keys.clear();
    assert_eq!(sync(&mut bench, &mut relay).0, SyncOutcome::Blocked(SyncBlocked::NoKey));
    relay.gone = true;
    bench.keys = vec![1];
    assert_eq!(sync(&mut bench, &mut relay).0, SyncOutcome::Blocked(SyncBlocked::Deleted));
}

#[test]
fn one_bundle_that_is_refused_is_set_aside_and_the_others_go_on() {
    let mut relay = FakeRelay::default();
    relay.refused.insert(bundle_id(&sealed(4)));
    let mut bench = FakeShelf::new(1..=9);
    let (outcome, report, _) = sync(&mut bench, &mut relay);
    assert_eq!((outcome, report.set_aside), (SyncOutcome::UpToDate, 1));
    assert_eq!(bench.aside, [(bundle_id(&sealed(4)), Code::TooLarge)].into());
    assert_eq!(relay.items.len(), 8);
}

#[test]
fn where_the_relay_has_no_room_what_others_have_still_comes() {
    let mut relay = FakeRelay::default();
    sync(&mut FakeShelf::new(1..=5), &mut relay);
    relay.room = Some(5);
    let mut phone = FakeShelf::new([9]);
    assert_eq!(sync(&mut phone, &mut relay).0, SyncOutcome::RelayFull);
    assert_eq!(phone.here.len(), 6);
    relay.room = None;
    assert_eq!(sync(&mut phone, &mut relay).0, SyncOutcome::UpToDate);
    assert_eq!(relay.items.len(), 6);
}

#[test]
fn what_cannot_be_taken_leaves_the_cursor_where_it_was() {
    let mut relay = FakeRelay::default();
    sync(&mut FakeShelf::new(1..=5), &mut relay);
    let mut phone = FakeShelf::new([]);
    phone.full = true;
    assert_eq!(sync(&mut phone, &mut relay).0, SyncOutcome::Blocked(SyncBlocked::NoRoom));
    assert_eq!(phone.cursor, LogCursor::start(&log()));
    phone.full = false;
    assert_eq!(sync(&mut phone, &mut relay).0, SyncOutcome::UpToDate);
    assert_eq!(phone.here.len(), 5);
}

#[test]
fn failures_wait_longer_and_longer_and_the_network_ends_that() {
    let mut shelf = FakeShelf::new([1]);
    let mut round = shelf.round();
    let mut tries = 0;
    let outcome = drive(&mut round, &mut shelf, Mode::Once, |_| {
        tries += 1;
        Err(ExchangeFault::Offline)
    });
    assert_eq!(tries, 4);
    assert!(
        matches!(outcome, SyncOutcome::Later { why: ExchangeFault::Offline, wait_ms } if wait_ms <= 8_000)
    );
    // The next round of the same client asks once, and waits longer.
    let outcome = drive(&mut round, &mut shelf, Mode::Once, |_| Err(ExchangeFault::Slow));
    assert!(matches!(outcome, SyncOutcome::Later { why: ExchangeFault::Slow, .. }));
    assert_eq!(round.failures(), 5);

    let mut round = shelf.round();
    let offer = RoundEvent::Offered(shelf.offer(9));
    assert!(matches!(round.step(0, 0, RoundEvent::Start(Mode::Once)), RoundStep::Offer { .. }));
    assert!(matches!(round.step(0, 0, offer), RoundStep::Send(_)));
    let failed = RoundEvent::Failed(ExchangeFault::Offline);
    assert_eq!(round.step(5, 700, failed), RoundStep::Wait { until: 705 });
    assert_eq!(round.step(6, 0, RoundEvent::Timer), RoundStep::Wait { until: 705 });
    assert!(matches!(round.step(7, 0, RoundEvent::Network), RoundStep::Offer { .. }));
    assert_eq!(round.failures(), 0);
}

#[test]
fn what_the_relay_asks_for_is_waited_for() {
    let mut shelf = FakeShelf::new([1]);
    let busy = |seconds: &str| {
        let mut answer = FakeRelay::problem(Code::TooMany);
        answer.headers.push(("retry-after".to_owned(), seconds.to_owned()));
        answer
    };
    let mut relay = FakeRelay::default();
    let (mut round, mut asked) = (shelf.round(), 0);
    let outcome = drive(&mut round, &mut shelf, Mode::Once, |request| {
        asked += 1;
        Ok(if asked == 1 { busy("3") } else { relay.answer(request) })
    });
    assert_eq!(outcome, SyncOutcome::UpToDate);
    let outcome = drive(&mut round, &mut shelf, Mode::Once, |_| Ok(busy("600")));
    assert_eq!(outcome, SyncOutcome::Later { why: ExchangeFault::Busy, wait_ms: 600_000 });
}

#[test]
fn an_answer_that_no_relay_gives_is_not_taken() {
    let mut relay = FakeRelay::default();
    sync(&mut FakeShelf::new(1..=5), &mut relay);
    let spoils: [fn(&mut HttpResponse); 8] = [
        |answer| answer.headers.clear(),
        |answer| answer.body.clear(),
        |answer| answer.body[60] ^= 1,
        |answer| answer.status = 404,
        |answer| set(answer, route::SEQ_HEADER, "4"),
        |answer| set(answer, route::CHAIN_HEADER, "00000000000000000000000000000000"),
        |answer| set(answer, route::ACCEPTED_HEADER, "1"),
        |answer| set(answer, route::MORE_HEADER, "-1"),
    ];
    for (number, spoil) in spoils.into_iter().enumerate() {
        let mut phone = FakeShelf::new([]);
        let outcome = drive(&mut phone.round(), &mut phone, Mode::Once, |request| {
            let mut answer = relay.answer(request);
            spoil(&mut answer);
            Ok(answer)
        });
        let garbage = matches!(outcome, SyncOutcome::Later { why: ExchangeFault::Garbage, .. });
        assert!(garbage, "{number}: {outcome:?}");
        assert!(phone.here.is_empty());
        assert_eq!(phone.cursor, LogCursor::start(&log()));
    }
}

fn set(answer: &mut HttpResponse, name: &str, value: &str) {
    answer.headers.retain(|(known, _)| known != name);
    answer.headers.push((name.to_owned(), value.to_owned()));
}

#[test]
fn listening_takes_what_comes_and_says_when_nothing_did() {
    let mut relay = FakeRelay::default();
    let (mut bench, mut phone) = (FakeShelf::new([1]), FakeShelf::new([]));
    sync(&mut bench, &mut relay);
    sync(&mut phone, &mut relay);
    let listen = |shelf: &mut FakeShelf, relay: &mut FakeRelay| {
        let mut round = shelf.round();
        drive(&mut round, shelf, Mode::Listen, |request| Ok(relay.answer(request)))
    };
    assert_eq!(listen(&mut phone, &mut relay), SyncOutcome::NoNews);
    bench.here.insert(sealed(2));
    sync(&mut bench, &mut relay);
    assert_eq!(listen(&mut phone, &mut relay), SyncOutcome::UpToDate);
    assert_eq!(phone.here, bench.here);
    // While it listened, the key became an old one.
    bench.here.insert(sealed(203));
    bench.keys.push(3);
    sync(&mut bench, &mut relay);
    assert_eq!(listen(&mut phone, &mut relay), SyncOutcome::UpToDate);
    assert_eq!(phone.keys, [1, 3]);
    assert_eq!(listen(&mut phone, &mut relay), SyncOutcome::NoNews);
}

#[test]
fn a_request_shows_no_token_and_stop_ends_at_once() {
    let shelf = FakeShelf::new([1]);
    let mut round = shelf.round();
    round.step(0, 0, RoundEvent::Start(Mode::Once));
    let RoundStep::Send(request) = round.step(0, 0, RoundEvent::Offered(shelf.offer(0))) else {
        panic!()
    };
    let shown = format!("{request:?}");
    assert!(shown.starts_with("POST https://relay.example/v1/logs/"), "{shown}");
    assert!(!shown.contains("Fallaway "), "{shown}");
    assert_eq!(round.step(0, 0, RoundEvent::Stop), RoundStep::Done(SyncOutcome::Stopped));
}

/// A newcomer whose key reads to where the others went on without it.
#[test]
fn who_was_invited_and_cannot_read_on_knocks() {
    let (shelf, knock) = (FakeShelf::new([]), sealed(50));
    let offer = |keys: Vec<u8>| Offer {
        knock: Some(knock.clone()),
        ..FakeShelf { keys, ..shelf.clone() }.offer(0)
    };
    let mut round = shelf.round();
    let mut step = |event| round.step(0, 0, event);
    let sent = |step: RoundStep| match step {
        RoundStep::Send(request) => (request.method.as_str(), request.url),
        other => panic!("{other:?}"),
    };
    step(RoundEvent::Start(Mode::Once));
    step(RoundEvent::Offered(offer(vec![1])));
    let mut retired = FakeRelay::problem(Code::Retired);
    set(&mut retired, route::RETIRED_HEADER, "0");
    let (method, url) = sent(step(RoundEvent::Response(retired)));
    assert_eq!((method, url.contains("/items?")), ("GET", true));
    let empty = |status| HttpResponse {
        status,
        headers: vec![
            (route::SEQ_HEADER.to_owned(), "0".to_owned()),
            (route::CHAIN_HEADER.to_owned(), Position::start(&log()).chain.to_string()),
            (route::MORE_HEADER.to_owned(), "0".to_owned()),
        ],
        body: page::write::<Vec<u8>>(&[]).unwrap(),
    };
    assert!(matches!(step(RoundEvent::Response(empty(200))), RoundStep::Offer { .. }));
    let (method, url) = sent(step(RoundEvent::Offered(offer(vec![1]))));
    assert_eq!((method, url.ends_with("/knocks")), ("POST", true));
    let (method, url) = sent(step(RoundEvent::Response(empty(202))));
    let answer = format!("/knocks/{}/answer", bundle_id(&knock));
    assert_eq!((method, url.ends_with(&answer)), ("GET", true));
    let mut nobody = step(RoundEvent::Response(FakeRelay::problem(Code::NotFound)));
    assert_eq!(nobody, RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::Knocked)));

    // In the next round somebody has answered.
    step(RoundEvent::Start(Mode::Once));
    step(RoundEvent::Offered(offer(vec![1])));
    let mut retired = FakeRelay::problem(Code::Retired);
    set(&mut retired, route::RETIRED_HEADER, "0");
    step(RoundEvent::Response(retired));
    step(RoundEvent::Response(empty(200)));
    step(RoundEvent::Offered(offer(vec![1])));
    step(RoundEvent::Response(empty(202)));
    let answered = HttpResponse { body: page::write(&[sealed(203)]).unwrap(), ..empty(200) };
    nobody = step(RoundEvent::Response(answered));
    let RoundStep::Take(page) = nobody else { panic!("{nobody:?}") };
    assert_eq!((page.bundles, page.cursor.position.seq), (vec![sealed(203)], 0));
    step(RoundEvent::Taken(Ok(())));
    let (method, url) = sent(step(RoundEvent::Offered(offer(vec![1, 3]))));
    assert_eq!((method, url.contains("/exchange?")), ("POST", true));
}

#[test]
fn knocks_are_asked_for_taken_and_answered_at_the_end() {
    let mut relay = FakeRelay::default();
    let mut bench = FakeShelf::new([1]);
    sync(&mut bench, &mut relay);
    let mut round = bench.round();
    let offer = |answers: Vec<(BundleId, Vec<Vec<u8>>)>| Offer {
        asks_knocks: true,
        answers,
        ..bench.offer(9)
    };
    round.step(0, 0, RoundEvent::Start(Mode::Once));
    let RoundStep::Send(pull) = round.step(0, 0, RoundEvent::Offered(offer(Vec::new()))) else {
        panic!()
    };
    round.step(0, 0, RoundEvent::Response(relay.answer(&pull)));
    let asks = round.step(0, 0, RoundEvent::Offered(offer(Vec::new())));
    let RoundStep::Send(asks) = asks else { panic!("{asks:?}") };
    assert!(asks.method == HttpMethod::Get && asks.url.ends_with("/knocks"));
    let body = page::write(&[sealed(50)]).unwrap();
    let knocks = HttpResponse { status: 200, headers: Vec::new(), body };
    let RoundStep::Take(page) = round.step(0, 0, RoundEvent::Response(knocks)) else { panic!() };
    assert!(page.knocks && page.cursor == bench.cursor);
    round.step(0, 0, RoundEvent::Taken(Ok(())));
    let id = bundle_id(&sealed(50));
    let answer = round.step(0, 0, RoundEvent::Offered(offer(vec![(id, vec![sealed(9)])])));
    let RoundStep::Send(answer) = answer else { panic!("{answer:?}") };
    assert!(answer.method == HttpMethod::Put && answer.url.contains(&id.to_string()));
    let done = HttpResponse { status: 204, ..HttpResponse::default() };
    let done = round.step(0, 0, RoundEvent::Response(done));
    assert_eq!(done, RoundStep::Done(SyncOutcome::UpToDate));
}

/// With a change of its access a log drops the answers that it kept: whoever changes it answers once more.
#[test]
fn who_turns_to_the_next_key_answers_those_who_knocked_again() {
    let mut relay = FakeRelay::default();
    let mut bench = FakeShelf::new([1]);
    sync(&mut bench, &mut relay);
    bench.here.insert(sealed(203));
    bench.keys.push(3);
    let (id, mut heard, mut answered) = (bundle_id(&sealed(50)), false, false);
    let (mut round, mut event) = (bench.round(), RoundEvent::Start(Mode::Once));
    let outcome = loop {
        event = match round.step(0, 0, event) {
            RoundStep::Offer { bundles, .. } => {
                let answers = heard.then(|| (id, vec![sealed(9)]));
                let answers = answers.into_iter().collect();
                RoundEvent::Offered(Offer { asks_knocks: true, answers, ..bench.offer(bundles) })
            }
            RoundStep::Send(request) if request.url.ends_with("/answer") => {
                answered = true;
                let done = HttpResponse { status: 204, ..HttpResponse::default() };
                RoundEvent::Response(done)
            }
            RoundStep::Send(request) if request.url.ends_with("/knocks") => {
                let waits = (!answered).then(|| sealed(50));
                let body = page::write(waits.as_slice()).unwrap();
                RoundEvent::Response(HttpResponse { status: 200, headers: Vec::new(), body })
            }
            RoundStep::Send(request) => {
                let was = relay.live;
                let answer = relay.answer(&request);
                answered &= relay.live == was;
                RoundEvent::Response(answer)
            }
            RoundStep::Take(page) => {
                heard |= page.knocks;
                RoundEvent::Taken(if page.knocks { Ok(()) } else { bench.take(page) })
            }
            RoundStep::Done(outcome) => break outcome,
            other => panic!("{other:?}"),
        };
    };
    assert_eq!(outcome, SyncOutcome::UpToDate);
    assert!(round.report().rotated && answered);
}

#[derive(Debug, Clone, Copy)]
enum Mishap {
    LostThere,
    LostBack,
    Garbage,
    Busy,
    Wiped,
    WentBack,
    Stopped,
    None,
}

fn mishap() -> impl Strategy<Value = Mishap> {
    prop_oneof![
        1 => Just(Mishap::LostThere),
        1 => Just(Mishap::LostBack),
        1 => Just(Mishap::Garbage),
        1 => Just(Mishap::Busy),
        1 => Just(Mishap::Wiped),
        1 => Just(Mishap::WentBack),
        1 => Just(Mishap::Stopped),
        4 => Just(Mishap::None),
    ]
}

type Rounds = Vec<(usize, Option<u8>, Vec<Mishap>)>;

/// Whatever goes wrong: every round ends, and after it all has healed one round each brings everybody
/// everything, and nothing that anybody had is lost.
fn play(rounds: Rounds, rotates: usize) -> Result<(), TestCaseError> {
    let mut relay = FakeRelay::default();
    let mut earlier = relay.clone();
    let mut shelves = [FakeShelf::new([1]), FakeShelf::new([2]), FakeShelf::new([3])];
    let mut written: Set<Vec<u8>> = (1..=3).map(sealed).collect();
    for (number, (who, line, mishaps)) in rounds.into_iter().enumerate() {
        let shelf = &mut shelves[who];
        let line = line.filter(|line| *line < 200).map(sealed);
        shelf.here.extend(line.clone());
        written.extend(line);
        if number == rotates && !shelf.keys.contains(&3) {
            shelf.keys.push(3);
            shelf.here.insert(sealed(203));
            written.insert(sealed(203));
        }
        let mut mishaps = mishaps.into_iter();
        let mut stopped = false;
        let mut round = shelf.round();
        let mut event = RoundEvent::Start(Mode::Once);
        let mut now = 0;
        for turn in 0.. {
            prop_assert!(turn < 500, "the round does not end: {round:?}");
            event = match round.step(now, turn * 7919, event) {
                _ if stopped => break,
                RoundStep::Offer { bundles, .. } => RoundEvent::Offered(shelf.offer(bundles)),
                RoundStep::Send(request) => match mishaps.next().unwrap_or(Mishap::None) {
                    Mishap::None => RoundEvent::Response(relay.answer(&request)),
                    Mishap::LostThere => RoundEvent::Failed(ExchangeFault::Offline),
                    Mishap::LostBack => {
                        relay.answer(&request);
                        RoundEvent::Failed(ExchangeFault::Slow)
                    }
                    Mishap::Garbage => RoundEvent::Response(HttpResponse {
                        status: 200,
                        ..HttpResponse::default()
                    }),
                    Mishap::Busy => RoundEvent::Response(FakeRelay::problem(Code::Unavailable)),
                    Mishap::Wiped => {
                        relay = FakeRelay::default();
                        RoundEvent::Response(relay.answer(&request))
                    }
                    Mishap::WentBack => {
                        std::mem::swap(&mut relay, &mut earlier);
                        RoundEvent::Response(relay.answer(&request))
                    }
                    Mishap::Stopped => {
                        stopped = true;
                        relay.answer(&request);
                        RoundEvent::Stop
                    }
                },
                RoundStep::Take(page) => RoundEvent::Taken(shelf.take(page)),
                RoundStep::SetAside { .. } => {
                    prop_assert!(false, "nothing is refused here");
                    RoundEvent::IsAside
                }
                RoundStep::Wait { until } => {
                    now = until;
                    RoundEvent::Timer
                }
                RoundStep::Done(_) => break,
            };
        }
    }
    // Key 3 lies in bundle 203; whoever does not get it is not asked to.
    let mut ended = Vec::new();
    for _ in 0..3 {
        for shelf in &mut shelves {
            ended.push(sync(shelf, &mut relay).0);
        }
    }
    prop_assert!(ended[3..].iter().all(|one| *one == SyncOutcome::UpToDate), "{ended:?}");
    for shelf in &shelves {
        prop_assert!(shelf.here == written);
    }
    let there: Set<Vec<u8>> = relay.items.iter().cloned().collect();
    prop_assert_eq!(there.len(), relay.items.len());
    prop_assert!(there == written);
    Ok(())
}

proptest! {
    #[test]
    fn nothing_is_lost_whatever_goes_wrong(
        rounds in prop::collection::vec(
            (0..3_usize, prop::option::of(any::<u8>()), prop::collection::vec(mishap(), 1..12)),
            1..14,
        ),
        rotates in 0..20_usize,
    ) {
        play(rounds, rotates)?;
    }
}

/// What was found once: a log that is wiped and filled again by others with the same bundles has the same
/// chain, and lacks what was acknowledged behind the end of the page.
#[test]
fn what_lies_behind_the_page_is_not_taken_for_kept() {
    use Mishap::{LostThere, Stopped, Wiped};
    let rounds = vec![
        (1, None, vec![LostThere]),
        (2, Some(4), vec![LostThere]),
        (0, Some(5), vec![Mishap::None, Stopped]),
        (1, Some(6), vec![Mishap::None, Wiped, Stopped]),
        (2, None, vec![Mishap::None, Mishap::None]),
    ];
    play(rounds, 3).unwrap();
}

/// What was found once: a log that was found wiped, and was wiped again before it was read, was opened anew, and
/// the round ended there. Others filled it, in the same order as before, and nobody missed what had been
/// acknowledged behind that.
#[test]
fn who_opens_a_log_anew_does_not_take_it_for_the_one_that_had_everything() {
    use Mishap::{LostThere, Stopped, WentBack, Wiped};
    let rounds = vec![
        (0, None, vec![LostThere]),
        (1, None, vec![LostThere]),
        (1, None, vec![Stopped]),
        (0, None, vec![WentBack]),
        (2, None, vec![WentBack, Mishap::None, Mishap::None, Mishap::None]),
        (1, None, vec![Wiped, LostThere]),
        (2, None, vec![Mishap::None, Wiped, Wiped, Stopped]),
    ];
    play(rounds, 0).unwrap();
}

/// As HTTP/1.1 writes it (RFC 9112), with nothing that a client of the platform adds.
#[test]
fn a_visit_is_one_request_of_less_than_1100_bytes() {
    let mut visit = vec![0; 768];
    visit[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
    let mut cursor = LogCursor { caught_up: true, ..LogCursor::start(&log()) };
    cursor.position.seq = 12;
    let mut round = Round::new(URL, log(), cursor);
    round.step(0, 0, RoundEvent::Start(Mode::Once));
    let offer = Offer { keys: vec![access(1)], bundles: vec![visit], ..Offer::default() };
    let RoundStep::Send(request) = round.step(0, 0, RoundEvent::Offered(offer)) else {
        panic!("nothing is sent")
    };
    let path = request.url.strip_prefix(URL).unwrap();
    let mut head = vec![
        format!("{} {path} HTTP/1.1", request.method.as_str()),
        "Host: relay.example".to_owned(),
        format!("Content-Length: {}", request.body.len()),
    ];
    head.extend(request.headers.iter().map(|(name, value)| format!("{name}: {value}")));
    let head = head.join("\r\n") + "\r\n\r\n";
    assert_eq!((head.len(), request.body.len()), (275, 817), "{head}");
}
