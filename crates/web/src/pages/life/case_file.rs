//! The form as a written case, line by line, so that a refusal finds its way back to its field.

use program::case::{CaseError, Penetration};
use program::{CalibratedCarbon, CalibratedReactions, TaskSegment};
use quantity::{
    Celsius, Centimetres, Cm3PerGram, Concentration, Grams, GramsPerCm3, KilojoulesPerMol,
    Kilopascal, LitrePerMin, Minutes, Percent, RelHumidity, SquareCm,
};
use rulebook::ElementKind;
use serde_json::Value;

use super::CONTAMINANTS;
use crate::fields::Fields;

/// The text, and for each line the field it came from.
pub(super) struct CaseFile {
    text: String,
    lines: Vec<&'static str>,
}

impl CaseFile {
    /// Writes what was typed; what cannot be read is told beside its field.
    pub(super) fn of(fields: &mut Fields) -> Self {
        let mut file = Self { text: String::new(), lines: Vec::new() };
        let carbon =
            fields.read::<CalibratedCarbon>("calibration").map(|carbon| carbon.to_string());
        let (found, unsure) = match carbon.as_deref().and_then(|lines| lines.split_once("\n\n")) {
            Some((found, unsure)) => (Some(found.to_owned()), Some(unsure.to_owned())),
            None => (None, None),
        };
        file.cartridge(fields, found.as_deref());
        file.air(fields);
        file.contaminants(fields);
        if fields.filled("penetration").is_some() {
            file.head("[end]", "penetration");
            file.quantity::<Penetration>(fields, "penetration");
        }
        file.head("\n[work]", "wear");
        file.quantity::<Minutes>(fields, "wear");
        file.whole::<u8>(fields, "shifts_before_change");
        file.quantity::<Minutes>(fields, "between_shifts");
        file.chosen(fields, "storage");
        file.uncertainty(fields, unsure.as_deref());
        file.segments(fields);
        if let Some(lines) = fields.read::<CalibratedReactions>("reactions") {
            lines.to_string().lines().for_each(|line| file.push(line, "reactions"));
        }
        file
    }

    /// The pattern of a shift, in lines or as a case file writes it; nothing but segments is taken.
    fn segments(&mut self, fields: &mut Fields) {
        let Some(text) = fields.filled("segments").map(str::to_owned) else { return };
        if !text.contains('[') && !text.contains('=') {
            match TaskSegment::read_all(&text) {
                Ok(segments) => {
                    segments.iter().zip(1..).for_each(|(s, n)| self.segment(fields, (s, n)))
                }
                Err(why) => fields.refuse("segments", why),
            }
            return;
        }
        let other = |line: &&str| line.starts_with('[') && !line.starts_with("[[segment]]");
        let lines = || text.lines().map(str::trim);
        if let Some(line) = lines().find(other) {
            fields.refuse(
                "segments",
                format!("`{line}` is no segment\n  paste the [[segment]] tables alone"),
            );
        } else if lines().find(|line| !line.is_empty() && !line.starts_with('#'))
            != lines().find(|line| line.starts_with("[[segment]]"))
        {
            fields.refuse("segments", "start with a line [[segment]]");
        }
        lines().for_each(|line| self.push(line, "segments"));
    }

    /// A segment that was written as a line.
    fn segment(&mut self, fields: &mut Fields, (segment, number): (&TaskSegment, u32)) {
        if segment.share.is_some() {
            let why = format!(
                "segment {number}: a share is that of readings, and here are none\n  write the level of each substance, such as toluene 20 ppm"
            );
            fields.refuse("segments", why);
        }
        self.head("\n[[segment]]", "segments");
        // The words of a segment are those of the case file.
        let told = serde_json::to_value(segment).unwrap_or_default();
        for key in ["duration", "mask", "storage", "work_rate", "temperature", "relative_humidity"]
        {
            if let Some(value) = told.get(key).and_then(Value::as_str) {
                self.line("segments", key, &quoted(value));
            }
        }
        for (cas, level) in &segment.level {
            let key = format!("level.{}", quoted(&cas.to_string()));
            self.line("segments", &key, &quoted(&level.to_string()));
        }
    }

    pub(super) fn text(&self) -> &str {
        &self.text
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }

