//! A bass of five strings whose winter shows everything that the app can show: for tests that walk all screens.

/// An instrument with a winter behind it, two setups, a shop around it and numbers that are off. The
/// numbers are invented.
pub const BEFORE: &[&str] = &[
    "add|bass-5|blue five with the long name",
    "set|intonation-thread|M3",
    "set|saddle-clockwise|more",
    "tool|rule|1/64",
    "tool|feeler|0.01 mm",
    "owner|Owner of the blue five|--contact|in the shop's book",
    "job|add|buzzes on the low string since the tour, and the action is high|--waits-for|a nut blank|--price|80 EUR",
    "care|--months|6",
    "visit|begin|before the tour",
    "climate|21C|45%|--hours|48|--place|bench",
    "tuned",
    "read|relief|0.30",
    "read|action|5|5|5|6|6",
    "read|nut|0.20|0.20|0.20|0.20|0.20|mm|--tool|feeler 0.05 mm",
    "read|pickup|3|3.5|mm",
    "read|intonation|0|-2|1|3|4|cents|--tool|tuner 1 cent",
    "setup|take|stage",
    "setup|target|club|relief|0.30 mm",
    "setup|target|club|action|all|5/64",
    "setup|target|club|intonation|all|0 cents",
    "as-left",
    "visit|end",
];

pub const AFTER: &[&str] = &[
    "visit|begin|after the winter",
    "climate|20C|30%|--hours|48",
    "tuned",
    "read|relief|0.52|--as-found",
    "read|action|7|7|7|8|8|--as-found",
    "did|rod|1/8|ccw|--note|bound a little",
    "tuned",
    "read|relief|0.61|--sure",
    "read|relief|0.61|--sure",
    "read|action|7|7|7|8|8",
    "buzz|4|3-6|played hard",
    "remark|the third fret looks worn under the two lowest strings",
    "strings|45-130, nickel|--gauges|0.045|0.065|0.085|0.105|0.130|in",
];

/// Whatever shows something.
pub const SHOWN: &[&str] = &[
    "templates",
    "list",
    "list|--archived",
    "search|blue",
    "show",
    "set|--list",
    "visit",
    "tool",
    "plan",
    "plan|--all",
    "plan|--setup|club|--all",
    "next",
    "next|--full",
    "card",
    "card|--setup|club",
    "card|--large",
    "changed",
    "learned",
    "forecast|20C|25%",
    "history",
    "history|--visit|--clean",
    "setup",
    "setup|show|--deleted",
    "targets|usual|--into|fresh",
    "clearance",
    "clearance|--saddle|4=-0.3mm",
    "why-buzz|4|3-6",
    "before-strings|--gauges|.050|.070|.090|.110|.135|in",
    "before-strings|--tuning|F#2|C#2|G#1|D#1|A#0",
    "desk",
    "owner",
    "job",
    "care",
    "spec",
    "pack",
    "people",
    "people|--history",
    "held",
    "two-values",
    "me",
    "usual",
    "order",
    "units",
    "language",
    "relay",
    "read|action|5|5|5|6|6",
    "did|saddles|all|down|1/8|ccw",
    "tuned",
    "undo",
    "redo",
    "as-left",
    "draw|turn",
    "draw|neck",
    "draw|relief",
    "read|action|3|4|five",
    "set|scale|340 in",
    "read|relief|3 mm",
    "fly",
];

/// The instrument after its winter, on a device in a folder of its own.
pub fn device(folder: &std::path::Path) -> super::Device {
    let bench = folder.join("bench");
    std::fs::create_dir(&bench).unwrap();
    let mut tech = super::Device::new(&bench, "tech");
    for command in BEFORE {
        tech.ok(command);
    }
    tech.later(120 * 86_400);
    for command in AFTER {
        let ran = tech.run(command);
        assert!(ran.code == 0 || ran.code == 3, "{command}: {ran:?}");
    }
    tech
}
