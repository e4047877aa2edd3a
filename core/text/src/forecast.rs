//! Relief and action in another climate.

use fallaway_advice::learn::{ActionForecast, ClimateForecast, Forecast, NoForecast};
use fallaway_record::InstrumentSpec;

use crate::learned::interval;
use crate::messages::plan::of_strings;
use crate::messages::{forecast as say, learned};
use crate::plan::{self, Numbers};
use crate::{Computed, List, Phrase, names};

/// A forecast: of each climate a sentence for the relief, then one for the strings of each way of reading.
pub fn sentences(forecast: &Forecast, spec: &InstrumentSpec) -> Vec<Phrase> {
    let mut said = Vec::new();
    for there in &forecast.there {
        said.push(relief(forecast, there));
        let alike =
            |a: &ActionForecast, b: &ActionForecast| a.measurand.quantity == b.measurand.quantity;
        for actions in there.action.chunk_by(alike) {
            let Some(first) = actions.first() else { continue };
            let strings = actions.iter().map(|action| of_string(action, spec));
            let way = names::quantity(first.measurand.quantity);
            said.push(say::action(way, List::semicolon(strings).into()));
        }
    }
    if !forecast.season.told {
        said.push(say::untold());
    }
    said
}

fn of_string(action: &ActionForecast, spec: &InstrumentSpec) -> Phrase {
    let number = Numbers::of_reading(Some(&action.from), action.measurand.quantity);
    let (low, high) = number.ends(action.expect);
    let expected = learned::interval(number.of_estimate(action.expect), low, high);
    match names::location_label(spec, action.measurand.location) {
        Some(place) => of_strings(List::comma([place]), expected),
        None => expected,
    }
}

fn relief(forecast: &Forecast, there: &ClimateForecast) -> Phrase {
    let way = forecast.season.way.quantity;
    let expected = interval(there.relief, |mm| Computed::mm(mm).of(way));
    let moisture = Computed::percent(there.moisture_percent).places(1);
    let mut sentences =
        vec![say::relief(&there.air.name, names::quantity(way), expected, moisture)];
    if there.beyond_record {
        sentences.push(say::beyond());
    }
    sentences.extend(there.pack.map(|turn| match (turn.eighths, there.more_relief) {
        (0, _) => say::leave_rod(),
        (_, true) => say::turn_more(plan::turn(turn)),
        (_, false) => say::turn_less(plan::turn(turn)),
    }));
    List::sentences(sentences).into()
}

/// Why there is no forecast.
pub fn none(why: &NoForecast) -> Phrase {
    match why {
        NoForecast::NothingLearned => say::no_season(),
        NoForecast::ForecastClimate { name, temperature_c, humidity_percent } => {
            say::climate_beyond(
                name,
                Computed::celsius(*temperature_c),
                Computed::percent(*humidity_percent),
            )
        }
    }
}
