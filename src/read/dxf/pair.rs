//! Pairs of group code and value: the token layer, the same for ASCII and binary files.

/// A value as written; numbers of ASCII files are parsed when they are asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Value<'a> {
    /// A line of an ASCII file, or a string of a binary one.
    Text(&'a [u8]),
    /// A floating-point number of a binary file.
    Real(f64),
    /// An integer of a binary file.
    Whole(i64),
}

/// A group code, its value, and where the code stands: a line number from 1, or in a binary
/// file the offset of a byte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair<'a> {
    pub code: i32,
    pub value: Value<'a>,
    pub at: usize,
}

/// Something wrong at a place of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fault {
    pub at: usize,
    pub what: String,
    /// What to do about it, where it is not that the file is damaged.
    pub remedy: Option<&'static str>,
}

impl Fault {
    pub fn new(at: usize, what: impl Into<String>) -> Self {
        Self { at, what: what.into(), remedy: None }
    }
}

impl<'a> Pair<'a> {
    /// The value as a string without the blanks round it; empty for a number.
    pub fn text(&self) -> &'a [u8] {
        match self.value {
            Value::Text(text) => text.trim_ascii(),
            _ => b"",
        }
    }

    /// The value as a finite number.
    pub fn real(&self) -> Result<f64, Fault> {
        let number = match self.value {
            Value::Real(number) => Some(number),
            Value::Whole(number) => Some(number as f64),
            Value::Text(text) => std::str::from_utf8(text.trim_ascii()).ok().and_then(|t| t.parse().ok()),
        };
        number.filter(|n: &f64| n.is_finite()).ok_or_else(|| self.fault("is no finite number"))
    }

    /// The value as an integer. `3.0` is one, as some programs write it so.
    pub fn whole(&self) -> Result<i64, Fault> {
        // Beyond this a floating-point number no longer tells neighbouring integers apart.
        let exact = |n: &f64| n.fract() == 0.0 && n.abs() < 9e15;
        self.real().ok().filter(exact).map(|n| n as i64).ok_or_else(|| self.fault("is no whole number"))
    }

    /// The fault of a value that does not fit its group code.
    fn fault(&self, what: &str) -> Fault {
        let shown = match self.value {
            Value::Text(text) => shown(text),
            Value::Real(n) => n.to_string(),
            Value::Whole(n) => n.to_string(),
        };
        let comma = if shown.contains(',') { "; numbers are written with a decimal point" } else { "" };
        Fault::new(self.at, format!("the value `{shown}` of group code {} {what}{comma}", self.code))
    }

    /// Checks that a number can be read as the number its group code promises
    /// (DXF Reference, Group Code Value Types; the codes that geometry uses).
    pub fn check(&self) -> Result<(), Fault> {
        match self.code {
            10..=59 | 210..=239 => self.real().map(drop),
            60..=79 | 90..=99 => self.whole().map(drop),
            _ => Ok(()),
        }
    }
}

/// A few characters of a damaged value, safe to show.
pub(super) fn shown(text: &[u8]) -> String {
    // Enough to recognise the place; a line of a damaged file may be megabytes long.
    const MOST: usize = 24;
    let text = String::from_utf8_lossy(&text[..text.len().min(4 * MOST)]);
    text.trim().chars().take(MOST).map(|c| if c.is_control() { '?' } else { c }).collect()
}
