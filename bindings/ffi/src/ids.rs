//! Ids, each a type of its own: what names an entry names no instrument. They cross as texts.

use std::fmt;
use std::str::FromStr;

use fallaway::text::Word;
use fallaway::text::messages::errors;

use crate::FallawayError;
use crate::error::field;

macro_rules! ids {
    ($( $(#[$about:meta])* $Name:ident = $Core:ty, $of:literal; )+) => { $(
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub struct $Name(pub(crate) $Core);

        uniffi::custom_type!($Name, String, {
            lower: |id| id.to_string(),
            try_lift: |text| Ok(text.parse::<$Name>()?),
        });

        impl From<$Core> for $Name {
            fn from(id: $Core) -> Self {
                Self(id)
            }
        }

        impl fmt::Display for $Name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl FromStr for $Name {
            type Err = FallawayError;

            fn from_str(text: &str) -> Result<Self, FallawayError> {
                text.trim().parse::<$Core>().map(Self).map_err(|_| {
                    let accepted = errors::id_accepted(Word($of));
                    FallawayError::bad_input(&field("id"), &errors::no_id(), &accepted)
                })
            }
        }
    )+ };
}

ids! {
    /// Names an instrument: the same on every device.
    InstrumentId = fallaway::InstrumentId, "instrument";
    /// Names an entry of a history: the same on every device.
    EntryId = fallaway::record::EntryId, "entry";
    /// Names a visit, by the entry that opened it.
    VisitId = fallaway::record::EntryId, "visit";
    /// Names a step of a plan: the same as long as nothing changes that the step rests on.
    StepId = fallaway::StepId, "step";
    /// Names one of several values of a field.
    VersionId = fallaway::OpId, "version";
}
