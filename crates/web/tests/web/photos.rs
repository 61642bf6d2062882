use axum::http::{StatusCode, header};
use ledger::{Hash, MOST_BYTES};
use program::{Fact, PointFound};

use crate::plant::{Answer, Browser};

const FORM: &str = "/record/inspected?unit=HM-001&occasion=before-use";

/// The straps.
const PHOTO: &str = "points~IP05~photo";
const KEPT: &str = "points~IP05~picture";

/// The first bytes of a JPEG file, and some more that are no text.
const JPEG: &[u8] = b"\xff\xd8\xff\xe0 invented \x00\xfe";

type Part<'a> = (&'a str, Option<&'a str>, &'a [u8]);

/// The points that the form asks.
async fn points(browser: &Browser) -> Vec<String> {
    let form = browser.get(FORM).await.text;
    assert!(form.contains("enctype=\"multipart/form-data\""), "{form}");
    let selects = form.split("<select id=\"f-points~").skip(1);
    let points: Vec<String> =
        selects.map(|rest| format!("points~{}", rest.split('"').next().unwrap())).collect();
    assert!(points.len() > 5, "{points:?}");
    for point in &points {
        assert!(form.contains(&format!("name=\"{point}~photo\" type=\"file\"")), "{point}");
    }
    points
}

/// Sends an inspection at which the straps fail, with these parts before its signature.
async fn inspect(
    browser: &Browser,
    address: &str,
    (entry, signed): (&str, &str),
    parts: &[Part<'_>],
) -> Answer {
    let points = points(browser).await;
    let straps = "points~IP05";
    let result = |point: &str| if point == straps { b"fail".as_slice() } else { b"pass" };
    let head = [("entry", entry), ("unit", "HM-001"), ("occasion", "before-use")];
    let head = head.iter().map(|(name, text)| (*name, None, text.as_bytes()));
    let results = points.iter().map(|point| (point.as_str(), None, result(point)));
    let note: Part<'_> = ("points~IP05~note", None, b"torn at the buckle");
    let end = [("signed", None, signed.as_bytes()), ("serial", None, b"s-1")];
    let all: Vec<Part<'_>> =
        head.chain(results).chain([note]).chain(parts.iter().copied()).chain(end).collect();
    browser.post_parts(address, &all).await
}

/// What was found at the straps at the last inspection.
async fn straps(browser: &Browser) -> PointFound {
    let all = browser.ledger.read(None, 0).await.unwrap();
    let Fact::InspectedByPoints { points, .. } = &all.last().unwrap().entry.fact else {
        panic!("the last entry is no inspection");
    };
    points.iter().find(|point| point.point == "IP05").unwrap().clone()
}

/// Sees that a form came back with the mistake, with all that was typed, and nothing recorded.
fn came_back(answer: &Answer, mistake: &str) {
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text);
    for part in
        [mistake, "torn at the buckle", "value=\"HM-001\"", "value=\"s-1\"", "\"fail\" selected"]
    {
        assert!(answer.text.contains(part), "{part} is not in {}", answer.text);
    }
}

