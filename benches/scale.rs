//! A ledger of a size that no state of every entry could hold: how fast it is filled and derived,
//! and how long and with how much memory it answers.
//!
//! `BREATHWORTHY_UNITS` is the number of respirators, ten entries each (2,000 where it is not set;
//! 1,000,000 for the numbers in the documents), `BREATHWORTHY_DATABASES` which of `sqlite` and
//! `postgres` are measured, `BREATHWORTHY_FOLDER` where the ledgers are made. Each part runs in a
//! process of its own, so that its greatest resident memory can be told.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

#[path = "../crates/ledger/tests/support/cluster.rs"]
#[allow(dead_code, reason = "the tests use all of it")]
mod cluster;
#[path = "scale/plant.rs"]
mod plant;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use ledger::{DueQuestion, Ledger, Target};
use program::due::{DAYS_AHEAD, DueKind};

use plant::{Plant, now};

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let setting = |name: &str| std::env::var(format!("BREATHWORTHY_{name}")).ok();
    let units: u64 = setting("UNITS").map_or(2000, |text| text.parse().unwrap());
    let plant = Plant { units };
    if let [_, part, target] = arguments.as_slice()
        && ["fill", "derive", "rebuild", "ask"].contains(&part.as_str())
    {
        let target = match target.strip_prefix("file:") {
            Some(path) => Target::File(path.into()),
            None => Target::Server(target.clone()),
        };
        return run(part, &target, plant);
    }
    let databases = setting("DATABASES").unwrap_or_else(|| "sqlite,postgres".to_owned());
    let folder = setting("FOLDER").map_or_else(std::env::temp_dir, PathBuf::from);
    let folder = tempfile::Builder::new().prefix("bw-scale-").tempdir_in(folder).unwrap();
    println!("{units} respirators");
    for database in databases.split(',') {
        println!("\n{database}");
        measure(database, folder.path());
    }
}

fn measure(database: &str, folder: &Path) {
    let own = folder.join(database);
    std::fs::create_dir(&own).unwrap();
    let server = (database == "postgres").then(|| cluster::Cluster::within(&own, &[]));
    let target = match &server {
        Some(server) => server.database(),
        None => format!("file:{}", own.join("scale.db").display()),
    };
    for part in ["fill", "derive", "ask", "rebuild", "ask"] {
        let program = std::env::current_exe().unwrap();
        assert!(Command::new(program).args([part, &target]).status().unwrap().success());
    }
}

fn run(part: &str, target: &Target, plant: Plant) {
    let mut runtime = tokio::runtime::Builder::new_multi_thread();
    runtime.enable_all().build().unwrap().block_on(async {
        let ledger = Ledger::open(target).await.unwrap();
        match part {
            "fill" => fill(&ledger, plant).await,
            "derive" | "rebuild" => derive(&ledger, part, plant).await,
            _ => ask(&ledger, plant).await,
        }
        ledger.close().await;
    });
    println!("  {part}: at most {} MB resident", memory_mb());
}

async fn fill(ledger: &Ledger, plant: Plant) {
    let start = Instant::now();
    let mut entries = 0;
    for batch in plant.batches() {
        entries += ledger.append(&batch[0].site, &batch).await.unwrap().added;
    }
    rate("fill", entries, start.elapsed());
}

async fn derive(ledger: &Ledger, part: &str, plant: Plant) {
    let start = Instant::now();
    if part == "rebuild" {
        ledger.rebuild().await.unwrap();
    } else {
        ledger.catch_up().await.unwrap();
    }
    let time = start.elapsed();
    rate(part, plant.entries(), time);
}

fn rate(part: &str, entries: u64, time: Duration) {
    let seconds = time.as_secs_f64();
    println!("  {part}: {entries} entries in {seconds:.1} s, {:.0}/s", entries as f64 / seconds);
}

async fn ask(ledger: &Ledger, plant: Plant) {
    let all = DueQuestion {
        site: None,
        kind: None,
        days: DAYS_AHEAD,
        skip: 0,
        limit: 50,
        of_each_kind: false,
    };
    let one_site = DueQuestion { site: Some(plant.site(0)), ..all.clone() };
    let one_kind = DueQuestion { kind: Some(DueKind::Training), ..all.clone() };
    for (name, question) in [("all", &all), ("one site", &one_site), ("one kind", &one_kind)] {
        let mut times = Vec::new();
        let mut duties = 0;
        for _ in 0..30 {
            let start = Instant::now();
            let answer = ledger.due(question, now()).await.unwrap();
            times.push(start.elapsed());
            duties = answer.counts.iter().map(|count| count.duties).sum();
        }
        say(&format!("due, {name} ({duties} duties, first 50)"), times);
    }
    let (mut read, mut judged, mut whole) = (Vec::new(), Vec::new(), Vec::new());
    for ask in plant.asks(500) {
        let start = Instant::now();
        let verdict = ledger.may_wear(&ask, now()).await.unwrap();
        whole.push(start.elapsed());
        assert!(verdict.checked.len() > 20);
        // Its parts, asked again.
        let start = Instant::now();
        let state = ledger.state_for(&ask, now()).await.unwrap();
        read.push(start.elapsed());
        let start = Instant::now();
        std::hint::black_box(program::may_wear(&state, &ask, now()));
        judged.push(start.elapsed());
    }
    say("verdict", whole);
    say("  reading its entries", read);
    say("  asking the rules", judged);
}

fn say(what: &str, mut times: Vec<Duration>) {
    let first = times[0];
    times.sort();
    let at = |part: f64| times[((times.len() - 1) as f64 * part) as usize];
    println!(
        "  {what}: first {first:.2?}, median {:.2?}, 99 of 100 within {:.2?}, longest {:.2?}",
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

/// The most memory that this process ever had resident.
fn memory_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() / 1024
}
