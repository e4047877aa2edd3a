//! Enums that cross exactly as the library has them.

/// Declares an enum without fields that mirrors another one, with the conversion out of it. The
/// second form has one variant more, for what only a newer library knows.
macro_rules! mirror {
    (
        $(#[$about:meta])* $name:ident = $from:ty {
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
        } else $(#[$rest_doc:meta])* $rest:ident
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
        pub enum $name { $( $(#[$doc])* $variant, )* $(#[$rest_doc])* $rest, }

        impl From<$from> for $name {
            #[allow(unreachable_patterns)]
            fn from(value: $from) -> Self {
                match value { $( <$from>::$variant => Self::$variant, )* _ => Self::$rest }
            }
        }
    };
}

pub(crate) use mirror;
