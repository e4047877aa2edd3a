//! Calls of an engine, drawn at random from a small world.
#![allow(clippy::unwrap_used, reason = "a test")]

use fallaway_relay::Engine;
use fallaway_sync::wire::access::AccessBody;
use fallaway_sync::wire::chain::Position;
use proptest::prelude::*;

use crate::common::{admin, body, bundle, log, photo, push, push_part, token};

/// One call, with names from a small world.
#[derive(Debug, Clone)]
pub enum Call {
    Open(u8, u8),
    /// The place is one that an answer named, or the start.
    Exchange(u8, u8, usize, Vec<u8>, usize),
    Items(u8, u8, usize, usize),
    Access(u8, u8, u8, u8),
    Delete(u8, u8),
    Knock(u8, u8, u8),
    Knocks(u8, u8),
    Answer(u8, u8, u8),
    Answered(u8, u8, u8),
    Leave(u8, u8, u8, u16),
    Parcel(u8),
    Remove(u8, u8),
    /// A part of a photo, which may be said to be of another.
    Part(u8, u8, u8, u8, u32),
    Photo(u8, u8, u8, u32),
    DropPhoto(u8, u8, u8),
    Sweep,
    Days(i64),
    Reopen,
}

pub fn calls() -> impl Strategy<Value = Vec<Call>> {
    let (l, t, b) = (0..2_u8, 0..3_u8, 0..9_u8);
    let one = prop_oneof![
        3 => (l.clone(), t.clone()).prop_map(|(l, t)| Call::Open(l, t)),
        8 => (l.clone(), t.clone(), 0..6_usize, prop::collection::vec(b.clone(), 0..5), 0..3000_usize)
            .prop_map(|(l, t, at, bundles, most)| Call::Exchange(l, t, at, bundles, most)),
        4 => (l.clone(), t.clone(), 0..6_usize, 0..3000_usize)
            .prop_map(|(l, t, at, most)| Call::Items(l, t, at, most)),
        2 => (l.clone(), t.clone(), t.clone(), t.clone())
            .prop_map(|(l, by, access, admin)| Call::Access(l, by, access, admin)),
        1 => (l.clone(), t.clone()).prop_map(|(l, t)| Call::Delete(l, t)),
        2 => (l.clone(), t.clone(), b.clone()).prop_map(|(l, t, b)| Call::Knock(l, t, b)),
        1 => (l.clone(), t.clone()).prop_map(|(l, t)| Call::Knocks(l, t)),
        2 => (l.clone(), t.clone(), b.clone()).prop_map(|(l, t, b)| Call::Answer(l, t, b)),
        1 => (l.clone(), t.clone(), b.clone()).prop_map(|(l, t, b)| Call::Answered(l, t, b)),
        6 => (l.clone(), t.clone(), 0..4_u8, 0..3_u32)
            .prop_map(|(l, t, photo, part)| Call::Part(l, t, photo, photo, part)),
        1 => (l.clone(), t.clone(), 0..4_u8, 0..4_u8, 0..3_u32)
            .prop_map(|(l, t, said, photo, part)| Call::Part(l, t, said, photo, part)),
        3 => (l.clone(), t.clone(), 0..4_u8, 0..3_u32)
            .prop_map(|(l, t, photo, part)| Call::Photo(l, t, photo, part)),
        1 => (l, t.clone(), 0..4_u8).prop_map(|(l, t, photo)| Call::DropPhoto(l, t, photo)),
        2 => (0..2_u8, t.clone(), b, 1..60_u16).prop_map(|(p, t, b, days)| Call::Leave(p, t, b, days)),
        1 => (0..2_u8).prop_map(Call::Parcel),
        1 => (0..2_u8, t).prop_map(|(p, t)| Call::Remove(p, t)),
        1 => Just(Call::Sweep),
        1 => (1..50_i64).prop_map(Call::Days),
        1 => Just(Call::Reopen),
    ];
    prop::collection::vec(one, 1..60)
}

/// What an engine says to a call, and the place that it names.
pub fn say(
    engine: &Engine,
    call: &Call,
    places: &[Position],
    now: i64,
) -> (String, Option<Position>) {
    let place = |l: u8, at: usize| {
        places.get(places.len().wrapping_sub(at)).copied().unwrap_or(Position::start(&log(l)))
    };
    let said = match call.clone() {
        Call::Open(l, t) => format!("{:?}", engine.open_log(log(l), body(t), now)),
        Call::Exchange(l, t, at, bundles, most) => {
            let answer = engine.exchange(push(l, t, place(l, at), &bundles), most, now);
            let end = answer.as_ref().ok().map(|answer| answer.portion.end);
            return (format!("{answer:?}"), end);
        }
        Call::Items(l, t, at, most) => {
            let answer = engine.items(log(l), token(t), place(l, at), most);
            let end = answer.as_ref().ok().map(|portion| portion.end);
            return (format!("{answer:?}"), end);
        }
        Call::Access(l, by, access, to) => {
            let body = AccessBody { access: token(access), admin: admin(to) };
            format!("{:?}", engine.change_access(log(l), admin(by), Position::start(&log(l)), body))
        }
        Call::Delete(l, t) => format!("{:?}", engine.delete_log(log(l), admin(t), now)),
        Call::Knock(l, t, b) => {
            format!("{:?}", engine.knock(log(l), token(t), bundle(b).0, bundle(b).1, now))
        }
        Call::Knocks(l, t) => format!("{:?}", engine.knocks(log(l), token(t), now)),
        Call::Answer(l, t, b) => {
            format!("{:?}", engine.answer(log(l), token(t), bundle(b).0, vec![t, b], now))
        }
        Call::Answered(l, t, b) => {
            format!("{:?}", engine.answered(log(l), token(t), bundle(b).0, now))
        }
        Call::Leave(p, t, b, days) => {
            format!("{:?}", engine.leave_parcel([p; 16], token(t), bundle(b).1, days, now))
        }
        Call::Parcel(p) => format!("{:?}", engine.parcel([p; 16], now)),
        Call::Remove(p, t) => format!("{:?}", engine.remove_parcel([p; 16], token(t), now)),
        Call::Part(l, t, said, number, part) => {
            format!("{:?}", engine.put_blob_part(push_part(l, t, said, number, part), now))
        }
        Call::Photo(l, t, number, part) => {
            let id = photo(number).0;
            let there = engine.blob(log(l), token(t), id);
            format!("{there:?} {:?}", engine.blob_part(log(l), token(t), id, part))
        }
        Call::DropPhoto(l, t, number) => {
            format!("{:?}", engine.remove_blob(log(l), admin(t), photo(number).0, now))
        }
        Call::Sweep => format!("{:?}", engine.sweep(now)),
        Call::Days(_) | Call::Reopen => String::new(),
    };
    (said, None)
}
