//! The curve of a vapour at the outlet of a set of elements, drawn as SVG.

use std::fmt::Write as _;

use crate::wording;

/// The drawing, in its own units: margins leave room for the words of the axes.
const WIDTH: f64 = 520.0;
const HEIGHT: f64 = 350.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 18.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 64.0;

/// Words at a mark right of this stand left of it: either way they fit at the size of a phone.
const FROM_HERE_LEFT: f64 = 275.0;

/// From one row of words to the next.
const ROW: f64 = 24.0;

/// What is drawn.
pub(crate) struct Chart {
    /// A sentence for those who do not see the curve.
    pub(crate) title: String,
    /// What the curve shows, in a sentence or two.
    pub(crate) description: String,
    /// Words at the upright axis, with the unit.
    pub(crate) up: String,
    /// The curves: name, then minutes and level of each point.
    pub(crate) curves: Vec<(String, Vec<(f64, f64)>)>,
    /// The level that ends the life, if it is one number.
    pub(crate) end_level: Option<(f64, String)>,
    /// Upright marks: minutes, words and the class that styles it.
    pub(crate) marks: Vec<Mark>,
}

/// An upright line with a word at it.
pub(crate) struct Mark {
    pub(crate) minutes: f64,
    pub(crate) words: String,
    pub(crate) class: &'static str,
}

/// Where a point of the data lies in the drawing.
struct Scale {
    minutes: f64,
    level: f64,
    /// Upper edge of the drawing.
    top: f64,
}

impl Scale {
    fn x(&self, minutes: f64) -> f64 {
        LEFT + (WIDTH - LEFT - RIGHT) * (minutes / self.minutes).clamp(0.0, 1.0)
    }

    fn y(&self, level: f64) -> f64 {
        self.floor() - (HEIGHT - TOP - BOTTOM) * (level / self.level).clamp(0.0, 1.0)
    }

    fn floor(&self) -> f64 {
        self.top + HEIGHT - TOP - BOTTOM
    }
}

impl Chart {
    /// The drawing, or `None` where there is no curve of at least two points.
    pub(crate) fn draw(&self, id: &str) -> Option<String> {
        let points = || self.curves.iter().flat_map(|(_, points)| points);
        let marked = self.marks.iter().map(|mark| mark.minutes).filter(|m| m.is_finite());
        let minutes = points().map(|point| point.0).chain(marked).fold(0.0, f64::max);
        let end = self.end_level.as_ref().map(|end| end.0);
        let level = points().map(|point| point.1).chain(end).fold(0.0, f64::max) * 1.05;
        let drawable = self.curves.iter().any(|(_, points)| points.len() > 1);
        let positive = minutes > 0.0 && level > 0.0 && (minutes + level).is_finite();
        if !(drawable && positive) {
            return None;
        }
        // The names of several curves stand above them, a row each.
        let names = if self.curves.len() > 1 { self.curves.len() } else { 0 };
        let rows = ROW * f64::from(u8::try_from(names).unwrap_or(u8::MAX));
        let scale = Scale { minutes, level, top: TOP + rows };
        let height = HEIGHT + rows;
        let mut svg = format!(
            r#"<svg class="chart" viewBox="0 0 {WIDTH} {height}" role="img" aria-labelledby="{id}-title {id}-desc">
<title id="{id}-title">{}</title><desc id="{id}-desc">{}</desc>
"#,
            escaped(&self.title),
            escaped(&self.description)
        );
        self.axes(&mut svg, &scale);
        self.level_line(&mut svg, &scale);
        self.lines(&mut svg, &scale);
        self.words(&mut svg, &scale);
        svg.push_str("</svg>");
        Some(svg)
    }

    fn axes(&self, svg: &mut String, scale: &Scale) {
        let (top, floor, right) = (scale.top, scale.floor(), WIDTH - RIGHT);
        for level in ticks(scale.level) {
            let y = scale.y(level);
            put(
                svg,
                format_args!(
                    r#"<path class="grid" d="M{LEFT} {y:.1}H{right}"/><text class="tick" x="{:.1}" y="{:.1}" text-anchor="end">{}</text>"#,
                    LEFT - 8.0,
                    y + 5.0,
                    wording::number(level)
                ),
            );
        }
        let (unit, per_unit) =
            if scale.minutes > 300.0 { ("hours", 60.0) } else { ("minutes", 1.0) };
        for time in ticks(scale.minutes / per_unit) {
            put(
                svg,
                format_args!(
                    r#"<text class="tick" x="{:.1}" y="{:.1}" text-anchor="middle">{}</text>"#,
                    scale.x(time * per_unit),
                    floor + 24.0,
                    wording::number(time)
                ),
            );
        }
        put(
            svg,
            format_args!(
                r#"<path class="axis" d="M{LEFT} {top}V{floor}H{right}"/>
<text class="axis-words" x="{:.1}" y="{:.1}" text-anchor="middle">time in contaminated air, {unit}</text>
<text class="axis-words" x="6" y="22">{}</text>"#,
                f64::midpoint(LEFT, right),
                floor + BOTTOM - 12.0,
                escaped(&self.up)
            ),
        );
    }

