//! What stands when the work is done, marked as left in one go.

use fallaway_advice::observe::{LastRead, Measurand, last_readings, with_input};
use fallaway_order::PutInOrder as _;
use fallaway_record::{EntryBody, EntryId, Pass, PassReading, Phase, SetupId, State};

use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::writing::steps::StepWritten;
use crate::writing::write_options::WriteOptions;

impl Instrument {
    /// Marks the last readings of the open visit as left: all that still stand, nothing having been done
    /// since that disturbs them. They are not read anew, and count as no further readings. What has to
    /// be measured again before it can be left so is in [`StepWritten::then_measure`].
    ///
    /// # Errors
    /// [`Error::NotFound`] if no visit is open, or none of its readings stands; whatever an edit
    /// answers.
    pub fn as_left(&self, options: impl Into<WriteOptions>) -> Result<StepWritten> {
        let options = WriteOptions { accept: crate::Accept::All, ..options.into() };
        self.inner.edit(self.id, |edit| {
            let visit = edit.known_visit(options.at);
            let visit = visit.ok_or_else(|| Error::not_found(NotFoundKind::OpenVisit, ""))?;
            let state = edit.loaded.state(edit.at.unix_s);
            let setup = SetupId::main();
            let (last, _) = with_input(&state, &setup, edit.at.unix_s, last_readings);
            let (passes, then_measure) = standing(&state, visit, last);
            if passes.is_empty() && then_measure.is_empty() {
                return Err(Error::not_found(NotFoundKind::Readings, ""));
            }
            let written =
                passes.into_iter().map(|pass| edit.write(&EntryBody::Pass(pass), &options));
            Ok(StepWritten { entries: written.collect::<Result<_>>()?, then_measure })
        })
    }
}

/// The passes of a visit as they stand, and what was disturbed since it was read.
fn standing(state: &State, visit: EntryId, last: Vec<LastRead>) -> (Vec<Pass>, Vec<Measurand>) {
    let (mut passes, mut disturbed) = (Vec::<(EntryId, Pass)>::new(), Vec::new());
    let mut last: Vec<_> = last
        .into_iter()
        .filter_map(|read| {
            let placed = state.get(read.entry)?;
            let EntryBody::Pass(pass) = &placed.entry.body else { return None };
            let here = placed.entry.visit == Some(visit) && pass.phase != Some(Phase::AsLeft);
            let place =
                pass.readings.iter().position(|one| one.location == read.measurand.location)?;
            here.then_some((read, pass, place))
        })
        .collect();
    last.put_in_order_by_key(|(read, _, place)| (read.entry, *place));
    for (read, pass, _) in last {
        let Some(reading) =
            pass.at(read.measurand.location).filter(|_| read.overtaken_by.is_none())
        else {
            disturbed.push(read.measurand);
            continue;
        };
        let seen = PassReading { location: read.measurand.location, reading };
        if let Some((_, left)) = passes.iter_mut().find(|(entry, _)| *entry == read.entry) {
            left.readings.push(seen);
        } else {
            let left = Pass { phase: Some(Phase::AsLeft), readings: vec![seen], ..pass.clone() };
            passes.push((read.entry, left));
        }
    }
    (passes.into_iter().map(|(_, pass)| pass).collect(), disturbed)
}
