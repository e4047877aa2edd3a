//! Whole screens: what is shown together, and what this device may do with it, in one call each.

use std::sync::Arc;

use crate::clearance::{ClearanceAnswer, ClearanceBasis, ClearanceModel};
use crate::drawings::DrawnChanges;
use crate::growth::version;
use crate::notation::{ToolInfo, usual_tools};
use crate::scene::{DrawingWidth, Scene, Theme};
use crate::{
    Card, ContestedField, DeviceInfo, DeviceState, HeldWork, HistoryEntry, HistoryFilter,
    Instrument, InstrumentSpec, Location, Occasion, PhotoView, Preferences, Quantity, RelayView,
    Result, Role, SetupId, StringSet, Touch, UsualReading, Workshop,
};

/// What a pass is entered with, and what targets are set for.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct EntryForm {
    /// The numbers beside the targets.
    pub card: Card,
    /// What is usually read, in the order of the work.
    pub usual: Vec<UsualReading>,
    /// What else can be read, in the order of the work.
    #[uniffi(default = [])]
    pub others: Vec<UsualReading>,
    /// The tools of a bench.
    pub tools: Vec<ToolInfo>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// A page of the history.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HistoryPage {
    /// The entries, in the order of the history.
    pub entries: Vec<HistoryEntry>,
    /// The relief over time, if it was asked for and was ever read.
    pub relief: Option<Scene>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// What people wrote apart, for whoever chooses.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ToSettle {
    /// The fields with two or more values.
    pub fields: Vec<ContestedField>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// What strings are put on with.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringsPage {
    /// The instrument, with the strings that are on.
    pub spec: InstrumentSpec,
    /// The sets of the shop that have as many strings.
    pub sets: Vec<StringSet>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// The photos of an instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PhotoPage {
    /// All of them, in the order of the history; those that are crossed out too.
    pub views: Vec<PhotoView>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// How the record stands between the devices that share it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SharingState {
    /// How much has not been delivered yet, as `Instrument.unsent` counts.
    pub unsent: u32,
    /// The relay that carries the record; `None` if there is none.
    pub relay: Option<RelayView>,
    /// What each device is known to have.
    pub devices: Vec<DeviceState>,
    /// What is kept beside the record, by device and reason.
    pub held: Vec<HeldWork>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
}

/// What holds for every instrument of a device.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DeviceSettings {
    /// The device as others see it.
    pub info: DeviceInfo,
    /// How the person at it works.
    pub preferences: Preferences,
    /// The version of this library.
    pub version: String,
}

/// A model of the clearance, and all that its screen shows first.
#[derive(uniffi::Record)]
pub struct ClearanceOpened {
    /// Answers what a slider asks.
    pub model: Arc<ClearanceModel>,
    /// The answer for the instrument as it stands.
    pub answer: ClearanceAnswer,
    /// What the answers rest on.
    pub basis: ClearanceBasis,
    /// The neck in profile, as `Instrument.draw_neck` without a string.
    pub neck: Scene,
}

#[uniffi::export]
impl Instrument {
    /// The card of a setup (`None`: the default one), what is usually read and the tools of a bench: for a
    /// screen on which a pass is entered or targets are set.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read; `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn entry_form(&self, setup: Option<SetupId>) -> Result<EntryForm> {
        Ok(EntryForm {
            card: self.card(setup)?,
            usual: self.usual_readings()?,
            others: self.other_readings()?,
            tools: usual_tools(),
            role: self.role()?,
        })
    }

    /// The entries that a filter lets through, and with `relief` the relief over time beside the targets of a
    /// setup (`None`: the default one); with a theme it has its SVG.
    ///
    /// # Errors
    /// As `history`; `NotFound` for a setup that the instrument does not have.
    #[uniffi::method(default(relief = false, setup = None, theme = None, width = None))]
    pub fn history_page(
        &self,
        filter: &HistoryFilter,
        relief: bool,
        setup: Option<SetupId>,
        theme: Option<Theme>,
        width: Option<DrawingWidth>,
    ) -> Result<HistoryPage> {
        let entries = self.history(filter)?;
        let read = if relief { self.card(setup.clone())?.lines } else { Vec::new() };
        let read = read.into_iter().find(|line| matches!(line.quantity, Quantity::Relief { .. }));
        let whole = Location::Whole;
        let drawn = |quantity| self.draw_history(quantity, whole, setup, theme, width);
        let relief = read.map(|line| drawn(line.quantity)).transpose()?;
        Ok(HistoryPage { entries, relief, role: self.role()? })
    }

    /// What changed since a setup was written down (`None`: the default one), and the drawing of it; `None` if
    /// the instrument has no setup.
    ///
    /// # Errors
    /// As `what_changed`.
    #[uniffi::method(default(setup = None, theme = None, width = None))]
    pub fn changes_since_setup(
        &self,
        setup: Option<SetupId>,
        theme: Option<Theme>,
        width: Option<DrawingWidth>,
    ) -> Result<Option<DrawnChanges>> {
        let Some(setup) = setup.or(self.card(None)?.setup.map(|one| one.id)) else {
            return Ok(None);
        };
        let before = Occasion::Setup { setup };
        self.changes_drawn(before, Occasion::Today, theme, width).map(Some)
    }

    /// The fields with two or more values.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn to_settle(&self) -> Result<ToSettle> {
        Ok(ToSettle { fields: self.contested()?, role: self.role()? })
    }

    /// The strings that are on, and the sets of the shop that fit.
    ///
    /// # Errors
    /// When the record or the store cannot be read; `Closed`.
    pub fn strings_page(&self) -> Result<StringsPage> {
        let details = self.inner().details()?;
        let sets = self.inner().fitting_string_sets()?.into_iter().map(StringSet::from);
        Ok(StringsPage {
            spec: (&details.spec).into(),
            sets: sets.collect(),
            role: details.role.map(Role::from),
        })
    }

    /// The photos.
    ///
    /// # Errors
    /// As `photos`.
    pub fn photo_page(&self) -> Result<PhotoPage> {
        Ok(PhotoPage { views: self.photos()?, role: self.role()? })
    }

    /// What is unsent, over which relay, what each device has, and what is kept aside.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn sharing_state(&self) -> Result<SharingState> {
        Ok(SharingState {
            unsent: self.unsent()?,
            relay: self.relay()?,
            devices: self.device_states()?,
            held: self.held()?,
            role: self.role()?,
        })
    }

    /// The clearance laid out for many questions, as `clearance_model`, with all that its screen shows first.
    ///
    /// # Errors
    /// As `clearance`.
    #[uniffi::method(default(player = None))]
    pub fn clearance_opened(
        &self,
        touch: Touch,
        player: Option<String>,
    ) -> Result<ClearanceOpened> {
        let model = self.clearance_model(touch, player)?;
        Ok(ClearanceOpened {
            answer: model.opened(),
            basis: model.basis(),
            neck: model.neck(),
            model,
        })
    }

    /// What this device may do in the record; `None` while its founding has not arrived.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn role(&self) -> Result<Option<Role>> {
        Ok(self.inner().role()?.map(Role::from))
    }
}

#[uniffi::export]
impl Workshop {
    /// This device, how the person at it works, and the version of the library.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn settings(&self) -> Result<DeviceSettings> {
        Ok(DeviceSettings {
            info: self.device()?,
            preferences: self.preferences()?,
            version: version(),
        })
    }
}
