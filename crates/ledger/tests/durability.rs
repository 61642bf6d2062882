//! What is acknowledged is kept: a writer and its server are killed while they write, and the disk
//! runs full under them.
//!
//! Run by itself, this program is the parent; as `durability write TARGET ROUND` it is the writer,
//! which says the number of each batch on standard output once the ledger has acknowledged it.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

#[path = "support/cluster.rs"]
mod cluster;

use std::collections::HashSet;
use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use cluster::Cluster;
use jiff::Timestamp;
use ledger::{Ledger, Target};
use program::{Entry, EntryId, Fact, PersonId, SiteId, UnitId};
use tempfile::TempDir;
use tokio::runtime::Runtime;

/// Kills on each database in a run of all tests; `scripts/durability` asks for 500.
const KILLS: u32 = 25;

/// Rounds on one ledger before the next is begun, so that each is read whole after each kill.
const ROUNDS: u32 = 25;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["write", target, round] => write(&target.parse().unwrap(), round.parse().unwrap()),
        ["--kills", kills] => run(kills.parse().unwrap()),
        _ => run(KILLS),
    }
}

fn run(kills: u32) {
    kill_on_sqlite(kills);
    kill_on_postgres(kills);
    fill_the_disk_of_sqlite();
    fill_the_disk_of_postgres();
}

// The writer.

/// Batches of one to twelve entries.
fn batch_size(round: u32, batch: u32) -> u32 {
    1 + (batch * 7 + round) % 12
}

fn id(round: u32, batch: u32, n: u32) -> String {
    format!("{round}-{batch}-{n}")
}

fn batch(round: u32, batch: u32) -> Vec<Entry> {
    let minute = Timestamp::from_microsecond(1_760_000_000_000_000).unwrap();
    let entry = |n| Entry {
        id: EntryId::new(id(round, batch, n)),
        site: SiteId::new("north"),
        happened: minute,
        entered: minute,
        by: PersonId::new("p-1"),
        device: "bench".to_owned(),
        corrects: None,
        fact: Fact::Held { unit: UnitId::new("HM-001"), why: "strap torn".repeat(20) },
    };
    (0..batch_size(round, batch)).map(entry).collect()
}

/// Writes until it is killed or refused; a refusal is the last thing it says.
fn write(target: &Target, round: u32) {
    let outcome: Result<(), String> = Runtime::new().unwrap().block_on(async {
        let ledger = Ledger::open(target).await.map_err(|error| error.to_string())?;
        for number in 0.. {
            let entries = batch(round, number);
            let appended = ledger.append(&SiteId::new("north"), &entries).await;
            appended.map_err(|error| error.to_string())?;
            println!("{number}");
        }
        Ok(())
    });
    println!("refused {}", outcome.unwrap_err().replace('\n', " "));
}

// The parent.

/// A writer and what it says.
struct Writer {
    child: Child,
    said: Receiver<String>,
}

impl Writer {
    fn new(target: &Target, round: u32, most_bytes: Option<u32>) -> Self {
        let url = match target {
            Target::File(path) => path.display().to_string(),
            Target::Server(url) => url.clone(),
        };
        let program = std::env::current_exe().unwrap();
        let mut command = match most_bytes {
            None => Command::new(program),
            Some(bytes) => {
                // The signal for a file that may not grow is ignored, so that the write fails as on
                // a full disk.
                let mut command = Command::new("sh");
                command.args(["-c", "trap '' XFSZ; exec prlimit --fsize=\"$0\" \"$@\""]);
                command.arg(bytes.to_string()).arg(program);
                command
            }
        };
        let mut child = command
            .args(["write", &url, &round.to_string()])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let (say, said) = channel();
        std::thread::spawn(move || {
            let mut line = String::new();
            // A line without its end was cut by the kill and says nothing.
            while out.read_line(&mut line).unwrap_or(0) > 0 && line.ends_with('\n') {
                say.send(line.trim().to_owned()).ok();
                line.clear();
            }
        });
        Self { child, said }
    }

    /// Kills it, and returns how many batches it said were acknowledged.
    fn kill(mut self) -> u32 {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        self.said.iter().filter_map(|line| line.parse::<u32>().ok()).count() as u32
    }
}

