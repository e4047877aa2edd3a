//! The page that a customer takes home.

use fallaway_advice::hazard::Hazard;
use fallaway_advice::observe::Estimate;
use fallaway_measure::{Amount, Reading};
use fallaway_record::Moment;
use fallaway_text::{Day, List, Phrase, Voice, cautions, names};

use super::messages as say;
use super::{SheetBlock, SheetLine, SheetPage};
use crate::Scene;

/// Half a year (common practice, no source).
const COME_BACK_S: i64 = 182 * 86_400;

/// A number of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct CustomerNumber {
    /// What it is of.
    pub what: Phrase,
    /// Which string; none for the whole instrument.
    pub place: Option<Phrase>,
    /// What was read first, in words.
    pub found: Option<Phrase>,
    /// What is wanted, and how far a reading may lie from it.
    pub wanted: Option<(Amount, Amount)>,
    /// What was read last, nothing having been done since that disturbs it.
    pub left: Option<Phrase>,
    /// The same as a quantity, a length in mm or an interval in cents.
    pub left_known: Option<Estimate>,
    /// People wrote two targets.
    pub two_values: bool,
}

/// What the page is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct CustomerSheet {
    /// The instrument's name.
    pub name: String,
    /// When the work was done.
    pub at: Moment,
    /// What was wanted: the complaint, the reason.
    pub purpose: Option<String>,
    /// Who did it.
    pub by: Vec<String>,
    /// The numbers, those of one kind beside each other.
    pub numbers: Vec<CustomerNumber>,
    /// What was done.
    pub done: Vec<Phrase>,
    /// What was written beside it.
    pub notes: Vec<Phrase>,
    /// To what the strings are tuned.
    pub tuning: Vec<Phrase>,
    /// What the strings are.
    pub strings: Vec<Phrase>,
    /// When strings were last put on.
    pub strings_since: Option<Moment>,
    /// Relative humidity, temperature, and when.
    pub air: Option<(Option<Amount>, Option<Amount>, Moment)>,
    /// What is to be watched, as whoever did the work wrote it.
    pub watch: Option<String>,
    /// What was found or heard, and nothing was done about it since: a fret that stands high, a buzz.
    pub still: Vec<Phrase>,
    /// Kinds of work that are left open.
    pub open: Vec<Phrase>,
    /// The neck as it is left.
    pub neck: Option<Scene>,
}

