//! Times that a person names: `--at "2026-01-15 18:30"`.

use fallaway::record::Moment;
use jiff::civil::{DateTime, Time};
use jiff::tz::{Offset, TimeZone};
use jiff::{Timestamp, ZonedDateTime};

/// Reads a time: date and time, a date alone (noon), a time alone (today); in the zone of `now`
/// unless an offset is given.
///
/// # Errors
/// For anything else, and for times after `now`.
pub fn moment(text: &str, now: Moment) -> Result<Moment, String> {
    let text = text.trim();
    let offset = Offset::from_seconds(i32::from(now.offset_min) * 60).unwrap_or(Offset::UTC);
    let zone = TimeZone::fixed(offset);
    let today = || local(now).date();
    let accepted = "accepted: 2026-01-15 18:30, 2026-01-15 (noon), 18:30 (today), or with an offset 2026-01-15T18:30+01:00";
    let (unix_s, offset_s) = if let Ok(exact) = text.parse::<Timestamp>() {
        (exact.as_second(), offset.seconds())
    } else {
        let civil = if text.len() <= 5 {
            text.parse::<Time>().map(|time| today().to_datetime(time))
        } else if text.len() <= 10 {
            text.parse::<jiff::civil::Date>().map(|date| date.at(12, 0, 0, 0))
        } else {
            text.parse::<DateTime>()
        };
        let civil = civil.map_err(|_| format!("\"{text}\" is no time; {accepted}"))?;
        let zoned: ZonedDateTime = civil.to_zoned_datetime(zone).map_err(|e| e.to_string())?;
        (zoned.timestamp().as_second(), offset.seconds())
    };
    if unix_s > now.unix_s {
        return Err(format!("\"{text}\" lies in the future; give a time that has passed"));
    }
    Ok(Moment { unix_s, offset_min: (offset_s / 60) as i16 })
}

/// The moment as the clock on the wall showed it there.
pub fn local(moment: Moment) -> DateTime {
    let offset = Offset::from_seconds(i32::from(moment.offset_min) * 60).unwrap_or(Offset::UTC);
    Timestamp::from_second(moment.unix_s).map_or(DateTime::MIN, |t| offset.to_datetime(t))
}

/// `2026-01-15 18:30`.
pub fn shown(moment: Moment) -> String {
    local(moment).strftime("%Y-%m-%d %H:%M").to_string()
}

/// `2026-01-15`.
pub fn day(moment: Moment) -> String {
    local(moment).strftime("%Y-%m-%d").to_string()
}

/// With its offset, for programs: `2026-01-15T18:30:00+01:00` (RFC 3339).
pub fn rfc3339(moment: Moment) -> String {
    let (sign, minutes) =
        if moment.offset_min < 0 { ('-', -moment.offset_min) } else { ('+', moment.offset_min) };
    format!(
        "{}{sign}{:02}:{:02}",
        local(moment).strftime("%Y-%m-%dT%H:%M:%S"),
        minutes / 60,
        minutes % 60
    )
}

#[cfg(test)]
mod tests {
    use super::*;

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
        assert!(moment("19:00", NOW).unwrap_err().contains("future"));
        assert!(moment("last week", NOW).unwrap_err().contains("accepted"));
    }
}