/// A fixed sequence of chances (a linear congruential generator, D. Knuth's MMIX constants).
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

/// What the rounds so far came to.
#[derive(Default)]
struct Tally {
    rounds: u32,
    acknowledged: u32,
    /// Batches that were kept though the kill came before their acknowledgement.
    kept_unsaid: u32,
}

/// Opens the ledger again and holds it against what was acknowledged in `round`.
fn check(target: &Target, round: u32, acknowledged: u32, tally: &mut Tally) {
    let (kept, found) = Runtime::new().unwrap().block_on(async {
        let ledger = Ledger::open(target).await.unwrap();
        let mut kept = HashSet::new();
        let mut after = 0;
        loop {
            let page = ledger.read(None, after).await.unwrap();
            let Some(last) = page.last() else { break };
            after = last.position;
            kept.extend(page.into_iter().map(|stored| stored.entry.id.as_str().to_owned()));
        }
        let found = ledger.verify().await.unwrap();
        ledger.close().await;
        (kept, found)
    });
    assert!(found.stands(), "round {round}: {found:?}");
    let of_batch = |batch: u32| {
        let ids = (0..batch_size(round, batch)).filter(|n| kept.contains(&id(round, batch, *n)));
        (ids.count() as u32, batch_size(round, batch))
    };
    for batch in 0..acknowledged {
        let (found, written) = of_batch(batch);
        assert_eq!(found, written, "round {round}: acknowledged batch {batch} of {acknowledged}");
    }
    // The one after may be whole, where the kill came between keeping and saying; never half.
    let (found, written) = of_batch(acknowledged);
    assert!(found == 0 || found == written, "round {round}: {found} of {written} are kept");
    assert_eq!(of_batch(acknowledged + 1).0, 0, "round {round}");
    tally.rounds += 1;
    tally.acknowledged += (0..acknowledged).map(|batch| batch_size(round, batch)).sum::<u32>();
    tally.kept_unsaid += u32::from(found > 0);
}

/// Lets the writer work until a moment of chance: in one round of three counted from its start, so
/// that opening and migrating are cut as well, else from its first acknowledgement.
fn wait(writer: &Writer, round: u32, chance: &mut Chance) -> Option<String> {
    let first = match round % 3 {
        0 => None,
        _ => writer.said.recv_timeout(Duration::from_secs(60)).ok(),
    };
    std::thread::sleep(Duration::from_micros(chance.below(60_000)));
    first
}

fn kill_on_sqlite(kills: u32) {
    let started = Instant::now();
    let (mut chance, mut tally) = (Chance(1), Tally::default());
    let mut folder = tempfile::tempdir().unwrap();
    for round in 0..kills {
        if round % ROUNDS == 0 {
            folder = tempfile::tempdir().unwrap();
        }
        let target = Target::File(folder.path().join("plant.db"));
        let writer = Writer::new(&target, round, None);
        let first = wait(&writer, round, &mut chance);
        let acknowledged = writer.kill() + u32::from(first.is_some());
        check(&target, round, acknowledged, &mut tally);
    }
    report("SQLite: the writer killed", &tally, started);
}

fn kill_on_postgres(kills: u32) {
    let started = Instant::now();
    let (mut chance, mut tally) = (Chance(2), Tally::default());
    let cluster = Cluster::new();
    let mut url = String::new();
    for round in 0..kills {
        if round % ROUNDS == 0 {
            url = cluster.database();
        }
        let target = Target::Server(url.clone());
        let writer = Writer::new(&target, round, None);
        let first = wait(&writer, round, &mut chance);
        // In one round of four the server is killed with all its processes, the writer after it.
        let server = round % 4 == 3;
        if server {
            cluster.kill();
        }
        let acknowledged = writer.kill() + u32::from(first.is_some());
        if server {
            cluster.start();
        }
        check(&target, round, acknowledged, &mut tally);
    }
    report("PostgreSQL: the writer killed, every fourth time the server", &tally, started);
}

fn report(what: &str, tally: &Tally, started: Instant) {
    println!(
        "{what}: {} kills, {} entries acknowledged and kept, {} batches kept before they were \
         acknowledged, none half-written, every chain verifies ({} s)",
        tally.rounds,
        tally.acknowledged,
        tally.kept_unsaid,
        started.elapsed().as_secs()
    );
    assert!(tally.acknowledged > tally.rounds, "too little was written for a kill to cut");
}

