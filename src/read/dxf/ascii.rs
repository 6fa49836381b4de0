//! Pairs of an ASCII file: two lines each.

use super::pair::{Fault, Pair, Value, shown};

/// Reads two lines at a time. Lines end with LF, CR LF or, where there is no LF at all, CR.
pub(super) struct Pairs<'a> {
    rest: Option<&'a [u8]>,
    end: u8,
    line: usize,
}

impl<'a> Pairs<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let end = if bytes.contains(&b'\n') { b'\n' } else { b'\r' };
        Self { rest: Some(bytes), end, line: 0 }
    }

    fn line(&mut self) -> Option<&'a [u8]> {
        let rest = self.rest?;
        self.line += 1;
        let (line, rest) = match rest.iter().position(|b| *b == self.end) {
            Some(i) => (&rest[..i], Some(&rest[i + 1..])),
            None => (rest, None),
        };
        self.rest = rest;
        let mut line = line;
        while let [head @ .., b'\r'] = line {
            line = head;
        }
        Some(line)
    }

    fn pair(&mut self) -> Option<Result<Pair<'a>, Fault>> {
        let code = self.line()?;
        let at = self.line;
        if code.trim_ascii().is_empty() && self.only_blank_lines() {
            return None;
        }
        let code = match group_code(code) {
            Ok(code) => code,
            Err(what) => return Some(Err(Fault::new(at, what))),
        };
        let ends = || Fault::new(at, "the file ends after a group code, its value is missing");
        let pair = |text| Pair { code, value: Value::Text(text), at };
        Some(self.line().map(pair).ok_or_else(ends))
    }

    fn only_blank_lines(&self) -> bool {
        self.rest.is_none_or(|rest| rest.trim_ascii().is_empty())
    }
}

/// Group codes that exist: -5 to 1071 (DXF Reference, Group Code Value Types).
fn group_code(line: &[u8]) -> Result<i32, String> {
    let code = std::str::from_utf8(line.trim_ascii()).ok().and_then(|t| t.parse().ok());
    match code {
        Some(code @ -5..=1071) => Ok(code),
        Some(code) => Err(format!("there is no group code {code}; codes and values are out of step")),
        None if line.trim_ascii().is_empty() => Err("a blank line stands in place of a group code".into()),
        None => Err(format!("`{}` stands in place of a group code", shown(line))),
    }
}

impl<'a> Iterator for Pairs<'a> {
    type Item = Result<Pair<'a>, Fault>;

    fn next(&mut self) -> Option<Self::Item> {
        let pair = self.pair();
        if !matches!(pair, Some(Ok(_))) {
            self.rest = None;
        }
        pair
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(bytes: &[u8]) -> Vec<Result<(i32, usize), Fault>> {
        Pairs::new(bytes).map(|p| p.map(|p| (p.code, p.at))).collect()
    }

    #[test]
    fn all_line_ends_and_line_numbers() {
        for end in ["\n", "\r\n", "\r", "\r\r\n"] {
            let text = ["  0", "SECTION", " 10", "", "0", "EOF", "", ""].join(end);
            assert_eq!(codes(text.as_bytes()), [Ok((0, 1)), Ok((10, 3)), Ok((0, 5))], "{end:?}");
        }
        assert_eq!(codes(b"\xef\xbb\xbf0\nEOF"), [Ok((0, 1))]);
    }

    #[test]
    fn damage_names_its_line() {
        for (text, line, word) in [
            ("0\nLINE\n\n8\n0\n", 3, "blank"),
            ("0\nLINE\nabc\n8\n", 3, "`abc`"),
            ("0\nLINE\n5555\n8\n", 3, "5555"),
            ("0\nLINE\n10", 3, "missing"),
        ] {
            let fault = codes(text.as_bytes()).pop().unwrap().unwrap_err();
            assert_eq!(fault.at, line, "{text:?}");
            assert!(fault.what.contains(word), "{fault:?}");
        }
    }

    #[test]
    fn numbers() {
        let pair = |code, text: &'static str| Pair { code, value: Value::Text(text.as_bytes()), at: 7 };
        assert_eq!(pair(10, " 1.5e2 ").real(), Ok(150.0));
        assert_eq!(pair(70, "  3.0").whole(), Ok(3));
        for bad in ["", "nan", "inf", "1e400", "0,5", "1.2.3"] {
            let fault = pair(10, bad).real().unwrap_err();
            assert_eq!(fault.at, 7);
            assert_eq!(fault.what.contains("decimal point"), bad == "0,5");
        }
        for bad in ["1.5", "1e300", "x"] {
            assert!(pair(70, bad).check().is_err());
        }
    }
}
