//! Forecasts: `forecast.ftl`.

use crate::{Computed, Phrase};

crate::messages! { crate::CATALOGUE, "forecast";
    nothing();
    relief(climate: &str, way: Phrase, expected: Phrase, moisture: Computed);
    beyond();
    leave_rod();
    turn_less(turn: Phrase);
    turn_more(turn: Phrase);
    action(way: Phrase, strings: Phrase);
    untold();
    no_season();
    climate_beyond(climate: &str, temperature: Computed, humidity: Computed);
}
