//! Text from files made safe for a terminal.

use std::borrow::Cow;
use std::fmt::Write;

/// Whether a character can steer a terminal or turn the order of what is read: all control
/// characters (C0, DEL, C1), the line separators, and the marks of the Unicode bidirectional
/// algorithm (UAX #9, table 2 and the marks of section 2.6).
fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// `text` on one line, with every such character written out as an escape.
pub fn one_line(text: &str) -> Cow<'_, str> {
    if text.chars().any(steers) { Cow::Owned(escape(text, |_| false)) } else { Cow::Borrowed(text) }
}

/// `text` with line breaks kept and later lines indented, so that no name can fake a message
/// of its own.
pub fn message(text: &str) -> String {
    lines(text).replace('\n', "\n    ")
}

/// `text` with line breaks kept as they are: for text of our own that quotes others.
pub fn lines(text: &str) -> String {
    escape(text.trim_end(), |c| c == '\n')
}

/// JSON text in which such characters stand as JSON escapes. They occur inside strings only,
/// so the value stays the same; line breaks between the values stay too.
pub fn json(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if steers(c) && c != '\n' {
            // Every one of them lies in the basic plane, so one escape is enough.
            let _ = write!(out, "\\u{:04x}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    out
}

fn escape(text: &str, keep: impl Fn(char) -> bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if steers(c) && !keep(c) {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escape_sequences_lose_their_power() {
        assert_eq!(one_line("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
        assert_eq!(one_line("a\nb\u{9b}c"), "a\\u{a}b\\u{9b}c");
        assert_eq!(one_line("Flügel 12″"), "Flügel 12″");
        assert_eq!(one_line("abc\u{202e}fdp.exe"), "abc\\u{202e}fdp.exe");
    }

    #[test]
    fn a_second_line_cannot_pass_for_a_message() {
        assert_eq!(message("bad\nerror: fake\n"), "bad\n    error: fake");
        assert_eq!(message("a\rb"), "a\\u{d}b");
    }

    #[test]
    fn json_keeps_its_value() {
        let value = serde_json::json!({ "name": "a\u{9b}b\u{7f}\u{202e}\n\u{1b}" });
        let text = json(&serde_json::to_string_pretty(&value).unwrap());
        assert!(!text.chars().any(|c| steers(c) && c != '\n'));
        assert_eq!(serde_json::from_str::<serde_json::Value>(&text).unwrap(), value);
    }
}
