//! Setups: the numbers that are wanted.

use fallaway::advice::observe::usual_tolerance;
use fallaway::measure::{Location, Quantity, Side, StringPlace, parse_amount};
use fallaway::record::{InstrumentSpec, Target};
use fallaway::{Setup, TargetView};
use fallaway_text::{List, Phrase, errors, names, safe};

use super::context::Context;
use super::which;
use crate::cli::{ReadWhat, SetupAction, SideWord, WayArgs};
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::setups as say;
use crate::parse::minus;
use crate::render::{Style, TextTable};
use crate::voice;

/// Does what was asked.
pub fn run(context: &mut Context<'_, '_>, action: Option<SetupAction>) -> Outcome {
    match action {
        None => show(context, None, false),
        Some(SetupAction::Show { name, deleted }) => show(context, name.as_deref(), deleted),
        Some(SetupAction::Rename { name, new_name }) => rename(context, &name, &new_name),
        Some(SetupAction::Delete { name }) => delete(context, &name),
        Some(SetupAction::Back { name }) => bring_back(context, &name),
        Some(SetupAction::Take { name }) => take(context, &name),
        Some(SetupAction::Target { name, what, value, within, way }) => {
            let within = (!within.is_empty()).then(|| within.join(" "));
            target(context, &name, what, &value, within.as_deref(), &way)
        }
        Some(SetupAction::Drop { name, what, strings, way }) => {
            drop_target(context, &name, what, strings.as_deref(), &way)
        }
    }
}

fn take(context: &mut Context<'_, '_>, name: &str) -> Outcome {
    let instrument = context.instrument()?;
    let setup = instrument.take_setup(name, None, None)?;
    let spec = instrument.details()?.spec;
    if context.common.json {
        return context.json(&json::setup(&setup, &spec));
    }
    context.printer().line(&say::taken(name))?;
    print(context, &setup, &spec)
}

fn rename(context: &mut Context<'_, '_>, name: &str, new_name: &str) -> Outcome {
    let instrument = context.instrument()?;
    let setup = instrument.setup_named(name)?;
    instrument.rename_setup(&setup.id, new_name, context.options())?;
    let data = serde_json::json!({ "id": setup.id.as_str(), "name": new_name.trim() });
    context.done(&say::renamed(&setup.name, new_name.trim()), &data)
}

fn delete(context: &mut Context<'_, '_>, name: &str) -> Outcome {
    let instrument = context.instrument()?;
    let setup = instrument.setup_named(name)?;
    instrument.delete_setup(&setup.id, context.options())?;
    let data = serde_json::json!({ "id": setup.id.as_str(), "deleted": true });
    context.done(&say::deleted(&setup.name), &data)
}

fn bring_back(context: &mut Context<'_, '_>, name: &str) -> Outcome {
    let instrument = context.instrument()?;
    let deleted = instrument.deleted_setups()?;
    let setup = deleted.iter().find(|one| one.name == name || one.id.as_str() == name);
    let setup = setup.ok_or_else(|| unknown(name, &deleted))?;
    instrument.bring_back_setup(&setup.id, context.options())?;
    let data = serde_json::json!({ "id": setup.id.as_str(), "deleted": false });
    context.done(&say::brought_back(&setup.name), &data)
}

fn unknown(name: &str, setups: &[Setup]) -> Error {
    let known = setups.iter().map(|one| Phrase::written(&one.name));
    let known = if setups.is_empty() { say::none_yet() } else { List::comma(known).into() };
    Error::Refused(say::unknown(name, known))
}

fn show(context: &mut Context<'_, '_>, name: Option<&str>, deleted: bool) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let setups = match name {
        Some(name) => vec![instrument.setup_named(name)?],
        None if deleted => instrument.deleted_setups()?,
        None => instrument.setups()?,
    };
    if context.common.json {
        return context.json(&setups.iter().map(|one| json::setup(one, &spec)).collect::<Vec<_>>());
    }
    if setups.is_empty() {
        context.printer().line(&if deleted { say::none_deleted() } else { say::none() })?;
    }
    for setup in &setups {
        context.printer().text(Style::Heading, &safe(&setup.name))?;
        print(context, setup, &spec)?;
    }
    Ok(())
}

