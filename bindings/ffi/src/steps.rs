//! Steps of the plan that answer: done as proposed, done otherwise, could not be done.

use fallaway::record;

use crate::observe::{Context, Measurand};
use crate::write_options::typed;
use crate::{
    EntryId, Instrument, NewBody, NewEntry, NewPass, Result, StepId, TurnDirection, WriteOptions,
};

/// What settling a step wrote.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StepWritten {
    /// The entries, in the order in which they were written.
    pub entries: Vec<EntryId>,
    /// What is to be measured next, in the order of the work.
    pub then_measure: Vec<Measurand>,
}

#[uniffi::export]
impl Instrument {
    /// A step was done as it was proposed: writes exactly that (a turn with its screw, direction and
    /// amount; that strings were tuned; `readings` where it asks for some), in one durable commit. Of a
    /// test that may go either way `turned` says which way it went.
    ///
    /// # Errors
    /// `PlanMoved` if the step is not in the plan any more: what it rests on has changed since it was
    /// shown. `BadInput` for a test without the way in which it was turned, for a step that asks for
    /// readings without one of them, and for one that nothing can be written for. `Unsure` as
    /// `add_pass`; whatever an edit answers.
    #[uniffi::method(default(turned = None, readings = [], options = None))]
    pub fn done(
        &self,
        step: StepId,
        turned: Option<TurnDirection>,
        readings: Vec<NewPass>,
        options: Option<WriteOptions>,
    ) -> Result<StepWritten> {
        self.voice.is_asked();
        self.done_together(vec![step], turned, readings, options)
    }

    /// The same of several steps that are done in one go, such as `Plan.now`. What they share (one
    /// saddle under two strings, one post under all) is written once.
    ///
    /// # Errors
    /// As `done`.
    #[uniffi::method(default(turned = None, readings = [], options = None))]
    pub fn done_together(
        &self,
        steps: Vec<StepId>,
        turned: Option<TurnDirection>,
        readings: Vec<NewPass>,
        options: Option<WriteOptions>,
    ) -> Result<StepWritten> {
        self.voice.is_asked();
        let steps: Vec<_> = steps.into_iter().map(|step| step.0).collect();
        let readings = readings.iter().map(NewPass::typed).collect::<Result<_>>()?;
        let how = fallaway::StepDone { turned, readings };
        let written = self.inner().done_together(&steps, &how, typed(options)?)?;
        self.written(written)
    }

    /// Marks the last readings of the open visit as left: all that still stand. They count as no further
    /// readings. `StepWritten.then_measure` has what must be measured again before it can be left so.
    ///
    /// # Errors
    /// `NotFound` if no visit is open, or none of its readings stands; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn as_left(&self, options: Option<WriteOptions>) -> Result<StepWritten> {
        let written = self.inner().as_left(typed(options)?)?;
        self.written(written)
    }

    /// Something else was done instead of what a step proposed: writes that down.
    ///
    /// # Errors
    /// `PlanMoved` as `done`; `BadInput` for an empty list; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn did_otherwise(
        &self,
        step: StepId,
        what: Vec<NewBody>,
        options: Option<WriteOptions>,
    ) -> Result<StepWritten> {
        self.voice.is_asked();
        let what: Vec<record::EntryBody> =
            what.into_iter().map(|entry| entry.typed(self.inner())).collect::<Result<_>>()?;
        let written = self.inner().did_otherwise(step.0, &what, typed(options)?)?;
        self.written(written)
    }

    /// A step could not be done: a screw does not turn, there is no room for the tool. The reason (1 to
    /// 4000 characters) goes into the history, and the plan of today goes on without the step; the next
    /// visit is told of it. Crossed out, or done after all, it no longer counts.
    ///
    /// # Errors
    /// `PlanMoved` as `done`; `BadInput` for an empty reason, and for a step at which there is nothing
    /// to try; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn could_not(
        &self,
        step: StepId,
        reason: &str,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        Ok(self.inner().could_not(step.0, reason, typed(options)?)?.into())
    }

    /// Writes many entries down in one durable commit: all of them, or none. Each belongs to the visit
    /// of its time, as if they were written one by one; `undo` takes all of them back. About two thousand
    /// fit into one call.
    ///
    /// # Errors
    /// `Unsure` with the doubts of all of them, and `BadInput`: `Doubt.entry` and `Cell.entry` name the
    /// entry, counted from 1; whatever an edit answers.
    pub fn write_all(&self, entries: Vec<NewEntry>) -> Result<Vec<EntryId>> {
        self.voice.is_asked();
        let typed = |(number, batch): (u32, NewEntry)| -> Result<fallaway::NewEntry> {
            let body = batch.body.typed(self.inner()).map_err(|error| error.in_entry(number))?;
            let options = batch.options.map(WriteOptions::typed).transpose();
            let options = options.map_err(|error| error.in_entry(number))?;
            Ok(fallaway::NewEntry { body, options: options.unwrap_or_default() })
        };
        let entries: Vec<_> = (1..).zip(entries).map(typed).collect::<Result<_>>()?;
        Ok(self.inner().write_all(&entries)?.into_iter().map(EntryId).collect())
    }
}

impl Instrument {
    fn written(&self, written: fallaway::StepWritten) -> Result<StepWritten> {
        let spec = self.inner().details()?.spec;
        let context = Context::of(&spec);
        Ok(StepWritten {
            entries: written.entries.into_iter().map(EntryId).collect(),
            then_measure: context.all_to_read(&written.then_measure),
        })
    }
}
