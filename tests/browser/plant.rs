//! The server with an empty ledger and a clock that the test moves, and a browser that is signed in.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use jiff::Timestamp;
use ledger::Ledger;
use program::SiteId;
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use web::{AppState, Setup};

use crate::driver::Browser;

pub struct Plant {
    pub browser: Browser,
    clock: Arc<AtomicI64>,
    ledger: Ledger,
    runtime: Runtime,
    _folder: TempDir,
}

impl Plant {
    /// An empty ledger, served; the browser has opened the one-time link.
    pub fn empty(now: &str) -> Self {
        let runtime = Runtime::new().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let clock = Arc::new(AtomicI64::new(now.parse::<Timestamp>().unwrap().as_second()));
        let (ledger, address) = runtime.block_on(async {
            let ledger = Ledger::open(folder.path().join("plant.db")).await.unwrap();
            let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
            let address = listener.local_addr().unwrap();
            let app = AppState::new(setup(&ledger, &clock)).await.unwrap();
            tokio::spawn(web::serve(listener, app));
            (ledger, address)
        });
        let browser = Browser::open(&format!("http://{address}"));
        browser.go("/enter/open-sesame");
        Self { browser, clock, ledger, runtime, _folder: folder }
    }

    /// Days go by.
    pub fn later(&self, days: i64) {
        self.clock.fetch_add(days * 86_400, Ordering::SeqCst);
    }

    pub fn later_minutes(&self, minutes: i64) {
        self.clock.fetch_add(minutes * 60, Ordering::SeqCst);
    }

    /// Opens the form of a kind, fills it in and sends it; it must be recorded.
    pub fn records(&self, form: &str, fields: &[(&str, &str)]) {
        self.browser.go(&format!("/record/{form}"));
        self.sends(fields);
    }

    /// Fills in the form that is open and sends it; it must be recorded.
    pub fn sends(&self, fields: &[(&str, &str)]) {
        self.send(fields);
        self.browser.sees("Recorded.");
    }

    /// Fills in the form that is open and sends it.
    pub fn send(&self, fields: &[(&str, &str)]) {
        for (name, value) in fields {
            self.browser.fill(name, value);
        }
        self.browser.press("main form[method=post] button:not([formmethod])");
        // Nobody fills in two forms in the same second.
        self.clock.fetch_add(20, Ordering::SeqCst);
    }

    /// An inspection at which every point passes.
    pub fn inspects(&self, tag: &str, occasion: &str) {
        self.browser.go(&format!("/record/inspected?unit={tag}"));
        self.browser.fill("occasion", occasion);
        self.browser.press("main button[formmethod=get]");
        let points = self.browser.names("main select[name^=\"points~\"]");
        assert!(points.len() > 3, "{points:?}");
        for point in points {
            self.browser.fill(&point, "pass");
        }
        self.sends(&[("signed", "Hazel Plover"), ("serial", "s-100")]);
    }

    /// The hash of the last entry of the site.
    pub fn end_of_chain(&self) -> String {
        let site = SiteId::new("harbour-works");
        let head = self.runtime.block_on(self.ledger.head(&site)).unwrap();
        head.unwrap().hash.to_string()
    }
}

fn setup(ledger: &Ledger, clock: &Arc<AtomicI64>) -> Setup {
    let (clock, counter) = (clock.clone(), AtomicU64::new(1));
    Setup {
        ledger: ledger.clone(),
        clock: Arc::new(move || Timestamp::from_second(clock.load(Ordering::SeqCst)).unwrap()),
        entry_ids: Arc::new(move || format!("entry-{}", counter.fetch_add(1, Ordering::SeqCst))),
        one_time_token: "open-sesame".to_owned(),
        invented: false,
    }
}
