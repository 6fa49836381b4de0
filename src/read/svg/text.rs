//! Bytes into text: encodings, and the entity declarations that are let through.

use crate::Error;
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE};

/// Largest file taken, in bytes (64 MiB). Drawings of a few thousand contours stay under 5 MB;
/// beyond this it is a traced picture or an attack.
pub(super) const MAX_BYTES: usize = 64 << 20;

/// Most entities a file may declare. Drawing programs declare about ten namespace addresses.
const MAX_ENTITIES: usize = 64;

/// Longest text of an entity, in bytes. Namespace addresses are under 100.
const MAX_ENTITY_BYTES: usize = 1024;

/// Longest text that all entity references together may stand for, in bytes.
const MAX_EXPANSION: usize = 16 << 20;

/// Decodes a file by its byte order mark, its XML declaration, or as UTF-8.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<String, Error> {
    if bytes.len() > MAX_BYTES {
        let what = format!("the file has {} bytes, more than the {MAX_BYTES} that are read", bytes.len());
        return Err(Error::input(name, what, "split the drawing, or leave pictures out of it"));
    }
    let encoding = encoding_of(bytes, name)?;
    let body = Encoding::for_bom(bytes).map_or(bytes, |(_, length)| bytes.get(length..).unwrap_or_default());
    let text = encoding.decode_without_bom_handling_and_without_replacement(body).ok_or_else(|| {
        let what = format!("the file is damaged: its bytes are not {}", encoding.name());
        Error::input(name, what, "save it again as UTF-8")
    })?;
    Ok(text.into_owned())
}

fn encoding_of(bytes: &[u8], name: &str) -> Result<&'static Encoding, Error> {
    if let Some((encoding, _)) = Encoding::for_bom(bytes) {
        return Ok(encoding);
    }
    match bytes {
        [b'<', 0, ..] => return Ok(UTF_16LE),
        [0, b'<', ..] => return Ok(UTF_16BE),
        _ => {}
    }
    let Some(label) = declared_encoding(bytes) else { return Ok(UTF_8) };
    match Encoding::for_label(label) {
        // Its declaration could be read byte by byte, so UTF-16 it is not.
        Some(encoding) if encoding == UTF_16LE || encoding == UTF_16BE => Ok(UTF_8),
        Some(encoding) => Ok(encoding),
        None => {
            let what = format!("the encoding '{}' is not known", String::from_utf8_lossy(label));
            Err(Error::input(format!("{name}: line 1"), what, "save it again as UTF-8"))
        }
    }
}

/// The value of `encoding` in the XML declaration.
fn declared_encoding(bytes: &[u8]) -> Option<&[u8]> {
    let declaration = bytes.trim_ascii_start().strip_prefix(b"<?xml")?;
    let end = declaration.iter().position(|b| *b == b'>')?;
    let declaration = declaration.get(..end)?;
    let at = declaration.windows(8).position(|w| w == b"encoding")?;
    let value = declaration.get(at + 8..)?.trim_ascii_start().strip_prefix(b"=")?.trim_ascii_start();
    let (quote, value) = value.split_first()?;
    value.split(|b| b == quote).next()
}

/// Refuses entity declarations that could load something, refer to others, or grow.
///
/// Internal entities of plain text are needed, since drawing programs write their namespace
/// addresses as such; whatever could fetch a file or expand without bound is an error. All
/// declarations are found by their keyword, so that nothing depends on where they stand.
pub(super) fn check_entities(text: &str, name: &str) -> Result<(), Error> {
    let refuse = |at: usize, what: &str| {
        let line = text.get(..at).unwrap_or_default().matches('\n').count() + 1;
        Err(Error::input(format!("{name}: line {line}"), what, "save the drawing as plain SVG"))
    };
    let (mut count, mut longest) = (0, 0);
    for (at, keyword) in text.match_indices("<!ENTITY") {
        count += 1;
        let Some(value) = entity_value(text.get(at + keyword.len()..).unwrap_or_default()) else {
            return refuse(at, "an entity that is not plain text inside the file; such are never loaded");
        };
        if value.contains(['&', '%', '<']) {
            return refuse(at, "an entity made of other entities or elements");
        }
        if count > MAX_ENTITIES || value.len() > MAX_ENTITY_BYTES {
            return refuse(at, "too many or too long entities");
        }
        longest = longest.max(value.len());
    }
    if text.matches('&').count().saturating_mul(longest) > MAX_EXPANSION {
        return refuse(0, "entities that would grow beyond 16 MiB of text");
    }
    Ok(())
}

/// The quoted value of a declaration ` name "value"`; `None` for any other form.
fn entity_value(declaration: &str) -> Option<&str> {
    let (name, rest) = declaration.trim_start().split_once(|c: char| c.is_ascii_whitespace())?;
    let rest = rest.trim_start();
    let quote = rest.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    (!name.contains('%')).then_some(())?;
    rest.get(1..)?.split_once(quote).map(|(value, _)| value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodings_are_told_by_mark_declaration_and_bytes() {
        let latin = b"<?xml version='1.0' encoding='ISO-8859-1'?><svg id='Fl\xfcgel'/>";
        assert!(decode(latin, "a").unwrap().contains("Flügel"));
        let wide: Vec<u8> = "<svg id='ü'/>".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(decode(&wide, "a").unwrap(), "<svg id='ü'/>");
        let marked: Vec<u8> = "\u{feff}<svg/>".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(decode(&marked, "a").unwrap(), "<svg/>");
        assert_eq!(decode(b"\xef\xbb\xbf<svg/>", "a").unwrap(), "<svg/>");
        assert_eq!(
            decode(b"<?xml encoding=\"UTF-16\"?><svg/>", "a").unwrap(),
            "<?xml encoding=\"UTF-16\"?><svg/>"
        );
    }

    #[test]
    fn wrong_and_unknown_encodings_are_errors() {
        assert!(decode(b"<svg id='\xff'/>", "a").unwrap_err().to_string().contains("not UTF-8"));
        let odd = b"<?xml encoding=\"klingon\"?><svg/>";
        assert!(decode(odd, "a").unwrap_err().to_string().contains("'klingon' is not known"));
    }

    #[test]
    fn only_plain_internal_entities_pass() {
        let check = |text: &str| check_entities(text, "a");
        check("<!DOCTYPE svg [ <!ENTITY ns \"http://example.org/\"> ]><svg a='&ns;'/>").unwrap();
        check("<!DOCTYPE svg PUBLIC 'x' 'y.dtd'><svg/>").unwrap();
        for bad in [
            "<!ENTITY x SYSTEM \"file:///etc/hostname\">",
            "<!ENTITY x PUBLIC 'a' 'b'>",
            "<!ENTITY % x 'a'>",
            "<!ENTITY %x 'a'>",
            "<!ENTITY x '&y;&y;'>",
            "<!ENTITY x '<path/>'>",
            "<!ENTITY x \"never closed",
            "<!ENTITY",
        ] {
            let error = check(&format!("<!DOCTYPE svg [\n{bad} ]><svg/>")).unwrap_err();
            assert!(error.to_string().contains("a: line 2"), "{error}");
        }
        let long = format!("<!ENTITY x '{}'>{}", "y".repeat(1000), "&x;".repeat(20_000));
        assert!(check(&long).is_err());
        assert!(check(&"<!ENTITY x 'y'>".repeat(65)).is_err());
    }
}
