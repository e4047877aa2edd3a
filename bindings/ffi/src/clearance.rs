//! Will it buzz, and what if.
//!
//! The swing of the strings comes from a model with assumed tension, stiffness, decay and touch: a
//! calibration, not a measurement. It ranks strings and changes; it does not decide. Show
//! [`ClearanceAnswer::caveat`] beside every number.

use std::sync::{Arc, Mutex, PoisonError};

use fallaway::advice::clearance;
use fallaway::mechanics;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::Force;
use fallaway::mechanics::uom::si::force::newton;
use fallaway::record::InstrumentSpec;
use fallaway::text::{clearance as text, names};

use crate::numbers::count;
use crate::observe::{Context, SeenReading};
use crate::other_strings::OtherStrings;
use crate::scene::{Scene, scene};
use crate::strings::MassBasis;
use crate::touch::{Touch, TouchBounds};
use crate::voice::{WorkshopVoice, say, voice};
use crate::{Instrument, Location, Result, StringPlace};

/// Where the force of a touch comes from.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum ForceFrom {
    /// Assumed: an ordinary finger stroke (common practice, no source).
    Assumed,
    /// Whoever asked named it.
    Given,
    /// Learned from one player's clean numbers and buzz notes.
    Learned {
        /// How many observations it was learned from.
        observations: u32,
        /// Low end of the interval that holds 95 %, in N.
        low_n: f64,
        /// High end, in N.
        high_n: f64,
        /// From which sides the observations hold it.
        bounds: TouchBounds,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// The touch that an answer holds for.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TouchUsed {
    /// Its force in N.
    pub force_n: f64,
    /// Where that comes from.
    pub force_from: ForceFrom,
    /// Both in words.
    pub text: String,
}

impl From<clearance::TouchUsed> for TouchUsed {
    fn from(play: clearance::TouchUsed) -> Self {
        Self {
            force_n: play.touch.force.get::<newton>(),
            force_from: match play.touch_from {
                clearance::ForceFrom::Assumed => ForceFrom::Assumed,
                clearance::ForceFrom::Given => ForceFrom::Given,
                clearance::ForceFrom::Learned { observations, low_newton, high_newton, sides } => {
                    ForceFrom::Learned {
                        observations: count(observations),
                        low_n: low_newton,
                        high_n: high_newton,
                        bounds: sides,
                    }
                }
            },
            text: say(&text::touch(&play)),
        }
    }
}

pub use fallaway::advice::clearance::UnderTouch;

/// Whether a string stays clean under a touch that is known to lie in an interval.
#[uniffi::remote(Enum)]
pub enum UnderTouch {
    /// Clean, even at the high end of the interval.
    Clean,
    /// It touches, even at the low end.
    Touches,
    /// It depends on where in its interval the touch lies.
    CannotBeTold,
}

/// What is to be otherwise than it was read. Lists hold one number for each string of
/// [`ClearanceBasis::strings`], in that order, or are empty.
#[derive(Debug, Clone, PartialEq, Default, uniffi::Record)]
pub struct ClearanceWhatIf {
    /// This relief in mm, saddles untouched: every action moves with it.
    #[uniffi(default = None)]
    pub relief_mm: Option<f64>,
    /// Each saddle raised by so much, in mm, or all of them by the only number; after the relief.
    #[uniffi(default = [])]
    pub saddle_rises_mm: Vec<f64>,
    /// These actions instead of those read, in mm; after relief and saddles.
    #[uniffi(default = [])]
    pub actions_mm: Vec<f64>,
    /// These frequencies of the open strings in Hz; tension follows with the square.
    #[uniffi(default = [])]
    pub frequencies_hz: Vec<f64>,
    /// These tensions in N; after the frequencies.
    #[uniffi(default = [])]
    pub tensions_n: Vec<f64>,
}

impl From<ClearanceWhatIf> for clearance::ClearanceWhatIf {
    fn from(asked: ClearanceWhatIf) -> Self {
        let lengths = |values: Vec<f64>| values.into_iter().map(mm).collect();
        Self {
            relief: asked.relief_mm.map(mm),
            saddles: lengths(asked.saddle_rises_mm),
            actions: lengths(asked.actions_mm),
            hz: asked.frequencies_hz,
            tensions: asked.tensions_n.into_iter().map(Force::new::<newton>).collect(),
        }
    }
}

