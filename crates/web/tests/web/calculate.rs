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

const CASE: &str = "contaminant_1=toluene&concentration_1=100+ppm&elements=2&sorbent_mass=26+g\
    &bed_area=38.5+cm2&bulk_density=0.44+g%2Fcm3&granule=0.11+cm&micropore_volume=0.454+cm3%2Fg\
    &flow=53.3+L%2Fmin&temperature=22+degC&relative_humidity=50+%25&wear=4+h&shifts_before_change=2";

#[tokio::test]
async fn a_life_says_how_sure_it_is_and_what_the_bed_does() {
    let plain = format!("/life?{}", CASE.replace("change=2", "change=1"));
    let bed = format!("/life?{CASE}&method=bed&samples=60");
    let many = format!("/life?{CASE}&samples=50000000");
    check(&[
        (&bed, StatusCode::OK, "runs with varied inputs"),
        (&bed, StatusCode::OK, "95 % point"),
        (&bed, StatusCode::OK, "Which inputs matter"),
        (&bed, StatusCode::OK, "First minutes of reuse"),
        (&bed, StatusCode::OK, "of use: at most Toluene"),
        (&bed, StatusCode::OK, "off by"),
        (&bed, StatusCode::OK, "<polyline points=\"0.0,"),
        (&bed, StatusCode::OK, "/what-if?case=%5Bcartridge%5D"),
        (&many, StatusCode::OK, "write 1 to 20000"),
        (&many, StatusCode::OK, "value=\"50000000\""),
    ])
    .await;
    let page = Browser::inside().await.get(&plain).await.text;
    assert!(!page.contains("The bed</h2>"), "a closed form marches no bed");
}

// The segments of a shift are written in lines, as in the form of a task, or as a case file has them.
#[tokio::test]
async fn the_life_form_takes_segments_in_lines() {
    let bare = CASE.replace("&wear=4+h&shifts_before_change=2", "&samples=60");
    let with = |text: &str| format!("/life?{bare}&segments={}", encoded(text));
    let lines = with("1 h, on, heavy, toluene 80 ppm\n30 min, off, sealed\n2 h, on");
    let tables = with(
        "[[segment]]\nduration = \"1 h\"\n[[segment]]\nduration = \"2 h\"\nwork_rate = \"heavy\"",
    );
    check(&[
        (&lines, StatusCode::OK, "level.&#34;108-88-3&#34; = &#34;80 ppm&#34;"),
        (&lines, StatusCode::OK, "work_rate = &#34;heavy&#34;"),
        (&lines, StatusCode::OK, "The bed</h2>"),
        (&tables, StatusCode::OK, "The bed</h2>"),
        (&with("1 h, on, 80 %"), StatusCode::OK, "a share is that of readings"),
        (&with("1 h, up"), StatusCode::OK, "segment 1: `up` is not read"),
        (&with("1 h, off"), StatusCode::OK, "nothing says how the elements are kept"),
    ])
    .await;
}

const CALIBRATION: &str = "[cartridge]\nmicropore_volume = \"0.454 cm3/g\"\nreference_energy = \"17.5 kJ/mol\"\nrate_factor = 0.4\n\n[uncertainty]\nmicropore_volume = \"4 %\"\nreference_energy = \"3 %\"\nrate = \"12 %\"\ncorrelation = { volume_energy = -0.5, volume_rate = 0.1, energy_rate = -0.2, report = \"invented report 7\" }";

/// A text as a part of an address.
fn encoded(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}

// All that a calibration finds is taken by the form, and what a case file may tell beside it.
#[tokio::test]
async fn the_life_form_takes_a_calibration_and_how_sure_its_figures_are() {
    let bare = CASE.replace("change=2", "change=1").replace("&micropore_volume=0.454+cm3%2Fg", "");
    let calibrated = format!("/life?{bare}&calibration={}", encoded(CALIBRATION));
    let twice = format!("{calibrated}&micropore_volume=0.5+cm3%2Fg");
    let broken = calibrated.replace(&encoded("rate_factor = 0.4"), &encoded("rate_factor = 4000"));
    let plain = format!("/life?{}", CASE.replace("change=2", "change=1"));
    let told = format!(
        "{plain}&reference_energy=17.5+kJ%2Fmol&rate_factor=0.4&stored_humidity=80+%25&unsure_rate=80+%25"
    );
    let nights = format!("/life?{CASE}&samples=60&between_shifts=40+h&storage=open");
    check(&[
        (&calibrated, StatusCode::OK, "calibrated on invented report 7; its rates 0.4 times"),
        (&calibrated, StatusCode::OK, "volume_energy = -0.5"),
        (&twice, StatusCode::OK, "the lines of the calibration tell it"),
        (&broken, StatusCode::OK, "the rate factor is 4000"),
        (&told, StatusCode::OK, "rate_factor = 0.4"),
        (&told, StatusCode::OK, "stored_humidity = "),
        (&told, StatusCode::OK, "rate = "),
        (&nights, StatusCode::OK, "between_shifts = "),
        (&nights, StatusCode::OK, "lie open"),
        (&format!("{plain}&rate_factor=slow"), StatusCode::OK, "is no number"),
        (&format!("{plain}&unsure_flow=5"), StatusCode::OK, "has no unit"),
    ])
    .await;
}

