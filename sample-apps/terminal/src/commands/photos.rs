//! Photos: in from a file, out to a file, and what there is.

use std::path::Path;

use fallaway::record::EntryId;
use fallaway::sync::PhotoFetched;
use fallaway::{HistoryFilter, Instrument, PhotoNote, PhotoState, PhotoView};
use fallaway_text::Word;
use fallaway_text::messages::photos as core;
use serde_json::{Value, json};

use super::context::Context;
use super::sharing::{read_file, size, write_new};
use crate::cli::PhotoAction;
use crate::error::{Error, Outcome};
use crate::messages::photos as say;
use crate::render::{Style, TextTable};
use crate::voice;
use crate::web::Web;

/// Adds a photo, lists them, or writes one to a file.
pub fn photo(context: &mut Context<'_, '_>, action: Option<&PhotoAction>) -> Outcome {
    match action {
        Some(PhotoAction::Add { file, caption, to }) => {
            add(context, file, caption.as_deref(), to.as_deref())
        }
        Some(PhotoAction::Out { entry, out: file, side }) => out(context, entry, file, *side),
        Some(PhotoAction::List) | None => list(context),
    }
}

fn add(
    context: &mut Context<'_, '_>,
    file: &Path,
    caption: Option<&str>,
    to: Option<&str>,
) -> Outcome {
    let instrument = context.instrument()?;
    let bytes = read_file(context, file)?;
    let about = to.map(|short| instrument.entry(short)).transpose()?.map(|view| view.entry.id);
    let note = PhotoNote { caption: caption.map(str::to_owned), about };
    let id = instrument.add_photo(&bytes, note, context.options())?;
    context.stored(&instrument, id, &say::added())
}

fn list(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let photos = instrument.photos()?;
    if context.common.json {
        let all: Result<Vec<Value>, Error> =
            photos.iter().map(|photo| shape(&instrument, photo)).collect();
        return context.json(&all?);
    }
    if photos.is_empty() {
        context.printer().line(&say::none())?;
        return Ok(());
    }
    let mut table = TextTable::headed(&say::head());
    for photo in &photos {
        let view = instrument.entry(&photo.entry.to_string())?;
        let about = photo.about.map(|id| short(&instrument, id)).transpose()?.unwrap_or_default();
        let style = if photo.retracted { Style::Quiet } else { Style::Plain };
        let bytes = usize::try_from(photo.bytes).unwrap_or(usize::MAX);
        let cells = [
            view.short.clone(),
            voice::say(&fallaway_text::names::day(view.entry.at)),
            view.who.clone(),
            voice::say(&size(bytes)),
            voice::say(&core::state(Word(photo.state.word()))),
            about,
            photo.caption.clone().unwrap_or_default(),
        ];
        table.styled(style, cells);
    }
    context.printer().table(&table)?;
    Ok(())
}

fn out(context: &mut Context<'_, '_>, entry: &str, file: &Path, side: Option<u32>) -> Outcome {
    let instrument = context.instrument()?;
    let id = instrument.entry(entry)?.entry.id;
    if instrument.photo(id)?.state == PhotoState::Missing {
        let fetched = instrument.fetch_photo(&Web::new(None), id)?;
        if fetched != PhotoFetched::Here {
            return Err(Error::Refused(fetched.phrase()));
        }
    }
    let bytes = match side {
        Some(side) => instrument.photo_thumbnail(id, side)?,
        None => instrument.photo_bytes(id)?,
    };
    let Some(bytes) = bytes else {
        return Err(Error::Refused(core::state(Word(PhotoState::Missing.word()))));
    };
    let path = context.world.path(file);
    context.may_write(&path)?;
    write_new(&path, &bytes, false)?;
    let written = file.display().to_string();
    let data = json!({ "file": written, "bytes": bytes.len() });
    context.done(&say::written(written, size(bytes.len())), &data)
}

fn short(instrument: &Instrument, id: EntryId) -> Outcome<String> {
    let named = instrument.history(&HistoryFilter::default())?;
    let found = named.into_iter().find(|view| view.entry.id == id);
    Ok(found.map(|view| view.short).unwrap_or_default())
}

fn shape(instrument: &Instrument, photo: &PhotoView) -> Outcome<Value> {
    let view = instrument.entry(&photo.entry.to_string())?;
    Ok(json!({
        "short": view.short,
        "id": photo.entry.to_string(),
        "at": crate::json::values::moment(view.entry.at),
        "who": view.who,
        "caption": photo.caption,
        "media_type": photo.media_type,
        "bytes": photo.bytes,
        "about": photo.about.map(|id| id.to_string()),
        "crossed_out": photo.retracted,
        "state": photo.state.word(),
    }))
}
