//! Times that a person names: `--at "2026-01-15 18:30"`.

use chrono::{DateTime, NaiveDateTime};
use fallaway::record::Moment;
use fallaway_text::Phrase;

use crate::messages::parse as say;

/// Nobody read a set-up down to sixty-fourths before: such a year is a slip.
const YEAR_1900: i64 = -2_208_988_800;

/// Reads a time: date and time, a date alone (noon), a time alone (today); in the zone of `now`
/// unless an offset is given.
///
/// # Errors
/// For anything else, for times before 1900 and after `now`.
pub fn moment(text: &str, now: Moment) -> Result<Moment, Phrase> {
    let text = text.trim();
    let Moment { unix_s, offset_min } = fallaway::read_moment(text, now)
        .ok_or_else(|| say::not_time(text, say::time_accepted()))?;
    if unix_s < YEAR_1900 {
        return Err(say::too_early(text));
    }
    if unix_s > now.unix_s {
        return Err(say::future(text));
    }
    Moment::new(unix_s, offset_min).ok_or_else(|| say::time_range(text))
}

/// The end of the minute that is named, as it stands in the history, or of the day where no time is named; at
/// most `now`. Up to then counts what is asked as of that time.
///
/// # Errors
/// As [`moment`].
pub fn until(text: &str, now: Moment) -> Result<Moment, Phrase> {
    let Moment { unix_s, offset_min } = moment(text, now)?;
    // A day alone is read as its noon.
    let left = if text.contains(':') { 59 - unix_s.rem_euclid(60) } else { 12 * 3_600 - 1 };
    Ok(Moment { unix_s: unix_s.saturating_add(left).min(now.unix_s), offset_min })
}

/// The moment as the clock on the wall showed it there.
fn local(moment: Moment) -> NaiveDateTime {
    let seconds = moment.unix_s.saturating_add(i64::from(moment.offset_min) * 60);
    DateTime::from_timestamp(seconds, 0).unwrap_or_default().naive_utc()
}

/// `18:30`.
pub fn time(moment: Moment) -> String {
    local(moment).format("%H:%M").to_string()
}

/// With its offset, for programs: `2026-01-15T18:30:00+01:00` (RFC 3339).
pub fn rfc3339(moment: Moment) -> String {
    fallaway::written_moment(moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(moment: Moment) -> String {
        local(moment).format("%Y-%m-%d %H:%M").to_string()
    }

    // 2026-01-15T18:30:00+01:00, by `date -d`.
    const NOW: Moment = Moment { unix_s: 1_768_498_200, offset_min: 60 };

    #[test]
    fn shown_as_on_the_wall_there() {
        assert_eq!(shown(NOW), "2026-01-15 18:30");
        assert_eq!(rfc3339(NOW), "2026-01-15T18:30:00+01:00");
    }

    #[test]
    fn the_ways_to_name_a_time() {
        assert_eq!(moment("2026-01-15 18:30", NOW), Ok(NOW));
        assert_eq!(moment("18:30", NOW), Ok(NOW));
        assert_eq!(moment("2026-01-15T18:30+01:00", NOW), Ok(NOW));
        assert_eq!(moment("2026-01-15", NOW).map(shown), Ok("2026-01-15 12:00".into()));
        assert_eq!(moment("2026-01-15T17:30:00Z", NOW), Ok(Moment { offset_min: 0, ..NOW }));
        assert!(moment("19:00", NOW).unwrap_err().to_string().contains("future"));
        assert!(moment("last week", NOW).unwrap_err().to_string().contains("accepted"));
    }

    #[test]
    fn a_question_is_as_of_the_end_of_the_minute_or_of_the_day() {
        let end = |text| until(text, NOW).map(rfc3339).unwrap();
        assert_eq!(end("2026-01-14 10:03"), "2026-01-14T10:03:59+01:00");
        assert_eq!(end("2026-01-14"), "2026-01-14T23:59:59+01:00");
        assert_eq!(end("18:30"), rfc3339(NOW));
        assert_eq!(end("2026-01-15"), rfc3339(NOW));
    }

    fn day(moment: Moment) -> String {
        rfc3339(moment)[..10].to_owned()
    }

    #[test]
    fn a_day_that_the_calendar_does_not_have_is_refused() {
        // Every fourth year is a leap year, but of the centuries only every fourth (Gregory, 1582).
        assert_eq!(moment("2024-02-29", NOW).map(day), Ok("2024-02-29".into()));
        assert_eq!(moment("2000-02-29", NOW).map(day), Ok("2000-02-29".into()));
        for no in ["2025-02-29", "1900-02-29", "2025-04-31", "2025-13-01", "2025-01-15 24:00"] {
            assert!(moment(no, NOW).unwrap_err().to_string().contains("accepted"), "{no}");
        }
    }

    #[test]
    fn the_first_and_the_last_year() {
        let end = Moment { unix_s: 253_402_207_200, offset_min: 0 };
        assert_eq!(moment("1900-01-02", end).map(shown), Ok("1900-01-02 12:00".into()));
        assert_eq!(shown(end), "9999-12-30 22:00");
        assert_eq!(rfc3339(Moment { offset_min: -18 * 60, ..end }), "9999-12-30T04:00:00-18:00");
        assert_eq!(day(Moment { offset_min: 18 * 60, ..end }), "9999-12-31");
        for early in ["0000-12-30", "0001-01-02", "1899-12-31"] {
            assert!(moment(early, end).unwrap_err().to_string().contains("1900"), "{early}");
        }
        assert!(
            moment("2025-01-15T18:30+23:00", NOW).unwrap_err().to_string().contains("18 hours")
        );
        assert!(
            moment("2025-01-15T18:30+25:00", NOW).unwrap_err().to_string().contains("accepted")
        );
    }

    #[test]
    fn offsets_of_part_of_an_hour() {
        // Nepal and Newfoundland.
        for (offset, minutes) in [("+05:45", 345), ("-03:30", -210)] {
            let text = format!("2026-01-15T01:00:00{offset}");
            let at = moment(&text, NOW).unwrap();
            assert_eq!(at.offset_min, minutes);
            assert_eq!(rfc3339(at), text);
        }
    }
}
