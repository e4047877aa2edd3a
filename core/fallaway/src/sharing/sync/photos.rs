//! Photos over a relay: those of this device go there after the changes, those of others are fetched when
//! somebody wants to see them.

use fallaway_order::Set;
use std::ops::ControlFlow;

use fallaway_changes::{BlobId, LogId};
use fallaway_order::OneByOne as _;
use fallaway_record::EntryId;
use fallaway_sharing::EpochKey;
use fallaway_sync::ExchangeFault;
use fallaway_sync::wire::access::LogToken;
use fallaway_sync::wire::blob::BlobPlace;
use fallaway_sync::wire::http::{HttpMethod, HttpRequest, HttpResponse};
use fallaway_sync::wire::route::{HERE_HEADER, PARTS_HEADER, of_blob};
use fallaway_text::Phrase;
use fallaway_text::Word;
use fallaway_text::messages::photos as say;

use super::shelf::Shelf;
use super::{HttpTransport, address};
use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::keeping::callbacks::ProgressListener;
use crate::sharing::exchange::newest_first;
use crate::sharing::photos::{PartTaken, SealedPhotos};
use crate::showing::photos::PhotoState;

/// What became of fetching a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoFetched {
    /// It is here.
    Here,
    /// The relay does not have it: the device that has it has not exchanged yet, or this one has to first.
    NotThere,
    /// The relay gave something else. Nothing of that is kept.
    Altered,
    /// The record has no relay.
    NoRelay,
    /// Not this time, and why. Parts that came stay, and the next call goes on behind them.
    Later(ExchangeFault),
}

impl PhotoFetched {
    /// The word by which programs, and the messages, tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Here => "here",
            Self::NotThere => "not_there",
            Self::Altered => "altered",
            Self::NoRelay => "no_relay",
            Self::Later(_) => "later",
        }
    }

    /// What became of it, as a sentence to show.
    pub fn phrase(self) -> Phrase {
        say::fetched(Word(self.word()))
    }
}

/// What an exchange did with photos.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PhotosSent {
    /// Photos that the relay has now and did not have before.
    pub sent: usize,
    /// Photos that wait for the next exchange.
    pub waiting: usize,
}

/// A relay that is asked about photos.
struct Counter<'a> {
    shelf: Shelf<'a>,
    http: &'a dyn HttpTransport,
    token: LogToken,
    admin: LogToken,
}

