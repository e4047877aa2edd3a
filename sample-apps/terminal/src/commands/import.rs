//! Bringing a technician's notebook in.

use fallaway::{Accept, ImportOptions, ImportProblem, ImportReport};
use fallaway_text::Phrase;
use serde_json::json;

use super::context::Context;
use crate::cli::ImportArgs;
use crate::error::{Error, Outcome};
use crate::json::values::{moment, said};
use crate::messages::import as say;
use crate::render::Style;

/// Looks at a table, and writes it down if everything in it can be taken.
pub fn import(context: &mut Context<'_, '_>, args: &ImportArgs) -> Outcome {
    let path = context.world.path(&args.file);
    let table = std::fs::read_to_string(&path)
        .map_err(|error| Error::File(say::cannot_read_table(), error))?;
    let instrument = context.instrument()?;
    let mut options = ImportOptions {
        by: Some(context.by().to_owned()),
        ignore: args.ignore.clone(),
        accept: Accept::None,
    };
    let looked = instrument.check_table(&table, &options)?;
    if args.dry_run {
        return show(context, &looked);
    }
    if let Some((last, others)) = looked.problems.split_last() {
        let mut margin = context.margin();
        for problem in others {
            margin.say(Style::Caution, &wrong(problem))?;
        }
        return Err(Error::Refused(wrong(last)));
    }
    if !looked.doubts.is_empty() {
        let asked = looked
            .doubts
            .iter()
            .map(|one| say::doubt(one.row, one.column.clone(), one.doubt.reason.clone()));
        let asked: Vec<Phrase> = asked.collect();
        let ids: Vec<String> = looked.doubts.iter().map(|one| one.doubt.id()).collect();
        context.ask_about(&ids, &fallaway_text::List::semicolon(asked).into())?;
        options.accept = Accept::These(ids);
    }
    let report = instrument.import_table(&table, &options)?;
    show(context, &report)
}

fn wrong(problem: &ImportProblem) -> Phrase {
    let ImportProblem { row, column, value, reason, accepted } = problem;
    let wrong = say::problem(*row, column.clone(), value.clone(), reason.clone());
    if accepted.is_empty() { wrong } else { say::with_accepted(wrong, accepted.text.clone()) }
}

fn show(context: &mut Context<'_, '_>, report: &ImportReport) -> Outcome {
    if context.common.json {
        let problems = report.problems.iter().map(|one| {
            json!({
                "row": one.row,
                "column": one.column,
                "value": one.value,
                "reason": said(&one.reason),
                "accepted": said(&one.accepted.text),
            })
        });
        let doubts = report.doubts.iter().map(|one| {
            json!({ "row": one.row, "column": one.column, "reason": said(&one.doubt.reason) })
        });
        let lines = report
            .lines
            .iter()
            .map(|one| json!({ "row": one.row, "at": moment(one.at), "text": said(&one.text) }));
        return context.json(&json!({
            "rows": report.rows,
            "entries": lines.collect::<Vec<_>>(),
            "already_here": report.already_here,
            "problems": problems.collect::<Vec<_>>(),
            "doubts": doubts.collect::<Vec<_>>(),
            "written": report.written.len(),
        }));
    }
    let mut lines: Vec<(Style, Phrase)> = Vec::new();
    let written = report.written.len();
    if written == 0 {
        let told = |one: &fallaway::ImportLine| say::line(one.row, one.at, one.text.clone());
        lines.extend(report.lines.iter().map(|one| (Style::Plain, told(one))));
    }
    lines.extend(report.problems.iter().map(|one| (Style::Caution, wrong(one))));
    for one in &report.doubts {
        let line = say::doubt(one.row, one.column.clone(), one.doubt.reason.clone());
        lines.push((Style::Caution, line));
    }
    lines.push((
        Style::Strong,
        if written > 0 {
            say::written(written, report.rows)
        } else {
            say::nothing_written(report.lines.len(), report.already_here)
        },
    ));
    let mut printer = context.printer();
    for (style, line) in lines {
        printer.say(style, &line)?;
    }
    Ok(())
}
