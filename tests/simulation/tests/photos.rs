//! Photos between devices that meet only at a relay: the line comes at once, the bytes when somebody wants to
//! look; the relay holds nothing that it could show, and loses nothing that a device has.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use fallaway::record::EntryBody;
use fallaway::sync::{
    ExchangeFault, HttpMethod, HttpRequest, HttpResponse, HttpTransport, NoAnswer, PhotoFetched,
    SyncOutcome,
};
use fallaway::{
    Error, HistoryFilter, Instrument, PhotoNote, PhotoState, Role, Workshop, WorkshopOptions,
};
use fallaway_relay::{Desk, Engine, MemoryShelves, Policy, Quotas};
use fallaway_simulation::world::{HandClock, Seeded};

const NOW: i64 = 1_780_000_000;
const URL: &str = "https://relay.example";
/// Stands in the picture that is taken, and nowhere else.
const PLANTED: &[u8] = b"planted in the picture itself";

/// A relay, and a network that fails from a request on.
struct Line {
    desk: Desk,
    shelves: MemoryShelves,
    requests: AtomicUsize,
    breaks_at: AtomicUsize,
    /// Parts of photos that were brought, and the one that does not arrive.
    puts: AtomicUsize,
    lost_put: AtomicUsize,
    /// Everything that went over it, both ways.
    seen: Mutex<Vec<u8>>,
}

impl Line {
    fn new(quotas: Quotas) -> Self {
        let shelves = MemoryShelves::default();
        let engine = Engine::in_memory(shelves.clone(), quotas);
        Self {
            desk: Desk::new(Arc::new(engine), Policy::default()),
            shelves,
            requests: AtomicUsize::new(0),
            breaks_at: AtomicUsize::new(usize::MAX),
            puts: AtomicUsize::new(0),
            lost_put: AtomicUsize::new(usize::MAX),
            seen: Mutex::new(Vec::new()),
        }
    }

    fn breaks_after(&self, requests: usize) {
        let done = self.requests.load(Ordering::SeqCst);
        self.breaks_at.store(done.saturating_add(requests), Ordering::SeqCst);
    }

    fn holds(&self, text: &[u8]) -> bool {
        self.seen.lock().unwrap().windows(text.len()).any(|window| window == text)
    }
}

impl HttpTransport for Line {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        if self.requests.fetch_add(1, Ordering::SeqCst) >= self.breaks_at.load(Ordering::SeqCst) {
            return Err(ExchangeFault::Offline.into());
        }
        let put = request.method == HttpMethod::Put && request.url.contains("/blobs/");
        if put && self.puts.load(Ordering::SeqCst) == self.lost_put.load(Ordering::SeqCst) {
            return Err(ExchangeFault::Offline.into());
        }
        self.puts.fetch_add(usize::from(put), Ordering::SeqCst);
        let answer = self.desk.answer(request, NOW);
        let mut seen = self.seen.lock().unwrap();
        seen.extend(request.url.as_bytes());
        seen.extend(&request.body);
        seen.extend(&answer.body);
        Ok(answer)
    }

    fn wait(&self, _: u64) {}
}

/// A PNG whose one data chunk holds so many bytes. Nobody decodes it here.
fn picture(bytes: usize, fill: u8) -> Vec<u8> {
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut data = PLANTED.to_vec();
    data.resize(bytes, fill);
    for (name, data) in [(b"IHDR", &[0; 13][..]), (b"IDAT", &data), (b"IEND", &[])] {
        file.extend((data.len() as u32).to_be_bytes());
        file.extend(name);
        file.extend(data);
        file.extend([0; 4]);
    }
    file
}

fn workshop(label: &str, seed: u64) -> Workshop {
    Workshop::in_memory(label, Box::new(HandClock::at(NOW)), Box::new(Seeded::new(seed))).unwrap()
}

/// A founder and somebody who has joined, both up to date.
fn two(line: &Line) -> (Workshop, Workshop) {
    let (tech, owner) = (workshop("tech", 1), workshop("owner", 2));
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    bass.set_relay(Some(URL)).unwrap();
    let invited = bass.invite(Role::Contributor, 300).unwrap();
    owner.accept(&invited.words, &invited.welcome).unwrap();
    for _ in 0..2 {
        bass_of(&tech).sync(line).unwrap();
        bass_of(&owner).sync(line).unwrap();
    }
    (tech, owner)
}

