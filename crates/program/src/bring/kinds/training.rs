use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use super::{TIME, WEARER};
use crate::entry::{Fact, TrainingTopic};

pub(in super::super) const FIELDS: &[Field] = &[
    WEARER,
    Field::needed(
        "topic",
        &["course", "subject", "training", "training topic"],
        "what was taught, such as wear",
    ),
    Field::needed(
        "date",
        &["trained", "trained on", "training date", "date trained", "completed", "date completed"],
        "the day of the training",
    ),
    TIME,
    Field::needed(
        "understood",
        &["understanding shown", "passed", "result", "competent", "outcome"],
        "whether understanding was shown",
    ),
];

const TOPICS: &[(&[&str], TrainingTopic)] = &[
    (&["wear", "wearing", "use", "respirator use", "wearer", "user"], TrainingTopic::Wear),
    (
        &["care", "cleaning", "cleaning and inspecting", "cleaning and inspection"],
        TrainingTopic::Care,
    ),
    (&["repair", "repairs"], TrainingTopic::Repair),
    (&["regulator repair", "regulators"], TrainingTopic::RegulatorRepair),
    (&["fit testing", "fit tester", "fit test"], TrainingTopic::FitTesting),
    (&["air supply", "filling", "filling cylinders"], TrainingTopic::AirSupply),
    (&["rescue", "standby", "standing by and rescue"], TrainingTopic::Rescue),
    (&["administration", "administrator", "program administration"], TrainingTopic::Administration),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let wearer = known.person(row);
    let topic = row.choice("topic", TOPICS);
    let when = row.when("date");
    let understood = row.outcome("understood");
    let fact = Fact::Trained { wearer: wearer?, topic: topic?, understood: understood? };
    Some(Draft { fact, when: Some(when?) })
}
