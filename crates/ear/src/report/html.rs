//! The report as one page that needs nothing else: no script, no font, no network.

mod chart;
mod escape;
mod tables;

use std::fmt::Write as _;

use escape::escape;

use super::figures::{clock, with_interval};
use super::shape::{Line, Report};
use crate::Measure;

const STYLE: &str = include_str!("html/style.css");

/// The report as a page. `heard_svg` is the engraved part as it was heard, if there is one: it
/// is put in as it is, so it must come from an engraver and not from a stranger.
#[must_use]
pub fn html(report: &Report, heard_svg: Option<&str>) -> String {
    let heading = &report.heading;
    let title = if heading.title.is_empty() {
        "Take"
    } else {
        &heading.title
    };
    let mut page = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src \
         'unsafe-inline'; img-src data:; font-src data:\">\n<title>{}</title>\n<style>\n{STYLE}\
         </style>\n</head>\n<body>\n<header>\n<h1>{}</h1>\n",
        escape(title),
        escape(title)
    );
    let who = [&heading.player, &heading.instrument_name, &heading.recorded];
    let who: Vec<String> = who
        .iter()
        .filter(|w| !w.is_empty())
        .map(|w| escape(w))
        .collect();
    let _ = write!(
        page,
        "<p class=\"who\">{}</p>\n</header>\n<main>\n",
        who.join(" · ")
    );
    let _ = writeln!(
        page,
        "<p class=\"verdict\">{}</p>",
        escape(&report.verdict.words)
    );
    for fault in report.faults_to_tell() {
        let _ = writeln!(page, "<p class=\"fault\">{}</p>", escape(&fault.words));
    }
    if report.verdict.trusted {
        figures(report, &mut page);
        findings(report, &mut page);
        if let Some(svg) = heard_svg {
            let _ = writeln!(
                page,
                "<h2>The part as it was heard</h2>\n<div class=\"score\">{svg}</div>"
            );
        }
        lines(report, &mut page);
        tables::roofs(&report.same_roof, &mut page);
    }
    room(report, &mut page);
    let _ = write!(
        page,
        "</main>\n<footer>± is a 95 % interval. A4 = {:.1} Hz. Flat is blue with ▼, sharp is \
         orange with ▲, both only beyond 5 cents and beyond the interval. Made with {}.</footer>\n\
         </body>\n</html>\n",
        report.tuning.a4.0,
        escape(&report.made_with)
    );
    page
}

fn figures(report: &Report, page: &mut String) {
    let take = &report.take;
    let split = |measure: Measure, unit: &str| {
        let text = with_interval(measure, unit);
        match text.split_once(" ± ") {
            Some((value, rest)) => (value.to_string(), format!("± {rest}")),
            None => ("–".into(), text),
        }
    };
    let mut tiles: Vec<(&str, (String, String))> = Vec::new();
    if take.asked > 0 {
        tiles.push((
            "Notes as asked",
            (
                format!("{} of {}", take.as_asked, take.asked),
                format!(
                    "{} wrong, {} missing, {} extra",
                    take.wrong, take.missing, take.extra
                ),
            ),
        ));
        tiles.push((
            "Slurs",
            (
                take.slurs.to_string(),
                format!("a partial caught in {}", take.slurs_caught),
            ),
        ));
    } else {
        tiles.push((
            "Notes heard",
            (
                take.extra.to_string(),
                format!("in {}", clock(take.seconds)),
            ),
        ));
    }
    for (name, measure, unit) in [
        ("Pitch", take.pitch_cents, "cents"),
        ("Spread of pitch", take.spread_cents, "cents"),
        ("Wander in a note", take.wander_cents, "cents"),
        ("Slur", take.slur_ms, "ms"),
        ("Attack", take.attack_ms, "ms"),
        ("Level", take.level_db, "LKFS"),
        ("Sound level", take.level_dba, "dB(A)"),
    ] {
        if measure.value().is_some() {
            tiles.push((name, split(measure, unit)));
        }
    }
    let mut rows = String::new();
    for (name, (value, below)) in tiles {
        let _ = writeln!(
            rows,
            "<div><dt>{name}</dt><dd>{}<small>{}</small></dd></div>",
            escape(&value),
            escape(&below)
        );
    }
    let _ = writeln!(page, "<dl class=\"figures\">\n{rows}</dl>");
}

fn findings(report: &Report, page: &mut String) {
    page.push_str("<h2>What stands out</h2>\n");
    if report.findings.is_empty() {
        page.push_str("<p>Nothing goes beyond its limit.</p>\n");
        return;
    }
    page.push_str("<ol class=\"findings\">\n");
    for finding in &report.findings {
        let _ = writeln!(page, "<li>{}</li>", escape(&finding.words));
    }
    page.push_str("</ol>\n");
}

fn lines(report: &Report, page: &mut String) {
    if !report.lines.is_empty() {
        page.push_str("<h2>Line by line</h2>\n");
    }
    for (number, line) in report.lines.iter().enumerate() {
        one_line(line, report.tuning.a4.0, number, page);
    }
    if !report.other_notes.is_empty() {
        page.push_str("<h2>Notes that nothing asked for</h2>\n");
        tables::notes(&report.other_notes, "Other notes", page);
    }
}

fn one_line(line: &Line, a4: f64, number: usize, page: &mut String) {
    let label = escape(if line.label.is_empty() {
        &line.id
    } else {
        &line.label
    });
    let again = match line.pass {
        0 => String::new(),
        n => format!(", time {}", n + 1),
    };
    let _ = write!(
        page,
        "<figure>\n<h3>{label}{again}<small>{} to {}</small></h3>\n<div class=\"scroll\" \
         tabindex=\"0\" role=\"region\" aria-label=\"Pitch and level of line {label}\">{}</div>\n",
        clock(line.from_s),
        clock(line.to_s),
        chart::chart(line, a4, number)
    );
    page.push_str("<details><summary>All figures of this line</summary>\n");
    tables::notes(&line.notes, &format!("Notes of line {}", line.label), page);
    tables::slurs(&line.slurs, page);
    page.push_str("</details>\n</figure>\n");
}

fn room(report: &Report, page: &mut String) {
    page.push_str("<h2>Room and microphone</h2>\n");
    for words in &report.room.words {
        let _ = writeln!(page, "<p>{}</p>", escape(words));
    }
    if !report.cautions.is_empty() {
        page.push_str("<h2>Take care</h2>\n");
    }
    for caution in &report.cautions {
        let _ = writeln!(page, "<p>{}</p>", escape(caution));
    }
}
