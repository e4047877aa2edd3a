//! The table of limits: each entry refuses what lies just beyond, and the page is written from it.
#![allow(clippy::unwrap_used, reason = "tests")]

use std::collections::BTreeSet;
use std::fmt::Write;

use fallaway_measure::{Limit, LimitUnit};

#[test]
fn a_value_at_a_limit_is_taken_and_one_just_beyond_is_refused() {
    for &limit in Limit::ALL {
        let (least, most) = (limit.least(), limit.most());
        assert!(least < most, "{limit:?}");
        for taken in [least, most, least.midpoint(most)] {
            assert_eq!(limit.check(taken), Ok(taken));
        }
        for beyond in [least.next_down(), most.next_up(), f64::INFINITY, f64::NEG_INFINITY] {
            let refused = limit.check(beyond).unwrap_err();
            assert_eq!((refused.limit, refused.given), (limit, beyond));
        }
        let refused = limit.check(f64::NAN).unwrap_err();
        assert!(refused.limit == limit && refused.given.is_nan());
    }
}

#[test]
fn a_refusal_says_what_was_given_and_what_is_taken() {
    let said = |limit: Limit, given| limit.check(given).unwrap_err().to_string();
    assert_eq!(said(Limit::ScaleLength, 5.0), "scale length: 5 mm is outside 100 to 3000 mm");
    assert_eq!(said(Limit::Frets, 99.0), "number of frets: 99 is outside 1 to 36");
    assert_eq!(said(Limit::Relief, f64::NAN), "relief: not a finite number; give -10 to 10 mm");
}

#[test]
fn names_are_unique_and_every_entry_has_a_source() {
    let names: BTreeSet<_> = Limit::ALL.iter().map(|limit| limit.name()).collect();
    assert_eq!(names.len(), Limit::ALL.len());
    assert!(Limit::ALL.iter().all(|limit| !limit.name().is_empty() && !limit.source().is_empty()));
}

/// `docs/limits.md` is the table; `FALLAWAY_RECORD=1` writes it anew.
#[test]
fn the_page_of_limits_is_the_table() {
    let mut page = String::from(
        "# Limits\n\n\
         Within which limits a number is taken, by the record and by the mathematics. They keep slips\n\
         away from the formulas and are nobody's targets. Written from `core/measure/src/limits.rs` by\n\
         `FALLAWAY_RECORD=1 cargo test -p fallaway-measure --test limits`.\n\n\
         | quantity | least | most | unit | where the limits come from |\n|---|---|---|---|---|\n",
    );
    for limit in Limit::ALL {
        let unit = match limit.unit() {
            LimitUnit::One => "1",
            unit => unit.symbol(),
        };
        let (name, least, most) = (limit.name(), limit.least(), limit.most());
        writeln!(page, "| {name} | {least} | {most} | {unit} | {} |", limit.source()).unwrap();
    }
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/limits.md");
    if std::env::var_os("FALLAWAY_RECORD").is_some() {
        std::fs::write(path, &page).unwrap();
    }
    assert_eq!(std::fs::read_to_string(path).unwrap(), page, "write docs/limits.md anew");
}
