//! Between the file that a teacher writes and the JSON that a form works with. No comment is lost
//! on the way there, on the way back, or when a changed value is put back into its file.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use toml_edit::{DocumentMut, Item};

use super::format::{FormatError, comments, format};

/// A file as JSON: the value, and the comments with the key that each belongs to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Document<T> {
    /// The exercise, levels or routine.
    pub value: T,
    /// Comments in the order of the file.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub comments: Vec<Comment>,
}

/// One comment.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Comment {
    /// The key it belongs to; empty for the end of the file.
    pub key: String,
    /// Whether it stands beside the value rather than above the key.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub beside: bool,
    /// The text with its `#`.
    pub text: String,
}

/// From the text of a file to its value and its comments.
///
/// ```
/// use routine::{Exercise, file::{to_document, to_text}, library};
/// let text = format!("# our own\n{}", library::source("scales-thirds").unwrap());
/// let document = to_document::<Exercise>(&text).unwrap();
/// assert_eq!(document.comments[0].text, "# our own");
/// assert!(to_text(&document).unwrap().starts_with("# our own\nversion = 1\n"));
/// ```
///
/// # Errors
/// [`FormatError`] when the text is not TOML or not such a value.
pub fn to_document<T: DeserializeOwned>(text: &str) -> Result<Document<T>, FormatError> {
    let value = toml::from_str(text).map_err(|e| FormatError(e.to_string()))?;
    let document: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| FormatError(e.to_string()))?;
    let mut found = Vec::new();
    let mut note = |key: &str, beside: bool, between: &str| {
        for line in comments(between).lines() {
            found.push(Comment {
                key: key.to_owned(),
                beside,
                text: line.to_owned(),
            });
        }
    };
    for (key, item) in document.iter() {
        let above = document
            .key(key)
            .and_then(|k| k.leaf_decor().prefix())
            .and_then(|p| p.as_str());
        note(key, false, above.unwrap_or(""));
        if let Some(value) = item.as_value() {
            let mut bare = value.clone();
            bare.decor_mut().clear();
            note(key, false, &inside(&bare.to_string()));
            note(
                key,
                true,
                value
                    .decor()
                    .suffix()
                    .and_then(|s| s.as_str())
                    .unwrap_or(""),
            );
        } else {
            note(key, false, &inside(&whole(key, item)));
        }
    }
    note("", false, document.trailing().as_str().unwrap_or(""));
    Ok(Document {
        value,
        comments: found,
    })
}

/// From a value and its comments to the text of a file, formatted.
///
/// # Errors
/// [`FormatError`] when the value has no TOML form.
pub fn to_text<T: Serialize>(document: &Document<T>) -> Result<String, FormatError> {
    let plain = toml::to_string(&document.value).map_err(|e| FormatError(e.to_string()))?;
    let mut out: DocumentMut = plain
        .parse()
        .map_err(|e: toml_edit::TomlError| FormatError(e.to_string()))?;
    inline_tables(&mut out);
    let mut tail = String::new();
    for comment in &document.comments {
        let line = one_line(&comment.text);
        let Some(item) = out.get_mut(&comment.key) else {
            tail.push_str(&line);
            tail.push('\n');
            continue;
        };
        match item {
            Item::Value(value) if comment.beside => {
                let decor = value.decor_mut();
                if decor
                    .suffix()
                    .and_then(|s| s.as_str())
                    .is_none_or(str::is_empty)
                {
                    decor.set_suffix(format!(" {line}"));
                    continue;
                }
                above(&mut out, &comment.key, &line);
            }
            _ => above(&mut out, &comment.key, &line),
        }
    }
    out.set_trailing(tail);
    format(&out.to_string())
}