/// A row for each way of reading, a column for each string where there are several.
pub(super) fn print(
    context: &mut Context<'_, '_>,
    setup: &Setup,
    spec: &InstrumentSpec,
) -> Outcome {
    let mut table = TextTable::headed(&say::head()).indented(2);
    let mut before = None;
    let mut targets: Vec<&TargetView> = setup.targets.iter().collect();
    targets.sort_by_key(|view| rank(view.target.quantity));
    targets = voice::get().by_string(targets, |view| match view.target.location {
        Location::Course(place) => Some((view.target.quantity, place.into())),
        _ => None,
    });
    for view in targets {
        let target = &view.target;
        let again = before.replace(target.quantity) == Some(target.quantity);
        let style = if view.contested { Style::Caution } else { Style::Plain };
        table.styled(
            style,
            [
                (!again).then(|| names::quantity(target.quantity)),
                names::location_label(spec, target.location),
                Some(names::amount(target.wanted).of(target.quantity)),
                Some(names::amount(target.tolerance).of(target.quantity)),
                view.contested.then(say::two_values),
            ],
        );
    }
    context.printer().table(&table)?;
    Ok(())
}

/// The order of the work.
const fn rank(quantity: Quantity) -> u8 {
    match quantity {
        Quantity::Relief { .. } | Quantity::FallAway { .. } => 0,
        Quantity::Gap { over, .. } if over.number() == 1 => 1,
        Quantity::BridgeHeight
        | Quantity::BridgeTail
        | Quantity::SpacingBridge
        | Quantity::SpacingNut => 2,
        Quantity::Gap { .. } => 3,
        Quantity::PickupGap { .. } => 4,
        _ => 5,
    }
}

fn target(
    context: &mut Context<'_, '_>,
    name: &str,
    what: ReadWhat,
    words: &[String],
    within: Option<&str>,
    way: &WayArgs,
) -> Outcome {
    let instrument = context.instrument()?;
    let setups = if name == "-" { instrument.setups()? } else { Vec::new() };
    let in_use = setups.first().map_or("main", |setup| setup.name.as_str());
    let name = if name == "-" { in_use } else { name };
    let spec = instrument.details()?.spec;
    let quantity = which::quantity_of(&instrument, what, way, &spec)?;
    let words: Vec<String> = words.iter().map(|word| minus::plain(word)).collect();
    let (locations, value) = split(what, &words, way, &spec)?;
    let amount = |text: &str| {
        parse_amount(text, None, quantity.dimension())
            .map_err(|error| Error::Usage(errors::reading(&error)))
    };
    let wanted = amount(&value)?;
    let within = within.map(amount).transpose()?;
    let known = match instrument.setup_named(name) {
        Err(fallaway::Error::NotFound { .. }) => Vec::new(),
        known => known?.targets,
    };
    // A target that is changed keeps what was said of how far off is fine.
    let before = |location| {
        let same = |view: &&TargetView| {
            view.target.quantity == quantity && view.target.location == location
        };
        known.iter().find(same).map(|view| view.target.tolerance)
    };
    let (by, at) = (Some(context.by().to_owned()), context.now());
    let mut targets = Vec::new();
    for location in locations {
        let tolerance = match within.or_else(|| before(location)) {
            Some(tolerance) => tolerance,
            None => usual_tolerance(quantity, wanted),
        };
        targets.push(Target {
            quantity,
            location,
            wanted,
            tolerance,
            by: by.clone(),
            at,
            taken_from: None,
        });
    }
    let setup = context.sure(|options| instrument.set_targets(name, &targets, options))?;
    if context.common.json {
        return context.json(&json::setup(&setup, &spec));
    }
    let tolerance = targets.first().map(|target| target.tolerance);
    let same = targets.iter().all(|target| Some(target.tolerance) == tolerance);
    let courses: Vec<StringPlace> = targets
        .iter()
        .filter_map(|one| match one.location {
            Location::Course(place) => Some(place),
            _ => None,
        })
        .collect();
    let place = match (courses.is_empty(), targets.first()) {
        (true, first) => first.and_then(|one| names::location(&spec, one.location)),
        (false, _) => Some(names::strings(&spec, &courses)),
    };
    let shown = List::comma([Some(names::quantity(quantity)), place].into_iter().flatten());
    context.printer().line(&match tolerance {
        Some(tolerance) if same => say::set_within(name, shown, wanted, tolerance),
        _ => say::set(name, shown, wanted),
    })?;
    Ok(())
}

