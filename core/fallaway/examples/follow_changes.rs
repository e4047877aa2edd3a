//! A screen follows what changes, whoever changes it.
//!
//! `cargo run -p fallaway --example follow_changes`

use std::sync::Arc;

use fallaway::environment::{SystemClock, SystemRandom};
use fallaway::measure::{Quantity, Tool};
use fallaway::{ChangeListener, InstrumentId, Workshop};

/// Shows anew what it shows of the instruments that changed.
struct Screen {
    workshop: Workshop,
}

impl ChangeListener for Screen {
    fn changed(&self, instruments: &[InstrumentId]) {
        for id in instruments {
            let card = self.workshop.instrument(*id).and_then(|instrument| instrument.card(None));
            match card {
                Ok(card) => println!("{}: {} numbers", card.name, card.lines.len()),
                Err(error) => println!("{error}"),
            }
        }
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let workshop = Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom))?;
    let subscription = workshop.listen(Arc::new(Screen { workshop: workshop.clone() }))?;

    let bass = workshop.add_instrument("bass-4", "walnut bass")?;
    bass.add_pass_text(Quantity::gap(1, 24)?, "5 5 5 6", Tool::RULE_64)?;

    // It listens until it is cancelled; nothing is told after that.
    subscription.cancel();
    bass.add_pass_text(Quantity::relief(1, 24)?, "12", Tool::FEELER_THOU)?;
    Ok(())
}
