//! From the text of a routine file to the routine.

use super::diagnostic::Parsed;
use super::exercise::{or_default, some};
use super::levels::{bounded, limits};
use super::reader::{Fields, Node, Reader};
use crate::routine::{MAX_STEPS, Routine, Step};

/// Reads a routine; finds as much as it can in one go.
///
/// ```
/// use routine::file::read_routine;
/// let text = "version = 1\nid = \"today\"\ntitle = \"Today\"\npurpose = \"A start.\"\n\
///             [[step]]\nexercise = \"long-notes-home\"\nminutes = 4\n";
/// assert_eq!(read_routine(text).value.unwrap().steps.len(), 1);
/// ```
#[must_use]
pub fn read_routine(text: &str) -> Parsed<Routine> {
    let (mut reader, table) = Reader::open(text);
    let r = &mut reader;
    let broken = r.failed();
    let mut f = Fields::new(table.get_ref(), table.span(), "");
    let value = read(r, &mut f);
    f.finish(r);
    if broken {
        reader.forget_missing();
    }
    reader.finish(value)
}

fn read(r: &mut Reader<'_>, f: &mut Fields<'_, '_>) -> Option<Routine> {
    let version = f
        .required(r, "version", "begin the file with version = 1")
        .and_then(|n| {
            let version = r.whole::<u32>(n, "the version, 1")?;
            if version != 1 {
                r.error(
                    n.span(),
                    format!("version {version} is not known"),
                    "this program reads version 1",
                );
            }
            Some(version)
        });
    let mut text = |key, help| {
        f.required(r, key, help)
            .and_then(|n| r.text_of(n, "text").map(str::to_owned))
    };
    let id = text("id", "give it a name in lower-case words with hyphens");
    let title = text("title", "give it a title");
    let purpose = text("purpose", "say in one sentence what it is for");
    let words = or_default(f.optional(r, "words"), |n| {
        r.text_of(n, "text").map(str::to_owned)
    });
    let minutes = some(f.optional(r, "minutes"), |n| bounded(r, n, 0.5, 1440.0));
    let day = some(f.optional(r, "limits"), |n| limits(r, n));
    let steps = f
        .required(r, "step", "write one [[step]] for each exercise")
        .and_then(|n| {
            let steps = r.each(n, "[[step]] tables", step)?;
            if steps.is_empty() || steps.len() > MAX_STEPS {
                r.error(
                    n.span(),
                    format!("{} steps", steps.len()),
                    format!("write 1 to {MAX_STEPS}"),
                );
            }
            Some(steps)
        });
    Some(Routine {
        version: version?,
        id: id?,
        title: title?,
        purpose: purpose?,
        words: words?,
        minutes: minutes?,
        limits: day?,
        steps: steps?,
    })
}

fn step(r: &mut Reader<'_>, node: &Node<'_>) -> Option<Step> {
    let mut f = Fields::of(r, node, "step", "a [[step]] table")?;
    let exercise = f
        .required(r, "exercise", "name an exercise by its id")
        .and_then(|n| r.text_of(n, "text").map(str::to_owned));
    let minutes = some(f.optional(r, "minutes"), |n| bounded(r, n, 0.5, 240.0));
    let tempo = some(f.optional(r, "tempo"), |n| bounded(r, n, 20.0, 300.0));
    let words = or_default(f.optional(r, "words"), |n| {
        r.text_of(n, "text").map(str::to_owned)
    });
    f.finish(r);
    Some(Step {
        exercise: exercise?,
        minutes: minutes?,
        tempo: tempo?,
        words: words?,
    })
}
