//! Measures the record beside plain automerge, loro and yrs: the same entries, in one run, in turn.
//!
//! `cargo run --release --manifest-path tests/peers/Cargo.toml` prints the tables of
//! `docs/benchmarks-peers.md`; an argument says how many times each thing is done (40).
//!
//! `... -- repeat MEASURE LIBRARY TIMES` prepares, then does one thing so many times, for a tool that
//! counts instructions: what it counts for 0 times is to be taken off. A merge includes the making
//! of the document that it goes into.

#![forbid(unsafe_code)]

mod contender;
mod library;
mod people;
#[path = "../../simulation/src/realistic.rs"]
mod realistic;
mod report;
mod timing;

use contender::{Contender, Data, Measure, Ready};
use library::{Library, Loro, Ours, PlainAutomerge, Version1, Version2, Yrs};
use timing::Sample;

/// A result whose error is only ever shown.
pub type Fallible<T> = Result<T, Box<dyn std::error::Error>>;

/// Turns that warm caches and are not counted.
const WARM_UP: usize = 3;

type Made<'a> = Fallible<Box<dyn Contender + 'a>>;

fn ready<L: Library + 'static>(data: &Data) -> Made<'_> {
    Ok(Box::new(Ready::<L>::new(data)?))
}

/// A library by the name in the table, and how to make it ready.
type Named = (&'static str, for<'a> fn(&'a Data) -> Made<'a>);

/// Ours first: the others are compared with it.
const LIBRARIES: [Named; 5] = [
    (Ours::NAME, ready::<Ours>),
    (PlainAutomerge::NAME, ready::<PlainAutomerge>),
    (Loro::NAME, ready::<Loro>),
    (Yrs::<Version1>::NAME, ready::<Yrs<Version1>>),
    (Yrs::<Version2>::NAME, ready::<Yrs<Version2>>),
];

/// Every contender once in each turn, beginning with another one each time.
fn measure(
    contenders: &[Box<dyn Contender + '_>],
    measure: Measure,
    turns: usize,
) -> Fallible<Vec<Vec<Sample>>> {
    let count = contenders.len();
    let mut samples = vec![Vec::with_capacity(turns); count];
    for turn in 0..WARM_UP + turns {
        for place in 0..count {
            let place = (place + turn) % count;
            if let (Some(contender), Some(own)) = (contenders.get(place), samples.get_mut(place)) {
                let sample = contender.run(measure)?;
                if turn >= WARM_UP {
                    own.push(sample);
                }
            }
        }
    }
    Ok(samples)
}

fn compare(turns: usize) -> Fallible<()> {
    let data = Data::invent()?;
    let contenders: Vec<_> =
        LIBRARIES.iter().map(|(_, ready)| ready(&data)).collect::<Fallible<_>>()?;
    report::conditions(turns);
    report::sizes(&data, &contenders)?;
    report::times_head();
    for which in Measure::ALL {
        report::times(which, &contenders, &measure(&contenders, which, turns)?);
    }
    report::load_average("at the end");
    Ok(())
}

fn repeat(which: &str, library: &str, times: &str) -> Fallible<()> {
    let keys = || Measure::ALL.map(Measure::key).join(", ");
    let which = Measure::ALL.into_iter().find(|measure| measure.key() == which);
    let which = which.ok_or_else(|| format!("the measure must be one of {}", keys()))?;
    let names = || LIBRARIES.map(|(name, _)| name).join("; ");
    let library = LIBRARIES.into_iter().find(|(name, _)| *name == library);
    let (_, ready) = library.ok_or_else(|| format!("the library must be one of {}", names()))?;
    let data = Data::invent()?;
    let contender = ready(&data)?;
    for _ in 0..times.parse::<usize>()? {
        contender.run(which)?;
    }
    Ok(())
}

fn main() -> Fallible<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        [] => compare(40),
        ["repeat", which, library, times] => repeat(which, library, times),
        [turns] => compare(turns.parse()?),
        _ => Err("expected nothing, a number of turns, or: repeat MEASURE LIBRARY TIMES".into()),
    }
}
