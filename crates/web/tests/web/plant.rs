//! A plant of one task, one wearer and two respirators, and a browser to look at it.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode, header};
use jiff::Timestamp;
use ledger::Ledger;
use program::{
    Clearance, ElementTypeId, Entry, EntryId, Fact, FitMethod, InspectionOccasion, ModelId,
    PersonId, SiteId, TaskId, TaskSpec, TrainingTopic, UnitId, WorkRate,
};
use rulebook::{
    AirSource, AirborneForm, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel,
    FilterSeries, Mounting,
};
use tempfile::TempDir;
use tower::ServiceExt;
use web::{AppState, Setup};

/// What stands between the parts of a form with files.
pub const BOUND: &str = "invented-boundary";

pub const TOKEN: &str = "the-right-token";

/// The instant at which every page is looked at: a Wednesday afternoon.
pub fn now() -> Timestamp {
    "2026-11-25T15:00:00Z".parse().unwrap()
}

pub struct Browser {
    pub app: Router,
    pub ledger: Ledger,
    cookie: Option<String>,
    _folder: TempDir,
}

pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub bytes: Vec<u8>,
    /// The same where it is text.
    pub text: String,
}

impl Browser {
    /// A browser before the plant that has not signed in.
    pub async fn outside() -> Self {
        Self::before(&entries()).await
    }

    /// A browser that has not signed in, before a ledger of these entries.
    async fn before(entries: &[Entry]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let ledger = Ledger::open(folder.path().join("plant.db")).await.unwrap();
        ledger.append(&site(), entries).await.unwrap();
        let counter = AtomicU64::new(0);
        let setup = Setup {
            ledger: ledger.clone(),
            clock: Arc::new(now),
            entry_ids: Arc::new(move || format!("id-{}", counter.fetch_add(1, Ordering::SeqCst))),
            one_time_token: TOKEN.to_owned(),
            invented: true,
        };
        let app = web::router(AppState::new(setup).await.unwrap());
        Self { app, ledger, cookie: None, _folder: folder }
    }

    /// A browser that came in by the one-time link.
    pub async fn inside() -> Self {
        Self::outside().await.signed_in().await
    }

    /// A browser that came in, before an empty ledger.
    pub async fn at_the_start() -> Self {
        Self::before(&[]).await.signed_in().await
    }

    async fn signed_in(self) -> Self {
        let mut browser = self;
        let answer = browser.get(&format!("/enter/{TOKEN}")).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
        let cookie = answer.headers.get(header::SET_COOKIE).unwrap().to_str().unwrap();
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"), "{cookie}");
        browser.cookie = cookie.split(';').next().map(str::to_owned);
        browser
    }

    pub async fn get(&self, address: &str) -> Answer {
        self.send(Request::get(address)).await
    }

    pub async fn send(&self, request: axum::http::request::Builder) -> Answer {
        let request = request.header(header::HOST, "127.0.0.1:8600");
        self.send_as_it_is(self.signed(request).body(Body::empty()).unwrap()).await
    }

