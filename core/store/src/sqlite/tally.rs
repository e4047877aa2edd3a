//! What should be there. A damaged page can hide rows without becoming unreadable (one wrong bit in
//! the cell count of an index's page hides a part of a table), and the checksums of the rows that
//! are still found say nothing about that.

use super::fault::BadRow;

/// Bytes of a checksum.
pub(super) const SUM: usize = 16;

/// How many rows there are, and the exclusive or of their checksums: the same in whatever order
/// rows come and go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Tally {
    pub rows: i64,
    pub sums: [u8; SUM],
}

impl Tally {
    /// A row with this checksum is there now.
    pub(super) fn add(&mut self, sum: &[u8]) {
        self.rows = self.rows.saturating_add(1);
        self.fold(sum);
    }

    /// A row with this checksum is not there any more.
    pub(super) fn remove(&mut self, sum: &[u8]) {
        self.rows = self.rows.saturating_sub(1);
        self.fold(sum);
    }

    /// Takes over what another tally counted.
    pub(super) fn merge(&mut self, other: Self) {
        self.rows = self.rows.saturating_add(other.rows);
        self.fold(&other.sums);
    }

    /// How many rows fewer there are than in another tally.
    pub(super) fn fewer_than(self, other: Self) -> i64 {
        other.rows.saturating_sub(self.rows)
    }

    fn fold(&mut self, sum: &[u8]) {
        for (all, one) in self.sums.iter_mut().zip(sum) {
            *all ^= one;
        }
    }

    /// Eight bytes for the rows, most significant first, and the checksums.
    pub(super) fn encode(self) -> Vec<u8> {
        [self.rows.to_be_bytes().as_slice(), &self.sums].concat()
    }

    /// Reads it back.
    pub(super) fn decode(bytes: &[u8]) -> Option<Self> {
        let (rows, sums) = bytes.split_first_chunk()?;
        Some(Self { rows: i64::from_be_bytes(*rows), sums: sums.try_into().ok()? })
    }
}

/// What reading came upon.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Rows whose checksum is wrong.
    pub bad: Vec<BadRow>,
    /// The rows whose checksum is right.
    pub tally: Tally,
    /// Why something must be missing.
    pub missing: Option<&'static str>,
}

impl Found {
    /// Compares what was read of a record with what should be there.
    pub(super) fn compare(&mut self, wanted: Tally) {
        let bad = i64::try_from(self.bad.len()).unwrap_or(i64::MAX);
        let all_there = if bad == 0 {
            self.tally == wanted
        } else {
            // What is wrong with a row does not tell what its checksum was.
            self.tally.rows.saturating_add(bad) == wanted.rows
        };
        if !all_there {
            self.missing = Some("rows of a record cannot be found");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tally_does_not_mind_the_order() {
        let mut tally = Tally::default();
        tally.add(&[1; SUM]);
        tally.add(&[2; SUM]);
        tally.remove(&[1; SUM]);
        assert_eq!(tally, Tally { rows: 1, sums: [2; SUM] });
        assert_eq!(Tally::decode(&tally.encode()), Some(tally));
        assert_eq!(Tally::decode(&[0; 23]), None);
        tally.remove(&[2; SUM]);
        assert_eq!(tally, Tally::default());
    }
}