/// The room between string and crown at one place.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ClearanceMargin {
    /// Where the string is stopped; 0 open.
    pub stopped_fret: u32,
    /// The fret that it comes near to.
    pub over_fret: u32,
    /// The gap at rest in mm.
    pub gap_mm: f64,
    /// How deep it swings there in mm.
    pub depth_mm: f64,
    /// What is left, in mm; below zero: it touches.
    pub margin_mm: f64,
}

impl From<mechanics::clearance::ClearanceMargin> for ClearanceMargin {
    fn from(margin: mechanics::clearance::ClearanceMargin) -> Self {
        Self {
            stopped_fret: count(margin.place.stopped),
            over_fret: count(margin.place.over),
            gap_mm: as_mm(margin.gap),
            depth_mm: as_mm(margin.depth),
            margin_mm: as_mm(margin.margin),
        }
    }
}

/// The lowest action that stays clean at this relief.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct LowestClean {
    /// The action in mm, read where the string's action is read.
    pub action_mm: f64,
    /// The note that limits it: where it is stopped.
    pub stopped_fret: u32,
    /// The fret that it would touch first.
    pub over_fret: u32,
}

/// The relief that allows the lowest action.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct BestRelief {
    /// The relief in mm.
    pub relief_mm: f64,
    /// The lowest clean action that it allows, in mm.
    pub action_mm: f64,
    /// From this relief on the action is within 0.02 mm of that.
    pub good_from_mm: f64,
    /// Up to this one.
    pub good_to_mm: f64,
}

/// The hardest touch that stays clean.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct HardestTouch {
    /// The force in N.
    pub force_n: f64,
    /// The note that limits it: where it is stopped.
    pub stopped_fret: u32,
    /// The fret that it touches first.
    pub over_fret: u32,
}

/// The answer for one string.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringClearance {
    /// Which string was asked about.
    pub place: StringPlace,
    /// What it is called: "4 (E)".
    pub name: String,
    /// Its action with what was asked, in mm.
    pub action_mm: f64,
    /// Where the action is read: stopped at.
    pub action_stopped_fret: u32,
    /// Where the action is read: over.
    pub action_over_fret: u32,
    /// The smallest margin and where: below zero, it buzzes there first.
    pub smallest: ClearanceMargin,
    /// Whether it buzzes at all, by the model.
    pub buzzes: bool,
    /// Standard uncertainty of the smallest margin in mm that the readings leave; the model's own
    /// error is not in it.
    pub smallest_uncertainty_mm: f64,
    /// Of each note the smallest margin, lowest note first: a row of the map.
    pub notes: Vec<ClearanceMargin>,
    /// Every margin of every note; empty unless it was asked for.
    pub all_margins: Vec<ClearanceMargin>,
    /// The lowest clean action at this relief; `None` if no saddle within reach is clean.
    pub lowest_clean: Option<LowestClean>,
    /// The relief that allows the lowest action; `None` as above.
    pub best_relief: Option<BestRelief>,
    /// The hardest touch that stays clean as it is; `None` if the string lies on a fret.
    pub hardest_touch: Option<HardestTouch>,
    /// Whether it stays clean over the whole interval of the touch, where it was learned.
    pub under_touch: UnderTouch,
}

/// The answer for the instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceAnswer {
    /// String by string, highest pitch first.
    pub strings: Vec<StringClearance>,
    /// Which string limits: its position in `strings`.
    pub limiting_string: u32,
    /// The touch that it holds for.
    pub touch: TouchUsed,
    /// What has to be said beside every number of it.
    pub caveat: String,
    /// The same as data.
    pub caveat_kind: CaveatKind,
}

