//! Ids, each a type of its own: what names an entry names no instrument. They cross as texts.

use std::fmt;
use std::str::FromStr;

use fallaway::text::Word;
use fallaway::text::messages::errors;

use crate::FallawayError;
use crate::error::field;

macro_rules! ids {
    ($( $(#[$about:meta])* $Name:ident = $Core:ty, $of:literal, $example:expr; )+) => { $(
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash)]
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
                    let accepted = fallaway::Accepted::like($example);
                    let accepted = accepted.said(errors::id_accepted(Word($of)));
                    FallawayError::bad_input(&field("id"), &errors::no_id(), accepted)
                })
            }
        }
    )+ };
}

ids! {
    /// Names an instrument: the same on every device.
    #[derive(Copy)]
    InstrumentId = fallaway::InstrumentId, "instrument", "0123456789abcdef0123456789abcdef";
    /// Names an entry of a history: the same on every device.
    #[derive(Copy)]
    EntryId = fallaway::record::EntryId, "entry", "AAAAAAAAAAAAAAAAAAAAAA.a7";
    /// Names a visit, by the entry that opened it.
    #[derive(Copy)]
    VisitId = fallaway::record::EntryId, "visit", "AAAAAAAAAAAAAAAAAAAAAA.a7";
    /// Names a step of a plan: the same as long as nothing changes that the step rests on.
    #[derive(Copy)]
    StepId = fallaway::StepId, "step", "0123456789abcdef01234567";
    /// Names a setup within the record of an instrument: it stays when the setup is called something
    /// else. 1 to 40 of a to z, 0 to 9 and -.
    SetupId = fallaway::record::SetupId, "setup", "stage, drop-tuning";
    /// Names one of several values of a field.
    #[derive(Copy)]
    VersionId = fallaway::OpId, "version", "7@AAAAAAAAAAAAAAAAAAAAAA";
}
