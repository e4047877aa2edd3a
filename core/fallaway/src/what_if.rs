//! Questions about a set-up before anything is turned: clearance.

use fallaway_advice::clearance::Desk;
use fallaway_advice::from_record::with_input;
use fallaway_record::SetupId;

use crate::error::{Error, Result};
use crate::instrument::Instrument;

impl Instrument {
    /// The instrument's facts and latest readings of relief, action and nut, laid out for questions
    /// about clearance: [`Desk::ask`] answers them, fast enough for a slider after the first.
    ///
    /// # Errors
    /// [`Error::BadInput`] naming what is not known (relief, action, gauges, frets), and for a
    /// fretless board; when the record cannot be read.
    pub fn clearance(&self) -> Result<Desk> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_book(self.id, |_, book| {
            let state = book.state(now);
            with_input(&state, &SetupId::main(), now, |input| Desk::of_record(input, state.spec()))
                .map_err(|error| {
                    Error::bad_input("clearance", error.to_string(), "read or set it first")
                })
        })
    }
}
