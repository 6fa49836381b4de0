//! Strings of a file: which bytes mean which characters.

use super::document::Document;
use encoding_rs::{BIG5, EUC_KR, Encoding, GBK, SHIFT_JIS, UTF_8, WINDOWS_1252};

/// How the strings of a file are encoded.
#[derive(Debug, Clone, Copy)]
pub(super) struct Text {
    encoding: &'static Encoding,
}

impl Text {
    /// From R2007 on UTF-8, before that the code page that `$DWGCODEPAGE` names, and Windows-1252
    /// where it is not known (DXF Reference, header variables `$ACADVER` and `$DWGCODEPAGE`).
    pub fn of(document: &Document) -> Self {
        let version = document.header.get(&b"$ACADVER"[..]).map_or(&b""[..], |p| p.text());
        // Versions are written AC1009, AC1015, AC1021 and so on; AC1021 is R2007.
        if version >= &b"AC1021"[..] && version.starts_with(b"AC1") {
            return Self { encoding: UTF_8 };
        }
        let page = document.header.get(&b"$DWGCODEPAGE"[..]).map_or(&b""[..], |p| p.text());
        Self { encoding: code_page(page) }
    }

    /// The characters of a string. Old files are met that are written in UTF-8 all the same;
    /// text in another encoding is hardly ever valid UTF-8 by chance.
    pub fn decode(self, bytes: &[u8]) -> String {
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.to_string(),
            Err(_) => self.encoding.decode_without_bom_handling(bytes).0.into_owned(),
        };
        unescape(&text)
    }
}

fn code_page(name: &[u8]) -> &'static Encoding {
    let name = String::from_utf8_lossy(name).to_ascii_lowercase();
    let number = name.trim_start_matches(|c: char| !c.is_ascii_digit());
    match number {
        "932" => SHIFT_JIS,
        "936" => GBK,
        "949" => EUC_KR,
        "950" => BIG5,
        "874" | "1250" | "1251" | "1253" | "1254" | "1255" | "1256" | "1257" | "1258" => {
            Encoding::for_label(format!("windows-{number}").as_bytes()).unwrap_or(WINDOWS_1252)
        }
        "866" => encoding_rs::IBM866,
        _ => WINDOWS_1252,
    }
}

/// `\U+00E9` stands for a character that the code page lacks.
fn unescape(text: &str) -> String {
    let mut parts = text.split("\\U+");
    let mut out = parts.next().unwrap_or_default().to_string();
    for part in parts {
        let code = part.get(..4).and_then(|hex| u32::from_str_radix(hex, 16).ok()).and_then(char::from_u32);
        match code {
            Some(c) => {
                out.push(c);
                out.push_str(&part[4..]);
            }
            None => {
                out.push_str("\\U+");
                out.push_str(part);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_pages_utf8_and_escapes() {
        let decode = |page: &str, bytes: &[u8]| Text { encoding: code_page(page.as_bytes()) }.decode(bytes);
        assert_eq!(decode("ANSI_1251", b"\xcf\xe0\xed\xe5\xeb\xfc"), "Панель");
        assert_eq!(decode("ANSI_932", b"\x83\x70\x83\x6c\x83\x8b"), "パネル");
        assert_eq!(decode("ANSI_1252", b"T\xfcr"), "Tür");
        assert_eq!(decode("", "Tür".as_bytes()), "Tür");
        assert_eq!(decode("", b"\\U+00e9t\\U+00e9"), "été");
        assert_eq!(decode("", "\\U+12é \\U+zzzz \\U+".as_bytes()), "\\U+12é \\U+zzzz \\U+");
    }
}
