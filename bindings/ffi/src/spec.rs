//! The values of facts about the instrument.

use fallaway::measure::{self, Amount, Dimension, Limit, Note};
use fallaway::record::spec::{self, Fact};
use fallaway::text::facts;
use fallaway::text::messages::errors;

use crate::Entered;
use crate::choices::choices;
use crate::given;
use crate::given::{fret, small};
use crate::{Result, StringPlace};

/// The family of an instrument, for the ranges that are usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum InstrumentFamily {
    /// Electric bass: ranges that are usual for long, heavy strings.
    Bass,
    /// Electric guitar: ranges that are usual for light strings.
    Guitar,
    /// Any other fretted instrument, or one that a newer version names.
    Another,
}

impl From<measure::InstrumentFamily> for InstrumentFamily {
    fn from(family: measure::InstrumentFamily) -> Self {
        match family {
            measure::InstrumentFamily::Bass => Self::Bass,
            measure::InstrumentFamily::Guitar => Self::Guitar,
            measure::InstrumentFamily::Other(_) => Self::Another,
        }
    }
}

impl From<InstrumentFamily> for measure::InstrumentFamily {
    fn from(family: InstrumentFamily) -> Self {
        match family {
            InstrumentFamily::Bass => Self::Bass,
            InstrumentFamily::Guitar => Self::Guitar,
            InstrumentFamily::Another => Self::Other(0),
        }
    }
}

choices! {
    /// What holds the strings at the head end.
    NutKind = spec::NutKind {
        /// A plain nut with a slot for each string.
        Slotted,
        /// A zero fret; the slots behind it only guide.
        ZeroFret,
        /// Locking: unlock it before tuning.
        Locking,
        /// A nut whose front edge is shaped string by string for intonation.
        Compensated,
        /// A nut with rollers, which turn as the string moves.
        Roller,
    }
}

choices! {
    /// The kind of truss rod.
    RodKind = spec::RodKind {
        /// No adjustable rod.
        Absent,
        /// One-way: only works against string pull.
        OneWay,
        /// Two-way, with a dead zone in between in which nothing happens.
        TwoWay,
    }
}

choices! {
    /// Where the rod is adjusted.
    RodAccess = spec::RodAccess {
        /// At the head.
        Head,
        /// At the body end.
        Heel,
    }
}

choices! {
    /// How the neck is attached.
    NeckJoint = spec::NeckJoint {
        /// Screwed into a pocket.
        BoltOn,
        /// Set in and glued.
        Glued,
        /// The neck runs through the body.
        Through,
    }
}

choices! {
    /// For which hand the instrument is built.
    Handedness = spec::Handedness {
        /// The bass side is on the left, seen from the front with the head up.
        Right,
        /// The bass side is on the right, seen from the front with the head up.
        Left,
    }
}

choices! {
    /// The order of the strings for the hand for which the instrument is built.
    Stringing = spec::Stringing {
        /// As usual: the lowest string is uppermost when it is played.
        Usual,
        /// The other way round.
        Reversed,
    }
}

choices! {
    /// How a string is made.
    StringConstruction = spec::StringConstruction {
        /// A plain wire.
        Plain,
        /// A core wound with round wire.
        RoundWound,
        /// Round-wound, then ground or rolled half flat.
        HalfWound,
        /// Wound with flat wire.
        FlatWound,
        /// Wound with tape.
        TapeWound,
        /// Nylon or another polymer, plain or wound.
        Polymer,
    }
}

choices! {
    /// The unit in which a pack states mass for length.
    UnitWeightUnit = spec::UnitWeightUnit {
        /// Pounds an inch, lb/in.
        PoundPerInch,
        /// Grams a metre, g/m.
        GramPerMetre,
    }
}

choices! {
    /// What can be moved for intonation.
    IntonationBy = spec::IntonationBy {
        /// Each saddle on its own.
        OwnSaddles,
        /// Saddles that carry several strings.
        SharedSaddles,
        /// The bridge as a whole.
        WholeBridge,
        /// Nothing can be moved.
        Fixed,
    }
}

