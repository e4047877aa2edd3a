//! A visit at the bench, as an app would write it down, and the plan that comes of it.
//!
//! `cargo run -p fallaway --example read_and_plan`

use fallaway::environment::{SystemClock, SystemRandom};
use fallaway::measure::{Amount, Location, Quantity, Tool, Unit};
use fallaway::record::Target;
use fallaway::{Error, PassOptions, Workshop, WriteOptions};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let workshop = Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom))?;
    let bass = workshop.add_instrument("bass-5", "loan bass")?;
    let (relief, action) = (Quantity::relief(1, 24)?, Quantity::gap(1, 24)?);

    // What is wanted: relief of 0.30 mm, action of 2 mm.
    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre);
    let at = bass.now();
    let target = |quantity, location, wanted, tolerance| {
        let (by, taken_from) = (None, None);
        Target { quantity, location, wanted, tolerance, by, at, taken_from }
    };
    let stage = bass.add_setup("stage", None)?.id;
    bass.set_target(&stage, &target(relief, Location::Whole, mm(30)?, mm(5)?), None)?;
    for place in bass.details()?.spec.places() {
        bass.set_target(&stage, &target(action, Location::Course(place), mm(200)?, mm(20)?), None)?;
    }

    // What is read, as it comes off the tool.
    match bass.add_pass_text(relief, "60", Tool::FEELER_THOU) {
        // Ask the person, and enter it all the same if they are sure.
        Err(Error::Unsure { doubts, .. }) => {
            println!("Sure? {}", Error::reasons(&doubts));
            let sure = WriteOptions::default().accepting(&doubts);
            bass.add_pass_text_with(
                relief,
                "60",
                Tool::FEELER_THOU,
                &PassOptions::default(),
                sure,
            )?;
        }
        other => drop(other?),
    }
    bass.add_pass_text(action, "6 6 6 6 7", Tool::RULE_64)?;

    print!("{}", bass.plan(Some(&stage))?.text(&fallaway::text::Voice::default()));
    Ok(())
}
