use axum::body::Body;
use axum::http::{Request, StatusCode, header};

use crate::plant::{Browser, TOKEN, body, form};

/// Every page that has a fixed address.
const PAGES: [&str; 17] = [
    "/",
    "/wear",
    "/respirators",
    "/respirators/HM-001",
    "/respirators/labels.svg",
    "/wearers",
    "/wearers/w-1",
    "/tasks",
    "/tasks/drums",
    "/substances",
    "/substances/108-88-3",
    "/life",
    "/entries/seed-3",
    "/record/worn",
    "/record/reading-taken",
    "/record/held",
    "/record/breakthrough-sensed",
];

#[tokio::test]
async fn every_page_is_shown_to_one_who_signed_in() {
    let browser = Browser::inside().await;
    for page in PAGES {
        let answer = browser.get(page).await;
        assert_eq!(answer.status, StatusCode::OK, "{page}: {}", answer.text);
        let policy = answer.headers.get(header::CONTENT_SECURITY_POLICY).unwrap().to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'; style-src 'self'"), "{page}: {policy}");
        assert!(policy.contains("frame-ancestors 'none'"), "{page}");
        assert_eq!(answer.headers.get(header::X_CONTENT_TYPE_OPTIONS).unwrap(), "nosniff");
        assert!(answer.headers.contains_key(header::REFERRER_POLICY), "{page}");
        if page.ends_with(".svg") {
            continue;
        }
        for part in ["<main", "lang=\"en\"", "Skip to the content", "industrial hygienist"] {
            assert!(answer.text.contains(part), "{page} lacks {part}");
        }
        assert!(answer.text.contains("Invented plant"), "{page}");
        assert!(!answer.text.contains("<script") && !answer.text.contains(" style="), "{page}");
    }
}

#[tokio::test]
async fn nothing_is_shown_to_one_who_did_not_sign_in() {
    let browser = Browser::outside().await;
    for page in PAGES.into_iter().chain(["/no/such/page"]) {
        let answer = browser.get(page).await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{page}");
        assert!(answer.text.contains("To sign in"), "{page}");
        assert!(!answer.text.contains("HM-001") && !answer.text.contains("Birch"), "{page}");
        assert!(answer.headers.contains_key(header::CONTENT_SECURITY_POLICY), "{page}");
    }
    let answer = browser.post("/record/held", &[("unit", "HM-001"), ("why", "x")]).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    for open in ["/healthz", "/style.css", "/icon.svg"] {
        assert_eq!(browser.get(open).await.status, StatusCode::OK, "{open}");
    }
}

#[tokio::test]
async fn the_link_works_once_and_a_look_at_its_headers_does_not_use_it_up() {
    let browser = Browser::outside().await;
    let link = format!("/enter/{TOKEN}");
    assert_eq!(browser.get("/enter/wrong").await.status, StatusCode::UNAUTHORIZED);
    assert_eq!(browser.send(Request::head(&link)).await.status, StatusCode::UNAUTHORIZED);
    assert_eq!(browser.get(&link).await.status, StatusCode::SEE_OTHER);
    assert_eq!(browser.get(&link).await.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn signing_out_ends_the_session() {
    let browser = Browser::inside().await;
    assert_eq!(browser.post("/leave", &[]).await.status, StatusCode::OK);
    assert_eq!(browser.get("/").await.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_form_from_another_site_is_refused() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    for (origin, fetch) in [
        ("https://evil.example", Some("cross-site")),
        ("http://127.0.0.1:9999", Some("same-site")),
        ("https://evil.example", None),
        ("null", None),
    ] {
        let mut request = Request::post("/record/held")
            .header(header::HOST, "127.0.0.1:8600")
            .header(header::ORIGIN, origin);
        if let Some(fetch) = fetch {
            request = request.header("sec-fetch-site", fetch);
        }
        let fields = [("entry", "evil-1"), ("unit", "HM-001"), ("why", "x")];
        let request = browser.signed(form(request)).body(body(&fields)).unwrap();
        let answer = browser.send_as_it_is(request).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{origin} {fetch:?}");
    }
    assert_eq!(browser.count().await, before);
}

#[tokio::test]
async fn a_foreign_name_for_this_machine_is_refused() {
    let browser = Browser::inside().await;
    for host in ["evil.example", "evil.example:8600", "10.0.0.7:8600", "localhost.evil.example"] {
        let request = Request::get("/").header(header::HOST, host);
        let request = browser.signed(request).body(Body::empty()).unwrap();
        let answer = browser.send_as_it_is(request).await;
        assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
        assert!(!answer.text.contains("HM-001"));
    }
    let nameless = browser.signed(Request::get("/")).body(Body::empty()).unwrap();
    assert_eq!(browser.send_as_it_is(nameless).await.status, StatusCode::MISDIRECTED_REQUEST);
}

#[tokio::test]
async fn a_body_without_end_is_refused() {
    let browser = Browser::inside().await;
    let long = "x".repeat(200_000);
    let answer = browser.post("/record/held", &[("entry", "a"), ("why", &long)]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
}
