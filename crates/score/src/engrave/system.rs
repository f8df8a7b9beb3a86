//! One system as the engraver drew it, made small and steady: our ids, points, current colour.

use std::collections::{BTreeMap, HashSet};
use std::fmt::Write;

use roxmltree::{Document, Node};

use super::outline::{edge, horizontal, lowest, translation};
use crate::Error;
use crate::svg;

/// Units of the engraver between two staff lines.
const UNITS_PER_SPACE: f64 = 180.0;
/// Half the width of a black notehead, in those units.
const HALF_HEAD: f64 = 113.0;
/// Half the width of a whole note's head.
const HALF_WHOLE: f64 = 146.0;
/// Half the width of a breve.
const HALF_BREVE: f64 = 190.0;

/// A system of music in points.
#[derive(Clone, Debug)]
pub(super) struct System {
    /// Height of everything drawn.
    pub height: f64,
    /// Lines of the staff, top and bottom.
    pub staff: (f64, f64),
    /// Glyphs by id.
    pub defs: BTreeMap<String, String>,
    /// The drawing.
    pub svg: String,
    /// Noteheads in order of the page, by note id.
    pub notes: Vec<Placed>,
    /// Right end of the staff.
    pub right: f64,
    /// Points along the edges of beams, stems, slurs and ties: what a label must not touch.
    pub edges: Vec<(f64, f64)>,
}

/// Where a notehead stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    /// Id of the note.
    pub id: String,
    /// Middle of the head.
    pub x: f64,
    /// Middle of the head.
    pub y: f64,
}

/// Units of the engraver in a width, in the tenths that its options want.
pub(super) fn page_width(points: f64, space: f64) -> u32 {
    (points / space * UNITS_PER_SPACE / 10.0).round().max(100.0) as u32
}

/// Reads what the engraver drew. `ids` are the ids that are kept.
pub(super) fn read(drawn: &str, space: f64, ids: &HashSet<String>) -> Result<System, Error> {
    let document = Document::parse(drawn).map_err(|e| Error::Engraver(e.to_string()))?;
    let root = document.root_element();
    let suffix = format!("-{}", root.attribute("id").unwrap_or_default());
    let scale = space / UNITS_PER_SPACE;
    let inner = root
        .children()
        .find(|n| n.attribute("class") == Some("definition-scale"))
        .ok_or_else(|| Error::Engraver("the drawing has no scale".to_owned()))?;
    let mut reader = Reader {
        suffix,
        scale,
        ids,
        out: String::new(),
        notes: Vec::new(),
        lines: Vec::new(),
        right: 0.0,
        bottom: 0.0,
        edges: Vec::new(),
        tied_on: false,
    };
    let mut defs = BTreeMap::new();
    for glyph in root
        .descendants()
        .filter(|n| n.has_tag_name("defs"))
        .flat_map(|n| n.children())
    {
        if let (Some(id), Some(path)) = (
            glyph.attribute("id"),
            glyph.children().find(Node::is_element),
        ) {
            let id = reader.glyph(id);
            let path = path.attribute("d").unwrap_or_default();
            let drawing = format!(r#"<path id="{id}" transform="scale(1,-1)" d="{path}"/>"#);
            defs.insert(id, drawing);
        }
    }
    for node in inner.children() {
        reader.node(node);
    }
    let first = reader.lines.first().copied().unwrap_or(0.0);
    let last = reader.lines.get(4).copied().unwrap_or(first);
    Ok(System {
        height: reader.bottom * scale,
        staff: (first * scale, last * scale),
        defs,
        svg: format!(
            r#"<g class="system" transform="scale({scale:.5})">{}</g>"#,
            reader.out
        ),
        notes: reader.notes,
        right: reader.right * scale,
        edges: reader
            .edges
            .into_iter()
            .map(|(x, y)| (x * scale, y * scale))
            .collect(),
    })
}

struct Reader<'a> {
    suffix: String,
    scale: f64,
    ids: &'a HashSet<String>,
    out: String,
    notes: Vec<Placed>,
    lines: Vec<f64>,
    right: f64,
    bottom: f64,
    edges: Vec<(f64, f64)>,
    /// Within a piece that a tie leads to.
    tied_on: bool,
}

