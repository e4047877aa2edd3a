//! Who writes: two devices of one record, with the numbers that real ones would draw at random.

use fallaway_changes::{Incarnation, RecordId, Writer, writer};
use fallaway_sharing::DeviceKeys;
use fallaway_record::SpecField;

/// The record.
pub const RECORD: RecordId = RecordId::from_bytes([7; 16]);
/// The fact that is set to see that a document is ready.
pub const FIELD: SpecField = SpecField::Pickups(1);
/// Seed of the bench's keys, and of the phone's.
const SEEDS: [[u8; 32]; 2] = [[1; 32], [2; 32]];
const INCARNATION: Incarnation = Incarnation::from_bytes([9; 16]);

fn writer_of(seed: &[u8; 32]) -> Writer {
    writer(&DeviceKeys::from_seed(seed).device(), &RECORD, &INCARNATION)
}

/// The writer who kept the record for years.
pub fn bench() -> Writer {
    writer_of(&SEEDS[0])
}

/// The writer whose visits come in.
pub fn phone() -> Writer {
    writer_of(&SEEDS[1])
}

/// The keys behind a writer.
pub fn identity(of: &Writer) -> (DeviceKeys, Incarnation) {
    let seed = if *of == bench() { &SEEDS[0] } else { &SEEDS[1] };
    (DeviceKeys::from_seed(seed), INCARNATION)
}