impl Instrument {
    /// Fetches a photo from the relay, if it is not here.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a line that is not there or is not a photo; when the store cannot be read or
    /// written. That the relay cannot be reached or does not have it is no error.
    pub fn fetch_photo(&self, http: &dyn HttpTransport, entry: EntryId) -> Result<PhotoFetched> {
        if self.photo(entry)?.state == PhotoState::Here {
            return Ok(PhotoFetched::Here);
        }
        let now = self.inner.clock.now().unix_s;
        let (blob, at) = self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let placed = state.get(entry);
            let blob =
                placed.and_then(|placed| crate::showing::photos::blob_of(&placed.entry.body));
            Ok((blob, address(&self.inner, loaded)))
        })?;
        let Some(blob) = blob else { return Ok(PhotoFetched::NotThere) };
        let Some((url, log)) = at else { return Ok(PhotoFetched::NoRelay) };
        let counter = self.counter(http, url, log)?;
        let photos = SealedPhotos { inner: &self.inner, id: self.id };
        let mut part = 0;
        loop {
            if photos.part(&blob, part)?.is_some() {
                part += 1;
                continue;
            }
            let place = BlobPlace { log, blob, part };
            let answer = match counter.send(&place.get(&counter.shelf.url, &counter.token)) {
                Ok(answer) => answer,
                Err(why) => return Ok(PhotoFetched::Later(why)),
            };
            let parts = answer.header(PARTS_HEADER).and_then(|parts| parts.parse().ok());
            let taken = match (answer.status, parts) {
                (200, Some(parts)) => photos.take(blob, (part, parts), answer.body)?,
                (401 | 404 | 409 | 410, _) => return Ok(PhotoFetched::NotThere),
                (status, _) => return Ok(PhotoFetched::Later(fault(status))),
            };
            match taken {
                PartTaken::More => part += 1,
                PartTaken::Whole => {
                    counter.note(&blob, true)?;
                    return Ok(PhotoFetched::Here);
                }
                PartTaken::Wrong => return Ok(PhotoFetched::Altered),
            }
        }
    }

    /// Brings the photos that are here to the relay, and takes those away there whose lines were crossed out.
    pub(super) fn carry_photos(
        &self,
        http: &dyn HttpTransport,
        progress: &dyn ProgressListener,
        (url, log): (String, LogId),
    ) -> Result<PhotosSent> {
        let photos = SealedPhotos { inner: &self.inner, id: self.id };
        let (whole, known) =
            (photos.whole()?, Shelf::new(&self.inner, self.id, url.clone(), log).kept().blobs);
        if whole.is_empty() && known.is_empty() {
            return Ok(PhotosSent::default());
        }
        let named = photos.named()?;
        let counter = self.counter(http, url, log)?;
        for gone in known.difference(&named) {
            if matches!(counter.take_away(gone), Ok(204 | 404)) {
                counter.note(gone, false)?;
            }
        }
        let lacking: Vec<_> = whole
            .into_iter()
            .filter(|(blob, _)| named.contains(blob) && !known.contains(blob))
            .collect();
        let all: u64 = lacking.iter().map(|(_, parts)| u64::from(*parts)).sum();
        let (mut done, mut told) = (PhotosSent::default(), 0);
        for (blob, parts) in &lacking {
            let Ok(here) = counter.here(blob, *parts) else { break };
            let mut whole = here.len() == *parts as usize;
            let was_there = whole;
            for part in (0..*parts).filter(|part| !here.contains(part)) {
                let Some(sealed) = photos.part(blob, part)? else { break };
                let place = BlobPlace { log: counter.shelf.log, blob: *blob, part };
                let put = place.put(&counter.shelf.url, &counter.token, *parts, sealed);
                whole = match counter.send(&put).map(|answer| answer.status) {
                    Ok(200 | 201) => true,
                    Ok(202) => false,
                    _ => break,
                };
                told += 1;
                if progress.at(told, all) == ControlFlow::Break(()) {
                    done.waiting = lacking.len() - done.sent;
                    return Ok(done);
                }
            }
            if !whole {
                break;
            }
            counter.note(blob, true)?;
            done.sent += usize::from(!was_there);
        }
        let still = Shelf::new(&self.inner, self.id, counter.shelf.url.clone(), log).kept().blobs;
        done.waiting = lacking.iter().filter(|(blob, _)| !still.contains(blob)).count();
        Ok(done)
    }

    /// With the token that the log took last.
    fn counter<'a>(
        &'a self,
        http: &'a dyn HttpTransport,
        url: String,
        log: LogId,
    ) -> Result<Counter<'a>> {
        let shelf = Shelf::new(&self.inner, self.id, url, log);
        let shown = shelf.kept().cursor.epoch;
        let (token, admin) = self.inner.with_record(self.id, |_, loaded| {
            let keys = newest_first(loaded);
            let key = keys.iter().find(|key| Some(key.id()) == shown).or(keys.first());
            let of = |key: &&EpochKey| (LogToken::access(key, &log), LogToken::admin(key, &log));
            key.map(of).ok_or_else(|| Error::not_found(NotFoundKind::Relay, ""))
        })?;
        Ok(Counter { shelf, http, token, admin })
    }
}

impl Counter<'_> {
    fn send(&self, request: &HttpRequest) -> std::result::Result<HttpResponse, ExchangeFault> {
        self.http.send(request).map_err(|no_answer| no_answer.why)
    }

    /// The parts of a photo that the relay has.
    fn here(&self, blob: &BlobId, parts: u32) -> std::result::Result<Set<u32>, ExchangeFault> {
        let place = BlobPlace { log: self.shelf.log, blob: *blob, part: 0 };
        let answer = self.send(&place.ask(&self.shelf.url, &self.token))?;
        let says = |name| answer.header(name).unwrap_or_default();
        match answer.status {
            // Who counts otherwise holds something else, and begins anew.
            204 if says(PARTS_HEADER) != parts.to_string() => Ok(Set::new()),
            204 => {
                let here = says(HERE_HEADER).split(',').filter_map(|part| part.parse().ok());
                Ok(here.filter(|part| *part < parts).in_set())
            }
            404 => Ok(Set::new()),
            status => Err(fault(status)),
        }
    }

    fn take_away(&self, blob: &BlobId) -> std::result::Result<u16, ExchangeFault> {
        let url = format!("{}{}", self.shelf.url, of_blob(&self.shelf.log, blob));
        let headers = vec![("Authorization", self.admin.header())];
        let request = HttpRequest { method: HttpMethod::Delete, url, headers, body: Vec::new() };
        Ok(self.send(&request)?.status)
    }

    /// Keeps in mind whether the log has a photo.
    fn note(&self, blob: &BlobId, has: bool) -> Result<()> {
        self.shelf.keep(|kept| {
            if has {
                kept.blobs.insert(*blob);
            } else {
                kept.blobs.remove(blob);
            }
        })
    }
}

const fn fault(status: u16) -> ExchangeFault {
    match status {
        507 => ExchangeFault::Full,
        408 | 429 | 503 => ExchangeFault::Busy,
        _ => ExchangeFault::Garbage,
    }
}
