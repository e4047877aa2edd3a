//! What a person can send to a developer: versions and counts.

use std::fmt::Write as _;

use fallaway_store::{ChangeStanding, Diagnostics};

/// The version of this library, as its packages and the changelog have it.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// A line for each fact, `key: value`: no names, no ids, no contents. For machines and developers, so
/// in English whatever the person's language is.
pub(crate) fn lines(store: &Diagnostics) -> String {
    let mut text = String::new();
    // Writing into a text cannot fail.
    let mut line = |key: &str, value: &dyn std::fmt::Display| {
        let _ = writeln!(text, "{key}: {value}");
    };
    line("fallaway", &VERSION);
    let built_for = [std::env::consts::OS, std::env::consts::ARCH].join(" ");
    line("built for", &built_for);
    line("store schema", &store.schema);
    line("database", if store.engine.is_empty() { &"none" } else { &store.engine });
    line("records", &store.records);
    line("snapshots", &store.snapshots);
    for (standing, count) in ChangeStanding::ALL.into_iter().zip(store.changes) {
        let which = match standing {
            ChangeStanding::Admitted => "changes admitted",
            ChangeStanding::Waiting => "changes waiting",
            ChangeStanding::Held => "changes held",
            ChangeStanding::Quarantined => "changes quarantined",
        };
        line(which, &count);
    }
    line("signatures", &store.signatures);
    line("draft lines", &store.draft_lines);
    line("member operations", &store.member_ops);
    line("projections", &store.projections);
    line("unsent", &store.outgoing);
    line("damaged parts", &store.damaged);
    line("file bytes", &store.file_bytes);
    line("free bytes", &store.free_bytes);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_come_first_and_every_line_is_a_key_and_a_value() {
        let store = Diagnostics { schema: 3, changes: [12, 1, 0, 0], ..Diagnostics::default() };
        let text = lines(&store);
        assert!(text.starts_with(&format!("fallaway: {VERSION}\n")), "{text}");
        assert!(text.contains("\nstore schema: 3\n") && text.contains("\ndatabase: none\n"));
        assert!(text.contains("\nchanges admitted: 12\nchanges waiting: 1\n"), "{text}");
        assert!(text.lines().all(|line| line.split(": ").count() == 2), "{text}");
    }
}
