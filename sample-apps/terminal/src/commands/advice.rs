//! Plan, next step, numbers card; what changed, what was learned, what to expect.

use fallaway::advice::learn::ForecastClimate;
use fallaway::measure::{Amount, Quantity};
use fallaway::record::SetupId;
use fallaway::{Instrument, Occasion, Setup};
use fallaway_text::learned::lead;
use fallaway_text::{Phrase, messages as say, plan_page};

use super::context::Context;
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::{bench, hints};
use crate::parse::{climate, minus};
use crate::render::plan::PlanPrinter;
use crate::render::{Style, card as cards};

/// What to turn, by how much, in which order, and why.
pub fn plan(context: &mut Context<'_, '_>, setup: Option<&str>, all: bool) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, setup)?;
    let (view, spec) = (instrument.plan(setup.as_ref())?, instrument.details()?.spec);
    if context.common.json {
        return context.json(&json::plan(&view, &spec));
    }
    let setups = instrument.setups()?;
    let chosen = setups.iter().find(|one| view.setup.as_ref().is_some_and(|it| it.id == one.id));
    let drift = chosen.is_some_and(taken_from_readings);
    let voice = context.voice;
    let mut printer = context.printer();
    if let (Some(setup), 2..) = (&view.setup, setups.len()) {
        printer.line(&hints::toward(&setup.name))?;
    }
    PlanPrinter { voice, spec: &spec, printer: &mut printer }.print(
        &view.plan,
        view.setup.as_ref().map(|setup| setup.name.as_str()),
        drift,
        all,
    )?;
    if !all {
        printer.say(Style::Quiet, &hints::all_steps())?;
    }
    Ok(())
}

/// Whether the setup is one of numbers that were read on this instrument: only then does it say
/// something when they are read again and differ.
fn taken_from_readings(setup: &Setup) -> bool {
    setup.targets.iter().any(|view| {
        matches!(view.target.quantity, Quantity::Relief { .. }) && view.target.taken_from.is_some()
    })
}

/// The next step, in one line.
pub fn next(context: &mut Context<'_, '_>, setup: Option<&str>) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, setup)?;
    let (view, spec) = (instrument.plan(setup.as_ref())?, instrument.details()?.spec);
    if context.common.json {
        let next = view.plan.next_step();
        return context.json(&next.map(|step| json::step(&view, step, &spec)));
    }
    context.printer().line(&plan_page::next_line(&view.plan, &spec))?;
    Ok(())
}

/// The next step with its numbers, and what to read after it.
pub fn next_full(context: &mut Context<'_, '_>, setup: Option<&str>) -> Outcome {
    if context.common.json {
        return next(context, setup);
    }
    let instrument = context.instrument()?;
    let setup = named(&instrument, setup)?;
    let (view, spec) = (instrument.plan(setup.as_ref())?, instrument.details()?.spec);
    let voice = context.voice;
    let mut printer = context.printer();
    PlanPrinter { voice, spec: &spec, printer: &mut printer }
        .print_next(&view.plan, view.setup.as_ref().map(|setup| setup.name.as_str()))?;
    Ok(())
}

/// The numbers.
pub fn card(context: &mut Context<'_, '_>, setup: Option<&str>, large: bool) -> Outcome {
    let instrument = context.instrument()?;
    let card = instrument.card(named(&instrument, setup)?.as_ref())?;
    if context.common.json {
        return context.json(&json::card(&card));
    }
    let voice = context.voice;
    let mut printer = context.printer();
    if large {
        cards::large_type(&card, voice, &mut printer)?;
    } else {
        cards::table(&card, voice, &mut printer)?;
    }
    Ok(())
}

/// What today is compared with: the visit of an entry, as it left the instrument or found it, or a setup.
pub fn compared_with(
    instrument: &Instrument,
    since: Option<&str>,
    found: bool,
    setup: Option<&str>,
) -> Outcome<Occasion> {
    let Some(short) = since else {
        let default = instrument.setups()?.into_iter().find(|one| one.is_default);
        return match named(instrument, setup)?.or(default.map(|one| one.id)) {
            Some(setup) => Ok(Occasion::Setup(setup)),
            None => visit_before(instrument),
        };
    };
    let entry = instrument.entry(short)?.entry;
    let visit = entry.visit.unwrap_or(entry.id);
    Ok(if found { Occasion::AsFound(visit) } else { Occasion::AsLeft(visit) })
}

/// What the visit before the last one left: with no setup, that is what the last one is compared with.
fn visit_before(instrument: &Instrument) -> Outcome<Occasion> {
    let mut visits = instrument.visits()?;
    visits.sort_by_key(|one| one.visit.begun.unix_s);
    visits.pop();
    let before = visits.pop().ok_or_else(|| Error::Refused(bench::nothing_before()))?;
    Ok(Occasion::AsLeft(before.visit.id))
}

/// What moved, from one occasion to today.
pub fn changed(
    context: &mut Context<'_, '_>,
    since: Option<&str>,
    found: bool,
    setup: Option<&str>,
) -> Outcome {
    let instrument = context.instrument()?;
    let from = compared_with(&instrument, since, found, setup)?;
    let told = instrument.what_changed(&from, &Occasion::Today).map_err(cannot)?;
    if context.common.json {
        return context.json(&json::learned::changed(&told));
    }
    tell(context, &told.sentences, &say::changed::nothing())
}

/// What the instrument, its readers and its players have taught.
pub fn learned(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let told = instrument.learned()?;
    if context.common.json {
        return context.json(&json::learned::learned(&told));
    }
    let mut sentences = vec![lead(&told.facts)];
    sentences.extend(told.sentences);
    tell(context, &sentences, &say::learned::nothing())
}

/// What to expect in another climate.
pub fn forecast(context: &mut Context<'_, '_>, words: &[String], setup: Option<&str>) -> Outcome {
    let words: Vec<String> = words.iter().map(|word| minus::plain(word)).collect();
    let air = climate::air(&words).map_err(Error::Usage)?;
    let Some(humidity) = air.humidity else {
        return Err(Error::Usage(bench::forecast_humidity()));
    };
    let temperature_c = air.temperature.and_then(Amount::celsius);
    let air = ForecastClimate {
        name: words.join(" "),
        temperature_c,
        humidity_percent: humidity.number(),
    };
    let instrument = context.instrument()?;
    let setup = named(&instrument, setup)?;
    let told = instrument.forecast(&[air], setup.as_ref()).map_err(cannot)?;
    if context.common.json {
        return context.json(&json::learned::forecast(&told));
    }
    tell(context, &told.sentences, &say::forecast::nothing())
}

/// The setup that people call so.
pub fn named(instrument: &Instrument, name: Option<&str>) -> Outcome<Option<SetupId>> {
    Ok(name.map(|name| instrument.setup_named(name)).transpose()?.map(|setup| setup.id))
}

/// The words were understood; it is the record that does not hold enough to answer.
fn cannot(error: fallaway::Error) -> Error {
    match error {
        fallaway::Error::BadInput { .. } => Error::Refused(error.phrase()),
        other => Error::Library(other),
    }
}

fn tell(context: &mut Context<'_, '_>, sentences: &[Phrase], nothing: &Phrase) -> Outcome {
    let voice = context.voice;
    let mut printer = context.printer();
    if sentences.is_empty() {
        printer.line(nothing)?;
    }
    // The first says it, the others why.
    for (at, sentence) in voice.phrases_by_string(sentences).into_iter().enumerate() {
        let style = if at == 0 { Style::Strong } else { Style::Plain };
        printer.hung(style, "", 2, &voice.sentence(sentence))?;
    }
    Ok(())
}
