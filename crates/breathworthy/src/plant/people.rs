//! Enrolment, clearance, training and fit tests.

use jiff::civil::Date;
use program::{Clearance, Fact, FitMethod, ModelId, ProfessionalTold, TrainingTopic};
use rulebook::{AirSource, Facepiece};

use super::journal::DraftKey;
use super::listed::{Crew, Member, MemberOdd};
use super::scene::{Career, Moment, Scene, person};

/// Working days from a yearly duty to its renewal; 260 of them are 364 days.
const RENEWED_AFTER: (i64, i64) = (246, 256);
/// How often a fit test is entered with the wrong size, and put right the day after.
const SLIP_SHARE: f64 = 0.05;

/// The health professional of the invented plant.
const PROFESSIONAL: &str = "Dr Quince";

/// Days back at which odd things began.
const CLEARANCE_ENDED: i64 = 20;
const NO_LONGER_CLEARED: i64 = 30;
const POWERED_ONLY_SINCE: i64 = 45;

pub(super) fn enrol(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for crew in listed.crews_of(site) {
        for member in &crew.members {
            enrol_one(scene, crew, member)?;
        }
    }
    Ok(())
}

/// One person: enrolled on working day `first` before today, the rest on the days after it.
fn enrol_one(scene: &mut Scene<'_>, crew: &Crew, member: &Member) -> anyhow::Result<()> {
    let first = match member.odd {
        Some(MemberOdd::FitNever | MemberOdd::TrainingMissing | MemberOdd::ClearanceMissing) => {
            scene.between(8, 10)
        }
        None if scene.happens(0.12) => scene.between(90, 140),
        _ => scene.between(285, 295),
    };
    let wearer = person(&member.name);
    let when = moment(scene, first, 8 * 60)?;
    let name = member.name.clone();
    scene.desk(when, Fact::WearerEnrolled { wearer: wearer.clone(), name })?;
    let voluntary = scene.listed.task(&crew.task)?.spec.voluntary;
    if voluntary && member.odd != Some(MemberOdd::Uninformed) {
        scene.desk(when.later(20), Fact::VoluntaryInformationGiven { wearer })?;
    }
    let model = scene.listed.model(&crew.model)?;
    if !(voluntary && model.device.filtering_facepiece) {
        clear(scene, first - 1, crew, member)?;
    }
    train(scene, first - 2, member)?;
    if !voluntary && model.device.facepiece.is_tight_fitting() {
        fit(scene, first - 3, crew, member)?;
    }
    let from = scene.calendar.last_workday(first - 4)?;
    let until = wears_until(crew, member);
    scene.careers.insert(member.name.clone(), Career { from, until });
    Ok(())
}

/// The last day back on which a person with this oddity still wore.
fn wears_until(crew: &Crew, member: &Member) -> i64 {
    match member.odd {
        None | Some(MemberOdd::Uninformed) => 1,
        Some(MemberOdd::PoweredOnly) if powered(crew) => 1,
        Some(MemberOdd::ClearanceExpired) => CLEARANCE_ENDED + 1,
        Some(MemberOdd::NotCleared) => NO_LONGER_CLEARED + 1,
        Some(MemberOdd::PoweredOnly) => POWERED_ONLY_SINCE + 1,
        // New people, who never wore.
        Some(MemberOdd::FitNever | MemberOdd::TrainingMissing | MemberOdd::ClearanceMissing) => {
            i64::MAX
        }
        Some(_) => 60,
    }
}

fn powered(crew: &Crew) -> bool {
    crew.model.starts_with("powered") || crew.model.starts_with("hood")
}

