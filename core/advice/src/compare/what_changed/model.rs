//! The instrument as `fallaway_mechanics::state` sees it, and back.

use fallaway_measure::{Fret, Location, Quantity, Side, StringPlace, ToolKind};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::conversions::StringGeometry;
use fallaway_mechanics::neck::{Joint, ReliefWay};
use fallaway_mechanics::state::{
    FurtherReading, Model, OffsetsApart, SharedOffset, StatePart, StateReading, StateString, Value,
    What, usual_candidates,
};
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units::mm;
use fallaway_order::PutInOrder as _;

use super::sides::SideReading;
use super::types::{CannotCompare, InstrumentPart};
use crate::learn::ReaderBias;
use crate::observe::{
    Bound, COVERAGE, Estimate, EstimateUnit, Facts, Measurand, ReaderKey, offset_mm,
};

/// How well a further reading would be taken, in mm: a rule in sixty-fourths, leaves of 0.01 mm.
const RULE_MM: f64 = 0.125;
const FEELER_MM: f64 = 0.02;

/// The model, and which of its strings is which.
pub(super) struct Layout {
    pub model: Model,
    /// The strings from the treble side, in the model's order; after them the middle of the board.
    places: Vec<StringPlace>,
}

impl Layout {
    pub(crate) fn new(facts: &Facts) -> Result<Self, CannotCompare> {
        let unwritten = |fact| CannotCompare::Unwritten { fact };
        let frets = usize::from(facts.last_fret.ok_or(unwritten("frets"))?);
        let (fret, by) = facts.joint().ok_or(unwritten("frets"))?;
        let joint = Joint {
            // Anywhere within those frets: a rectangle (JCGM 100:2008, 4.3.7).
            standard_uncertainty: f64::from(by) / 3_f64.sqrt(),
            ..Joint::known(f64::from(fret))?
        };
        let mut strings: Vec<(StringPlace, f64)> = Vec::new();
        for string in &facts.strings {
            strings.push((string.place, string.scale_mm.ok_or(unwritten("scale length"))?));
        }
        strings.put_in_order_by_key(|(place, _)| *place);
        let (Some(&(_, first)), Some(&(_, last))) = (strings.first(), strings.last()) else {
            return Err(unwritten("strings"));
        };
        let gaps = (strings.len() - 1).max(1) as f64;
        let mut all: Vec<StateString> = Vec::new();
        for (index, (_, scale)) in strings.iter().enumerate() {
            all.push(StateString {
                geometry: StringGeometry::level(mm(*scale), frets, joint),
                across: index as f64 / gaps,
            });
        }
        // Relief that names no string is that of the middle.
        let middle = StringGeometry::level(mm(f64::midpoint(first, last)), frets, joint);
        all.push(StateString { geometry: middle, across: 0.5 });
        let places: Vec<StringPlace> = strings.into_iter().map(|(place, _)| place).collect();
        // The middle lies on no saddle.
        let mut model = Model::new(all)?.with_saddles(places.len())?;
        if let Some(screws) = screws(facts, &places) {
            model = model.with_screws(screws)?;
        }
        Ok(Self { model, places })
    }

    fn middle(&self) -> usize {
        self.places.len()
    }

    /// The parts that a comparison asks for.
    pub(crate) fn asked(&self) -> Vec<StatePart> {
        let mut asked = vec![StatePart::Neck, StatePart::Twist, StatePart::Tilt];
        for string in 0..self.places.len() {
            asked.extend([StatePart::StringHeight(string), StatePart::Nut(string)]);
        }
        if self.places.len() > 1 {
            asked.push(StatePart::Heights);
        }
        asked
    }

    pub(crate) fn part(&self, told: StatePart) -> Option<InstrumentPart> {
        Some(match told {
            StatePart::Neck => InstrumentPart::Neck,
            StatePart::Twist => InstrumentPart::Twist,
            StatePart::Tilt => InstrumentPart::Joint,
            StatePart::Heights => InstrumentPart::Heights,
            StatePart::StringHeight(string) => InstrumentPart::Saddle(*self.places.get(string)?),
            StatePart::Nut(string) => InstrumentPart::Nut(*self.places.get(string)?),
            StatePart::CurvatureTreble | StatePart::CurvatureBass | StatePart::Saddle(_) => {
                return None;
            }
        })
    }

    /// What a thing is to the model, and of which string; `None` for what it does not describe.
    pub(crate) fn places(&self, measurand: Measurand) -> Option<(What, usize)> {
        let string = match measurand.location {
            Location::Course(place) => self.places.iter().position(|p| *p == place)?,
            Location::Side(Side::Treble) => 0,
            Location::Side(Side::Bass) => self.places.len().checked_sub(1)?,
            Location::Whole => self.middle(),
            _ => return None,
        };
        let number = |fret: Fret| usize::from(fret.number());
        let what = match measurand.quantity {
            Quantity::Relief { from, to, at } => {
                What::Relief(ReliefWay { from: number(from), to: number(to), at: at.map(number) })
            }
            Quantity::Gap { .. } if string == self.middle() => return None,
            Quantity::Gap { stopped, over } if stopped > over => {
                What::GapHeld { held: number(stopped), over: number(over) }
            }
            Quantity::Gap { stopped, over } => {
                What::Gap(GapPlace::new(number(stopped), number(over)))
            }
            _ => return None,
        };
        Some((what, string))
    }

