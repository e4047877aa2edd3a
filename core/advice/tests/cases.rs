//! Golden cases, told as a technician would tell them: `tests/vectors/advice/*.txt`.
//!
//! A line says what is, what was read or done; `expect` says what the plan must come to. The words
//! after the colon, parted by `|`, must each stand in what the plan says of the step. After `expect changed`, `expect learned` and
//! `expect forecast 30 %` and `expect strings 0.045 0.065 0.085 0.105` they must each stand in one of the sentences.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may fail in this way")]

mod bench;

use std::path::Path;

use bench::Bench;

fn run(path: &Path) {
    let text = std::fs::read_to_string(path).unwrap();
    let mut bench: Option<Bench> = None;
    let mut expected = 0;
    for line in text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')) {
        if let Some(template) = line.strip_prefix("instrument ") {
            bench = Some(Bench::new(template));
            continue;
        }
        let bench = bench.as_mut().expect("the first line names the instrument");
        let Some(expectation) = line.strip_prefix("expect ") else {
            bench.line(line);
            continue;
        };
        expected += 1;
        let (which, parts) = expectation.split_once(": ").expect("expect STEP: WORDS");
        let told = ["changed", "forecast", "learned", "strings"];
        if told.iter().any(|word| which.starts_with(word)) {
            let said = bench.told(which);
            for part in parts.split('|').map(str::trim) {
                assert!(
                    said.iter().any(|s| s.contains(part)),
                    "{}: expected {part:?}, but it says\n{}",
                    path.display(),
                    said.join("\n")
                );
            }
            continue;
        }
        let plan = bench.plan();
        let steps: Vec<_> = if which == "next" {
            plan.next_step().into_iter().cloned().collect()
        } else {
            let (kind, place) = match which.rsplit_once(' ') {
                Some((kind, place)) if bench::kind(kind).is_some() => {
                    (kind, Some(place.parse().unwrap()))
                }
                _ => (which, None),
            };
            assert!(bench::kind(kind).is_some(), "{which} is no step");
            Bench::steps(&plan, kind, place)
        };
        let told: Vec<String> = steps
            .iter()
            .map(|s| {
                let said = bench.said(s);
                let lines = bench::english(said.sentences().chain(&said.cautions)).join(" ");
                format!("{}: {}. {lines}", said.title, said.verdict)
            })
            .collect();
        let state = bench.state();
        let whole =
            fallaway_text::plan_page::text(&plan, state.spec(), &fallaway_text::Voice::default());
        for part in parts.split('|').map(str::trim) {
            assert!(
                !told.is_empty() && told.iter().all(|t| t.contains(part)),
                "{}: expected {part:?} of {which}, but the plan says\n{}\n\n{whole}",
                path.display(),
                told.join("\n")
            );
        }
    }
    assert!(expected > 0, "{} expects nothing", path.display());
}

#[test]
fn every_golden_case_holds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/vectors/advice");
    let mut failed = Vec::new();
    let mut cases = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|e| e == "txt") {
            // Every case is run, so that one look shows all that fail.
            if std::panic::catch_unwind(|| run(&path)).is_err() {
                failed.push(path);
            }
            cases += 1;
        }
    }
    assert!(cases > 0 && failed.is_empty(), "{cases} cases, failed: {failed:?}");
}
