//! The server with an empty ledger and a clock that the test moves, and a browser that is signed in.

use std::cell::RefCell;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use jiff::Timestamp;
use ledger::Ledger;
use program::SiteId;
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use tokio::task::JoinHandle;
use web::{AppState, Setup};

use crate::driver::Browser;

/// The one-time link that each start of the server prints.
const LINK: &str = "/enter/open-sesame";

pub struct Plant {
    pub browser: Browser,
    clock: Arc<AtomicI64>,
    ledger: Ledger,
    runtime: Runtime,
    server: RefCell<JoinHandle<std::io::Result<()>>>,
    _folder: TempDir,
}

impl Plant {
    /// An empty ledger, served; the browser has opened the one-time link.
    pub fn empty(now: &str) -> Self {
        let runtime = Runtime::new().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let clock = Arc::new(AtomicI64::new(now.parse::<Timestamp>().unwrap().as_second()));
        let opened = Ledger::open(folder.path().join("plant.db"));
        let ledger = runtime.block_on(opened).unwrap();
        let (site, server) = start(&runtime, &ledger, &clock);
        let browser = Browser::open(&site);
        browser.go(LINK);
        Self { browser, clock, ledger, runtime, server: RefCell::new(server), _folder: folder }
    }

    /// Days go by. A session ends with its shift, so the server is started anew and the new link is
    /// opened.
    pub fn later(&self, days: i64) {
        self.clock.fetch_add(days * 86_400, Ordering::SeqCst);
        let (site, server) = start(&self.runtime, &self.ledger, &self.clock);
        self.server.replace(server).abort();
        self.browser.moved(&site);
        self.browser.go(LINK);
    }

    pub fn later_minutes(&self, minutes: i64) {
        self.clock.fetch_add(minutes * 60, Ordering::SeqCst);
    }

    /// Opens the form of a kind, fills it in and sends it; it must be recorded.
    pub fn records(&self, form: &str, fields: &[(&str, &str)]) {
        self.browser.go(&format!("/record/{form}"));
        self.sends(fields);
    }

    /// What a clock at the site shows so many hours from now.
    pub fn at_the_site_in_hours(&self, hours: i64) -> String {
        let seconds = self.clock.load(Ordering::SeqCst) + hours * 60 * 60;
        let then = Timestamp::from_second(seconds).unwrap().in_tz("Europe/Madrid").unwrap();
        then.strftime("%Y-%m-%dT%H:%M").to_string()
    }

    /// Fills in the form that is open and sends it; it must be recorded.
    pub fn sends(&self, fields: &[(&str, &str)]) {
        self.send(fields);
        self.browser.sees("Recorded.");
    }

    /// Fills in the form that is open and sends it.
    pub fn send(&self, fields: &[(&str, &str)]) {
        self.browser.fill(fields);
        self.browser.press("main form[method=post] button:not([formmethod])");
        // Nobody fills in two forms in the same second.
        self.clock.fetch_add(20, Ordering::SeqCst);
    }

    /// An inspection at which every point passes.
    pub fn inspects(&self, tag: &str, occasion: &str) {
        self.browser.go(&format!("/record/inspected?unit={tag}"));
        self.browser.fill(&[("occasion", occasion)]);
        self.browser.press("main button[formmethod=get]");
        let points = self.browser.set_all("main select[name^=\"points~\"]", "pass");
        assert!(points > 3, "{points} points");
        self.sends(&[("signed", "Hazel Plover"), ("serial", tag)]);
    }

    /// The hash of the last entry of the site.
    pub fn end_of_chain(&self) -> String {
        let site = SiteId::new("harbour-works");
        let head = self.runtime.block_on(self.ledger.head(&site)).unwrap();
        head.unwrap().hash.to_string()
    }
}

/// Serves the ledger at a place of its own.
fn start(
    runtime: &Runtime,
    ledger: &Ledger,
    clock: &Arc<AtomicI64>,
) -> (String, JoinHandle<std::io::Result<()>>) {
    runtime.block_on(async {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let app = AppState::new(setup(ledger, clock)).await.unwrap();
        (format!("http://{address}"), tokio::spawn(web::serve(listener, app)))
    })
}

/// Ids of entries, each used once whatever server gives it.
static COUNTER: AtomicU64 = AtomicU64::new(1);

fn setup(ledger: &Ledger, clock: &Arc<AtomicI64>) -> Setup {
    let clock = clock.clone();
    Setup {
        ledger: ledger.clone(),
        clock: Arc::new(move || Timestamp::from_second(clock.load(Ordering::SeqCst)).unwrap()),
        entry_ids: Arc::new(|| format!("entry-{}", COUNTER.fetch_add(1, Ordering::SeqCst))),
        one_time_token: LINK.trim_start_matches("/enter/").to_owned(),
        invented: false,
    }
}
