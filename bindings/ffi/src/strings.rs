//! What other strings or another tuning will do, before it is done.

use fallaway::advice::change_strings;
use fallaway::mechanics::uom::si::f64::Force;
use fallaway::mechanics::uom::si::force::newton;
use fallaway::mechanics::{Uncertain, units::as_mm};
use fallaway::record::InstrumentSpec;
use fallaway::text::{Computed, clearance, names, strings as text};

use crate::learned::Interval;
use crate::mirror::mirror;
use crate::numbers::count;
use crate::observe::MeasurandKind;
use crate::other_strings::OtherStrings;
use crate::plan::{Caution, cautions};
use crate::touch::Touch;
use crate::voice::say;
use crate::{Basis, Estimate, EstimateUnit, Instrument, Result, StringPlace};

mirror! {
    /// Whether a slot that was cut for the present gauge takes the new one.
    SlotFit = change_strings::SlotFit {
        /// One of the gauges is not written: look.
        Unknown,
        /// The string is about as wide as the one that the slot was cut for.
        Fits,
        /// The new string is thicker: it may ride high or bind.
        MayBind,
        /// The new string is thinner: it may rattle or lie deeper.
        MayRattle,
    }
}

pub use fallaway::advice::change_strings::ReliefGoes;

/// Which way the relief will go.
#[uniffi::remote(Enum)]
pub enum ReliefGoes {
    /// More pull: more relief, until the rod is set again.
    Up,
    /// Less pull: less relief.
    Down,
    /// The pull changes by less than the estimate can tell.
    CannotTell,
}

/// What to do after a change of strings or tuning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ChecklistItem {
    /// Tune, stretch, tune again.
    Tune,
    /// Let the neck settle, then read the relief.
    Relief,
    /// Read the nut, and look at each slot.
    Nut,
    /// Read the action, string by string.
    Action,
    /// Read the gaps of the pickups.
    Pickup,
    /// Read the intonation.
    Intonation,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// A line of the checklist.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ChecklistLine {
    /// What to do or to look at, as data.
    pub item: ChecklistItem,
    /// The line in words, for a person.
    pub text: String,
}

pub use fallaway::mechanics::strings::MassBasis;

/// Where a mass for length comes from.
#[uniffi::remote(Enum)]
pub enum MassBasis {
    /// The pack: unit weight or tension.
    Pack,
    /// Wire diameters and densities.
    Construction,
    /// Guessed from the outer diameter of a wound string.
    OuterDiameter,
}

/// One string before and after.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringForecast {
    /// Which string it is.
    pub place: StringPlace,
    /// Its pull now, in N.
    pub before: Estimate,
    /// Its pull then, in N.
    pub after: Estimate,
    /// Where the mass behind the pull comes from.
    pub mass_from: MassBasis,
    /// The same in words.
    pub mass_text: String,
    /// Its slot in the nut.
    pub slot: SlotFit,
    /// The same in words.
    pub slot_text: String,
    /// A plain string that would be stressed too far: do not tune it so.
    pub refused: bool,
    /// The lowest clean action now in mm, by the clearance model; `None` if it cannot be told.
    pub lowest_action_now_mm: Option<f64>,
    /// The lowest clean action then, in mm; `None` if it cannot be told.
    pub lowest_action_then_mm: Option<f64>,
    /// Core or note differ, so that the saddle may have to move.
    pub intonation_moves: bool,
    /// How far, by the model of a stiff string; `None` where a core is not known, or nothing changes.
    pub saddle_moves: Option<SaddleMoves>,
}

/// Where a saddle is to be looked for after the change.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SaddleMoves {
    /// Least, in mm; away from the neck is above zero.
    pub low_mm: f64,
    /// With the string clamped at the fret and pinned at the saddle.
    pub middle_mm: f64,
    /// Most, in mm; away from the neck is above zero.
    pub high_mm: f64,
    /// In a sentence, with what it rests on.
    pub text: String,
}