#[tokio::test]
async fn a_photo_of_a_point_is_kept_and_shown_with_the_entry_and_in_the_history() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    // A browser sends an empty file without a name where none was chosen.
    let parts = [("points~IP01~photo", Some(""), b"".as_slice()), (PHOTO, Some("IMG 1.png"), JPEG)];
    for _ in 0..2 {
        let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }
    assert_eq!(browser.count().await, before + 1);
    let hash = Hash::of(JPEG).to_string();
    assert_eq!(straps(&browser).await.picture, Some(hash.clone()));

    let address = format!("/pictures/{hash}");
    let entry = browser.get("/entries/i-1").await.text;
    for part in [format!("<img src=\"{address}\""), "FAILED, torn at the buckle".to_owned()] {
        assert!(entry.contains(&part), "{part} is not in {entry}");
    }
    assert!(entry.contains("10 points looked at, 1 failed: torn at the buckle"), "{entry}");
    let history = browser.get("/respirators/HM-001").await.text;
    assert!(history.contains("10 points looked at: straps, torn at the buckle"), "{history}");
    assert!(history.contains(&format!("<a href=\"{address}\">Photo: straps</a>")), "{history}");

    let photo = browser.get(&address).await;
    assert_eq!((photo.status, photo.bytes.as_slice()), (StatusCode::OK, JPEG));
    assert_eq!(photo.headers.get(header::CONTENT_TYPE).unwrap(), "image/jpeg");
    assert_eq!(photo.headers.get(header::X_CONTENT_TYPE_OPTIONS).unwrap(), "nosniff");
    for other in [Hash::START.to_string(), "no-hash".to_owned()] {
        let answer = browser.get(&format!("/pictures/{other}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
    }
    assert_eq!(browser.post("/leave", &[]).await.status, StatusCode::OK);
    assert_eq!(browser.get(&address).await.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_form_that_comes_back_need_not_be_given_its_photo_again() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let parts = [(PHOTO, Some("a.jpg"), JPEG)];
    let answer = inspect(&browser, "/record/inspected", ("i-1", ""), &parts).await;
    came_back(&answer, "this is missing");
    let hash = Hash::of(JPEG).to_string();
    let carried = format!("name=\"{KEPT}\" value=\"{hash}\" checked");
    assert!(answer.text.contains(&carried), "{}", answer.text);
    assert_eq!(browser.count().await, before);

    let parts = [(KEPT, None, hash.as_bytes()), (PHOTO, Some(""), b"")];
    let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(straps(&browser).await.picture, Some(hash));
}

#[tokio::test]
async fn a_correction_keeps_the_photo_or_puts_another_in_its_place_or_leaves_it_out() {
    let browser = Browser::inside().await;
    let parts = [(PHOTO, Some("a.jpg"), JPEG)];
    inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
    let hash = Hash::of(JPEG).to_string();
    let form = browser.get("/entries/i-1/correct").await.text;
    assert!(form.contains(&format!("name=\"{KEPT}\" value=\"{hash}\" checked")), "{form}");

    let other = b"RIFF\0\0\0\0WEBPVP8 ".as_slice();
    let kept: Part<'_> = (KEPT, None, hash.as_bytes());
    let trials: [(&str, &[Part<'_>], Option<String>); 3] = [
        ("c-1", &[kept], Some(hash.clone())),
        ("c-2", &[kept, (PHOTO, Some("b.webp"), other)], Some(Hash::of(other).to_string())),
        ("c-3", &[], None),
    ];
    let mut corrected = "i-1";
    for (entry, parts, picture) in trials {
        let address = format!("/entries/{corrected}/correct");
        let answer = inspect(&browser, &address, (entry, "Alder Finch"), parts).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        assert_eq!(straps(&browser).await.picture, picture);
        corrected = entry;
    }
}

#[tokio::test]
async fn what_is_no_photo_is_refused_with_what_puts_it_right() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    for (file, bytes) in
        [("a.jpg", b"GIF89a".as_slice()), ("a.pdf", b"%PDF-1.7"), ("empty.jpg", b"")]
    {
        let parts = [(PHOTO, Some(file), bytes)];
        let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
        came_back(&answer, "this is no photo in JPEG, PNG or WebP\ntake it with the camera");
        assert!(!answer.text.contains(KEPT), "{}", answer.text);
    }
    // A hash that the ledger does not hold is no photo either.
    let nowhere = Hash::of(b"nowhere").to_string();
    for made_up in [nowhere.as_bytes(), b"../style.css"] {
        let parts = [(KEPT, None, made_up)];
        let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
        came_back(&answer, "this photo is not in the ledger\nchoose it again");
        assert!(!answer.text.contains(KEPT), "{}", answer.text);
    }
    assert_eq!(browser.count().await, before);
}

#[tokio::test]
async fn a_photo_that_is_too_large_is_refused_and_the_others_are_kept() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let mut large = JPEG.to_vec();
    large.resize(MOST_BYTES + 1, 7);
    let parts =
        [(PHOTO, Some("a.jpg"), large.as_slice()), ("points~IP06~photo", Some("b.jpg"), JPEG)];
    let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
    came_back(
        &answer,
        "this photo has 5121 kB, at most 5120 kB are kept\ntake it at a smaller size",
    );
    assert!(answer.text.contains("name=\"points~IP06~picture\""), "{}", answer.text);
    assert_eq!(browser.count().await, before);

    let endless = vec![7; 18 * MOST_BYTES];
    let parts = [(PHOTO, Some("a.jpg"), endless.as_slice())];
    let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.text.contains("choose fewer or smaller photos"), "{}", answer.text);
    let words = "x".repeat(200_000);
    let parts = [("remedy", None, words.as_bytes())];
    let answer = inspect(&browser, "/record/inspected", ("i-1", "Alder Finch"), &parts).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(browser.count().await, before);
}

#[tokio::test]
async fn nobody_leaves_a_photo_without_a_session() {
    let browser = Browser::outside().await;
    let parts = [(PHOTO, Some("a.jpg"), JPEG)];
    let answer = browser.post_parts("/record/inspected", &parts).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    assert_eq!(browser.ledger.attachment(&Hash::of(JPEG)).await.unwrap(), None);
}

#[tokio::test]
async fn note_and_photo_of_a_point_are_folded_away_until_there_is_something_to_see() {
    let browser = Browser::inside().await;
    let folds = |page: &str, open: &str| {
        page.matches(&format!("<details{open}><summary>Note and photo")).count()
    };
    let form = browser.get(FORM).await.text;
    assert_eq!((folds(&form, " open"), folds(&form, "")), (0, points(&browser).await.len()));
    let answer = inspect(&browser, "/record/inspected", ("i-1", ""), &[]).await;
    assert!(
        answer.text.contains("<details open><summary>Note and photo: straps"),
        "{}",
        answer.text
    );
    assert_eq!(folds(&answer.text, " open"), 1);
}