/// What has to be said beside a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum CaveatKind {
    /// A model says it, with assumed tension, stiffness, decay and touch, and nobody measured it: for
    /// comparing, not for deciding.
    Modelled,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// One string as it was read.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceString {
    /// Which string the readings are of.
    pub place: StringPlace,
    /// What it is called: "4 (E)".
    pub name: String,
    /// Its action in mm, as read.
    pub action_mm: f64,
    /// Where it was stopped for that.
    pub action_stopped_fret: u32,
    /// Over which fret it was read.
    pub action_over_fret: u32,
    /// Relief under it in mm, as read.
    pub relief_mm: f64,
    /// Frequency of the open string in Hz.
    pub frequency_hz: f64,
    /// Tension in N, from pack, gauge or wire as `assumed` says.
    pub tension_n: f64,
    /// Inharmonicity of the open string.
    pub inharmonicity: f64,
}

/// Something that was taken for granted.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Assumed {
    /// A string that no action was read of is left out.
    LeftOut {
        /// The string without a reading of its action.
        place: StringPlace,
    },
    /// A string's tension, and how stiff it is.
    Tension {
        /// The string whose tension was assumed or worked out.
        place: StringPlace,
        /// The tension in N.
        tension_n: f64,
        /// Where the mass behind it comes from.
        mass_from: MassBasis,
        /// Inharmonicity of the open string.
        inharmonicity: f64,
        /// Whether that is assumed from the note, not worked out from the wire.
        from_note: bool,
    },
    /// Where the neck stops bending (common practice, no source).
    Joint {
        /// The last fret that bends.
        fret: u32,
        /// By how many frets it may lie elsewhere.
        uncertain_by_frets: u32,
    },
    /// Frets level, saddles at the scale length.
    Level,
    /// A crown stands above the others, or below, as it was found.
    Crown {
        /// The fret whose crown stands out of line.
        fret: u32,
        /// Under which string it was found so.
        place: StringPlace,
        /// By how much in mm; below zero: it stands below them.
        by_mm: f64,
    },
    /// The board falls away toward its end, or rises, as it was read: evenly from one fret on.
    FallAway {
        /// The fret from which on it falls away or rises.
        from_fret: u32,
        /// Where it was read.
        at_fret: u32,
        /// Under which string or on which side; or on the board as a whole.
        location: Location,
        /// By how much there in mm; below zero: it rises.
        by_mm: f64,
    },
    /// What came after this app was built: the sentences say it.
    Newer,
}

impl From<clearance::Assumed> for Assumed {
    fn from(assumed: clearance::Assumed) -> Self {
        match assumed {
            clearance::Assumed::LeftOut(place) => Self::LeftOut { place: place.into() },
            clearance::Assumed::Tension { string, newtons, source, inharmonicity, from_note } => {
                Self::Tension {
                    place: string.into(),
                    tension_n: newtons,
                    mass_from: source,
                    inharmonicity,
                    from_note,
                }
            }
            clearance::Assumed::Joint { fret, by } => {
                Self::Joint { fret: fret.into(), uncertain_by_frets: by.into() }
            }
            clearance::Assumed::Level => Self::Level,
            clearance::Assumed::Crown { fret, string, mm } => {
                Self::Crown { fret: fret.into(), place: string.into(), by_mm: mm }
            }
            clearance::Assumed::FallAway { from, at, location, mm } => Self::FallAway {
                from_fret: from.into(),
                at_fret: at.into(),
                location: location.into(),
                by_mm: mm,
            },
        }
    }
}

/// What the answers rest on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ClearanceBasis {
    /// The strings, highest pitch first; those without an action are left out.
    pub strings: Vec<ClearanceString>,
    /// The readings that were used.
    pub used: Vec<SeenReading>,
    /// Those among them that something was done to since: measure again.
    pub out_of_date: Vec<SeenReading>,
    /// What was taken for granted.
    pub assumed: Vec<Assumed>,
    /// The same, a sentence each.
    pub assumed_sentences: Vec<String>,
}

/// An answer with what it rests on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Clearance {
    /// What touches, and how low the strings could go.
    pub answer: ClearanceAnswer,
    /// What it rests on.
    pub basis: ClearanceBasis,
}

