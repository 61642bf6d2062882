use axum::http::StatusCode;

use crate::plant::Browser;

/// Each address, the status of its answer, and what it must say.
async fn check(cases: &[(&str, StatusCode, &str)]) {
    let browser = Browser::inside().await;
    for (address, status, said) in cases {
        let answer = browser.get(address).await;
        assert_eq!(answer.status, *status, "{address}: {}", answer.text);
        assert!(answer.text.contains(said), "{address}: `{said}` is not in {}", answer.text);
    }
}

const WRONG: StatusCode = StatusCode::UNPROCESSABLE_ENTITY;

#[tokio::test]
async fn a_bath_says_how_much_until_when_and_leads_into_the_record() {
    let asked =
        "/bath?unit=HM-001&agent=hypochlorite&product=5.25+%25&bath=10+L&temperature=40+degC";
    check(&[
        (asked, StatusCode::OK, "mL of product into"),
        // The clock of the test stands at 16:00 in Madrid.
        (asked, StatusCode::OK, "In at 16:00:00, out at 16:02:00"),
        (asked, StatusCode::OK, "/record/disinfected?unit=HM-001&"),
        ("/bath?agent=hypochlorite&product=5.25&bath=10+L", WRONG, "has no unit"),
        ("/bath?agent=hypochlorite&product=5.25&bath=10+L", WRONG, "value=\"5.25\""),
        ("/bath?agent=iodine&product=0+%25&bath=10+L", WRONG, "no strength"),
    ])
    .await;
}

#[tokio::test]
async fn impossible_input_is_refused_by_name_on_its_page() {
    check(&[
        (
            "/air?volume=6.8+L&gauge=320+bar&rated=300+bar&breathed=40+L%2Fmin",
            WRONG,
            "above the rating",
        ),
        ("/air?volume=6.8+L&gauge=300+bar&breathed=40+L%2Fmin", StatusCode::OK, "to the alarm"),
        ("/exposure?gm=1+ppm&gsd=0.5&n=6", WRONG, "never below 1"),
        ("/exposure?readings=12+ppm%0A0+ppm", WRONG, "no logarithm exists of zero"),
        ("/exposure?readings=12+ppm%0A30+ppm%0A%3C5+ppm", StatusCode::OK, "Plan for"),
        (
            "/fit?protocol=QNFT-CNC&facepiece=half-mask&e1-before=2400&e1-in=0&e1-after=2400",
            WRONG,
            "value=\"2400\"",
        ),
        ("/fit?protocol=QNFT-CNC&facepiece=half-mask", StatusCode::OK, "outside before"),
    ])
    .await;
}
