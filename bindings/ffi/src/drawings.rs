//! What is drawn of an instrument.

use crate::changed::WhatChanged;
use crate::plan::Plan;
use crate::scene::{DrawingWidth, Scene, Theme, scene};
use crate::{Instrument, Location, Occasion, Quantity, Result, Role, SetupId, StringPlace, voice};

/// A plan with its drawings.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DrawnPlan {
    /// The plan itself, as `plan` answers it.
    pub plan: Plan,
    /// A dial for each screw that is turned now; empty where nothing is.
    pub turns: Vec<Scene>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// What changed, with its drawing.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DrawnChanges {
    /// The comparison, as `what_changed` answers it.
    pub changed: WhatChanged,
    /// The drawing, part by part.
    pub scene: Scene,
}

/// As on a page, unless it is said otherwise.
fn width_of(width: Option<DrawingWidth>) -> fallaway::sheet::DrawingWidth {
    width.map(DrawingWidth::typed).unwrap_or_default()
}

#[uniffi::export]
impl Instrument {
    /// The turns that the plan asks for now, as dials; empty where nothing is to be turned. Texts are in
    /// the language that was set; with a theme each has its SVG.
    ///
    /// # Errors
    /// As `plan`.
    #[uniffi::method(default(setup = None, theme = None))]
    pub fn draw_turns(&self, setup: Option<SetupId>, theme: Option<Theme>) -> Result<Vec<Scene>> {
        let scenes = self.inner().draw_turns(setup.as_ref().map(|id| &id.0), &voice::voice())?;
        Ok(scenes.into_iter().map(|one| scene(one, theme)).collect())
    }

    /// The plan, and with it the turns that it asks for now as dials: one call for a screen that shows both.
    ///
    /// # Errors
    /// As `plan`.
    #[uniffi::method(default(setup = None, theme = None))]
    pub fn plan_drawn(&self, setup: Option<SetupId>, theme: Option<Theme>) -> Result<DrawnPlan> {
        let found = self.inner().plan(setup.as_ref().map(|id| &id.0))?;
        let turns = found.draw_turns(&voice::voice());
        let turns = turns.into_iter().map(|one| scene(one, theme)).collect();
        Ok(DrawnPlan { plan: Plan::of(&found), turns, role: self.role()? })
    }

    /// What changed from one occasion to another, and the drawing of it: one call for a screen that shows
    /// both.
    ///
    /// # Errors
    /// As `what_changed`.
    #[uniffi::method(default(theme = None, width = None))]
    pub fn changes_drawn(
        &self,
        before: Occasion,
        after: Occasion,
        theme: Option<Theme>,
        width: Option<DrawingWidth>,
    ) -> Result<DrawnChanges> {
        let told = self.inner().what_changed(&before.typed(), &after.typed())?;
        let drawn = fallaway::draw_changed(&told, width_of(width), &voice::voice());
        let scene = scene(drawn, theme);
        Ok(DrawnChanges { changed: WhatChanged::of(&told), scene })
    }

    /// The neck in profile under one string: relief, action and nut, read against wanted, an arrow from what
    /// was left to what is read now. Without a
    /// string the one whose action is furthest off, or the last.
    ///
    /// # Errors
    /// `BadInput` where the scale length is not written down; `NotFound` for a setup that the instrument
    /// does not have; when the record cannot be read; `Closed`.
    #[uniffi::method(default(string = None, setup = None, theme = None))]
    pub fn draw_neck(
        &self,
        string: Option<StringPlace>,
        setup: Option<SetupId>,
        theme: Option<Theme>,
    ) -> Result<Scene> {
        self.voice.is_asked();
        let string = string.map(|place| place.typed()).transpose()?;
        let setup = setup.as_ref().map(|id| &id.0);
        Ok(scene(self.inner().draw_neck(string, setup, &voice::voice())?, theme))
    }

    /// All readings of one thing over time, with the target, what was done that moves it, and the air.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None, theme = None, width = None))]
    pub fn draw_history(
        &self,
        quantity: Quantity,
        location: Location,
        setup: Option<SetupId>,
        theme: Option<Theme>,
        width: Option<DrawingWidth>,
    ) -> Result<Scene> {
        self.voice.is_asked();
        let (quantity, location) = (quantity.typed()?, location.typed()?);
        let setup = setup.as_ref().map(|id| &id.0);
        let (width, voice) = (width_of(width), voice::voice());
        let drawn = self.inner().draw_history(quantity, location, setup, width, &voice)?;
        Ok(scene(drawn, theme))
    }

    /// What is left between strings and frets, note by note, with relief and saddles as they are: as this
    /// player plays, or the only one of whom a touch was learned, else as is usual.
    ///
    /// # Errors
    /// `NotFound` for a player of whom nothing was learned; `BadInput` naming what is not known (relief,
    /// action, gauges, frets), and for a fretless board; when the record cannot be read; `Closed`.
    #[uniffi::method(default(player = None, theme = None))]
    pub fn draw_clearance(&self, player: Option<String>, theme: Option<Theme>) -> Result<Scene> {
        let play = self.inner().play_of(player.as_deref())?;
        Ok(scene(self.inner().draw_clearance(play, &voice::voice())?, theme))
    }

    /// The row of the strings against the curve of the board, over the fret at which most actions are
    /// read: read against wanted, and the radius on which the undersides lie.
    ///
    /// # Errors
    /// `BadInput` where the spread of the strings at nut or bridge is not written down; `NotFound` for a
    /// setup that the instrument does not have; when the record cannot be read; `Closed`.
    #[uniffi::method(default(setup = None, theme = None))]
    pub fn draw_saddles(&self, setup: Option<SetupId>, theme: Option<Theme>) -> Result<Scene> {
        self.voice.is_asked();
        let setup = setup.as_ref().map(|id| &id.0);
        Ok(scene(self.inner().draw_saddles(setup, &voice::voice())?, theme))
    }

    /// Intonation before and after the last thing that was done to each string.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None, theme = None))]
    pub fn draw_intonation(&self, setup: Option<SetupId>, theme: Option<Theme>) -> Result<Scene> {
        self.voice.is_asked();
        let setup = setup.as_ref().map(|id| &id.0);
        Ok(scene(self.inner().draw_intonation(setup, &voice::voice())?, theme))
    }

    /// String spacing at nut and bridge, read against wanted.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None, theme = None))]
    pub fn draw_spacing(&self, setup: Option<SetupId>, theme: Option<Theme>) -> Result<Scene> {
        self.voice.is_asked();
        let setup = setup.as_ref().map(|id| &id.0);
        Ok(scene(self.inner().draw_spacing(setup, &voice::voice())?, theme))
    }

    /// What changed from one occasion to another, part by part.
    ///
    /// # Errors
    /// As `what_changed`.
    #[uniffi::method(default(theme = None, width = None))]
    pub fn draw_changes(
        &self,
        before: Occasion,
        after: Occasion,
        theme: Option<Theme>,
        width: Option<DrawingWidth>,
    ) -> Result<Scene> {
        self.voice.is_asked();
        let (before, after, width) = (before.typed(), after.typed(), width_of(width));
        Ok(scene(self.inner().draw_changes(&before, &after, width, &voice::voice())?, theme))
    }
}
