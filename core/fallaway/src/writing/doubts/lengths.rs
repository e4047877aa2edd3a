//! Readings and targets: what lies outside the usual range. Near its edge an instrument is asked about
//! once for each quantity: what was read and kept before, or is wanted, widens the range.

use std::cell::OnceCell;
use std::cmp::Ordering;

use fallaway_measure::{
    Amount, AmountFormat, Beyond, Conversion, InstrumentFamily, Location, Plausibility, Quantity,
    Reading, Unit, in_unit, number_in, plausibility,
};
use fallaway_record::spec::HeightBy;
use fallaway_record::{EntryBody, InstrumentSpec, Pass, PassReading, State, Target};
use fallaway_text::messages::errors as say;
use fallaway_text::{errors, names};

use crate::error::{Error, Result};
use crate::writing::write_options::{Doubt, DoubtAbout};

/// So many times as far beyond the edge as what was kept before, nothing is asked.
const SLACK: f64 = 1.5;
/// Highest action, in mm, that is usual where a saddle is cut to height: such instruments are played
/// harder than electric ones.
const FIXED_SADDLE_MM: f64 = 4.0;

/// What an instrument is asked about its lengths with.
pub(crate) struct Lengths<'a> {
    pub spec: &'a InstrumentSpec,
    state: OnceCell<State>,
    read_state: &'a dyn Fn() -> State,
}

impl<'a> Lengths<'a> {
    /// The history is read only where there is something to ask.
    pub(crate) fn new(spec: &'a InstrumentSpec, read_state: &'a dyn Fn() -> State) -> Self {
        Self { spec, state: OnceCell::new(), read_state }
    }

    /// Whether a reading looks like a slip.
    ///
    /// # Errors
    /// [`Error::BadInput`] for what cannot be.
    pub(crate) fn reading(&self, quantity: Quantity, read: &PassReading) -> Result<Option<Doubt>> {
        let PassReading { location, reading } = *read;
        let about = DoubtAbout::Reading { quantity, location, reading };
        self.judge(quantity, location, reading, about)
    }

    /// Whether a target does.
    ///
    /// # Errors
    /// As [`Lengths::reading`].
    pub(crate) fn target(&self, target: &Target) -> Result<Option<Doubt>> {
        let Target { quantity, location, wanted, .. } = *target;
        let about = DoubtAbout::Target { quantity, location, wanted };
        self.judge(quantity, location, Reading::Value(wanted), about)
    }

    fn judge(
        &self,
        quantity: Quantity,
        location: Location,
        reading: Reading,
        about: DoubtAbout,
    ) -> Result<Option<Doubt>> {
        let family = self.spec.family.unwrap_or(InstrumentFamily::Other(0));
        let place = names::location(self.spec, location);
        match plausibility(quantity, family, &reading) {
            Plausibility::Usual => Ok(None),
            Plausibility::Unusual { beyond, low, high } => {
                if self.is_usual_here(quantity, &reading, beyond, low, high) {
                    return Ok(None);
                }
                let why = errors::unusual(reading, beyond, family);
                let from = in_unit_of(reading, low, Ordering::Less);
                let to = in_unit_of(reading, high, Ordering::Greater);
                // Not two marks lie between: as it is kept.
                let none = from.compare(to) != Some(Ordering::Less);
                let (from, to) = if none { (low, high) } else { (from, to) };
                let reason = match place {
                    Some(place) => say::usual(place, why, from, to),
                    None => say::usual_whole(why, from, to),
                };
                Ok(Some(Doubt::unusual(about, names::reading(reading), reason, (low, high))))
            }
            Plausibility::Impossible(why) => {
                let quantity = names::quantity(quantity);
                let field = match place {
                    Some(place) => say::field_at(quantity, place),
                    None => quantity,
                };
                let (reason, accepted) = errors::impossible(reading, why);
                Err(Error::bad_input(field, reason, accepted))
            }
        }
    }

