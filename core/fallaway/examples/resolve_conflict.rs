//! Two people set one target apart from each other; a person decides.
//!
//! `cargo run -p fallaway --example resolve_conflict`

use fallaway::environment::{SystemClock, SystemRandom};
use fallaway::measure::{Amount, Location, Quantity, Unit};
use fallaway::record::{SetupId, Target};
use fallaway::{Instrument, Result, Role, Workshop};

fn workshop(label: &str) -> Result<Workshop> {
    Workshop::in_memory(label, Box::new(SystemClock), Box::new(SystemRandom))
}

fn want_relief(instrument: &Instrument, hundredths: i64) -> Result<(), Box<dyn std::error::Error>> {
    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre);
    let target = Target {
        quantity: Quantity::relief(1, 24)?,
        location: Location::Whole,
        wanted: mm(hundredths)?,
        tolerance: mm(5)?,
        by: None,
        at: instrument.now(),
        taken_from: None,
    };
    Ok(instrument.set_target(&SetupId::main(), &target, None)?)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (tech, player) = (workshop("tech")?, workshop("player")?);
    let bass = tech.add_instrument("bass-4", "walnut bass")?;
    let invitation = bass.invite(Role::Contributor, 7)?;
    let shared = player.accept(&invitation.words, &invitation.welcome)?;
    player.bundle_in(&bass.bundle_out()?.file)?;

    // Neither has seen what the other wants.
    want_relief(&bass, 25)?;
    want_relief(&shared, 35)?;
    let report = tech.bundle_in(&shared.bundle_out()?.file)?;

    // Both values are kept, with author and time, until somebody decides.
    for contested in &report.newly_contested {
        println!("{}", contested.label);
        for version in &contested.versions {
            println!("  {}  {}", version.shown, version.device);
        }
        // This fails if yet another value has arrived since these were shown.
        bass.settle(contested, 0, None)?;
    }
    assert_eq!(bass.contested()?.len(), 0);
    Ok(())
}
