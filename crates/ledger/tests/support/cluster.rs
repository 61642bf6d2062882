//! A real PostgreSQL server of the test's own, in a folder that is gone afterwards.

use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Mutex, OnceLock};

use tempfile::TempDir;

/// What to do where the server is not installed. A test never goes on without it: one side would
/// silently not be tested.
const MISSING: &str = "PostgreSQL 15 is missing: initdb was found neither in \
/usr/lib/postgresql/*/bin nor on the PATH\n  run: apt-get install postgresql-15";

pub struct Cluster {
    /// Where the socket and the data are.
    pub folder: PathBuf,
    programs: PathBuf,
    orders: Mutex<Option<(ChildStdin, BufReader<ChildStdout>)>>,
    guard: Child,
    databases: AtomicU32,
    // Held for its drop; a folder given from outside is left to its owner.
    _folder: Option<TempDir>,
}

impl Cluster {
    /// The server shared by the tests of this process. It ends with the process.
    #[allow(dead_code, reason = "not every test that uses this file shares the server")]
    pub fn shared() -> &'static Self {
        static SHARED: OnceLock<Cluster> = OnceLock::new();
        SHARED.get_or_init(Self::new)
    }

    pub fn new() -> Self {
        let folder = tempfile::Builder::new().prefix("bw-pg-").tempdir().unwrap();
        let mut cluster = Self::within(folder.path(), &[]);
        cluster._folder = Some(folder);
        cluster
    }

    /// A server in this folder; `more` are settings of `cluster.sh` by name.
    pub fn within(folder: &Path, more: &[(&str, &str)]) -> Self {
        let programs = programs();
        // As root the server refuses to run: it gets a user and a folder of its own.
        let mut command = if root() {
            let user = ["postgres", "nobody"].into_iter().find(|name| id(&["-u", name]).is_some());
            let user = user.unwrap_or("nobody");
            let group = id(&["-g", user]).unwrap();
            let owner = format!("{user}:{group}");
            assert!(Command::new("chown").arg(owner).arg(folder).status().unwrap().success());
            let mut command = Command::new("setpriv");
            command.args(["--reuid", user, "--regid", &group, "--clear-groups", "sh"]);
            command
        } else {
            Command::new("sh")
        };
        std::fs::set_permissions(folder, PermissionsExt::from_mode(0o700)).unwrap();
        let mut guard = command
            .args(["-c", include_str!("cluster.sh"), "cluster"])
            .args([folder, &programs])
            .envs(more.iter().copied())
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut answers = BufReader::new(guard.stdout.take().unwrap());
        let orders = guard.stdin.take().unwrap();
        let mut line = String::new();
        answers.read_line(&mut line).unwrap();
        assert_eq!(line, "ready\n", "the server did not start; see above");
        Self {
            folder: folder.to_owned(),
            programs,
            orders: Mutex::new(Some((orders, answers))),
            guard,
            databases: AtomicU32::new(0),
            _folder: None,
        }
    }

    /// The URL of a new empty database.
    pub fn database(&self) -> String {
        let name = format!("t{}", self.databases.fetch_add(1, Ordering::Relaxed));
        self.psql("postgres", &format!("CREATE DATABASE {name}"));
        self.url(&name)
    }

    pub fn url(&self, name: &str) -> String {
        format!("postgres://keeper@localhost/{name}?host={}", self.folder.display())
    }

    /// Says `sql` to the server as its owner.
    pub fn psql(&self, database: &str, sql: &str) {
        let status = Command::new(self.programs.join("psql"))
            .args(["-q", "-v", "ON_ERROR_STOP=1", "-U", "keeper", "-d", database, "-c", sql, "-h"])
            .arg(&self.folder)
            .status();
        assert!(status.unwrap().success(), "{sql}");
    }

    /// Kills the server and all its processes with signal 9, as a power cut would end them.
    #[allow(dead_code, reason = "not every test that uses this file kills the server")]
    pub fn kill(&self) {
        self.order("kill");
    }

    #[allow(dead_code, reason = "not every test that uses this file kills the server")]
    pub fn start(&self) {
        self.order("start");
    }

    fn order(&self, order: &str) {
        let mut orders = self.orders.lock().unwrap();
        let (said, heard) = orders.as_mut().unwrap();
        writeln!(said, "{order}").unwrap();
        let mut line = String::new();
        heard.read_line(&mut line).unwrap();
        assert_eq!(line, "done\n", "the server did not obey `{order}`");
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        // The end of its input ends the guard, and the guard ends the server.
        self.orders.lock().unwrap().take();
        self.guard.wait().unwrap();
    }
}

/// The folder of the newest server that is installed.
fn programs() -> PathBuf {
    let installed = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten();
    let mut installed: Vec<PathBuf> =
        installed.map(|version| version.unwrap().path().join("bin")).collect();
    installed.sort();
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = installed.into_iter().rev().chain(std::env::split_paths(&path));
    let folder = found.into_iter().find(|folder| folder.join("initdb").is_file());
    folder.unwrap_or_else(|| panic!("{MISSING}"))
}

fn root() -> bool {
    id(&["-u"]).unwrap() == "0"
}

fn id(arguments: &[&str]) -> Option<String> {
    let output = Command::new("id").args(arguments).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    output.status.success().then(|| text.trim().to_owned())
}
