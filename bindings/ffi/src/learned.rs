//! What the record has taught, and what to expect in another climate.

use fallaway::advice::learn::{self, touch};

use crate::estimate;
use crate::mirror::mirror;
use crate::numbers::count;
use crate::observe::{Context, InterventionKind, Measurand, SeenReading};
use crate::touch::TouchBounds;
use crate::turns::{Turn, TurnDirection, turn};
use crate::voice::sentences;
use crate::{
    Basis, Clockwise, EntryId, Estimate, Instrument, Result, ScrewPlace, SetupId, StringPlace,
    ToolKind,
};

pub use fallaway::advice::learn::Interval;

/// A number with the interval in which it lies, in the unit that the field names.
#[uniffi::remote(Record)]
pub struct Interval {
    /// The best estimate; it need not be the middle of the interval.
    pub value: f64,
    /// Low end of the interval, in the same unit.
    pub low: f64,
    /// High end of the interval, in the same unit.
    pub high: f64,
}

/// Why an observation teaches nothing.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum WhyLeftOut {
    /// Nobody wrote down how far the rod was turned.
    TurnsUnwritten,
    /// The relief was not read before it, with nothing else between.
    NotReadBefore,
    /// The relief was not read after it, with nothing else between.
    NotReadAfter,
    /// Something else was done between the two readings.
    DoneBetween {
        /// What was done between them.
        kind: InterventionKind,
    },
    /// More than three days lie between the two readings.
    TooFarApart,
    /// The two readings were not taken alike, or not in the knowledge of what was done.
    NotAlike,
    /// More observations tell the other direction.
    Outvoted,
    /// Read in another way, place or posture than most.
    AnotherWay,
    /// No climate was noted near it in which the instrument had stood for a day.
    NoClimate,
    /// The noted climate is beyond what the moisture of wood is known for.
    ClimateBeyond,
    /// Only one side of a value was read.
    OneSided,
    /// It stands apart from all others: perhaps misread or mistyped.
    StandsApart,
    /// The action of the string was not read.
    ActionUnread,
    /// The relief was not read.
    ReliefUnread,
    /// The readings that stand were taken more than two weeks before or after it.
    ReadLongFromIt,
    /// Gauge, note, scale or frets of the string at that time are not written.
    StringsUnknown,
    /// Only the open string: its slot in the nut may be the cause.
    OpenString,
    /// By the clearance model notes that were not named would touch before those that were.
    OthersFirst,
    /// By the readings the string lies on a fret without being played.
    LiesOnFret,
    /// The touch it tells of is lighter or harder than any that the model allows for.
    TouchBeyond {
        /// Its force in N.
        force_n: f64,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// An observation that was left out.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LeftOut {
    /// The entry of the observation, for `entry`; `None` where no record stands behind it.
    pub entry: Option<EntryId>,
    /// Why it was left out, as data.
    pub why: WhyLeftOut,
    /// Why, in words.
    pub text: String,
}

/// What was learned of one number.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LearnedValue {
    /// How many observations it rests on.
    pub observations: u32,
    /// The estimate with its interval: 68 % for the rod, which is not symmetric, else 95 %.
    pub estimate: Interval,
    /// What was thought before any observation, with the same kind of interval.
    pub prior: Interval,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
}

/// Which way the screws of one kind work, by readings before and after a turn: what the plan goes by.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ScrewLearned {
    /// Of which kind: the screws at this place all work alike.
    pub screw: ScrewPlace,
    /// Of which pickup, if they are a pickup's.
    pub pickup: Option<u32>,
    /// What a clockwise turn brings more or less of, as `ScrewPlace` has it; `None` where the readings
    /// contradict each other.
    pub clockwise: Option<Clockwise>,
    /// From how many turns with a reading before and after.
    pub observations: u32,
}

/// How relief follows the seasons.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SeasonLearned {
    /// How and where the relief was read.
    pub way: Measurand,
    /// Mm of relief for each percentage point of moisture content of the wood.
    pub mm_per_percent: LearnedValue,
    /// The driest moisture content that it was seen in, in percent.
    pub driest_percent: f64,
    /// The dampest moisture content that it was seen in, in percent.
    pub dampest_percent: f64,
    /// Whether the record tells the season from none.
    pub told: bool,
}

