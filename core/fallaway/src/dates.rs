//! Dates and times as people write them: ISO 8601.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};
use fallaway_record::Moment;

/// Reads a date and time (`2026-01-15 18:30`, `2026-01-15T18:30:00+01:00`), a date alone (noon), or a
/// time alone (of today); in the zone of `now` unless an offset is given. ISO 8601-1:2019, extended
/// format, with a space for the `T` allowed. `None` for anything else.
pub fn read_moment(text: &str, now: Moment) -> Option<Moment> {
    let (civil, offset_min) = civil(text.trim(), now)?;
    let unix_s = civil.and_utc().timestamp() - i64::from(offset_min) * 60;
    Some(Moment { unix_s, offset_min })
}

/// What a clock on the wall showed, and its offset from UTC in minutes.
fn civil(text: &str, now: Moment) -> Option<(NaiveDateTime, i16)> {
    if let Ok(time) = NaiveTime::parse_from_str(text, "%H:%M") {
        return Some((local(now).date().and_time(time), now.offset_min));
    }
    if let Ok(date) = NaiveDate::parse_from_str(text, "%Y-%m-%d") {
        return Some((date.and_hms_opt(12, 0, 0)?, now.offset_min));
    }
    let text = text.replacen(' ', "T", 1);
    let (civil, rest) = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_and_remainder(&text, form).ok())?;
    let offset_min = match rest {
        "" => now.offset_min,
        "Z" => 0,
        offset => (offset.parse::<FixedOffset>().ok()?.local_minus_utc() / 60) as i16,
    };
    Some((civil, offset_min))
}

/// The moment as the clock on the wall showed it there.
fn local(moment: Moment) -> NaiveDateTime {
    let seconds = moment.unix_s.saturating_add(i64::from(moment.offset_min) * 60);
    DateTime::from_timestamp(seconds, 0).unwrap_or_default().naive_utc()
}

/// The moment as a text that [`read_moment`] reads back: `2026-01-15T18:30:00+01:00` (RFC 3339).
pub fn written_moment(moment: Moment) -> String {
    let minutes = moment.offset_min.unsigned_abs();
    format!(
        "{}{}{:02}:{:02}",
        local(moment).format("%Y-%m-%dT%H:%M:%S"),
        if moment.offset_min < 0 { '-' } else { '+' },
        minutes / 60,
        minutes % 60
    )
}
