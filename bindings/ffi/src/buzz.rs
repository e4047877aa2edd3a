//! Why a note buzzes.

use fallaway::advice::buzz;
use fallaway::mechanics::units::as_mm;

use crate::clearance::{CaveatKind, ClearanceBasis, TouchUsed, clearance_basis};
use crate::given::fret;
use crate::touch::Touch;
use crate::voice::sentence;
use crate::{Instrument, Result, StringPlace};

/// A cause of a buzz.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum BuzzCause {
    /// The neck is too straight for this touch.
    ReliefTooSmall,
    /// The string lies too low for this touch.
    ActionLow,
    /// One crown stands proud.
    ProudCrown {
        /// Which one explains the notes best.
        fret: u32,
    },
    /// The slot in the nut is too deep.
    NutSlot,
    /// Other strings or another tuning than when the string last played clean.
    LessPull,
    /// A loose wind on a post, a loose saddle, spring or cover.
    LoosePart,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// The reading or trial that decides whether a cause is the one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum DecidingTest {
    /// Tune, then read the relief in playing position.
    ReadRelief,
    /// Tune, then read the action of the string and its neighbours.
    ReadAction,
    /// Play it more lightly; then as `ReadAction`.
    PlayLighter,
    /// Lay a short straightedge over three frets: does it rock?
    RockOver {
        /// The fret below the one that may stand proud.
        below_fret: u32,
        /// The fret that may stand proud: the straightedge rocks on its crown if it does.
        fret: u32,
        /// The fret above it.
        above_fret: u32,
    },
    /// Read the string held at 3 over 1; then stop it at 1: is the buzz gone?
    ReadNut,
    /// Tune it back to where it was clean, or play more lightly; then read relief and action.
    TuneBack,
    /// Play the same pitch elsewhere; damp one part after the other with a finger.
    DampParts,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// A touch harder than the usual one of a player, at which the string buzzes as it was read.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct HarderTouch {
    /// Its force in N.
    pub force_n: f64,
    /// Up to which the player was learned to play, in N.
    pub up_to_n: f64,
}

/// A cause and what speaks for it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Suspect {
    /// What may make it buzz; `text` says it to a person.
    pub cause: BuzzCause,
    /// The cause in words.
    pub text: String,
    /// How far from what was read it needs the instrument to be, in mm; `None` where the model has no
    /// such number.
    pub needs_mm: Option<f64>,
    /// By how much other notes would then touch that were not named, in mm.
    pub others_touch_mm: f64,
    /// The touch at which it buzzes as it was read, if that is what the cause comes to.
    pub harder_touch: Option<HarderTouch>,
    /// What it predicts, in a sentence: the cause, `needs_mm` and `harder_touch` in words.
    pub predicts: String,
    /// The reading or trial that decides.
    pub test: DecidingTest,
    /// The same in a sentence.
    pub decides: String,
}

/// What was tried to find the cause of a buzz.
#[derive(Debug, Clone, PartialEq, Eq, Default, uniffi::Record)]
pub struct BuzzTrials {
    /// A short straightedge rocks over three frets with one of these in the middle.
    #[uniffi(default)]
    pub rocking_frets: Vec<u32>,
    /// It does not rock over these.
    #[uniffi(default)]
    pub level_frets: Vec<u32>,
    /// Whether the buzz of an open string is gone with a capo at fret 1; `None` if that was not tried.
    #[uniffi(default)]
    pub gone_with_capo: Option<bool>,
}

/// Why a note buzzes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct WhyBuzz {
    /// The causes, the likeliest first. The ranking is not a probability.
    pub suspects: Vec<Suspect>,
    /// What it rests on.
    pub basis: ClearanceBasis,
    /// The touch that it holds for.
    pub touch: TouchUsed,
    /// What has to be said beside it.
    pub caveat: String,
    /// The same as data.
    pub caveat_kind: CaveatKind,
}

