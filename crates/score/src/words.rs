//! The words that a page adds to those of the part, in each language.

use serde::Serialize;
use tone::Language;

/// The words of one language; `{}` stands for what is filled in.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Words {
    /// Title of a part without one.
    pub untitled: &'static str,
    /// Before a caution.
    pub care: &'static str,
    /// What a framed fingering means.
    pub framed: &'static str,
    /// A tempo, read aloud.
    pub tempo: &'static str,
    /// Playing time and rest.
    pub time: &'static str,
    /// What was left out, and why.
    pub left_out: &'static str,
    /// Seconds of rest after a line.
    pub rest: &'static str,
    /// A title and its page.
    pub page: &'static str,
    /// Heading of the contents.
    pub contents: &'static str,
    /// Title of the page with the fingering chart.
    pub chart: &'static str,
    /// Title of the chart: the instrument.
    pub fingerings: &'static str,
    /// What stands where in the chart.
    pub chart_key: &'static str,
    /// Mark of a pedal note in the chart.
    pub pedal: &'static str,
    /// A note that has no fingering, read aloud.
    pub none: &'static str,
    /// Before what was heard, read aloud.
    pub heard: &'static str,
    /// A note that was not played.
    pub not_played: &'static str,
    /// A note whose pitch could not be measured.
    pub not_measured: &'static str,
    /// So many cents flat.
    pub flat: &'static str,
    /// So many cents sharp.
    pub sharp: &'static str,
    /// Neither.
    pub in_tune: &'static str,
    /// A partial that held on the way.
    pub caught: &'static str,
    /// Another partial sounded first; short, it stands under a figure.
    pub chipped: &'static str,
}

const ENGLISH: Words = Words {
    untitled: "Untitled",
    care: "Take care: {}",
    framed: "A framed fingering is an alternate.",
    tempo: "{} quarter notes a minute",
    time: "Playing {}, rest {}.",
    left_out: "Left out: {} ({}).",
    rest: "rest {} s",
    page: "{}, page {}",
    contents: "Contents",
    chart: "Fingering chart",
    fingerings: "{}: fingerings",
    chart_key: "Large: the usual choice. Below: alternates with cents from equal temperament. \
                ped: pedal note. ·: below the horn, carried by its harmonics.",
    pedal: "{} ped",
    none: "none",
    heard: "Heard",
    not_played: "not played",
    not_measured: "not measured",
    flat: "{} cents flat",
    sharp: "{} cents sharp",
    in_tune: "in tune",
    caught: "caught partial {}",
    chipped: "chipped",
};

const GERMAN: Words = Words {
    untitled: "Ohne Titel",
    care: "Achtung: {}",
    framed: "Ein gerahmter Griff ist ein Hilfsgriff.",
    tempo: "{} Viertel in der Minute",
    time: "Spielen {}, Pause {}.",
    left_out: "Ausgelassen: {} ({}).",
    rest: "Pause {} s",
    page: "{}, Seite {}",
    contents: "Inhalt",
    chart: "Grifftabelle",
    fingerings: "{}: Griffe",
    chart_key: "Groß: die übliche Wahl. Darunter: Hilfsgriffe mit Cent gegen die gleichstufige \
                Stimmung. Ped: Pedalton. ·: unter dem Instrument, von seinen Teiltönen getragen.",
    pedal: "{} Ped",
    none: "keiner",
    heard: "Gehört",
    not_played: "nicht gespielt",
    not_measured: "nicht gemessen",
    flat: "{} Cent zu tief",
    sharp: "{} Cent zu hoch",
    in_tune: "stimmt",
    caught: "am {}. Naturton hängen geblieben",
    chipped: "gekickst",
};

impl Words {
    /// Those of a language.
    #[must_use]
    pub const fn of(language: Language) -> &'static Self {
        match language {
            Language::En => &ENGLISH,
            Language::De => &GERMAN,
        }
    }
}

/// A text with its gaps filled in order.
#[must_use]
pub(crate) fn fill(text: &str, with: &[&str]) -> String {
    let mut out = String::new();
    let mut with = with.iter();
    for (index, piece) in text.split("{}").enumerate() {
        if index > 0 {
            out.push_str(with.next().copied().unwrap_or_default());
        }
        out.push_str(piece);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_filled_in_order_and_what_is_filled_in_is_left_alone() {
        assert_eq!(fill("{} of {}", &["{}", "b"]), "{} of b");
        assert_eq!(fill("none", &["x"]), "none");
        assert_eq!(fill("{} and {}", &["x"]), "x and ");
    }
}
