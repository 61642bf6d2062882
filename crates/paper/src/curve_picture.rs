//! Curves of a level against time as a picture that stands by itself (SVG).

use std::fmt::Write as _;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 420.0;
const LEFT: f64 = 78.0;
const RIGHT: f64 = 24.0;
const TOP: f64 = 56.0;
const BOTTOM: f64 = 92.0;

/// Strokes that differ in colour and in dash, so that they are told apart in grey too.
const STROKES: [(&str, &str); 4] =
    [("#0b5394", ""), ("#a64d00", "8 4"), ("#38761d", "2 4"), ("#741b47", "12 4 2 4")];

/// What is drawn.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CurvePicture {
    /// What the picture shows, for its head and for those who do not see it.
    pub title: String,
    /// Words at the upright axis, with the unit.
    pub up: String,
    /// Words at the axis of time, with the unit.
    pub across: String,
    /// Curves: a name, and points of time and level.
    pub curves: Vec<(String, Vec<(f64, f64)>)>,
    /// A level drawn across, with its words.
    pub level: Option<(f64, String)>,
    /// Times drawn upright, with their words.
    pub marks: Vec<(f64, String)>,
}

/// The picture as SVG; the same data give the same bytes. None where no curve has two points.
#[must_use]
pub fn curve_picture(picture: &CurvePicture) -> Option<String> {
    let points = || picture.curves.iter().flat_map(|(_, points)| points.iter().copied());
    let longest = points().map(|(time, _)| time).fold(0.0, f64::max);
    let highest = points().map(|(_, level)| level).fold(0.0, f64::max);
    let highest = picture.level.as_ref().map_or(highest, |(level, _)| highest.max(*level * 1.2));
    if picture.curves.iter().all(|(_, points)| points.len() < 2) || longest <= 0.0 || highest <= 0.0
    {
        return None;
    }
    let frame = Frame { longest, highest: highest * 1.05 };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{0}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n<text x=\"{LEFT}\" y=\"22\" font-size=\"15\">{0}</text>\n",
        escaped(&picture.title)
    );
    frame.axes(&mut svg, picture);
    if let Some((level, words)) = &picture.level {
        let y = frame.y(*level);
        line(&mut svg, (LEFT, y), (WIDTH - RIGHT, y), "stroke=\"#b00\" stroke-dasharray=\"5 3\"");
        text(&mut svg, (LEFT + 6.0, y - 5.0), "fill=\"#b00\"", words);
    }
    for (place, (time, words)) in picture.marks.iter().filter(|(t, _)| *t <= longest).enumerate() {
        let x = frame.x(*time);
        let low = if place % 2 == 0 { 16.0 } else { 32.0 };
        line(&mut svg, (x, TOP), (x, HEIGHT - BOTTOM), "stroke=\"#555\" stroke-dasharray=\"2 3\"");
        let end = if x > 0.6 * WIDTH { "text-anchor=\"end\"" } else { "" };
        text(&mut svg, (x + if end.is_empty() { 4.0 } else { -4.0 }, TOP + low), end, words);
    }
    for (place, ((name, points), (colour, dash))) in
        picture.curves.iter().zip(STROKES.iter().cycle()).enumerate()
    {
        frame.curve(&mut svg, points, (colour, dash));
        let x = LEFT + 160.0 * column(place % 4);
        let y = HEIGHT - 14.0 - 18.0 * column(place / 4 % 2);
        let stroke = format!("stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"");
        line(&mut svg, (x, y - 4.0), (x + 26.0, y - 4.0), &stroke);
        text(&mut svg, (x + 32.0, y), "", name);
    }
    svg.push_str("</svg>\n");
    Some(svg)
}

/// The values at the ends of the axes.
struct Frame {
    longest: f64,
    highest: f64,
}

impl Frame {
    fn x(&self, time: f64) -> f64 {
        LEFT + (WIDTH - LEFT - RIGHT) * (time / self.longest).clamp(0.0, 1.0)
    }

    fn y(&self, level: f64) -> f64 {
        HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (level / self.highest).clamp(0.0, 1.0)
    }

    fn axes(&self, svg: &mut String, picture: &CurvePicture) {
        let (foot, end) = (HEIGHT - BOTTOM, WIDTH - RIGHT);
        for step in 0..=4_u8 {
            let part = f64::from(step) / 4.0;
            let (time, level) = (part * self.longest, part * self.highest);
            let (x, y) = (self.x(time), self.y(level));
            line(svg, (LEFT, y), (end, y), "stroke=\"#ddd\"");
            text(svg, (LEFT - 8.0, y + 4.0), "text-anchor=\"end\"", &short(level));
            text(svg, (x, foot + 18.0), "text-anchor=\"middle\"", &short(time));
        }
        line(svg, (LEFT, foot), (end, foot), "stroke=\"#333\"");
        line(svg, (LEFT, TOP), (LEFT, foot), "stroke=\"#333\"");
        text(svg, (LEFT, TOP - 12.0), "", &picture.up);
        text(svg, (end, foot + 38.0), "text-anchor=\"end\"", &picture.across);
    }

    fn curve(&self, svg: &mut String, points: &[(f64, f64)], (colour, dash): (&str, &str)) {
        let mut path = String::new();
        for (time, level) in points {
            let pen = if path.is_empty() { 'M' } else { 'L' };
            let _ = write!(path, "{pen}{:.1} {:.1}", self.x(*time), self.y(*level));
        }
        let _ = writeln!(
            svg,
            "<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>"
        );
    }
}

fn line(svg: &mut String, from: (f64, f64), to: (f64, f64), style: &str) {
    let ((x1, y1), (x2, y2)) = (from, to);
    let _ = writeln!(
        svg,
        "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" {style}/>"
    );
}

fn text(svg: &mut String, (x, y): (f64, f64), style: &str, words: &str) {
    let words = escaped(words);
    let _ = writeln!(svg, "<text x=\"{x:.1}\" y=\"{y:.1}\" {style}>{words}</text>");
}

fn column(place: usize) -> f64 {
    f64::from(u8::try_from(place).unwrap_or(u8::MAX))
}

/// Three digits are enough at an axis.
fn short(value: f64) -> String {
    match value {
        v if v >= 100.0 => format!("{v:.0}"),
        v if v >= 10.0 => format!("{v:.1}"),
        v if v >= 0.01 || v == 0.0 => format!("{v:.2}"),
        v => format!("{v:.1e}"),
    }
}

fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture() -> CurvePicture {
        CurvePicture {
            title: "a < b".to_owned(),
            up: "ppm".to_owned(),
            across: "minutes".to_owned(),
            curves: vec![("toluene".to_owned(), vec![(0.0, 0.0), (60.0, 2.0), (120.0, 50.0)])],
            level: Some((10.0, "end".to_owned())),
            marks: vec![(100.0, "best".to_owned()), (500.0, "beyond".to_owned())],
        }
    }

    #[test]
    fn the_same_curves_give_the_same_picture_and_words_are_escaped() {
        let svg = curve_picture(&picture()).unwrap_or_default();
        assert_eq!(Some(&svg), curve_picture(&picture()).as_ref());
        assert!(svg.contains("a &lt; b") && svg.contains("toluene") && svg.contains("M78.0 "));
        assert!(svg.contains("best") && !svg.contains("beyond"), "no mark past the curve");
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
    }

    #[test]
    fn nothing_to_draw_is_no_picture() {
        assert_eq!(curve_picture(&CurvePicture::default()), None);
    }
}