fn drop_target(
    context: &mut Context<'_, '_>,
    name: &str,
    what: ReadWhat,
    strings: Option<&str>,
    way: &WayArgs,
) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let quantity = which::quantity_of(&instrument, what, way, &spec)?;
    let named: Vec<Location> = match strings {
        Some(text) => which::listed(text, &spec)?.into_iter().map(Location::Course).collect(),
        None => vec![whole_or_side(what, way)?],
    };
    let setup = instrument.setup_named(name)?;
    // Of several strings those that have a target.
    let has_target = |location: &&Location| {
        let targets = setup.targets.iter().map(|view| &view.target);
        targets.into_iter().any(|one| (one.quantity, one.location) == (quantity, **location))
    };
    let dropped: Vec<Location> = named.iter().filter(has_target).copied().collect();
    let what = names::quantity(quantity);
    let of = |locations: &[Location]| {
        let place = |location: &Location| match *location {
            Location::Course(place) => Some(place),
            _ => None,
        };
        let places: Vec<StringPlace> = locations.iter().filter_map(place).collect();
        let place = match (places.is_empty(), locations.first()) {
            (true, whole) => whole.and_then(|whole| names::location(&spec, *whole)),
            (false, _) => Some(names::strings(&spec, &places)),
        };
        List::comma([Some(what.clone()), place].into_iter().flatten())
    };
    if dropped.is_empty() {
        return Err(Error::Refused(say::nothing_to_drop(name, of(&named))));
    }
    for location in &dropped {
        instrument.remove_target(&setup.id, quantity, *location, context.options())?;
    }
    let data = serde_json::json!({ "setup": name, "dropped": voice::say(&what) });
    let what = of(&dropped);
    context.done(&say::dropped(name, what), &data)
}

/// Takes the strings from the front of the words; the rest is the value.
fn split(
    what: ReadWhat,
    words: &[String],
    way: &WayArgs,
    spec: &InstrumentSpec,
) -> Outcome<(Vec<Location>, String)> {
    if let (Some((first, rest)), None) = (words.split_first(), way.side)
        && !rest.is_empty()
        && !matches!(
            what,
            ReadWhat::Relief | ReadWhat::FallAway | ReadWhat::Bridge | ReadWhat::BridgeTail
        )
    {
        let mut places = which::listed(first, spec)?;
        // Spacing is read to the next lower string, which the last has not.
        if matches!(what, ReadWhat::Spacing | ReadWhat::NutSpacing)
            && places.len() == usize::from(spec.course_count())
        {
            places.pop();
        }
        if matches!(what, ReadWhat::Spacing | ReadWhat::NutSpacing) {
            which::has_next(&places, spec)?;
        }
        return Ok((places.into_iter().map(Location::Course).collect(), rest.join(" ")));
    }
    if what == ReadWhat::Bridge && way.side.is_none() {
        let posts = [Side::Treble, Side::Bass].map(Location::Side);
        return Ok((posts.to_vec(), words.join(" ")));
    }
    if matches!(what, ReadWhat::Relief | ReadWhat::FallAway | ReadWhat::BridgeTail)
        || way.side.is_some()
    {
        return Ok((vec![whole_or_side(what, way)?], words.join(" ")));
    }
    Err(Error::Usage(say::value_missing()))
}

fn whole_or_side(what: ReadWhat, way: &WayArgs) -> Outcome<Location> {
    match (way.side, what) {
        (Some(SideWord::Bass), _) => Ok(Location::Side(Side::Bass)),
        (Some(SideWord::Treble), _) => Ok(Location::Side(Side::Treble)),
        (None, ReadWhat::Relief | ReadWhat::FallAway | ReadWhat::BridgeTail) => Ok(Location::Whole),
        _ => Err(Error::Usage(say::strings_missing())),
    }
}
