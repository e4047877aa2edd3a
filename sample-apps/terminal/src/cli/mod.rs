//! The commands and their options. What they are for stands in the message files, from where [`help`]
//! takes it.
#![allow(missing_docs, reason = "commands and arguments are described in the message files")]

#[cfg(feature = "calc")]
pub mod calc;
mod drawings;
mod entries;
pub mod help;
mod photos;
pub mod refusal;
mod sharing;
mod shop;
mod what_if;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

pub use drawings::{DrawArgs, DrawKind, SheetArgs};
pub use entries::{
    BenchArgs, BuzzArgs, CannotArgs, ClimateArgs, DidArgs, DoneArgs, FretArgs, ImportArgs,
    PostureWord, ReadArgs, ReadWhat, RemarkArgs, SideWord, StringOrder, StringsArgs, ToolArgs,
    TunedArgs, UsualArgs, VisitAction, WayArgs,
};
pub use photos::PhotoAction;
pub use sharing::{
    AcceptArgs, BundleAction, InviteArgs, MeetArgs, RecoverArgs, RelayAction, RemoveArgs, RoleArgs,
    RoleWord, SettleArgs, SyncArgs, WordsArgs,
};
pub use shop::{
    CareArgs, ExportArgs, JobAction, JobArgs, OwnerArgs, PackAction, PackArgs, RestoreArgs,
    SpecAction, TargetsAction,
};
pub use what_if::{BeforeStringsArgs, CapoWord, ClearanceArgs, TouchArgs, WhyBuzzArgs};

/// What was typed.
#[derive(Debug, Parser)]
#[command(
    name = "fallaway",
    version,
    subcommand_required = true,
    arg_required_else_help = true,
    infer_subcommands = true
)]
pub struct Cli {
    #[command(flatten)]
    pub common: Common,
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Debug, Clone, Args)]
pub struct Common {
    #[arg(long, global = true, value_name = "FOLDER")]
    pub data: Option<PathBuf>,
    #[arg(short, long, global = true, value_name = "NAME")]
    pub instrument: Option<String>,
    #[arg(long, global = true)]
    pub json: bool,
    #[arg(long, global = true, value_name = "WHO")]
    pub by: Option<String>,
    #[arg(long, global = true, value_name = "TIME")]
    pub at: Option<String>,
    #[arg(long, global = true)]
    pub sure: bool,
    #[arg(long = "language", global = true, value_name = "LANGUAGE")]
    pub speak: Option<String>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    Templates,
    Add(AddArgs),
    Copy {
        name: String,
        new_name: String,
    },
    List {
        #[arg(long)]
        archived: bool,
        #[arg(long, value_name = "TEXT")]
        search: Option<String>,
        #[arg(long, conflicts_with = "json")]
        names: bool,
    },
    Search {
        text: String,
    },
    Rename {
        name: String,
        new_name: String,
    },
    Archive {
        name: String,
        #[arg(long)]
        back: bool,
    },
    Show,
    Set {
        #[arg(required_unless_present = "list")]
        field: Option<String>,
        value: Vec<String>,
        #[arg(long, conflicts_with_all = ["value", "list"])]
        unset: bool,
        #[arg(long)]
        list: bool,
    },
    #[command(args_conflicts_with_subcommands = true)]
    Visit {
        #[command(subcommand)]
        action: Option<VisitAction>,
    },
    Tool(ToolArgs),
    Read(Box<ReadArgs>),
    Did(DidArgs),
    Done(DoneArgs),
    Cannot(CannotArgs),
    #[command(name = "as-left")]
    AsLeft,
    Bench(BenchArgs),
    Tuned(TunedArgs),
    Strings(StringsArgs),
    Climate(ClimateArgs),
    Buzz(BuzzArgs),
    Fret(FretArgs),
    Remark(RemarkArgs),
    Photo {
        #[command(subcommand)]
        action: Option<PhotoAction>,
    },
    Import(ImportArgs),
    Undo,
    Redo,
    #[command(name = "cross-out")]
    CrossOut {
        entry: String,
        #[arg(value_parser = crate::parse::minus::text)]
        reason: String,
    },
    Plan {
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        #[arg(long)]
        all: bool,
    },
    Next {
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        #[arg(long)]
        full: bool,
    },
    Card {
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        #[arg(long)]
        large: bool,
    },
    Changed {
        #[arg(long, value_name = "ENTRY")]
        since: Option<String>,
        #[arg(long, requires = "since")]
        found: bool,
        #[arg(long, value_name = "SETUP", conflicts_with = "since")]
        setup: Option<String>,
    },
    Draw(DrawArgs),
    Sheet(SheetArgs),
    Learned,
    Forecast {
        #[arg(required = true, value_name = "CLIMATE")]
        air: Vec<String>,
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
    },
    History(HistoryArgs),
    #[command(args_conflicts_with_subcommands = true)]
    Setup {
        #[command(subcommand)]
        action: Option<SetupAction>,
    },
    Targets {
        #[command(subcommand)]
        action: TargetsAction,
    },
    Spec {
        #[command(subcommand)]
        action: Option<SpecAction>,
    },
    Pack {
        #[command(subcommand)]
        action: Option<PackAction>,
    },
    Owner(OwnerArgs),
    Job {
        #[command(subcommand)]
        action: Option<JobAction>,
    },
    Desk,
    Care(CareArgs),
    Export(ExportArgs),
    Backup {
        file: PathBuf,
    },
    Restore(RestoreArgs),
    Clearance(Box<ClearanceArgs>),
    WhyBuzz(WhyBuzzArgs),
    BeforeStrings(BeforeStringsArgs),
    #[cfg(feature = "calc")]
    Calc(Box<calc::CalcArgs>),
    People {
        #[arg(long)]
        known: bool,
        #[arg(long, conflicts_with = "known")]
        history: bool,
    },
    Role(RoleArgs),
    Remove(RemoveArgs),
    Leave,
    Held,
    #[command(name = "accept-held")]
    AcceptHeld {
        fingerprint: String,
    },
    #[command(name = "write-anyway")]
    WriteAnyway,
    Invite(InviteArgs),
    Withdraw {
        invitation: Option<String>,
    },
    Accept(AcceptArgs),
    Compared {
        fingerprint: String,
    },
    #[command(name = "recovery-words")]
    RecoveryWords {
        #[arg(long)]
        written_down: bool,
    },
    Recover(RecoverArgs),
    Bundle {
        #[command(subcommand)]
        action: BundleAction,
    },
    Relay {
        #[command(subcommand)]
        action: Option<RelayAction>,
    },
    Sync(SyncArgs),
    Meet(MeetArgs),
    #[command(name = "two-values")]
    TwoValues,
    Settle(SettleArgs),
    Me {
        name: Option<String>,
    },
    Order {
        #[arg(value_enum)]
        order: Option<StringOrder>,
    },
    Usual(UsualArgs),
    Language {
        language: Option<String>,
    },
    Units {
        units: Option<String>,
        #[arg(long)]
        only: bool,
    },
    Forget {
        name: String,
    },
    Commands,
    Completions {
        shell: Shell,
    },
    Demo {
        #[arg(long, value_name = "FOLDER", default_value = "fallaway-demo")]
        into: PathBuf,
    },
}