/// An instrument laid out for questions, for a slider: the first question of a note or tuning takes
/// some tens of milliseconds a string, those after it well under one.
///
/// It goes by what was read when it was made; make another after something was read. It answers
/// without the workshop, also after that was shut down, unless it is asked about other strings.
#[derive(uniffi::Object)]
pub struct ClearanceModel {
    model: Mutex<clearance::ClearanceModel>,
    voice: Arc<WorkshopVoice>,
    instrument: fallaway::Instrument,
    usual: clearance::TouchUsed,
    opened: ClearanceAnswer,
    basis: ClearanceBasis,
    neck: Scene,
}

#[uniffi::export]
impl Instrument {
    /// Margins of every string, where it buzzes first, lowest clean action, best relief and hardest
    /// touch, as the instrument stands or with what is asked to be otherwise, in one call.
    ///
    /// `all_margins`: with every margin of every note, some hundreds a string. `player`: whose touch
    /// to take where `touch` gives no force; the only one of whom any was learned if nobody is named.
    /// `other_strings`: with these strings and notes, relief and saddles as they are.
    ///
    /// # Errors
    /// `BadInput` naming what is not known (relief, action, gauges, frets), for a fretless board, and
    /// for numbers outside their limits; `NotFound` for a player of whom nothing was learned; when
    /// the record cannot be read; `Closed`.
    #[uniffi::method(default(
        player = None,
        what_if = None,
        other_strings = None,
        all_margins = false
    ))]
    pub fn clearance(
        &self,
        touch: Touch,
        player: Option<String>,
        what_if: Option<ClearanceWhatIf>,
        other_strings: Option<OtherStrings>,
        all_margins: bool,
    ) -> Result<Clearance> {
        let mut model = self.inner().clearance()?;
        let basis = clearance_basis(&model);
        let play = touch.play_on(self, player.as_deref())?;
        let asked = asked(self.inner(), &model, what_if.unwrap_or_default(), other_strings)?;
        let found = model.ask(&asked, play)?;
        Ok(Clearance { answer: answer(&found, play, all_margins, &model.spec), basis })
    }

    /// The same laid out for many questions, for a slider, with the answer for the instrument as it
    /// stands under this touch (`opened`), what it rests on and the neck: all that its screen shows first.
    ///
    /// # Errors
    /// As `clearance`.
    #[uniffi::method(default(player = None))]
    pub fn clearance_model(
        &self,
        touch: Touch,
        player: Option<String>,
    ) -> Result<Arc<ClearanceModel>> {
        let usual = self.inner().play_of(player.as_deref())?;
        let mut model = self.inner().clearance()?;
        let basis = clearance_basis(&model);
        let play = touch.play(usual);
        let found = model.ask(&clearance::ClearanceWhatIf::default(), play)?;
        let opened = answer(&found, play, false, &model.spec);
        let neck = scene(self.inner().draw_neck(None, None, &voice())?, None);
        Ok(Arc::new(ClearanceModel {
            model: Mutex::new(model),
            voice: Arc::clone(&self.voice),
            instrument: self.inner().clone(),
            usual,
            opened,
            basis,
            neck,
        }))
    }
}

#[uniffi::export]
impl ClearanceModel {
    /// Answers a question.
    ///
    /// # Errors
    /// `BadInput` for numbers outside their limits, and lists of another length than the strings;
    /// with other strings also what `Instrument.clearance` answers.
    #[uniffi::method(default(what_if = None, other_strings = None, all_margins = false))]
    pub fn ask(
        &self,
        touch: Touch,
        what_if: Option<ClearanceWhatIf>,
        other_strings: Option<OtherStrings>,
        all_margins: bool,
    ) -> Result<ClearanceAnswer> {
        self.voice.is_asked();
        // What a question leaves in the model is a cache: whole after a panic, too.
        let mut model = self.model.lock().unwrap_or_else(PoisonError::into_inner);
        let play = touch.play(self.usual);
        let asked = asked(&self.instrument, &model, what_if.unwrap_or_default(), other_strings)?;
        let found = model.ask(&asked, play)?;
        Ok(answer(&found, play, all_margins, &model.spec))
    }

    /// The answer for the instrument as it stood when this was made, under the touch that was given then.
    pub fn opened(&self) -> ClearanceAnswer {
        self.opened.clone()
    }