fn clear(scene: &mut Scene<'_>, workday: i64, crew: &Crew, member: &Member) -> anyhow::Result<()> {
    let when = moment(scene, workday, 9 * 60)?;
    let until = match member.odd {
        Some(MemberOdd::ClearanceMissing) => return Ok(()),
        Some(MemberOdd::ClearanceExpired) => Some(scene.calendar.date(CLEARANCE_ENDED)?),
        _ if scene.happens(0.4) => Some(scene.calendar.date(when.back - 900)?),
        _ => None,
    };
    let told = told(scene, crew)?;
    let wearer = person(&member.name);
    let professional = PROFESSIONAL.to_owned();
    scene.desk(when, Fact::MedicalInformationGiven { wearer, professional, told })?;
    scene.desk(when.later(45), recommendation(member, Clearance::Cleared, until))?;
    let (since, clearance) = match member.odd {
        Some(MemberOdd::NotCleared) => (NO_LONGER_CLEARED, Clearance::NotCleared),
        Some(MemberOdd::PoweredOnly) => (POWERED_ONLY_SINCE, powered_only(crew)),
        _ => return Ok(()),
    };
    let back = scene.calendar.workday_by(since);
    let fact = recommendation(member, clearance, None);
    scene.desk(Moment { back, minute: 15 * 60 }, fact).map(drop)
}

/// What the professional is told of the work of a crew, before anybody in it is cleared.
fn told(scene: &Scene<'_>, crew: &Crew) -> anyhow::Result<ProfessionalTold> {
    let (model, task) = (scene.listed.model(&crew.model)?, scene.listed.task(&crew.task)?);
    let spec = &task.spec;
    Ok(ProfessionalTold {
        air_sources: vec![model.device.air_source],
        respirators: format!("{}, {} kg", model.name, weight(model.device.air_source)),
        wear: format!("{} on each shift, five shifts a week; no rescue", spec.wear_per_shift),
        effort: spec.work_rate.words().to_owned(),
        worn_beside: "coverall, gloves, safety boots".to_owned(),
        climate: format!("about {} and {}", spec.temperature, spec.relative_humidity),
        program_copy: true,
        standard_copy: true,
    })
}

/// Kilograms of an invented respirator of this kind, as it is worn.
const fn weight(air_source: AirSource) -> &'static str {
    match air_source {
        AirSource::AirPurifying => "0.4",
        source if source.is_self_contained() => "11",
        _ => "1.6",
    }
}

fn recommendation(member: &Member, clearance: Clearance, until: Option<Date>) -> Fact {
    let (wearer, professional) = (person(&member.name), PROFESSIONAL.to_owned());
    Fact::ClearanceWritten { wearer, professional, clearance, until, copy_given: true }
}

fn powered_only(crew: &Crew) -> Clearance {
    Clearance::ClearedFor {
        air_sources: vec![AirSource::PoweredAirPurifying],
        limits: format!("powered units only, for the {} crew", crew.id),
    }
}

/// Training in wear for all, and in care and repair for those who do it.
fn train(scene: &mut Scene<'_>, workday: i64, member: &Member) -> anyhow::Result<()> {
    if member.odd == Some(MemberOdd::TrainingMissing) {
        return Ok(());
    }
    let mut topics = vec![TrainingTopic::Wear];
    if scene.site.technicians.contains(&member.name) {
        topics.extend([TrainingTopic::Care, TrainingTopic::Repair]);
    }
    let again = workday - scene.between(RENEWED_AFTER.0, RENEWED_AFTER.1);
    let renewed = again > 0 && member.odd != Some(MemberOdd::TrainingExpired);
    let not_understood = member.odd == Some(MemberOdd::TrainingNotUnderstood);
    for (on, understood) in [(Some(workday), true), (renewed.then_some(again), !not_understood)] {
        let Some(on) = on else { continue };
        let mut when = moment(scene, on, 13 * 60)?;
        for &topic in &topics {
            let wearer = person(&member.name);
            scene.desk(when, Fact::Trained { wearer, topic, understood })?;
            when = when.later(30);
        }
    }
    Ok(())
}

