//! Questions about a set-up before anything is turned: clearance, a buzz, other strings.

use fallaway_advice::buzz::{
    BuzzClues, CrownCheck, HeardBuzz, ReadNow, SinceClean, Suspect, causes_with,
};
use fallaway_advice::change_strings::{OtherStrings, StringsForecast, forecast};
use fallaway_advice::clearance::{ClearanceModel, ClearanceWhatIf, TouchBounds, TouchUsed};
use fallaway_advice::learn::{PlayerTouch, tension, touches, touches_without};
use fallaway_advice::observe::{Crowns, Input, settled_spec, with_input};
use fallaway_measure::{Fret, StringPlace};
use fallaway_mechanics::envelope::Touch;
use fallaway_record::{FretFinding, FretState, SetupId, State};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, errors};

use crate::error::{Error, NotFoundKind, Result, field, near};
use crate::instrument::Instrument;

impl Instrument {
    /// The instrument's facts and latest readings of relief, action and nut, laid out for questions
    /// about clearance: [`ClearanceModel::ask`] answers them, fast enough for a slider after the first.
    ///
    /// # Errors
    /// [`Error::BadInput`] naming what is not known (relief, action, gauges, frets), and for a
    /// fretless board; when the record cannot be read.
    pub fn clearance(&self) -> Result<ClearanceModel> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            with_input(&state, &SetupId::main(), now, |input| {
                // Facts that people wrote two values for are none.
                ClearanceModel::of_record(input, &settled_spec(&state))
                    .map_err(|error| asked_of("clearance", &error, say::clearance_accepted()))
            })
        })
    }

    /// How a player plays: the touch learned of whoever is named, or of the only one of whom any was
    /// learned; else what is usually assumed. [`TouchUsed::touch_from`] says which.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a player of whom nothing was learned, with those of whom it was; when
    /// the record cannot be read.
    pub fn play_of(&self, player: Option<&str>) -> Result<TouchUsed> {
        let mut known = self.with_advice(None, |state, input| Ok(touches(input, state)))?;
        known.retain(|touch| touch.sides != TouchBounds::Neither);
        match (player, known.as_slice()) {
            (None, [only]) => Ok(TouchUsed::learned(only)),
            (None, _) => Ok(TouchUsed::assumed()),
            (Some(player), _) => match known.iter().find(|touch| touch.by == player) {
                Some(touch) => Ok(TouchUsed::learned(touch)),
                None => Err(Error::NotFound {
                    what: NotFoundKind::Player,
                    name: player.to_owned(),
                    accepted: match known.as_slice() {
                        [] => {
                            Accepted::nothing(NothingAccepted::Unwritten).said(say::no_touch_yet())
                        }
                        known => near(player, known.iter().map(|touch| touch.by.as_str())),
                    },
                }),
            },
        }
    }

    /// The question to a desk with other strings or notes: relief and saddles as they are.
    ///
    /// # Errors
    /// [`Error::BadInput`] if a gauge, note or scale is not known; when the record cannot be read.
    pub fn with_strings(
        &self,
        desk: &ClearanceModel,
        change: &OtherStrings,
    ) -> Result<ClearanceWhatIf> {
        let spec = self.details()?.spec;
        change
            .what_if(&spec, desk)
            .map_err(|error| asked_of("strings", &error, say::strings_accepted()))
    }

    /// Why a string buzzes at these frets (0 is open): ranked causes, the likeliest first, each with
    /// what it predicts and the reading that decides; and the model with the readings it rests on. It
    /// goes by what changed since the string last played clean, and by what was tried (`tried`; its
    /// `since` and `read_now` are filled in). A touch that was learned from buzzes of this string counts without them.
    ///
    /// # Errors
    /// As [`Self::clearance`]; [`Error::BadInput`] for a string without an action or a note without
    /// a fret beyond it.
    pub fn why_buzz(
        &self,
        string: StringPlace,
        frets: (Fret, Fret),
        play: TouchUsed,
        tried: &BuzzClues,
    ) -> Result<BuzzAnswer> {
        let mut model = self.clearance()?;
        let (play, since, read_now, mut crowns) = self.with_advice(None, |state, input| {
            let since = SinceClean::of(input, state, string);
            let play = without_its_buzzes(play, input, state, string);
            Ok((play, since, ReadNow::of(input, string), checked(&Crowns::of(input), string)))
        })?;
        // What is tried now goes before what was found earlier.
        crowns.extend(&tried.crowns);
        let clues = BuzzClues { since, read_now, crowns, ..tried.clone() };
        let index = model.strings().iter().position(|one| one.place == string);
        let index = index.ok_or_else(|| {
            let with_action = model.strings().iter().map(|one| one.place.to_string());
            let accepted = Accepted::one_of(with_action).said(say::buzz_accepted());
            Error::bad_input(field("string"), say::no_action(string), accepted)
        })?;
        let heard = HeardBuzz { string: index, from: frets.0.number(), to: frets.1.number() };
        let suspects = causes_with(&mut model, heard, play, &clues)
            .map_err(|error| asked_of("buzz", &error, say::buzz_accepted()))?;
        Ok(BuzzAnswer { suspects, model, play })
    }

    /// The last finding of each fret since the frets were worked on: crowns that stand high, are level,
    /// worn or lifting. Clearance and the causes of a buzz take them into account.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn fret_findings(&self) -> Result<Vec<FretFinding>> {
        self.with_advice(None, |_, input| Ok(Crowns::of(input).findings().to_vec()))
    }

    /// What other strings or another tuning will do, before it is done. Actions are forecast where
    /// relief and action were read.
    ///
    /// # Errors
    /// [`Error::BadInput`] if a gauge, note or scale is not known, or nothing would change; when the
    /// record cannot be read.
    pub fn before_strings(
        &self,
        change: &OtherStrings,
        play: TouchUsed,
    ) -> Result<StringsForecast> {
        let mut desk = self.clearance().ok();
        let spec = self.details()?.spec;
        let facts = fallaway_advice::observe::of_spec(&spec);
        let found = forecast(&spec, &facts, change, desk.as_mut(), play)
            .map_err(|error| asked_of("strings", &error, say::strings_accepted()))?;
        let learned = self.with_advice(None, |state, input| Ok(tension(input, state)))?;
        Ok(found.with_learned(&learned))
    }
}