impl Reader<'_> {
    /// A name for a glyph that is the same in every drawing.
    fn glyph(&self, id: &str) -> String {
        let name = id.trim_start_matches('#');
        format!("smufl-{}", name.strip_suffix(&self.suffix).unwrap_or(name))
    }

    fn node(&mut self, node: Node<'_, '_>) {
        match node.tag_name().name() {
            "g" => self.group(node),
            "use" => self.glyph_use(node),
            "path" | "polygon" | "polyline" | "rect" | "ellipse" => self.shape(node),
            _ => {}
        }
    }

    fn group(&mut self, node: Node<'_, '_>) {
        let before = self.out.len();
        let class = node.attribute("class").unwrap_or_default();
        if class == "accid" && self.tied_on {
            return;
        }
        let id = node.attribute("id").filter(|id| self.ids.contains(*id));
        let named = matches!(
            class,
            "note" | "rest" | "mRest" | "multiRest" | "measure" | "slur" | "tie" | "dynam" | "clef"
        );
        let opened = if named || id.is_some() {
            self.out.push_str("<g");
            if let Some(id) = id {
                let _ = write!(self.out, r#" id="{}""#, svg::escape(id));
            }
            let _ = write!(self.out, r#" class="{class}">"#);
            true
        } else {
            false
        };
        if class == "note"
            && let Some(id) = id
        {
            self.place(node, id);
        }
        let start = self.out.len();
        let tied_on = self.tied_on;
        if class == "note" {
            // `l1n2-2`: the second piece of a note carries the sign of the first unseen.
            self.tied_on = id.is_some_and(|id| id.contains('-'));
        }
        for child in node.children() {
            self.node(child);
        }
        self.tied_on = tied_on;
        if opened && self.out.len() == start {
            self.out.truncate(before);
        } else if opened {
            self.out.push_str("</g>");
        }
    }

    /// Notes where the head of a note stands.
    fn place(&mut self, note: Node<'_, '_>, id: &str) {
        let head = note.descendants().find(|n| n.has_tag_name("use"));
        let Some(head) = head else { return };
        let Some((x, y)) = head.attribute("transform").and_then(translation) else {
            return;
        };
        let code = head
            .attribute(("http://www.w3.org/1999/xlink", "href"))
            .unwrap_or_default();
        let half = match code.get(1..5) {
            Some("E0A2") => HALF_WHOLE,
            Some("E0A0" | "E0A1") => HALF_BREVE,
            _ => HALF_HEAD,
        };
        self.notes.push(Placed {
            id: id.to_owned(),
            x: (x + half) * self.scale,
            y: y * self.scale,
        });
    }

    fn glyph_use(&mut self, node: Node<'_, '_>) {
        let href = node
            .attribute(("http://www.w3.org/1999/xlink", "href"))
            .unwrap_or_default();
        let transform = node.attribute("transform").unwrap_or_default();
        let _ = write!(
            self.out,
            r##"<use xlink:href="#{}" transform="{}"/>"##,
            self.glyph(href),
            svg::escape(transform)
        );
        if let Some((_, y)) = translation(transform) {
            // A G clef reaches 2.6 spaces below its line, other signs less than one.
            let below = if href.contains("E050") { 2.7 } else { 1.0 };
            self.bottom = self.bottom.max(y + below * UNITS_PER_SPACE);
        }
    }

    fn shape(&mut self, node: Node<'_, '_>) {
        let name = node.tag_name().name();
        let _ = write!(self.out, "<{name}");
        for attribute in node.attributes() {
            let key = attribute.name();
            if matches!(key, "id" | "class" | "stroke" | "fill") {
                continue;
            }
            let _ = write!(self.out, r#" {key}="{}""#, svg::escape(attribute.value()));
        }
        let hollow = node.attribute("fill") == Some("none");
        self.out
            .push_str(if hollow { r#" fill="none""# } else { "" });
        if node.attribute("stroke") != Some("none") {
            self.out.push_str(r#" stroke="currentColor""#);
        }
        self.out.push_str("/>");
        let drawn = node.attribute("d").or_else(|| node.attribute("points"));
        self.bottom = drawn.map_or(self.bottom, |d| self.bottom.max(lowest(d)));
        let of_staff = node
            .parent()
            .is_some_and(|p| p.attribute("class") == Some("staff"));
        if !of_staff && let Some(drawn) = drawn {
            self.edges.extend(edge(drawn));
        }
        if let Some(line) = node.attribute("d").and_then(horizontal)
            && of_staff
        {
            let (y, right) = line;
            if self.lines.len() < 5 {
                self.lines.push(y);
            }
            self.right = self.right.max(right);
        }
    }
}