/// One reader with one kind of tool.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ReaderLearned {
    /// By whom; `None` for readings that do not say.
    pub by: Option<String>,
    /// With what kind of tool.
    pub tool: Option<ToolKind>,
    /// Standard deviation of one reading in mm.
    pub repeatability_mm: LearnedValue,
    /// How much more than the others this reader reads, in mm.
    pub offset_mm: LearnedValue,
}

/// What was heard of a touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum TouchHeard {
    /// No note of the string up to this fret buzzed.
    Clean {
        /// The highest fret that counts as played.
        to_fret: u32,
    },
    /// These frets buzzed.
    Buzz {
        /// The lowest; 0 is open, and does not count.
        from_fret: u32,
        /// The highest fret that buzzed.
        to_fret: u32,
    },
    /// What came after this app was built.
    Newer,
}

/// One observation of a touch.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TouchObserved {
    /// The entry that tells of it, for `entry`; `None` where no record stands behind it.
    pub entry: Option<EntryId>,
    /// The string that was played.
    pub place: StringPlace,
    /// What was heard.
    pub heard: TouchHeard,
    /// The force that it allows at most, or tells of at least, in N.
    pub bound_n: f64,
    /// Whether that is the most.
    pub is_most: bool,
    /// The relief that it rests on.
    pub relief: SeenReading,
    /// The action that it rests on.
    pub action: SeenReading,
}

/// How hard one player plays, by the clearance model: a calibration, not a measurement.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlayerTouch {
    /// The player, by the name that the entries carry.
    pub by: String,
    /// Force at right angles to the board in N.
    pub force_n: LearnedValue,
    /// From which sides it is held.
    pub bounds: TouchBounds,
    /// What it rests on, in the order of the record.
    pub observed: Vec<TouchObserved>,
}

/// How relief answers the tension of the strings.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TensionLearned {
    /// Mm of relief for each newton more on the neck.
    pub mm_per_newton: LearnedValue,
    /// Whether the record tells it from none.
    pub told: bool,
}

mirror! {
    /// What the climates that were noted lack, so that no reading counts as read near one of them.
    ClimateLack = learn::ClimateLack {
        /// No climate was noted at all.
        Any,
        /// None has a humidity.
        Humidity,
        /// None says how long the instrument had been there: `Climate.hours_there`.
        Hours,
        /// In none the instrument had been for a day.
        Longer,
    }
}

/// Everything that the record of one instrument has taught: what `learned` answers.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Learned {
    /// Mm of relief a turn of the rod, without sign.
    pub rod_mm_per_turn: LearnedValue,
    /// Which way the rod turns for less relief, if shown or written.
    pub less_relief: Option<TurnDirection>,
    /// Every other kind of screw of which a turn has shown which way it works.
    pub screws: Vec<ScrewLearned>,
    /// `None` without a reading of relief near a noted climate.
    pub season: Option<SeasonLearned>,
    /// What the climates that were noted lack, if nothing was learned of the seasons for want of it.
    pub season_lacks: Option<ClimateLack>,
    /// Each reader with each kind of tool.
    pub readers: Vec<ReaderLearned>,
    /// How relief answers the tension of the strings; `None` unless strings or tuning were ever changed.
    pub tension: Option<TensionLearned>,
    /// How hard each player plays, as far as clean notes and buzzes tell.
    pub touches: Vec<PlayerTouch>,
    /// The same, a sentence each.
    pub sentences: Vec<String>,
}

pub use fallaway::advice::learn::ForecastClimate;

/// A climate to forecast for.
#[uniffi::remote(Record)]
pub struct ForecastClimate {
    /// What it is called: "January", "the tour".
    pub name: String,
    /// Relative humidity in percent, 0 to 100.
    pub humidity_percent: f64,
    /// Temperature in degrees Celsius, -1.2 to 71.2; `None` for a room's.
    #[uniffi(default = None)]
    pub temperature_c: Option<f64>,
}

