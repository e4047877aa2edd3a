//! The commands, their options and help.
//!
//! The doc comments here are the help texts.

mod entries;
pub mod reckon;
mod sharing;
mod what_if;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

pub use entries::{
    BuzzArgs, ClimateArgs, DidArgs, Order, PostureWord, ReadArgs, RemarkArgs, SideWord,
    StringsArgs, ToolArgs, TunedArgs, VisitAction, WayArgs, What,
};
pub use sharing::{BundleAction, InviteArgs, RoleWord, SettleArgs};
pub use what_if::{BeforeStringsArgs, ClearanceArgs, TouchArgs, WhyBuzzArgs};

/// What was typed.
#[derive(Debug, Parser)]
#[command(
    name = "fallaway",
    version,
    about = ABOUT,
    long_about = None,
    disable_help_subcommand = true,
    subcommand_required = true,
    arg_required_else_help = true,
    help_template = "{about-with-newline}\n{usage-heading} {usage}\n{before-help}Options of every command\n{options}{after-help}",
    before_help = COMMANDS,
    after_help = FIRST_STEPS
)]
pub struct Cli {
    /// Options of every command.
    #[command(flatten)]
    pub common: Common,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const ABOUT: &str = "\
The numbers of a fretted instrument, and what to turn next.

One history for everybody around an instrument: readings as they came off the
tool, what was turned, and the numbers that were right. It works without any
network; devices exchange bundle files and end up with the same record.";

/// The list of commands in the order of the work; a test keeps it complete.
const COMMANDS: &str = "
Begin
  templates    kinds of instrument to start from
  add          add an instrument
  list         the instruments of this device
  show         the facts of an instrument
  set          set or correct a fact: scale, gauges, radius, screw threads

At the bench
  visit        begin a visit, or end it
  tool         name the tool in your hand, so that \"5 5 5 6\" is a reading
  read         enter readings: relief, action, nut, intonation, ...
  did          enter what was adjusted
  tuned        enter that the strings were tuned
  strings      enter a change of strings
  climate      enter temperature and humidity
  buzz         note where it buzzes
  remark       note anything else
  undo         take the last line back
  cross-out    cross out an older entry, with a reason

Ask
  plan         what to turn, how much, in which order, and why
  next         the next step, in one line
  card         the numbers
  changed      what moved: neck, joint, saddles, nut
  learned      what the instrument has taught: rod, seasons, readers, touch
  forecast     what to expect in another air
  history      what was read and done
  setup        the numbers you want: take, change, show
  clearance    will it buzz with these numbers, and what if
  why-buzz     why a note buzzes, and which reading decides
  before-strings  what other strings or another tuning will do
  reckon       a number from numbers: gaps, turns, tension, spacing, clearance, ...

Together
  people       who shares the instrument, on which device
  invite       write an invitation file
  accept       accept an invitation file
  bundle       write what is new into a file, or read such a file in
  two-values   values that were written apart
  settle       decide between them

This device
  me           how this device is shown to the others
  order        which string you read first
  forget       delete an instrument from this device
  completions  shell completions
  demo         two devices, one instrument, a winter: watch it work
";

const FIRST_STEPS: &str = "
From nothing to a plan:
  fallaway add bass-5 \"blue five\"
  fallaway tool rule 1/64                     then 5 means 5/64 in
  fallaway tuned                              in tune before every reading
  fallaway read relief 0.35 mm
  fallaway read action 5 5 5 6 6              highest string first
  fallaway setup target mine relief 0.25 mm   what you want
  fallaway setup target mine action all 5/64
  fallaway plan

Each command explains itself: fallaway read --help
Exit codes: 0 done, 1 refused or failed, 2 not understood, 3 not answered.
";

/// Options of every command.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Options of every command")]
pub struct Common {
    /// Folder that holds the data [default: the platform's, or $FALLAWAY_DATA]
    #[arg(long, global = true, value_name = "FOLDER")]
    pub data: Option<PathBuf>,
    /// Which instrument: its name, or how the name begins; needed when there are several [or
    /// $FALLAWAY_INSTRUMENT]
    #[arg(short, long, global = true, value_name = "NAME")]
    pub instrument: Option<String>,
    /// Print data as JSON, for programs
    #[arg(long, global = true)]
    pub json: bool,
    /// Who read it or did it, if not the owner of this device: "tech", "player"
    #[arg(long, global = true, value_name = "WHO")]
    pub by: Option<String>,
    /// When it was, if not now: "2026-01-15 18:30", "18:30"
    #[arg(long, global = true, value_name = "TIME")]
    pub at: Option<String>,
    /// Answer "sure?" with yes
    #[arg(long, global = true)]
    pub sure: bool,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// List the kinds of instrument to start from
    Templates,
    /// Add an instrument
    #[command(after_help = "\
Examples:
  fallaway add bass-5 \"blue five\"
  fallaway add guitar-6 \"the black one\"

The template brings the usual scale, strings and frets; put right what differs with `set`.")]
    Add {
        /// Kind of instrument, from `fallaway templates`
        template: String,
        /// What you call it
        name: String,
    },
    /// List the instruments of this device
    List,
    /// Show the facts of an instrument
    Show,
    /// Set or correct a fact of the instrument
    #[command(after_help = "\
Examples:
  fallaway set scale 34 in
  fallaway set radius 12 in
  fallaway set gauges 0.045 0.065 0.085 0.105 0.130 in
  fallaway set radius --unset         not known any more
  fallaway set --list                 every fact that can be set, with an example")]
    Set {
        /// Which fact; `--list` shows all
        #[arg(required_unless_present = "list")]
        field: Option<String>,
        /// The value, with its unit
        value: Vec<String>,
        /// Take the fact back: it is not known any more
        #[arg(long, conflicts_with_all = ["value", "list"])]
        unset: bool,
        /// List every fact that can be set
        #[arg(long)]
        list: bool,
    },
    /// Begin a visit or end it; without a word, show the open one
    #[command(
        args_conflicts_with_subcommands = true,
        after_help = "\
Examples:
  fallaway visit begin \"buzzes on the low string since the tour\"
  fallaway visit end

A visit keeps together what was found, done and left. The first entry begins one by itself."
    )]
    Visit {
        /// Begin or end.
        #[command(subcommand)]
        action: Option<VisitAction>,
    },
    /// Name the tool in your hand; without a word, show the tools
    Tool(ToolArgs),
    /// Enter readings
    Read(Box<ReadArgs>),
    /// Enter what was adjusted
    Did(DidArgs),
    /// Enter that the strings were tuned to pitch
    Tuned(TunedArgs),
    /// Enter a change of strings
    Strings(StringsArgs),
    /// Enter temperature and relative humidity
    Climate(ClimateArgs),
    /// Note where it buzzes
    Buzz(BuzzArgs),
    /// Note anything else
    Remark(RemarkArgs),
    /// Take the last line back
    #[command(after_help = "\