    /// Sends a form as a browser does from a page of the same site.
    pub async fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let request = Request::post(address)
            .header(header::HOST, "127.0.0.1:8600")
            .header(header::ORIGIN, "http://127.0.0.1:8600")
            .header("sec-fetch-site", "same-origin");
        self.send_as_it_is(self.signed(form(request)).body(body(fields)).unwrap()).await
    }

    pub fn signed(&self, request: axum::http::request::Builder) -> axum::http::request::Builder {
        match &self.cookie {
            Some(cookie) => request.header(header::COOKIE, cookie),
            None => request,
        }
    }

    pub async fn send_as_it_is(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, usize::MAX).await.unwrap().to_vec();
        let kind = parts.headers.get(header::CONTENT_TYPE).map_or(b"".as_slice(), |k| k.as_bytes());
        let is_picture = kind.starts_with(b"image/") && kind != b"image/svg+xml";
        let text =
            if is_picture { String::new() } else { String::from_utf8(bytes.clone()).unwrap() };
        Answer { status: parts.status, headers: parts.headers, bytes, text }
    }

    /// Sends a form with files as a browser does: the name of each part, that of its file where it
    /// is one, and its bytes.
    pub async fn post_parts(&self, address: &str, parts: &[(&str, Option<&str>, &[u8])]) -> Answer {
        let mut body = Vec::new();
        for (name, file, bytes) in parts {
            let file = file.map_or_else(String::new, |file| format!("; filename=\"{file}\""));
            let head = format!("Content-Disposition: form-data; name=\"{name}\"{file}");
            body.extend_from_slice(format!("--{BOUND}\r\n{head}\r\n\r\n").as_bytes());
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(format!("--{BOUND}--\r\n").as_bytes());
        let request = Request::post(address)
            .header(header::HOST, "127.0.0.1:8600")
            .header(header::ORIGIN, "http://127.0.0.1:8600")
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={BOUND}"));
        self.send_as_it_is(self.signed(request).body(Body::from(body)).unwrap()).await
    }

    pub async fn count(&self) -> usize {
        self.ledger.read(None, 0).await.unwrap().len()
    }
}

pub fn form(request: axum::http::request::Builder) -> axum::http::request::Builder {
    request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

pub fn body(fields: &[(&str, &str)]) -> Body {
    let coded = |text: &str| {
        text.bytes().fold(String::new(), |mut out, byte| {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' => out.push(char::from(byte)),
                other => out.push_str(&format!("%{other:02X}")),
            }
            out
        })
    };
    let pairs: Vec<String> =
        fields.iter().map(|(name, value)| format!("{}={}", coded(name), coded(value))).collect();
    Body::from(pairs.join("&"))
}

pub fn site() -> SiteId {
    SiteId::new("north")
}

pub fn at(written: &str, id: &str, fact: Fact) -> Entry {
    let when: Timestamp = written.parse().unwrap();
    Entry {
        id: EntryId::new(id),
        site: site(),
        happened: when,
        entered: when,
        by: PersonId::new("w-2"),
        device: "bench".to_owned(),
        corrects: None,
        fact,
    }
}

fn task() -> TaskSpec {
    TaskSpec {
        name: "Drum filling".to_owned(),
        wear_per_shift: "2 h".parse().unwrap(),
        work_rate: WorkRate::Moderate,
        temperature: "22 degC".parse().unwrap(),
        relative_humidity: "45 %".parse().unwrap(),
        pressure: "101.325 kPa".parse().unwrap(),
        oxygen: Some("20.9 %".parse().unwrap()),
        oil_aerosol: Some(false),
        irritates_eyes: Some(false),
        immediately_dangerous: false,
        atmosphere_unknown: false,
        interior_fire: false,
        standby_outside: None,
        voluntary: false,
    }
}

pub fn half_mask() -> Fact {
    let device = Device {
        air_source: AirSource::AirPurifying,
        facepiece: Facepiece::HalfMask,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: None,
    };
    Fact::ModelListed {
        model: ModelId::new("half"),
        name: "Half mask".to_owned(),
        device,
        sizes: vec!["M".to_owned()],
        approval: "invented 1".to_owned(),
        approved_elements: Vec::new(),
        approved_cylinders: Vec::new(),
    }
}

fn cartridge() -> Fact {
    Fact::ElementTypeListed {
        element_type: ElementTypeId::new("ov"),
        name: "Organic vapour cartridge".to_owned(),
        elements: Elements {
            against: vec![ElementKind::OrganicVapour],
            filter: Some(FilterClass { series: FilterSeries::P, level: FilterLevel::L100 }),
            mounting: Mounting::Cartridge,
            end_of_service_indicator: false,
        },
        count: 2,
        bed: Some(program::BedSpec {
            sorbent_mass: "40 g".parse().unwrap(),
            bed_area: "38.5 cm2".parse().unwrap(),
            bulk_density: "0.44 g/cm3".parse().unwrap(),
            granule: "0.11 cm".parse().unwrap(),
            micropore_volume: "0.454 cm3/g".parse().unwrap(),
            reference_energy: None,
            calibrated: None,
        }),
        reactions: program::CalibratedReactions::default(),
    }
}