/// A string's action in a climate.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ActionForecast {
    /// Which, and how it is read.
    pub measurand: Measurand,
    /// The reading that it starts from.
    pub reading: SeenReading,
    /// What it will be with the saddle untouched: a forecast.
    pub expect: Estimate,
}

/// What to expect in one climate, once the wood has followed (days to weeks).
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClimateForecast {
    /// What the climate is called.
    pub name: String,
    /// Moisture content that the wood comes to, in percent.
    pub moisture_percent: f64,
    /// Relief in mm, with an interval that holds 95 % of the time.
    pub relief_mm: Interval,
    /// It is drier or damper than the record has seen.
    pub beyond_record: bool,
    /// What would bring the relief back to its target; `None` without a target.
    pub pack: Option<Turn>,
    /// Whether that is for more relief.
    pub more_relief: bool,
    /// What each string's action will be there, with the saddles untouched.
    pub actions: Vec<ActionForecast>,
}

/// What to expect in other climates: what `forecast` answers.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Forecast {
    /// What it rests on.
    pub season: SeasonLearned,
    /// Relief that is wanted, in mm.
    pub target_mm: Option<f64>,
    /// For each climate, in the order given.
    pub climates: Vec<ClimateForecast>,
    /// The same, a sentence each.
    pub sentences: Vec<String>,
}

#[uniffi::export]
impl Instrument {
    /// What this instrument and those who read and play it have taught: rod, other screws, season, readers, touch; each with the
    /// number of observations, the interval, where it started from, and what was left out and why.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn learned(&self) -> Result<Learned> {
        let told = self.inner().learned()?;
        let context = Context::of(&told.spec);
        let found = told.facts;
        Ok(Learned {
            rod_mm_per_turn: Context::lesson(&found.rod),
            less_relief: found.less_relief,
            screws: found
                .screws
                .iter()
                .map(|one| ScrewLearned {
                    screw: one.screw.into(),
                    pickup: one.pickup.map(u32::from),
                    clockwise: one.clockwise.map(Clockwise::from),
                    observations: count(one.observations),
                })
                .collect(),
            season: found.season.as_ref().map(|season| context.season(season)),
            season_lacks: found.season_lacks.map(ClimateLack::from),
            readers: found
                .readers
                .iter()
                .map(|reader| ReaderLearned {
                    by: reader.by.clone(),
                    tool: reader.tool.map(Into::into),
                    repeatability_mm: Context::lesson(&reader.repeatability),
                    offset_mm: Context::lesson(&reader.offset),
                })
                .collect(),
            tension: found.tension.as_ref().map(|tension| TensionLearned {
                mm_per_newton: Context::lesson(&tension.per_newton),
                told: tension.told,
            }),
            touches: found.touch.iter().map(|touch| context.touch(touch)).collect(),
            sentences: sentences(&told.sentences),
        })
    }

    /// Relief and action to expect in each of the climates, with rod, strings and saddles as they are now,
    /// and what to pack for.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; `BadInput` for a climate beyond what is
    /// known of wood, or when nothing has been learned of the seasons; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn forecast(
        &self,
        climates: Vec<ForecastClimate>,
        setup: Option<SetupId>,
    ) -> Result<Forecast> {
        self.voice.is_asked();
        let climates: Vec<learn::ForecastClimate> = climates
            .into_iter()
            .map(|climate| learn::ForecastClimate {
                name: climate.name,
                temperature_c: climate.temperature_c,
                humidity_percent: climate.humidity_percent,
            })
            .collect();
        let told = self.inner().forecast(&climates, setup.as_ref().map(|id| &id.0))?;
        let context = Context::of(&told.spec);
        let found = told.facts;
        Ok(Forecast {
            season: context.season(&found.season),
            target_mm: found.target_mm,
            climates: found.there.iter().map(|there| context.there(there)).collect(),
            sentences: sentences(&told.sentences),
        })
    }
}

