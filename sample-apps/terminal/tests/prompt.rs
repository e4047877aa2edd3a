//! The prompt at the bench: a whole set-up in few keystrokes, and the same grammar as from a shell.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::Device;

/// Without the ends of lines.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A clean set-up of a four-string, from intake to what is left. Readings are invented; lines without
/// words are the Enter key.
const DAY: &str = "\
add bass-4 \"walnut four\"
tool rule 1/64
tool feeler 1 thou
w relief 12 thou
w action all 5/64
b \"heavy to play\"
air 21C 45%
t
20
a 6 6 6 7
d cw

14
= = = =
set saddle-clockwise more


5 5 5 5

e
";

#[test]
fn a_clean_set_up_takes_few_lines_and_keystrokes() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let (lines, keys) = (DAY.lines().count(), DAY.chars().count());
    assert!(lines <= 25 && keys <= 350, "{lines} lines, {keys} keystrokes");
    let day = tech.at_the_bench("bench|--enter", DAY);
    assert_eq!(day.code, 0, "{day:?}");
    assert_eq!(day.err, "", "{}", day.err);
    // The plan's own proposal was entered by Enter alone, and what it asked for by its numbers.
    for said in ["7/8 turn anticlockwise", "All strings tuned", "As left: relief", "Visit ended"] {
        assert!(day.out.contains(said), "{said:?} is missing in\n{}", day.out);
    }
    assert!(day.out.trim_end().ends_with("every number is on target."), "{}", day.out);
    let card = tech.ok("card");
    assert!(card.contains("5/64 in") && !card.contains("measure again"), "{card}");
    // What was left was not measured anew: nobody's readings became surer by it.
    assert!(!tech.ok("learned").contains("Tech: repeats"), "{}", tech.ok("learned"));
}

#[test]
fn a_line_is_a_command_and_a_slip_is_asked_about_there() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let ran = tech.at_the_bench(
        "bench",
        "add bass-4 one\nr 3 mm\nno\nr 3 mm\ny\nremark \"low: nut\"\nu\nfly\nadd guitar-6 two\n\
         r 0.3 mm\non one\nr 0.2 mm\nq\nr 0.9 mm\n",
    );
    assert!(ran.err.contains("fly"), "{}", ran.err);
    assert!(ran.out.contains("Taken back: low: nut"), "{}", ran.out);
    assert!(ran.out.contains("two> r 0.3 mm"), "{}", ran.out);
    let one = tech.ok("history|-i|one");
    assert!(one.contains("3 mm") && one.contains("0.2 mm"), "{one}");
    assert_eq!(one.matches("relief").count(), 2, "{one}");
    assert!(!one.contains("0.3 mm") && !one.contains("0.9 mm"), "{one}");
}

#[test]
fn who_goes_on_typing_where_it_asks_has_said_no() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let ran = tech.at_the_bench(
        "bench",
        "add bass-4 one\nr 3 mm\nr 0.3 mm\nr 3 mm\ntarget relief 0.2 mm\nr 3 mm\n\nnote \"as it was\"\n",
    );
    assert_eq!(ran.err.matches("nothing was stored").count(), 3, "{}", ran.err);
    assert!(ran.out.contains("w relief 0.25 mm"), "{}", ran.out);
    let history = tech.ok("history");
    assert_eq!(history.matches("relief").count(), 1, "{history}");
    assert!(history.contains("0.3 mm") && history.contains("as it was"), "{history}");
    assert!(tech.ok("setup|show|main").contains("0.2 mm"), "{ran:?}");
}

#[test]
fn what_stands_is_left_in_one_word_and_what_does_not_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.refused(1, "as-left");
    tech.ok("read|relief|0.30|mm");
    tech.ok("read|action|2|2|2|2.2|mm");
    tech.ok("did|saddle|4|down|1/8|ccw");
    let left = flat(&tech.ok("as-left"));
    assert!(left.contains("As left: relief"), "{left}");
    assert!(left.contains("4 (E)") && left.contains("measure again"), "{left}");
    let history = tech.ok("history");
    assert_eq!(history.matches("as left").count(), 2, "{history}");
    tech.ok("undo");
    assert!(!tech.ok("history|--clean").contains("as left"), "{}", tech.ok("history"));
    // Where the plan asks for readings, done takes them.
    let refused = tech.refused(2, "done|1|2|3|4|5|6|7");
    assert!(!refused.is_empty());
}

/// Intake, the set-up of above, what is left and what it costs, the next customer, and back to the first.
#[test]
fn a_technician_s_day_goes_through_the_prompt_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let (intake, work) = DAY.split_once('\n').unwrap();
    let day = format!(
        "{intake}\nowner \"A. Player\" --contact \"by the door\"\njob add \"set-up\" --price \"80 EUR\"\n\
         {work}job done 1 --time 50\ncare --months 6\nadd guitar-6 \"red six\"\nowner \"B. Player\"\n\
         b \"buzzes\"\nt\nr 0.2 mm\nu\nr 0.25 mm\nfret 7 high\ndesk\non \"walnut four\"\nc\nq\n"
    );
    let ran = tech.at_the_bench("bench|--enter", &day);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{ran:?}");
    let said = flat(&ran.out);
    for words in [
        "As left: relief",
        "Visit ended",
        "80.00 EUR",
        "red six>",
        "Taken back: relief, fretted at 1 and 22: 0.2 mm",
        "Fret 7: stands high",
        "walnut four> c walnut four, setup",
    ] {
        assert!(said.contains(words), "{words:?} is missing in\n{}", ran.out);
    }
    let desk = tech.run("desk|--json").json();
    assert_eq!(desk["visits"][0]["instrument"], "red six", "{desk}");
    assert_eq!(desk["open"], serde_json::json!([]));
    assert_eq!(tech.run("owner|-i|walnut|--json").json()["name"], "A. Player");
    let found = tech.run("search|buzzes|--json").json();
    assert_eq!(found[0]["instrument"], "red six", "{found}");
}