#[uniffi::export]
impl Instrument {
    /// Why a string buzzes from one fret to another (0 is open; give the same twice for one note):
    /// ranked causes, each with what it predicts and the reading that decides. `player` as in
    /// `clearance`; what was learned of the player from buzzes of this string does not count. `tried`
    /// says what was found out since the question was asked before.
    ///
    /// # Errors
    /// As `clearance`; `BadInput` for a string without an action, or a note without a fret beyond it.
    #[uniffi::method(default(player = None, tried = None))]
    pub fn why_buzz(
        &self,
        string: StringPlace,
        from_fret: u32,
        to_fret: u32,
        touch: Touch,
        player: Option<String>,
        tried: Option<BuzzTrials>,
    ) -> Result<WhyBuzz> {
        self.voice.is_asked();
        let frets = (fret(from_fret)?, fret(to_fret)?);
        let play = touch.play_on(self, player.as_deref())?;
        let clues = tried.unwrap_or_default().clues()?;
        let found = self.inner().why_buzz(string.typed()?, frets, play, &clues)?;
        Ok(WhyBuzz {
            suspects: found.suspects.into_iter().map(suspect).collect(),
            basis: clearance_basis(&found.model),
            touch: found.play.into(),
            caveat: crate::voice::say(&fallaway::text::clearance::caveat()),
            caveat_kind: CaveatKind::Modelled,
        })
    }
}

impl BuzzTrials {
    fn clues(self) -> Result<buzz::BuzzClues> {
        let check = |rocks: bool| {
            move |number: u32| Ok(buzz::CrownCheck { fret: fret(number)?.number(), rocks })
        };
        let rocking = self.rocking_frets.into_iter().map(check(true));
        let crowns = rocking.chain(self.level_frets.into_iter().map(check(false)));
        Ok(buzz::BuzzClues {
            crowns: crowns.collect::<Result<_>>()?,
            gone_with_capo: self.gone_with_capo,
            ..buzz::BuzzClues::default()
        })
    }
}

fn test(found: &buzz::Suspect) -> DecidingTest {
    match found.cause {
        buzz::BuzzCause::ReliefTooSmall => DecidingTest::ReadRelief,
        buzz::BuzzCause::ActionLow if found.harder.is_some() => DecidingTest::PlayLighter,
        buzz::BuzzCause::ActionLow => DecidingTest::ReadAction,
        buzz::BuzzCause::ProudCrown { fret } => {
            let [below, fret, above] = found.rock_over(fret).map(u32::from);
            DecidingTest::RockOver { below_fret: below, fret, above_fret: above }
        }
        buzz::BuzzCause::NutSlot => DecidingTest::ReadNut,
        buzz::BuzzCause::LessPull => DecidingTest::TuneBack,
        buzz::BuzzCause::LoosePart => DecidingTest::DampParts,
    }
}

fn suspect(found: buzz::Suspect) -> Suspect {
    Suspect {
        cause: match found.cause {
            buzz::BuzzCause::ReliefTooSmall => BuzzCause::ReliefTooSmall,
            buzz::BuzzCause::ActionLow => BuzzCause::ActionLow,
            buzz::BuzzCause::ProudCrown { fret } => BuzzCause::ProudCrown { fret: fret.into() },
            buzz::BuzzCause::NutSlot => BuzzCause::NutSlot,
            buzz::BuzzCause::LessPull => BuzzCause::LessPull,
            buzz::BuzzCause::LoosePart => BuzzCause::LoosePart,
        },
        text: crate::voice::say(&fallaway_text::buzz::cause(found.cause)),
        needs_mm: found.needs.map(as_mm),
        others_touch_mm: as_mm(found.misfit),
        harder_touch: found.harder.map(|harder| HarderTouch {
            force_n: harder.force_newton,
            up_to_n: harder.up_to_newton,
        }),
        test: test(&found),
        predicts: sentence(&fallaway_text::buzz::predicts(&found)),
        decides: sentence(&fallaway_text::buzz::decides(&found)),
    }
}
