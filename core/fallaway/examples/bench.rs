//! A visit at the bench, as an app would write it down, and the plan that comes of it.
//!
//! `cargo run -p fallaway --example bench`

use fallaway::environment::{Clock, SystemClock, SystemRandom};
use fallaway::measure::{Amount, Fret, Location, Quantity, Tool, Unit, parse_pass};
use fallaway::record::{Pass, PassReading, Target};
use fallaway::{Error, Workshop};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let workshop = Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom))?;
    let bass = workshop.add_instrument("bass-5", "loan bass")?;

    // What is wanted: relief of 0.30 mm, action of 2 mm.
    let relief = Quantity::Relief { from: Fret::new(1)?, to: Fret::new(24)?, at: None };
    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre);
    let now = SystemClock.now();
    let target = |quantity, location, wanted, tolerance| Target {
        quantity,
        location,
        wanted,
        tolerance,
        by: None,
        at: now,
        taken_from: None,
    };
    bass.set_target("stage", &target(relief, Location::Whole, mm(30)?, mm(5)?))?;
    let action = Quantity::Gap { stopped: Fret::new(1)?, over: Fret::new(24)? };
    for place in bass.view()?.spec.places() {
        bass.set_target("stage", &target(action, Location::Course(place), mm(200)?, mm(20)?))?;
    }

    // What is read.
    let feeler = Tool::FEELER_THOU;
    let mut pass = Pass::new(relief, Some(feeler));
    for reading in parse_pass("20", Some(&feeler), relief.dimension(), 1, None)? {
        let location = Location::Whole;
        pass.readings.extend(reading.map(|reading| PassReading { location, reading }));
    }
    match bass.add_pass(pass.clone(), Some("tech"), false) {
        // Ask the person, and enter it all the same if they are sure.
        Err(Error::Unsure { reason, .. }) => {
            println!("Sure? {reason}");
            bass.add_pass(pass, Some("tech"), true)?;
        }
        other => drop(other?),
    }
    let rule = Tool::RULE_64;
    let read = parse_pass("6 6 6 6 7", Some(&rule), action.dimension(), 5, None)?;
    bass.add_pass(Pass::new(action, Some(rule)).across(1, &read)?, Some("tech"), false)?;

    print!("{}", bass.plan(Some("stage"))?.text());
    Ok(())
}
