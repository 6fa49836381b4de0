//! What every HTML page of ours has: a head that lets nothing in from outside, and text from
//! files that is only text.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};
use std::borrow::Cow;

/// A page that needs nothing but itself. Its policy (W3C, Content Security Policy Level 3) forbids
/// everything that is loaded, and every script but this one, so that even a name that slipped
/// through the escaping could do nothing.
pub(super) fn page(title: &str, style: &str, script: &str, body: &Markup) -> String {
    let hash = BASE64_STANDARD.encode(Sha256::digest(script.as_bytes()));
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{hash}'; base-uri 'none'; form-action 'none'"
    );
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (plain(title)) }
                style { (PreEscaped(style)) }
            }
            body {
                (body)
                @if !script.is_empty() { script { (PreEscaped(script)) } }
            }
        }
    };
    page.into_string()
}

/// Text without characters that are not allowed in HTML or that turn the order of what is read
/// (Unicode bidirectional controls, UAX #9): each is shown as a replacement character.
pub(super) fn plain(text: &str) -> Cow<'_, str> {
    let odd = |c: char| {
        (c.is_control() && c != '\n' && c != '\t')
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
            || matches!(c, '\u{fdd0}'..='\u{fdef}')
            || u32::from(c) & 0xfffe == 0xfffe
    };
    if !text.contains(odd) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(|c| if odd(c) { '\u{fffd}' } else { c }).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odd_characters_are_replaced() {
        assert_eq!(plain("Flügel 12″"), "Flügel 12″");
        assert_eq!(plain("a\0b\u{1b}c\u{202e}d\u{fffe}"), "a\u{fffd}b\u{fffd}c\u{fffd}d\u{fffd}");
    }

    #[test]
    fn the_policy_names_the_script() {
        // SHA-256 of "abc" is the test vector of FIPS 180-4; in base64 by `openssl base64`.
        let page = page("t", "", "abc", &html! {});
        assert!(page.contains("sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="), "{page}");
    }
}