impl Command {
    /// Whether it only answers from the record, and writes nothing into it.
    pub fn only_asks(&self) -> bool {
        matches!(
            self,
            Self::Plan { .. }
                | Self::Next { .. }
                | Self::Card { .. }
                | Self::Changed { .. }
                | Self::Draw(_)
                | Self::Sheet(_)
                | Self::Learned
                | Self::Forecast { .. }
                | Self::Clearance(_)
                | Self::WhyBuzz(_)
                | Self::BeforeStrings(_)
        )
    }
}

/// Add an instrument.
#[derive(Debug, Args)]
pub struct AddArgs {
    pub template: String,
    pub name: String,
    #[arg(long, value_name = "COUNT")]
    pub courses: Option<u8>,
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<u8>,
}

/// Which entries to show.
#[derive(Debug, Args)]
pub struct HistoryArgs {
    #[arg(long, value_name = "COUNT")]
    pub last: Option<usize>,
    #[arg(long, value_enum, value_name = "KIND")]
    pub only: Option<KindWord>,
    #[arg(long, value_name = "ENTRY", num_args = 0..=1, default_missing_value = "")]
    pub visit: Option<String>,
    #[arg(long)]
    pub clean: bool,
}

/// A kind of entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum KindWord {
    Readings,
    Adjustments,
    Strings,
    Climate,
    Remarks,
    Buzz,
}

/// What to do with setups.
#[derive(Debug, Subcommand)]
pub enum SetupAction {
    Take {
        name: String,
    },
    Show {
        name: Option<String>,
        #[arg(long, conflicts_with = "name")]
        deleted: bool,
    },
    Rename {
        name: String,
        new_name: String,
    },
    Delete {
        name: String,
    },
    Back {
        name: String,
    },
    Target {
        name: String,
        #[arg(value_enum, hide_possible_values = true)]
        what: ReadWhat,
        #[arg(required = true)]
        value: Vec<String>,
        #[arg(long, value_name = "AMOUNT", num_args = 1..=2)]
        within: Vec<String>,
        #[command(flatten)]
        way: WayArgs,
    },
    Drop {
        name: String,
        #[arg(value_enum, hide_possible_values = true)]
        what: ReadWhat,
        strings: Option<String>,
        #[command(flatten)]
        way: WayArgs,
    },
}