/// The lines of a gas held by reaction are printed, and taken by the form as they are.
#[tokio::test]
async fn a_report_of_gases_is_fitted_and_the_life_form_takes_its_lines() {
    let report = include_str!("../../../../docs/cases/laboratory-report-gases.toml");
    let fitted = format!("/calibrate?report={}", encoded(report));
    let found = program::calibrate::WrittenReport::read(report).unwrap().calibrate().unwrap();
    let life = "/life?contaminant_1=chlorine&concentration_1=8+ppm&elements=2&certified_for=chlorine\
        &flow=64+L%2Fmin&temperature=25+degC&relative_humidity=50+%25&wear=30+min&reactions=";
    let taken = format!("{life}{}", encoded(&found.case_lines));
    let broken = format!("{life}{}", encoded(&found.case_lines.replace("Chlorine", "toluene")));
    check(&[
        (&fitted, StatusCode::OK, "Chlorine held by one element"),
        (&fitted, StatusCode::OK, "[[reaction]]"),
        (&taken, StatusCode::OK, "calibrated on invented laboratory, report 23"),
        (&broken, StatusCode::OK, "is not held by a reaction"),
        (&format!("{life}{}", encoded("[air]")), StatusCode::OK, "paste the [[reaction]] tables"),
    ])
    .await;
}

#[tokio::test]
async fn variants_stand_side_by_side_and_a_wrong_one_is_told_at_its_field() {
    let browser = Browser::inside().await;
    let example = browser.get("/what-if?example=yes").await.text;
    assert!(example.contains("value=\"air.flow = 35 L/min\""), "{example}");
    assert!(!example.contains("id=\"answer\""), "an example is filled in, not yet computed");
    let case = "%5Bair%5D%0D%0Aflow+%3D+%2260+L%2Fmin%22%0D%0Atemperature+%3D+%2222+degC%22%0D%0A\
        relative_humidity+%3D+%2250+%25%22%0D%0A%5Bcartridge%5D%0D%0Aelements+%3D+2%0D%0A\
        sorbent_mass+%3D+%2226+g%22%0D%0Abed_area+%3D+%2238.5+cm2%22%0D%0A\
        bulk_density+%3D+%220.44+g%2Fcm3%22%0D%0Agranule+%3D+%220.11+cm%22%0D%0A\
        micropore_volume+%3D+%220.454+cm3%2Fg%22%0D%0A%5B%5Bcontaminant%5D%5D%0D%0A\
        name+%3D+%22toluene%22%0D%0Aconcentration+%3D+%22200+ppm%22";
    let page = browser.get(&format!("/what-if?case={case}")).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.text.contains("id=\"answer\""), "a case alone is not compared yet");
    let asked = format!("/what-if?ask=yes&case={case}&b=air.flow+%3D+30+L%2Fmin");
    let page = browser.get(&asked).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    for part in ["A: as it is", "B: air.flow = 30 L/min", "Lower bound", "name = &#34;toluene&#34;"]
    {
        assert!(page.text.contains(part), "{part} is not in {}", page.text);
    }
    let wrong = browser.get(&format!("{asked}&c=air.flow&samples=20")).await;
    assert_eq!(wrong.status, WRONG);
    let at = wrong.text.find("id=\"f-c\"").unwrap();
    assert!(wrong.text[at..].contains("no `=`"), "{}", wrong.text);
    for kept in ["value=\"air.flow = 30 L/min\"", "value=\"air.flow\"", "value=\"20\"", "200 ppm"] {
        assert!(wrong.text.contains(kept), "{kept} is not in {}", wrong.text);
    }
    check(&[
        ("/what-if?ask=yes&case=%5Bair&b=x", WRONG, "line 1"),
        ("/what-if?ask=yes&b=air.flow+%3D+30+L%2Fmin", WRONG, "paste the case first"),
    ])
    .await;
}

#[tokio::test]
async fn a_report_is_fitted_beside_its_data_and_a_wrong_one_keeps_its_text() {
    let browser = Browser::inside().await;
    let example = browser.get("/calibrate?example=yes").await.text;
    let report = example.split("name=\"report\"").nth(1).unwrap();
    let report = report.split_once('>').unwrap().1.split("</textarea>").next().unwrap();
    let coded: String =
        report.replace("&#34;", "\"").bytes().map(|b| format!("%{b:02X}")).collect();
    let page = browser.get(&format!("/calibrate?report={coded}")).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    for part in ["Measured", "Fitted", "48.0 min", "misfit", "micropore_volume = ", "rate"] {
        assert!(page.text.contains(part), "{part} is not in {}", page.text);
    }
    let more = "contaminant%2Cminutes%0Abenzene%2C30+min";
    let wrong = browser.get(&format!("/calibrate?report={coded}&times={more}")).await;
    assert_eq!(wrong.status, WRONG);
    for kept in ["`concentration` is missing", "benzene,30 min", "report 17 of 2026-03-02"] {
        assert!(wrong.text.contains(kept), "{kept} is not in {}", wrong.text);
    }
    check(&[
        ("/calibrate?report=x", WRONG, "line 1"),
        ("/calibrate?times=x", WRONG, "paste the report"),
    ])
    .await;
}
