//! The figures as tables, for those who want them all and for those who don't see the drawing.

use std::fmt::Write as _;

use super::escape::escape;
use crate::report::figures::{Side, arrow, short, side, with_interval};
use crate::report::shape::{Note, Outcome, SameRoof, Slur};

/// Notes with all their measures.
pub(super) fn notes(notes: &[Note], caption: &str, page: &mut String) {
    let _ = write!(
        page,
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"{0}\"><table>\
         <caption>{0}</caption><thead><tr>",
        escape(caption)
    );
    for head in [
        "note",
        "fingering",
        "cents",
        "wander",
        "vibrato Hz",
        "vibrato cents",
        "scoop",
        "attack ms",
        "release ms",
        "sag",
        "level LKFS",
        "brightness",
        "harmonics to noise dB",
    ] {
        let _ = write!(page, "<th scope=\"col\">{head}</th>");
    }
    page.push_str("</tr></thead><tbody>\n");
    for note in notes {
        row(note, page);
    }
    page.push_str("</tbody></table></div>\n");
}

fn row(note: &Note, page: &mut String) {
    let name = escape(note.written.as_ref().unwrap_or(&note.name));
    let _ = write!(
        page,
        "<tr><th scope=\"row\">{name}</th><td>{}</td>",
        escape(note.fingering.as_deref().unwrap_or("–"))
    );
    let m = &note.measures;
    match note.outcome {
        Outcome::Missing => page.push_str("<td colspan=\"11\">not heard</td>"),
        Outcome::Wrong | Outcome::OtherPartial => {
            let heard = note
                .heard_midi
                .map(|m| tone::Pitch::from_midi(m).to_string());
            let _ = write!(
                page,
                "<td colspan=\"11\">{} sounded in its place</td>",
                escape(&heard.unwrap_or_else(|| "another note".into()))
            );
        }
        Outcome::AsAsked | Outcome::Extra => {
            let marked = side(m.pitch_cents);
            let class = match marked {
                Side::Flat => " class=\"flat\"",
                Side::True => "",
                Side::Sharp => " class=\"sharp\"",
            };
            let _ = write!(
                page,
                "<td{class}>{} {}</td>",
                arrow(marked),
                short(m.pitch_cents)
            );
            for measure in [
                m.wander_cents,
                m.vibrato_hz,
                m.vibrato_cents,
                m.scoop_cents,
                m.attack_ms,
                m.release_ms,
                m.sag_cents,
                m.level_db,
                m.brightness,
                m.noise_db,
            ] {
                let _ = write!(page, "<td>{}</td>", short(measure));
            }
        }
    }
    page.push_str("</tr>\n");
}

/// Slurs with their measures; nothing when there are none.
pub(super) fn slurs(slurs: &[Slur], page: &mut String) {
    if slurs.is_empty() {
        return;
    }
    page.push_str(
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Slurs\"><table>\
         <caption>Slurs</caption><thead><tr><th scope=\"col\">slur</th><th scope=\"col\">ms</th>\
         <th scope=\"col\">dip dB</th><th scope=\"col\">overshoot cents</th>\
         <th scope=\"col\">caught</th></tr></thead><tbody>\n",
    );
    for slur in slurs {
        let caught: Vec<String> = slur
            .caught
            .iter()
            .map(|c| {
                format!(
                    "partial {}, {}",
                    c.tube.partial,
                    with_interval(c.held_ms, "ms")
                )
            })
            .collect();
        let caught = if caught.is_empty() {
            "none".into()
        } else {
            caught.join("; ")
        };
        let _ = writeln!(
            page,
            "<tr><th scope=\"row\">{} to {}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escape(&slur.names.0),
            escape(&slur.names.1),
            short(slur.slur_ms),
            short(slur.dip_db),
            short(slur.overshoot_cents),
            escape(&caught)
        );
    }
    page.push_str("</tbody></table></div>\n");
}

/// The same top note in every line that reached it.
pub(super) fn roofs(roofs: &[SameRoof], page: &mut String) {
    if !roofs.is_empty() {
        page.push_str("<h2>The same top note</h2>\n");
    }
    for roof in roofs {
        let _ = write!(
            page,
            "<p>{} in {} lines: sound {}, level {}, pitch {}.</p>\n<div class=\"scroll\" \
             tabindex=\"0\" role=\"region\" aria-label=\"{0}\"><table><thead><tr>\
             <th scope=\"col\">line</th><th scope=\"col\">starts below, semitones</th>\
             <th scope=\"col\">level LKFS</th><th scope=\"col\">cents</th>\
             <th scope=\"col\">attack ms</th><th scope=\"col\">sound apart dB</th></tr></thead>\
             <tbody>\n",
            escape(&roof.name),
            roof.times.len(),
            escape(&with_interval(roof.sound_spread_db, "dB apart")),
            escape(&with_interval(roof.level_spread_db, "dB")),
            escape(&with_interval(roof.pitch_spread_cents, "cents"))
        );
        for time in &roof.times {
            let _ = writeln!(
                page,
                "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td>\
                 <td>{}</td></tr>",
                escape(&time.line),
                time.below,
                short(time.level_db),
                short(time.pitch_cents),
                short(time.attack_ms),
                short(time.sound_db)
            );
        }
        page.push_str("</tbody></table></div>\n");
    }
}
