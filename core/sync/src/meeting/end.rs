//! One end of a meeting over one record.
//!
//! | who | says |
//! |---|---|
//! | comes, listens | a random number each |
//! | comes | hints of its keys, and the first message of the handshake |
//! | listens | which hint it knows, and the second message |
//! | comes | the third message, and which device it is |
//! | listens, comes, listens, .. | which device it is; what it has; what the other one lacks |
//! | whoever has nothing more, after a turn that brought nothing | bye |
//!
//! They never speak at once, so that no stream fills up on both sides.

use fallaway_changes::{DeviceId, Signature};
use fallaway_sharing::is_meeting;

use super::frames::{Bye, Frame, MeetingState, Piece};
use super::incoming::Incoming;
use super::key::{MeetingKey, NONCE};
use super::limits::{
    HANDSHAKE_MS, IDLE_MS, MAX_MEETING_BYTES, MAX_PHOTO_BYTES, MAX_TURNS, PART_BYTES,
};
use super::noise::{Channel, Handshake};
use super::opening::{self, Drawn, PREAMBLE};
use super::photos::{PhotoPart, PhotoWant, encode_wants};
use super::types::{
    Farewell, MeetingEvent, MeetingFault, MeetingOffer, MeetingOutcome, MeetingReport, MeetingStep,
};

/// What is read next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Expect {
    Preamble,
    Hints,
    First,
    Choice,
    Second,
    Third,
    Speech,
}

/// What follows when something is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum After {
    Read(Expect),
    Prove,
    Done(MeetingOutcome),
}

/// What is asked of whoever drives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asked {
    Nothing,
    Proof,
    Opening,
    Taking,
    Offer,
}

/// One end of a meeting over one record, as plain data: no I/O, no clock, no randomness of its own.
pub struct Meeting {
    listens: bool,
    keys: Vec<MeetingKey>,
    drawn: Drawn,
    expect: Expect,
    after: After,
    asked: Asked,
    /// How many bytes have to come before they are looked at, and those that have.
    need: usize,
    inbox: Vec<u8>,
    /// The two bytes in front of a frame are here.
    has_length: bool,
    /// Until when the handshake is made, and the frame there that is read.
    handshake_until: u64,
    until: u64,
    other: [u8; NONCE],
    hints: Vec<u8>,
    chosen: Option<(usize, u16)>,
    handshake: Option<Handshake>,
    channel: Option<Channel>,
    hash: [u8; 32],
    own: Option<(DeviceId, Signature)>,
    peer: Option<DeviceId>,
    has_said_who: bool,
    has_spoken: bool,
    incoming: Incoming,
    /// It ends when what has come is merged.
    bye: Option<Bye>,
    state: Option<MeetingState>,
    wants: Vec<PhotoWant>,
    took: bool,
    /// The other end does not know this device; and this one the other.
    is_stranger: bool,
    peer_is_stranger: bool,
    /// How many bundles the other end has for later.
    more: u64,
    turns: u32,
    report: MeetingReport,
}

impl Meeting {
    /// An end that `listens`, or comes, with these keys, the newest of each record first. `random` are
    /// bytes of a cryptographic random source, drawn for this meeting.
    pub fn new(listens: bool, keys: Vec<MeetingKey>, random: &[u8; 32]) -> Self {
        Self {
            listens,
            keys,
            drawn: Drawn::from(random),
            expect: Expect::Preamble,
            after: After::Read(Expect::Preamble),
            asked: Asked::Nothing,
            need: 0,
            inbox: Vec::new(),
            has_length: false,
            handshake_until: 0,
            until: 0,
            other: [0; NONCE],
            hints: Vec::new(),
            chosen: None,
            handshake: None,
            channel: None,
            hash: [0; 32],
            own: None,
            peer: None,
            has_said_who: false,
            has_spoken: false,
            incoming: Incoming::default(),
            bye: None,
            state: None,
            wants: Vec::new(),
            took: false,
            is_stranger: false,
            peer_is_stranger: false,
            more: 0,
            turns: 0,
            report: MeetingReport::default(),
        }
    }

    /// What it has done so far.
    pub const fn report(&self) -> &MeetingReport {
        &self.report
    }

    /// Which of its keys the other end has, as soon as that is known.
    pub fn key(&self) -> Option<usize> {
        self.chosen.map(|(own, _)| own)
    }

    /// The other device, once it has proved which one it is.
    pub const fn peer(&self) -> Option<DeviceId> {
        self.peer
    }