    fn is_usual_here(
        &self,
        quantity: Quantity,
        reading: &Reading,
        beyond: Beyond,
        low: Amount,
        high: Amount,
    ) -> bool {
        let above = beyond == Beyond::Above;
        let edge = if above { high } else { low };
        // Outward, from the edge of what is usual.
        let beyond_edge = |reading: &Reading| {
            let end = if above { reading.low() } else { reading.high() }?;
            let off = number_in(end, edge.unit())? - number_in(edge, edge.unit())?;
            Some(if above { off } else { -off })
        };
        let Some(given) = beyond_edge(reading) else { return false };
        let kept = self.kept(quantity).filter_map(|known| beyond_edge(&known));
        let farthest = kept.fold(self.usual_for_kind(quantity, edge, above), f64::max);
        given <= farthest * SLACK
    }

    /// How far beyond the edge a reading is usual on an instrument of this kind.
    fn usual_for_kind(&self, quantity: Quantity, edge: Amount, above: bool) -> f64 {
        let fixed = self.spec.bridge.as_ref().is_some_and(|one| one.height == HeightBy::Fixed);
        let action = matches!(quantity, Quantity::Gap { stopped, over }
            if over.number() >= 12 && stopped < over);
        match number_in(edge, edge.unit()) {
            Some(edge) if fixed && action && above => (FIXED_SADDLE_MM - edge).max(0.0) / SLACK,
            _ => 0.0,
        }
    }

    /// What was read of it and kept, and what is wanted of it.
    fn kept(&self, quantity: Quantity) -> impl Iterator<Item = Reading> {
        let state = self.state.get_or_init(self.read_state);
        let read = state.entries().filter(|placed| !state.is_retracted(placed.entry.id));
        let read = read.filter_map(move |placed| match &placed.entry.body {
            EntryBody::Pass(pass) if pass.quantity == quantity => Some(pass.readings.as_slice()),
            _ => None,
        });
        let targets = state.registers().setups().values().flat_map(|one| one.targets.values());
        let wanted = targets.filter(move |target| target.quantity == quantity);
        let wanted = wanted.map(|target| Reading::Value(target.wanted));
        read.flatten().map(|read| read.reading).chain(wanted)
    }
}

/// What to ask about a pass.
///
/// # Errors
/// [`Error::BadInput`] for what cannot be, with the reading that it is.
pub(crate) fn of_pass(lengths: &Lengths<'_>, pass: &Pass) -> Result<Vec<Doubt>> {
    let mut doubts = Vec::new();
    for (position, read) in (1..).zip(&pass.readings) {
        match lengths.reading(pass.quantity, read) {
            Ok(doubt) => doubts.extend(doubt),
            Err(error) => return Err(error.in_cell(Some(position), Some(read.location))),
        }
    }
    Ok(doubts)
}

/// An end of what is usual, in the unit in which the reading came off the tool: whoever holds a rule in 64ths
/// compares marks. Rounded inward, so that what is shown as usual is taken without a question: not `outside`,
/// below the low end or above the high one.
fn in_unit_of(reading: Reading, end: Amount, outside: Ordering) -> Amount {
    let (scale, step) = match reading.low().or_else(|| reading.high()) {
        Some(Amount::Fraction(of)) => {
            let denominator = of.denominator();
            (AmountFormat::Divisions { denominator }, Amount::fraction(1, denominator).ok())
        }
        Some(Amount::Decimal { unit: Unit::Thou, .. }) => decimals(Unit::Thou, 0),
        Some(Amount::Decimal { unit: Unit::Inch, .. }) => decimals(Unit::Inch, 3),
        _ => return end,
    };
    let shown = |end| in_unit(end, scale).map(Conversion::amount);
    let Some(nearest) = shown(end) else { return end };
    if nearest.compare(end) != Some(outside) {
        return nearest;
    }
    // One step further in, exactly.
    let toward = if outside == Ordering::Less { 1.0 } else { -1.0 };
    let step = step.and_then(|step| number_in(step, Unit::Millimetre));
    let inward = number_in(nearest, Unit::Millimetre).zip(step).and_then(|(at, step)| {
        let ten_thousandths = ((at + toward * step) * 10_000.0).round() as i64;
        shown(Amount::decimal(ten_thousandths, 4, Unit::Millimetre).ok()?)
    });
    inward.unwrap_or(end)
}

fn decimals(unit: Unit, places: u8) -> (AmountFormat, Option<Amount>) {
    (AmountFormat::Decimal { unit, places }, Amount::decimal(1, places, unit).ok())
}
