//! Runs one end of a meeting: its steps are done one after the other, and nothing is held while bytes
//! are on their way.

use fallaway_order::Set;
use std::ops::ControlFlow;
use std::time::Instant;

use fallaway_sharing::Invitation;
use fallaway_sync::TakeFault;
use fallaway_sync::meeting::{Meeting, MeetingEvent, MeetingOffer, MeetingOutcome, MeetingStep};

use super::keys::{Way, Ways};
use super::opening;
use super::stream::{ByteStream, StreamFault};
use super::table::MetRecord;
use super::{MeetOptions, MeetReport, MetInstrument};
use crate::error::{Error, Result};
use crate::keeping::callbacks::ProgressListener;
use crate::keeping::secrets::draw;
use crate::keeping::session::MeetingSeat;
use crate::keeping::workshop_state::WorkshopState;
use crate::workshop::Workshop;

impl Workshop {
    pub(super) fn meet_over(
        &self,
        stream: &dyn ByteStream,
        options: &MeetOptions,
        progress: &dyn ProgressListener,
    ) -> Result<MeetReport> {
        let invitation = options.invitation.as_deref().map(Invitation::parse).transpose()?;
        let invited = invitation.map(|invitation| Way::Invited(invitation.secret));
        let mut invited = invited.as_ref();
        let ways = Ways::read(&self.inner, options.only)?;
        let mut done = Set::new();
        let mut report =
            MeetReport { outcome: MeetingOutcome::UpToDate, met: Vec::new(), bytes: 0 };
        // One record after the other; whoever came begins each, and leaves when it has no more.
        loop {
            let mut all = ways.left(&done);
            all.extend(invited.take());
            if all.is_empty() && !options.listens && !report.met.is_empty() {
                return Ok(report);
            }
            let end = End { inner: &self.inner, stream, progress, ways: &all };
            let Met { outcome, bytes, instrument } = end.meet(options)?;
            report.bytes += bytes;
            let is_first = report.met.is_empty();
            if let Some(met) = instrument {
                done.insert(met.instrument);
                report.met.push(met);
            }
            match outcome {
                MeetingOutcome::UpToDate
                | MeetingOutcome::Removed
                | MeetingOutcome::PeerRemoved
                | MeetingOutcome::Unknown
                | MeetingOutcome::PeerUnknown => {}
                MeetingOutcome::Apart | MeetingOutcome::Left if !is_first => return Ok(report),
                outcome => {
                    report.outcome = outcome;
                    return Ok(report);
                }
            }
        }
    }
}

/// What became of one record.
struct Met {
    outcome: MeetingOutcome,
    bytes: u64,
    instrument: Option<MetInstrument>,
}

/// One end, with what it can be met by.
struct End<'a> {
    inner: &'a WorkshopState,
    stream: &'a dyn ByteStream,
    progress: &'a dyn ProgressListener,
    ways: &'a [&'a Way],
}

