//! Why a note buzzes: the causes, what each predicts, and the reading that decides.

use fallaway_advice::buzz::{BuzzCause, CleanBy, SinceClean, Suspect};
use fallaway_mechanics::units::as_mm;

use crate::messages::buzz as say;
use crate::{Computed, List, Phrase, names};

/// A cause in a few words.
pub fn cause(cause: BuzzCause) -> Phrase {
    match cause {
        BuzzCause::ReliefTooSmall => say::relief_too_small(),
        BuzzCause::ActionLow => say::action_low(),
        BuzzCause::ProudCrown { fret } => say::proud_crown(fret),
        BuzzCause::NutSlot => say::nut_slot(),
        BuzzCause::LessPull => say::less_pull(),
        BuzzCause::LoosePart => say::loose_part(),
    }
}

/// What a cause predicts, a sentence.
pub fn predicts(suspect: &Suspect) -> Phrase {
    let by = suspect.needs.map_or(0.0, as_mm);
    let needs = if by < 0.005 { say::as_read() } else { say::less_than_read(Computed::mm(by)) };
    match suspect.cause {
        BuzzCause::ReliefTooSmall => say::predicts_relief(needs),
        BuzzCause::ActionLow => match suspect.harder {
            Some(harder) => say::predicts_harder(
                Computed::newtons(harder.force_newton),
                Computed::newtons(harder.up_to_newton),
            ),
            None => say::predicts_action(needs),
        },
        BuzzCause::ProudCrown { fret } if by < 0.005 => say::predicts_crown_as_read(needs, fret),
        BuzzCause::ProudCrown { fret } => say::predicts_crown(fret, Computed::mm(by)),
        BuzzCause::NutSlot if by > 0.005 => say::predicts_nut_lower(Computed::mm(by)),
        BuzzCause::NutSlot => say::predicts_nut(),
        BuzzCause::LessPull => less_pull(suspect.since.as_ref()),
        BuzzCause::LoosePart => say::predicts_loose(),
    }
}

/// That the string pulls less than when it last played clean.
fn less_pull(since: Option<&SinceClean>) -> Phrase {
    let at = since.map_or_else(|| Phrase::written(""), |since| names::moment(since.at));
    let unnoted = since.is_some_and(|since| since.by == CleanBy::NothingNoted);
    match since.and_then(|since| since.pull) {
        Some(pull) if unnoted => say::predicts_pull_unnoted(
            at,
            Computed::newtons(pull.then_newton),
            Computed::newtons(pull.now_newton),
        ),
        None if unnoted => say::predicts_strings_unnoted(at),
        Some(pull) => say::predicts_pull(
            at,
            Computed::newtons(pull.then_newton),
            Computed::newtons(pull.now_newton),
        ),
        None => say::predicts_strings(at),
    }
}

/// That relief or action is less than when the string last played clean.
fn fell(cause: BuzzCause, since: &SinceClean) -> Option<Phrase> {
    let at = names::moment(since.at);
    let unnoted = since.by == CleanBy::NothingNoted;
    match cause {
        BuzzCause::ReliefTooSmall if unnoted => {
            since.relief_fell_mm.map(|by| say::relief_fell_unnoted(at, Computed::mm(by)))
        }
        BuzzCause::ActionLow if unnoted => {
            since.action_fell_mm.map(|by| say::action_fell_unnoted(at, Computed::mm(by)))
        }
        BuzzCause::ReliefTooSmall => {
            since.relief_fell_mm.map(|by| say::relief_fell(at, Computed::mm(by)))
        }
        BuzzCause::ActionLow => {
            since.action_fell_mm.map(|by| say::action_fell(at, Computed::mm(by)))
        }
        BuzzCause::ProudCrown { .. }
        | BuzzCause::NutSlot
        | BuzzCause::LessPull
        | BuzzCause::LoosePart => None,
    }
}

/// The reading or trial that decides, a sentence or two.
pub fn decides(suspect: &Suspect) -> Phrase {
    let of_cause = decides_cause(suspect);
    let is_crown = matches!(suspect.cause, BuzzCause::ProudCrown { .. });
    match crowns(suspect).filter(|_| !is_crown) {
        Some(over) => List::sentences([say::decide_crown_first(over), of_cause]).into(),
        None => of_cause,
    }
}

/// Over which frets a short straightedge is to be laid: three, or three at a time.
fn crowns(suspect: &Suspect) -> Option<Phrase> {
    let least = suspect.try_crowns.iter().min()?;
    let most = suspect.try_crowns.iter().max()?;
    let ([from, fret, to], [.., last]) = (suspect.rock_over(*least), suspect.rock_over(*most));
    Some(if least == most { say::over_frets(from, fret, to) } else { say::over_run(from, last) })
}

fn decides_cause(suspect: &Suspect) -> Phrase {
    match suspect.cause {
        BuzzCause::ReliefTooSmall => say::decide_relief(),
        BuzzCause::ActionLow if suspect.harder.is_some() => say::decide_harder(),
        BuzzCause::ActionLow => say::decide_action(),
        BuzzCause::ProudCrown { fret } => {
            let [below, fret, above] = suspect.rock_over(fret);
            say::decide_crown(
                crowns(suspect).unwrap_or_else(|| say::over_frets(below, fret, above)),
            )
        }
        BuzzCause::NutSlot => say::decide_nut(),
        BuzzCause::LessPull => say::decide_pull(),
        BuzzCause::LoosePart => say::decide_loose(),
    }
}

/// Everything about a cause, a sentence each.
pub fn sentences(suspect: &Suspect) -> Vec<Phrase> {
    let misfit = as_mm(suspect.misfit);
    let against = (misfit > 0.005).then(|| say::against(Computed::mm(misfit)));
    let mut said = vec![say::predicts(predicts(suspect)), say::decides(decides(suspect))];
    said.extend(against);
    said.extend(suspect.since.as_ref().and_then(|since| fell(suspect.cause, since)));
    said
}

/// What the ranking rests on.
pub fn basis() -> Phrase {
    say::basis()
}