    /// Takes what happened at `now`, in milliseconds of any clock that does not go back, and says what
    /// is to be done.
    pub fn step(&mut self, now: u64, event: MeetingEvent) -> MeetingStep {
        match self.next(now, event) {
            Ok(step) => step,
            Err(fault) => self.refuse(now, fault),
        }
    }

    fn next(&mut self, now: u64, event: MeetingEvent) -> Result<MeetingStep, MeetingFault> {
        match (event, self.asked) {
            (MeetingEvent::Start, _) => {
                self.handshake_until = now.saturating_add(HANDSHAKE_MS);
                if self.listens {
                    return Ok(self.read(now, Expect::Preamble));
                }
                let preamble = opening::preamble(&self.drawn.nonce);
                Ok(self.write(now, preamble, After::Read(Expect::Preamble)))
            }
            (MeetingEvent::Wrote, _) => Ok(match self.after {
                After::Read(expect) => self.read(now, expect),
                After::Prove => self.ask(Asked::Proof, MeetingStep::Prove { handshake: self.hash }),
                After::Done(outcome) => MeetingStep::Done(outcome),
            }),
            (MeetingEvent::Read(bytes), _) => {
                self.count(bytes.len())?;
                let fits = !bytes.is_empty() && self.inbox.len() + bytes.len() <= self.need;
                if !fits {
                    return Err(MeetingFault::Garbage);
                }
                self.inbox.extend(bytes);
                if self.inbox.len() < self.need { Ok(self.wait()) } else { self.full(now) }
            }
            (MeetingEvent::Ended, _) => {
                let at_start = self.expect == Expect::Preamble && self.inbox.is_empty();
                Ok(MeetingStep::Done(match self.after {
                    // It has said all, and was not waited for.
                    After::Done(outcome) => outcome,
                    _ if at_start && self.listens => MeetingOutcome::Left,
                    _ => MeetingOutcome::Failed(MeetingFault::Cut),
                }))
            }
            (MeetingEvent::Late, _) => {
                Ok(MeetingStep::Done(MeetingOutcome::Failed(MeetingFault::Slow)))
            }
            (MeetingEvent::Proved(device, signature), Asked::Proof) => {
                self.own = Some((device, signature));
                if self.listens {
                    return Ok(self.read(now, Expect::Speech));
                }
                let hello = self.hello()?;
                Ok(self.write(now, hello, After::Read(Expect::Speech)))
            }
            (MeetingEvent::Taken(Ok(())), Asked::Opening) => self.taking(),
            (MeetingEvent::Taken(Ok(())), Asked::Taking) => self.taken(),
            (MeetingEvent::Taken(Err(_)), _) => {
                self.end(now, Bye::NotTaken, MeetingOutcome::NotTaken)
            }
            (MeetingEvent::Offered(offer), Asked::Offer) => self.speak(now, &offer),
            (MeetingEvent::Stop, _) => self.end(now, Bye::Stopped, MeetingOutcome::Stopped),
            (MeetingEvent::Proved(..) | MeetingEvent::Taken(_) | MeetingEvent::Offered(_), _) => {
                Err(MeetingFault::Garbage)
            }
        }
    }

    /// Everything that was waited for is there.
    fn full(&mut self, now: u64) -> Result<MeetingStep, MeetingFault> {
        let bytes = std::mem::take(&mut self.inbox);
        if self.expect == Expect::Preamble {
            self.other = opening::read_preamble(&bytes).ok_or(MeetingFault::Garbage)?;
            return self.greeted(now);
        }
        if !self.has_length {
            let length = bytes.try_into().map(u16::from_be_bytes);
            self.has_length = true;
            self.need = usize::from(length.unwrap_or_default());
            return if self.need == 0 { Err(MeetingFault::Garbage) } else { Ok(self.wait()) };
        }
        match self.expect {
            Expect::Preamble => Err(MeetingFault::Garbage),
            Expect::Hints => {
                let found = opening::find(&bytes, &self.keys, &self.other, &self.drawn.nonce);
                self.chosen = found?;
                self.hints = bytes;
                Ok(self.read(now, Expect::First))
            }
            Expect::First => self.first(now, &bytes),
            Expect::Choice => {
                let chosen = opening::read_choice(&bytes, self.keys.len());
                let Some(own) = chosen? else {
                    return Ok(MeetingStep::Done(MeetingOutcome::Apart));
                };
                self.chosen = Some((own, 0));
                self.set_key()?;
                Ok(self.read(now, Expect::Second))
            }
            Expect::Second => {
                let handshake = self.handshake.as_mut().ok_or(MeetingFault::Garbage)?;
                handshake.read(&bytes).map_err(|_| MeetingFault::Garbage)?;
                let third = handshake.write().map_err(|_| MeetingFault::Garbage)?;
                self.made()?;
                Ok(self.write(now, framed(&third), After::Prove))
            }
            Expect::Third => {
                let handshake = self.handshake.as_mut().ok_or(MeetingFault::Garbage)?;
                handshake.read(&bytes).map_err(|_| MeetingFault::Garbage)?;
                self.made()?;
                Ok(self.ask(Asked::Proof, MeetingStep::Prove { handshake: self.hash }))
            }
            Expect::Speech => self.heard(now, &bytes),
        }
    }