/// The page: as found, wanted, as left; what was done, by whom; what to watch, and when to come back.
pub fn customer_sheet(of: &CustomerSheet, voice: &Voice) -> SheetPage {
    let day = names::day(of.at);
    let subtitle = match &of.purpose {
        Some(purpose) => say::customer_for(Phrase::written(purpose), day),
        None => say::customer(day),
    };
    let heading = |phrase: Phrase| SheetBlock::Heading(voice.sentence(&phrase));
    let mut blocks = vec![facts(of, voice)];
    if !of.numbers.is_empty() {
        blocks.push(heading(say::numbers()));
        // What has a target and was not read is named, and not shown as a row of dashes.
        let seen = |number: &&CustomerNumber| {
            number.found.is_some() || number.left.is_some() || number.two_values
        };
        let (read, unread): (Vec<&CustomerNumber>, Vec<&CustomerNumber>) =
            of.numbers.iter().partition(seen);
        if !read.is_empty() {
            blocks.push(table(&read, voice));
        }
        let mut names: Vec<&Phrase> = unread.iter().map(|number| &number.what).collect();
        names.dedup();
        let unread = (!names.is_empty())
            .then(|| say::not_read_this_time(List::comma(names.into_iter().cloned())));
        let told = on_target(&of.numbers).into_iter().chain(unread);
        blocks.extend(told.map(|one| SheetBlock::Paragraph(voice.sentence(&one))));
    }
    blocks.push(heading(say::done()));
    blocks.push(match of.done.as_slice() {
        [] => SheetBlock::Paragraph(voice.sentence(&say::nothing_done())),
        done => SheetBlock::Points(done.iter().map(|one| voice.sentence(one)).collect()),
    });
    if !of.notes.is_empty() {
        blocks.push(heading(say::notes()));
        blocks.push(SheetBlock::Points(of.notes.iter().map(|one| voice.sentence(one)).collect()));
    }
    if let Some(neck) = &of.neck {
        blocks.push(heading(say::neck_today()));
        blocks.push(SheetBlock::Picture(neck.clone()));
    }
    let mut watch: Vec<String> =
        of.watch.iter().map(|note| voice.sentence(&Phrase::written(note))).collect();
    watch.extend(of.still.iter().map(|one| voice.sentence(one)));
    if !of.open.is_empty() {
        watch.push(voice.sentence(&say::watch_open(List::comma(of.open.iter().cloned()))));
    }
    let mut two: Vec<String> = Vec::new();
    for number in of.numbers.iter().filter(|number| number.two_values) {
        let said = voice.sentence(&say::watch_two_values(number.what.clone()));
        if !two.contains(&said) {
            two.push(said);
        }
    }
    watch.extend(two);
    watch.push(voice.sentence(&say::watch_wood()));
    blocks.push(heading(say::watch()));
    blocks.push(SheetBlock::Points(watch));
    blocks.push(heading(say::come_back()));
    let by = Moment { unix_s: of.at.unix_s.saturating_add(COME_BACK_S), ..of.at };
    blocks.push(SheetBlock::Paragraph(voice.sentence(&say::come_back_by(Day(by)))));
    for hazard in [Hazard::Repairer, Hazard::Clinician] {
        blocks.push(SheetBlock::Caution(voice.sentence(&cautions::text(hazard))));
    }
    SheetPage {
        title: voice.say(&Phrase::written(&of.name)),
        subtitle: voice.sentence(&subtitle),
        language: voice.language.tag().to_owned(),
        blocks,
    }
}

fn facts(of: &CustomerSheet, voice: &Voice) -> SheetBlock {
    let mut facts: Vec<(Phrase, Phrase)> = Vec::new();
    if !of.by.is_empty() {
        let by = of.by.iter().map(Phrase::written);
        facts.push((say::by(), List::comma(by).into()));
    }
    if !of.tuning.is_empty() {
        facts.push((say::tuning(), List::space(of.tuning.iter().cloned()).into()));
    }
    if !of.strings.is_empty() {
        facts.push((say::strings(), List::comma(of.strings.iter().cloned()).into()));
    }
    if let Some(since) = of.strings_since {
        facts.push((say::strings_since(), names::day(since)));
    }
    if let Some((humidity, temperature, at)) = of.air {
        let air = [humidity.map(say::air_humidity), temperature.map(say::air_temperature)];
        let air = List::comma(air.into_iter().flatten());
        facts.push((say::air(), say::air_of(air, Day(at))));
    }
    let said = |(name, value): (Phrase, Phrase)| (voice.sentence(&name), voice.say(&value));
    SheetBlock::Facts(facts.into_iter().map(said).collect())
}

fn table(numbers: &[&CustomerNumber], voice: &Voice) -> SheetBlock {
    // A column that nobody filled is left out: it would only ask what it is for.
    let found = numbers.iter().any(|number| number.found.is_some());
    let wanted = numbers.iter().any(|number| number.wanted.is_some() || number.two_values);
    let mut head = vec![voice.say(&say::what())];
    let titles = [(found, say::as_found()), (wanted, say::wanted()), (true, say::as_left())];
    head.extend(titles.iter().filter(|(shown, _)| *shown).map(|(_, title)| voice.say(title)));
    let empty = || voice.say(&say::not_read());
    let mut lines = Vec::new();
    let mut group: Option<&Phrase> = None;
    for number in numbers {
        let aim = match number.wanted {
            _ if number.two_values => voice.say(&crate::messages::two_values()),
            Some((wanted, tolerance)) => voice.say(&say::wanted_within(wanted, tolerance)),
            None => empty(),
        };
        let said = |phrase: &Option<Phrase>| {
            phrase.as_ref().map_or_else(empty, |phrase| voice.say(phrase))
        };
        let cells = [(found, said(&number.found)), (wanted, aim), (true, said(&number.left))];
        let cells = cells.into_iter().filter(|(shown, _)| *shown).map(|(_, cell)| cell).collect();
        let grouped = number.place.is_some();
        if grouped && group != Some(&number.what) {
            lines.push(SheetLine::Group(voice.sentence(&number.what)));
        }
        group = grouped.then_some(&number.what);
        let what = voice.sentence(number.place.as_ref().unwrap_or(&number.what));
        lines.push(SheetLine::Row { what, grouped, cells });
    }
    SheetBlock::Table { head, lines }
}

