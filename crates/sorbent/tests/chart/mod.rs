//! A plain line chart as SVG text.

use std::fmt::Write;

/// A named line.
pub struct Line {
    pub name: String,
    pub points: Vec<(f64, f64)>,
}

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 360.0;
/// Left, right, top and bottom of the field.
const FIELD: (f64, f64, f64, f64) = (60.0, 620.0, 40.0, 310.0);
/// Told apart without colour.
const DASHES: [&str; 3] = ["none", "8 4", "2 4"];

/// The chart; axes from lowest to highest with five marks each.
pub fn chart(
    title: &str,
    (x_name, y_name): (&str, &str),
    ((x0, x1), (y0, y1)): ((f64, f64), (f64, f64)),
    lines: &[Line],
) -> String {
    let (left, right, top, bottom) = FIELD;
    let x = |value: f64| left + (value - x0) / (x1 - x0) * (right - left);
    let y = |value: f64| bottom - (value - y0) / (y1 - y0) * (bottom - top);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" \
font-family=\"sans-serif\" font-size=\"13\">\n<title>{title}</title>\n\
<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"white\"/>\n\
<text x=\"{left}\" y=\"24\" font-size=\"15\">{title}</text>\n"
    );
    for mark in 0..=4 {
        let part = f64::from(mark) / 4.0;
        let (at_x, at_y) = (x0 + part * (x1 - x0), y0 + part * (y1 - y0));
        writeln!(
            svg,
            "<path d=\"M{left} {0:.1}H{right}\" stroke=\"#ccc\"/>\
<text x=\"{1}\" y=\"{2:.1}\" text-anchor=\"end\">{at_y}</text>\
<text x=\"{3:.1}\" y=\"{4}\" text-anchor=\"middle\">{at_x}</text>",
            y(at_y),
            left - 6.0,
            y(at_y) + 4.0,
            x(at_x),
            bottom + 18.0,
        )
        .unwrap();
    }
    writeln!(
        svg,
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{x_name}</text>\
<text transform=\"translate(16 {}) rotate(-90)\" text-anchor=\"middle\">{y_name}</text>",
        0.5 * (left + right),
        bottom + 38.0,
        0.5 * (top + bottom),
    )
    .unwrap();
    for (index, line) in lines.iter().enumerate() {
        let mut path = String::new();
        let inside = line.points.iter().filter(|(px, _)| x0 <= *px && *px <= x1);
        for (place, (px, py)) in inside.enumerate() {
            let step = if place == 0 { 'M' } else { 'L' };
            write!(path, "{step}{:.1} {:.1}", x(*px), y(py.clamp(y0, y1))).unwrap();
        }
        let dash = DASHES[index % DASHES.len()];
        let legend = top + 16.0 + 18.0 * index as f64;
        writeln!(
            svg,
            "<path d=\"{path}\" fill=\"none\" stroke=\"black\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>\n\
<path d=\"M{0} {1}h30\" stroke=\"black\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>\
<text x=\"{2}\" y=\"{3}\">{4}</text>",
            left + 10.0,
            legend,
            left + 46.0,
            legend + 4.0,
            line.name,
        )
        .unwrap();
    }
    svg.push_str("</svg>\n");
    svg
}