fn bass_of(workshop: &Workshop) -> Instrument {
    workshop.instrument_named("stage").unwrap()
}

fn synced(workshop: &Workshop, line: &Line) -> (usize, usize) {
    let report = bass_of(workshop).sync(line).unwrap();
    assert_eq!(report.outcome, SyncOutcome::UpToDate);
    (report.photos_sent, report.photos_waiting)
}

#[test]
fn a_photo_reaches_the_other_device_sealed() {
    let line = Line::new(Quotas::default());
    let (tech, owner) = two(&line);
    let file = picture(2_500_000, 7);
    let note = PhotoNote { caption: Some("nut slot, before".to_owned()), about: None };
    let id = bass_of(&tech).add_photo(&file, note, None).unwrap();
    assert_eq!(bass_of(&tech).photo_bytes(id).unwrap().as_ref(), Some(&file));
    assert_eq!(synced(&tech, &line), (1, 0));
    assert_eq!(synced(&tech, &line), (0, 0), "it is there");
    // The owner has the line, and the bytes when they are wanted.
    assert_eq!(synced(&owner, &line), (0, 0));
    let seen = bass_of(&owner).photo(id).unwrap();
    assert_eq!((seen.state, seen.bytes), (PhotoState::Missing, file.len() as u64));
    assert_eq!(seen.caption.as_deref(), Some("nut slot, before"));
    assert_eq!(bass_of(&owner).photo_bytes(id), Ok(None));
    line.breaks_after(1);
    let cut = bass_of(&owner).fetch_photo(&line, id);
    assert_eq!(cut, Ok(PhotoFetched::Later(ExchangeFault::Offline)));
    line.breaks_after(usize::MAX);
    let before = line.requests.load(Ordering::SeqCst);
    assert_eq!(bass_of(&owner).fetch_photo(&line, id), Ok(PhotoFetched::Here));
    let parts = line.requests.load(Ordering::SeqCst) - before;
    assert_eq!(parts, 2, "of three parts one had come before the line broke");
    assert_eq!(bass_of(&owner).photo_bytes(id).unwrap(), Some(file));
    assert_eq!(synced(&owner, &line), (0, 0), "what came from there is not brought back");
    assert!(!line.holds(PLANTED) && !line.holds(b"nut slot"), "sealed all the way");
}

#[test]
fn a_wiped_relay_gets_its_photos_back_from_whoever_has_them() {
    let line = Line::new(Quotas::default());
    let (tech, owner) = two(&line);
    let id = bass_of(&tech).add_photo(&picture(900, 1), PhotoNote::default(), None).unwrap();
    assert_eq!(synced(&tech, &line), (1, 0));
    synced(&owner, &line);
    assert_eq!(bass_of(&owner).fetch_photo(&line, id), Ok(PhotoFetched::Here));
    line.shelves.restore(&MemoryShelves::default());
    // The owner alone fills it again.
    assert_eq!(synced(&owner, &line), (1, 0));
    assert_eq!(line.desk.engine().held().unwrap().blobs, 1);
    assert_eq!(synced(&tech, &line), (0, 0), "it finds it there");
}

#[test]
fn a_push_that_is_cut_goes_on_where_it_was_cut() {
    let line = Line::new(Quotas::default());
    let (tech, _) = two(&line);
    bass_of(&tech).sync(&line).unwrap();
    let file = picture(3 * 1024 * 1024, 3);
    bass_of(&tech).add_photo(&file, PhotoNote::default(), None).unwrap();
    line.lost_put.store(1, Ordering::SeqCst);
    assert_eq!(synced(&tech, &line), (0, 1));
    line.lost_put.store(usize::MAX, Ordering::SeqCst);
    assert_eq!(synced(&tech, &line), (1, 0));
    assert_eq!(line.puts.load(Ordering::SeqCst), 4, "each part once");
}

