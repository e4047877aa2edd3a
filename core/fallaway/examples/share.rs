//! Two devices share an instrument: an invitation, and bundles that any carrier may bring.
//!
//! `cargo run -p fallaway --example share`

use fallaway::environment::{SystemClock, SystemRandom};
use fallaway::measure::{Quantity, Tool};
use fallaway::{HistoryFilter, Result, Role, Workshop};

fn workshop(label: &str) -> Result<Workshop> {
    Workshop::in_memory(label, Box::new(SystemClock), Box::new(SystemRandom))
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (tech, player) = (workshop("tech")?, workshop("player")?);
    let bass = tech.add_instrument("bass-4", "walnut bass")?;
    bass.add_pass_text(Quantity::gap(1, 24)?, "5 5 5 6", Tool::RULE_64)?;

    // The invitation is twelve words, or a code. The bundle is sealed: any other carrier will do.
    let invitation = bass.invite(Role::Contributor, 7)?;
    let bundle = bass.bundle_out()?.file;

    let shared = player.accept(&invitation.words, &bundle)?;
    shared.add_pass_text(Quantity::relief(1, 24)?, "12", Tool::FEELER_THOU)?;

    // What is new goes back, and with it who the player is.
    let Some(unsent) = shared.bundle_unsent()? else { return Ok(()) };
    let report = tech.bundle_in(&unsent.file)?;
    shared.delivered(&unsent.token)?;
    println!("new people: {}", report.people_added.join(", "));
    for view in bass.history(&HistoryFilter::default())? {
        println!("{:10} {:8} {}", view.short, view.device, view.entry.body.kind());
    }
    Ok(())
}
