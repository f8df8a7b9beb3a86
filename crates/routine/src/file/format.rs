//! The formatter: keys in the usual order, one space around `=`, groups apart; every comment stays.

use toml_edit::{Decor, DocumentMut, Item, Table};

/// Keys of an exercise or routine in the order of the documentation, in groups set apart by a
/// blank line.
const GROUPS: [&[&str]; 3] = [
    &[
        "version", "id", "title", "family", "purpose", "cautions", "words", "minutes", "limits",
    ],
    &[
        "harmony", "figure", "leap", "travel", "roof", "floor", "carry", "turn", "clip",
    ],
    &[
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
    ],
];

/// Why a file cannot be formatted or converted: its syntax is broken, or its value is.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct FormatError(pub(super) String);

/// Formats an exercise, levels or routine file. Formatting twice changes nothing more, the value
/// stays the same, and so does every comment.
///
/// ```
/// use routine::file::format;
/// let text = "title='A'   # mine\n# why\nversion   =1\n";
/// assert_eq!(format(text).unwrap(), "# why\nversion = 1\ntitle = 'A' # mine\n");
/// ```
///
/// # Errors
/// [`FormatError`] with line and column when the text is not TOML.
pub fn format(text: &str) -> Result<String, FormatError> {
    let mut document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| {
        let (line, column) = super::diagnostic::place(text, e.span().map_or(0, |s| s.start));
        FormatError(format!("{line}:{column}: not TOML: {}", e.message().trim()))
    })?;
    tidy(document.as_table_mut(), true);
    let tail = comments(document.trailing().as_str().unwrap_or(""));
    document.set_trailing(if tail.is_empty() {
        String::new()
    } else {
        format!("\n{tail}")
    });
    let mut out = document.to_string();
    while out.starts_with('\n') {
        out.remove(0);
    }
    if !out.is_empty() && !out.ends_with('\n') {
        out.push('\n');
    }
    Ok(out)
}

/// Place of a key: its group, then its place in it; unknown keys last, as they stand.
fn place(key: &str) -> (usize, usize) {
    GROUPS
        .iter()
        .enumerate()
        .find_map(|(group, keys)| Some((group, keys.iter().position(|k| *k == key)?)))
        .unwrap_or((GROUPS.len(), 0))
}

fn tidy(table: &mut Table, outermost: bool) {
    if outermost {
        table.sort_values_by(|a, _, b, _| place(a.get()).cmp(&place(b.get())));
    }
    let keys: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).collect();
    let mut group_before = None;
    for key in keys {
        match table.get_mut(&key) {
            Some(Item::Value(value)) => {
                let beside = comments(
                    value
                        .decor()
                        .suffix()
                        .and_then(|s| s.as_str())
                        .unwrap_or(""),
                );
                *value.decor_mut() = Decor::new(
                    " ",
                    if beside.is_empty() {
                        String::new()
                    } else {
                        format!(" {}", beside.trim_end())
                    },
                );
            }
            Some(Item::Table(inner)) => {
                space_before(inner.decor_mut());
                tidy(inner, false);
                continue;
            }
            Some(Item::ArrayOfTables(tables)) => {
                for inner in tables.iter_mut() {
                    space_before(inner.decor_mut());
                    tidy(inner, false);
                }
                continue;
            }
            _ => {}
        }
        let group = outermost.then(|| place(&key).0);
        let apart = group_before.is_some() && group != group_before;
        group_before = group.or(Some(0));
        if let Some(mut key) = table.key_mut(&key) {
            let decor = key.leaf_decor_mut();
            let above = comments(decor.prefix().and_then(|p| p.as_str()).unwrap_or(""));
            *decor = Decor::new(format!("{}{above}", if apart { "\n" } else { "" }), " ");
        }
    }
}

fn space_before(decor: &mut Decor) {
    let above = comments(decor.prefix().and_then(|p| p.as_str()).unwrap_or(""));
    let beside = comments(decor.suffix().and_then(|p| p.as_str()).unwrap_or(""));
    *decor = Decor::new(
        format!("\n{above}"),
        if beside.is_empty() {
            String::new()
        } else {
            format!(" {}", beside.trim_end())
        },
    );
}

/// The comment lines of a stretch between values, one a line, blank lines left out.
pub(super) fn comments(between: &str) -> String {
    between
        .lines()
        .map(str::trim)
        .filter(|line| line.starts_with('#'))
        .fold(String::new(), |all, line| all + line + "\n")
}