pub fn received(tag: &str) -> Fact {
    Fact::UnitReceived {
        unit: UnitId::new(tag),
        model: ModelId::new("half"),
        size: "M".to_owned(),
        serial: "s-1".to_owned(),
        shared: false,
        emergency: false,
    }
}

fn unit() -> UnitId {
    UnitId::new("HM-001")
}

fn wearer() -> PersonId {
    PersonId::new("w-1")
}

/// `w-1` is ready to wear `HM-001`; `HM-002` is held; the name of `w-2` is a trap.
fn entries() -> Vec<Entry> {
    let number = |(n, (when, fact)): (usize, (&str, Fact))| at(when, &format!("seed-{n}"), fact);
    listed().into_iter().chain(happened()).enumerate().map(number).collect()
}

/// What stands still.
fn listed() -> Vec<(&'static str, Fact)> {
    let enrolled = |wearer, name: &str| Fact::WearerEnrolled { wearer, name: name.to_owned() };
    let opened =
        Fact::SiteOpened { name: "North yard".to_owned(), time_zone: "Europe/Madrid".to_owned() };
    let described = Fact::TaskDescribed { task: TaskId::new("drums"), spec: task() };
    vec![
        ("2026-01-01T08:00:00Z", opened),
        ("2026-01-02T08:00:00Z", half_mask()),
        ("2026-01-02T08:01:00Z", cartridge()),
        ("2026-01-03T08:00:00Z", received("HM-001")),
        ("2026-01-03T08:01:00Z", received("HM-002")),
        ("2026-01-04T08:00:00Z", enrolled(wearer(), "Birch Wren")),
        ("2026-01-04T08:01:00Z", enrolled(PersonId::new("w-2"), "<script>alert(1)</script>")),
        ("2026-01-05T08:00:00Z", described),
    ]
}

/// What happened since.
fn happened() -> Vec<(&'static str, Fact)> {
    let reading = Fact::ReadingTaken {
        task: TaskId::new("drums"),
        cas: "108-88-3".parse().unwrap(),
        concentration: Some("60 ppm".parse().unwrap()),
        form: AirborneForm::Vapour,
        sampled: Some("8 h".parse().unwrap()),
        method: "charcoal tube".to_owned(),
    };
    let cleared =
        Fact::ClearanceGiven { wearer: wearer(), clearance: Clearance::Cleared, until: None };
    let fit = Fact::FitTested {
        wearer: wearer(),
        model: ModelId::new("half"),
        size: "M".to_owned(),
        method: FitMethod::Quantitative { fit_factor: 250.0 },
        passed: true,
        hair_in_seal: false,
        seal_note: String::new(),
    };
    let trained = Fact::Trained { wearer: wearer(), topic: TrainingTopic::Wear, understood: true };
    let fitted = Fact::ElementsFitted {
        unit: unit(),
        element_type: ElementTypeId::new("ov"),
        lot: "lot-1".to_owned(),
        shelf_life_until: "2028-01-01".parse().unwrap(),
        opened: "2026-11-25T07:00:00Z".parse().unwrap(),
    };
    let (occasion, passed, found) = (InspectionOccasion::BeforeUse, true, String::new());
    let inspected = Fact::Inspected { unit: unit(), occasion, passed, found };
    let why = "strap torn <b>here</b>".to_owned();
    vec![
        ("2026-11-01T08:00:00Z", reading),
        ("2026-06-01T08:00:00Z", cleared),
        ("2026-06-02T08:00:00Z", fit),
        ("2026-06-03T08:00:00Z", trained),
        ("2026-11-25T07:30:00Z", fitted),
        ("2026-11-25T07:40:00Z", inspected),
        ("2026-11-24T08:00:00Z", Fact::Held { unit: UnitId::new("HM-002"), why }),
        ("2026-11-25T07:50:00Z", Fact::Issued { unit: unit(), wearer: wearer() }),
    ]
}