choices! {
    /// Which screw or nut.
    ScrewPlace = spec::ScrewPlace {
        /// The nut of the truss rod. More: more relief.
        Rod,
        /// Height of a saddle. More: a higher saddle.
        SaddleHeight,
        /// A saddle fore and aft. More: a longer string.
        SaddlePosition,
        /// A post of the bridge. More: a higher bridge.
        BridgePost,
        /// Height of a pickup. More: nearer to the strings.
        Pickup,
        /// A spring claw. More: more spring pull.
        SpringClaw,
    }
}

choices! {
    /// What a clockwise turn, as seen from the tool, does. What "more" means is said at each
    /// `ScrewPlace`.
    Clockwise = spec::Clockwise {
        /// A clockwise turn gives more.
        More,
        /// A clockwise turn gives less.
        Less,
    }
}

/// A string and the note that it is tuned to.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct TunedString {
    /// The string that this is about.
    pub place: StringPlace,
    /// The note: a letter, # or b if any, an octave (A4 is the tuning fork's), and an offset in
    /// cents if there is one: "E1", "F#2", "A4-2.5".
    pub note: String,
}

impl From<(measure::StringPlace, Note)> for TunedString {
    fn from((place, note): (measure::StringPlace, Note)) -> Self {
        Self { place: place.into(), note: note.to_string() }
    }
}

impl TunedString {
    pub(crate) fn typed(&self) -> Result<(measure::StringPlace, Note)> {
        let note = self.note.parse::<Note>()?;
        Ok((self.place.typed()?, note))
    }
}

/// Mass for length as printed on the pack.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct UnitWeight {
    /// The number as printed, above zero.
    pub value: f64,
    /// The unit in which the pack prints it.
    pub unit: UnitWeightUnit,
}

/// One string as it was bought.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct StringSpec {
    /// Diameter over everything: ".045 in".
    #[uniffi(default = None)]
    pub gauge: Option<Entered>,
    /// How it is made.
    #[uniffi(default = None)]
    pub construction: Option<StringConstruction>,
    /// Diameter of the core.
    #[uniffi(default = None)]
    pub core: Option<Entered>,
    /// Mass for length as printed on the pack; preferred to any estimate from the gauge.
    #[uniffi(default = None)]
    pub unit_weight: Option<UnitWeight>,
    /// Tension as printed on the pack, for the note and scale printed there: "170 N".
    #[uniffi(default = None)]
    pub pack_tension: Option<Entered>,
    /// What it is called.
    #[uniffi(default = None)]
    pub name: Option<String>,
}

impl From<&spec::StringSpec> for StringSpec {
    fn from(string: &spec::StringSpec) -> Self {
        Self {
            gauge: string.gauge.map(Entered::from),
            construction: string.construction.map(StringConstruction::from),
            core: string.core.map(Entered::from),
            unit_weight: string
                .unit_weight
                .map(|weight| UnitWeight { value: weight.value.value(), unit: weight.unit.into() }),
            pack_tension: string.pack_tension.map(Entered::from),
            name: string.name.clone(),
        }
    }
}

impl StringSpec {
    pub(crate) fn typed(&self) -> Result<spec::StringSpec> {
        let weight = |weight: UnitWeight| -> Result<spec::UnitWeight> {
            let value = given::decimal(&errors::unit_weight(), weight.value)?;
            Ok(spec::UnitWeight { value, unit: weight.unit.typed()? })
        };
        Ok(spec::StringSpec {
            gauge: given::amount(self.gauge.as_ref(), Limit::StringGauge, Dimension::Length)?,
            construction: self.construction.map(StringConstruction::typed).transpose()?,
            core: given::amount(self.core.as_ref(), Limit::CoreDiameter, Dimension::Length)?,
            unit_weight: self.unit_weight.map(weight).transpose()?,
            pack_tension: given::amount(
                self.pack_tension.as_ref(),
                Limit::Tension,
                Dimension::Force,
            )?,
            name: self.name.clone(),
        })
    }
}

/// What string is fitted where.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FittedString {
    /// Where it is fitted.
    pub place: StringPlace,
    /// What is fitted: gauge, wind, core and weight, as far as known.
    pub string: StringSpec,
}