/// Puts a changed value back into its file: what did not change keeps its place and its look, and
/// every comment stays, those of removed keys at the end.
///
/// ```
/// use routine::{exercise::Tempo, file::{read_exercise, rewrite}, library};
/// let text = library::source("scales-thirds").unwrap().replace("tempo =", "# slower!\ntempo =");
/// let mut exercise = read_exercise(&text).value.unwrap();
/// exercise.tempo = Tempo::One(72.0);
/// let new = rewrite(&text, &exercise).unwrap();
/// assert!(new.contains("# slower!\ntempo = 72.0\n"));
/// ```
///
/// # Errors
/// [`FormatError`] when the text is not TOML or the value has no TOML form.
pub fn rewrite<T: Serialize + DeserializeOwned>(
    text: &str,
    value: &T,
) -> Result<String, FormatError> {
    let mut out: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| FormatError(e.to_string()))?;
    let plain = toml::to_string(value).map_err(|e| FormatError(e.to_string()))?;
    let mut new: DocumentMut = plain
        .parse()
        .map_err(|e: toml_edit::TomlError| FormatError(e.to_string()))?;
    inline_tables(&mut new);
    // What the file leaves to the defaults stays out of it while it has the default's value.
    let old: Option<T> = toml::from_str(text).ok();
    let old_plain = old
        .and_then(|o| toml::to_string(&o).ok())
        .unwrap_or_default();
    let mut before: DocumentMut = old_plain.parse().unwrap_or_default();
    inline_tables(&mut before);
    let added = new.iter().filter(|(k, _)| !out.contains_key(k));
    let keys: Vec<String> = out.iter().chain(added).map(|(k, _)| k.to_owned()).collect();
    let mut tail = out.trailing().as_str().unwrap_or("").to_owned();
    for key in keys {
        let (old, wanted) = (before.get(&key), new.get(&key));
        if old.map(ToString::to_string) == wanted.map(ToString::to_string) {
            continue;
        }
        let kept = out.get(&key).map(|item| {
            let above = out
                .key(&key)
                .and_then(|k| k.leaf_decor().prefix())
                .and_then(|p| p.as_str());
            // A value's text holds the comment beside it.
            let own = item
                .as_value()
                .map_or_else(|| whole(&key, item), ToString::to_string);
            (comments(above.unwrap_or("")), comments(&inside(&own)))
        });
        match wanted {
            None => {
                out.remove(&key);
                if let Some((a, b)) = kept {
                    tail.push_str(&a);
                    tail.push_str(&b);
                }
            }
            Some(wanted) => {
                // In place where the key stands, so that its own comments stay.
                match out.get_mut(&key) {
                    Some(item) => *item = wanted.clone(),
                    None => {
                        out.insert(&key, wanted.clone());
                    }
                }
                if let Some((_, inner)) = kept {
                    for line in inner.lines() {
                        above(&mut out, &key, line);
                    }
                }
            }
        }
    }
    out.set_trailing(tail);
    format(&out.to_string())
}

/// Adds a comment line above a key.
fn above(document: &mut DocumentMut, key: &str, line: &str) {
    if let Some(Item::ArrayOfTables(tables)) = document.get_mut(key) {
        if let Some(first) = tables.iter_mut().next() {
            let old = first
                .decor()
                .prefix()
                .and_then(|p| p.as_str())
                .unwrap_or("")
                .to_owned();
            first.decor_mut().set_prefix(format!("{old}{line}\n"));
        }
        return;
    }
    if let Some(Item::Table(table)) = document.get_mut(key) {
        let old = table
            .decor()
            .prefix()
            .and_then(|p| p.as_str())
            .unwrap_or("")
            .to_owned();
        table.decor_mut().set_prefix(format!("{old}{line}\n"));
        return;
    }
    if let Some(mut key) = document.key_mut(key) {
        let decor = key.leaf_decor_mut();
        let old = decor
            .prefix()
            .and_then(|p| p.as_str())
            .unwrap_or("")
            .to_owned();
        decor.set_prefix(format!("{old}{line}\n"));
    }
}

/// Tables of a plain value on one line: `travel = { from = "C5", ... }`.
fn inline_tables(document: &mut DocumentMut) {
    let keys: Vec<String> = document
        .iter()
        .filter(|(_, item)| item.is_table())
        .map(|(key, _)| key.to_owned())
        .collect();
    for key in keys {
        if let Some(item) = document.get_mut(&key) {
            let table = std::mem::take(item);
            *item = match table.into_table() {
                Ok(table) => Item::Value(toml_edit::Value::InlineTable(table.into_inline_table())),
                Err(other) => other,
            };
        }
        if let Some(mut key) = document.key_mut(&key) {
            key.leaf_decor_mut().clear();
        }
    }
}

/// The comment lines inside the text of a value: those that begin with `#` outside of strings.
fn inside(text: &str) -> String {
    let mut found = String::new();
    let mut quote: Option<&str> = None;
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let step = match quote {
            Some(q) if rest.starts_with(q) => {
                quote = None;
                q.len()
            }
            Some(q) if c == '\\' && q.starts_with('"') => {
                1 + rest.chars().nth(1).map_or(0, char::len_utf8)
            }
            Some(_) => c.len_utf8(),
            None => {
                let open = ["\"\"\"", "'''", "\"", "'"]
                    .into_iter()
                    .find(|q| rest.starts_with(q));
                if let Some(q) = open {
                    quote = Some(q);
                    q.len()
                } else if c == '#' {
                    let line = rest.lines().next().unwrap_or("");
                    found.push_str(line.trim_end());
                    found.push('\n');
                    line.len().max(1)
                } else {
                    c.len_utf8()
                }
            }
        };
        rest = rest.get(step..).unwrap_or("");
    }
    found
}

/// The text of one key of a document, tables and all.
fn whole(key: &str, item: &Item) -> String {
    let mut document = DocumentMut::new();
    document.insert(key, item.clone());
    document.to_string()
}

/// A comment as one line that begins with `#`.
fn one_line(text: &str) -> String {
    let flat: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let flat = flat.trim();
    if flat.starts_with('#') {
        flat.to_owned()
    } else {
        format!("# {flat}")
    }
}