    /// The thing that a reading of the model is.
    pub(crate) fn measurand(&self, what: What, string: usize) -> Option<Measurand> {
        let fret = |n: usize| Fret::new(u8::try_from(n).ok()?).ok();
        let quantity = match what {
            What::Relief(ReliefWay { from, to, at }) => {
                let at = match at {
                    Some(at) => Some(fret(at)?),
                    None => None,
                };
                Quantity::Relief { from: fret(from)?, to: fret(to)?, at }
            }
            What::Gap(GapPlace { stopped, over }) => {
                Quantity::Gap { stopped: fret(stopped)?, over: fret(over)? }
            }
            What::GapHeld { held, over } => {
                Quantity::Gap { stopped: fret(held)?, over: fret(over)? }
            }
        };
        let location = self.places.get(string).map_or(Location::Whole, |p| Location::Course(*p));
        Some(Measurand { quantity, location })
    }

    /// Whether the model can take it.
    pub(crate) fn tells(&self, taken: &SideReading) -> bool {
        self.places(taken.measurand).is_some() && value(taken.known).is_some()
    }

    pub(crate) fn reading(
        &self,
        taken: &SideReading,
        side: usize,
        offsets: &mut Offsets,
    ) -> Option<StateReading> {
        let (what, string) = self.places(taken.measurand)?;
        let value = value(taken.known)?;
        Some(StateReading { what, string, value, shared: offsets.of(taken, side) })
    }

    /// What could still be read.
    pub(crate) fn candidates(&self) -> Result<Vec<FurtherReading>, CannotCompare> {
        let mut all = usual_candidates(&self.model, mm(RULE_MM), mm(FEELER_MM))?;
        all.retain(|c| c.string != self.middle() || matches!(c.what, What::Relief(_)));
        Ok(all)
    }
}

/// The strings that each height screw lifts, posts among them. `None` where that is not known.
fn screws(facts: &Facts, places: &[StringPlace]) -> Option<Vec<Vec<(usize, f64)>>> {
    let bridge = &facts.bridge;
    let posts = bridge.posts.as_ref().and_then(|posts| posts.matrix.as_ref());
    let rows: Vec<Option<usize>> =
        bridge.rows.iter().map(|row| places.iter().position(|p| p == row)).collect();
    let of = |matrix: &Bridge| -> Vec<Vec<(usize, f64)>> {
        let lifted = |screw| {
            let row = |(row, string): (usize, &Option<usize>)| {
                let share = matrix.lever(row, screw).filter(|share| *share != 0.0)?;
                Some(((*string)?, share))
            };
            rows.iter().enumerate().filter_map(row).collect()
        };
        (0..matrix.screws().len()).map(lifted).collect()
    };
    let mut all = of(bridge.matrix.as_ref()?);
    all.extend(posts.map(of).into_iter().flatten());
    let covered = (0..places.len()).all(|s| all.iter().flatten().any(|(string, _)| *string == s));
    covered.then_some(all)
}

/// A number as the model takes it. `None` for what no gap is.
fn value(known: Estimate) -> Option<Value> {
    let possible =
        (-10.0..=30.0).contains(&known.value) && (0.0..=10.0).contains(&known.standard_uncertainty);
    if known.scale != EstimateUnit::Millimetre || !possible {
        return None;
    }
    Some(match known.bound {
        Bound::Value => Value::Read(known.length()?),
        Bound::AtMost => Value::AtMost(mm(known.value)),
        Bound::AtLeast => Value::AtLeast(mm(known.value)),
    })
}

/// Offsets that readings share: one reader with one kind of tool.
#[derive(Default)]
pub(super) struct Offsets {
    known: Vec<(Option<String>, Option<ToolKind>, Option<usize>)>,
}

impl Offsets {
    fn of(&mut self, taken: &SideReading, side: usize) -> Option<SharedOffset> {
        let seen = taken.seen.as_ref()?;
        let kind = seen.tool.map(fallaway_measure::Tool::kind);
        // Somebody unnamed may be another person next time.
        let unnamed = seen.by.is_none().then_some(side);
        let key = (seen.by.clone(), kind, unnamed);
        let id = self.known.iter().position(|k| *k == key).unwrap_or_else(|| {
            self.known.push(key);
            self.known.len() - 1
        });
        let standard_uncertainty = mm(offset_mm(kind));
        Some(SharedOffset { id: u32::try_from(id).ok()?, standard_uncertainty })
    }
}

impl Offsets {
    /// What is known of how far two readers lie apart, for the model; `None` if nothing was learned.
    pub(crate) fn apart(&self, apart: &ReaderBias) -> Option<OffsetsApart> {
        let id = |(by, kind): &ReaderKey| {
            let at = self.known.iter().position(|(b, k, _)| b == by && k == kind)?;
            u32::try_from(at).ok()
        };
        let lesson = &apart.more;
        let known = Estimate::mm(
            lesson.estimate.value,
            (lesson.estimate.high - lesson.estimate.low) / 2.0 / COVERAGE,
        );
        let difference = known.length().filter(|_| lesson.observations > 0)?;
        Some(OffsetsApart { a: id(&apart.a)?, b: id(&apart.b)?, difference })
    }
}
