//! `fallaway-relay`: serves what `docs/running-a-relay.md` describes.
#![forbid(unsafe_code)]

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};
use fallaway_relay::{Allowance, DataPlace, Policy, Quotas, ServeOptions, backup, serve};

/// Carries sealed bundles between devices that are never online together.
#[derive(Parser)]
#[command(version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Serve, until SIGTERM.
    Serve(Box<Serve>),
    /// Write a copy of the data of one moment into a new file, while a relay serves or not.
    Backup {
        /// The folder of the data.
        #[arg(long, value_name = "FOLDER")]
        data: PathBuf,
        /// The new file. To restore, put it into an empty folder as relay.sqlite.
        file: PathBuf,
    },
}

#[derive(Args)]
struct Serve {
    /// The folder of the data; made if it is not there.
    #[cfg_attr(feature = "postgres", arg(required_unless_present = "postgres"))]
    #[cfg_attr(not(feature = "postgres"), arg(required = true))]
    #[arg(long, value_name = "FOLDER")]
    data: Option<PathBuf>,
    /// A file with the connection string of a PostgreSQL database, instead of a folder; several relays
    /// may serve from one.
    #[cfg(feature = "postgres")]
    #[arg(long, value_name = "FILE", conflicts_with = "data")]
    postgres: Option<PathBuf>,
    /// Where photos lie, if not with the rest: s3://bucket/folder, with AWS_ACCESS_KEY_ID,
    /// AWS_SECRET_ACCESS_KEY, AWS_REGION and AWS_ENDPOINT from the environment, or file:///folder.
    #[cfg(feature = "s3")]
    #[arg(long, value_name = "URL")]
    blobs: Option<String>,
    /// Where to listen.
    #[arg(long, value_name = "ADDRESS", default_value_t = SocketAddr::from((Ipv4Addr::LOCALHOST, 4620)))]
    listen: SocketAddr,
    /// Certificates (PEM), the relay's own first. Read again on SIGHUP.
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// Key of the certificate (PEM).
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// Listen in plaintext beyond this machine, and take the client's address from X-Forwarded-For: only
    /// behind a proxy that speaks TLS and sets it.
    #[arg(long)]
    plaintext_behind_proxy: bool,
    /// Where Prometheus asks for /metrics. Show it to nobody else.
    #[arg(long, value_name = "ADDRESS")]
    metrics: Option<SocketAddr>,
    /// Leave the line of each request out of the journal.
    #[arg(long)]
    quiet: bool,
    /// A file with a word that clients must show to open a log.
    #[arg(long, value_name = "FILE")]
    admission_file: Option<PathBuf>,
    /// Bytes that one log may hold.
    #[arg(long, value_name = "BYTES", default_value_t = Quotas::default().log_bytes)]
    log_bytes: u64,
    /// Bytes that all logs and parcels may hold together.
    #[arg(long, value_name = "BYTES")]
    max_bytes: Option<u64>,
    /// Pushes a second with one token in one log, ten times as many at once; 0 is no limit.
    #[arg(long, value_name = "COUNT", default_value_t = Allowance::default().pushes)]
    pushes: u32,
    /// Wrong tokens an address a minute, before it is shut out for a quarter of an hour; 0 is no limit.
    #[arg(long, value_name = "COUNT", default_value_t = Allowance::default().wrong_tokens)]
    wrong_tokens: u32,
    /// New logs an address a day; 0 is no limit.
    #[arg(long, value_name = "COUNT", default_value_t = Allowance::default().new_logs)]
    new_logs: u32,
    /// Connections in all.
    #[arg(long, value_name = "COUNT", default_value_t = 24_000)]
    connections: usize,
    /// Connections of one address, unless behind a proxy; 0 is no limit.
    #[arg(long, value_name = "COUNT", default_value_t = 64)]
    connections_each: usize,
}

fn main() -> ExitCode {
    match run(Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("fallaway-relay: {reason}");
            ExitCode::FAILURE
        }
    }
}

fn run(arguments: Arguments) -> Result<(), String> {
    match arguments.command {
        Command::Backup { data, file } => backup(&data, &file).map_err(|error| error.to_string()),
        Command::Serve(asked) => {
            let runtime = tokio::runtime::Builder::new_multi_thread()
                .enable_all()
                .max_blocking_threads(64)
                .build()
                .map_err(|error| error.to_string())?;
            let options = options(*asked)?;
            runtime.block_on(serve(options)).map_err(|error| error.to_string())
        }
    }
}

fn options(asked: Serve) -> Result<ServeOptions, String> {
    let admission = match &asked.admission_file {
        None => None,
        Some(file) => {
            let text = std::fs::read_to_string(file);
            let text = text.map_err(|error| format!("{}: {error}", file.display()))?;
            let word = text.trim().to_owned();
            if word.is_empty() || !word.bytes().all(|byte| byte.is_ascii_graphic()) {
                return Err(format!("{}: one word of printable ASCII is wanted", file.display()));
            }
            Some(word)
        }
    };
    let data = place(&asked)?;
    let quotas = Quotas {
        log_bytes: asked.log_bytes,
        total_bytes: asked.max_bytes.unwrap_or(u64::MAX),
        ..Quotas::default()
    };
    Ok(ServeOptions {
        data,
        #[cfg(feature = "s3")]
        blobs: asked.blobs,
        listen: asked.listen,
        tls: asked.tls_cert.zip(asked.tls_key),
        behind_proxy: asked.plaintext_behind_proxy,
        metrics: asked.metrics,
        journal_requests: !asked.quiet,
        quotas,
        policy: Policy { admission },
        allowance: Allowance {
            pushes: asked.pushes,
            wrong_tokens: asked.wrong_tokens,
            new_logs: asked.new_logs,
            ..Allowance::default()
        },
        connections: asked.connections,
        connections_each: asked.connections_each,
    })
}

/// Where the data are.
fn place(asked: &Serve) -> Result<DataPlace, String> {
    #[cfg(feature = "postgres")]
    if let Some(file) = &asked.postgres {
        let text = std::fs::read_to_string(file);
        let text = text.map_err(|error| format!("{}: {error}", file.display()))?;
        return Ok(DataPlace::Postgres(text.trim().to_owned()));
    }
    asked.data.clone().map(DataPlace::Folder).ok_or_else(|| "--data is missing".to_owned())
}
