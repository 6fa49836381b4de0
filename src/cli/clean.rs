//! Text from files made safe for a terminal.

use std::borrow::Cow;
pub use tuckroll::json::{steers, tame as json};

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
}