impl From<(measure::StringPlace, spec::StringSpec)> for FittedString {
    fn from((place, string): (measure::StringPlace, spec::StringSpec)) -> Self {
        Self { place: place.into(), string: (&string).into() }
    }
}

impl FittedString {
    pub(crate) fn typed(&self) -> Result<(measure::StringPlace, spec::StringSpec)> {
        Ok((self.place.typed()?, self.string.typed()?))
    }
}

/// The scale length of one string.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringScale {
    /// The string that this is about.
    pub place: StringPlace,
    /// Its scale length: "34 in", "863.6 mm".
    pub length: Entered,
}

/// Scale length: nut to saddle without compensation.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum ScaleLength {
    /// The same for every string.
    Same {
        /// The length: "34 in".
        length: Entered,
    },
    /// Fanned frets: the lowest and the highest string; those between are spread evenly.
    Fanned {
        /// Scale of the lowest string.
        bass: Entered,
        /// Scale of the highest string.
        treble: Entered,
    },
    /// String by string.
    Each {
        /// The strings, each with its scale length.
        strings: Vec<StringScale>,
    },
    /// Written by a newer version; it can be shown, not written.
    Newer,
}

impl From<spec::ScaleLength> for ScaleLength {
    fn from(scale: spec::ScaleLength) -> Self {
        match scale {
            spec::ScaleLength::Same(length) => Self::Same { length: length.into() },
            spec::ScaleLength::Fanned { bass, treble } => {
                Self::Fanned { bass: bass.into(), treble: treble.into() }
            }
            spec::ScaleLength::Each(strings) => {
                let one = |(place, length): (measure::StringPlace, Amount)| StringScale {
                    place: place.into(),
                    length: length.into(),
                };
                Self::Each { strings: strings.into_iter().map(one).collect() }
            }
        }
    }
}

impl ScaleLength {
    pub(crate) fn typed(&self) -> Result<spec::ScaleLength> {
        let length = |entered: &Entered| entered.amount(Limit::ScaleLength, Dimension::Length);
        Ok(match self {
            Self::Same { length: all } => spec::ScaleLength::Same(length(all)?),
            Self::Fanned { bass, treble } => {
                spec::ScaleLength::Fanned { bass: length(bass)?, treble: length(treble)? }
            }
            Self::Each { strings } => {
                let strings = strings.iter();
                let each = strings.map(|one| Ok((one.place.typed()?, length(&one.length)?)));
                spec::ScaleLength::Each(each.collect::<Result<_>>()?)
            }
            Self::Newer => {
                return Err(crate::choices::newer(
                    &Limit::ScaleLength.into(),
                    &["Same", "Fanned", "Each"],
                ));
            }
        })
    }
}

/// Curve of the board across the strings.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum BoardCurve {
    /// No curve: the crowns lie in a plane.
    Flat,
    /// One radius all along.
    Cylinder {
        /// The radius: "12 in".
        radius: Entered,
    },
    /// The radius grows evenly from the nut to the last fret.
    Compound {
        /// Radius at the nut.
        nut: Entered,
        /// Radius at the last fret.
        last_fret: Entered,
    },
    /// Written by a newer version; it can be shown, not written.
    Newer,
}

impl From<spec::BoardCurve> for BoardCurve {
    fn from(board: spec::BoardCurve) -> Self {
        match board {
            spec::BoardCurve::Flat => Self::Flat,
            spec::BoardCurve::Cylinder(radius) => Self::Cylinder { radius: radius.into() },
            spec::BoardCurve::Compound { nut, last_fret } => {
                Self::Compound { nut: nut.into(), last_fret: last_fret.into() }
            }
        }
    }
}

impl BoardCurve {
    pub(crate) fn typed(&self) -> Result<spec::BoardCurve> {
        let radius = |entered: &Entered| entered.amount(Limit::BoardRadius, Dimension::Length);
        Ok(match self {
            Self::Flat => spec::BoardCurve::Flat,
            Self::Cylinder { radius: one } => spec::BoardCurve::Cylinder(radius(one)?),
            Self::Compound { nut, last_fret } => {
                spec::BoardCurve::Compound { nut: radius(nut)?, last_fret: radius(last_fret)? }
            }
            Self::Newer => {
                return Err(crate::choices::newer(
                    &Limit::BoardRadius.into(),
                    &["Flat", "Cylinder", "Compound"],
                ));
            }
        })
    }
}

