//! What is said, before it is said in a language.

use std::fmt;

use fallaway_measure::{Amount, Fret, StringPlace, Tool, Unit};
use fallaway_record::Moment;

use crate::{Catalogue, LengthOf, Voice};

/// A file of messages in every language.
pub struct MessageFile {
    /// Where the file stands.
    pub catalogue: &'static Catalogue,
    /// The file, without its ending.
    pub name: &'static str,
}

/// A message as it is declared: its place in the files and the names of its arguments.
pub struct Message {
    file: &'static MessageFile,
    /// Its name and those of its arguments in one text, with blanks between them: there are a thousand
    /// messages, and each address of a text of its own is larger than most of the names.
    names: &'static str,
}

impl Message {
    /// A message of a file: its name there and those of its arguments, in order, with blanks between.
    pub const fn new(file: &'static MessageFile, names: &'static str) -> Self {
        Self { file, names }
    }

    /// The file that its text stands in.
    pub const fn file(&self) -> &'static MessageFile {
        self.file
    }

    /// Its name in the file.
    pub fn id(&self) -> &'static str {
        self.names.split(' ').next().unwrap_or_default()
    }

    /// The names of its arguments, in order.
    pub fn arguments(&self) -> impl Iterator<Item = &'static str> {
        self.names.split(' ').skip(1)
    }
}

impl PartialEq for Message {
    fn eq(&self, other: &Self) -> bool {
        (self.file.name, self.names) == (other.file.name, other.names)
    }
}

impl fmt::Debug for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.file.name, self.id())
    }
}

/// Something said to a person, in no language yet: a message with its arguments. A [`Voice`] says
/// it; `Display` says it in English.
///
/// Made by the typed functions that [`crate::messages!`] declares, so that the compiler checks the
/// arguments and a test checks the files of every language against the same table.
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Phrase {
    pub(crate) message: &'static Message,
    pub(crate) arguments: Vec<Arg>,
}

impl Phrase {
    /// For [`crate::messages!`]. Compiled once for each count of arguments, not wherever something is said.
    #[doc(hidden)]
    #[inline(never)]
    pub fn new<const N: usize>(message: &'static Message, arguments: [Arg; N]) -> Self {
        Self { message, arguments: Vec::from(arguments) }
    }

    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        matches!(self.arguments.as_slice(), [Arg::Text(text)] if text.is_empty())
    }

    /// The same with every number that a person read or wrote as one of this: people prefer another
    /// unit for relief than for action.
    pub fn of(mut self, of: impl Into<LengthOf>) -> Self {
        self.lengths_of(of.into());
        self
    }

    fn lengths_of(&mut self, of: LengthOf) {
        for argument in &mut self.arguments {
            match argument {
                Arg::Amount(_, known) => *known = of,
                Arg::Phrase(phrase) => phrase.lengths_of(of),
                Arg::List(list) => list.items.iter_mut().for_each(|item| item.lengths_of(of)),
                _ => {}
            }
        }
    }

    /// The name of the message, for programs and tests.
    pub fn id(&self) -> &'static str {
        self.message.id()
    }

    /// The phrases that it is told with: what is wrong with a number stands in the phrase that says
    /// where the number was read.
    pub fn told_with(&self) -> impl DoubleEndedIterator<Item = &Self> {
        self.arguments.iter().filter_map(|argument| match argument {
            Arg::Phrase(phrase) => Some(phrase),
            _ => None,
        })
    }
}

/// In English, with the usual units: for logs and tests.
impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&Voice::default().say(self))
    }
}