A line can be taken back until its visit ends or a bundle leaves; after that, cross it out.")]
    Undo,
    /// Cross out an entry, with a reason; it stays readable
    #[command(
        name = "cross-out",
        after_help = "\
Example:
  fallaway cross-out k3 \"read on the wrong fret\"

The short name of an entry stands first in its line of `fallaway history`."
    )]
    CrossOut {
        /// Short name of the entry
        entry: String,
        /// Why it does not count
        reason: String,
    },
    /// What to turn, by how much, in which order, and why
    Plan {
        /// Toward which setup [default: the only one]
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        /// Show every step in full
        #[arg(long)]
        all: bool,
    },
    /// The next step, in one line
    Next {
        /// Toward which setup [default: the only one]
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
    },
    /// The numbers of the instrument
    Card {
        /// Compared with which setup [default: the only one]
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        /// In large type, to be read from across the stage
        #[arg(long)]
        large: bool,
    },
    /// What moved: neck, joint, each saddle, each nut slot
    #[command(after_help = "\
Examples:
  fallaway changed                   from the setup to today's readings
  fallaway changed --since tech-1    from what that visit left (its first entry)
  fallaway changed --since tech-1 --found   from what it found")]
    Changed {
        /// From the visit of this entry, not from the setup
        #[arg(long, value_name = "ENTRY")]
        since: Option<String>,
        /// From what that visit found, not from what it left
        #[arg(long, requires = "since")]
        found: bool,
        /// From which setup [default: the only one]
        #[arg(long, value_name = "SETUP", conflicts_with = "since")]
        setup: Option<String>,
    },
    /// What the instrument, its readers and its players have taught
    Learned,
    /// What to expect in another air, as far as the seasons have been learned
    #[command(after_help = "\
Example:
  fallaway forecast 20C 25%")]
    Forecast {
        /// Relative humidity, and temperature if it is not a room's: 20C 25%
        #[arg(required = true, value_name = "AIR")]
        air: Vec<String>,
        /// Toward which setup [default: the only one]
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
    },
    /// What was read and done, newest last
    #[command(after_help = "\
Examples:
  fallaway history
  fallaway history --last 20 --only readings
  fallaway history --visit")]
    History(HistoryArgs),
    /// The numbers you want: take, change, show
    #[command(
        args_conflicts_with_subcommands = true,
        after_help = "\
Examples:
  fallaway setup take stage                   today's numbers are the ones
  fallaway setup target stage action 4 2.1 mm
  fallaway setup target stage relief 0.25 mm --within 0.05 mm
  fallaway setup show stage
  fallaway setup drop stage action 4          want nothing there any more"
    )]
    Setup {
        /// What to do with it; without a word, list the setups.
        #[command(subcommand)]
        action: Option<SetupAction>,
    },
    /// Will it buzz with these numbers, and what if: relief, saddles, strings, tuning, touch
    Clearance(Box<ClearanceArgs>),
    /// Why a note buzzes, and which reading decides
    WhyBuzz(WhyBuzzArgs),
    /// What other strings or another tuning will do
    BeforeStrings(BeforeStringsArgs),
    /// A number from numbers: gaps, turns, tension, spacing, clearance, ...
    Reckon(Box<reckon::ReckonArgs>),
    /// Who shares the instrument, on which device
    People,
    /// Write an invitation file
    Invite(InviteArgs),
    /// Accept an invitation file
    #[command(after_help = "\
