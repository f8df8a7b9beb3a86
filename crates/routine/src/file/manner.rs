//! The keys that say how a line is played.

use toml::de::DeValue;

use super::exercise::some;
use super::reader::{Fields, Node, Reader};
use crate::exercise::{Breath, BreathWord, Loudness, Marks, Rest, RestWord, Slur, SlurWord};
use crate::part::{Articulation, Dynamic};

const DYNAMICS: [(&str, Dynamic); 6] = [
    ("pp", Dynamic::Pp),
    ("p", Dynamic::P),
    ("mp", Dynamic::Mp),
    ("mf", Dynamic::Mf),
    ("f", Dynamic::F),
    ("ff", Dynamic::Ff),
];

pub(super) fn slur(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Slur> {
    if matches!(node.get_ref(), DeValue::Array(_)) {
        return r
            .each(node, "group sizes", |r, n| {
                r.whole(n, "a group size from 1")
            })
            .map(Slur::Groups);
    }
    r.word(
        node,
        "a way to slur",
        &[
            ("none", SlurWord::None),
            ("line", SlurWord::Line),
            ("figure", SlurWord::Figure),
        ],
    )
    .map(Slur::Word)
}

pub(super) fn articulation(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Marks> {
    if matches!(node.get_ref(), DeValue::Array(_)) {
        return r.each(node, "a list of marks", mark).map(Marks::Cycle);
    }
    mark(r, node).map(Marks::One)
}

fn mark(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Articulation> {
    r.word(
        node,
        "an articulation",
        &[
            ("plain", Articulation::Plain),
            ("staccato", Articulation::Staccato),
            ("tenuto", Articulation::Tenuto),
            ("accent", Articulation::Accent),
        ],
    )
}

fn dynamic(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Dynamic> {
    r.word(node, "a dynamic", &DYNAMICS)
}

pub(super) fn loudness(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Loudness> {
    if !matches!(node.get_ref(), DeValue::Table(_)) {
        return dynamic(r, node).map(Loudness::One);
    }
    let mut f = Fields::of(r, node, "dynamic", "a dynamic such as \"mf\"")?;
    let read = if f.has("lines") {
        f.optional(r, "lines")
            .and_then(|n| r.each(n, "a list of dynamics", dynamic))
            .map(|lines| Loudness::ByLine { lines })
    } else {
        let start = f
            .required(r, "start", "write { start = \"p\", top = \"mf\" }")
            .and_then(|n| dynamic(r, n));
        let top = f
            .required(r, "top", "write { start = \"p\", top = \"mf\" }")
            .and_then(|n| dynamic(r, n));
        let end = some(f.optional(r, "end"), |n| dynamic(r, n));
        match (start, top, end) {
            (Some(start), Some(top), Some(end)) => Some(Loudness::Shape { start, top, end }),
            _ => None,
        }
    };
    f.finish(r);
    read
}

pub(super) fn breath(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Breath> {
    if matches!(node.get_ref(), DeValue::Integer(_)) {
        return r.whole(node, "a number of notes").map(Breath::Notes);
    }
    r.word(
        node,
        "a place for breaths",
        &[
            ("auto", BreathWord::Auto),
            ("top", BreathWord::Top),
            ("figure", BreathWord::Figure),
        ],
    )
    .map(Breath::Word)
}

pub(super) fn rest(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Rest> {
    if !matches!(node.get_ref(), DeValue::Table(_)) {
        return r
            .word(
                node,
                "a rest",
                &[
                    ("equal", RestWord::Equal),
                    ("load", RestWord::Load),
                    ("none", RestWord::None),
                ],
            )
            .map(Rest::Word);
    }
    let mut f = Fields::of(r, node, "rest", "\"equal\" or { beats = 4 }")?;
    let read = if f.has("times") {
        f.optional(r, "times")
            .and_then(|n| r.number(n, "times the playing, such as 1.5"))
            .map(|times| Rest::Times { times })
    } else {
        f.required(r, "beats", "write rest = { beats = 4 } or { times = 1.5 }")
            .and_then(|n| r.whole(n, "a number of beats"))
            .map(|beats| Rest::Beats { beats })
    };
    f.finish(r);
    read
}
