//! What this device wrote, call by call, so that it can be taken back. A projection beside the record:
//! where it is lost, only the list of what can be taken back is.

use fallaway_changes::{Container, Put};
use fallaway_record::{Moment, Registers};
use minicbor::{Decode, Encode};

/// So many calls can be taken back.
const KEPT: usize = 64;
/// So many bytes of values are kept for it, as every write writes them again.
const KEPT_BYTES: usize = 32 * 1024;

/// The calls that can be taken back, and those that were and can be made again.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub(crate) struct Journal {
    #[n(0)]
    pub done: Vec<Write>,
    #[n(1)]
    pub undone: Vec<Write>,
}

/// What one call wrote.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct Write {
    #[n(0)]
    pub at: Moment,
    #[n(1)]
    pub steps: Vec<Step>,
}

/// One line of it.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct Step {
    #[n(0)]
    container: u8,
    #[n(1)]
    pub key: String,
    /// What stood there before; of an entry or a crossing out the line that the call erased.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub before: Option<Vec<u8>>,
    /// What was written; of an entry it is kept once the entry was taken back.
    #[n(3)]
    #[cbor(with = "minicbor::bytes")]
    pub after: Option<Vec<u8>>,
}

impl Step {
    pub(crate) const fn new(container: Container, key: String) -> Self {
        Self { container: container.0, key, before: None, after: None }
    }

    pub(crate) const fn container(&self) -> Container {
        Container(self.container)
    }

    fn bytes(&self) -> usize {
        let of = |value: &Option<Vec<u8>>| value.as_ref().map_or(0, Vec::len);
        self.key.len() + of(&self.before) + of(&self.after)
    }
}

impl Journal {
    /// Takes in what was written; nothing that was taken back before can be made again after it.
    pub(crate) fn wrote(&mut self, write: Write) {
        self.undone.clear();
        self.done.push(write);
        self.trim();
    }

    /// Forgets the oldest calls where there are too many.
    pub(crate) fn trim(&mut self) {
        let mut bytes = 0;
        let fits = |write: &&Write| {
            bytes += write.steps.iter().map(Step::bytes).sum::<usize>();
            bytes <= KEPT_BYTES
        };
        let kept = self.done.iter().rev().take(KEPT).take_while(fits).count();
        // The last one stays, however large: a whole notebook.
        let kept = kept.max(usize::from(!self.done.is_empty()));
        self.done.drain(..self.done.len() - kept);
        self.undone.drain(..self.undone.len().saturating_sub(KEPT));
    }
}

/// A line that a call erased, for the journal.
pub(crate) fn erased(container: Container, key: &str, value: &[u8]) -> Step {
    let mut step = Step::new(container, key.to_owned());
    step.before = Some(value.to_vec());
    step
}

/// What a call wrote, for the journal.
pub(crate) fn written(registers: &Registers, put: &Put) -> Step {
    let mut step = Step::new(put.container, put.key.clone());
    if !put.container.is_append_only() {
        let shown = registers.get(put.container, &put.key).and_then(|register| register.shown());
        step.before = shown.map(|shown| shown.value.clone());
        step.after = Some(put.value.clone());
    }
    step
}

#[cfg(test)]
mod tests {
    use super::*;

    fn write(number: usize, bytes: usize) -> Write {
        let at = Moment { unix_s: number as i64, offset_min: 0 };
        let step =
            Step { after: Some(vec![0; bytes]), ..Step::new(Container::SPEC, String::new()) };
        Write { at, steps: vec![step] }
    }

    #[test]
    fn the_oldest_calls_are_forgotten_first() {
        let mut journal = Journal::default();
        for number in 0..KEPT + 5 {
            journal.wrote(write(number, 10));
        }
        assert_eq!(journal.done.len(), KEPT);
        assert_eq!(journal.done.first().map(|write| write.at.unix_s), Some(5));
        journal.wrote(write(100, 2 * KEPT_BYTES));
        assert_eq!(journal.done.len(), 1);
        let bytes = minicbor::to_vec(&journal).unwrap();
        assert_eq!(minicbor::decode::<Journal>(&bytes).unwrap(), journal);
    }
}
