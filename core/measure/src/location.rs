//! Where on the instrument a reading was taken.

use std::fmt;

use crate::ValueError;

/// A string by its place: courses are numbered from the treble side of a right-handed instrument as
/// strung; the strings of a course that has several are lettered, `3a`, `3b`.
///
/// ```
/// use fallaway_measure::StringPlace;
/// assert_eq!(StringPlace::course(4)?.to_string(), "4");
/// assert_eq!(StringPlace::new(3, Some('a'))?.to_string(), "3a");
/// assert!(StringPlace::course(0).is_err());
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StringPlace {
    course: u8,
    member: Option<char>,
}

impl StringPlace {
    /// Most courses that an instrument may have.
    pub const MAX_COURSE: u8 = 48;

    /// A string of a course.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a course outside 1 to [`Self::MAX_COURSE`],
    /// [`ValueError::Member`] for a letter outside `a` to `z`.
    pub fn new(course: u8, member: Option<char>) -> Result<Self, ValueError> {
        if !(1..=Self::MAX_COURSE).contains(&course) {
            return Err(ValueError::OutOfRange {
                what: "string",
                value: course.to_string(),
                low: 1,
                high: i64::from(Self::MAX_COURSE),
            });
        }
        match member {
            Some(found) if !found.is_ascii_lowercase() => Err(ValueError::Member { found }),
            _ => Ok(Self { course, member }),
        }
    }

    /// A course of one string, or a course as a whole.
    ///
    /// # Errors
    /// As [`StringPlace::new`].
    pub fn course(course: u8) -> Result<Self, ValueError> {
        Self::new(course, None)
    }

    /// The number of the course, 1 on the treble side.
    pub const fn number(self) -> u8 {
        self.course
    }

    /// The letter of the string within its course.
    pub const fn member(self) -> Option<char> {
        self.member
    }
}

impl fmt::Display for StringPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.course)?;
        self.member.map_or(Ok(()), |member| write!(f, "{member}"))
    }
}

/// A side of the instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// The side of the lowest string.
    Bass,
    /// The side of the highest string.
    Treble,
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Bass => "bass side",
            Self::Treble => "treble side",
        })
    }
}

/// Where a reading was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Location {
    /// The instrument as a whole, or the middle of the neck.
    Whole,
    /// One string or course.
    Course(StringPlace),
    /// One side, where bass and treble side are read apart: a pickup, a post, the neck.
    Side(Side),
    /// Written by a newer version, by its number.
    Other(u32),
}

impl fmt::Display for Location {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => f.write_str("whole"),
            Self::Course(place) => write!(f, "{place}"),
            Self::Side(side) => write!(f, "{side}"),
            Self::Other(number) => write!(f, "location {number}"),
        }
    }
}
