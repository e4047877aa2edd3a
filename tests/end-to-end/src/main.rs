//! A device in Rust for the end-to-end test. What it understands stands in `PROTOCOL.md`.
#![forbid(unsafe_code)]

use std::fs;
use std::io::{self, BufRead as _, Write as _};
use std::net::{Ipv4Addr, TcpListener, TcpStream};

use fallaway::measure::{
    Amount, Decimal, Dimension, Fret, Location, Quantity, Tool, Unit, parse_amount,
};
use fallaway::meeting::{MeetOptions, MeetingOutcome};
use fallaway::record::{AdjustedPart, Adjustment, EntryBody, Remark, SpecField, Target, Turns};
use fallaway::{
    Error, HistoryFilter, Instrument, PassOptions, Role, Workshop, WorkshopOptions, WriteOptions,
};

/// What a command answers: more fields, or the kind and text of an error.
type Answer = Result<Vec<String>, (String, String)>;

#[derive(Default)]
struct Device {
    workshop: Option<Workshop>,
    instrument: Option<Instrument>,
    listener: Option<TcpListener>,
}

fn main() -> io::Result<()> {
    let mut device = Device::default();
    for line in io::stdin().lock().lines() {
        let line = line?;
        let fields: Vec<&str> = line.split('\t').collect();
        let quit = fields.first() == Some(&"quit");
        let answer = device.answer(&fields);
        let line = match answer {
            Ok(fields) => [vec!["ok".to_owned()], fields].concat().join("\t"),
            Err((kind, text)) => format!("err\t{kind}\t{}", text.replace(['\t', '\n'], " ")),
        };
        let mut out = io::stdout().lock();
        writeln!(out, "{line}")?;
        out.flush()?;
        if quit {
            break;
        }
    }
    Ok(())
}

impl Device {
    fn answer(&mut self, fields: &[&str]) -> Answer {
        match fields {
            ["open", folder, label] => {
                let options = WorkshopOptions::new(*folder, *label);
                self.workshop = Some(Workshop::open(options).map_err(told)?);
                if let (Some(old), Some(workshop)) = (&self.instrument, &self.workshop) {
                    self.instrument = Some(workshop.instrument(old.id()).map_err(told)?);
                }
                Ok(vec![])
            }
            ["shut" | "quit"] => {
                match self.workshop.take() {
                    Some(workshop) => workshop.shut_down().map_err(told)?,
                    None if fields == ["quit"] => {}
                    None => return Err(usage("open first")),
                }
                Ok(vec![])
            }
            ["listen"] => {
                let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(file)?;
                let port = listener.local_addr().map_err(file)?.port();
                self.listener = Some(listener);
                Ok(vec![port.to_string()])
            }
            ["host", digits] => {
                let listener = self.listener.take().ok_or_else(|| usage("listen first"))?;
                let (stream, _) = listener.accept().map_err(file)?;
                self.meet(&stream, true, digits)
            }
            ["visit", port, digits] => {
                let port: u16 = port.parse().map_err(|_| usage(port))?;
                let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).map_err(file)?;
                self.meet(&stream, false, digits)
            }
            _ => {
                let workshop = self.workshop.as_ref().ok_or_else(|| usage("open first"))?;
                match fields {
                    ["add", template, name] => {
                        let added = workshop.add_instrument(template, name).map_err(told)?;
                        Ok(vec![self.instrument.insert(added).id().to_string()])
                    }
                    ["accept", path, welcome] => {
                        let words = fs::read_to_string(path).map_err(file)?;
                        let welcome = fs::read(welcome).map_err(file)?;
                        let joined = workshop.accept(&words, &welcome).map_err(told)?;
                        Ok(vec![self.instrument.insert(joined).id().to_string()])
                    }
                    ["in", path] => {
                        let report = workshop.bundle_in(&fs::read(path).map_err(file)?);
                        let report = report.map_err(told)?;
                        let entries = report.added.iter().flat_map(|one| &one.entries);
                        let entries: usize = entries.map(|one| one.count).sum();
                        let counts = [entries, report.newly_contested.len(), report.refused.len()];
                        Ok(counts.map(|count| count.to_string()).to_vec())
                    }
                    ["pause"] => workshop.pause().map(|()| vec![]).map_err(told),
                    _ => {
                        let instrument = self.instrument.as_ref();
                        let instrument = instrument.ok_or_else(|| usage("add or accept first"))?;
                        of_instrument(instrument, fields)
                    }
                }
            }
        }
    }
}

