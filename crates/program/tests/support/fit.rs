//! Fit tests as they are measured.

use program::{AgentsMade, Fact, FitExercise, FitRecord, ModelId, PersonId};
use rulebook::fit_test::{Mask, TestedAs};

use super::plant::{ada, unit};

/// A fit test of Ada in which nothing was noticed, or a factor of 2000 was measured.
pub fn measured(model: &str, protocol: &str, way: Option<TestedAs>) -> Fact {
    let by_number = protocol.starts_with("QNFT");
    let exercises = rulebook::fit_test::protocol(protocol).unwrap().exercises.iter();
    let exercises = exercises.map(|exercise| FitExercise {
        number: exercise.number,
        factor: by_number.then_some(2000.0).filter(|_| exercise.counts),
        noticed: (!by_number).then_some(false),
        ..FitExercise::default()
    });
    let asked = (!by_number).then_some(true);
    let changed = way.filter(|way| way.changes_own());
    Fact::FitMeasured {
        wearer: ada(),
        model: ModelId::new(model),
        size: "M".to_owned(),
        tester: PersonId::new("tess"),
        record: FitRecord {
            protocol: protocol.to_owned(),
            facepiece: Mask::FullFacepiece,
            screening_passed: asked,
            agent_proved: asked,
            made: AgentsMade::default(),
            adjusted: None,
            comfortable: None,
            exercises: exercises.collect(),
        },
        hair_in_seal: false,
        seal_note: String::new(),
        tested_as: way,
        unit: changed.map(|_| unit()),
        restored: changed.map(|_| true),
        instrument: None,
    }
}

/// The same with a half mask that cleans the air.
pub fn half_by(protocol: &str) -> Fact {
    let mut fact = measured("half", protocol, None);
    if let Fact::FitMeasured { record, .. } = &mut fact {
        record.facepiece = Mask::HalfMask;
    }
    fact
}