    /// Both random numbers are known.
    fn greeted(&mut self, now: u64) -> Result<MeetingStep, MeetingFault> {
        if self.listens {
            let preamble = opening::preamble(&self.drawn.nonce);
            return Ok(self.write(now, preamble, After::Read(Expect::Hints)));
        }
        self.hints = opening::hints(&self.keys, &self.drawn, &self.other);
        let first = self.begin()?.write().map_err(|_| MeetingFault::Garbage)?;
        let bytes = [framed(&self.hints), framed(&first)].concat();
        Ok(self.write(now, bytes, After::Read(Expect::Choice)))
    }

    /// The first message of the handshake is here, which listens for it.
    fn first(&mut self, now: u64, message: &[u8]) -> Result<MeetingStep, MeetingFault> {
        let choice = framed(&opening::choice(self.chosen.map(|(_, hint)| hint)));
        if self.chosen.is_none() {
            return Ok(self.write(now, choice, After::Done(MeetingOutcome::Apart)));
        }
        self.begin()?.read(message).map_err(|_| MeetingFault::Garbage)?;
        self.set_key()?;
        let handshake = self.handshake.as_mut().ok_or(MeetingFault::Garbage)?;
        let second = handshake.write().map_err(|_| MeetingFault::Garbage)?;
        let bytes = [choice, framed(&second)].concat();
        Ok(self.write(now, bytes, After::Read(Expect::Third)))
    }

    fn begin(&mut self) -> Result<&mut Handshake, MeetingFault> {
        let (own, other) = (&self.drawn.nonce, &self.other);
        let (came, listens) = if self.listens { (other, own) } else { (own, other) };
        let prologue = opening::prologue(came, listens, &self.hints);
        let Drawn { secret, seed, .. } = &self.drawn;
        let handshake = Handshake::new(self.listens, secret, **seed, &prologue);
        let handshake = handshake.map_err(|_| MeetingFault::Garbage)?;
        Ok(self.handshake.insert(handshake))
    }

    fn set_key(&mut self) -> Result<(), MeetingFault> {
        let key = self.chosen.and_then(|(own, _)| self.keys.get(own));
        let (Some(key), Some(handshake)) = (key, self.handshake.as_mut()) else {
            return Err(MeetingFault::Garbage);
        };
        handshake.set_key(key.as_bytes()).map_err(|_| MeetingFault::Garbage)
    }

    /// The handshake is made: from here on everything is sealed.
    fn made(&mut self) -> Result<(), MeetingFault> {
        let handshake = self.handshake.take().ok_or(MeetingFault::Garbage)?;
        let (channel, hash) = handshake.channel().map_err(|_| MeetingFault::Garbage)?;
        self.channel = Some(channel);
        self.hash = hash;
        Ok(())
    }

    /// A sealed frame is here.
    fn heard(&mut self, now: u64, sealed: &[u8]) -> Result<MeetingStep, MeetingFault> {
        let channel = self.channel.as_mut().ok_or(MeetingFault::Garbage)?;
        let text = channel.open(sealed).map_err(|_| MeetingFault::Garbage)?;
        let frame = Frame::decode(&text).map_err(|_| MeetingFault::Garbage)?;
        match (frame, self.peer) {
            (Frame::Unknown, _) => Ok(self.read(now, Expect::Speech)),
            (Frame::Hello { device, signature }, None) => {
                if !is_meeting(&device, !self.listens, &self.hash, &signature) {
                    return Err(MeetingFault::Garbage);
                }
                self.peer = Some(device);
                // Who came says what it has after it knows whom it talks to.
                if self.listens { self.offer() } else { Ok(self.read(now, Expect::Speech)) }
            }
            (_, None) | (Frame::Hello { .. }, Some(_)) => Err(MeetingFault::Garbage),
            (part @ Frame::Part { .. }, _) => {
                if let Frame::Part { what: Piece::Photo, bytes, .. } = &part {
                    self.report.photo_bytes += bytes.len() as u64;
                }
                self.incoming.part(part)?;
                Ok(self.read(now, Expect::Speech))
            }
            (Frame::Turn { .. } | Frame::Bye(_), _) if self.incoming.is_open() => {
                Err(MeetingFault::Garbage)
            }
            (Frame::Turn { more, stranger }, _) => {
                self.is_stranger = stranger;
                self.turn(more)
            }
            (Frame::Bye(bye), _) => {
                self.bye = Some(bye);
                self.turn(0)
            }
        }
    }

