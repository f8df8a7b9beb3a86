//! Reading TOML values with their places, so that one bad value does not hide the next.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::ops::Range;
use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::diagnostic::{Diagnostic, Parsed, Severity, place};

/// A value with its place.
pub(super) type Node<'n> = Spanned<DeValue<'n>>;

/// Similarity (0 to 1) from which a misspelt word gets a suggestion.
const NEAR: f64 = 0.7;

/// Collects what is found while a file is read.
pub(super) struct Reader<'t> {
    text: &'t str,
    found: Vec<Diagnostic>,
    /// Where each key of the file stands (`travel.by`), for problems found afterwards.
    places: BTreeMap<String, Range<usize>>,
}

impl<'t> Reader<'t> {
    /// Reads the text as TOML; the table holds what could be understood.
    pub(super) fn open(text: &'t str) -> (Self, Spanned<DeTable<'t>>) {
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut reader = Self {
            text,
            found: Vec::new(),
            places: BTreeMap::new(),
        };
        for error in errors {
            reader.error(
                error.span().unwrap_or(0..0),
                format!("not TOML: {}", error.message().trim()),
                "",
            );
        }
        (reader, table)
    }

    pub(super) fn error(
        &mut self,
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.add(Severity::Error, span, message.into(), help.into());
    }

    fn add(&mut self, severity: Severity, span: Range<usize>, message: String, help: String) {
        let (line, column) = place(self.text, span.start);
        self.found.push(Diagnostic {
            severity,
            message,
            help,
            span,
            line,
            column,
        });
    }

    /// The place of a key, or of the nearest key around it that stands in the file.
    pub(super) fn place_of(&self, field: &str) -> Range<usize> {
        let mut field = field;
        loop {
            if let Some(span) = self.places.get(field) {
                return span.clone();
            }
            match field.rsplit_once('.') {
                Some((around, _)) => field = around,
                None => return 0..0,
            }
        }
    }

    /// Whether an error was found so far.
    pub(super) fn failed(&self) -> bool {
        self.found.iter().any(|d| d.severity == Severity::Error)
    }

    /// Takes back that keys are missing: after a syntax error they may stand in what was not read.
    pub(super) fn forget_missing(&mut self) {
        self.found.retain(|d| !d.message.ends_with("` is missing"));
    }

    pub(super) fn finish<T>(mut self, value: Option<T>) -> Parsed<T> {
        self.found.sort_by_key(|d| (d.span.start, d.severity));
        let failed = self.failed();
        Parsed {
            value: if failed { None } else { value },
            diagnostics: self.found,
        }
    }

    pub(super) fn text_of<'n>(&mut self, node: &'n Node<'_>, what: &str) -> Option<&'n str> {
        match node.get_ref() {
            DeValue::String(text) => Some(text),
            other => {
                self.wrong_kind(node, other, what);
                None
            }
        }
    }

    pub(super) fn wrong_kind(&mut self, node: &Node<'_>, value: &DeValue<'_>, wanted: &str) {
        let message = format!("expected {wanted}, found {}", kind(value));
        self.error(node.span(), message, "");
    }

    /// A text in a format of its own, such as a pitch.
    pub(super) fn parsed<T>(&mut self, node: &Node<'_>, what: &str) -> Option<T>
    where
        T: FromStr,
        T::Err: Display,
    {
        let text = self.text_of(node, what)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(error) => {
                self.error(node.span(), error.to_string(), "");
                None
            }
        }
    }

    /// A whole number that fits the type.
    pub(super) fn whole<T: TryFrom<i64>>(&mut self, node: &Node<'_>, what: &str) -> Option<T> {
        let DeValue::Integer(number) = node.get_ref() else {
            self.wrong_kind(node, node.get_ref(), what);
            return None;
        };
        let value = i64::from_str_radix(number.as_str(), number.radix())
            .ok()
            .and_then(|n| T::try_from(n).ok());
        if value.is_none() {
            self.error(
                node.span(),
                format!("{number} is out of range"),
                format!("write {what}"),
            );
        }
        value
    }