/// What a turn of a height screw moves.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum BridgeHeight {
    /// Each string has its own saddle.
    OwnSaddles {
        /// Height screws of one saddle, 1 to 4; two are turned alike so that it stays level.
        screws: u32,
    },
    /// Saddles that carry several strings each.
    SharedSaddles {
        /// The strings of each saddle.
        saddles: Vec<Vec<StringPlace>>,
    },
    /// Two posts carry all strings; each moves the strings by how near they are.
    TwoPosts,
    /// Nothing turns: the height is cut or shimmed.
    Fixed,
    /// Written by a newer version; it can be shown, not written.
    Newer,
}

/// How the bridge is built, and what can be moved on it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct BridgeSpec {
    /// What a height screw moves.
    pub height: BridgeHeight,
    /// Springs balance the strings: a change of one string moves all.
    #[uniffi(default = false)]
    pub floating: bool,
    /// What can be moved for intonation.
    #[uniffi(default = None)]
    pub intonation: Option<IntonationBy>,
    /// Whether saddles can be moved sideways.
    #[uniffi(default = None)]
    pub sideways: Option<bool>,
    /// Whether it stands on two posts, besides what `height` says of the saddles.
    #[uniffi(default = None)]
    pub posts: Option<bool>,
}

impl From<spec::BridgeSpec> for BridgeSpec {
    fn from(bridge: spec::BridgeSpec) -> Self {
        let height = match bridge.height {
            spec::HeightBy::OwnSaddles { screws } => {
                BridgeHeight::OwnSaddles { screws: screws.into() }
            }
            spec::HeightBy::SharedSaddles(saddles) => {
                let strings = |saddle: Vec<measure::StringPlace>| {
                    saddle.into_iter().map(StringPlace::from).collect()
                };
                BridgeHeight::SharedSaddles { saddles: saddles.into_iter().map(strings).collect() }
            }
            spec::HeightBy::TwoPosts => BridgeHeight::TwoPosts,
            spec::HeightBy::Fixed => BridgeHeight::Fixed,
        };
        Self {
            height,
            floating: bridge.floating,
            intonation: bridge.intonation.map(IntonationBy::from),
            sideways: bridge.sideways,
            posts: bridge.posts,
        }
    }
}

impl BridgeSpec {
    pub(crate) fn typed(&self) -> Result<spec::BridgeSpec> {
        let height = match &self.height {
            BridgeHeight::OwnSaddles { screws } => {
                spec::HeightBy::OwnSaddles { screws: small(Limit::SaddleScrews, *screws)? }
            }
            BridgeHeight::SharedSaddles { saddles } => {
                let strings = |saddle: &Vec<StringPlace>| {
                    saddle.iter().map(StringPlace::typed).collect::<Result<Vec<_>>>()
                };
                let saddles = saddles.iter().map(strings).collect::<Result<_>>()?;
                spec::HeightBy::SharedSaddles(saddles)
            }
            BridgeHeight::TwoPosts => spec::HeightBy::TwoPosts,
            BridgeHeight::Fixed => spec::HeightBy::Fixed,
            BridgeHeight::Newer => {
                return Err(crate::choices::newer(
                    &facts::called(Fact::Bridge),
                    &["OwnSaddles", "SharedSaddles", "TwoPosts", "Fixed"],
                ));
            }
        };
        Ok(spec::BridgeSpec {
            height,
            floating: self.floating,
            intonation: self.intonation.map(IntonationBy::typed).transpose()?,
            sideways: self.sideways,
            posts: self.posts,
        })
    }
}

