//! Plain choices that are stored by number.

/// Declares an enum whose members are stored as numbers that are assigned for ever. A number that
/// this version does not know becomes `Other` and is written back as it was.
macro_rules! numbered {
    (
        $(#[$doc:meta])*
        $name:ident { $( $(#[$member_doc:meta])* $member:ident = $number:literal, $text:literal; )+ }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name {
            $( $(#[$member_doc])* $member, )+
            /// Written by a newer version, by its number.
            Other(u32),
        }

        impl $name {
            /// Every member that this version knows.
            pub const KNOWN: &'static [$name] = &[$( $name::$member, )+];

            /// The number on disk and on the wire.
            pub const fn number(self) -> u32 {
                match self {
                    $( $name::$member => $number, )+
                    $name::Other(number) => number,
                }
            }

            /// The member with this number.
            pub const fn from_number(number: u32) -> Self {
                match number {
                    $( $number => $name::$member, )+
                    other => $name::Other(other),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                match self {
                    $( $name::$member => f.write_str($text), )+
                    $name::Other(number) => write!(f, "kind {number} of a newer version"),
                }
            }
        }

        impl<C> minicbor::Encode<C> for $name {
            fn encode<W: minicbor::encode::Write>(
                &self,
                e: &mut minicbor::Encoder<W>,
                _: &mut C,
            ) -> Result<(), minicbor::encode::Error<W::Error>> {
                e.u32(self.number())?.ok()
            }
        }

        impl<'b, C> minicbor::Decode<'b, C> for $name {
            fn decode(
                d: &mut minicbor::Decoder<'b>,
                _: &mut C,
            ) -> Result<Self, minicbor::decode::Error> {
                Ok(Self::from_number(d.u32()?))
            }
        }
    };
}

pub(crate) use numbered;