    /// The field that a refusal speaks of: that of its line, or the one whose key is missing.
    pub(super) fn field_of(&self, error: &CaseError) -> &'static str {
        let named = |field: &&&'static str| error.message.contains(&format!("{field} = \""));
        let missing = KEYS.iter().find(named).copied();
        let on_line = self.lines.get(error.line.saturating_sub(1)).copied();
        missing.or(on_line).unwrap_or("contaminant_1")
    }

    /// The elements; what a calibration found of their carbon stands in place of what is typed.
    fn cartridge(&mut self, fields: &mut Fields, found: Option<&str>) {
        let keys = [
            "elements",
            "sorbent_mass",
            "bed_area",
            "bulk_density",
            "granule",
            "micropore_volume",
            "reference_energy",
            "rate_factor",
            "stored_humidity",
            "certified_for",
        ];
        if found.is_none() && keys.iter().all(|key| fields.filled(key).is_none()) {
            return;
        }
        self.head("[cartridge]", "elements");
        self.whole::<i64>(fields, "elements");
        self.quantity::<Grams>(fields, "sorbent_mass");
        self.quantity::<SquareCm>(fields, "bed_area");
        self.quantity::<GramsPerCm3>(fields, "bulk_density");
        self.quantity::<Centimetres>(fields, "granule");
        if let Some(found) = found {
            for key in CARBON {
                refuse_beside_calibration(fields, key);
            }
            found.lines().skip(1).for_each(|line| self.push(line, "calibration"));
        } else {
            self.quantity::<Cm3PerGram>(fields, "micropore_volume");
            self.quantity::<KilojoulesPerMol>(fields, "reference_energy");
            self.number(fields, "rate_factor");
        }
        self.quantity::<RelHumidity>(fields, "stored_humidity");
        self.chosen(fields, "certified_for");
    }

    /// How sure the inputs are, where it is told.
    fn uncertainty(&mut self, fields: &mut Fields, calibrated: Option<&str>) {
        let told = |fields: &Fields, field| fields.filled(field).is_some();
        if calibrated.is_none() && !UNCERTAINTY.iter().any(|unsure| told(fields, unsure.field)) {
            return;
        }
        self.head("\n[uncertainty]", "calibration");
        let lines = calibrated.into_iter().flat_map(str::lines).skip(1);
        lines.for_each(|line| self.push(line, "calibration"));
        for unsure in &UNCERTAINTY {
            if calibrated.is_some() && unsure.calibrated {
                refuse_beside_calibration(fields, unsure.field);
            } else if let Some(text) = fields.filled(unsure.field).map(quoted) {
                fields.read::<Percent>(unsure.field);
                self.line(unsure.field, unsure.key, &text);
            }
        }
    }

    fn air(&mut self, fields: &mut Fields) {
        self.head("\n[air]", "flow");
        fields.need("flow", "say how much air passes through the elements, such as 53.3 L/min");
        fields.need("temperature", "say how warm it is, such as 22 degC");
        fields.need("relative_humidity", "say how humid it is, such as 50 %");
        self.quantity::<LitrePerMin>(fields, "flow");
        self.quantity::<Celsius>(fields, "temperature");
        self.quantity::<RelHumidity>(fields, "relative_humidity");
        self.quantity::<Kilopascal>(fields, "pressure");
    }

    fn contaminants(&mut self, fields: &mut Fields) {
        let filled = |fields: &Fields, (what, level): (&'static str, &'static str)| {
            fields.filled(what).is_some() || fields.filled(level).is_some()
        };
        for (place, pair) in CONTAMINANTS.into_iter().enumerate() {
            if place > 0 && !filled(fields, pair) {
                continue;
            }
            let (what, level) = pair;
            self.head("\n[[contaminant]]", what);
            if let Some(name) = fields.need(what, "say what is in the air") {
                let digits = name.chars().all(|c| c.is_ascii_digit() || c == '-');
                self.line(what, if digits { "cas" } else { "name" }, &quoted(&name));
            }
            if let Some(text) = fields.need(level, "say how much of it, such as 100 ppm") {
                fields.read::<Concentration>(level);
                self.line(level, "concentration", &quoted(&text));
            }
        }
    }

    /// The heading of a table; a line that it starts with an empty one counts too.
    fn head(&mut self, heading: &str, field: &'static str) {
        self.push(heading, field);
    }

    fn quantity<T>(&mut self, fields: &mut Fields, key: &'static str)
    where
        T: std::str::FromStr,
        T::Err: ToString,
    {
        if let Some(text) = fields.filled(key).map(quoted) {
            fields.read::<T>(key);
            self.line(key, key, &text);
        }
    }

    fn chosen(&mut self, fields: &Fields, key: &'static str) {
        if let Some(choice) = fields.filled(key) {
            self.line(key, key, &quoted(choice));
        }
    }

    fn number(&mut self, fields: &mut Fields, key: &'static str) {
        let Some(text) = fields.filled(key).map(str::to_owned) else { return };
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() => self.line(key, key, &number.to_string()),
            _ => fields.refuse(key, format!("`{text}` is no number\n  write digits, such as 0.8")),
        }
    }

    fn whole<T: std::str::FromStr>(&mut self, fields: &mut Fields, key: &'static str) {
        let Some(text) = fields.filled(key).map(str::to_owned) else { return };
        if text.bytes().all(|byte| byte.is_ascii_digit()) && text.parse::<T>().is_ok() {
            self.line(key, key, text.trim_start_matches('0'));
        } else {
            fields.refuse(key, format!("`{text}` is not a whole number\n  write digits alone"));
        }
    }

    fn line(&mut self, field: &'static str, key: &str, value: &str) {
        let value = if value.is_empty() { "0" } else { value };
        self.push(&format!("{key} = {value}"), field);
    }

    fn push(&mut self, text: &str, field: &'static str) {
        for line in text.split('\n') {
            self.text.push_str(line);
            self.text.push('\n');
            self.lines.push(field);
        }
    }
}