impl Device {
    fn meet(&self, stream: &TcpStream, listens: bool, digits: &str) -> Answer {
        let workshop = self.workshop.as_ref().ok_or_else(|| usage("open first"))?;
        let digits = digits.to_owned();
        let options = MeetOptions { listens, digits, only: None, invitation: None };
        let report = workshop.meet(stream, &options).map_err(told)?;
        let mut ended = report.met.iter().map(|one| one.outcome).chain([report.outcome]);
        let done = ended.all(|one| one == MeetingOutcome::UpToDate);
        Ok(vec![if done { "up to date".to_owned() } else { format!("{:?}", report.outcome) }])
    }
}

fn of_instrument(instrument: &Instrument, fields: &[&str]) -> Answer {
    match fields {
        ["invite", path, welcome] => {
            let invitation = instrument.invite(Role::Contributor, 7).map_err(told)?;
            fs::write(path, invitation.words).map_err(file)?;
            fs::write(welcome, invitation.welcome).map_err(file)?;
        }
        ["remark", text] => {
            let remark = Remark { text: (*text).to_owned(), ..Remark::default() };
            instrument.add_remark(remark, None).map_err(told)?;
        }
        ["pass", tool, text] => {
            let quantity = Quantity::Gap { stopped: fret(1)?, over: fret(12)? };
            let tool: Tool = tool.parse().map_err(|_| usage(tool))?;
            let (taken, sure) = (PassOptions::default(), WriteOptions::sure());
            instrument.add_pass_text_with(quantity, text, tool, &taken, sure).map_err(told)?;
        }
        ["turn", eighths] => {
            let eighths: i16 = eighths.parse().map_err(|_| usage(eighths))?;
            let turns = Some(Turns::eighths(eighths));
            let turned = Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None };
            instrument.add_adjustment(turned, None).map_err(told)?;
        }
        ["about", text] => {
            instrument.set_spec(&SpecField::About((*text).to_owned()), None).map_err(told)?;
        }
        ["target", hundredths] => {
            let digits: i64 = hundredths.parse().map_err(|_| usage(hundredths))?;
            let value = Decimal::new(digits, 2).map_err(|_| usage(hundredths))?;
            let tolerance = parse_amount("0.05 mm", None, Dimension::Length);
            let target = Target {
                quantity: Quantity::Relief { from: fret(1)?, to: fret(24)?, at: None },
                location: Location::Whole,
                wanted: Amount::Decimal { value, unit: Unit::Millimetre },
                tolerance: tolerance.map_err(|_| usage("tolerance"))?,
                by: None,
                at: instrument.now(),
                taken_from: None,
            };
            let stage = "stage".parse().map_err(|_| usage("stage"))?;
            instrument.set_target(&stage, &target, None).map_err(told)?;
        }
        ["end"] => match instrument.end_visit(None, None) {
            Ok(()) | Err(Error::NotFound { .. }) => {}
            Err(error) => return Err(told(error)),
        },
        ["out", path, what @ ("everything" | "new")] => {
            let bundle = if *what == "new" {
                instrument.bundle_unsent().map_err(told)?
            } else {
                Some(instrument.bundle_out().map_err(told)?)
            };
            // Nothing new: no file.
            if let Some(bundle) = bundle {
                instrument.delivered(&bundle.token).map_err(told)?;
                fs::write(path, bundle.file).map_err(file)?;
            }
        }
        ["contested"] => {
            return Ok(vec![instrument.contested().map_err(told)?.len().to_string()]);
        }
        ["settle"] => {
            let mut contested = instrument.contested().map_err(told)?;
            contested.sort_by(|a, b| a.field.cmp(&b.field));
            if let Some(field) = contested.first() {
                let shown = field.versions.iter().position(|version| version.displayed);
                instrument.settle(field, shown.unwrap_or_default(), None).map_err(told)?;
            }
        }
        ["state"] => {
            let entries = instrument.history(&HistoryFilter::default()).map_err(told)?.len();
            return Ok(vec![
                instrument.details().map_err(told)?.history_digest,
                entries.to_string(),
            ]);
        }
        ["remarks"] => {
            let history = instrument.history(&HistoryFilter::default()).map_err(told)?;
            let texts = history.into_iter().filter_map(|one| match one.entry.body {
                EntryBody::Remark(remark) => Some(remark.text),
                _ => None,
            });
            return Ok(texts.collect());
        }
        other => return Err(usage(&other.join(" "))),
    }
    Ok(vec![])
}

fn fret(number: u8) -> Result<Fret, (String, String)> {
    Fret::new(number).map_err(|error| usage(&error.to_string()))
}

#[expect(clippy::needless_pass_by_value, reason = "for map_err")]
fn told(error: Error) -> (String, String) {
    (error.code().replace('-', "_"), error.to_string())
}

#[expect(clippy::needless_pass_by_value, reason = "for map_err")]
fn file(error: io::Error) -> (String, String) {
    ("file".to_owned(), error.to_string())
}

fn usage(text: &str) -> (String, String) {
    ("usage".to_owned(), text.to_owned())
}
