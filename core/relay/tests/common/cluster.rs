//! A PostgreSQL of its own for a test or a bench.
#![allow(dead_code, clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A database server of its own, on a socket in a folder.
pub struct Cluster {
    folder: tempfile::TempDir,
    programs: PathBuf,
    root: bool,
}

impl Cluster {
    pub fn start() -> Self {
        let root = Command::new("id").arg("-u").output().unwrap().stdout == b"0\n";
        let folder = tempfile::tempdir_in("/tmp").unwrap();
        let versions = std::fs::read_dir("/usr/lib/postgresql").unwrap_or_else(|_| {
            panic!("these tests need PostgreSQL: apt-get install postgresql");
        });
        let newest = versions.map(|entry| entry.unwrap().path()).max().unwrap();
        let cluster = Self { folder, programs: newest.join("bin"), root };
        if root {
            // The server does not run as root.
            let own = Command::new("chown").arg("postgres").arg(cluster.folder.path()).status();
            assert!(own.unwrap().success());
        }
        cluster.run(
            "initdb",
            &["-A", "trust", "-U", "relay", "-E", "UTF8", "--no-locale", "-D"],
            &[],
        );
        cluster.begin();
        cluster
    }

    /// What the server has logged.
    pub fn log(&self) -> PathBuf {
        self.folder.path().join("log")
    }

    /// The server's process; those that serve connections are its children.
    pub fn process(&self) -> u32 {
        let said = std::fs::read_to_string(self.data().join("postmaster.pid")).unwrap();
        said.lines().next().unwrap().parse().unwrap()
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    fn run(&self, program: &str, before: &[&str], after: &[&str]) {
        let mut command = if self.root {
            let mut command = Command::new("runuser");
            command.args(["-u", "postgres", "--"]).arg(self.programs.join(program));
            command
        } else {
            Command::new(self.programs.join(program))
        };
        command.args(before).arg(self.data()).args(after).current_dir(self.folder.path());
        let status =
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status();
        assert!(status.unwrap().success(), "{program}");
    }

    pub fn begin(&self) {
        let socket = self.folder.path().display().to_string();
        let options = format!("-c listen_addresses='' -c unix_socket_directories='{socket}'");
        let log = self.log().display().to_string();
        self.run("pg_ctl", &["-D"], &["-w", "-l", &log, "-o", &options, "start"]);
    }

    /// As if its power was cut.
    pub fn cut(&self) {
        self.run("pg_ctl", &["-D"], &["-m", "immediate", "stop"]);
    }

    pub fn address(&self) -> String {
        format!("host={} user=relay dbname=postgres", self.folder.path().display())
    }

    /// Everything in the database, as text.
    pub fn dump(&self) -> Vec<u8> {
        let mut command = Command::new(self.programs.join("pg_dump"));
        command.arg("-h").arg(self.folder.path()).args(["-U", "relay", "postgres"]);
        let dumped = command.output().unwrap();
        assert!(dumped.status.success(), "{}", String::from_utf8_lossy(&dumped.stderr));
        dumped.stdout
    }

    /// A pooler that hands a connection on after each transaction, where it is installed; its address.
    pub fn pooled(&self) -> String {
        const PROGRAM: &str = "/usr/sbin/pgbouncer";
        if !Path::new(PROGRAM).exists() {
            println!("without a pooler: pgbouncer is not installed");
            return self.address();
        }
        let folder = self.folder.path().display();
        let config = self.folder.path().join("pooler.ini");
        let text = format!(
            "[databases]\npostgres = host={folder} user=relay\n[pgbouncer]\n\
             listen_addr =\nlisten_port = 6432\nunix_socket_dir = {folder}\nauth_type = any\n\
             pool_mode = transaction\ndefault_pool_size = 3\nmax_client_conn = 200\n\
             logfile = {folder}/pooler.log\npidfile = {folder}/pooler.pid\n"
        );
        std::fs::write(&config, text).unwrap();
        let mut command = if self.root {
            let mut command = Command::new("runuser");
            command.args(["-u", "postgres", "--", PROGRAM]);
            command
        } else {
            Command::new(PROGRAM)
        };
        let status =
            command.arg("-q").arg("-d").arg(config).current_dir(self.folder.path()).status();
        assert!(status.unwrap().success());
        // No port of the machine, which another test might take before it is listened on.
        format!("host={folder} port=6432 user=relay dbname=postgres")
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        if let Ok(pooler) = std::fs::read_to_string(self.folder.path().join("pooler.pid")) {
            // It goes with its database, mostly.
            let _ = Command::new("kill").arg(pooler.trim()).status();
        }
        self.cut();
    }
}
