//! Plain choices that cross both ways.

/// Declares an enum without fields that mirrors one of the record, both ways. What only a newer
/// version knows becomes `Newer`, which can be shown and cannot be written.
macro_rules! choices {
    (
        $(#[$about:meta])* $name:ident = $typed:ty {
            $( $(#[$doc:meta])* $variant:ident, )*
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
        pub enum $name {
            $( $(#[$doc])* $variant, )*
            /// Written by a newer version; it can be shown, not written.
            Newer,
        }

        impl From<$typed> for $name {
            #[allow(unreachable_patterns)]
            fn from(value: $typed) -> Self {
                match value { $( <$typed>::$variant => Self::$variant, )* _ => Self::Newer }
            }
        }

        impl $name {
            pub(crate) fn typed(self) -> crate::Result<$typed> {
                match self {
                    $( Self::$variant => Ok(<$typed>::$variant), )*
                    Self::Newer => Err(crate::choices::newer(
                        &crate::error::field("value"),
                        &[$( stringify!($variant) ),*],
                    )),
                }
            }
        }
    };
}

pub(crate) use choices;

use fallaway::Accepted;
use fallaway::text::Phrase;
use fallaway::text::messages::errors;

use crate::FallawayError;

/// A choice that this version does not know was given back to be written; it knows these variants.
pub(crate) fn newer(what: &Phrase, known: &[&str]) -> FallawayError {
    let accepted = Accepted::one_of(known.iter().copied()).said(errors::newer_choice_accepted());
    FallawayError::bad_input(what, &errors::newer_choice(), accepted)
}
