//! What follows from the declaration of a fact: its part of the whole, its field, its key, its
//! bytes.

use fallaway_measure::StringPlace;
use fallaway_order::Map;

use super::ScrewPlace;
use crate::place;

/// Declares every fact of an instrument: its field with the type of its value, for one of which
/// there are several `at` what it stands, the word of its key, `in` which part of the whole it
/// stands, and a [`Rule`](super::check::Rule) where the type of its value alone is too wide.
macro_rules! facts {
    ($(
        $(#[$doc:meta])*
        $Field:ident($Value:ty) $(at $at:ident: $At:ty)? = $word:literal in $part:ident: $Part:ty
            $(, $rule:expr)?;
    )+) => {
        /// What the instrument is, as far as it was written down. Every part is optional: a record
        /// starts from nothing or from a template.
        #[derive(Debug, Clone, PartialEq, Default)]
        pub struct InstrumentSpec {
            $( $(#[$doc])* pub $part: $Part, )+
            /// Facts that a newer version wrote, as they stand in the document.
            pub newer: Map<String, Vec<u8>>,
        }

        #[allow(unused_parens, reason = "the places of a fact are none or one")]
        impl InstrumentSpec {
            /// Puts a fact in its place.
            pub fn set(&mut self, field: SpecField) {
                match field {
                    $( SpecField::$Field($($at,)? value) => self.$part.put(($($at)?), value), )+
                }
            }

            /// Takes a fact back, by its key.
            pub fn unset(&mut self, key: &str) {
                let (word, at) = split(key);
                match word {
                    $( $word => self.$part.take_back(at), )+
                    _ => {}
                }
            }

            /// Every fact that is set, in the order of a sheet.
            pub fn fields(&self) -> Vec<SpecField> {
                let mut fields = Vec::new();
                $( fields.extend(
                    self.$part.all().map(|(($($at)?), value)| SpecField::$Field($($at,)? value)),
                ); )+
                fields
            }
        }

        /// One fact that a person would regard as one; one register of the record.
        #[derive(Debug, Clone, PartialEq)]
        pub enum SpecField {
            $( $(#[$doc])* $Field($($At,)? $Value), )+
        }

        /// Which fact, without its value.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Fact {
            $( $(#[$doc])* $Field, )+
        }

        #[allow(unused_parens, reason = "as above")]
        impl Fact {
            /// Every fact, in the order of a sheet.
            pub const ALL: &'static [Self] = &[$( Self::$Field, )+];

            /// The word that stands for it in keys.
            pub const fn word(self) -> &'static str {
                match self {
                    $( Self::$Field => $word, )+
                }
            }

            /// Of what it is an amount, if its value is one.
            pub fn dimension(self) -> Option<fallaway_measure::Dimension> {
                match self {
                    $( Self::$Field => Rule::<$Value>::dimension(&($($rule)?)), )+
                }
            }

            /// The fact with a value that it can have, for tests.
            #[doc(hidden)]
            pub fn example(self) -> Option<SpecField> {
                Some(match self {
                    $( Self::$Field => {
                        let ($($at)?) = <$Part as Part<$Value>>::At::first()?;
                        SpecField::$Field($($at,)? Rule::<$Value>::example(&($($rule)?))?)
                    } )+
                })
            }
        }

        #[allow(unused_parens, unused_variables, reason = "as above; not each is asked where")]
        impl SpecField {
            /// Which fact this is a value of.
            pub const fn fact(&self) -> Fact {
                match self {
                    $( Self::$Field(..) => Fact::$Field, )+
                }
            }

            /// Where on the instrument it stands.
            pub fn at(&self) -> At {
                match self {
                    $( Self::$Field($($at,)? _) => Stands::at(($(*$at)?)), )+
                }
            }

            /// Its value, by type.
            pub fn value(&self) -> FactValue<'_> {
                match self {
                    $( Self::$Field($($at,)? value) => value.into(), )+
                }
            }

            /// Checks the fact by itself.
            ///
            /// # Errors
            /// [`SpecError`] with what would be accepted.
            pub fn check(&self) -> Result<(), SpecError> {
                let checked = match self {
                    $( Self::$Field($($at,)? value) => Rule::check(&($($rule)?), value), )+
                };
                checked.map_err(|fault| SpecError { fact: self.fact(), fault })
            }

            fn to_cbor(&self) -> Result<Vec<u8>, minicbor::encode::Error<std::convert::Infallible>> {
                match self {
                    $( Self::$Field($($at,)? value) => minicbor::to_vec(value), )+
                }
            }

            fn from_cbor(key: &str, value: &[u8]) -> Option<Self> {
                let (word, at) = split(key);
                match word {
                    $( $word => {
                        let ($($at)?) = Stands::read(at)?;
                        Some(Self::$Field($($at,)? minicbor::decode(value).ok()?))
                    } )+
                    _ => None,
                }
            }
        }
    };
}

pub(super) use facts;

/// Where on the instrument a fact stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// It is a fact about the whole.
    Instrument,
    /// At a string.
    String(StringPlace),
    /// At a screw, or at screws that are all alike.
    Screw(ScrewPlace),
}

/// The word of a key, and where the fact stands if the key says it.
pub(super) fn split(key: &str) -> (&str, Option<&str>) {
    key.split_once('/').map_or((key, None), |(word, at)| (word, Some(at)))
}

/// Something that a fact can stand at.
pub(super) trait Stands: Copy + Ord {
    fn at(self) -> At;
    /// Reads its form in a key, and only the exact one: a fact has one key.
    fn read(text: Option<&str>) -> Option<Self>;
    fn first() -> Option<Self>;
}

impl Stands for () {
    fn at(self) -> At {
        At::Instrument
    }
    fn read(text: Option<&str>) -> Option<Self> {
        text.is_none().then_some(())
    }
    fn first() -> Option<Self> {
        Some(())
    }
}

impl Stands for StringPlace {
    fn at(self) -> At {
        At::String(self)
    }
    fn read(text: Option<&str>) -> Option<Self> {
        place::parse(text?)
    }
    fn first() -> Option<Self> {
        Self::course(1).ok()
    }
}

impl Stands for ScrewPlace {
    fn at(self) -> At {
        At::Screw(self)
    }
    fn read(text: Option<&str>) -> Option<Self> {
        Self::KNOWN.into_iter().find(|place| Some(place.word()) == text)
    }
    fn first() -> Option<Self> {
        Some(Self::Rod)
    }
}

/// A part of the whole: one value, or one at each place.
pub(super) trait Part<T> {
    type At: Stands;
    fn put(&mut self, at: Self::At, value: T);
    fn remove(&mut self, at: Self::At);
    fn all(&self) -> impl Iterator<Item = (Self::At, T)>;

    fn take_back(&mut self, at: Option<&str>) {
        if let Some(at) = Self::At::read(at) {
            self.remove(at);
        }
    }
}

impl<T: Clone> Part<T> for Option<T> {
    type At = ();
    fn put(&mut self, (): (), value: T) {
        *self = Some(value);
    }
    fn remove(&mut self, (): ()) {
        *self = None;
    }
    fn all(&self) -> impl Iterator<Item = ((), T)> {
        self.iter().map(|value| ((), value.clone()))
    }
}

/// An empty list stands for nothing known.
impl<T: Clone> Part<Self> for Vec<T> {
    type At = ();
    fn put(&mut self, (): (), value: Self) {
        *self = value;
    }
    fn remove(&mut self, (): ()) {
        self.clear();
    }
    fn all(&self) -> impl Iterator<Item = ((), Self)> {
        (!self.is_empty()).then(|| ((), self.clone())).into_iter()
    }
}

impl<K: Stands, T: Clone> Part<T> for Map<K, T> {
    type At = K;
    fn put(&mut self, at: K, value: T) {
        self.insert(at, value);
    }
    fn remove(&mut self, at: K) {
        Self::remove(self, &at);
    }
    fn all(&self) -> impl Iterator<Item = (K, T)> {
        self.iter().map(|(at, value)| (*at, value.clone()))
    }
}