/// What a change of strings or tuning will do.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BeforeStrings {
    /// Each string, before and after.
    pub strings: Vec<StringForecast>,
    /// The sum of pulls on the neck now, in N.
    pub total_before: Estimate,
    /// The sum of pulls on the neck then, in N.
    pub total_after: Estimate,
    /// Then minus now. A string that stays has one mass, so that this is surer than the sums are.
    pub difference: Estimate,
    /// Then divided by now.
    pub ratio: f64,
    /// Which way the relief goes.
    pub relief: ReliefGoes,
    /// By how much in mm, as this instrument has shown it, with an interval that holds 95 %; `None`
    /// while it has not.
    pub relief_change_mm: Option<Interval>,
    /// From how many changes of strings or tuning that was learned; 0 while it has not.
    pub relief_observations: u32,
    /// Both in words.
    pub relief_text: String,
    /// What is to be measured again afterwards, in the order of the work.
    pub again: Vec<MeasurandKind>,
    /// What to do afterwards, in order, a line each.
    pub checklist: Vec<ChecklistLine>,
    /// What can harm.
    pub cautions: Vec<Caution>,
}

#[uniffi::export]
impl Instrument {
    /// What other strings or another tuning will do: pull, relief, lowest clean action, slots, what to
    /// read again. `player` as in `clearance`.
    ///
    /// # Errors
    /// `BadInput` if a gauge, note or scale is not known, or nothing would change; when the record
    /// cannot be read; `Closed`.
    #[uniffi::method(default(player = None))]
    pub fn before_strings(
        &self,
        other_strings: OtherStrings,
        touch: Touch,
        player: Option<String>,
    ) -> Result<BeforeStrings> {
        self.voice.is_asked();
        let change = other_strings.typed()?;
        let play = touch.play_on(self, player.as_deref())?;
        let found = self.inner().before_strings(&change, play)?;
        Ok(forecast(&found, &self.inner().details()?.spec))
    }
}

fn tension(estimate: Uncertain<Force>) -> Estimate {
    let value = estimate.value.get::<newton>();
    Estimate {
        value,
        unit: EstimateUnit::Newton,
        as_entered: None,
        text: say(&names::computed(Computed::newtons(value).places(0))),
        standard_uncertainty: Some(estimate.standard_uncertainty.get::<newton>()),
        basis: Basis::Computed,
    }
}

fn forecast(found: &change_strings::StringsForecast, spec: &InstrumentSpec) -> BeforeStrings {
    BeforeStrings {
        strings: found.strings.iter().map(|string| one(string, spec)).collect(),
        total_before: tension(found.compared.total.before),
        total_after: tension(found.compared.total.after),
        difference: tension(found.difference),
        ratio: found.compared.total.ratio,
        relief: found.relief,
        relief_change_mm: found.relief_change.map(|change| change.mm),
        relief_observations: found.relief_change.map_or(0, |change| count(change.observations)),
        relief_text: say(&text::relief(found)),
        again: found.again.iter().copied().map(Into::into).collect(),
        checklist: text::Check::ALL.into_iter().map(checklist_line).collect(),
        cautions: cautions(&found.cautions),
    }
}

fn checklist_line(check: text::Check) -> ChecklistLine {
    ChecklistLine {
        item: match check {
            text::Check::Tune => ChecklistItem::Tune,
            text::Check::Relief => ChecklistItem::Relief,
            text::Check::Nut => ChecklistItem::Nut,
            text::Check::Action => ChecklistItem::Action,
            text::Check::Pickup => ChecklistItem::Pickup,
            text::Check::Intonation => ChecklistItem::Intonation,
        },
        text: say(&check.phrase()),
    }
}

fn one(string: &change_strings::StringForecast, spec: &InstrumentSpec) -> StringForecast {
    StringForecast {
        place: string.place.into(),
        before: tension(string.before.tension),
        after: tension(string.after.tension),
        mass_from: string.after.source,
        mass_text: say(&clearance::mass(string.after.source)),
        slot: string.slot.into(),
        slot_text: say(&text::slot(string.slot)),
        refused: string.refused,
        lowest_action_now_mm: string.lowest_action.map(|(now, _)| as_mm(now)),
        lowest_action_then_mm: string.lowest_action.map(|(_, then)| as_mm(then)),
        intonation_moves: string.intonation_moves,
        saddle_moves: string.saddle_moves.map(|moves| SaddleMoves {
            low_mm: moves.low_mm,
            middle_mm: moves.middle_mm,
            high_mm: moves.high_mm,
            text: say(&text::saddle(names::string_label(spec, string.place), &moves)),
        }),
    }
}