/// An argument of a message.
#[derive(Debug, Clone, PartialEq)]
pub enum Arg {
    /// A text that a person wrote, or a name; shown through [`crate::safe`].
    Text(String),
    /// A string by its number.
    Place(StringPlace),
    /// A word by which the message chooses between forms; never shown.
    Word(&'static str),
    /// A count, which chooses the plural form.
    Whole(i64),
    /// A computed number, in the unit that the person prefers.
    Computed(Computed),
    /// A number as a person read or wrote it, and what it is of if it is a length.
    Amount(Amount, LengthOf),
    /// Day and time of day, by the clock of whoever wrote it.
    Moment(Moment),
    /// The day alone.
    Day(Moment),
    /// Another phrase, said within this one.
    Phrase(Phrase),
    /// Phrases in a row.
    List(List),
}

/// A word by which a message chooses between forms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Word(pub &'static str);

/// The day of a moment, without the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day(pub Moment);

/// Phrases in a row.
#[derive(Debug, Clone, PartialEq)]
pub struct List {
    pub(crate) items: Vec<Phrase>,
    pub(crate) join: Join,
    /// Whether the order says something itself: then it stays whichever string comes first.
    pub(crate) ranked: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Join {
    And,
    Or,
    Comma,
    Semicolon,
    Space,
    Sentences,
}

impl List {
    fn new(items: impl IntoIterator<Item = Phrase>, join: Join) -> Self {
        Self { items: items.into_iter().collect(), join, ranked: false }
    }

    /// The same in this order whichever string comes first: the likeliest first.
    #[must_use]
    pub fn ranked(self) -> Self {
        Self { ranked: true, ..self }
    }

    /// "a, b and c".
    pub fn and(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::And)
    }

    /// "a, b or c".
    pub fn or(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::Or)
    }

    /// "a, b, c".
    pub fn comma(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::Comma)
    }

    /// "a; b; c".
    pub fn semicolon(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::Semicolon)
    }

    /// "a b c".
    pub fn space(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::Space)
    }

    /// Whole sentences, each with a capital letter: "A is b. C is d."
    pub fn sentences(items: impl IntoIterator<Item = Phrase>) -> Self {
        Self::new(items, Join::Sentences)
    }
}

impl From<&str> for Phrase {
    fn from(text: &str) -> Self {
        Self::written(text)
    }
}

impl From<String> for Phrase {
    fn from(text: String) -> Self {
        Self::written(text)
    }
}

/// A computed number: not read off a tool by a person, so shown in the unit that is preferred.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Computed {
    pub(crate) value: f64,
    pub(crate) unit: Unit,
    pub(crate) places: u8,
    pub(crate) signed: bool,
    pub(crate) bare: bool,
    pub(crate) of: LengthOf,
    pub(crate) tool: Option<Tool>,
    pub(crate) bound: RoundedTo,
}

/// To which side a computed number is rounded: a limit must still hold as it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum RoundedTo {
    /// To the nearest.
    Neither,
    /// Up: nothing below it will do.
    Least,
    /// Down: nothing above it will do.
    Most,
}

impl RoundedTo {
    /// The number in whole steps, to the side of the bound; as it is if it bounds nothing.
    pub(crate) fn in_steps(self, value: f64, step: f64) -> f64 {
        // What is a whole number of steps but for the arithmetic stays where it is.
        const SLACK: f64 = 1e-6;
        match self {
            Self::Neither => value,
            Self::Least => (value / step - SLACK).ceil() * step,
            Self::Most => (value / step + SLACK).floor() * step,
        }
    }
}

impl Computed {
    const fn new(value: f64, unit: Unit, places: u8) -> Self {
        let (of, bound) = (LengthOf::Other, RoundedTo::Neither);
        Self { value, unit, places, signed: false, bare: false, of, tool: None, bound }
    }

    /// A length in millimetres, to a hundredth.
    pub const fn mm(value: f64) -> Self {
        Self::new(value, Unit::Millimetre, 2)
    }

    /// An interval in cents, to a tenth.
    pub const fn cents(value: f64) -> Self {
        Self::new(value, Unit::Cent, 1)
    }

    /// A temperature in degrees Celsius, to a degree.
    pub const fn celsius(value: f64) -> Self {
        Self::new(value, Unit::Celsius, 0)
    }

    /// A percentage, to a percent.
    pub const fn percent(value: f64) -> Self {
        Self::new(value, Unit::Percent, 0)
    }

    /// A force in newtons, to a tenth.
    pub const fn newtons(value: f64) -> Self {
        Self::new(value, Unit::Newton, 1)
    }

    /// A frequency in hertz, to a tenth.
    pub const fn hertz(value: f64) -> Self {
        Self::new(value, Unit::Hertz, 1)
    }

    /// A number without a unit.
    pub const fn plain(value: f64, places: u8) -> Self {
        Self::new(value, NO_UNIT, places)
    }

