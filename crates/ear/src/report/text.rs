//! The report for a terminal or a plain mail: 80 columns, no colour needed.

use std::fmt::Write as _;

use super::figures::{arrow, clock, short, side, with_interval};
use super::shape::{Line, Note, Outcome, Report};

/// Widest line of text.
const WIDTH: usize = 80;

/// The report as plain text.
#[must_use]
pub fn text(report: &Report) -> String {
    let mut page = String::new();
    heading(report, &mut page);
    paragraph(&report.verdict.words, "", &mut page);
    for fault in report.faults_to_tell() {
        paragraph(&fault.words, "! ", &mut page);
    }
    if report.verdict.trusted {
        summary(report, &mut page);
        findings(report, &mut page);
        for line in &report.lines {
            one_line(line, &mut page);
        }
        if !report.other_notes.is_empty() {
            page.push_str("\nOther notes\n");
            for note in &report.other_notes {
                note_row(note, &mut page);
            }
        }
        roofs(report, &mut page);
    }
    page.push_str("\nRoom and microphone\n");
    for words in &report.room.words {
        paragraph(words, "  ", &mut page);
    }
    for caution in &report.cautions {
        paragraph(caution, "Caution: ", &mut page);
    }
    let _ = writeln!(
        page,
        "\n± is a 95 % interval. A4 = {:.1} Hz. Made with {}.",
        report.tuning.a4.0, report.made_with
    );
    page
}

fn heading(report: &Report, page: &mut String) {
    let h = &report.heading;
    let title = if h.title.is_empty() { "Take" } else { &h.title };
    let _ = writeln!(
        page,
        "{title}\n{}",
        "=".repeat(title.chars().count().min(WIDTH))
    );
    let parts = [&h.player, &h.instrument_name, &h.recorded];
    let parts: Vec<&str> = parts
        .iter()
        .map(|p| p.as_str())
        .filter(|p| !p.is_empty())
        .collect();
    if !parts.is_empty() {
        let _ = writeln!(page, "{}", parts.join(" · "));
    }
    page.push('\n');
}

/// Words broken at spaces, the first line behind a mark, the rest as far in.
fn paragraph(words: &str, mark: &str, page: &mut String) {
    let indent = " ".repeat(mark.chars().count());
    let mut line = mark.to_string();
    let mut empty = true;
    for word in words.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            let _ = writeln!(page, "{}", line.trim_end());
            line.clone_from(&indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    let _ = writeln!(page, "{}", line.trim_end());
}

fn summary(report: &Report, page: &mut String) {
    let take = &report.take;
    page.push('\n');
    if take.asked > 0 {
        let _ = writeln!(
            page,
            "Notes        {} of {} as asked, {} wrong, {} missing, {} extra",
            take.as_asked, take.asked, take.wrong, take.missing, take.extra
        );
        let _ = writeln!(
            page,
            "Slurs        {}, a partial caught in {}",
            take.slurs, take.slurs_caught
        );
    } else {
        let _ = writeln!(page, "Notes        {} heard", take.extra);
    }
    for (name, measure, unit) in [
        ("Pitch", take.pitch_cents, "cents"),
        ("  spread", take.spread_cents, "cents"),
        ("Wander", take.wander_cents, "cents"),
        ("Slur", take.slur_ms, "ms"),
        ("Attack", take.attack_ms, "ms"),
        ("Level", take.level_db, "LKFS"),
        ("  calibrated", take.level_dba, "dB(A)"),
    ] {
        if measure.value().is_some() {
            let _ = writeln!(page, "{name:<12} {}", with_interval(measure, unit));
        }
    }
}

fn findings(report: &Report, page: &mut String) {
    page.push_str("\nWhat stands out\n");
    if report.findings.is_empty() {
        page.push_str("  Nothing goes beyond its limit.\n");
    }
    for (i, finding) in report.findings.iter().enumerate() {
        paragraph(&finding.words, &format!("{:>3}. ", i + 1), page);
    }
}

fn one_line(line: &Line, page: &mut String) {
    let label = if line.label.is_empty() {
        &line.id
    } else {
        &line.label
    };
    let again = match line.pass {
        0 => String::new(),
        n => format!(", time {}", n + 1),
    };
    let _ = writeln!(
        page,
        "\nLine {label}{again}  {} to {}",
        clock(line.from_s),
        clock(line.to_s)
    );
    let _ = writeln!(
        page,
        "  {:<10}{:>13}  {:>13}{:>13}{:>15}",
        "note", "cents", "wander", "attack ms", "level LKFS"
    );
    for note in &line.notes {
        note_row(note, page);
    }
    for slur in line.slurs.iter().filter(|s| !s.caught.is_empty()) {
        for caught in &slur.caught {
            let _ = writeln!(
                page,
                "  caught: partial {} from {} to {}, {}",
                caught.tube.partial,
                slur.names.0,
                slur.names.1,
                with_interval(caught.held_ms, "ms")
            );
        }
    }
}

fn note_row(note: &Note, page: &mut String) {
    let name = note.written.as_ref().unwrap_or(&note.name);
    let m = &note.measures;
    match note.outcome {
        Outcome::Missing => {
            let _ = writeln!(page, "  {name:<10}missing");
        }
        Outcome::Wrong | Outcome::OtherPartial => {
            let heard = note
                .heard_midi
                .map(|m| tone::Pitch::from_midi(m).to_string());
            let _ = writeln!(
                page,
                "  {name:<10}{} was heard",
                heard.unwrap_or_else(|| "another note".into())
            );
        }
        Outcome::AsAsked | Outcome::Extra => {
            let mark = arrow(side(m.pitch_cents));
            let _ = writeln!(
                page,
                "  {name:<10}{:>13} {mark:<1}{:>13}{:>13}{:>15}",
                short(m.pitch_cents),
                short(m.wander_cents),
                short(m.attack_ms),
                short(m.level_db),
            );
        }
    }
}

fn roofs(report: &Report, page: &mut String) {
    for roof in &report.same_roof {
        let words = format!(
            "The same {} from {} lines: sound {}, level {}, pitch {}",
            roof.name,
            roof.times.len(),
            with_interval(roof.sound_spread_db, "dB apart"),
            with_interval(roof.level_spread_db, "dB"),
            with_interval(roof.pitch_spread_cents, "cents")
        );
        page.push('\n');
        paragraph(&words, "", page);
    }
}
