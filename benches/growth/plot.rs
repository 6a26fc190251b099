//! The runs as a picture: for what is counted a row, time on the left and memory on the right, all scales logarithmic.

use std::ops::Range;
use std::path::Path;

use plotters::prelude::*;

use crate::{Run, median};

/// Width and height of one chart.
const CHART: (u32, u32) = (440, 280);

/// What is drawn, between which values, and where it stands.
type Measure = (&'static str, Range<f64>, fn(&Run) -> f64);

/// Draws all runs into an SVG file; what is not proved is hollow, the line joins the medians.
pub fn draw(file: &Path, all: &[(&str, Vec<Run>)]) {
    let n_rows = u32::try_from(all.len()).unwrap();
    let size = (2 * CHART.0, n_rows * CHART.1);
    let area = SVGBackend::new(file, size).into_drawing_area();
    area.fill(&WHITE).unwrap();
    let measures: [Measure; 2] = [
        ("seconds", 0.01..30.0, |run| run.seconds),
        ("megabytes", 5.0..500.0, |run| run.megabytes),
    ];
    let charts = area.split_evenly((all.len(), measures.len()));
    for ((name, runs), charts) in all.iter().zip(charts.chunks(measures.len())) {
        for ((measure, range, value), chart) in measures.iter().zip(charts) {
            let caption = format!("{measure} by {name}");
            draw_chart(chart, &caption, runs, range.clone(), *value);
        }
    }
    area.present().unwrap();
}

fn draw_chart(
    area: &DrawingArea<SVGBackend<'_>, plotters::coord::Shift>,
    caption: &str,
    runs: &[Run],
    range: Range<f64>,
    value: fn(&Run) -> f64,
) {
    let counts = runs.iter().map(|run| run.count as f64);
    let first = counts.clone().fold(f64::MAX, f64::min);
    let last = counts.fold(0.0, f64::max);
    let mut chart = ChartBuilder::on(area)
        .caption(caption, ("sans-serif", 15))
        .margin(12)
        .x_label_area_size(28)
        .y_label_area_size(52)
        .build_cartesian_2d((first * 0.8..last * 1.25).log_scale(), range.log_scale())
        .unwrap();
    let label = |value: &f64| {
        if *value >= 1.0 {
            format!("{value:.0}")
        } else {
            format!("{value}")
        }
    };
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(BLACK.mix(0.2))
        .x_labels(5)
        .y_labels(5)
        .x_label_formatter(&label)
        .y_label_formatter(&label)
        .draw()
        .unwrap();
    let medians = runs.chunk_by(|one, next| one.count == next.count);
    let medians = medians.map(|own| (own[0].count as f64, median(own.iter().map(value))));
    chart
        .draw_series(LineSeries::new(medians, BLACK.stroke_width(1)))
        .unwrap();
    let points = runs.iter().map(|run| {
        let style = ShapeStyle {
            color: BLACK.to_rgba(),
            filled: run.is_proved,
            stroke_width: 1,
        };
        Circle::new((run.count as f64, value(run)), 3, style)
    });
    chart.draw_series(points).unwrap();
}
