//! What people write into a record, in short: passes, targets, remarks.

use fallaway::Instrument;
use fallaway::measure::{
    Amount, Decimal, Fret, Location, Quantity, Reading, StringPlace, Tool, Unit, parse_pass,
};
use fallaway::record::{
    AdjustedPart, Adjustment, Moment, Pass, PassReading, Remark, Target, Turns, spec::StringSpec,
};

/// A string by its place.
pub fn course(number: u8) -> StringPlace {
    StringPlace::course(number).unwrap()
}

/// Action, stopped at the first fret, over the twentieth.
pub fn action() -> Quantity {
    Quantity::Gap { stopped: Fret::new(1).unwrap(), over: Fret::new(20).unwrap() }
}

/// Relief between the first fret and the twentieth.
pub fn relief() -> Quantity {
    Quantity::Relief { from: Fret::new(1).unwrap(), to: Fret::new(20).unwrap(), at: None }
}

/// A relief of so many thousandths of an inch, read with leaves.
pub fn relief_pass(thou: i64) -> Pass {
    let tool = Tool::FEELER_THOU;
    let amount = Amount::decimal(thou, 0, Unit::Thou).unwrap();
    let mut pass = Pass::new(relief(), Some(tool));
    let reading = Reading::Value(amount);
    pass.readings.push(PassReading { location: Location::Whole, reading });
    pass
}

/// Action across the strings, in sixty-fourths as the rule shows them.
pub fn action_pass(text: &str) -> Pass {
    let tool = Tool::RULE_64;
    let strings = text.split_whitespace().count();
    let read = parse_pass(text, Some(&tool), action().dimension(), strings, None).unwrap();
    Pass::new(action(), Some(tool)).across(1, &read).unwrap()
}

/// A wanted relief, or a wanted action of a string.
pub fn target(string: Option<u8>, hundredths_mm: i64, at: i64) -> Target {
    let (quantity, location) = match string {
        Some(number) => (action(), Location::Course(course(number))),
        None => (relief(), Location::Whole),
    };
    Target {
        quantity,
        location,
        wanted: Amount::decimal(hundredths_mm, 2, Unit::Millimetre).unwrap(),
        tolerance: Amount::decimal(5, 2, Unit::Millimetre).unwrap(),
        by: None,
        at: Moment { unix_s: at, offset_min: 0 },
        taken_from: None,
    }
}

/// The truss rod, turned so many eighths of a turn.
pub fn rod(eighths: i16) -> Adjustment {
    let turns = Some(Turns::eighths(eighths));
    Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None }
}

/// A remark.
pub fn remark(text: &str) -> Remark {
    Remark { text: text.to_owned(), ..Remark::default() }
}

/// A string of so many thousandths of an inch.
pub fn string(thou: i64) -> StringSpec {
    let gauge = Amount::decimal(thou, 0, Unit::Thou).unwrap();
    StringSpec { gauge: Some(gauge), ..StringSpec::default() }
}

/// A frequency in whole hertz.
pub fn hertz(number: i64) -> Amount {
    Amount::Decimal { value: Decimal::new(number, 0).unwrap(), unit: Unit::Hertz }
}

/// Everything that devices have to agree on, as one text.
pub fn told(instrument: &Instrument) -> String {
    use std::fmt::Write as _;
    let view = instrument.details().unwrap();
    let mut text = format!("{}\n{:?}\n", view.history_digest, view.spec);
    for person in &view.people {
        writeln!(text, "{} {} {}", person.label, person.role, person.fingerprint).unwrap();
    }
    writeln!(text, "{:?}", instrument.contested().unwrap()).unwrap();
    writeln!(text, "{:?}", instrument.setups().unwrap()).unwrap();
    for one in instrument.history(&fallaway::HistoryFilter::default()).unwrap() {
        let (entry, device) = (one.entry, one.device);
        let rest = (one.draft, one.retracted, one.replaced_by);
        writeln!(text, "{} {entry:?} {device} {rest:?}", one.short).unwrap();
    }
    text
}

/// What has not been delivered yet, and it is from now on.
pub fn news(instrument: &Instrument) -> Vec<u8> {
    let unsent = instrument.bundle_unsent().unwrap().unwrap();
    instrument.delivered(&unsent.token).unwrap();
    unsent.file
}