/// Why a string buzzes.
#[derive(Debug)]
pub struct BuzzAnswer {
    /// The causes, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// The model, with the readings it rests on.
    pub model: ClearanceModel,
    /// How it is played.
    pub play: TouchUsed,
}

/// Crowns that were tried with a short straightedge, by what was found.
fn checked(crowns: &Crowns, place: StringPlace) -> Vec<CrownCheck> {
    let check = |found: &FretFinding| {
        let rocks = match found.state {
            FretState::High | FretState::Lifting => true,
            FretState::Level => false,
            FretState::Worn | FretState::Other(_) => return None,
        };
        Some(CrownCheck { fret: found.fret.number(), rocks })
    };
    crowns.under(place).filter_map(check).collect()
}

/// A touch that was learned, without what buzzes of this string say of it.
fn without_its_buzzes(
    play: TouchUsed,
    input: &Input<'_>,
    state: &State,
    string: StringPlace,
) -> TouchUsed {
    let is_it = |touch: &&PlayerTouch| TouchUsed::learned(touch).touch_from == play.touch_from;
    let all = touches(input, state);
    let Some(player) = all.iter().find(is_it).map(|touch| touch.by.clone()) else { return play };
    let without = touches_without(input, state, string);
    let known = without.iter().find(|one| one.by == player && one.sides != TouchBounds::Neither);
    let used = known.map_or_else(TouchUsed::assumed, TouchUsed::learned);
    TouchUsed {
        touch: Touch { force: used.touch.force, ..play.touch },
        touch_from: used.touch_from,
        ..play
    }
}

/// What a question about the instrument cannot be answered without.
fn asked_of(question: &'static str, error: &fallaway_mechanics::Error, accepted: Phrase) -> Error {
    let accepted = errors::formula(error).accepted.said(accepted);
    Error::bad_input(field(question), errors::question(error, question), accepted)
}
