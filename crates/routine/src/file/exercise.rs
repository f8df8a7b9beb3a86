//! From the text of an exercise file to the exercise.

use toml::de::DeValue;

use super::diagnostic::Parsed;
use super::manner;
use super::reader::{Fields, Node, Reader};
use crate::exercise::{
    Carry, Clip, Exercise, Family, Figure, Harmony, HarmonyName, Leap, LeapRoot, Meter, Move,
    MoveWord, NoteValue, Order, Rhythm, Roof, RoofWord, Tempo, Travel, Turn,
};

/// Reads an exercise; finds as much as it can in one go.
///
/// ```
/// use routine::file::read_exercise;
/// let found = read_exercise("version = 1\nfamly = \"scales\"\n").diagnostics;
/// let misspelt = found.iter().find(|d| d.line == 2).unwrap();
/// assert_eq!(misspelt.to_string(), "2:1: error: `famly` is not a key here; did you mean `family`?");
/// ```
#[must_use]
pub fn read_exercise(text: &str) -> Parsed<Exercise> {
    let (mut reader, table) = Reader::open(text);
    let r = &mut reader;
    let mut fields = Fields::new(table.get_ref(), table.span(), "");
    let f = &mut fields;
    let broken = r.failed();
    let value = read(r, f);
    fields.finish(r);
    if broken {
        // A key after a broken line may only seem to be missing: keep to what the parser said and
        // to what does stand in the file.
        reader.forget_missing();
    }
    if let Some(exercise) = &value {
        for problem in exercise.problems() {
            let place = reader.place_of(problem.field);
            reader.error(place, problem.message, problem.help);
        }
    }
    reader.finish(value)
}

fn read(r: &mut Reader<'_>, f: &mut Fields<'_, '_>) -> Option<Exercise> {
    let version = f
        .required(r, "version", "begin the file with version = 1")
        .and_then(|n| r.whole::<u32>(n, "the version, 1"));
    let id = f
        .required(r, "id", "give it a name in lower-case words with hyphens")
        .and_then(|n| r.text_of(n, "text").map(str::to_owned));
    let title = f
        .required(r, "title", "give it a title")
        .and_then(|n| r.text_of(n, "text").map(str::to_owned));
    let family = f
        .required(
            r,
            "family",
            "write one of the eight families, such as \"scales\"",
        )
        .and_then(|n| r.word(n, "a family", &Family::ALL.map(|x| (x.name(), x))));
    let purpose = f
        .required(r, "purpose", "say in one sentence what it is for")
        .and_then(|n| r.text_of(n, "text").map(str::to_owned));
    let cautions = or_default(f.optional(r, "cautions"), |n| {
        r.each(n, "a list of texts", |r, n| {
            r.text_of(n, "text").map(str::to_owned)
        })
    });
    let words = or_default(f.optional(r, "words"), |n| {
        r.text_of(n, "text").map(str::to_owned)
    });
    let harmony = some(f.optional(r, "harmony"), |n| harmony(r, n));
    let figure = f
        .required(
            r,
            "figure",
            "write figure = { degrees = [1, 3, 5] }, { intervals = ... } or { partials = ... }",
        )
        .and_then(|n| figure(r, n));
    let travel = f
        .required(
            r,
            "travel",
            "write travel = { from = \"C5\", to = \"F#4\", by = \"semitone\" }",
        )
        .and_then(|n| travel(r, n));
    let roof = some(f.optional(r, "roof"), |n| roof(r, n));
    let floor = some(f.optional(r, "floor"), |n| {
        r.parsed(n, "a pitch such as \"F#3\"")
    });
    let carry = some(f.optional(r, "carry"), |n| {
        r.word(
            n,
            "a way to carry on",
            &[
                ("octaves", Carry::Octaves),
                ("steps", Carry::Steps),
                ("octaves-down", Carry::OctavesDown),
                ("steps-down", Carry::StepsDown),
            ],
        )
    });
    let turn = or_default(f.optional(r, "turn"), |n| {
        r.word(n, "a turn", &[("stay", Turn::Stay), ("back", Turn::Back)])
    });
    let leap = some(f.optional(r, "leap"), |n| leap(r, n));
    let clip = some(f.optional(r, "clip"), |n| {
        r.word(
            n,
            "a rule for clipping",
            &[("notes", Clip::Notes), ("line", Clip::Line)],
        )
    });
    let rhythm = f
        .required(
            r,
            "rhythm",
            "write note values, as in rhythm = \"1/4 1/4 1/2\"",
        )
        .and_then(|n| r.parsed::<Rhythm>(n, "note values such as \"1/4 1/4\""));
    let last = some(f.optional(r, "last"), |n| {
        r.parsed::<NoteValue>(n, "a note value such as \"1/2\"")
    });
    let meter = or_default(f.optional(r, "meter"), |n| {
        r.parsed::<Meter>(n, "a metre such as \"3/4\"")
    });
    let tempo = f
        .required(
            r,
            "tempo",
            "write quarter notes a minute, as in tempo = [60, 88]",
        )
        .and_then(|n| tempo(r, n));
    let slur = or_default(f.optional(r, "slur"), |n| manner::slur(r, n));
    let articulation = or_default(f.optional(r, "articulation"), |n| {
        manner::articulation(r, n)
    });
    let dynamic = or_default(f.optional(r, "dynamic"), |n| manner::loudness(r, n));
    let repeats = match f.optional(r, "repeats") {
        Some(n) => r.whole(n, "1 to 8"),
        None => Some(1),
    };
    let breath = or_default(f.optional(r, "breath"), |n| manner::breath(r, n));
    let rest = or_default(f.optional(r, "rest"), |n| manner::rest(r, n));
    Some(Exercise {
        version: version?,
        id: id?,
        title: title?,
        family: family?,
        purpose: purpose?,
        cautions: cautions?,
        words: words?,
        harmony: harmony?,
        figure: figure?,
        travel: travel?,
        roof: roof?,
        floor: floor?,
        carry: carry?,
        turn: turn?,
        leap: leap?,
        clip: clip?,
        rhythm: rhythm?,
        last: last?,
        meter: meter?,
        tempo: tempo?,
        slur: slur?,
        articulation: articulation?,
        dynamic: dynamic?,
        repeats: repeats?,
        breath: breath?,
        rest: rest?,
    })
}