#[test]
fn what_is_crossed_out_leaves_the_relay_and_comes_back_with_its_line() {
    let line = Line::new(Quotas::default());
    let (tech, owner) = two(&line);
    let id = bass_of(&tech).add_photo(&picture(900, 1), PhotoNote::default(), None).unwrap();
    assert_eq!(synced(&tech, &line), (1, 0));
    bass_of(&tech).retract(id, "the wrong bass", None).unwrap();
    synced(&tech, &line);
    assert_eq!(line.desk.engine().held().unwrap().blobs, 0);
    synced(&owner, &line);
    assert!(bass_of(&owner).photo(id).unwrap().retracted);
    assert_eq!(bass_of(&owner).fetch_photo(&line, id), Ok(PhotoFetched::NotThere));
    assert_eq!(bass_of(&tech).photo(id).unwrap().state, PhotoState::Here, "it is kept here");
    bass_of(&tech).bring_back(id).unwrap();
    assert_eq!(synced(&tech, &line), (1, 0));
}

#[test]
fn a_full_relay_keeps_the_line_and_the_photo_waits() {
    let line = Line::new(Quotas { log_bytes: 100_000, ..Quotas::default() });
    let (tech, owner) = two(&line);
    let id = bass_of(&tech).add_photo(&picture(200_000, 1), PhotoNote::default(), None).unwrap();
    assert_eq!(synced(&tech, &line), (0, 1));
    synced(&owner, &line);
    assert_eq!(bass_of(&owner).fetch_photo(&line, id), Ok(PhotoFetched::NotThere));
    assert_eq!(bass_of(&owner).photo(id).unwrap().state, PhotoState::Missing);
}

#[test]
fn what_is_no_photo_is_refused_and_nothing_is_written() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    let mut huge = b"\xff\xd8\xff".to_vec();
    huge.resize(fallaway::MAX_PHOTO_BYTES + 1, 0);
    let cut = picture(900, 1);
    for file in [&[][..], b"a fret", b"\xff\xd8\xff\xe0", &huge, &cut[..cut.len() - 1]] {
        let refused = bass.add_photo(file, PhotoNote::default(), None);
        assert!(matches!(refused, Err(Error::BadInput { .. })), "{refused:?}");
    }
    assert!(bass.photos().unwrap().is_empty());
    assert!(bass.history(&HistoryFilter::default()).unwrap().is_empty());
}

#[test]
fn a_photo_outlives_the_process_and_goes_into_the_backup() {
    let folder = tempfile::tempdir().unwrap();
    let open = |name: &str| {
        Workshop::open(WorkshopOptions::new(folder.path().join(name), "tech")).unwrap()
    };
    let (tech, file) = (open("one"), picture(1_200_000, 9));
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    let id = bass.add_photo(&file, PhotoNote::default(), None).unwrap();
    tech.shut_down().unwrap();
    let backup = folder.path().join("all.backup");
    Workshop::back_up(&folder.path().join("one"), &backup).unwrap();
    Workshop::restore(&backup, &folder.path().join("two")).unwrap();
    for name in ["one", "two"] {
        let again = open(name);
        assert_eq!(bass_of(&again).photo_bytes(id).unwrap().as_ref(), Some(&file), "{name}");
        again.shut_down().unwrap();
    }
    // Sealed, also here.
    for name in ["one/fallaway.db", "all.backup"] {
        let bytes = std::fs::read(folder.path().join(name)).unwrap();
        assert!(!bytes.windows(PLANTED.len()).any(|window| window == PLANTED), "{name}");
    }
}

#[test]
fn a_photo_that_was_taken_back_takes_its_bytes_with_the_next_one() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    bass.add_photo(&picture(900, 1), PhotoNote::default(), None).unwrap();
    bass.undo("slip", None).unwrap();
    assert!(bass.photos().unwrap().is_empty());
    bass.redo(None).unwrap();
    let photos = bass.photos().unwrap();
    assert_eq!((photos.len(), photos[0].state), (1, PhotoState::Here), "redo has the bytes still");
    let seen = |entry: &fallaway::HistoryEntry| matches!(entry.entry.body, EntryBody::Photo(_));
    let history = bass.history(&HistoryFilter::default()).unwrap();
    assert!(history.iter().any(seen));
}
