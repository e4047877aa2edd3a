//! Why a relay refuses: RFC 9457 with a `code`, which is a header too.

/// The code of a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Code {
    /// The log does not go on from where the client thinks: it was restored, wiped or replaced.
    Diverged,
    /// The capability reads up to a number, and writes no more.
    Retired,
    /// No such log, no capability, or a wrong one: they are not told apart.
    NoAccess,
    /// The log was deleted.
    Gone,
    /// The operator admits new logs only with a code.
    Admission,
    /// The request is larger than the relay takes.
    TooLarge,
    /// No bundle file, or bundles in it that are none.
    BadBundle,
    /// The parts of a photo are not those that its id names.
    BadBlob,
    /// The request is not in form.
    BadRequest,
    /// There is no such thing.
    NotFound,
    /// It is there already, and belongs to somebody else.
    Taken,
    /// The method is not that of the path.
    Method,
    /// The media type is not that of the path.
    MediaType,
    /// Too many requests.
    TooMany,
    /// The log has reached the size that the relay grants it.
    Quota,
    /// The relay has no room left.
    Full,
    /// The relay took too long to receive it.
    Slow,
    /// It cannot answer now.
    Unavailable,
}

impl Code {
    /// All of them.
    pub const ALL: [Self; 18] = [
        Self::Diverged,
        Self::Retired,
        Self::NoAccess,
        Self::Gone,
        Self::Admission,
        Self::TooLarge,
        Self::BadBundle,
        Self::BadBlob,
        Self::BadRequest,
        Self::NotFound,
        Self::Taken,
        Self::Method,
        Self::MediaType,
        Self::TooMany,
        Self::Quota,
        Self::Full,
        Self::Slow,
        Self::Unavailable,
    ];

    /// As it stands in header and body.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Diverged => "diverged",
            Self::Retired => "retired",
            Self::NoAccess => "no-access",
            Self::Gone => "gone",
            Self::Admission => "admission",
            Self::TooLarge => "too-large",
            Self::BadBundle => "bad-bundle",
            Self::BadBlob => "bad-blob",
            Self::BadRequest => "bad-request",
            Self::NotFound => "not-found",
            Self::Taken => "taken",
            Self::Method => "method",
            Self::MediaType => "media-type",
            Self::TooMany => "too-many",
            Self::Quota => "quota",
            Self::Full => "full",
            Self::Slow => "slow",
            Self::Unavailable => "unavailable",
        }
    }

    /// The status of the answer (RFC 9110, RFC 4918 for 507, RFC 6585 for 429).
    pub const fn status(self) -> u16 {
        match self {
            Self::Diverged | Self::Retired | Self::Taken => 409,
            Self::NoAccess => 401,
            Self::Gone => 410,
            Self::Admission => 403,
            Self::TooLarge => 413,
            Self::BadBundle | Self::BadRequest => 400,
            Self::BadBlob => 422,
            Self::NotFound => 404,
            Self::Method => 405,
            Self::MediaType => 415,
            Self::TooMany => 429,
            Self::Quota | Self::Full => 507,
            Self::Slow => 408,
            Self::Unavailable => 503,
        }
    }

    /// Reads a code; `None` for one that this version does not know.
    pub fn read(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|code| code.as_str() == text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_read_as_they_are_written() {
        for code in Code::ALL {
            assert_eq!(Code::read(code.as_str()), Some(code));
            assert!((400..600).contains(&code.status()));
        }
        assert_eq!(Code::read("other"), None);
    }
}
