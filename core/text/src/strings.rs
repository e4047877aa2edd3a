//! What other strings or another tuning will do.

use fallaway_advice::change_strings::{
    ReliefGoes, SaddleMoves, SlotFit, StringForecast, StringsForecast,
};
use fallaway_measure::StringPlace;
use fallaway_mechanics::units::as_mm;
use fallaway_record::InstrumentSpec;
use uom::si::force::newton;

use crate::messages::plan::sentence;
use crate::messages::strings as say;
use crate::{Computed, LengthOf, Phrase, cautions, clearance, names, plan};

/// The forecast as it stands on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct StringsText {
    /// The tension on the neck, now and then.
    pub tension: Phrase,
    /// The headings of the table.
    pub head: [Phrase; 5],
    /// A row for each string.
    pub rows: Vec<[Phrase; 5]>,
    /// What is to be expected, a sentence each.
    pub sentences: Vec<Phrase>,
    /// The line over the checklist.
    pub checklist_head: Phrase,
    /// What to do afterwards, in order.
    pub checklist: Vec<Phrase>,
    /// What it rests on.
    pub basis: Vec<Phrase>,
    /// What is taken for granted.
    pub assumed: Option<Phrase>,
    /// What can harm.
    pub cautions: Vec<Phrase>,
}

/// The forecast in words.
pub fn forecast(forecast: &StringsForecast, spec: &InstrumentSpec) -> StringsText {
    StringsText {
        tension: tension(forecast),
        head: [
            say::column_string(),
            say::column_now(),
            say::column_then(),
            say::column_action(),
            say::column_slot(),
        ],
        rows: forecast.strings.iter().map(|string| row(string, spec)).collect(),
        sentences: sentences(forecast, spec),
        checklist_head: say::checklist(),
        checklist: checklist(),
        basis: basis(forecast),
        assumed: actions_told(forecast).then(say::action_assumed),
        cautions: forecast.cautions.iter().map(|one| cautions::text(*one)).collect(),
    }
}

fn tension(forecast: &StringsForecast) -> Phrase {
    let total = &forecast.compared.total;
    let force = |newtons: f64| Computed::newtons(newtons).places(0);
    say::pull(
        force(total.before.value.get::<newton>()),
        force(total.after.value.get::<newton>()),
        Computed::percent((total.ratio - 1.0) * 100.0).places(1).signed(),
        force(2.0 * forecast.difference.standard_uncertainty.get::<newton>()),
    )
}

fn row(string: &StringForecast, spec: &InstrumentSpec) -> [Phrase; 5] {
    let force = |tension: &fallaway_advice::strings::StringTension| {
        names::computed(Computed::newtons(tension.tension.value.get::<newton>()).places(0))
    };
    let action = |length| Computed::mm(as_mm(length)).of(LengthOf::Action);
    [
        names::string_label(spec, string.place),
        force(&string.before),
        force(&string.after),
        match string.lowest_action {
            Some((now, then)) => say::from_to(action(now).at_least(), action(then).at_least()),
            None => say::unknown(),
        },
        slot(string.slot),
    ]
}

/// Whether the nut slot takes the new string.
pub fn slot(slot: SlotFit) -> Phrase {
    match slot {
        SlotFit::Unknown => say::slot_unknown(),
        SlotFit::Fits => say::slot_fits(),
        SlotFit::MayBind => say::slot_binds(),
        SlotFit::MayRattle => say::slot_rattles(),
    }
}

/// What the relief will do, with what that rests on.
pub fn relief(forecast: &StringsForecast) -> Phrase {
    match &forecast.relief_change {
        Some(change) => {
            let mm = |value| Computed::mm(value).signed().of(LengthOf::Relief);
            let estimate = crate::learned::interval(change.mm, mm);
            say::relief_learned(estimate, change.observations)
        }
        None => match forecast.relief {
            ReliefGoes::Up => say::relief_more(),
            ReliefGoes::Down => say::relief_less(),
            ReliefGoes::CannotTell => say::relief_either(),
        },
    }
}

fn sentences(forecast: &StringsForecast, spec: &InstrumentSpec) -> Vec<Phrase> {
    let name = |string: &StringForecast| names::string_label(spec, string.place);
    let strings = || forecast.strings.iter();
    let mut said: Vec<Phrase> =
        strings().filter(|one| one.refused).map(|one| say::refused(name(one))).collect();
    said.push(relief(forecast));
    said.extend(strings().filter_map(|one| Some(saddle(name(one), &one.saddle_moves?))));
    let unknown: Vec<StringPlace> = strings()
        .filter(|one| one.intonation_moves && one.saddle_moves.is_none())
        .map(|one| one.place)
        .collect();
    if !unknown.is_empty() {
        said.push(say::saddle_unknown(names::strings(spec, &unknown)));
    }
    said.push(say::again(plan::to_measure(&forecast.again)));
    said
}

/// Where the saddle will have to be looked for.
pub fn saddle(string: Phrase, moves: &SaddleMoves) -> Phrase {
    let SaddleMoves { low_mm, middle_mm, high_mm } = *moves;
    let tenths = |value: f64| Computed::mm(value.abs()).places(1);
    if low_mm.signum() != high_mm.signum() || middle_mm.abs() < 0.05 {
        return say::saddle_stays(string, tenths(low_mm.abs().max(high_mm.abs()).max(0.1)));
    }
    let (least, most) = (low_mm.abs().min(high_mm.abs()), low_mm.abs().max(high_mm.abs()));
    let (by, least, most) = (tenths(middle_mm), tenths(least), tenths(most));
    if middle_mm > 0.0 {
        say::saddle_back(string, by, least, most)
    } else {
        say::saddle_forward(string, by, least, most)
    }
}

fn actions_told(forecast: &StringsForecast) -> bool {
    forecast.strings.iter().any(|one| one.lowest_action.is_some())
}

fn basis(forecast: &StringsForecast) -> Vec<Phrase> {
    let mut basis: Vec<Phrase> = Vec::new();
    for mass in forecast.strings.iter().map(|one| sentence(clearance::mass(one.after.source))) {
        if !basis.contains(&mass) {
            basis.push(mass);
        }
    }
    if forecast.strings.iter().any(|one| one.saddle_moves.is_some()) {
        basis.push(say::saddle_basis());
    }
    basis.push(say::tension_basis());
    basis.extend(actions_told(forecast).then(say::action_basis));
    basis
}

/// What to do after a change of strings or tuning, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Check {
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
}

impl Check {
    /// All of them, in their order.
    pub const ALL: [Self; 6] =
        [Self::Tune, Self::Relief, Self::Nut, Self::Action, Self::Pickup, Self::Intonation];

    /// The line of the checklist, as a sentence.
    pub fn phrase(self) -> Phrase {
        match self {
            Self::Tune => say::check_tune(),
            Self::Relief => say::check_relief(),
            Self::Nut => say::check_nut(),
            Self::Action => say::check_action(),
            Self::Pickup => say::check_pickup(),
            Self::Intonation => say::check_intonation(),
        }
    }
}

/// What to do afterwards, in order, a line each.
pub fn checklist() -> Vec<Phrase> {
    Check::ALL.into_iter().map(Check::phrase).collect()
}