    /// The other end has spoken.
    fn turn(&mut self, more: u64) -> Result<MeetingStep, MeetingFault> {
        self.turns += 1;
        if self.turns > MAX_TURNS {
            return Err(MeetingFault::TooMuch);
        }
        self.took = !self.incoming.bundles.is_empty()
            || !self.incoming.photos.is_empty()
            || self.incoming.letter.is_some();
        self.wants = self.incoming.wants.take().unwrap_or_default();
        self.state = self.incoming.state.take().or_else(|| self.state.take());
        self.more = more;
        match self.incoming.letter.take() {
            Some(letter) => Ok(self.ask(Asked::Opening, MeetingStep::Open { letter })),
            None => self.taking(),
        }
    }

    fn taking(&mut self) -> Result<MeetingStep, MeetingFault> {
        let Incoming { bundles, photos, .. } = std::mem::take(&mut self.incoming);
        if bundles.is_empty() && photos.is_empty() {
            return self.taken();
        }
        self.report.received += bundles.len();
        let more = self.more;
        Ok(self.ask(Asked::Taking, MeetingStep::Take { bundles, photos, more }))
    }

    fn taken(&mut self) -> Result<MeetingStep, MeetingFault> {
        match self.bye {
            None => self.offer(),
            Some(bye) => Ok(MeetingStep::Done(match bye {
                Bye::Equal => self.equal(),
                Bye::Stopped => MeetingOutcome::Stopped,
                Bye::NoMember => MeetingOutcome::Unknown,
                Bye::Removed => MeetingOutcome::Removed,
                Bye::NotTaken => MeetingOutcome::PeerNotTaken,
                Bye::Refused | Bye::Other => MeetingOutcome::Failed(MeetingFault::Garbage),
            })),
        }
    }

    fn offer(&mut self) -> Result<MeetingStep, MeetingFault> {
        let (Some((key, _)), Some(device)) = (self.chosen, self.peer) else {
            return Err(MeetingFault::Garbage);
        };
        let (state, wants) = (self.state.clone(), self.wants.clone());
        Ok(self.ask(Asked::Offer, MeetingStep::Offer { key, device, state, wants }))
    }

    /// Says what there is to say, and whose turn it is then.
    fn speak(&mut self, now: u64, offer: &MeetingOffer) -> Result<MeetingStep, MeetingFault> {
        let mut out = if self.has_said_who { Vec::new() } else { self.hello()? };
        self.peer_is_stranger = offer.stranger;
        let has_spoken = std::mem::replace(&mut self.has_spoken, true);
        self.report.sent += offer.bundles.len();
        let nothing = offer.bundles.is_empty() && offer.photos.is_empty() && offer.letter.is_none();
        if offer.farewell == Some(Farewell::Removed) {
            self.say_all(&mut out, Piece::Bundle, &offer.bundles)?;
            self.say(&mut out, &Frame::Bye(Bye::Removed))?;
            return Ok(self.write(now, out, After::Done(MeetingOutcome::PeerRemoved)));
        }
        if nothing && has_spoken && !self.took {
            let bye = if offer.stranger { Bye::NoMember } else { Bye::Equal };
            return self.end(now, bye, self.equal());
        }
        self.say_all(&mut out, Piece::State, &[offer.state.encode()])?;
        self.say_all(&mut out, Piece::Letter, offer.letter.as_slice())?;
        self.say_all(&mut out, Piece::Bundle, &offer.bundles)?;
        if !offer.wants.is_empty() {
            self.say_all(&mut out, Piece::Wants, &[encode_wants(&offer.wants)])?;
        }
        let photos: Vec<Vec<u8>> = offer.photos.iter().map(PhotoPart::encode).collect();
        self.report.photo_bytes += photos.iter().map(|part| part.len() as u64).sum::<u64>();
        self.say_all(&mut out, Piece::Photo, &photos)?;
        self.say(&mut out, &Frame::Turn { more: offer.more, stranger: offer.stranger })?;
        Ok(self.write(now, out, After::Read(Expect::Speech)))
    }

