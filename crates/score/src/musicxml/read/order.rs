//! The order in which measures are played: repeats and endings.

use roxmltree::Node;

/// No part is played longer than this many measures.
const MOST: usize = 20_000;

/// What a measure says about its place in a repeat.
#[derive(Clone, Debug, Default)]
struct Marks {
    forward: bool,
    /// How often the passage is played, when a backward repeat stands at its end.
    backward: Option<u32>,
    /// Passes in which the measure is played, when it is under an ending.
    passes: Option<Vec<u32>>,
}

/// Indices of the measures in the order that they are played.
pub(super) fn played(measures: &[Node<'_, '_>]) -> Vec<usize> {
    let marks = marks(measures);
    let mut order = Vec::new();
    let (mut at, mut start, mut pass) = (0, 0, 1);
    while let Some(mark) = marks.get(at).filter(|_| order.len() < MOST) {
        if mark.forward && at != start {
            (start, pass) = (at, 1);
        }
        if mark
            .passes
            .as_ref()
            .is_none_or(|passes| passes.contains(&pass))
        {
            order.push(at);
            let again = match (mark.backward, &mark.passes) {
                (None, _) => false,
                (Some(times), None) => pass < times,
                (Some(_), Some(_)) => later_pass(&marks, at, pass),
            };
            if again {
                at = start;
                pass += 1;
                continue;
            }
        }
        let passed = mark.backward.is_some();
        at += 1;
        // Past the last ending, the next passage begins.
        let still_ending = marks.get(at).is_some_and(|next| next.passes.is_some());
        if !still_ending && (passed || mark.passes.is_some()) {
            (start, pass) = (at, 1);
        }
    }
    order
}

/// Whether the endings from here on hold a pass that is still to come.
fn later_pass(marks: &[Marks], at: usize, pass: u32) -> bool {
    let from_here = marks.iter().skip(at);
    let passes = from_here.map_while(|mark| mark.passes.as_ref());
    passes.flatten().any(|&p| p > pass)
}

fn marks(measures: &[Node<'_, '_>]) -> Vec<Marks> {
    let mut ending: Option<Vec<u32>> = None;
    measures
        .iter()
        .map(|measure| {
            let mut mark = Marks::default();
            let mut closes = false;
            for barline in measure.children().filter(|n| n.has_tag_name("barline")) {
                for element in barline.children() {
                    match (element.tag_name().name(), element.attribute("direction")) {
                        ("repeat", Some("forward")) => mark.forward = true,
                        ("repeat", _) => {
                            let times = element.attribute("times").and_then(|t| t.parse().ok());
                            mark.backward = Some(times.unwrap_or(2).clamp(1, 64));
                        }
                        ("ending", _) => match element.attribute("type") {
                            Some("start") => ending = Some(numbers(element.attribute("number"))),
                            _ => closes = true,
                        },
                        _ => {}
                    }
                }
            }
            mark.passes.clone_from(&ending);
            if closes {
                ending = None;
            }
            mark
        })
        .collect()
}

/// `1, 2` as numbers.
fn numbers(text: Option<&str>) -> Vec<u32> {
    let parts = text.unwrap_or("1").split(|c: char| !c.is_ascii_digit());
    parts.filter_map(|part| part.parse().ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(marks: &str, expected: &[usize]) {
        let measures: String = marks
            .split_whitespace()
            .map(|mark| {
                let left = match mark.chars().next() {
                    Some('|') => r#"<barline><repeat direction="forward"/></barline>"#.to_owned(),
                    Some(n @ '1'..='9') => {
                        format!(r#"<barline><ending number="{n}" type="start"/></barline>"#)
                    }
                    _ => String::new(),
                };
                let stop = if mark.contains(|c: char| c.is_ascii_digit()) {
                    r#"<ending number="1" type="stop"/>"#
                } else {
                    ""
                };
                let back = if mark.ends_with(':') {
                    r#"<repeat direction="backward"/>"#
                } else {
                    ""
                };
                format!("<measure>{left}<barline>{stop}{back}</barline></measure>")
            })
            .collect();
        let xml = format!("<part>{measures}</part>");
        let document = roxmltree::Document::parse(&xml).unwrap();
        let measures: Vec<_> = document.root_element().children().collect();
        assert_eq!(played(&measures), expected, "{marks}");
    }

    #[test]
    fn repeats_and_endings_play_out() {
        check("x x x", &[0, 1, 2]);
        check("x x: x", &[0, 1, 0, 1, 2]);
        check("x | x: x", &[0, 1, 2, 1, 2, 3]);
        check("x x 1: 2 x", &[0, 1, 2, 0, 1, 3, 4]);
        check("x 1: 2: 3 x", &[0, 1, 0, 2, 0, 3, 4]);
        check("x: | 1: 2 x:", &[0, 0, 1, 2, 1, 3, 4, 4]);
    }
}