impl<'a> End<'a> {
    fn meet(&self, options: &MeetOptions) -> Result<Met> {
        let keys = self.ways.iter().map(|way| way.key(&options.digits)).collect();
        let random = draw(self.inner.random.as_ref())?;
        let mut meeting = Meeting::new(options.listens, keys, &random);
        let start = Instant::now();
        let now = || u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX);
        let mut table: Option<MetRecord<'a>> = None;
        let mut seat: Option<MeetingSeat<'a>> = None;
        let mut failed = None;
        let mut event = MeetingEvent::Start;
        let outcome = loop {
            let step = meeting.step(now(), event);
            event = match step {
                MeetingStep::Write { bytes, until } => {
                    match self.stream.write(&bytes, until.saturating_sub(now())) {
                        Ok(()) => MeetingEvent::Wrote,
                        Err(fault) => broken(fault),
                    }
                }
                MeetingStep::Read { most, until } => {
                    match self.stream.read(most, until.saturating_sub(now())) {
                        Ok(bytes) if bytes.is_empty() => MeetingEvent::Ended,
                        Ok(bytes) => MeetingEvent::Read(bytes),
                        Err(fault) => broken(fault),
                    }
                }
                MeetingStep::Prove { handshake } => {
                    if let Some(way) = meeting.key().and_then(|key| self.ways.get(key)) {
                        (table, seat) = self.sit_down(way)?;
                    }
                    let session = self.inner.session()?;
                    let keys = &session.identity.keys;
                    let proof = keys.sign_meeting(options.listens, &handshake);
                    MeetingEvent::Proved(keys.device(), proof)
                }
                MeetingStep::Open { letter } => {
                    let way = meeting.key().and_then(|key| self.ways.get(key));
                    match (way, &table) {
                        (Some(Way::Invited(secret)), None) => {
                            match opening::open(self.inner, secret, &letter) {
                                Ok((id, key)) => {
                                    seat = Some(self.inner.lock.meet(id)?);
                                    table = Some(MetRecord::new(self.inner, id, Some(key), None));
                                    MeetingEvent::Taken(Ok(()))
                                }
                                Err(error) => fails(&mut failed, error),
                            }
                        }
                        // Nobody here is waiting for it.
                        _ => MeetingEvent::Taken(Ok(())),
                    }
                }
                MeetingStep::Take { bundles, photos, more } => {
                    let came = meeting.report().received as u64;
                    match table.as_mut().map(|table| table.take(&bundles, photos)) {
                        Some(Err(error)) => fails(&mut failed, error),
                        None | Some(Ok(())) => {
                            match self.progress.at(came, came.saturating_add(more)) {
                                ControlFlow::Continue(()) => MeetingEvent::Taken(Ok(())),
                                ControlFlow::Break(()) => MeetingEvent::Stop,
                            }
                        }
                    }
                }
                MeetingStep::Offer { device, state, wants, .. } => match &mut table {
                    None => MeetingEvent::Offered(MeetingOffer::default()),
                    Some(table) => match table.offer(&device, state.as_ref(), &wants) {
                        Ok(offer) => MeetingEvent::Offered(offer),
                        Err(error) => fails(&mut failed, error),
                    },
                },
                MeetingStep::Done(outcome) => break outcome,
            };
        };
        drop(seat);
        if let Some(error) = failed {
            return Err(error);
        }
        let report = *meeting.report();
        let instrument = match table {
            None => None,
            Some(table) => {
                if let (MeetingOutcome::UpToDate, Some(device)) = (outcome, meeting.peer()) {
                    table.note_met(device)?;
                }
                let (name, other) = table.names(meeting.peer().as_ref())?;
                let (photos_sent, photos_received) = table.photos.counts();
                Some(MetInstrument {
                    instrument: table.id,
                    name,
                    other,
                    outcome,
                    sent: table.sent,
                    received: report.received.saturating_sub(table.receipts),
                    photos_sent,
                    photos_received,
                    merges: table.merges,
                })
            }
        };
        // By words that brought no welcome nobody has met.
        let outcome = match (&instrument, outcome) {
            (None, MeetingOutcome::UpToDate) => MeetingOutcome::Apart,
            (_, outcome) => outcome,
        };
        Ok(Met { outcome, bytes: report.bytes, instrument })
    }

    /// One meeting at a time is about a record.
    fn sit_down(&self, way: &Way) -> Result<(Option<MetRecord<'a>>, Option<MeetingSeat<'a>>)> {
        let Some(id) = way.record() else { return Ok((None, None)) };
        let seat = self.inner.lock.meet(id)?;
        let (key, invite) = match way {
            Way::Epoch(_, key) => (Some(key.clone()), None),
            Way::Inviting(_, invite, _) => (None, Some(*invite)),
            Way::Invited(_) => (None, None),
        };
        Ok((Some(MetRecord::new(self.inner, id, key, invite)), Some(seat)))
    }
}

fn broken(fault: StreamFault) -> MeetingEvent {
    match fault {
        StreamFault::Slow => MeetingEvent::Late,
        StreamFault::Gone => MeetingEvent::Ended,
    }
}

/// The other end is told, and then the caller.
fn fails(failed: &mut Option<Error>, error: Error) -> MeetingEvent {
    let full = matches!(error, Error::Full { .. });
    *failed = Some(error);
    MeetingEvent::Taken(Err(if full { TakeFault::Full } else { TakeFault::Other }))
}
