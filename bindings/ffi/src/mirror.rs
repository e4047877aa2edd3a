//! Enums that cross exactly as the library has them.

/// Declares an enum without fields that mirrors another one, with the conversion out of it. One that
/// may grow has a variant `Newer` for apps that were built before; a variant that came with a later
/// face says `since` which ([`crate::growth`]); what the library itself knows only as newer stands
/// after `newer`. The form `closed` is for what cannot grow: there are only two sides.
macro_rules! mirror {
    (
        $(#[$about:meta])* closed $name:ident = $from:ty {
            $( $(#[$doc:meta])* $variant:ident, )*
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
        pub enum $name { $( $(#[$doc])* $variant, )* }

        impl From<$from> for $name {
            fn from(value: $from) -> Self {
                match value { $( <$from>::$variant => Self::$variant, )* }
            }
        }
    };
    (
        $(#[$about:meta])* $name:ident = $from:ty {
            $( $(#[$doc:meta])* $variant:ident, )*
        } $( then { $( $(#[$later_doc:meta])* $later:ident since $face:literal, )* } )?
        $( newer $newer:pat )?
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
        pub enum $name {
            $( $(#[$doc])* $variant, )*
            /// What came after this app was built: show the text beside it.
            Newer,
            $( $( $(#[$later_doc])* $later, )* )?
        }

        impl From<$from> for $name {
            fn from(value: $from) -> Self {
                match value {
                    $( <$from>::$variant => Self::$variant, )*
                    $( $( <$from>::$later if crate::growth::knows($face) => Self::$later, )*
                    $( <$from>::$later => Self::Newer, )* )?
                    $( $newer => Self::Newer, )?
                }
            }
        }
    };
}

pub(crate) use mirror;