fn fit(scene: &mut Scene<'_>, workday: i64, crew: &Crew, member: &Member) -> anyhow::Result<()> {
    if member.odd == Some(MemberOdd::FitNever) {
        return Ok(());
    }
    let first = fit_test(scene, crew, member, false)?;
    let when = moment(scene, workday, 10 * 60)?.later(scene.between(0, 50));
    if member.odd.is_none() && scene.happens(SLIP_SHARE) {
        let slip = with_size(&first, other_size(&member.size));
        let wrong = scene.bench(when, slip)?;
        let entered = moment(scene, workday - 1, 9 * 60)?;
        scene.correct(wrong, when, entered, first)?;
    } else {
        scene.bench(when, first)?;
    }
    let again = workday - scene.between(RENEWED_AFTER.0, RENEWED_AFTER.1);
    if again > 0 && member.odd != Some(MemberOdd::FitExpired) {
        let when = moment(scene, again, 10 * 60)?.later(scene.between(0, 50));
        let renewed = fit_test(scene, crew, member, true)?;
        let renewed_key = scene.bench(when, renewed.clone())?;
        if member.odd == Some(MemberOdd::RecordsDisagree) {
            correct_twice(scene, (renewed_key, when), &renewed, &member.size)?;
        }
    }
    Ok(())
}

/// Two people put the same entry right in two ways, and nobody has settled which holds.
fn correct_twice(
    scene: &mut Scene<'_>,
    (wrong, when): (DraftKey, Moment),
    entered: &Fact,
    size: &str,
) -> anyhow::Result<()> {
    let at_noon = Moment { back: when.back, minute: 14 * 60 };
    scene.correct(wrong, when, at_noon, with_size(entered, other_size(size)))?;
    scene.correct(wrong, when, at_noon.later(90), entered.clone())
}

/// The fit test of this member; what went wrong shows in the renewal, or in both where the wrong
/// thing is the respirator or the method.
fn fit_test(
    scene: &mut Scene<'_>,
    crew: &Crew,
    member: &Member,
    renewal: bool,
) -> anyhow::Result<Fact> {
    let model = scene.listed.model(&crew.model)?;
    let full = model.device.facepiece == Facepiece::FullFacepiece;
    let odd = |which: MemberOdd| renewal && member.odd == Some(which);
    let failed = odd(MemberOdd::FitFailed);
    let factor = match member.odd {
        Some(MemberOdd::FitFactorLow) => 320.0,
        _ if failed => 61.0,
        _ if full => scene.amount(900.0, 5200.0).round(),
        _ => scene.amount(140.0, 900.0).round(),
    };
    let by_taste = !full && !failed && scene.happens(0.4);
    let method = if by_taste || member.odd == Some(MemberOdd::FitQualitative) {
        FitMethod::Qualitative
    } else {
        FitMethod::Quantitative { fit_factor: factor }
    };
    let hair_in_seal = odd(MemberOdd::HairInSeal);
    let note = match member.odd {
        Some(MemberOdd::SealNote) if renewal => "temple bars of the spectacles under the seal",
        _ => "",
    };
    Ok(Fact::FitTested {
        wearer: person(&member.name),
        model: ModelId::new(match member.odd {
            Some(MemberOdd::FitOtherModel) => "half-a",
            _ => crew.model.as_str(),
        }),
        size: match member.odd {
            Some(MemberOdd::FitOtherSize) => other_size(&member.size).to_owned(),
            _ => member.size.clone(),
        },
        method,
        passed: !failed,
        hair_in_seal,
        seal_note: note.to_owned(),
    })
}

fn other_size(size: &str) -> &'static str {
    if size == "S" { "M" } else { "S" }
}

fn with_size(fact: &Fact, wrong: &str) -> Fact {
    let mut slip = fact.clone();
    if let Fact::FitTested { size, .. } = &mut slip {
        wrong.clone_into(size);
    }
    slip
}

fn moment(scene: &Scene<'_>, workday: i64, minute: i64) -> anyhow::Result<Moment> {
    Ok(Moment { back: scene.calendar.last_workday(workday)?, minute })
}
