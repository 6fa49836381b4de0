//! Which format a file is, told by its first bytes.

use crate::{Error, Problem, Warning};

/// A format that can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// DXF, ASCII or binary.
    Dxf,
    /// SVG.
    Svg,
}

/// Files that are met in place of a drawing: how they begin, what they are, what to do.
const FOREIGN: [(&[u8], &str, &str); 7] = [
    (b"PK\x03\x04", "a ZIP archive", "unpack it and give the drawing inside"),
    (b"%PDF", "a PDF", "export the drawing as DXF or SVG"),
    (b"\x89PNG", "a PNG picture", "a picture has no outlines: export the drawing itself as DXF or SVG"),
    (b"\xff\xd8\xff", "a JPEG picture", "a picture has no outlines: export the drawing itself as DXF or SVG"),
    (b"\x1f\x8b", "compressed with gzip", "unpack it first (an .svgz becomes an .svg)"),
    (b"%!PS", "PostScript", "export the drawing as DXF or SVG"),
    (b"AutoCAD DXB", "a DXB file", "save it as DXF"),
];

/// How a binary DXF file begins (DXF Reference, Binary DXF Files).
pub(super) const BINARY_DXF: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

impl Kind {
    /// Recognises the format; the second value warns of an extension that says otherwise.
    pub fn of(bytes: &[u8], name: &str) -> Result<(Self, Option<Warning>), Error> {
        refuse_foreign(bytes, name)?;
        let by_name = Self::by_extension(name);
        match (Self::by_content(bytes), by_name) {
            (Some(kind), Some(said)) if kind != said => {
                let what = format!("the content is {kind}, not what the extension says");
                Ok((kind, Some(Problem::new(name, what, "it is read by its content"))))
            }
            (Some(kind), _) | (None, Some(kind)) => Ok((kind, None)),
            (None, None) => {
                Err(Error::input(name, "neither a DXF nor an SVG file", "export the drawing as DXF or SVG"))
            }
        }
    }

    fn by_extension(name: &str) -> Option<Self> {
        let (_, extension) = name.rsplit_once('.')?;
        match extension.to_ascii_lowercase().as_str() {
            "dxf" => Some(Self::Dxf),
            "svg" => Some(Self::Svg),
            _ => None,
        }
    }

    fn by_content(bytes: &[u8]) -> Option<Self> {
        if bytes.starts_with(BINARY_DXF) {
            return Some(Self::Dxf);
        }
        if bytes.starts_with(b"\xff\xfe<\0") || bytes.starts_with(b"\xfe\xff\0<") {
            return Some(Self::Svg);
        }
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
        let first = text.split(|b| matches!(b, b'\n' | b'\r')).next().unwrap_or_default().trim_ascii();
        match first {
            [b'<', ..] => Some(Self::Svg),
            // The first group code of a DXF file opens a section or is a comment.
            b"0" | b"999" => Some(Self::Dxf),
            _ => None,
        }
    }
}

impl std::fmt::Display for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Dxf => "DXF",
            Self::Svg => "SVG",
        })
    }
}

fn refuse_foreign(bytes: &[u8], name: &str) -> Result<(), Error> {
    if bytes.trim_ascii().is_empty() {
        return Err(Error::input(name, "the file is empty", "export the drawing again"));
    }
    // DWG begins with its version, such as AC1027.
    let dwg =
        matches!(bytes, [b'A', b'C', a, b, c, d, ..] if [a, b, c, d].iter().all(|x| x.is_ascii_digit()));
    if dwg {
        return Err(Error::input(name, "this is a DWG file", "save it as DXF, R12 to 2018"));
    }
    match FOREIGN.iter().find(|(magic, ..)| bytes.starts_with(magic)) {
        Some((_, what, remedy)) => Err(Error::input(name, format!("this is {what}"), *remedy)),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn content_decides_and_a_wrong_extension_is_warned_of() {
        assert_eq!(Kind::of(b"  0\nSECTION\n", "a.dxf").unwrap(), (Kind::Dxf, None));
        assert_eq!(Kind::of(b"999\nnote\n", "-").unwrap(), (Kind::Dxf, None));
        assert_eq!(Kind::of(BINARY_DXF, "a").unwrap(), (Kind::Dxf, None));
        assert_eq!(Kind::of(b"\xef\xbb\xbf<svg/>", "A.SVG").unwrap(), (Kind::Svg, None));
        let (kind, doubt) = Kind::of(b"<svg/>", "a.dxf").unwrap();
        assert_eq!(kind, Kind::Svg);
        assert!(doubt.unwrap().what.contains("SVG"));
    }

    #[test]
    fn foreign_files_are_named_with_a_remedy() {
        for (bytes, word) in [
            (&b"AC1027\0\0\0"[..], "DWG"),
            (b"PK\x03\x04abc", "ZIP"),
            (b"%PDF-1.7", "PDF"),
            (b"\x89PNG\r\n", "PNG"),
            (b"\xff\xd8\xff\xe0", "JPEG"),
            (b"\x1f\x8b\x08", "gzip"),
            (b" \r\n", "empty"),
            (b"hello", "neither"),
        ] {
            let error = Kind::of(bytes, "x").unwrap_err();
            assert_eq!(error.exit_code(), 2);
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
