//! Whatever is written takes when it happened and who did it; what does not says why on its page.

#![allow(clippy::unwrap_used, reason = "a test may fail in this way")]

use std::collections::BTreeSet;
use std::fs;

/// Calls that write nothing into a record: they answer, or keep something on this device alone.
const WRITES_NOTHING: &[&str] = &[
    // They answer.
    "basis",
    "before_strings",
    "bundle_lacking",
    "bundle_out",
    "bundle_unsent",
    "card",
    "care",
    "changes_drawn",
    "changes_since_setup",
    "check_pass",
    "check_table",
    "clearance",
    "clearance_model",
    "contested",
    "customer",
    "deleted_setups",
    "details",
    "device_states",
    "draw_changes",
    "draw_clearance",
    "draw_history",
    "draw_intonation",
    "draw_neck",
    "draw_saddles",
    "draw_spacing",
    "draw_turns",
    "entry",
    "entry_called",
    "export",
    "export_table",
    "facts_written",
    "fitting",
    "forecast",
    "fret_findings",
    "held",
    "history",
    "id",
    "jobs",
    "lacking",
    "learned",
    "name",
    "open_invitations",
    "photo",
    "photo_bytes",
    "photo_thumbnail",
    "photos",
    "plan",
    "plan_drawn",
    "recovery_words",
    "redoable",
    "relay",
    "role",
    "second_uses",
    "series",
    "setup_named",
    "setups",
    "sheet",
    "sheet_pdf",
    "undoable",
    "unsent",
    "usual_readings",
    "other_readings",
    "visits",
    "waits_for",
    "ways",
    "what_changed",
    "why_buzz",
    "work_state",
    "archived_instruments",
    "device",
    "diagnostics",
    "due_again",
    "instrument",
    "instrument_named",
    "instruments",
    "meeting_digits",
    "notices",
    "open_work",
    "preferences",
    "search",
    "specs",
    "string_sets",
    "entry_form",
    "history_page",
    "to_settle",
    "strings_page",
    "photo_page",
    "sharing_state",
    "settings",
    "clearance_opened",
    // They keep it here, or carry what others wrote.
    "archive_instrument",
    "bring_back_instrument",
    "bundle_in",
    "compared",
    "delivered",
    "fetch_photo",
    "keep_job",
    "keep_spec",
    "keep_string_set",
    "listen",
    "pause",
    "recovery_words_written_down",
    "remove_from_this_device",
    "remove_job",
    "remove_spec",
    "remove_string_set",
    "set_care",
    "set_customer",
    "set_preferences",
    "set_ways",
    "shut_down",
    "sync",
    "trim",
    "wait_for_news",
];

/// The methods of instrument and workshop: name and arguments.
fn methods(face: &str) -> Vec<(String, String)> {
    let mut of = "";
    let mut found = Vec::new();
    for line in face.lines() {
        if let Some(object) = line.strip_prefix("object ") {
            of = object;
        } else if !line.starts_with("    ") {
            of = "";
        }
        let Some(method) = line.strip_prefix("    method ") else { continue };
        if matches!(of, "Instrument" | "Workshop") {
            let (name, rest) = method.split_once('(').unwrap();
            found.push((name.to_owned(), rest.to_owned()));
        }
    }
    found
}

#[test]
fn whatever_is_written_takes_when_it_was_or_its_page_says_why_not() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    let face = fs::read_to_string(format!("{root}/bindings/ffi/face.txt")).unwrap();
    let page = fs::read_to_string(format!("{root}/docs/embedding/README.md")).unwrap();
    let section = page.split_once("\n## Who and when\n").unwrap().1;
    let section = section.split_once("\n## ").unwrap().0;
    let code = |text: &str| -> BTreeSet<String> {
        text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    };
    let stamped: BTreeSet<String> = section
        .lines()
        .filter(|line| line.starts_with("| `"))
        .filter_map(|line| line.split('|').nth(1))
        .flat_map(code)
        .collect();
    let told = code(section);
    let methods = methods(&face);
    assert!(methods.len() > 120, "{}", methods.len());
    let mut unsaid = Vec::new();
    for (name, arguments) in &methods {
        let has_both = ["options: WriteOptions", "options: ImportOptions", "entries: [NewEntry]"]
            .iter()
            .any(|one| arguments.contains(one));
        let has_time = arguments.contains("at: Moment?");
        let nothing = WRITES_NOTHING.contains(&name.as_str());
        let ways = [has_both, has_time, nothing && !has_both, stamped.contains(name)];
        let count = ways.iter().filter(|one| **one).count();
        let checked = nothing && has_both;
        if count != 1 && !checked {
            unsaid.push(name);
        }
        assert!(!has_time || told.contains(name), "{name} takes no `by`: the page says why");
    }
    assert!(unsaid.is_empty(), "no time is taken, and the page says nothing of it: {unsaid:?}");
    let names: BTreeSet<&str> = methods.iter().map(|(name, _)| name.as_str()).collect();
    let gone: Vec<_> = stamped.iter().filter(|name| !names.contains(name.as_str())).collect();
    assert!(gone.is_empty(), "no call: {gone:?}");
}
