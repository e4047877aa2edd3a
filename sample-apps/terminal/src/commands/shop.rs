//! What the shop keeps for itself: whose an instrument is, jobs, when to look again, numbers, string sets.

use fallaway::measure::Decimal;
use fallaway::record::InstrumentSpec;
use fallaway::record::spec::{StringSpec, UnitWeight, UnitWeightUnit};
use fallaway::record::{Moment, SpecField, StringChange};
use fallaway::{
    Care, Customer, DueAgain, FoundIn, FoundText, Instrument, Job, JobPart, Money, OpenWork, Setup,
    StringSet, TakenTargets, TargetSource, read_moment,
};
use fallaway_text::{Computed, List, Phrase, Word, names};
use serde_json::{Value, json};

use super::context::Context;
use crate::cli::{
    CareArgs, JobAction, JobArgs, OwnerArgs, PackAction, PackArgs, SpecAction, TargetsAction,
};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::{bench, shop as say};
use crate::parse::{facts, minus, moments};
use crate::render::{Style, TextTable};
use crate::voice;

/// Takes targets from another instrument, from numbers of the shop, or usual ones.
pub fn targets(context: &mut Context<'_, '_>, action: &TargetsAction) -> Outcome {
    let workshop = context.workshop()?;
    let instrument = context.instrument_of(&workshop)?;
    let (source, into, named) = match action {
        TargetsAction::Usual { into } => (None, into, None),
        TargetsAction::From { name, setup, into } => (Some(name), into, setup.as_deref()),
    };
    let name = |setups: &[Setup]| {
        let in_use = setups.first().map_or("main", |setup| setup.name.as_str());
        into.as_deref().unwrap_or(in_use).to_owned()
    };
    let name = name(&instrument.setups()?);
    let options = context.options();
    let (taken, line) = match source {
        None => {
            let taken = instrument.targets_from(&name, TargetSource::Usual, options)?;
            (taken, say::targets_usual(&name))
        }
        Some(from) => match workshop.spec_named(from) {
            Ok(spec) => {
                let taken = instrument.targets_from(&name, TargetSource::Spec(&spec), options)?;
                (taken, say::targets_from(&name, &spec.name))
            }
            Err(fallaway::Error::NotFound { .. }) => {
                let other = workshop.instrument_named(from)?;
                let setup = named.map(|name| other.setup_named(name)).transpose()?;
                let setup = setup.as_ref().map(|setup| &setup.id);
                let source = TargetSource::Instrument(&other, setup);
                let taken = instrument.targets_from(&name, source, options)?;
                (taken, say::targets_from(&name, &other.name()?))
            }
            Err(error) => return Err(error.into()),
        },
    };
    let spec = instrument.details()?.spec;
    let TakenTargets { setup, left_out, by_place } = taken;
    if context.common.json {
        let left_out = left_out.iter().map(ToString::to_string).collect::<Vec<_>>();
        let by_place = by_place.iter().map(ToString::to_string).collect::<Vec<_>>();
        let setup = shapes::setup(&setup, &spec);
        return context
            .json(&json!({ "setup": setup, "left_out": left_out, "by_place": by_place }));
    }
    let mut printer = context.printer();
    printer.line(&line)?;
    if !by_place.is_empty() {
        printer.line(&say::by_place(names::strings(&spec, &by_place)))?;
    }
    if !left_out.is_empty() {
        let left_out = List::semicolon(left_out.into_iter().map(names::quantity));
        printer.say(Style::Caution, &say::left_out(left_out))?;
    }
    super::setups::print(context, &setup, &spec)?;
    if source.is_none() {
        context.printer().say(Style::Quiet, &say::usual_hint())?;
    }
    Ok(())
}

