//! From the text of a levels file to the levels.

use super::diagnostic::Parsed;
use super::reader::{Fields, Node, Reader};
use crate::level::{Level, Levels};
use crate::player::Limits;

/// Reads a levels file; finds as much as it can in one go.
///
/// ```
/// use routine::file::read_levels;
/// let text = routine::level::STANDARD.replace("roof = \"C5\"", "roof = \"H5\"");
/// let found = read_levels(&text);
/// assert!(found.value.is_none());
/// assert!(found.diagnostics[0].message.contains("H5"));
/// ```
#[must_use]
pub fn read_levels(text: &str) -> Parsed<Levels> {
    let (mut reader, table) = Reader::open(text);
    let r = &mut reader;
    let mut f = Fields::new(table.get_ref(), table.span(), "");
    let version = f
        .required(r, "version", "begin the file with version = 1")
        .and_then(|n| r.whole::<u32>(n, "the version, 1").map(|v| (v, n.span())));
    if let Some((v, span)) = &version
        && *v != 1
    {
        r.error(
            span.clone(),
            format!("version {v} is not known"),
            "this program reads version 1",
        );
    }
    let levels = f
        .required(r, "level", "write one [[level]] for each level")
        .and_then(|n| r.each(n, "[[level]] tables", level));
    f.finish(r);
    let value = version
        .zip(levels)
        .map(|((version, _), levels)| Levels { version, levels });
    reader.finish(value)
}

fn level(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Level> {
    let mut f = Fields::of(r, node, "level", "a [[level]] table")?;
    let id = f
        .required(r, "id", "give the level a short name")
        .and_then(|n| r.text_of(n, "text"));
    let name = f
        .required(r, "name", "give the level a name for people")
        .and_then(|n| r.text_of(n, "text"));
    let roof = f
        .required(r, "roof", "write the highest note, as in \"G5\"")
        .and_then(|n| r.parsed::<crate::exercise::TubePitch>(n, "a pitch such as \"G5\""));
    let floor = f
        .required(r, "floor", "write the lowest note, as in \"G3\"")
        .and_then(|n| r.parsed::<crate::exercise::TubePitch>(n, "a pitch such as \"G3\""));
    let tempo = f
        .required(r, "tempo", "write 0.0 to 1.0")
        .and_then(|n| bounded(r, n, 0.0, 1.0));
    let accidentals = f
        .required(r, "accidentals", "write the most sharps or flats, 0 to 7")
        .and_then(|n| r.whole::<u8>(n, "0 to 7"));
    let minutes = f
        .required(r, "minutes", "write minutes for one exercise")
        .and_then(|n| bounded(r, n, 0.5, 240.0));
    let limits = f
        .required(
            r,
            "limits",
            "write { playing_minutes = 30, load_minutes = 40, breath_seconds = 8 }",
        )
        .and_then(|n| limits(r, n));
    f.finish(r);
    if let (Some(roof), Some(floor)) = (roof, floor)
        && roof.key() < floor.key()
    {
        r.error(
            node.span(),
            format!("the roof {roof} lies below the floor {floor}"),
            "raise the roof or lower the floor",
        );
        return None;
    }
    Some(Level {
        id: id?.to_owned(),
        name: name?.to_owned(),
        roof: roof?,
        floor: floor?,
        tempo: tempo?,
        accidentals: accidentals?,
        minutes: minutes?,
        limits: limits?,
    })
}

pub(super) fn limits(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Limits> {
    let mut f = Fields::of(r, node, "limits", "a table of limits")?;
    let mut read = |key: &'static str| {
        f.required(r, key, "write a number")
            .and_then(|n| bounded(r, n, 0.5, 1440.0))
    };
    let playing = read("playing_minutes");
    let load = read("load_minutes");
    let breath = read("breath_seconds");
    f.finish(r);
    Some(Limits {
        playing_minutes: playing?,
        load_minutes: load?,
        breath_seconds: breath?,
    })
}

/// A number between two others.
pub(super) fn bounded(r: &mut Reader<'_>, node: &Node<'_>, least: f64, most: f64) -> Option<f64> {
    let number = r.number(node, "a number")?;
    if !(least..=most).contains(&number) {
        r.error(
            node.span(),
            format!("{number} is out of range"),
            format!("write {least} to {most}"),
        );
        return None;
    }
    Some(number)
}
