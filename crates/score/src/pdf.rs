//! Pages as PDF: selectable text in our fonts, tags, an outline and the document's properties.

use std::num::NonZeroU16;

use krilla::geom::{Point, Size};
use krilla::metadata::{Metadata, TextDirection};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Node, SpanTag, Tag, TagGroup, TagTree};
use krilla::{Document, destination::XyzDestination};
use krilla_svg::{SurfaceExt, SvgSettings};
use resvg::usvg::{Options, Tree};
use tone::Language;

use crate::page::{Block, Measures, Page, Role};
use crate::{Error, font, svg};

/// The document's properties.
#[derive(Clone, Debug, Default)]
pub(crate) struct Info {
    /// Title.
    pub title: String,
    /// What it is for.
    pub description: String,
    /// Date as printed.
    pub date: String,
    /// Language of its words.
    pub language: Language,
}

/// Writes the pages.
pub(crate) fn write(pages: &[Page], info: &Info, measures: &Measures) -> Result<Vec<u8>, Error> {
    check_glyphs(pages)?;
    let options = Options {
        fontdb: font::database(),
        font_family: font::SERIF.to_owned(),
        ..Options::default()
    };
    let mut document = Document::new();
    let mut tags = TagTree::new();
    let settings = PageSettings::from_wh(measures.width as f32, measures.height as f32)
        .ok_or_else(|| Error::Pdf("the page has no size".to_owned()))?;
    for page in pages {
        let mut sheet = document.start_page_with(settings.clone());
        let mut surface = sheet.surface();
        for (top, block) in &page.blocks {
            let mut group = tag(block);
            let id = surface.start_tagged(content(block));
            let drawing = crate::page::placed(*top, block, measures);
            let defs: String = block.defs.values().map(String::as_str).collect();
            draw(&mut surface, &defs, &drawing, measures, &options)?;
            surface.end_tagged();
            group.push(Node::Leaf(id));
            tags.push(group);
        }
        let _ = surface.start_tagged(ContentTag::Artifact(Artifact::new(
            ArtifactType::Footer,
            None,
        )));
        draw(
            &mut surface,
            "",
            &page.running(measures),
            measures,
            &options,
        )?;
        surface.end_tagged();
        surface.finish();
        sheet.finish();
    }
    document.set_outline(outline(pages, measures));
    document.set_metadata(metadata(info));
    document.set_tag_tree(tags);
    document
        .finish()
        .map_err(|error| Error::Pdf(format!("{error:?}")))
}

/// Draws part of a page.
fn draw(
    surface: &mut Surface<'_>,
    defs: &str,
    body: &str,
    measures: &Measures,
    options: &Options<'_>,
) -> Result<(), Error> {
    let size = (measures.width, measures.height);
    let body = format!(r##"<defs>{defs}</defs><g color="#000" fill="currentColor">{body}</g>"##);
    let document = svg::document(size, "", "", "", &body);
    let tree = Tree::from_str(&document, options).map_err(|e| Error::Pdf(e.to_string()))?;
    let size = Size::from_wh(measures.width as f32, measures.height as f32)
        .ok_or_else(|| Error::Pdf("the page has no size".to_owned()))?;
    surface
        .draw_svg(&tree, size, SvgSettings::default())
        .ok_or_else(|| Error::Pdf("a drawing could not be placed".to_owned()))
}

/// The structure element of a block.
fn tag(block: &Block) -> TagGroup {
    let heading = |level: u16| {
        let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        TagGroup::new(Tag::Hn(level, Some(block.words.clone())))
    };
    match block.role {
        Role::Title => heading(1),
        Role::Heading => heading(2),
        Role::Text => TagGroup::new(Tag::P),
        Role::Music => TagGroup::new(Tag::Figure(Some(block.words.clone()))),
    }
}

fn content(block: &Block) -> ContentTag<'static> {
    match block.role {
        Role::Music => ContentTag::Other,
        Role::Title | Role::Heading | Role::Text => ContentTag::Span(SpanTag::empty()),
    }
}

/// Titles, with the exercises below them.
fn outline(pages: &[Page], measures: &Measures) -> Outline {
    let mut outline = Outline::new();
    let mut open: Option<OutlineNode> = None;
    for (number, page) in pages.iter().enumerate() {
        for (top, block) in &page.blocks {
            let Some(level) = block.outline else { continue };
            let point = Point::from_xy(measures.side as f32, *top as f32);
            let node = OutlineNode::new(block.words.clone(), XyzDestination::new(number, point));
            match open.as_mut().filter(|_| level > 1) {
                Some(parent) => parent.push_child(node),
                None => {
                    if let Some(done) = open.replace(node) {
                        outline.push_child(done);
                    }
                }
            }
        }
    }
    if let Some(done) = open {
        outline.push_child(done);
    }
    outline
}

fn metadata(info: &Info) -> Metadata {
    let mut metadata = Metadata::new()
        .title(info.title.clone())
        .creator(concat!("waterkey ", env!("CARGO_PKG_VERSION")).to_owned())
        .language(info.language.tag().to_owned())
        .text_direction(TextDirection::LeftToRight);
    if !info.description.is_empty() {
        metadata = metadata.description(info.description.clone());
    }
    if !info.date.is_empty() {
        metadata = metadata.keywords(vec![info.date.clone()]);
    }
    metadata
}

/// Refuses a text that would come out with holes.
fn check_glyphs(pages: &[Page]) -> Result<(), Error> {
    let blocks = pages.iter().flat_map(|page| &page.blocks);
    let mut text: String = blocks.map(|(_, block)| block.words.as_str()).collect();
    for page in pages {
        text.push_str(&page.running.left);
        text.push_str(&page.running.right);
    }
    match font::missing(&text) {
        lacking if lacking.is_empty() => Ok(()),
        lacking => Err(Error::Glyphs { lacking }),
    }
}