/// A screw or nut.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct ScrewSpec {
    /// Designation of its thread, such as "M3" (ISO 261, coarse series) or "#6-32" (ASME B1.1).
    #[uniffi(default = None)]
    pub thread: Option<String>,
    /// Advance per turn, where it was measured or has no designation: "0.5 mm".
    #[uniffi(default = None)]
    pub pitch: Option<Entered>,
    /// What a clockwise turn does; `None` until the instrument has shown it.
    #[uniffi(default = None)]
    pub clockwise: Option<Clockwise>,
    /// The key or driver that fits: "5 mm hex".
    #[uniffi(default = None)]
    pub key: Option<String>,
}

/// A screw and where it is.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlacedScrew {
    /// Where the screw is, and what it moves.
    pub place: ScrewPlace,
    /// What is known of it: its thread, and what a clockwise turn does.
    pub screw: ScrewSpec,
}

impl From<(spec::ScrewPlace, spec::ScrewSpec)> for PlacedScrew {
    fn from((place, screw): (spec::ScrewPlace, spec::ScrewSpec)) -> Self {
        let thread = screw.thread.unwrap_or_default();
        let screw = ScrewSpec {
            thread: thread.designation,
            pitch: thread.pitch.map(Entered::from),
            clockwise: screw.clockwise.map(Clockwise::from),
            key: screw.key,
        };
        Self { place: place.into(), screw }
    }
}

impl PlacedScrew {
    pub(crate) fn typed(self) -> Result<(spec::ScrewPlace, spec::ScrewSpec)> {
        let ScrewSpec { thread, pitch, clockwise, key } = self.screw;
        let pitch = given::amount(pitch.as_ref(), Limit::ThreadPitch, Dimension::Length)?;
        let thread = spec::ThreadSpec { designation: thread, pitch };
        let screw = spec::ScrewSpec {
            thread: (thread != spec::ThreadSpec::default()).then_some(thread),
            clockwise: clockwise.map(Clockwise::typed).transpose()?,
            key,
        };
        Ok((self.place.typed()?, screw))
    }
}

/// The frets of the board, taken together.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FretsSpec {
    /// How many, 0 (fretless) to 36.
    pub count: u32,
    /// Height of a crown over the board.
    #[uniffi(default = None)]
    pub height: Option<Entered>,
}

/// Where the neck stops bending.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct JointFretSpec {
    /// The first fret over the body, 0 to 36.
    pub number: u32,
    /// How many frets the true place may lie to either side; 2 is usual (common practice, no
    /// source).
    #[uniffi(default = 2)]
    pub uncertain_by_frets: u32,
}

/// The truss rod.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct RodSpec {
    /// Which ways the rod works.
    pub kind: RodKind,
    /// Where it is adjusted.
    #[uniffi(default = None)]
    pub access: Option<RodAccess>,
}

impl From<spec::FretsSpec> for FretsSpec {
    fn from(frets: spec::FretsSpec) -> Self {
        Self { count: frets.count.into(), height: frets.height.map(Entered::from) }
    }
}

impl FretsSpec {
    pub(crate) fn typed(&self) -> Result<spec::FretsSpec> {
        let height = given::amount(self.height.as_ref(), Limit::FretHeight, Dimension::Length)?;
        Ok(spec::FretsSpec { count: small(Limit::Frets, self.count)?, height })
    }
}

impl From<spec::JointFretSpec> for JointFretSpec {
    fn from(joint: spec::JointFretSpec) -> Self {
        let number = joint.fret.number().into();
        Self { number, uncertain_by_frets: joint.uncertain_by.into() }
    }
}

impl JointFretSpec {
    pub(crate) fn typed(self) -> Result<spec::JointFretSpec> {
        let uncertain_by = small(Limit::JointUncertainty, self.uncertain_by_frets)?;
        Ok(spec::JointFretSpec { fret: fret(self.number)?, uncertain_by })
    }
}

impl From<spec::RodSpec> for RodSpec {
    fn from(rod: spec::RodSpec) -> Self {
        Self { kind: rod.kind.into(), access: rod.access.map(RodAccess::from) }
    }
}

impl RodSpec {
    pub(crate) fn typed(self) -> Result<spec::RodSpec> {
        let access = self.access.map(RodAccess::typed).transpose()?;
        Ok(spec::RodSpec { kind: self.kind.typed()?, access })
    }
}