/// How many of the numbers that have a target are left within its tolerance.
fn on_target(numbers: &[CustomerNumber]) -> Option<Phrase> {
    let left = numbers.iter().filter_map(|number| {
        let (wanted, tolerance) = number.wanted.filter(|_| !number.two_values)?;
        let left = number.left_known?;
        let known = |amount| {
            let known = Estimate::of_reading(Reading::Value(amount), None);
            known.filter(|known| known.scale == left.scale).map(|known| known.value)
        };
        // What people read and wrote down in one unit is compared in another: a part in a million.
        Some((left.value - known(wanted)?).abs() <= known(tolerance)? + 1e-6)
    });
    let (mut within, mut all) = (0, 0);
    for inside in left {
        within += i64::from(inside);
        all += 1;
    }
    // What nobody read at the end is not called good.
    let open = numbers.iter().filter(|number| {
        number.wanted.is_some()
            && !number.two_values
            && number.left.is_none()
            && number.found.is_some()
    });
    let open = open.count() as i64;
    match all {
        0 => None,
        _ if open > 0 => Some(say::on_target_read(within, all, open)),
        _ if within == all => Some(say::on_target_all(all)),
        _ => Some(say::on_target(within, all)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test")]

    use fallaway_measure::Unit;

    use super::*;

    fn number(wanted: Amount, within: Amount, left: Option<Amount>) -> CustomerNumber {
        CustomerNumber {
            what: Phrase::written("it"),
            place: None,
            found: Some(names::amount(wanted)),
            wanted: Some((wanted, within)),
            left: left.map(names::amount),
            left_known: left.and_then(|left| Estimate::of_reading(Reading::Value(left), None)),
            two_values: false,
        }
    }

    #[test]
    fn lengths_and_cents_count_alike_and_one_is_told_as_one() {
        let of = |digits, places, unit| Amount::decimal(digits, places, unit).unwrap();
        let (mm, cents) =
            (|hundredths| of(hundredths, 2, Unit::Millimetre), |c| of(c, 0, Unit::Cent));
        let action = |left| number(mm(220), mm(10), Some(mm(left)));
        let intonation = |left: Option<i64>| number(cents(0), cents(2), left.map(cents));
        let told = |numbers: &[CustomerNumber]| {
            on_target(numbers).map(|told| Voice::default().sentence(&told)).unwrap_or_default()
        };
        let flat = [action(222), intonation(Some(-9))];
        assert!(told(&flat).starts_with("1 of 2 numbers"), "{}", told(&flat));
        let right = [action(222), intonation(Some(-2))];
        assert!(told(&right).starts_with("All 2 numbers"), "{}", told(&right));
        // 2.20 mm is 0.0866 in: what was written in one unit is left in another.
        let inches = number(mm(220), mm(10), Some(of(87, 3, Unit::Inch)));
        assert!(told(&[inches]).contains("left within"));
        let one = told(&[intonation(Some(9))]);
        assert_eq!(one, "The one number that has a target is left outside its tolerance.");
        let open = told(&[action(260), intonation(None)]);
        assert_eq!(
            open,
            "The one number read at the end is left outside its tolerance; one more that has a \
             target was not read at the end."
        );
    }
}