    /// What its answers rest on.
    pub fn basis(&self) -> ClearanceBasis {
        self.basis.clone()
    }

    /// The neck in profile as it was when this was made, as `Instrument.draw_neck` without a string.
    pub fn neck(&self) -> Scene {
        self.neck.clone()
    }
}

/// The question as the model takes it.
fn asked(
    instrument: &fallaway::Instrument,
    model: &clearance::ClearanceModel,
    what_if: ClearanceWhatIf,
    other_strings: Option<OtherStrings>,
) -> Result<clearance::ClearanceWhatIf> {
    let asked = clearance::ClearanceWhatIf::from(what_if);
    let Some(other) = other_strings else { return Ok(asked) };
    let other = instrument.with_strings(model, &other.typed()?)?;
    Ok(clearance::ClearanceWhatIf { hz: other.hz, tensions: other.tensions, ..asked })
}

pub(crate) fn answer(
    found: &clearance::ClearanceAnswer,
    play: clearance::TouchUsed,
    all_margins: bool,
    spec: &InstrumentSpec,
) -> ClearanceAnswer {
    ClearanceAnswer {
        strings: found
            .strings
            .iter()
            .map(|string| string_answer(string, all_margins, spec))
            .collect(),
        limiting_string: count(found.limiting),
        touch: play.into(),
        caveat: say(&text::caveat()),
        caveat_kind: CaveatKind::Modelled,
    }
}

fn string_answer(
    string: &clearance::StringClearance,
    all_margins: bool,
    spec: &InstrumentSpec,
) -> StringClearance {
    let margins = |margins: Vec<mechanics::clearance::ClearanceMargin>| {
        margins.into_iter().map(Into::into).collect()
    };
    StringClearance {
        place: string.place.into(),
        name: say(&names::string_label(spec, string.place)),
        action_mm: as_mm(string.action),
        action_stopped_fret: count(string.action_at.stopped),
        action_over_fret: count(string.action_at.over),
        smallest: string.smallest.into(),
        buzzes: as_mm(string.smallest.margin) < 0.0,
        smallest_uncertainty_mm: as_mm(string.uncertainty),
        notes: margins(string.by_note()),
        all_margins: if all_margins { margins(string.map.clone()) } else { Vec::new() },
        lowest_clean: string.lowest.map(|lowest| LowestClean {
            action_mm: as_mm(lowest.action),
            stopped_fret: count(lowest.limited_by.stopped),
            over_fret: count(lowest.limited_by.over),
        }),
        best_relief: string.best_relief.map(|best| BestRelief {
            relief_mm: as_mm(best.relief),
            action_mm: as_mm(best.action),
            good_from_mm: as_mm(best.good.0),
            good_to_mm: as_mm(best.good.1),
        }),
        hardest_touch: string.touch.map(|touch| HardestTouch {
            force_n: touch.force.get::<newton>(),
            stopped_fret: count(touch.limited_by.stopped),
            over_fret: count(touch.limited_by.over),
        }),
        under_touch: string.under_touch,
    }
}

/// What the answers of a model rest on.
pub(crate) fn clearance_basis(model: &clearance::ClearanceModel) -> ClearanceBasis {
    let context = Context::of(&model.spec);
    let strings = model.strings().iter().map(|string| ClearanceString {
        place: string.place.into(),
        name: say(&names::string_label(&model.spec, string.place)),
        action_mm: as_mm(string.action.value),
        action_stopped_fret: count(string.action_at.stopped),
        action_over_fret: count(string.action_at.over),
        relief_mm: as_mm(string.relief.value),
        frequency_hz: string.hz,
        tension_n: string.tension.value.get::<newton>(),
        inharmonicity: string.inharmonicity,
    });
    ClearanceBasis {
        strings: strings.collect(),
        used: context.all_seen(&model.rests_on),
        out_of_date: context.all_seen(&model.out_of_date),
        assumed: model.assumed.iter().copied().map(Assumed::from).collect(),
        assumed_sentences: text::assumed(&model.assumed, &model.spec).iter().map(say).collect(),
    }
}