    /// Neither has anything more for the other.
    const fn equal(&self) -> MeetingOutcome {
        if self.peer_is_stranger {
            MeetingOutcome::PeerUnknown
        } else if self.is_stranger {
            MeetingOutcome::Unknown
        } else {
            MeetingOutcome::UpToDate
        }
    }

    fn hello(&mut self) -> Result<Vec<u8>, MeetingFault> {
        let (device, signature) = self.own.ok_or(MeetingFault::Garbage)?;
        self.has_said_who = true;
        let mut out = Vec::new();
        self.say(&mut out, &Frame::Hello { device, signature })?;
        Ok(out)
    }

    fn say_all(
        &mut self,
        out: &mut Vec<u8>,
        what: Piece,
        pieces: &[Vec<u8>],
    ) -> Result<(), MeetingFault> {
        for piece in pieces {
            let mut left = piece.len();
            for bytes in piece.chunks(PART_BYTES) {
                left -= bytes.len();
                let part = Frame::Part { what, left: left as u64, bytes: bytes.to_vec() };
                self.say(out, &part)?;
            }
        }
        Ok(())
    }

    fn say(&mut self, out: &mut Vec<u8>, frame: &Frame) -> Result<(), MeetingFault> {
        let channel = self.channel.as_mut().ok_or(MeetingFault::Garbage)?;
        let sealed = channel.seal(&frame.encode()).map_err(|_| MeetingFault::Garbage)?;
        out.extend(framed(&sealed));
        Ok(())
    }

    /// Says bye.
    fn end(
        &mut self,
        now: u64,
        bye: Bye,
        outcome: MeetingOutcome,
    ) -> Result<MeetingStep, MeetingFault> {
        if self.channel.is_none() {
            return Ok(MeetingStep::Done(outcome));
        }
        let mut out = if self.has_said_who { Vec::new() } else { self.hello()? };
        self.say(&mut out, &Frame::Bye(bye))?;
        Ok(self.write(now, out, After::Done(outcome)))
    }

    /// It ends here: the other end is told, if it can be.
    fn refuse(&mut self, now: u64, fault: MeetingFault) -> MeetingStep {
        let outcome = MeetingOutcome::Failed(fault);
        if self.peer.is_none() || self.bye.is_some() {
            return MeetingStep::Done(outcome);
        }
        self.bye = Some(Bye::Refused);
        self.end(now, Bye::Refused, outcome).unwrap_or(MeetingStep::Done(outcome))
    }

    fn ask(&mut self, asked: Asked, step: MeetingStep) -> MeetingStep {
        self.asked = asked;
        step
    }

    fn write(&mut self, now: u64, bytes: Vec<u8>, after: After) -> MeetingStep {
        self.asked = Asked::Nothing;
        self.after = after;
        self.report.bytes += bytes.len() as u64;
        MeetingStep::Write { bytes, until: now.saturating_add(IDLE_MS) }
    }

    /// Waits for the next of these.
    fn read(&mut self, now: u64, expect: Expect) -> MeetingStep {
        self.asked = Asked::Nothing;
        self.expect = expect;
        self.has_length = false;
        self.inbox.clear();
        self.need = if expect == Expect::Preamble { PREAMBLE } else { 2 };
        let made = expect == Expect::Speech && self.channel.is_some();
        self.until = if made { now.saturating_add(IDLE_MS) } else { self.handshake_until };
        self.wait()
    }

    fn wait(&self) -> MeetingStep {
        let most = self.need.saturating_sub(self.inbox.len());
        MeetingStep::Read { most, until: self.until }
    }

    fn count(&mut self, bytes: usize) -> Result<(), MeetingFault> {
        self.report.bytes = self.report.bytes.saturating_add(bytes as u64);
        // Photos count for themselves, once it is known that they are.
        let MeetingReport { bytes, photo_bytes, .. } = self.report;
        let others = bytes.saturating_sub(photo_bytes);
        if others > MAX_MEETING_BYTES || photo_bytes > MAX_PHOTO_BYTES {
            return Err(MeetingFault::TooMuch);
        }
        Ok(())
    }
}

/// A frame: its length before it.
fn framed(bytes: &[u8]) -> Vec<u8> {
    let length = bytes.len() as u16;
    [&length.to_be_bytes()[..], bytes].concat()
}

#[cfg(test)]
#[path = "end_tests.rs"]
mod tests;
