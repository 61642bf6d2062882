use axum::body::Body;
use axum::http::{Request, StatusCode, header};

use crate::plant::{Answer, BOUND, Browser};

/// Sends a form with a file as a browser does.
async fn send(browser: &Browser, address: &str, parts: &[(&str, &str)]) -> Answer {
    let parts: Vec<_> = parts
        .iter()
        .map(|(name, value)| {
            (*name, Some("list.csv").filter(|_| *name == "file"), value.as_bytes())
        })
        .collect();
    browser.post_parts(address, &parts).await
}

/// The value that a page carries on under this name.
fn carried(page: &str, name: &str) -> String {
    let at = page.find(&format!("name=\"{name}\" value=\"")).unwrap_or_else(|| panic!("{page}"));
    page[at..].split("value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
}

const LIST: &str = "Badge;Name;Start\nn-1;<b>Ash</b> Crake;2026-01-05\nw-1;Birch Wren;\nn-2;;\n";

#[tokio::test]
async fn a_list_is_shown_row_by_row_and_written_in_a_second_step() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let form = browser.get("/bring?kind=wearers&site=north").await.text;
    assert!(form.contains("multipart/form-data") && form.contains("(needed)"), "{form}");

    let asked = [("kind", "wearers"), ("site", "north"), ("file", LIST)];
    let look = send(&browser, "/bring", &asked).await;
    assert_eq!(look.status, StatusCode::OK);
    for part in ["1 new, 1 already known, 1 refused", "Nothing is written yet", "the name is empty"]
    {
        assert!(look.text.contains(part), "{part} is not in {}", look.text);
    }
    assert!(!look.text.contains("<b>Ash"), "{}", look.text);
    assert_eq!(browser.count().await, before);

    let (content, mark) = (carried(&look.text, "content"), carried(&look.text, "mark"));
    let content_mark = carried(&look.text, "content_mark");
    let confirmed = |content_mark, mark| {
        let (kind, site) = (("kind", "wearers"), ("site", "north"));
        [kind, site, ("content", content.as_str()), ("content_mark", content_mark), ("mark", mark)]
    };
    for (content_mark, mark) in [("00", mark.as_str()), (content_mark.as_str(), "00")] {
        let answer = send(&browser, "/bring/write", &confirmed(content_mark, mark)).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.text.contains("Nothing was written"), "{}", answer.text);
    }
    assert_eq!(browser.count().await, before);
    let answer = send(&browser, "/bring/write", &confirmed(&content_mark, &mark)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let to = answer.headers.get(header::LOCATION).unwrap().to_str().unwrap();
    assert!(browser.get(to).await.text.contains("1 entry was written"));
    assert_eq!(browser.count().await, before + 1);
    assert!(browser.get("/wearers/n-1").await.text.contains("Crake"));

    // The same step again finds nothing new to write.
    let answer = send(&browser, "/bring/write", &confirmed(&content_mark, &mark)).await;
    assert!(answer.text.contains("0 new, 2 already known"), "{}", answer.text);
    assert_eq!(browser.count().await, before + 1);
}

#[tokio::test]
async fn a_list_with_other_heads_is_looked_at_again_without_sending_it_again() {
    let browser = Browser::inside().await;
    let list = "Nr,Wer\nn-1,Ash Crake\n";
    let asked = [("kind", "wearers"), ("site", "north"), ("pasted", list)];
    let look = send(&browser, "/bring", &asked).await;
    assert_eq!(look.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(look.text.contains("no column fills `id`"), "{}", look.text);
    let content = carried(&look.text, "content");
    let columns = ("columns", "Nr=id\nWer=name\n");
    let asked = [("kind", "wearers"), ("site", "north"), ("content", content.as_str()), columns];
    let look = send(&browser, "/bring", &asked).await;
    assert!(look.text.contains("1 new, 0 already known, 0 refused"), "{}", look.text);
    assert!(look.text.contains("Wer=name"), "{}", look.text);
}

#[tokio::test]
async fn nobody_brings_a_list_without_a_session_or_from_another_site() {
    let browser = Browser::outside().await;
    let asked = [("kind", "wearers"), ("site", "north"), ("pasted", LIST)];
    assert_eq!(send(&browser, "/bring", &asked).await.status, StatusCode::UNAUTHORIZED);
    let browser = Browser::inside().await;
    let foreign = Request::post("/bring")
        .header(header::HOST, "127.0.0.1:8600")
        .header(header::ORIGIN, "http://elsewhere.example")
        .header("sec-fetch-site", "cross-site")
        .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={BOUND}"));
    let answer = browser.send_as_it_is(browser.signed(foreign).body(Body::empty()).unwrap()).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_list_of_many_rows_is_longer_than_any_other_form() {
    let browser = Browser::inside().await;
    let mut list = String::from("id,name\n");
    for number in 0..5000 {
        list += &format!("n-{number},Person with the number {number}\n");
    }
    let asked = [("kind", "wearers"), ("site", "north"), ("file", list.as_str())];
    let look = send(&browser, "/bring", &asked).await;
    assert!(look.text.contains("5000 new, 0 already known, 0 refused"));
}