/// What a calibration finds, and what is typed where there is none.
const CARBON: [&str; 3] = ["micropore_volume", "reference_energy", "rate_factor"];

fn refuse_beside_calibration(fields: &mut Fields, key: &str) {
    if fields.filled(key).is_some() {
        let why = "the lines of the calibration tell it\n  empty this field, or those lines";
        fields.refuse(key, why);
    }
}

/// One input whose standard deviation may be told.
pub(super) struct Unsure {
    /// Its field.
    pub(super) field: &'static str,
    /// Its key in a case file.
    key: &'static str,
    /// Its words.
    pub(super) label: &'static str,
    /// Whether a calibration tells it.
    calibrated: bool,
}

const fn unsure(field: &'static str, key: &'static str, label: &'static str) -> Unsure {
    Unsure { field, key, label, calibrated: false }
}

/// The inputs whose standard deviations may be told.
pub(super) const UNCERTAINTY: [Unsure; 12] = [
    unsure("unsure_concentration", "concentration", "Concentration"),
    unsure("unsure_flow", "flow", "Air flow"),
    unsure("unsure_temperature", "temperature", "Absolute temperature"),
    unsure("unsure_humidity", "relative_humidity", "Humidity, in parts of saturation"),
    unsure("unsure_pressure", "pressure", "Pressure"),
    unsure("unsure_mass", "sorbent_mass", "Sorbent in each"),
    unsure("unsure_area", "bed_area", "Area of each bed"),
    unsure("unsure_density", "bulk_density", "Bulk density"),
    unsure("unsure_granule", "granule", "Granule size"),
    Unsure { calibrated: true, ..unsure("unsure_volume", "micropore_volume", "Micropore volume") },
    Unsure {
        calibrated: true,
        ..unsure("unsure_energy", "reference_energy", "Characteristic energy")
    },
    Unsure { calibrated: true, ..unsure("unsure_rate", "rate", "Rate") },
];

/// Keys that a refusal may say are missing.
const KEYS: [&str; 8] = [
    "sorbent_mass",
    "bed_area",
    "bulk_density",
    "granule",
    "micropore_volume",
    "flow",
    "temperature",
    "relative_humidity",
];

/// The name of a kind in a written case.
pub(super) fn kind_in_file(kind: ElementKind) -> String {
    match serde_json::to_value(kind) {
        Ok(serde_json::Value::String(name)) => name,
        _ => String::new(),
    }
}

/// A TOML basic string: nothing typed can end it or start a line of its own.
fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for character in text.chars() {
        match character {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            control if control.is_control() => {
                out.push_str(&format!("\\u{:04X}", u32::from(control)));
            }
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_typed_can_break_out_of_its_line() {
        for text in ["a\"\nflow = 1", "\\", "\u{7f}\t", "plain"] {
            let file = format!("key = {}", quoted(text));
            assert!(!file.contains('\n'));
            let read: std::collections::BTreeMap<String, String> = toml::from_str(&file).unwrap();
            assert_eq!(read.get("key").unwrap(), text);
        }
    }

    #[test]
    fn segments_are_taken_and_nothing_else() {
        let file = |text: &str| {
            let mut fields = Fields::of([("segments", text)]);
            let file = CaseFile::of(&mut fields);
            (file, fields.why_wrong("segments").map(str::to_owned))
        };
        let (taken, wrong) = file("# a day\n[[segment]]\nduration = \"1 h\"\n");
        assert!(taken.text().ends_with("[[segment]]\nduration = \"1 h\"\n") && wrong.is_none());
        for text in ["[place]\noxygen = \"20.9 %\"", "duration = \"1 h\"\n[[segment]]", "x = 1"] {
            assert!(file(text).1.is_some(), "{text}");
        }
    }

    #[test]
    fn every_line_knows_its_field() {
        let mut fields = Fields::of([
            ("contaminant_1", "toluene"),
            ("concentration_1", "100 ppm"),
            ("flow", "50 L/min"),
            ("temperature", "22 degC"),
            ("relative_humidity", "50 %"),
        ]);
        let file = CaseFile::of(&mut fields);
        assert!(!fields.has_errors());
        let line = file.text.lines().position(|line| line.starts_with("concentration")).unwrap();
        assert_eq!(file.lines[line], "concentration_1");
        assert_eq!(file.text.lines().count(), file.lines.len());
    }
}
