//! One change to the good case each, with the decision and the findings that it must give.
#![expect(clippy::too_many_lines, reason = "plain lists of cases")]

use program::{
    AirQuality, Clearance, Fact, FitMethod, InspectionOccasion, Renewal, SealCheck, SeriousSign,
    TrainingTopic,
};
use program::{ElementTypeId, ModelId, PersonId, TaskId, UnitId};
use rulebook::Decision::{self, Allowed, Stop};
use rulebook::{AirSource, Mounting};

use super::air;
use super::plant::{
    Plant, ada, bo, elements, fit_test, minutes, paint, quantity, reading, reading_of, strip, unit,
    until,
};
use super::standby::posted;

/// A case of the corpus.
pub struct Case {
    pub name: &'static str,
    pub change: fn(&mut Plant),
    pub decision: Decision,
    /// The ids of all findings that mean stop.
    pub stops: &'static [&'static str],
    /// Ids of findings that must be among the others.
    pub says: &'static [&'static str],
}

const fn allowed(
    name: &'static str,
    says: &'static [&'static str],
    change: fn(&mut Plant),
) -> Case {
    Case { name, change, decision: Allowed, stops: &[], says }
}

const fn stop(name: &'static str, stops: &'static [&'static str], change: fn(&mut Plant)) -> Case {
    Case { name, change, decision: Stop, stops, says: &[] }
}

pub fn all() -> Vec<Case> {
    let first = [question(), medical(), fit(), training(), hands(), care()];
    let then = [supply(), life(), by_choice(), standby()];
    first.into_iter().chain(then).flatten().collect()
}

fn question() -> Vec<Case> {
    vec![
        allowed("the good case", &["element.not-by-smell"], |_| {}),
        stop(
            "nobody is enrolled",
            &[
                "wearer.known",
                "medical.given",
                "fit.tested",
                "training.given",
                "unit.in-right-hands",
            ],
            |p| {
                p.ask.wearer = PersonId::new("eve");
            },
        ),
        stop("no such set", &["unit.known"], |p| p.ask.unit = UnitId::new("u9")),
        stop("no such task", &["task.known", "elements.schedule-known"], |p| {
            p.ask.task = TaskId::new("weld")
        }),
        stop("the model was never listed", &["unit.model-listed"], |p| p.remove("model-half")),
        stop(
            "the element was never listed",
            &["elements.listed", "element.not-stated", "element.kind"],
            |p| {
                p.remove("kind-ov");
            },
        ),
        stop("the site has no time zone", &["site.time-zone-known"], |p| {
            p.edit("site", |fact| {
                if let Fact::SiteOpened { time_zone, .. } = fact {
                    *time_zone = "Nowhere/Town".into();
                }
            });
        }),
        stop("a fit test of next year", &["records.not-ahead"], |p| {
            p.add("fit-ahead", "2027-02-03T08:00", fit_test("half", FitMethod::Qualitative, true));
        }),
        allowed("a clock five minutes ahead", &[], |p| p.inspect("ahead-5", "2026-05-04T10:05")),
        stop("a correction of nothing known", &["records.agree"], |p| {
            let fact =
                Fact::Trained { wearer: ada(), topic: TrainingTopic::Care, understood: true };
            p.add_correction("orphan", "2026-04-01T08:00", Some("lost"), fact);
        }),
        stop("two corrections of one entry", &["records.agree"], |p| {
            for (id, found) in [("rival-1", true), ("rival-2", false)] {
                let fact =
                    Fact::Trained { wearer: ada(), topic: TrainingTopic::Care, understood: found };
                p.add_correction(id, "2026-04-02T08:00", Some("care-1"), fact);
            }
            let fact =
                Fact::Trained { wearer: ada(), topic: TrainingTopic::Care, understood: true };
            p.add("care-1", "2026-04-01T08:00", fact);
        }),
        stop("one tag on two sets", &["records.agree"], |p| {
            let fact = Fact::UnitReceived {
                unit: unit(),
                model: ModelId::new("half"),
                size: "M".into(),
                serial: "another".into(),
                shared: false,
                emergency: false,
            };
            p.add("received-again", "2026-01-11T08:00", fact);
        }),
        stop("the place is not safe to enter", &["danger.declared", "standby.posted"], |p| {
            p.edit_spec(|spec| spec.immediately_dangerous = true);
        }),
        stop("oxygen too low", &["oxygen.deficient", "standby.posted"], |p| {
            p.edit_spec(|spec| spec.oxygen = Some(quantity("19.4 %")));
        }),
        stop(
            "a level not known",
            &["level.unknown", "elements.schedule-known", "standby.posted"],
            |p| {
                p.add("unmeasured", "2026-03-03T08:00", reading(&paint(), "?"));
                p.schedule = |_| None;
            },
        ),
        stop("readings over a year old", &["level.unknown", "standby.posted"], |p| {
            p.move_to("reading-paint", "2025-05-03T08:00");
        }),
        stop(
            "a level above what the mask is for",
            &["factor.needed", "factor.mixture", "level.maximum-use"],
            |p| {
                p.add("high", "2026-03-04T08:00", strong());
            },
        ),
        stop(
            "the highest reading of the year counts",
            &["factor.needed", "factor.mixture", "level.maximum-use"],
            |p| {
                p.add("high-once", "2025-06-04T08:00", strong());
            },
        ),
    ]
}

fn medical() -> Vec<Case> {
    vec![
        stop("no clearance", &["medical.given"], |p| p.remove("clearance")),
        stop("a new evaluation was asked for", &["medical.renewal-asked"], |p| {
            p.add("asked", "2026-04-30T08:00", renewal(Renewal::Clearance));
        }),
        allowed("a new evaluation was asked for and made", &[], |p| {
            p.add("asked", "2025-02-09T08:00", renewal(Renewal::Clearance));
        }),
        stop("a later clearance says no", &["medical.cleared"], |p| {
            let (wearer, clearance) = (ada(), Clearance::NotCleared);
            p.add(
                "not-cleared",
                "2026-04-07T08:00",
                Fact::ClearanceGiven { wearer, clearance, until: None },
            );
        }),
        stop("the clearance ended yesterday", &["medical.in-date"], |p| {
            p.clear(Clearance::Cleared, "2026-05-03")
        }),
        allowed("the clearance ends today", &[], |p| p.clear(Clearance::Cleared, "2026-05-04")),
        stop(
            "the clearance ends before the shift does",
            &["elements.within-schedule", "medical.in-date"],
            |p| {
                p.clear(Clearance::Cleared, "2026-05-04");
                p.ask.planned_wear = Some(minutes(15.0 * 60.0));
                p.schedule = |_| Some((2000.0, 1));
            },
        ),
        stop("cleared for powered units only", &["medical.air-source"], |p| {
            let air_sources = vec![AirSource::PoweredAirPurifying];
            p.clear(Clearance::ClearedFor { air_sources, limits: String::new() }, "2030-01-01");
        }),
        allowed("cleared with limits in words", &["medical.limits"], |p| {
            let air_sources = AirSource::ALL.to_vec();
            let limits = "no more than 30 minutes at a stretch".into();
            p.clear(Clearance::ClearedFor { air_sources, limits }, "2030-01-01");
        }),
    ]
}

fn fit() -> Vec<Case> {
    vec![
        stop("no fit test", &["fit.tested"], |p| p.remove("fit")),
        stop("new teeth since the fit test", &["fit.renewal-asked"], |p| {
            p.add("asked", "2026-04-30T08:00", renewal(Renewal::FitTest));
        }),
        allowed("new teeth, then a fit test", &[], |p| {
            p.add("asked", "2026-01-02T08:00", renewal(Renewal::FitTest));
        }),
        stop("new teeth, then a fit test of another model", &["fit.renewal-asked"], |p| {
            p.add("asked", "2026-04-30T08:00", renewal(Renewal::FitTest));
            p.add("other", "2026-04-30T09:00", fit_test("full", FitMethod::Qualitative, true));
        }),
        stop("a fit test of another model", &["fit.tested"], |p| {
            p.edit("fit", |fact| *fact = fit_test("half-b", FitMethod::Qualitative, true));
        }),
        stop("a fit test of another size", &["fit.tested"], |p| {
            p.edit("fit", |fact| {
                if let Fact::FitTested { size, .. } = fact {
                    *size = "L".into();
                }
            });
        }),
        stop("a later fit test failed", &["fit.passed"], |p| {
            p.add(
                "fit-failed",
                "2026-04-03T08:00",
                fit_test("half", FitMethod::Qualitative, false),
            );
        }),
        allowed("another model failed later", &[], |p| {
            p.add(
                "fit-b-failed",
                "2026-04-03T08:00",
                fit_test("half-b", FitMethod::Qualitative, false),
            );
        }),
        allowed("fit tested a year ago to the day", &[], |p| p.move_to("fit", "2025-05-04T08:00")),
        stop("fit tested a year and a day ago", &["fit.in-date"], |p| {
            p.move_to("fit", "2025-05-03T08:00")
        }),
        stop(
            "the fit test ends before the shift does",
            &["elements.within-schedule", "fit.in-date"],
            |p| {
                p.move_to("fit", "2025-05-04T08:00");
                p.ask.planned_wear = Some(minutes(15.0 * 60.0));
                p.schedule = |_| Some((2000.0, 1));
            },
        ),
        stop("a half mask below its pass mark", &["fit.factor"], |p| {
            let method = FitMethod::Quantitative { fit_factor: 99.0 };
            p.edit("fit", |fact| *fact = fit_test("half", method, true));
        }),
        allowed("a full facepiece, measured", &[], |p| p.of_model("full")),
        stop("a full facepiece below its pass mark", &["fit.factor"], |p| {
            p.of_model("full");
            let method = FitMethod::Quantitative { fit_factor: 499.0 };
            p.edit("fit", |fact| *fact = fit_test("full", method, true));
        }),
        allowed("a full facepiece, tasted, in weak air", &[], |p| {
            p.of_model("full");
            p.edit("fit", |fact| *fact = fit_test("full", FitMethod::Qualitative, true));
        }),
        stop("a full facepiece, tasted, in strong air", &["fit.method"], |p| {
            p.of_model("full");
            p.edit("fit", |fact| *fact = fit_test("full", FitMethod::Qualitative, true));
            p.add("strong", "2026-03-04T08:00", strong());
        }),
        stop("hair at a test of another model", &["seal.hair"], |p| {
            let mut fact = fit_test("half-b", FitMethod::Qualitative, true);
            if let Fact::FitTested { hair_in_seal, .. } = &mut fact {
                *hair_in_seal = true;
            }
            p.add("hair", "2026-04-03T08:00", fact);
        }),
        stop("a beard seen at the door", &["seal.hair-seen"], |p| {
            p.add("beard", "2026-05-04T07:55", looked_at(true));
        }),
        stop("a beard, then a fit test without one", &["seal.hair-seen"], |p| {
            p.add("beard", "2025-03-01T07:55", looked_at(true));
        }),
        allowed("a beard seen, and seen to be gone", &[], |p| {
            p.add("beard", "2026-05-03T07:55", looked_at(true));
            p.add("shaved", "2026-05-04T07:00", looked_at(false));
        }),
        stop("a note on the seal", &["seal.note"], |p| {
            p.edit("fit", |fact| {
                if let Fact::FitTested { seal_note, .. } = fact {
                    *seal_note = "scar at the chin".into();
                }
            });
        }),
    ]
}

fn looked_at(there: bool) -> Fact {
    Fact::SealHairSeen { wearer: ada(), there }
}

fn renewal(of: Renewal) -> Fact {
    Fact::RenewalAsked { wearer: ada(), of }
}

fn training() -> Vec<Case> {
    vec![
        stop("no training", &["training.given"], |p| p.remove("training")),
        stop("new training was asked for", &["training.renewal-asked"], |p| {
            p.add("asked", "2026-04-30T08:00", renewal(Renewal::Training));
        }),
        allowed("new training was asked for and given", &[], |p| {
            p.add("asked", "2026-01-02T08:00", renewal(Renewal::Training));
        }),
        stop("training in care renews no training in wearing", &["training.renewal-asked"], |p| {
            p.add("asked", "2026-04-30T08:00", renewal(Renewal::Training));
            let (wearer, topic) = (ada(), TrainingTopic::Care);
            p.add("care", "2026-04-30T09:00", Fact::Trained { wearer, topic, understood: true });
        }),
        stop("trained in care only", &["training.given"], |p| {
            p.edit("training", |fact| {
                let (wearer, topic) = (ada(), TrainingTopic::Care);
                *fact = Fact::Trained { wearer, topic, understood: true };
            });
        }),
        allowed("trained a year ago to the day", &[], |p| {
            p.move_to("training", "2025-05-04T08:00")
        }),
        stop("trained a year and a day ago", &["training.in-date"], |p| {
            p.move_to("training", "2025-05-03T23:30")
        }),
        stop("the last training was not understood", &["training.understood"], |p| {
            let (wearer, topic) = (ada(), TrainingTopic::Wear);
            p.add(
                "training-2",
                "2026-04-02T08:00",
                Fact::Trained { wearer, topic, understood: false },
            );
        }),
    ]
}

fn hands() -> Vec<Case> {
    vec![
        stop("retired", &["unit.in-service"], |p| {
            p.add(
                "retired",
                "2026-05-04T09:00",
                Fact::Retired { unit: unit(), why: "cracked".into() },
            );
        }),
        stop("held", &["unit.not-held", "care.out-of-service"], |p| {
            p.add(
                "held",
                "2026-05-04T09:00",
                Fact::Held { unit: unit(), why: "strap torn".into() },
            );
        }),
        stop("released, not inspected since", &["unit.inspected-before-use"], |p| {
            p.add(
                "held-2",
                "2026-05-04T09:05",
                Fact::Held { unit: unit(), why: "strap torn".into() },
            );
            p.add(
                "released",
                "2026-05-04T09:10",
                Fact::Released { unit: unit(), done: "new strap".into() },
            );
        }),
        stop("released by a person not trained in repair", &["care.out-of-service"], |p| {
            p.remove("repair-training");
            let fact = Fact::Held { unit: unit(), why: "strap torn".into() };
            p.add("held-3", "2026-05-04T09:05", fact);
            let fact = Fact::Released { unit: unit(), done: "new strap".into() };
            p.add("released-3", "2026-05-04T09:10", fact);
            p.inspect("inspected-3", "2026-05-04T09:15");
        }),
        allowed("released by a person trained in repair, and inspected", &[], |p| {
            let fact = Fact::Held { unit: unit(), why: "strap torn".into() };
            p.add("held-4", "2026-05-04T09:05", fact);
            let fact = Fact::Released { unit: unit(), done: "new strap".into() };
            p.add("released-4", "2026-05-04T09:10", fact);
            p.inspect("inspected-4", "2026-05-04T09:15");
        }),
        stop("a failed inspection, then one that passed", &["care.out-of-service"], |p| {
            let (occasion, found) = (InspectionOccasion::AtCleaning, "valve torn".into());
            let fact = Fact::Inspected { unit: unit(), occasion, passed: false, found };
            p.add("failed-2", "2026-05-04T09:05", fact);
            p.inspect("inspected-5", "2026-05-04T09:15");
        }),
        stop("left in parts on the bench", &["care.order"], |p| {
            let fact = Fact::CareStepDone { unit: unit(), step: program::CareStep::TakenApart };
            p.add("apart", "2026-05-04T07:10", fact);
        }),
        stop("not issued", &["unit.in-right-hands"], |p| p.remove("issued")),
        stop("issued to somebody else", &["unit.in-right-hands"], |p| {
            p.edit("issued", |fact| *fact = Fact::Issued { unit: unit(), wearer: bo() });
        }),
        stop("in two pairs of hands", &["unit.in-right-hands"], |p| {
            p.add("issued-too", "2026-05-04T06:30", Fact::Issued { unit: unit(), wearer: bo() });
        }),
        stop("given back", &["unit.in-right-hands", "unit.inspected-before-use"], |p| {
            p.add("returned", "2026-05-04T09:15", Fact::Returned { unit: unit(), wearer: ada() });
        }),
        allowed("shared and free", &[], |p| {
            p.shared();
            p.remove("issued");
        }),
    ]
}

fn care() -> Vec<Case> {
    vec![
        stop("somebody else wore it", &["unit.disinfected-between-wearers"], |p| {
            p.worn("bo-wore", "2026-05-01T08:00", (bo(), paint(), 60.0));
        }),
        stop("somebody else wore it, washed only", &["unit.disinfected-between-wearers"], |p| {
            p.worn("bo-wore-2", "2026-05-01T09:00", (bo(), paint(), 60.0));
            p.add("cleaned", "2026-05-01T12:00", Fact::Cleaned { unit: unit() });
        }),
        allowed("somebody else wore it, washed and disinfected", &[], |p| {
            p.worn("bo-wore-3", "2026-05-01T10:00", (bo(), paint(), 60.0));
            p.add("cleaned-3", "2026-05-01T13:00", Fact::Cleaned { unit: unit() });
            p.add("disinfected-3", "2026-05-01T14:00", disinfected(2.0));
        }),
        stop("somebody else wore it, washed and wiped with vinegar", &["unit.disinfectant"], |p| {
            p.worn("bo-wore-v", "2026-05-01T10:10", (bo(), paint(), 60.0));
            p.add("cleaned-v", "2026-05-01T13:10", Fact::Cleaned { unit: unit() });
            p.add("disinfected-v", "2026-05-01T14:10", disinfected_with("vinegar"));
        }),
        stop("somebody else wore it, bath too weak", &["unit.disinfectant"], |p| {
            p.worn("bo-wore-w", "2026-05-01T10:20", (bo(), paint(), 60.0));
            p.add("cleaned-w", "2026-05-01T13:20", Fact::Cleaned { unit: unit() });
            p.add("disinfected-w", "2026-05-01T14:20", disinfected_with("hypochlorite, 10 ppm"));
        }),
        stop("somebody else wore it, bleach of no told strength", &["unit.disinfectant"], |p| {
            p.worn("bo-wore-b", "2026-05-01T10:22", (bo(), paint(), 60.0));
            p.add("cleaned-b", "2026-05-01T13:22", Fact::Cleaned { unit: unit() });
            p.add("disinfected-b", "2026-05-01T14:22", disinfected_with("bleach"));
        }),
        stop("somebody else wore it, bleach as it comes", &["unit.disinfectant"], |p| {
            p.worn("bo-wore-c", "2026-05-01T10:24", (bo(), paint(), 60.0));
            p.add("cleaned-c", "2026-05-01T13:24", Fact::Cleaned { unit: unit() });
            p.add("disinfected-c", "2026-05-01T14:24", disinfected_with("hypochlorite, 5 %"));
        }),
        allowed("somebody else wore it, a strong bath", &["unit.disinfectant-strong"], |p| {
            p.worn("bo-wore-s", "2026-05-01T10:26", (bo(), paint(), 60.0));
            p.add("cleaned-s", "2026-05-01T13:26", Fact::Cleaned { unit: unit() });
            p.add("disinfected-s", "2026-05-01T14:26", disinfected_with("hypochlorite, 300 ppm"));
        }),
        stop("somebody else tried its seal", &["unit.disinfected-between-wearers"], |p| {
            p.add("bo-tried", "2026-05-02T10:00", seal(&bo(), true));
        }),
        stop("it did not seal on somebody else", &["unit.disinfected-between-wearers"], |p| {
            p.add("bo-failed", "2026-05-02T10:10", seal(&bo(), false));
        }),
        allowed("its own wearer tried its seal", &[], |p| {
            p.add("ada-tried", "2026-05-04T09:50", seal(&ada(), true));
        }),
        stop("a failed inspection, corrected to passed", &["care.undone-by-correction"], |p| {
            p.add("failed-x", "2026-05-04T07:00", inspected(false));
            p.add_correction("undone-x", "2026-05-04T07:00", Some("failed-x"), inspected(true));
            p.by("undone-x", "ada");
        }),
        allowed(
            "a failed inspection, corrected by a person who repairs",
            &["care.undone-by-correction"],
            |p| {
                p.add("failed-y", "2026-05-04T09:30", inspected(false));
                p.add_correction("undone-y", "2026-05-04T09:30", Some("failed-y"), inspected(true));
            },
        ),
        stop("held, corrected to another tag", &["care.undone-by-correction"], |p| {
            let held = |tag: &str| Fact::Held { unit: UnitId::new(tag), why: "valve torn".into() };
            p.add("held-x", "2026-05-04T07:05", held("u1"));
            p.add_correction("undone-h", "2026-05-04T07:05", Some("held-x"), held("u7"));
            p.by("undone-h", "ada");
        }),
        allowed("held, released, and then corrected to another tag", &[], |p| {
            let held = |tag: &str| Fact::Held { unit: UnitId::new(tag), why: "valve torn".into() };
            p.add("held-r", "2026-05-04T06:30", held("u1"));
            p.add(
                "let-go",
                "2026-05-04T06:50",
                Fact::Released { unit: unit(), done: "valve".into() },
            );
            p.add_correction("undone-r", "2026-05-04T06:30", Some("held-r"), held("u7"));
            p.by("undone-r", "ada");
        }),
        stop("disinfected with what the maker forbids", &["cleaning.cleaner"], |p| {
            p.add("harsh", "2026-05-02T12:00", disinfected_with("vinegar"));
            p.add("forbidden", "2026-01-02T08:30", forbidding("vinegar"));
        }),
        allowed("the same, released since by a person who repairs", &[], |p| {
            p.add("harsh-2", "2026-05-02T13:00", disinfected_with("vinegar"));
            p.add("forbidden-2", "2026-01-02T08:40", forbidding("vinegar"));
            p.add(
                "looked",
                "2026-05-02T15:00",
                Fact::Released { unit: unit(), done: "no harm".into() },
            );
        }),
        allowed("somebody else wore it, bath of the maker", &[], |p| {
            p.worn("bo-wore-m", "2026-05-01T10:30", (bo(), paint(), 60.0));
            p.add("cleaned-m", "2026-05-01T13:30", Fact::Cleaned { unit: unit() });
            p.add("disinfected-m", "2026-05-01T14:30", disinfected_with("bath salts"));
            let fact = Fact::MakerInstructionsNoted {
                model: ModelId::new("half"),
                parts: Vec::new(),
                forbidden_cleaners: Vec::new(),
                approved_disinfectants: vec!["bath salts".into()],
                stands_in: "manual, page 9".into(),
            };
            p.add("approved", "2026-01-02T08:00", fact);
        }),
        stop("disinfected before it was washed", &["unit.disinfected-between-wearers"], |p| {
            p.worn("bo-wore-4", "2026-05-01T11:00", (bo(), paint(), 60.0));
            p.add("disinfected-4", "2026-05-01T15:00", disinfected(2.0));
            p.add("cleaned-4", "2026-05-01T16:00", Fact::Cleaned { unit: unit() });
        }),
        stop(
            "somebody else wore it, washed and dipped only",
            &["unit.disinfection-contact", "unit.disinfected-between-wearers"],
            |p| {
                p.worn("bo-wore-d", "2026-05-01T10:40", (bo(), paint(), 60.0));
                p.add("cleaned-d", "2026-05-01T13:40", Fact::Cleaned { unit: unit() });
                p.add("disinfected-d", "2026-05-01T14:40", disinfected(1.0));
            },
        ),
        stop("a shared set, dipped only", &["unit.disinfection-contact"], |p| {
            p.shared();
            p.add("disinfected-5", "2026-05-01T17:00", disinfected(1.0));
        }),
        stop("an emergency set, used and hung back", &["unit.emergency-disinfected"], |p| {
            p.emergency();
            p.monthly("round", "2026-05-04T07:35");
            p.worn("ada-wore", "2026-05-01T18:00", (ada(), paint(), 10.0));
        }),
        stop("an emergency set without a round", &["unit.inspected-monthly"], |p| p.emergency()),
        stop("an emergency set, round over a month ago", &["unit.inspected-monthly"], |p| {
            p.emergency();
            p.monthly("round-2", "2026-04-03T07:35");
        }),
        stop("never inspected", &["unit.inspected-before-use"], |p| p.remove("inspected")),
        allowed("inspected 31 days ago and not touched since", &["unit.inspection-recent"], |p| {
            p.of_model("airline");
            p.air("air-8", AirQuality::Meets);
            p.move_to("fitted", "2026-03-01T07:00");
            p.move_to("inspected", "2026-04-03T07:30");
        }),
        stop("inspected 32 days ago and not touched since", &["unit.inspection-recent"], |p| {
            p.of_model("airline");
            p.air("air-9", AirQuality::Meets);
            p.move_to("fitted", "2026-03-01T07:00");
            p.move_to("inspected", "2026-04-02T07:30");
        }),
        stop("cleaned after the inspection", &["unit.inspected-before-use"], |p| {
            p.add("cleaned-6", "2026-05-04T09:20", Fact::Cleaned { unit: unit() });
        }),
        stop("the inspection failed", &["unit.inspection-passed", "care.out-of-service"], |p| {
            let (occasion, found) = (InspectionOccasion::AtCleaning, "valve torn".into());
            p.add(
                "failed",
                "2026-05-04T09:25",
                Fact::Inspected { unit: unit(), occasion, passed: false, found },
            );
        }),
        stop(
            "a dust mask that went round",
            &[
                "unit.one-wearer-only",
                "element.kind",
                "elements.shifts",
                "unit.disinfected-between-wearers",
            ],
            |p| {
                p.of_model("dust-mask");
                p.edit("fitted", |fact| *fact = elements("p100", "2026-05-04T06:55"));
                p.worn("bo-wore-7", "2026-05-02T08:00", (bo(), paint(), 60.0));
            },
        ),
        stop("cartridges on a dust mask", &["device.contradiction", "elements.suit-model"], |p| {
            p.of_model("dust-mask")
        }),
    ]
}

fn supply() -> Vec<Case> {
    vec![
        stop("an airline never tested", &["unit.breathing-air"], |p| p.of_model("airline")),
        allowed("an airline tested", &[], |p| {
            p.of_model("airline");
            p.air("air", AirQuality::Meets);
        }),
        allowed("an airline with an old filter on it", &[], |p| {
            p.of_model("airline");
            p.air("air-7", AirQuality::Meets);
            p.shelf_life("2020-01-01");
            p.remove("kind-ov");
        }),
        stop("an airline that failed its test", &["unit.breathing-air"], |p| {
            p.of_model("airline");
            p.air("air-2", AirQuality::Fails);
        }),
        stop("a demand airline, tasted, in strong air", &["fit.method"], |p| {
            p.of_model("airline-demand");
            p.edit("fit", |fact| *fact = fit_test("airline-demand", FitMethod::Qualitative, true));
            p.air("air-3", AirQuality::Meets);
            p.add("strong-2", "2026-03-05T08:00", strong());
        }),
        allowed("a positive-pressure airline, tasted, in strong air", &[], |p| {
            p.of_model("airline");
            p.edit("fit", |fact| *fact = fit_test("airline", FitMethod::Qualitative, true));
            p.air("air-4", AirQuality::Meets);
            p.add("strong-3", "2026-03-06T08:00", strong());
        }),
        stop("a positive-pressure airline without a fit test", &["fit.tested"], |p| {
            p.of_model("airline");
            p.air("air-5", AirQuality::Meets);
            p.remove("fit");
        }),
        allowed("a full cylinder", &[], |p| {
            p.carried();
            p.monthly("round-3", "2026-05-04T07:40");
            p.cylinder("cylinder", "2026-05-04T07:45", "280 bar");
        }),
        allowed("a cylinder a little above its rating", &["unit.cylinder-overfilled"], |p| {
            p.carried();
            p.monthly("round-7", "2026-05-04T07:40");
            p.cylinder("cylinder-7", "2026-05-04T07:45", "302 bar");
        }),
        stop("a cylinder clearly above its rating", &["unit.cylinder-overfilled"], |p| {
            p.carried();
            p.monthly("round-8", "2026-05-04T07:40");
            p.cylinder("cylinder-8", "2026-05-04T07:45", "320 bar");
        }),
        stop("a cylinder that nobody listed", &["unit.cylinder-known"], |p| {
            p.carried();
            p.remove("c1-mounted");
            p.monthly("round-9", "2026-05-04T07:40");
            p.cylinder("cylinder-9", "2026-05-04T07:45", "280 bar");
        }),
        stop("a cylinder too small for the set", &["unit.cylinder-suits"], |p| {
            p.carried();
            p.edit("c1", |fact| {
                if let Fact::CylinderListed { water_volume, .. } = fact {
                    *water_volume = quantity("6 L");
                }
            });
            p.monthly("round-10", "2026-05-04T07:40");
            p.cylinder("cylinder-10", "2026-05-04T07:45", "280 bar");
        }),
        stop("a cylinder that the approval does not name", &["unit.cylinder-approved"], |p| {
            p.approved_cylinder(&["p-1", "p-2"], "p-3");
        }),
        stop("a cylinder whose part number nobody told", &["unit.cylinder-approved"], |p| {
            p.approved_cylinder(&["p-1"], "");
        }),
        allowed("a cylinder that the approval names", &[], |p| {
            p.approved_cylinder(&["p-1", "p-3"], "p-3");
        }),
        stop("carried air that nobody tested", &["unit.breathing-air"], |p| {
            p.carried();
            p.remove("c1-air");
            p.monthly("round-11", "2026-05-04T07:40");
            p.cylinder("cylinder-11", "2026-05-04T07:45", "280 bar");
        }),
        stop("longer than the carried air lasts", &["unit.within-rated-time"], |p| {
            p.carried();
            p.monthly("round-6", "2026-05-04T07:40");
            p.cylinder("cylinder-6", "2026-05-04T07:45", "280 bar");
            p.ask.planned_wear = Some(minutes(241.0));
        }),
        stop("a cylinder at 90 %", &["unit.cylinder-full"], |p| {
            p.carried();
            p.monthly("round-4", "2026-05-04T07:40");
            p.cylinder("cylinder-2", "2026-05-04T07:46", "270 bar");
        }),
        stop(
            "a cylinder not read since it was used",
            &["unit.cylinder-full", "unit.inspected-before-use"],
            |p| {
                p.carried();
                p.monthly("round-5", "2026-05-04T07:40");
                p.cylinder("cylinder-3", "2026-05-04T07:47", "290 bar");
                p.worn("ada-wore-3", "2026-05-04T08:30", (ada(), paint(), 10.0));
            },
        ),
        allowed("a blower that gives enough", &[], |p| {
            p.of_model("powered");
            p.flow("flow", "2026-05-04T07:50", "180 L/min");
        }),
        stop("a blower too weak", &["unit.powered-flow"], |p| {
            p.of_model("powered");
            p.flow("flow-2", "2026-05-04T07:51", "110 L/min");
        }),
        stop("a blower never checked", &["unit.powered-flow", "donning.powered-ready"], |p| {
            p.of_model("powered")
        }),
        stop("a battery that nobody checked", &["donning.powered-ready"], |p| {
            p.of_model("powered");
            p.flow("flow-4", "2026-05-04T07:53", "180 L/min");
            p.remove("flow-4-battery");
        }),
        stop("a battery checked yesterday", &["donning.powered-ready"], |p| {
            p.of_model("powered");
            p.flow("flow-5", "2026-05-04T07:54", "180 L/min");
            p.move_to("flow-5-battery", "2026-05-03T20:00");
        }),
        stop("a battery found too weak", &["donning.powered-ready"], |p| {
            p.of_model("powered");
            p.flow("flow-6", "2026-05-04T07:55", "180 L/min");
            let (passed, found) = (false, "10 V".to_owned());
            let fact = Fact::BatteryChecked { unit: unit(), passed, found };
            p.add("flow-6-weak", "2026-05-04T09:00", fact);
        }),
        stop("a blower checked yesterday", &["unit.powered-flow"], |p| {
            p.of_model("powered");
            p.flow("flow-7", "2026-05-04T07:56", "180 L/min");
            p.move_to("flow-7", "2026-05-03T20:00");
            p.move_to("fitted", "2026-05-03T07:00");
        }),
        allowed("a loose hood needs no fit test", &[], |p| {
            p.of_model("hood");
            p.remove("fit");
            p.flow("flow-3", "2026-05-04T07:52", "180 L/min");
        }),
    ]
}

fn life() -> Vec<Case> {
    vec![
        stop("no elements", &["elements.fitted", "element.not-stated", "element.kind"], |p| {
            p.remove("fitted")
        }),
        stop(
            "elements thrown away",
            &["elements.fitted", "element.not-stated", "element.kind", "unit.inspected-before-use"],
            |p| {
                p.add(
                    "discarded",
                    "2026-05-04T09:30",
                    Fact::ElementsDiscarded { unit: unit(), why: "spent".into() },
                );
            },
        ),
        stop("the wrong elements", &["element.kind"], |p| {
            p.edit("fitted", |fact| {
                if let Fact::ElementsFitted { element_type, .. } = fact {
                    *element_type = ElementTypeId::new("p100");
                }
            });
        }),
        stop("past their shelf life", &["elements.shelf-life"], |p| p.shelf_life("2026-05-03")),
        allowed("on the last day of their shelf life", &[], |p| p.shelf_life("2026-05-04")),
        stop("two days of one lot: the earlier counts", &["elements.shelf-life"], |p| {
            p.shelf_life("2026-05-03");
            p.add("fitted-anew", "2026-05-04T07:20", elements("ov", "2026-05-04T07:19"));
        }),
        allowed("a model that names no elements", &["elements.approved-with-model"], |_| {}),
        allowed("elements that the model names", &[], |p| p.approve("half", &["p100", "ov"])),
        stop("elements that the model does not name", &["elements.approved-with-model"], |p| {
            p.approve("half", &["p100"])
        }),
        stop("a canister for escape on a half mask", &["elements.mounting"], |p| {
            p.mount("ov", Mounting::CanisterEscape)
        }),
        stop("a canister at the chin of a half mask", &["elements.mounting"], |p| {
            p.mount("ov", Mounting::CanisterChin)
        }),
        stop("no schedule can be had", &["elements.schedule-known"], |p| p.schedule = |_| None),
        stop("too little life for the plan", &["elements.within-schedule"], |p| {
            p.schedule = |_| Some((239.0, 1))
        }),
        allowed("just enough life for the plan", &[], |p| p.schedule = |_| Some((240.0, 1))),
        allowed("a shorter wear fits", &[], |p| {
            p.schedule = |_| Some((239.0, 1));
            p.ask.planned_wear = Some(minutes(239.0));
        }),
        stop("worn this morning, too little left", &["elements.within-schedule"], |p| {
            p.worn("ada-wore-4", "2026-05-04T07:10", (ada(), paint(), 241.0));
        }),
        allowed("worn this morning, enough left", &[], |p| {
            p.worn("ada-wore-5", "2026-05-04T07:11", (ada(), paint(), 240.0));
        }),
        stop("worn where a set lasts an hour", &["elements.within-schedule"], |p| {
            p.worn("ada-wore-6", "2026-05-04T07:12", (ada(), strip(), 31.0));
            p.schedule = |task| Some((if task.as_str() == "strip" { 60.0 } else { 480.0 }, 1));
        }),
        stop("worn where no schedule can be had", &["elements.within-schedule"], |p| {
            p.worn("ada-wore-7", "2026-05-04T07:13", (ada(), strip(), 1.0));
            p.schedule = |task| (task.as_str() != "strip").then_some((480.0, 1));
        }),
        stop("a stricter schedule was adopted", &["elements.within-schedule"], |p| {
            let (task, element_type) = (paint(), ElementTypeId::new("ov"));
            let fact =
                Fact::ScheduleAdopted { task, element_type, max_wear: minutes(120.0), shifts: 1 };
            p.add("adopted", "2026-03-10T08:00", fact);
        }),
        allowed("a laxer schedule changes nothing", &[], |p| {
            let (task, element_type) = (paint(), ElementTypeId::new("ov"));
            let fact =
                Fact::ScheduleAdopted { task, element_type, max_wear: minutes(900.0), shifts: 9 };
            p.add("adopted-2", "2026-03-11T08:00", fact);
        }),
        stop(
            "worn yesterday, one shift allowed",
            &["elements.shifts", "elements.opened-this-shift"],
            |p| {
                p.move_to("fitted", "2026-05-03T07:00");
                p.edit("fitted", |fact| *fact = elements("ov", "2026-05-03T06:55"));
                p.worn("ada-wore-8", "2026-05-03T08:00", (ada(), paint(), 60.0));
            },
        ),
        allowed("worn yesterday, two shifts allowed", &[], |p| {
            p.move_to("fitted", "2026-05-03T07:00");
            p.edit("fitted", |fact| *fact = elements("ov", "2026-05-03T06:55"));
            p.worn("ada-wore-9", "2026-05-03T08:01", (ada(), paint(), 60.0));
            p.schedule = |_| Some((480.0, 2));
        }),
        stop("opened yesterday, one shift allowed", &["elements.opened-this-shift"], |p| {
            p.edit("fitted", |fact| *fact = elements("ov", "2026-05-03T06:55"));
        }),
        stop("put back, the wear is kept", &["elements.within-schedule"], |p| {
            p.worn("ada-wore-10", "2026-05-04T07:14", (ada(), paint(), 400.0));
            p.add(
                "discarded-2",
                "2026-05-04T07:15",
                Fact::ElementsDiscarded { unit: unit(), why: "?".into() },
            );
            p.add("fitted-again", "2026-05-04T07:16", elements("ov", "2026-05-04T06:55"));
        }),
        stop("a smell since they were fitted", &["unit.nothing-sensed"], |p| {
            p.sense("smell", "2026-05-04T07:17")
        }),
        allowed("a smell, then new elements", &[], |p| {
            p.sense("smell-2", "2026-05-04T06:30");
        }),
        stop(
            "a smell in an airline set",
            &["unit.nothing-sensed", "unit.inspected-before-use"],
            |p| {
                p.of_model("airline");
                p.air("air-6", AirQuality::Meets);
                p.sense("smell-3", "2026-05-04T09:40");
            },
        ),
    ]
}

fn by_choice() -> Vec<Case> {
    fn choice(p: &mut Plant, level: &str) {
        p.edit_spec(|spec| spec.voluntary = true);
        p.edit("reading-paint", |fact| *fact = reading(&paint(), level));
    }
    fn told(p: &mut Plant) {
        p.add("told", "2026-03-12T08:00", Fact::VoluntaryInformationGiven { wearer: ada() });
    }
    fn dust_mask(p: &mut Plant) {
        p.of_model("dust-mask");
        p.edit("fitted", |fact| *fact = elements("p100", "2026-05-04T06:55"));
        for id in ["clearance", "fit", "training", "inspected"] {
            p.remove(id);
        }
        p.schedule = |_| None;
    }
    vec![
        allowed(
            "a dust mask by choice asks for the advice only",
            &["medical.given", "fit.tested", "element.kind"],
            |p| {
                choice(p, "1 ppm");
                told(p);
                dust_mask(p);
            },
        ),
        stop("a dust mask by choice past its last day", &["elements.shelf-life"], |p| {
            choice(p, "1 ppm");
            told(p);
            dust_mask(p);
            p.shelf_life("2026-05-03");
            p.add("fitted-to-renew", "2026-05-04T07:21", elements("p100", "2026-05-04T07:19"));
        }),
        stop(
            "a dust mask by choice in which something was smelled",
            &["unit.nothing-sensed"],
            |p| {
                choice(p, "1 ppm");
                told(p);
                dust_mask(p);
                p.sense("smell-4", "2026-05-04T06:20");
            },
        ),
        stop("a dust mask by choice without the advice", &["voluntary.information"], |p| {
            choice(p, "1 ppm");
            dust_mask(p);
        }),
        stop("a half mask by choice asks for clearance", &["medical.given"], |p| {
            choice(p, "1 ppm");
            told(p);
            p.remove("clearance");
        }),
        stop("a half mask by choice asks for care", &["unit.inspected-before-use"], |p| {
            choice(p, "1 ppm");
            told(p);
            p.remove("inspected");
        }),
        allowed(
            "a half mask by choice asks for no fit test",
            &["fit.tested", "training.given"],
            |p| {
                choice(p, "1 ppm");
                told(p);
                p.remove("fit");
                p.remove("training");
            },
        ),
        stop(
            "not by choice where nobody evaluated the air",
            &["air.nothing-listed", "fit.tested", "standby.posted"],
            |p| {
                choice(p, "1 ppm");
                told(p);
                p.remove("reading-paint");
                p.remove("fit");
            },
        ),
        allowed("measured for a few minutes only", &["exposure.short-sample"], |p| {
            p.edit("reading-paint", |fact| {
                if let Fact::ReadingTaken { sampled, .. } = fact {
                    *sampled = Some(minutes(5.0));
                }
            });
        }),
        allowed("measured once", &["exposure.few-of-task"], |_| {}),
        stop("not by choice above the limit", &["fit.tested"], |p| {
            choice(p, "250 ppm");
            told(p);
            p.remove("fit");
        }),
        allowed("above the limit it is judged as required", &["voluntary.holds"], |p| {
            choice(p, "250 ppm");
        }),
        stop(
            "not by choice where the level is unknown",
            &["level.unknown", "fit.tested", "standby.posted"],
            |p| {
                choice(p, "?");
                told(p);
                p.remove("fit");
            },
        ),
        stop("not by choice in dangerous air", &["danger.declared", "standby.posted"], |p| {
            choice(p, "1 ppm");
            told(p);
            p.edit_spec(|spec| spec.immediately_dangerous = true);
        }),
        stop(
            "not by choice where oxygen is unknown",
            &["oxygen.not-stated", "standby.posted"],
            |p| {
                choice(p, "1 ppm");
                told(p);
                p.edit_spec(|spec| spec.oxygen = None);
            },
        ),
    ]
}

fn standby() -> Vec<Case> {
    vec![
        stop("dangerous air, nobody outside", &["standby.posted"], Plant::danger),
        allowed("dangerous air, somebody outside", &["danger.declared"], |p| {
            p.danger_until("2026-05-04T15:00");
        }),
        stop("dangerous air, somebody outside for too short", &["standby.posted"], |p| {
            p.danger_until("2026-05-04T13:59");
        }),
        stop("dangerous air, who stood outside was stood down", &["standby.posted"], |p| {
            p.danger_until("2026-05-04T15:00");
            let fact = Fact::StandbyEnded { task: paint(), why: "rain".into() };
            p.add("stood-down", "2026-05-04T09:50", fact);
        }),
        stop(
            "dangerous air, the wearer stands outside",
            &["standby.inside", "standby.ready"],
            |p| {
                p.danger();
                p.add("self", "2026-05-04T09:46", posted(|posted| *posted.outside = vec![ada()]));
                p.add("ada-rescue", "2026-02-02T09:00", rescue(&ada()));
            },
        ),
        stop("dangerous air, not trained in rescue", &["standby.trained"], |p| {
            p.danger_until("2026-05-04T15:00");
            p.remove("bo-rescue");
        }),
        stop("dangerous air, a cylinder outside that is not full", &["standby.ready"], |p| {
            p.danger_until("2026-05-04T15:00");
            let (rated, read) = (quantity("300 bar"), quantity("269 bar"));
            let fact = Fact::CylinderRead { unit: UnitId::new("u2"), rated, read };
            p.add("u2-low", "2026-05-04T09:47", fact);
        }),
        stop("dangerous air, a half mask outside", &["standby.equipped"], |p| {
            p.danger_until("2026-05-04T15:00");
            p.edit("u2-received", |fact| {
                if let Fact::UnitReceived { model, .. } = fact {
                    *model = ModelId::new("half");
                }
            });
        }),
        stop("posted at another task while asking", &["standby.one-place"], |p| {
            let fact = posted(|posted| {
                *posted.task = strip();
                *posted.outside = vec![ada()];
            });
            p.add("elsewhere", "2026-05-04T09:48", fact);
        }),
    ]
}

fn rescue(person: &PersonId) -> Fact {
    let topic = TrainingTopic::Rescue;
    Fact::Trained { wearer: person.clone(), topic, understood: true }
}

/// Hexane at more than ten times its limit, below its immediately dangerous level.
fn strong() -> Fact {
    reading_of("110-54-3", &paint(), "600 ppm")
}

fn disinfected(contact: f64) -> Fact {
    Fact::Disinfected {
        unit: unit(),
        agent: "hypochlorite, 50 ppm".into(),
        contact: minutes(contact),
    }
}

fn seal(wearer: &PersonId, passed: bool) -> Fact {
    let (wearer, way) = (wearer.clone(), SealCheck::Positive);
    Fact::SealChecked { unit: unit(), wearer, passed, way }
}

fn inspected(passed: bool) -> Fact {
    let found = if passed { String::new() } else { "valve torn".into() };
    Fact::Inspected { unit: unit(), occasion: InspectionOccasion::BeforeUse, passed, found }
}

fn forbidding(cleaner: &str) -> Fact {
    Fact::MakerInstructionsNoted {
        model: ModelId::new("half"),
        parts: Vec::new(),
        forbidden_cleaners: vec![cleaner.into()],
        approved_disinfectants: vec!["bath salts".into()],
        stands_in: "manual, page 8".into(),
    }
}

fn disinfected_with(agent: &str) -> Fact {
    Fact::Disinfected { unit: unit(), agent: agent.into(), contact: minutes(2.0) }
}

impl Plant {
    fn clear(&mut self, clearance: Clearance, last_day: &str) {
        let until = Some(until(last_day));
        self.edit("clearance", |fact| {
            *fact = Fact::ClearanceGiven { wearer: ada(), clearance, until }
        });
    }

    pub fn shelf_life(&mut self, day: &str) {
        self.edit("fitted", |fact| {
            if let Fact::ElementsFitted { shelf_life_until, .. } = fact {
                *shelf_life_until = until(day);
            }
        });
    }

    fn air(&mut self, id: &str, quality: AirQuality) {
        self.add(
            id,
            "2026-04-20T08:00",
            Fact::BreathingAirTested { unit: unit(), quality, cylinder: None },
        );
    }

    /// A self-contained set with its cylinder, whose air was tested.
    fn carried(&mut self) {
        self.of_model("carried");
        self.add("c1", "2026-03-01T08:00", air::cylinder());
        self.add("c1-mounted", "2026-03-01T09:00", air::mounted("u1"));
        self.air("c1-air", AirQuality::Meets);
    }

    /// A full cylinder of this part number on a set whose approval names these.
    fn approved_cylinder(&mut self, named: &[&str], number: &str) {
        self.carried();
        self.approve_cylinders("carried", named);
        self.edit("c1", |fact| {
            if let Fact::CylinderListed { part, .. } = fact {
                *part = number.into();
            }
        });
        self.monthly("round-approved", "2026-05-04T07:40");
        self.cylinder("cylinder-approved", "2026-05-04T07:45", "280 bar");
    }

    fn cylinder(&mut self, id: &str, when: &str, read: &str) {
        let (rated, read) = (quantity("300 bar"), quantity(read));
        self.add(id, when, Fact::CylinderRead { unit: unit(), rated, read });
    }

    fn flow(&mut self, id: &str, when: &str, flow: &str) {
        let (flow, least) = (quantity(flow), quantity("115 L/min"));
        self.add(id, when, Fact::PoweredFlowChecked { unit: unit(), flow, least });
        let (passed, found) = (true, "charged".to_owned());
        let battery = Fact::BatteryChecked { unit: unit(), passed, found };
        self.add(&format!("{id}-battery"), when, battery);
    }

    pub fn sense(&mut self, id: &str, when: &str) {
        let (wearer, task) = (ada(), paint());
        self.add(
            id,
            when,
            Fact::BreakthroughSensed { unit: unit(), wearer, task, sign: SeriousSign::Smell },
        );
    }
}