/// Numbers of the shop.
pub fn specs(context: &mut Context<'_, '_>, action: Option<&SpecAction>) -> Outcome {
    let workshop = context.workshop()?;
    match action {
        Some(SpecAction::Keep { name, setup }) => {
            let instrument = context.instrument_of(&workshop)?;
            let setup = setup.as_deref().map(|one| instrument.setup_named(one)).transpose()?;
            let spec = instrument.keep_spec(name, setup.as_ref().map(|setup| &setup.id))?;
            let data = json!({ "name": spec.name, "targets": spec.targets.len() });
            context.done(&say::spec_kept(&spec.name, spec.targets.len()), &data)
        }
        Some(SpecAction::Drop { name }) => {
            workshop.remove_spec(name)?;
            context.done(&say::spec_dropped(name), &json!({ "dropped": name }))
        }
        None => {
            let specs = workshop.specs()?;
            let rows = specs.iter().map(|spec| {
                let mut what: Vec<Phrase> = Vec::new();
                for target in &spec.targets {
                    let quantity = names::quantity(target.quantity);
                    if !what.iter().any(|one| one.to_string() == quantity.to_string()) {
                        what.push(quantity);
                    }
                }
                (spec.name.clone(), Phrase::from(List::semicolon(what)))
            });
            let rows: Vec<_> = rows.collect();
            listed(context, &rows, &say::head_specs(), &say::no_specs())
        }
    }
}

/// String sets of the shop.
pub fn packs(context: &mut Context<'_, '_>, action: Option<&PackAction>) -> Outcome {
    let workshop = context.workshop()?;
    match action {
        Some(PackAction::Keep(args)) => {
            let set = StringSet { name: args.name.clone(), strings: strings_of(args)? };
            workshop.keep_string_set(&set)?;
            let data = json!({ "name": set.name, "strings": set.strings.len() });
            context.done(&say::pack_kept(set.name.trim(), set.strings.len()), &data)
        }
        Some(PackAction::Drop { name }) => {
            workshop.remove_string_set(name)?;
            context.done(&say::pack_dropped(name), &json!({ "dropped": name }))
        }
        None => {
            let sets = workshop.string_sets()?;
            let rows = sets.iter().map(|set| {
                let gauges = set.strings.iter().filter_map(|one| one.gauge).map(names::amount);
                let gauges = voice::in_order(gauges.collect());
                (set.name.clone(), Phrase::from(List::space(gauges)))
            });
            let rows: Vec<_> = rows.collect();
            listed(context, &rows, &say::head_packs(), &say::no_packs())
        }
    }
}

/// A set of the shop as it goes on an instrument.
pub fn fitted(
    context: &mut Context<'_, '_>,
    instrument: &Instrument,
    pack: &str,
) -> Outcome<StringChange> {
    let set = context.workshop()?.string_set_named(pack)?;
    let Some(fitted) = instrument.fitting(&set)? else {
        let (has, wanted) = (set.strings.len(), instrument.details()?.spec.places().len());
        return Err(Error::Usage(bench::pack_count(&set.name, has, wanted)));
    };
    Ok(fitted)
}