    /// A number, with or without a fraction.
    pub(super) fn number(&mut self, node: &Node<'_>, what: &str) -> Option<f64> {
        let value = match node.get_ref() {
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix())
                .ok()
                .map(|n| n as f64),
            DeValue::Float(n) => n.as_str().parse::<f64>().ok().filter(|n| n.is_finite()),
            other => {
                self.wrong_kind(node, other, what);
                return None;
            }
        };
        if value.is_none() {
            self.error(node.span(), "not a finite number", format!("write {what}"));
        }
        value
    }

    /// One of some words.
    pub(super) fn word<T: Copy>(
        &mut self,
        node: &Node<'_>,
        what: &str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let text = self.text_of(node, what)?;
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == text) {
            return Some(*value);
        }
        let names: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        self.error(
            node.span(),
            format!("`{}` is not {what}", short(text)),
            suggest(text, &names),
        );
        None
    }

    /// The items of a list.
    pub(super) fn list<'n, 'v>(
        &mut self,
        node: &'n Node<'v>,
        what: &str,
    ) -> Option<&'n [Node<'v>]> {
        match node.get_ref() {
            DeValue::Array(items) => Some(items),
            other => {
                self.wrong_kind(node, other, what);
                None
            }
        }
    }

    /// Every item of a list read by one reader; `None` when one fails, after all were tried.
    pub(super) fn each<T>(
        &mut self,
        node: &Node<'_>,
        what: &str,
        mut read: impl FnMut(&mut Self, &Node<'_>) -> Option<T>,
    ) -> Option<Vec<T>> {
        let items = self.list(node, what)?;
        let read: Vec<Option<T>> = items.iter().map(|item| read(self, item)).collect();
        read.into_iter().collect()
    }
}

/// The keys of one table, read one by one; what is left over at the end is unknown.
pub(super) struct Fields<'n, 'v> {
    table: &'n DeTable<'v>,
    span: Range<usize>,
    path: String,
    asked: Vec<&'static str>,
}

impl<'n, 'v> Fields<'n, 'v> {
    pub(super) fn new(table: &'n DeTable<'v>, span: Range<usize>, path: &str) -> Self {
        Self {
            table,
            span,
            path: path.to_owned(),
            asked: Vec::new(),
        }
    }

    /// The table in a node.
    pub(super) fn of(
        reader: &mut Reader<'_>,
        node: &'n Node<'v>,
        path: &str,
        what: &str,
    ) -> Option<Self> {
        match node.get_ref() {
            DeValue::Table(table) => Some(Self::new(table, node.span(), path)),
            other => {
                reader.wrong_kind(node, other, what);
                None
            }
        }
    }

    fn full(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    /// The value of a key, if it stands there.
    pub(super) fn optional(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
    ) -> Option<&'n Node<'v>> {
        self.asked.push(key);
        let node = self
            .table
            .iter()
            .find(|(k, _)| k.get_ref() == key)
            .map(|(_, v)| v)?;
        reader.places.insert(self.full(key), node.span());
        Some(node)
    }

    /// The value of a key that must stand there.
    pub(super) fn required(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        help: &str,
    ) -> Option<&'n Node<'v>> {
        let node = self.optional(reader, key);
        if node.is_none() {
            let at = if self.path.is_empty() {
                0..0
            } else {
                self.span.clone()
            };
            reader.error(at, format!("`{}` is missing", self.full(key)), help);
        }
        node
    }

    /// Whether a key stands there.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.iter().any(|(k, _)| k.get_ref() == key)
    }

    /// Reports the keys that nobody asked for.
    pub(super) fn finish(self, reader: &mut Reader<'_>) {
        for (key, _) in self.table {
            if !self.asked.contains(&key.get_ref().as_ref()) {
                reader.error(
                    key.span(),
                    format!("`{}` is not a key here", short(key.get_ref())),
                    suggest(key.get_ref(), &self.asked),
                );
            }
        }
    }
}

fn suggest(word: &str, known: &[&str]) -> String {
    nearest(word, known.iter().copied()).map_or_else(
        || format!("write one of {}", known.join(", ")),
        |near| format!("did you mean `{near}`?"),
    )
}

/// The known word that is nearest to a misspelt one, if one is near.
pub(crate) fn nearest<'k>(word: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    let word: String = word.chars().take(60).collect::<String>().to_lowercase();
    known
        .map(|k| {
            (
                strsim::normalized_damerau_levenshtein(&word, k)
                    .max(strsim::jaro_winkler(&word, k) - 0.15),
                k,
            )
        })
        .filter(|(near, _)| *near >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