    fn level_line(&self, svg: &mut String, scale: &Scale) {
        let Some((level, words)) = &self.end_level else { return };
        let (y, right) = (scale.y(*level), WIDTH - RIGHT);
        // On the side where no mark stands.
        let late = self.shown_marks().all(|mark| scale.x(mark.minutes) > FROM_HERE_LEFT);
        let (x, anchor) = if late { (LEFT + 6.0, "start") } else { (right - 6.0, "end") };
        put(
            svg,
            format_args!(
                r#"<path class="end-level" d="M{LEFT} {y:.1}H{right}"/><text class="mark-words" x="{x:.1}" y="{:.1}" text-anchor="{anchor}">{}</text>"#,
                (y - 6.0).max(scale.top + 12.0),
                escaped(words)
            ),
        );
    }

    fn lines(&self, svg: &mut String, scale: &Scale) {
        for (index, (_, points)) in self.curves.iter().enumerate() {
            let mut path = String::new();
            for (place, (minutes, level)) in points.iter().enumerate() {
                let step = if place == 0 { 'M' } else { 'L' };
                let (x, y) = (scale.x(*minutes), scale.y(*level));
                put(&mut path, format_args!("{step}{x:.1} {y:.1}"));
            }
            put(svg, format_args!(r#"<path class="curve curve-{}" d="{path}"/>"#, index % 4));
        }
        for mark in self.shown_marks() {
            let (x, floor, class) = (scale.x(mark.minutes), scale.floor(), mark.class);
            let top = scale.top;
            put(svg, format_args!(r#"<path class="mark {class}" d="M{x:.1} {top}V{floor}"/>"#));
        }
    }

    fn shown_marks(&self) -> impl Iterator<Item = &Mark> {
        self.marks.iter().filter(|mark| mark.minutes.is_finite())
    }

    /// The words at the marks, a row each, and the names of several curves above the drawing.
    fn words(&self, svg: &mut String, scale: &Scale) {
        let mut row = scale.top + 16.0;
        for mark in self.shown_marks() {
            let x = scale.x(mark.minutes);
            let (anchor, shift) = if x > FROM_HERE_LEFT { ("end", -6.0) } else { ("start", 6.0) };
            let (x, words) = (x + shift, escaped(&mark.words));
            put(
                svg,
                format_args!(
                    r#"<text class="mark-words" x="{x:.1}" y="{row:.1}" text-anchor="{anchor}">{words}</text>"#
                ),
            );
            row += ROW;
        }
        row = TOP + 6.0;
        for (index, (name, _)) in self.curves.iter().enumerate().filter(|_| self.curves.len() > 1) {
            let (x, y, class, name) = (LEFT + 8.0, row - 5.0, index % 4, escaped(name));
            put(
                svg,
                format_args!(
                    r#"<path class="curve curve-{class}" d="M{x:.1} {y:.1}h34"/><text class="mark-words" x="{:.1}" y="{row:.1}">{name}</text>"#,
                    x + 42.0
                ),
            );
            row += ROW;
        }
    }
}

fn put(svg: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = svg.write_fmt(text);
}

/// Round numbers from 0 up to `highest`, four to eight of them.
fn ticks(highest: f64) -> Vec<f64> {
    let rough = highest / 6.0;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|round| round * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power);
    (0..=10_u8).map(|n| f64::from(n) * step).take_while(|tick| *tick <= highest).collect()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(points: Vec<(f64, f64)>) -> Chart {
        Chart {
            title: "<toluene>".into(),
            description: "rises".into(),
            up: "ppm".into(),
            curves: vec![("toluene".into(), points)],
            end_level: Some((20.0, "limit".into())),
            marks: vec![Mark { minutes: 90.0, words: "lower bound".into(), class: "lower" }],
        }
    }

    #[test]
    fn a_curve_stays_inside_the_drawing_and_says_what_it_is() {
        let svg = chart(vec![(0.0, 0.0), (100.0, 10.0), (200.0, 100.0)]).draw("c").unwrap();
        assert!(svg.contains("&lt;toluene&gt;") && svg.contains("role=\"img\""));
        assert!(svg.contains("minutes</text>") && svg.contains("lower bound"));
        assert!(!svg.contains("NaN") && !svg.contains("style="));
    }

    #[test]
    fn what_cannot_be_drawn_is_not() {
        assert_eq!(chart(vec![]).draw("c"), None);
        assert_eq!(chart(vec![(0.0, 0.0), (f64::INFINITY, 1.0)]).draw("c"), None);
    }

    #[test]
    fn ticks_are_round_and_few() {
        assert_eq!(ticks(100.0), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        for highest in [0.013, 1.0, 7.7, 480.0, 123_456.0] {
            let found = ticks(highest);
            assert!((3..=11).contains(&found.len()), "{highest}: {found:?}");
        }
    }
}