// The full disk.

/// A folder on a disk that soon is full: a small memory disk where we may make one, and nothing
/// elsewhere, where the size of a file is limited instead.
struct SmallDisk {
    folder: TempDir,
    mounted: bool,
}

impl SmallDisk {
    fn new(size: &str) -> Self {
        let folder = tempfile::Builder::new().prefix("bw-small-").tempdir().unwrap();
        let options = format!("size={size},mode=0700");
        let mounted = Self::mount(&["-t", "tmpfs", "-o", &options, "tmpfs"], folder.path());
        Self { folder, mounted }
    }

    fn mount(arguments: &[&str], at: &Path) -> bool {
        let mut command = Command::new("mount");
        command.args(arguments).arg(at).stderr(Stdio::null());
        command.status().is_ok_and(|status| status.success())
    }

    /// Fills it up to a rest of this many bytes, so that it is soon full.
    fn leave(&self, bytes: u64) {
        if self.mounted {
            let mut filler = File::create(self.folder.path().join("filler")).unwrap();
            let mut length = 0;
            while filler.write_all(&[1; 65_536]).is_ok() {
                length += 65_536_u64;
            }
            filler.set_len(length - bytes).unwrap();
        }
    }

    fn make_room(&self) {
        if self.mounted {
            assert!(Self::mount(&["-o", "remount,size=512m"], self.folder.path()));
        }
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        if self.mounted {
            Command::new("umount").arg(self.folder.path()).status().unwrap();
        }
    }
}

/// Writes until the disk refuses, makes room, and finds everything that was acknowledged.
fn fill(what: &str, target: &Target, most_bytes: Option<u32>, disk: &SmallDisk) {
    let mut writer = Writer::new(target, 0, most_bytes);
    writer.child.wait().unwrap();
    let said: Vec<String> = writer.said.iter().collect();
    let (refusal, acknowledged) = said.split_last().unwrap();
    if disk.mounted {
        assert!(refusal.contains("the disk of the ledger is full"), "{refusal}");
        assert!(refusal.contains("make room and send it again"), "{refusal}");
    } else {
        assert!(refusal.starts_with("refused the"), "{refusal}");
    }
    let mut tally = Tally::default();
    let acknowledged = acknowledged.len() as u32;
    assert!(acknowledged > 1, "{refusal}");
    disk.make_room();
    check(target, 0, acknowledged, &mut tally);
    assert_eq!(tally.kept_unsaid, 0, "a batch that was refused is not kept");
    let again = Runtime::new().unwrap().block_on(async {
        let ledger = Ledger::open(target).await.unwrap();
        ledger.append(&SiteId::new("north"), &batch(0, acknowledged)).await.unwrap().added
    });
    assert_eq!(again, u64::from(batch_size(0, acknowledged)));
    println!("{what}: full after {} entries, all kept; {refusal}", tally.acknowledged);
}

fn fill_the_disk_of_sqlite() {
    let disk = SmallDisk::new("2m");
    let target = Target::File(disk.folder.path().join("plant.db"));
    fill("SQLite on a full disk", &target, (!disk.mounted).then_some(500_000), &disk);
}

fn fill_the_disk_of_postgres() {
    let disk = SmallDisk::new("80m");
    // The log of the server stands elsewhere: without room for it the server ends itself, which is
    // the same as the kill above.
    let log = TempDir::new().unwrap();
    std::fs::set_permissions(log.path(), PermissionsExt::from_mode(0o777)).unwrap();
    let initdb = format!("--wal-segsize=1 -X {}", log.path().join("wal").display());
    let mut more = vec![("MORE_INITDB", initdb.as_str())];
    if !disk.mounted {
        more.push(("MOST_BLOCKS", "6000"));
    }
    let cluster = Cluster::within(disk.folder.path(), &more);
    let target = Target::Server(cluster.database());
    // The ledger is made while there is room.
    Runtime::new().unwrap().block_on(async { Ledger::open(&target).await.unwrap().close().await });
    disk.leave(1_000_000);
    fill("PostgreSQL on a full disk", &target, None, &disk);
}