Example:
  fallaway accept invitation.txt
  fallaway bundle in from-tech.fallaway")]
    Accept {
        /// The invitation file; - reads what is typed or piped in
        file: PathBuf,
        /// Only show what it says
        #[arg(long)]
        look: bool,
    },
    /// Write what is new into a file, or read such a file in
    #[command(after_help = "\
Examples:
  fallaway bundle out for-player.fallaway        everything
  fallaway bundle out for-player.fallaway --new  what is new since the last one
  fallaway bundle in from-player.fallaway

Send the file any way you like. It is sealed: only the people of the instrument can read it.
Files may arrive late, twice, or in any order.")]
    Bundle {
        /// Out or in.
        #[command(subcommand)]
        action: BundleAction,
    },
    /// Values that were written apart, with author and time
    #[command(name = "two-values")]
    TwoValues,
    /// Decide between two values
    Settle(SettleArgs),
    /// How this device is shown to the others; without a name, show it
    #[command(after_help = "\
Example:
  fallaway me tech

Set it before you add or accept an instrument: people see the name of that moment.")]
    Me {
        /// The name: "tech", "player"
        name: Option<String>,
    },
    /// Which string you read first; without a word, show it
    Order {
        /// The highest string first, or the lowest
        #[arg(value_enum)]
        order: Option<Order>,
    },
    /// Delete an instrument from this device; the others keep theirs
    Forget {
        /// Its name, in full
        name: String,
    },
    /// Print completions for a shell
    #[command(after_help = "\
Example:
  fallaway completions bash > ~/.local/share/bash-completion/completions/fallaway")]
    Completions {
        /// Which shell
        shell: Shell,
    },
    /// Two devices, one instrument, a winter: watch it work
    Demo {
        /// Folder for the data of the two devices; replaced if an earlier demo made it
        #[arg(long, value_name = "FOLDER", default_value = "fallaway-demo")]
        into: PathBuf,
    },
}

/// Which entries to show.
#[derive(Debug, Args)]
pub struct HistoryArgs {
    /// Only the last so many entries
    #[arg(long, value_name = "COUNT")]
    pub last: Option<usize>,
    /// Only one kind of entry
    #[arg(long, value_enum, value_name = "KIND")]
    pub only: Option<KindWord>,
    /// Only the open visit, or the last one
    #[arg(long)]
    pub visit: bool,
    /// Leave out what was crossed out
    #[arg(long)]
    pub clean: bool,
}

/// A kind of entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum KindWord {
    /// Readings
    Readings,
    /// Adjustments
    Adjustments,
    /// String changes and tuning
    Strings,
    /// Temperature and humidity
    Climate,
    /// Remarks
    Remarks,
    /// Buzz notes
    Buzz,
}

/// What to do with setups.
#[derive(Debug, Subcommand)]
pub enum SetupAction {
    /// Make a setup of the numbers as they are now
    Take {
        /// What you call it: "stage", "drop D"
        name: String,
    },
    /// Show a setup, or all
    Show {
        /// Which one
        name: Option<String>,
    },
    /// Want another number
    #[command(after_help = "\
The value stands last and has its unit. Name the strings where there are several.
  fallaway setup target stage action 4 2.1 mm
  fallaway setup target stage action all 5/64
  fallaway setup target stage relief 0.25 mm")]
    Target {
        /// Which setup
        name: String,
        /// What is read: relief, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup
        #[arg(value_enum, hide_possible_values = true)]
        what: What,
        /// Which strings (4, 1,3, 2-5, all), then the value
        #[arg(required = true)]
        value: Vec<String>,
        /// How far off is still fine
        #[arg(long, value_name = "AMOUNT", num_args = 1..=2)]
        within: Vec<String>,
        /// Which way it is read.
        #[command(flatten)]
        way: WayArgs,
    },
    /// Want nothing there any more
    Drop {
        /// Which setup
        name: String,
        /// What is read: relief, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup
        #[arg(value_enum, hide_possible_values = true)]
        what: What,
        /// Which strings (4, 1,3, 2-5, all)
        strings: Option<String>,
        /// Which way it is read.
        #[command(flatten)]
        way: WayArgs,
    },
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn the_grammar_holds_together() {
        Cli::command().debug_assert();
    }

    #[test]
    fn the_list_of_commands_is_complete() {
        for command in Cli::command().get_subcommands().filter(|c| !c.is_hide_set()) {
            let entry = format!("\n  {} ", command.get_name());
            assert!(COMMANDS.contains(&entry), "{} is not listed", command.get_name());
        }
    }
}
