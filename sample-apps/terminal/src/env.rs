//! What a run needs from the world around it. The process has one set; the demo and the tests have
//! others, with their own folders, clock and streams.

use std::cell::RefCell;
use std::ffi::OsString;
use std::io::{self, BufRead, IsTerminal as _, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use fallaway::environment::{Clock, SystemClock};
use fallaway::record::Moment;
use fallaway_text::Language;

/// One run of the app, as the app itself does it: at the bench for a line, in the demo for a command.
pub type RunApp = fn(Vec<OsString>, &mut Env<'_>) -> u8;

/// What a run needs from the world around it.
pub struct Env<'a> {
    /// How the app was called, for lines that tell a person what to type next.
    pub program: String,
    /// Where results go.
    pub out: &'a mut dyn Write,
    /// Where errors, cautions and questions go.
    pub err: &'a mut dyn Write,
    /// Where answers to questions come from; none if nobody is there to answer.
    pub answers: Option<&'a mut dyn BufRead>,
    /// Where the lines of the bench come from; none if they are typed at a terminal.
    pub lines: Option<&'a mut dyn BufRead>,
    /// What was typed where yes or no was asked, if it is neither: at the bench, the next line.
    pub instead: Rc<RefCell<Option<String>>>,
    /// The folder against which relative paths are taken.
    pub here: PathBuf,
    /// The data folder used when `--data` is not given; none if the platform names none.
    pub data: Option<PathBuf>,
    /// The instrument used when `--instrument` is not given (`FALLAWAY_INSTRUMENT`).
    pub instrument: Option<String>,
    /// How this device is shown to others until its settings know better.
    pub label: String,
    /// The language that the system is set to; none if this app does not speak it.
    pub language: Option<Language>,
    /// Tells the time.
    pub clock: Arc<dyn Clock>,
    /// Whether output may be coloured. Colour is never the only carrier of meaning.
    pub colour: bool,
    /// Columns available for output.
    pub width: usize,
    /// Most pages that the store may have; for tests of a full disk.
    pub max_pages: Option<u32>,
}

impl Env<'_> {
    /// A path as given on the command line, taken from [`Self::here`].
    pub fn path(&self, given: &Path) -> PathBuf {
        self.here.join(given)
    }
}

/// A shared clock, as the library wants one of its own.
#[derive(Clone)]
pub struct SharedClock(pub Arc<dyn Clock>);

impl Clock for SharedClock {
    fn now(&self) -> Moment {
        self.0.now()
    }
}

/// A clock that stands still; for tests and the demo.
#[derive(Debug, Clone, Copy)]
pub struct StoppedClock(pub Moment);

impl Clock for StoppedClock {
    fn now(&self) -> Moment {
        self.0
    }
}

/// Columns of output that nobody watches (a file, a pipe), and of terminals that do not say.
pub const USUAL_WIDTH: usize = 80;

/// Calls `f` with the environment of this process.
pub fn with_process<T>(f: impl FnOnce(&mut Env<'_>) -> T) -> T {
    let on_terminal = io::stdout().is_terminal();
    let width = if on_terminal {
        terminal_size::terminal_size().map_or(USUAL_WIDTH, |(w, _)| usize::from(w.0))
    } else {
        USUAL_WIDTH
    };
    let variable = |name: &str| std::env::var(name).ok().filter(|v| !v.trim().is_empty());
    let someone_answers = io::stdin().is_terminal() && io::stderr().is_terminal();
    // Locked for each line only: at the bench a line editor reads the same terminal.
    let mut input = io::BufReader::new(io::stdin());
    let mut lines = io::BufReader::new(io::stdin());
    let typed = io::stdin().is_terminal();
    let program = std::env::args_os().next().unwrap_or_default();
    let mut env = Env {
        program: program.to_string_lossy().into_owned(),
        out: &mut io::BufWriter::new(io::stdout().lock()),
        err: &mut io::stderr().lock(),
        answers: if someone_answers { Some(&mut input) } else { None },
        lines: if typed { None } else { Some(&mut lines) },
        here: std::env::current_dir().unwrap_or_default(),
        data: std::env::var_os("FALLAWAY_DATA")
            .filter(|folder| !folder.is_empty())
            .map(PathBuf::from)
            .or_else(platform_folder),
        instrument: variable("FALLAWAY_INSTRUMENT"),
        label: variable("USER").or_else(|| variable("USERNAME")).unwrap_or_else(|| "owner".into()),
        // As POSIX ranks them (IEEE Std 1003.1, 8.2).
        language: ["FALLAWAY_LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"]
            .into_iter()
            .find_map(variable)
            .and_then(|locale| Language::named(&locale)),
        clock: Arc::new(SystemClock),
        // https://no-color.org: any value that is not empty turns colour off.
        colour: on_terminal
            && variable("NO_COLOR").is_none()
            && variable("TERM").as_deref() != Some("dumb"),
        // Longer lines are hard to follow.
        width: width.clamp(40, 100),
        instead: Rc::default(),
        max_pages: variable("FALLAWAY_MAX_PAGES").and_then(|n| n.parse().ok()),
    };
    f(&mut env)
}

/// The platform's folder for data of this app.
fn platform_folder() -> Option<PathBuf> {
    use etcetera::base_strategy::{BaseStrategy as _, choose_native_strategy};
    choose_native_strategy().ok().map(|s| s.data_dir().join("fallaway"))
}
