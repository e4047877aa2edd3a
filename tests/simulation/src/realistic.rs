//! A record as years of work would fill it: visits of eight passes over five strings with random
//! readings, sealed one visit a change. The readings are invented; they are there to be stored.

use fallaway_changes::{Change, ChangeId, Container, Put, RecordId, VerifiedChange, Writer};
use fallaway_measure::{Amount, Fret, Quantity, Reading, Tool};
use fallaway_record::{
    Draft, Entry, EntryBody, EntryId, Moment, Pass, Phase, Posture, Record, VisitOpened, templates,
};

/// Random numbers that are the same for the same seed on every machine (SplitMix64: Steele, Lea,
/// Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014, figure 17).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall the same way for the same seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from `low` to `high`, both included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let width = high.abs_diff(low) + 1;
        low + (self.roll() % width) as i64
    }
}

/// Courses of the instrument.
const COURSES: usize = 5;
/// The start of the first visit: 2018-01-08T09:00:00Z.
const FIRST_VISIT: i64 = 1_515_402_000;

/// What is read in each pass: quantity, tool, phase, range in the tool's own steps.
fn passes() -> Vec<(Quantity, Tool, Phase, i64, i64)> {
    let fret = |number| Fret::new(number).unwrap_or(Fret::OPEN);
    let gap = |stopped, over| Quantity::Gap { stopped: fret(stopped), over: fret(over) };
    let pickup = Quantity::PickupGap { pickup: 1, stopped: fret(24) };
    vec![
        (gap(1, 24), Tool::RULE_64, Phase::AsFound, 4, 9),
        (gap(0, 12), Tool::RULE_64, Phase::AsFound, 4, 8),
        (gap(3, 1), Tool::FEELER_MM, Phase::AsFound, 2, 30),
        (Quantity::Pitch, Tool::TUNER_CENT, Phase::Working, -20, 20),
        (gap(1, 24), Tool::RULE_64, Phase::AsLeft, 4, 7),
        (gap(0, 1), Tool::FEELER_MM, Phase::AsLeft, 20, 60),
        (pickup, Tool::RULE_HALF_MM, Phase::AsLeft, 20, 50),
        (Quantity::Intonation { fret: fret(12) }, Tool::TUNER_CENT, Phase::AsLeft, -9, 9),
    ]
}

/// One reading of a tool, so many of its steps.
fn reading(tool: Tool, steps: i64) -> Option<Reading> {
    let amount = match tool.graduation() {
        Amount::Fraction(step) => {
            Amount::fraction(i32::try_from(steps).ok()?, step.denominator()).ok()?
        }
        Amount::Decimal { value, unit } => Amount::decimal(steps, value.places(), unit).ok()?,
    };
    Some(Reading::Value(amount))
}

/// The entries of one visit, numbered from `first`.
pub fn visit(writer: Writer, first: u64, start: i64, dice: &mut Dice) -> Vec<Entry> {
    let mut number = first;
    let mut at = start;
    let mut entries = Vec::new();
    let mut add = |body, at: i64| {
        let moment = Moment { unix_s: at, offset_min: 60 };
        let mut entry = Entry::new(EntryId::new(writer, number), moment, body).by("tech");
        if number > first {
            entry = entry.within(EntryId::new(writer, first));
        }
        number += 1;
        entries.push(entry);
    };
    add(EntryBody::Visit(VisitOpened::default()), at);
    for (quantity, tool, phase, low, high) in passes() {
        at += dice.between(40, 240);
        let readings: Vec<_> =
            (0..COURSES).map(|_| reading(tool, dice.between(low, high))).collect();
        let Ok(mut pass) = Pass::new(quantity, Some(tool)).across(1, &readings) else { continue };
        pass.phase = Some(phase);
        pass.posture = Some(Posture::Playing);
        add(EntryBody::Pass(pass), at);
    }
    entries
}

/// A chain of changes: one visit each, continuing after `previous` (number, id).
#[derive(Debug, Clone)]
pub struct Chain {
    record: RecordId,
    writer: Writer,
    dice: Dice,
    seq: u64,
    previous: ChangeId,
    next_entry: u64,
    time: i64,
}

impl Chain {
    /// A chain that begins right after the changes of a record, or goes on where the writer left.
    pub fn after(record: &Record, writer: Writer, seed: u64) -> Self {
        let (seq, own) = record.last_of(&writer).unzip();
        let previous = own.or_else(|| record.heads().first().copied());
        Self {
            record: record.id(),
            writer,
            dice: Dice::new(seed),
            seq: seq.unwrap_or(0),
            previous: previous.unwrap_or_else(|| ChangeId::founding(&record.id())),
            next_entry: record.highest_number(&writer) + 1,
            time: FIRST_VISIT,
        }
    }

    /// The next change with these operations. `None` if they break a rule.
    pub fn seal(&mut self, ops: Vec<Put>) -> Option<VerifiedChange> {
        self.seq += 1;
        let change = Change {
            writer: self.writer,
            seq: self.seq,
            time: self.time,
            deps: vec![self.previous],
            ops,
        };
        let change = VerifiedChange::own(&self.record, change).ok()?;
        self.previous = change.id();
        Some(change)
    }
}

/// A visit as one change, for ever.
impl Iterator for Chain {
    type Item = VerifiedChange;

    fn next(&mut self) -> Option<VerifiedChange> {
        // A few visits a week.
        self.time += self.dice.between(86_400, 4 * 86_400);
        let entries = visit(self.writer, self.next_entry, self.time, &mut self.dice);
        self.next_entry += entries.len() as u64;
        let ops = entries.iter().map(|entry| {
            let value = entry.encode().ok()?;
            let key = entry.id.to_string();
            Some(Put { container: Container::LOG, key, value })
        });
        let ops = ops.collect::<Option<Vec<_>>>()?;
        self.seal(ops)
    }
}

/// The changes of a five-string bass with so many visits; the first one is its template.
pub fn changes(id: RecordId, writer: Writer, visits: usize, seed: u64) -> Vec<VerifiedChange> {
    let record = Record::create(id);
    let mut chain = Chain::after(&record, writer, seed);
    let draft = Draft::new();
    let editor = record.editor(writer, &draft);
    let bass = templates().into_iter().find(|template| template.id == "bass-5");
    let fields = bass.map(|template| template.spec.fields()).unwrap_or_default();
    let puts = fields.iter().filter_map(|field| editor.set_spec(field).ok()).collect();
    let template = chain.seal(puts);
    template.into_iter().chain(chain.take(visits)).collect()
}