    /// A plain number with all its places.
    pub fn exact(value: f64) -> Self {
        let shown = value.to_string();
        let places = shown.split_once('.').map_or(0, |(_, places)| places.len());
        Self::plain(value, places.try_into().unwrap_or(u8::MAX))
    }

    /// To so many places of its own unit; other units of length get as fine as that.
    #[must_use]
    pub const fn places(self, places: u8) -> Self {
        Self { places, ..self }
    }

    /// With its sign, `+` too.
    #[must_use]
    pub const fn signed(self) -> Self {
        Self { signed: true, ..self }
    }

    /// Without its unit, which stands beside it; a fraction of an inch keeps its own.
    #[must_use]
    pub const fn bare(self) -> Self {
        Self { bare: true, ..self }
    }

    /// What it is a length of: people prefer another unit for relief than for action.
    #[must_use]
    pub fn of(self, of: impl Into<LengthOf>) -> Self {
        Self { of: of.into(), ..self }
    }

    /// The least that will do: rounded up, never down.
    #[must_use]
    pub const fn at_least(self) -> Self {
        Self { bound: RoundedTo::Least, ..self }
    }

    /// The most that will do: rounded down, never up.
    #[must_use]
    pub const fn at_most(self) -> Self {
        Self { bound: RoundedTo::Most, ..self }
    }

    /// With the tool with which it was, or will be, read.
    #[must_use]
    pub fn with(self, tool: impl Into<Option<Tool>>) -> Self {
        Self { tool: tool.into(), ..self }
    }
}

/// No reading has this unit.
pub(crate) const NO_UNIT: Unit = Unit::Other(u16::MAX);

macro_rules! arguments {
    ($($from:ty => |$value:ident| $arg:expr;)+) => {
        $(impl From<$from> for $crate::phrase::Arg {
            fn from($value: $from) -> Self {
                $arg
            }
        })+
    };
}
pub(crate) use arguments;

arguments! {
    &str => |text| Self::Text(text.to_owned());
    String => |text| Self::Text(text);
    char => |c| Self::Text(c.into());
    Word => |word| Self::Word(word.0);
    bool => |yes| Self::Word(if yes { "yes" } else { "no" });
    u8 => |count| Self::Whole(count.into());
    u16 => |count| Self::Whole(count.into());
    u32 => |count| Self::Whole(count.into());
    i64 => |count| Self::Whole(count);
    u64 => |count| Self::Whole(count.try_into().unwrap_or(i64::MAX));
    usize => |count| Self::Whole(count.try_into().unwrap_or(i64::MAX));
    Fret => |fret| Self::Whole(fret.number().into());
    StringPlace => |place| Self::Place(place);
    Computed => |number| Self::Computed(number);
    Amount => |amount| Self::Amount(amount, LengthOf::Other);
    Moment => |moment| Self::Moment(moment);
    Day => |day| Self::Day(day.0);
    Phrase => |phrase| Self::Phrase(phrase);
    List => |list| Self::List(list);
}

/// Declares messages of one theme (one file): for each a function with typed arguments that makes
/// the [`Phrase`], and all of them in `DECLARED` for the test that compares them with the files.
///
/// ```ignore
/// fallaway_text::messages! { crate::CATALOGUE, "facts";
///     fact_strings(count: u8);
/// }
/// ```
#[macro_export]
macro_rules! messages {
    ($catalogue:path, $theme:literal; $($(#[$doc:meta])* $id:ident($($arg:ident: $type:ty),* $(,)?);)*) => {
        $(
            $(#[$doc])*
            #[doc = concat!("`", stringify!($id), "` in `", $theme, ".ftl`.")]
            pub fn $id($($arg: $type),*) -> $crate::Phrase {
                static MESSAGE: $crate::Message = $crate::Message::new(
                    &FILE,
                    concat!(stringify!($id) $(, " ", stringify!($arg))*),
                );
                $crate::Phrase::new(&MESSAGE, [$($crate::Arg::from($arg)),*])
            }
        )*

        /// Every message of this theme, for tests.
        pub static DECLARED: &[$crate::Message] = &[
            $($crate::Message::new(
                &FILE,
                concat!(stringify!($id) $(, " ", stringify!($arg))*),
            ),)*
        ];

        static FILE: $crate::MessageFile = $crate::MessageFile { catalogue: &$catalogue, name: $theme };
    };
}