fn why(why: learn::WhyLeftOut) -> WhyLeftOut {
    match why {
        learn::WhyLeftOut::TurnsUnwritten => WhyLeftOut::TurnsUnwritten,
        learn::WhyLeftOut::NotReadBefore => WhyLeftOut::NotReadBefore,
        learn::WhyLeftOut::NotReadAfter => WhyLeftOut::NotReadAfter,
        learn::WhyLeftOut::DoneBetween(kind) => WhyLeftOut::DoneBetween { kind: kind.into() },
        learn::WhyLeftOut::TooFarApart => WhyLeftOut::TooFarApart,
        learn::WhyLeftOut::NotAlike => WhyLeftOut::NotAlike,
        learn::WhyLeftOut::Outvoted => WhyLeftOut::Outvoted,
        learn::WhyLeftOut::AnotherWay => WhyLeftOut::AnotherWay,
        learn::WhyLeftOut::NoClimate => WhyLeftOut::NoClimate,
        learn::WhyLeftOut::ClimateBeyond => WhyLeftOut::ClimateBeyond,
        learn::WhyLeftOut::Bound => WhyLeftOut::OneSided,
        learn::WhyLeftOut::StandsApart => WhyLeftOut::StandsApart,
        learn::WhyLeftOut::ActionUnread => WhyLeftOut::ActionUnread,
        learn::WhyLeftOut::ReliefUnread => WhyLeftOut::ReliefUnread,
        learn::WhyLeftOut::ReadLongFromIt => WhyLeftOut::ReadLongFromIt,
        learn::WhyLeftOut::StringsUnknown => WhyLeftOut::StringsUnknown,
        learn::WhyLeftOut::OpenString => WhyLeftOut::OpenString,
        learn::WhyLeftOut::OthersFirst => WhyLeftOut::OthersFirst,
        learn::WhyLeftOut::LiesOnFret => WhyLeftOut::LiesOnFret,
        learn::WhyLeftOut::TouchBeyond { newton } => WhyLeftOut::TouchBeyond { force_n: newton },
    }
}

impl Context<'_> {
    pub(crate) fn lesson(lesson: &learn::LearnedValue) -> LearnedValue {
        LearnedValue {
            observations: count(lesson.observations),
            estimate: lesson.estimate,
            prior: lesson.prior,
            left_out: lesson
                .excluded
                .iter()
                .map(|excluded| LeftOut {
                    entry: Some(excluded.entry.into()),
                    why: why(excluded.why),
                    text: crate::voice::say(&fallaway_text::learned::why_left_out(excluded.why)),
                })
                .collect(),
        }
    }

    fn touch(&self, touch: &learn::PlayerTouch) -> PlayerTouch {
        let observed = touch.observed.iter().map(|observed| TouchObserved {
            entry: Some(observed.entry.into()),
            place: observed.place.into(),
            heard: match observed.heard {
                touch::TouchHeard::Clean { to } => TouchHeard::Clean { to_fret: to.into() },
                touch::TouchHeard::Buzz { from, to } => {
                    TouchHeard::Buzz { from_fret: from.into(), to_fret: to.into() }
                }
            },
            bound_n: observed.bound.newton,
            is_most: observed.bound.side == touch::BoundSide::AtMost,
            relief: self.seen(&observed.relief),
            action: self.seen(&observed.action),
        });
        PlayerTouch {
            by: touch.by.clone(),
            force_n: Self::lesson(&touch.force),
            bounds: touch.sides,
            observed: observed.collect(),
        }
    }

    fn season(&self, season: &learn::SeasonLearned) -> SeasonLearned {
        SeasonLearned {
            way: self.to_read(season.way),
            mm_per_percent: Self::lesson(&season.per_percent),
            driest_percent: season.seen_percent.0,
            dampest_percent: season.seen_percent.1,
            told: season.told,
        }
    }

    fn there(&self, there: &learn::ClimateForecast) -> ClimateForecast {
        ClimateForecast {
            name: there.air.name.clone(),
            moisture_percent: there.moisture_percent,
            relief_mm: there.relief,
            beyond_record: there.beyond_record,
            pack: there.pack.map(turn),
            more_relief: there.more_relief,
            actions: there
                .action
                .iter()
                .map(|action| ActionForecast {
                    measurand: self.to_read(action.measurand),
                    reading: self.seen(&action.from),
                    expect: estimate::known(action.expect, Basis::Learned),
                })
                .collect(),
        }
    }
}