fn listed(
    context: &mut Context<'_, '_>,
    rows: &[(String, Phrase)],
    head: &Phrase,
    none: &Phrase,
) -> Outcome {
    if context.common.json {
        let rows =
            rows.iter().map(|(name, holds)| json!({ "name": name, "holds": voice::say(holds) }));
        return context.json(&rows.collect::<Vec<_>>());
    }
    if rows.is_empty() {
        context.printer().line(none)?;
        return Ok(());
    }
    let mut table = TextTable::headed(head);
    for (name, holds) in rows {
        table.row([Phrase::written(name), holds.clone()]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// The strings of a set, the highest first, as gauges, makes and weights are typed for an instrument.
fn strings_of(args: &PackArgs) -> Outcome<Vec<StringSpec>> {
    let gauges: Vec<String> = args.gauges.iter().map(|word| minus::plain(word)).collect();
    let text = gauges.join(" ");
    let is_number = |word: &&str| word.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    let count = text.split_whitespace().filter(is_number).count();
    let nameless = InstrumentSpec { courses: vec![1; count], ..InstrumentSpec::default() };
    let mut fields = facts::fields("gauges", &gauges, &nameless).map_err(Error::Usage)?;
    fields.sort_by_key(SpecField::strings);
    let mut strings = Vec::new();
    for field in fields {
        if let SpecField::Strings(_, string) = field {
            strings.push(string);
        }
    }
    if !args.made.is_empty() {
        let mut made = facts::fields("made", &args.made, &nameless).map_err(Error::Usage)?;
        made.sort_by_key(SpecField::strings);
        for (string, field) in strings.iter_mut().zip(made) {
            if let SpecField::Strings(_, made) = field {
                string.construction = made.construction;
            }
        }
    }
    if !args.weights.is_empty() {
        let weights = weights(&args.weights)?;
        if weights.len() != strings.len() {
            return Err(Error::Usage(say::weights_count(weights.len(), strings.len())));
        }
        for (string, weight) in strings.iter_mut().zip(voice::in_order(weights)) {
            string.unit_weight = Some(weight);
        }
    }
    Ok(strings)
}

/// Unit weights with their unit at the end, as packs print them.
fn weights(words: &[String]) -> Outcome<Vec<UnitWeight>> {
    let text = words.join(" ");
    let wrong = || Error::Usage(say::weights_wrong());
    let (numbers, unit) = if let Some(front) = text.strip_suffix("lb/in") {
        (front, UnitWeightUnit::PoundPerInch)
    } else if let Some(front) = text.strip_suffix("g/m") {
        (front, UnitWeightUnit::GramPerMetre)
    } else {
        return Err(wrong());
    };
    numbers
        .split_whitespace()
        .map(|number| {
            let (whole, part) = number.split_once('.').unwrap_or((number, ""));
            let digits = format!("{whole}{part}").parse::<u32>().map_err(|_| wrong())?;
            let places = u8::try_from(part.len()).map_err(|_| wrong())?;
            let value = Decimal::new(i64::from(digits), places).map_err(|_| wrong())?;
            Ok(UnitWeight { value, unit })
        })
        .collect()
}

/// Shows or keeps whose an instrument is.
pub fn owner(context: &mut Context<'_, '_>, args: &OwnerArgs) -> Outcome {
    let instrument = context.instrument()?;
    let before = instrument.customer()?;
    if args.none {
        instrument.set_customer(None)?;
        return context.done(&say::owner_forgotten(), &json!({ "owner": null }));
    }
    let given = args.name.is_some() || args.contact.is_some();
    let customer = match (&args.name, before) {
        (None, None) if given => return Err(Error::Usage(say::owner_name_missing())),
        (None, None) => return context.done(&say::no_owner(), &json!({ "owner": null })),
        (Some(name), before) => {
            let contact = before.map(|one| one.contact).unwrap_or_default();
            Customer { name: name.trim().to_owned(), contact }
        }
        (None, Some(before)) => before,
    };
    let contact = args.contact.clone().map_or(customer.contact, |one| one.trim().to_owned());
    let customer = Customer { contact, ..customer };
    if given {
        instrument.set_customer(Some(&customer))?;
    }
    if context.common.json {
        return context.json(&customer_data(Some(&customer)));
    }
    let mut printer = context.printer();
    let texts = [&customer.name, &customer.contact].into_iter().filter(|text| !text.is_empty());
    printer.line(&List::comma(texts.map(Phrase::written)).into())?;
    printer.say(Style::Quiet, &say::only_here())?;
    Ok(())
}

fn customer_data(customer: Option<&Customer>) -> Value {
    customer.map_or(Value::Null, |one| json!({ "name": one.name, "contact": one.contact }))
}

/// Work on an instrument; alone: its jobs.
pub fn job(context: &mut Context<'_, '_>, action: Option<&JobAction>) -> Outcome {
    let instrument = context.instrument()?;
    let found = |number: u32| -> Outcome<Job> {
        let jobs = instrument.jobs()?;
        // One that is not there is the library's to refuse.
        let new = Job { number, ..Job::new("?", instrument.now()) };
        Ok(jobs.into_iter().find(|job| job.number == number).unwrap_or(new))
    };
    let (job, line) = match action {
        None => return jobs(context),
        Some(JobAction::Drop { number }) => {
            instrument.remove_job(*number)?;
            return context.done(&say::job_dropped(*number), &json!({ "dropped": number }));
        }
        Some(JobAction::Add { what, more }) => {
            let job = noted(context, Job::new(what.trim(), context.now()), more)?;
            let job = instrument.keep_job(&job)?;
            let line = say::job_added(job.number, &job.what);
            (job, line)
        }
        Some(JobAction::Note { number, more }) => {
            let job = instrument.keep_job(&noted(context, found(*number)?, more)?)?;
            let line = say::job_noted(job.number, &job.what);
            (job, line)
        }
        Some(JobAction::Done { number, more }) => {
            let job = noted(context, found(*number)?, more)?;
            let job = Job { done: Some(context.now()), waits_for: None, ..job };
            let job = instrument.keep_job(&job)?;
            let line = say::job_done(job.number, &job.what);
            (job, line)
        }
    };
    if context.common.json {
        return context.json(&job_data(&job));
    }
    let details = details(&job);
    let mut printer = context.printer();
    printer.line(&line)?;
    if !details.is_empty() {
        printer.hung(Style::Plain, "  ", 2, &voice::say(&List::semicolon(details).into()))?;
    }
    printer.say(Style::Quiet, &say::only_here())?;
    Ok(())
}

/// A job with what is noted of it now.
fn noted(context: &Context<'_, '_>, job: Job, args: &JobArgs) -> Outcome<Job> {
    let mut job = job;
    if let Some(due) = &args.due {
        job.due = Some(day(due, context.now())?);
    }
    if args.arrived {
        job.waits_for = None;
    }
    if let Some(part) = &args.waits_for {
        job.waits_for = Some(part.trim().to_owned());
    }
    job.minutes = job.minutes.saturating_add(args.time.unwrap_or(0));
    for part in &args.part {
        job.parts.push(part_of(part)?);
    }
    if let Some(price) = &args.price {
        job.price = Some(Money::read(price).ok_or_else(|| Error::Usage(say::price_wrong(price)))?);
    }
    Ok(job)
}

/// A part with its price: "nut blank = 12 EUR".
fn part_of(text: &str) -> Outcome<JobPart> {
    let Some((what, price)) = text.split_once('=') else {
        return Ok(JobPart { what: text.trim().to_owned(), price: None });
    };
    let read = Money::read(price).ok_or_else(|| Error::Usage(say::price_wrong(price.trim())))?;
    Ok(JobPart { what: what.trim().to_owned(), price: Some(read) })
}

fn day(text: &str, now: Moment) -> Outcome<Moment> {
    read_moment(text, now).ok_or_else(|| Error::Usage(say::day_wrong(text)))
}

/// An amount of money as the person writes numbers.
fn money(amount: &Money) -> String {
    let text = amount.to_string();
    let (number, currency) = text.split_once(' ').unwrap_or((&text, ""));
    let shown = number.parse().map_or_else(
        |_| number.to_owned(),
        |value: f64| voice::say(&names::computed(Computed::plain(value, 2))),
    );
    format!("{shown} {currency}").trim_end().to_owned()
}

/// What is known of a job beside its words.
fn details(job: &Job) -> Vec<Phrase> {
    let mut details = Vec::new();
    details.extend(job.waits_for.as_ref().map(|part| say::waits_for(part)));
    details.extend(job.due.filter(|_| job.done.is_none()).map(|day| say::due(names::day(day))));
    details.extend(job.done.map(|day| say::was_done(names::day(day))));
    if job.minutes > 0 {
        details.push(say::minutes(job.minutes / 60, job.minutes % 60));
    }
    for part in &job.parts {
        let price = part.price.as_ref().map(|price| Phrase::written(money(price)));
        let what = Some(Phrase::written(&part.what));
        details.push(List::space([what, price].into_iter().flatten()).into());
    }
    if let Some(price) = &job.price {
        details.push(say::work_costs(money(price)));
    }
    if !job.parts.is_empty() && job.price.is_some() {
        let total = job.total().into_iter().map(|sum| Phrase::written(money(&sum)));
        details.push(say::total(List::comma(total)));
    }
    details
}

fn job_data(job: &Job) -> Value {
    let parts = job.parts.iter().map(
        |part| json!({ "what": part.what, "price": part.price.as_ref().map(ToString::to_string) }),
    );
    json!({
        "number": job.number,
        "what": job.what,
        "begun": moments::rfc3339(job.begun),
        "waits_for": job.waits_for,
        "due": job.due.map(moments::rfc3339),
        "done": job.done.map(moments::rfc3339),
        "minutes": job.minutes,
        "parts": parts.collect::<Vec<_>>(),
        "price": job.price.as_ref().map(ToString::to_string),
        "total": job.total().iter().map(ToString::to_string).collect::<Vec<_>>(),
        "visit": job.visit.map(|visit| visit.to_string()),
    })
}

fn jobs(context: &mut Context<'_, '_>) -> Outcome {
    let jobs = context.instrument()?.jobs()?;
    if context.common.json {
        return context.json(&jobs.iter().map(job_data).collect::<Vec<_>>());
    }
    if jobs.is_empty() {
        context.printer().line(&say::no_jobs())?;
        return Ok(());
    }
    let mut table = TextTable::headed(&say::head_jobs());
    for job in &jobs {
        let style = if job.done.is_some() { Style::Quiet } else { Style::Plain };
        let more = Phrase::from(List::semicolon(details(job)));
        let cells = [Phrase::written(job.number.to_string()), Phrase::written(&job.what), more];
        table.styled(style, cells);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// The desk: what is open on all instruments, and which are due again.
pub fn desk(context: &mut Context<'_, '_>) -> Outcome {
    let workshop = context.workshop()?;
    let (open, due) = (workshop.open_work()?, workshop.due_again()?);
    let mut visits = Vec::new();
    for one in workshop.instruments()? {
        if let Some(visit) = workshop.instrument(one.id)?.current_visit()? {
            visits.push((one.name, visit));
        }
    }
    if context.common.json {
        let open = open.iter().map(|one| {
            json!({ "instrument": one.name, "owner": customer_data(one.customer.as_ref()),
                "job": job_data(&one.job) })
        });
        let due = due.iter().map(|one| {
            json!({ "instrument": one.name, "owner": customer_data(one.customer.as_ref()),
                "last": one.last.map(moments::rfc3339), "since": moments::rfc3339(one.since) })
        });
        let visits = visits.iter().map(|(name, visit)| {
            json!({ "instrument": name, "purpose": visit.purpose,
                "begun": moments::rfc3339(visit.begun) })
        });
        return context.json(&json!({
            "visits": visits.collect::<Vec<_>>(),
            "open": open.collect::<Vec<_>>(),
            "due": due.collect::<Vec<_>>(),
        }));
    }
    if visits.is_empty() && open.is_empty() && due.is_empty() {
        context.printer().line(&say::desk_empty())?;
        return Ok(());
    }
    if !visits.is_empty() {
        let mut table = TextTable::default().indented(2);
        for (name, visit) in &visits {
            let purpose = visit.purpose.as_deref().map_or_else(Phrase::empty, Phrase::written);
            table.row([Phrase::written(name), purpose, names::moment(visit.begun)]);
        }
        section(context, &say::desk_visits(), &table)?;
    }
    if !open.is_empty() {
        let mut table = TextTable::default().indented(2);
        for OpenWork { name, customer, job, .. } in &open {
            let owner = customer.as_ref().map(|one| Phrase::written(&one.name));
            let more = owner.into_iter().chain(details(job));
            let what = say::numbered(job.number, &job.what);
            table.row([Phrase::written(name), what, List::semicolon(more).into()]);
        }
        section(context, &say::desk_open(), &table)?;
    }
    if !due.is_empty() {
        let mut table = TextTable::default().indented(2);
        for DueAgain { name, customer, since, .. } in &due {
            let owner = customer.as_ref().map_or_else(Phrase::empty, |one| {
                let texts = [&one.name, &one.contact].into_iter().filter(|text| !text.is_empty());
                List::comma(texts.map(Phrase::written)).into()
            });
            table.row([Phrase::written(name), say::since(names::day(*since)), owner]);
        }
        section(context, &say::desk_due(), &table)?;
    }
    Ok(())
}

fn section(context: &mut Context<'_, '_>, head: &Phrase, table: &TextTable) -> Outcome {
    let mut printer = context.printer();
    printer.say(Style::Strong, head)?;
    printer.table(table)?;
    Ok(())
}

/// Shows or keeps when an instrument is looked at again.
pub fn care(context: &mut Context<'_, '_>, args: &CareArgs) -> Outcome {
    let instrument = context.instrument()?;
    if args.none {
        instrument.set_care(None)?;
    } else if args.months.is_some() || !args.within.is_empty() {
        let within = args
            .within
            .iter()
            .map(|word| month(word).ok_or_else(|| Error::Usage(say::month_wrong(word))));
        let in_months = within.collect::<Outcome<Vec<u8>>>()?;
        instrument.set_care(Some(&Care { after_months: args.months, in_months }))?;
    }
    let Some(care) = instrument.care()? else {
        return context.done(&say::no_care(), &json!({ "care": null }));
    };
    let after = care.after_months.map(|months| say::care_after(u32::from(months)));
    let within = care.in_months.iter().map(|month| say::month(Word(month_key(*month))));
    let within: Vec<Phrase> = within.collect();
    let within = (!within.is_empty()).then(|| say::care_in(List::comma(within)));
    let data = json!({ "months": care.after_months, "in": care.in_months });
    let line = Phrase::from(List::semicolon(after.into_iter().chain(within)));
    context.done(&say::care(line), &json!({ "care": data }))
}

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

fn month_key(month: u8) -> &'static str {
    MONTHS.get(usize::from(month).wrapping_sub(1)).copied().unwrap_or("jan")
}

/// A month by its number, or as it begins in the language of this run or in English.
fn month(word: &str) -> Option<u8> {
    let word = word.trim().to_lowercase();
    if let Ok(number) = word.parse::<u8>() {
        return (1..=12).contains(&number).then_some(number);
    }
    let begins = |key: &&'static str| {
        let own = voice::say(&say::month(Word(key))).to_lowercase();
        word.chars().count() >= 3 && (own.starts_with(&word) || word.starts_with(*key))
    };
    let found = MONTHS.iter().position(begins);
    found.and_then(|at| u8::try_from(at + 1).ok())
}

/// A word, looked for everywhere.
pub fn search(context: &mut Context<'_, '_>, text: &str) -> Outcome {
    let voice = context.voice;
    let found = context.workshop()?.search(text, voice)?;
    if context.common.json {
        let found = found.iter().map(|one| {
            json!({
                "instrument": one.instrument.as_ref().map(|(_, name)| name),
                "in": found_in(one.found_in),
                "text": voice::say(&one.text),
                "at": one.at.map(moments::rfc3339),
            })
        });
        return context.json(&found.collect::<Vec<_>>());
    }
    if found.is_empty() {
        context.printer().line(&say::nothing_found(text))?;
        return Ok(());
    }
    let mut table = TextTable::default();
    for FoundText { instrument, found_in: within, text, at, .. } in &found {
        let name = instrument.as_ref().map_or("", |(_, name)| name.as_str());
        let day = at.map_or_else(Phrase::empty, names::day);
        let within = say::found_in(Word(found_in(*within)));
        table.row([Phrase::written(name), within, day, text.clone()]);
    }
    context.printer().table(&table)?;
    Ok(())
}

const fn found_in(found_in: FoundIn) -> &'static str {
    match found_in {
        FoundIn::Instrument => "instrument",
        FoundIn::Customer => "owner",
        FoundIn::Job => "job",
        FoundIn::Entry => "entry",
        FoundIn::Setup => "setup",
        FoundIn::Spec => "spec",
        FoundIn::StringSet => "pack",
    }
}
