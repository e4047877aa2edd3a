//! Records and everything into files, and back.

use fallaway::Workshop;
use serde_json::json;

use super::context::Context;
use super::sharing::{read_file, write_new};
use crate::cli::{ExportArgs, RestoreArgs};
use crate::error::Outcome;
use crate::messages::shop as say;

/// Writes a record, or its readings, to a file.
pub fn export(context: &mut Context<'_, '_>, args: &ExportArgs) -> Outcome {
    let instrument = context.instrument()?;
    let bytes =
        if args.table { instrument.export_table()?.into_bytes() } else { instrument.export()? };
    let path = context.world.path(&args.file);
    context.may_write(&path)?;
    // Not sealed: for its owner to read.
    write_new(&path, &bytes, true)?;
    let (file, name) = (args.file.display().to_string(), instrument.name()?);
    let data = json!({ "file": file, "bytes": bytes.len() });
    let line =
        if args.table { say::table_written(&name, file) } else { say::record_written(&name, file) };
    context.done(&line, &data)
}

/// Writes everything that the data folder holds to a file.
pub fn backup(context: &mut Context<'_, '_>, file: &std::path::Path) -> Outcome {
    let path = context.world.path(file);
    context.may_write(&path)?;
    Workshop::back_up(&context.folder, &path)?;
    let file = file.display().to_string();
    context.done(&say::backed_up(file.clone()), &json!({ "file": file }))
}

/// Makes an instrument of an exported record, or everything of a backup.
pub fn restore(context: &mut Context<'_, '_>, args: &RestoreArgs) -> Outcome {
    let bytes = read_file(context, &args.file)?;
    let is_record = bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{');
    if is_record {
        let instrument = context.workshop()?.import_record(&bytes, args.name.as_deref())?;
        let name = instrument.name()?;
        return context.done(&say::record_restored(&name), &json!({ "name": name }));
    }
    let path = context.world.path(&args.file);
    Workshop::restore(&path, &context.folder)?;
    let names = context.workshop()?.instruments()?.len();
    context.done(&say::restored(names), &json!({ "instruments": names }))
}
