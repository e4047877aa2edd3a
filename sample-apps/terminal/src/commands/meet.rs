//! Meeting another device in the same network.

use std::net::{
    IpAddr, Ipv4Addr, SocketAddr, TcpListener, TcpStream, ToSocketAddrs as _, UdpSocket,
};
use std::time::Duration;

use fallaway::meeting::{MeetOptions, MeetReport, MeetingOutcome};
use serde_json::json;

use super::context::Context;
use super::joining::words_in;
use super::progress::Progress;
use super::sharing::print_report;
use crate::cli::MeetArgs;
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::sharing as words;
use crate::render::Style;

/// So many may knock who do not know the digits: whoever guesses does not get far.
const KNOCKS: usize = 5;
/// How long an address may take to answer.
const PATIENCE: Duration = Duration::from_secs(10);

/// Listens for another device, or goes to one that listens.
pub fn meet(context: &mut Context<'_, '_>, args: &MeetArgs) -> Outcome {
    let only = match context.common.instrument {
        Some(_) => Some(context.instrument()?.id()),
        None => None,
    };
    match (&args.listen, &args.address, &args.code) {
        (Some(listen), None, None) => self::listen(context, listen, only),
        (None, Some(address), Some(code)) => {
            let invitation = match &args.words {
                Some(file) => Some(words_in(context, file)?),
                None => None,
            };
            let options = MeetOptions { listens: false, digits: code.clone(), only, invitation };
            let stream = reach(address)?;
            let report = at_table(context, &stream, &options)?;
            drop(stream);
            tell(context, &report)
        }
        _ => Err(Error::Usage(words::meet_how())),
    }
}

fn listen(
    context: &mut Context<'_, '_>,
    address: &str,
    only: Option<fallaway::InstrumentId>,
) -> Outcome {
    let listener = TcpListener::bind(address);
    let listener = listener
        .map_err(|error| Error::Refused(words::cannot_listen(address.to_owned(), said(&error))))?;
    let digits = context.workshop()?.meeting_digits()?;
    let here = listener.local_addr().map(reachable);
    let here =
        here.map_err(|error| Error::Refused(words::cannot_listen(address.into(), said(&error))))?;
    if context.common.json {
        context.json(&json!({ "listening": here.to_string(), "code": digits }))?;
    } else {
        let mut printer = context.printer();
        printer.line(&words::listening())?;
        printer.words(Style::Strong, &format!("fallaway meet {here} --code {digits}"))?;
    }
    // Whoever waits for the other device reads this while it waits.
    context.world.out.flush()?;
    let options = MeetOptions { listens: true, digits, only, invitation: None };
    for _ in 0..KNOCKS {
        let Ok((stream, _)) = listener.accept() else { continue };
        let report = at_table(context, &stream, &options)?;
        drop(stream);
        if !report.met.is_empty() {
            return tell(context, &report);
        }
        context.margin().say(Style::Caution, &words::somebody_else(report.phrase()))?;
    }
    Err(Error::Refused(words::too_many_knocks()))
}

fn at_table(
    context: &mut Context<'_, '_>,
    stream: &TcpStream,
    options: &MeetOptions,
) -> Outcome<MeetReport> {
    let progress = Progress::to_person(context.common.json);
    // Turns are short, and the other end waits for each.
    let _ = stream.set_nodelay(true);
    Ok(context.workshop()?.meet_watched(stream, options, &progress)?)
}

fn reach(address: &str) -> Outcome<TcpStream> {
    let failed = |reason: String| Error::Refused(words::cannot_reach(address.to_owned(), reason));
    let found = address.to_socket_addrs().map_err(|error| failed(said(&error)))?;
    let mut why = String::new();
    for one in found {
        match TcpStream::connect_timeout(&one, PATIENCE) {
            Ok(stream) => return Ok(stream),
            Err(error) => why = said(&error),
        }
    }
    Err(failed(why))
}

fn said(error: &std::io::Error) -> String {
    error.to_string()
}

/// The address under which others find this device, where it listens on all of its own. Nothing is
/// sent: the system is asked by which of them it would send.
fn reachable(at: SocketAddr) -> SocketAddr {
    if !at.ip().is_unspecified() {
        return at;
    }
    let asked = || -> std::io::Result<IpAddr> {
        let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
        // An address of RFC 5737, which nobody has.
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
        Ok(socket.local_addr()?.ip())
    };
    SocketAddr::new(asked().unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)), at.port())
}

fn tell(context: &mut Context<'_, '_>, report: &MeetReport) -> Outcome {
    let all = report.outcome == MeetingOutcome::UpToDate
        && report.met.iter().all(|one| one.outcome == MeetingOutcome::UpToDate);
    if context.common.json {
        let met = report.met.iter().map(|one| {
            json!({
                "instrument": one.instrument.to_string(),
                "name": one.name,
                "with": one.other,
                "up_to_date": one.outcome == MeetingOutcome::UpToDate,
                "sent": one.sent,
                "received": one.received,
                "merges": one.merges.iter().map(shapes::merge).collect::<Vec<_>>(),
            })
        });
        let data = json!({ "up_to_date": all, "met": met.collect::<Vec<_>>() });
        context.json(&data)?;
    } else {
        for one in &report.met {
            // Of a record that comes for the first time the first parts say nothing yet.
            let told = one.merges.iter().skip_while(|merge| merge.name.is_empty());
            let unfinished = one.merges.last().filter(|merge| merge.name.is_empty());
            for merge in told.chain(unfinished) {
                print_report(context, merge)?;
            }
            let mut printer = context.printer();
            printer.line(&one.phrase())?;
            for line in one.counts().iter().take(1).filter(|_| one.sent > 0) {
                printer.line(line)?;
            }
        }
    }
    match report.outcome {
        MeetingOutcome::UpToDate if all => Ok(()),
        // Which, and why, has been said.
        MeetingOutcome::UpToDate => Err(Error::Declined),
        _ => Err(Error::Refused(report.phrase())),
    }
}
