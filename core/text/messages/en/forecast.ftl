### Relief and action in another climate.
nothing = Nothing can be forecast yet.
relief = { $climate }: { $way }: { $expected }, by what this instrument has shown of the seasons (wood at { $moisture } moisture), rod and strings as they are: a forecast.
beyond = That is drier or damper than anything in the record.
leave_rod = No rod adjustment expected.
turn_less = Expect { $turn }, to reduce relief.
turn_more = Expect { $turn }, to increase relief.
action = With saddles untouched, by the model of the neck, { $way }: { $strings }.
untold = The data cannot yet distinguish this instrument's seasons from zero: the middle of each forecast is little better than no change.
no_season = relief has never been measured near a noted climate in which the instrument had been for a day (two weeks say more)
climate_beyond = { $climate }: { $temperature } and { $humidity } relative humidity; accepted: −1 to 71 °C and 0 to 100%
