//! From bytes to the text of the score: archive, encoding.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use crate::Error;

/// Largest document that is read, unpacked: 64 MiB.
const LARGEST: u64 = 64 * 1024 * 1024;

/// The text of the score, out of its archive if it is in one.
pub(super) fn text(bytes: &[u8]) -> Result<String, Error> {
    if bytes.starts_with(b"PK\x03\x04") {
        let mut archive = ZipArchive::new(Cursor::new(bytes))?;
        let container = entry(&mut archive, "META-INF/container.xml")?;
        let path = rootfile(&container)?;
        return entry(&mut archive, &path);
    }
    decode(bytes)
}

fn entry(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str) -> Result<String, Error> {
    let mut bytes = Vec::new();
    let mut file = archive.by_name(name)?.take(LARGEST + 1);
    file.read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(Error::NotMusicXml {
            what: format!("`{name}` in the archive is larger than 64 MiB"),
        });
    }
    decode(&bytes)
}

/// Path of the score within the archive.
fn rootfile(container: &str) -> Result<String, Error> {
    let document = roxmltree::Document::parse(container)?;
    document
        .descendants()
        .find(|n| n.tag_name().name() == "rootfile")
        .and_then(|n| n.attribute("full-path"))
        .map(str::to_owned)
        .ok_or_else(|| Error::NotMusicXml {
            what: "META-INF/container.xml names no rootfile".to_owned(),
        })
}

/// The text with an XML declaration that says UTF-8, if it says another encoding now.
pub(super) fn declared_utf8(text: String) -> String {
    let declaration = text
        .strip_prefix("<?xml")
        .and_then(|rest| rest.split_once("?>"))
        .map_or("", |(inside, _)| inside);
    let Some((_, after)) = declaration.split_once("encoding") else {
        return text;
    };
    let value = after.trim_start_matches([' ', '=', '"', '\'']);
    let name = value.split(['"', '\'']).next().unwrap_or_default();
    if name.is_empty() || name.eq_ignore_ascii_case("utf-8") {
        return text;
    }
    text.replacen(name, "UTF-8", 1)
}

/// UTF-8 or UTF-16 by byte order mark; ISO 8859-1 when the declaration says so.
fn decode(bytes: &[u8]) -> Result<String, Error> {
    let wide = |bytes: &[u8], unit: fn([u8; 2]) -> u16| {
        let units = bytes.chunks_exact(2).map(|pair| match pair {
            [a, b] => unit([*a, *b]),
            _ => 0,
        });
        char::decode_utf16(units)
            .collect::<Result<String, _>>()
            .map_err(|error| Error::NotMusicXml {
                what: format!("not valid UTF-16: {error}"),
            })
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xef, 0xbb, 0xbf, rest @ ..] => utf8(rest),
        _ => utf8(bytes),
    }
}

fn utf8(bytes: &[u8]) -> Result<String, Error> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(error) => {
            let head = String::from_utf8_lossy(bytes.get(..100).unwrap_or(bytes)).to_lowercase();
            if head.contains("encoding=\"iso-8859-1\"") || head.contains("encoding='iso-8859-1'") {
                Ok(bytes.iter().map(|&byte| char::from(byte)).collect())
            } else {
                Err(Error::NotMusicXml {
                    what: format!("not valid UTF-8 at byte {}", error.valid_up_to()),
                })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_in_utf_8_says_so() {
        for (before, after) in [
            (
                r#"<?xml version="1.0" encoding="UTF-16" standalone="no"?><a b="UTF-16"/>"#,
                r#"<?xml version="1.0" encoding="UTF-8" standalone="no"?><a b="UTF-16"/>"#,
            ),
            (
                "<?xml version='1.0' encoding='iso-8859-1'?><a/>",
                "<?xml version='1.0' encoding='UTF-8'?><a/>",
            ),
            (
                r#"<?xml version="1.0" encoding="utf-8"?><a/>"#,
                r#"<?xml version="1.0" encoding="utf-8"?><a/>"#,
            ),
            ("<a encoding=\"x\"/>", "<a encoding=\"x\"/>"),
            ("", ""),
        ] {
            assert_eq!(declared_utf8(before.to_owned()), after);
        }
    }
}
