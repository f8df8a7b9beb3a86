//! Files that no teacher wrote: arbitrary bytes, TOML of the right words in the wrong places, and
//! files of the library with pieces cut out, doubled or exchanged. The readers never panic, say
//! what is wrong whenever they give no value, and what they do accept expands within bounds.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use routine::exercise::Exercise;
use routine::file::{format, read_exercise, read_levels, read_routine, rewrite, to_document};
use routine::{Levels, Player, expand, library};
use tone::Tuning;

/// Most notes that any exercise may become.
const MOST_NOTES: usize = 20_000;

/// Reads a text as every kind of file; what is refused has a reason, what is accepted is written.
fn survives(text: &str, instrument: usize) -> Result<(), TestCaseError> {
    let parsed = read_exercise(text);
    for found in &parsed.diagnostics {
        prop_assert!(found.line >= 1 && found.column >= 1 && found.span.end <= text.len());
    }
    match &parsed.value {
        None => prop_assert!(!parsed.diagnostics.is_empty()),
        Some(exercise) => {
            written(exercise, instrument)?;
            let again = read_exercise(&rewrite(text, exercise).unwrap());
            prop_assert_eq!(again.value.as_ref(), Some(exercise));
        }
    }
    let levels = read_levels(text);
    prop_assert!(levels.value.is_some() || !levels.diagnostics.is_empty());
    let routine = read_routine(text);
    prop_assert!(routine.value.is_some() || !routine.diagnostics.is_empty());
    let _ = to_document::<Exercise>(text);
    if let Ok(formatted) = format(text) {
        prop_assert_eq!(format(&formatted).unwrap(), formatted.clone());
    }
    Ok(())
}

/// Expands an exercise for a player who asks for everything: an error, or lines within bounds.
fn written(exercise: &Exercise, instrument: usize) -> Result<(), TestCaseError> {
    let all = horn::catalog();
    let instrument = &all[instrument % all.len()];
    let chart = horn::ideal::chart(instrument, &Tuning::default());
    let player = Player {
        pedals: true,
        false_notes: true,
        ..Player::named("")
    };
    if let Ok(part) = expand(
        exercise,
        &player,
        instrument,
        &chart,
        &Levels::standard(),
        3,
    ) {
        let notes: usize = part.lines.iter().map(|line| line.notes().count()).sum();
        prop_assert!(notes <= MOST_NOTES, "{notes} notes");
        prop_assert!(!part.lines.is_empty() || !part.left_out.is_empty());
        let totals = part.totals;
        prop_assert!(totals.playing_s.is_finite() && totals.rest_s.is_finite());
    }
    Ok(())
}

/// Keys of an exercise file, and words that are no key.
const KEYS: [&str; 30] = [
    "version",
    "id",
    "title",
    "family",
    "purpose",
    "cautions",
    "words",
    "harmony",
    "figure",
    "leap",
    "travel",
    "roof",
    "floor",
    "carry",
    "turn",
    "clip",
    "rhythm",
    "last",
    "meter",
    "tempo",
    "slur",
    "articulation",
    "dynamic",
    "repeats",
    "breath",
    "rest",
    "famly",
    "",
    "a.b",
    "\"x y\"",
];

/// Values that stand somewhere in a file, and some that stand nowhere.
const VALUES: [&str; 36] = [
    "1",
    "0",
    "-1",
    "1e308",
    "nan",
    "inf",
    "9223372036854775807",
    "true",
    "1979-05-27",
    "\"\"",
    "\"major-triad\"",
    "\"arpeggios\"",
    "\"C5\"",
    "\"C99\"",
    "\"Cbbbbb4\"",
    "\"1/4\"",
    "\"1/0\"",
    "\"0/1\"",
    "\"1/99999\"",
    "\"1/4.... 1/8t\"",
    "\"octaves\"",
    "\"back\"",
    "\"line\"",
    "[60, 100]",
    "[100, 60]",
    "[]",
    "[[[[]]]]",
    "{}",
    "{ degrees = [1, 3, 5, 8] }",
    "{ degrees = [1000000, -1000000] }",
    "{ partials = [2, 3, 4] }",
    "{ intervals = [0, 128, -128] }",
    "{ from = \"C5\", to = \"F#3\", by = \"semitone\" }",
    "{ from = \"C0\", to = \"C9\", by = 0 }",
    "{ from = \"C5\", to = \"C5\", by = \"fifth\", order = \"drawn\" }",
    "\"\u{202e}𝄞\"",
];

fn words() -> impl Strategy<Value = String> {
    prop::collection::vec((0..KEYS.len(), 0..VALUES.len()), 0..24).prop_map(|pairs| {
        let line = |(key, value): (usize, usize)| format!("{} = {}\n", KEYS[key], VALUES[value]);
        pairs.into_iter().map(line).collect()
    })
}

/// A file of the library with some of its values exchanged.
fn exchanged() -> impl Strategy<Value = String> {
    let places = prop::collection::vec((any::<prop::sample::Index>(), 0..VALUES.len()), 1..4);
    (any::<prop::sample::Index>(), places).prop_map(|(which, places)| {
        let mut lines: Vec<String> = source(which).lines().map(str::to_owned).collect();
        for (place, value) in places {
            let at = place.index(lines.len());
            if let Some((key, _)) = lines[at].clone().split_once(" = ") {
                lines[at] = format!("{key} = {}", VALUES[value]);
            }
        }
        lines.join("\n")
    })
}

fn source(which: prop::sample::Index) -> &'static str {
    library::SOURCES[which.index(library::SOURCES.len())].1
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn arbitrary_bytes(bytes in prop::collection::vec(any::<u8>(), 0..600), which in 0..20_usize) {
        survives(&String::from_utf8_lossy(&bytes), which)?;
    }

    #[test]
    fn arbitrary_text(text in ".{0,400}", which in 0..20_usize) {
        survives(&text, which)?;
    }

    #[test]
    fn the_right_words_in_the_wrong_places(text in words(), which in 0..20_usize) {
        survives(&text, which)?;
    }

    #[test]
    fn a_file_with_values_exchanged(text in exchanged(), which in 0..20_usize) {
        survives(&text, which)?;
    }

    #[test]
    fn a_file_with_a_byte_changed_and_a_piece_moved(
        which in any::<prop::sample::Index>(),
        at in any::<prop::sample::Index>(),
        to in any::<prop::sample::Index>(),
        long in 0..60_usize,
        byte in any::<u8>(),
        instrument in 0..20_usize,
    ) {
        let mut bytes = source(which).as_bytes().to_vec();
        let from = at.index(bytes.len());
        bytes[from] = byte;
        let piece: Vec<u8> = bytes.drain(from..(from + long).min(bytes.len())).collect();
        let to = to.index(bytes.len() + 1);
        bytes.splice(to..to, piece.iter().chain(&piece).copied());
        survives(&String::from_utf8_lossy(&bytes), instrument)?;
    }
}

#[test]
fn deep_and_long_files_are_refused_in_no_time() {
    let mut texts = vec!["[".repeat(100_000), "a.".repeat(50_000) + "b = 1"];
    texts.push(format!(
        "figure = {}1{}",
        "[".repeat(20_000),
        "]".repeat(20_000)
    ));
    texts.push(format!(
        "figure = {{ degrees = [{}1] }}",
        "1, ".repeat(100_000)
    ));
    texts.push("cautions = [\"x\"]\n".repeat(5_000));
    for text in texts {
        assert!(read_exercise(&text).value.is_none());
        assert!(read_routine(&text).value.is_none());
        assert!(read_levels(&text).value.is_none());
    }
}