/// A key that may be missing: the default then; `None` only when its value is wrong.
pub(super) fn or_default<'n, 'v, T: Default>(
    node: Option<&'n Node<'v>>,
    read: impl FnOnce(&'n Node<'v>) -> Option<T>,
) -> Option<T> {
    node.map_or_else(|| Some(T::default()), read)
}

/// A key that may be missing: nothing then; `None` only when its value is wrong.
#[expect(
    clippy::option_option,
    reason = "missing and wrong are different things"
)]
pub(super) fn some<'n, 'v, T>(
    node: Option<&'n Node<'v>>,
    read: impl FnOnce(&'n Node<'v>) -> Option<T>,
) -> Option<Option<T>> {
    node.map_or(Some(None), |n| read(n).map(Some))
}

fn harmony(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Harmony> {
    if matches!(node.get_ref(), DeValue::String(_)) {
        let names: Vec<(&str, HarmonyName)> =
            HarmonyName::ALL.iter().map(|h| (h.name(), *h)).collect();
        return r.word(node, "a harmony", &names).map(Harmony::Named);
    }
    let mut f = Fields::of(
        r,
        node,
        "harmony",
        "the name of a harmony or { semitones = [...] }",
    )?;
    let semitones = f
        .required(
            r,
            "semitones",
            "write semitones above the root, as in [0, 3, 7]",
        )
        .and_then(|n| r.each(n, "a list of semitones", |r, n| r.whole(n, "0 to 11")));
    f.finish(r);
    Some(Harmony::Own {
        semitones: semitones?,
    })
}

fn figure(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Figure> {
    let mut f = Fields::of(r, node, "figure", "a table such as { degrees = [1, 3, 5] }")?;
    let degrees = some(f.optional(r, "degrees"), |n| {
        r.each(n, "a list of degrees", |r, n| {
            r.whole(n, "a degree such as 5")
        })
    });
    let intervals = some(f.optional(r, "intervals"), |n| {
        r.each(n, "a list of semitones", |r, n| {
            r.whole(n, "semitones such as 7")
        })
    });
    let partials = some(f.optional(r, "partials"), |n| {
        r.each(n, "a list of partials", |r, n| {
            r.whole(n, "a partial, 1 to 16")
        })
    });
    f.finish(r);
    match (degrees?, intervals?, partials?) {
        (Some(d), None, None) => Some(Figure::Degrees(d)),
        (None, Some(i), None) => Some(Figure::Intervals(i)),
        (None, None, Some(p)) => Some(Figure::Partials(p)),
        _ => {
            r.error(
                node.span(),
                "a figure is one of degrees, intervals and partials",
                "keep one of the three",
            );
            None
        }
    }
}

fn travel(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Travel> {
    let mut f = Fields::of(
        r,
        node,
        "travel",
        "a table such as { from = \"C5\", to = \"F#4\", by = \"semitone\" }",
    )?;
    let order = or_default(f.optional(r, "order"), |n| {
        r.word(
            n,
            "an order",
            &[
                ("straight", Order::Straight),
                ("alternating", Order::Alternating),
                ("there-and-back", Order::ThereAndBack),
                ("drawn", Order::Drawn),
            ],
        )
    });
    let travel = if f.has("lengths") {
        let lengths = f.optional(r, "lengths").and_then(|n| {
            r.each(n, "two numbers such as [0, 6]", |r, n| {
                r.whole(n, "0 to 24")
            })
            .map(|l| (l, n))
        });
        match lengths {
            Some((l, n)) => match l.as_slice() {
                [from, to] => Some(Travel::Lengths {
                    lengths: [*from, *to],
                    order: order?,
                }),
                _ => {
                    r.error(
                        n.span(),
                        format!("{} numbers", l.len()),
                        "write the first and the last length, as in [0, 6]",
                    );
                    None
                }
            },
            None => None,
        }
    } else if f.has("starts") {
        let starts = f.optional(r, "starts").and_then(|n| {
            r.each(n, "a list of pitches", |r, n| {
                r.parsed(n, "a pitch such as \"G4\"")
            })
        });
        let root = some(f.optional(r, "root"), |n| {
            r.parsed(n, "a pitch such as \"C4\"")
        });
        starts
            .zip(root)
            .zip(order)
            .map(|((starts, root), order)| Travel::Starts {
                starts,
                order,
                root,
            })
    } else {
        let from = f
            .required(r, "from", "write the first start, as in from = \"C5\"")
            .and_then(|n| r.parsed(n, "a pitch such as \"C5\""));
        let to = f
            .required(r, "to", "write the last start, as in to = \"F#4\"")
            .and_then(|n| r.parsed(n, "a pitch such as \"F#4\""));
        let by = f
            .required(r, "by", "write by = \"semitone\"")
            .and_then(|n| by(r, n));
        let root = some(f.optional(r, "root"), |n| {
            r.parsed(n, "a pitch such as \"C4\"")
        });
        match (from, to, by, root, order) {
            (Some(from), Some(to), Some(by), Some(root), Some(order)) => Some(Travel::Moves {
                from,
                to,
                by,
                order,
                root,
            }),
            _ => None,
        }
    };
    f.finish(r);
    travel
}

fn by(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Move> {
    if matches!(node.get_ref(), DeValue::Integer(_)) {
        return r.whole(node, "1 to 24 semitones").map(Move::Semitones);
    }
    r.word(
        node,
        "a move",
        &[
            ("semitone", MoveWord::Semitone),
            ("whole-tone", MoveWord::WholeTone),
            ("fifths-up", MoveWord::FifthsUp),
            ("fifths-down", MoveWord::FifthsDown),
            ("harmony", MoveWord::Harmony),
        ],
    )
    .map(Move::Word)
}

fn roof(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Roof> {
    match node.get_ref() {
        DeValue::Table(_) => {
            let mut f = Fields::of(r, node, "roof", "a table")?;
            let above = f
                .required(r, "above", "write roof = { above = 12 }")
                .and_then(|n| r.whole(n, "semitones above the start, 0 to 60"));
            f.finish(r);
            Some(Roof::Above { above: above? })
        }
        DeValue::String(text) if text == "player" => Some(Roof::Word(RoofWord::Player)),
        _ => r
            .parsed(node, "a pitch such as \"C6\", \"player\" or { above = 12 }")
            .map(Roof::At),
    }
}

fn leap(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Leap> {
    let mut f = Fields::of(r, node, "leap", "a table such as { semitones = 12 }")?;
    let semitones = f
        .required(r, "semitones", "write leap = { semitones = 12 }")
        .and_then(|n| r.whole(n, "semitones, down when negative"));
    let root = or_default(f.optional(r, "root"), |n| {
        r.word(
            n,
            "a root",
            &[("start", LeapRoot::Start), ("landing", LeapRoot::Landing)],
        )
    });
    f.finish(r);
    Some(Leap {
        semitones: semitones?,
        root: root?,
    })
}

fn tempo(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Tempo> {
    if !matches!(node.get_ref(), DeValue::Array(_)) {
        return r
            .number(node, "quarter notes a minute, or two of them")
            .map(Tempo::One);
    }
    let both = r.each(node, "two tempi", |r, n| {
        r.number(n, "quarter notes a minute")
    })?;
    match both.as_slice() {
        [slow, quick] => Some(Tempo::Span([*slow, *quick])),
        _ => {
            r.error(
                node.span(),
                format!("{} tempi", both.len()),
                "write the calmest and the quickest, as in [60, 88]",
            );
            None
        }
    }
}
