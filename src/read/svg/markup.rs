//! A look at the markup before it is taken apart.
//!
//! The XML parser compares every attribute of an element with all others, looks every prefix up among all
//! name spaces that hold, and makes room for an element at each `<` and for an attribute at each `=` before it
//! has read anything. So there are limits that have to hold before.
//!
//! A value must not contain `<`, so every tag lies between one `<` and the next. All of these stretches are
//! looked at, those in comments and in character data too: then nothing depends on where such begin and end,
//! and nobody can hide a tag in them. Only what is written exactly like a tag counts.

use crate::Error;
use std::collections::BTreeSet;

/// Most tags and comments. A drawing has one or two tags for each of its elements, of which half a million
/// are looked at.
pub(super) const MAX_TAGS: usize = 2_000_000;

/// Most attributes of a file: eight for each element that may be looked at.
pub(super) const MAX_ATTRIBUTES: usize = 4_000_000;

/// Most attributes of one element. Drawing programs write some twenty.
pub(super) const MAX_OWN: usize = 256;

/// Most prefixes for name spaces, and most declarations of name spaces. Drawing programs declare a dozen, once.
const MAX_PREFIXES: usize = 64;
const MAX_DECLARATIONS: usize = 250_000;

/// Refuses more markup than the parser can take in good time and memory.
pub(super) fn check(text: &str, name: &str) -> Result<(), Error> {
    let count = |sign: u8| text.bytes().filter(|b| *b == sign).count();
    let remedy = "split the drawing, or save it as plain SVG";
    for (sign, most, what) in [(b'<', MAX_TAGS, "tags and comments"), (b'=', MAX_ATTRIBUTES, "attributes")] {
        let found = count(sign);
        if found > most {
            let what = format!(
                "the file has {found} signs '{}', more than {most}: too many {what}",
                char::from(sign)
            );
            return Err(Error::input(name, what, remedy));
        }
    }
    let mut scan = Scan::default();
    let mut at = 0;
    for stretch in text.split('<') {
        if let Err(what) = scan.tag(stretch) {
            let line = text.get(..at).unwrap_or_default().matches('\n').count() + 1;
            return Err(Error::input(format!("{name}: line {line}"), what, remedy));
        }
        at += stretch.len() + 1;
    }
    Ok(())
}

/// What was found so far.
#[derive(Default)]
struct Scan<'a> {
    prefixes: BTreeSet<&'a str>,
    declarations: usize,
}

impl<'a> Scan<'a> {
    /// Looks at the text behind a `<`.
    fn tag(&mut self, text: &'a str) -> Result<(), String> {
        let name_ends = text.find(|c| is_space(c) || ends_a_name(c)).unwrap_or(text.len());
        let mut rest = text.get(name_ends..).unwrap_or_default();
        let mut own = 0;
        while let Some((attribute, after)) = attribute(rest) {
            rest = after;
            own += 1;
            if own > MAX_OWN {
                return Err(format!("an element has more than {MAX_OWN} attributes"));
            }
            if attribute == "xmlns" || attribute.starts_with("xmlns:") {
                self.declarations += 1;
                self.prefixes.insert(attribute);
            }
        }
        if self.prefixes.len() > MAX_PREFIXES {
            return Err(format!("more than {MAX_PREFIXES} prefixes for name spaces are declared"));
        }
        if self.declarations > MAX_DECLARATIONS {
            return Err(format!("name spaces are declared more than {MAX_DECLARATIONS} times"));
        }
        Ok(())
    }
}

/// The name of the attribute at the start of a text, and what follows its value; `None` where there is none.
fn attribute(text: &str) -> Option<(&str, &str)> {
    let text = text.trim_start_matches(is_space);
    let end = text.find(|c| is_space(c) || ends_a_name(c)).filter(|end| *end > 0)?;
    let (name, rest) = text.split_at(end);
    let value = rest.trim_start_matches(is_space).strip_prefix('=')?.trim_start_matches(is_space);
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let (_, after) = value.get(1..)?.split_once(quote)?;
    Some((name, after))
}

/// The blanks of XML.
fn is_space(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\n' | '\r')
}

fn ends_a_name(c: char) -> bool {
    matches!(c, '=' | '/' | '>' | '"' | '\'')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn attributes(count: usize) -> String {
        (0..count).map(|i| format!(" a{i}=''")).collect()
    }

    fn said(text: &str) -> String {
        check(text, "a.svg").map_or_else(|e| e.to_string(), |()| String::new())
    }

    #[test]
    fn what_the_parser_finds_in_a_tag_is_counted() {
        for tag in [
            "g a='1' b = \"2\"\n\tc\r=\r'3'/>",
            "v:g a='>' b='/>' c='\"'>",
            "g\na=\"'\" xmlns:b='' ü=''   >",
            "g a='' b='' c='' / d='' e='' >",
            "g a='' b='' c=''> d='' e=''",
        ] {
            let mut rest = tag.get(tag.find(is_space).unwrap()..).unwrap();
            let mut count = 0;
            while let Some((_, after)) = attribute(rest) {
                (rest, count) = (after, count + 1);
            }
            assert_eq!(count, 3, "{tag}");
        }
    }

    #[test]
    fn attributes_of_an_element_have_a_limit_and_nothing_hides_them() {
        let most = attributes(MAX_OWN);
        assert_eq!(said(&format!("<svg>\n<g{most}/>{most}<g{most}></g></svg>")), "");
        let over = format!("<g{}/>", attributes(MAX_OWN + 1));
        for before in
            ["", "<!-- ", "<![CDATA[", "<!DOCTYPE svg SYSTEM \"<!--\">", "<a b='>'", "<?a ", "<!ELEMENT <!--"]
        {
            let error = said(&format!("{before}\n{over}"));
            assert!(error.contains("a.svg: line 2") && error.contains("more than 256 attributes"), "{error}");
        }
    }

    #[test]
    fn text_that_is_no_tag_does_not_count() {
        let script = "if (a<b) {x='1';} ".repeat(1000) + &"y = 'z' ".repeat(1000);
        let banner = format!("/* {} */ p {{fill:none}}", "=".repeat(1000));
        let picture = format!("<image a='{}='/>", "QUJD".repeat(10_000));
        assert_eq!(said(&format!("<svg><![CDATA[{script}]]><style>{banner}</style>{picture}</svg>")), "");
    }

    #[test]
    fn whole_files_have_limits() {
        assert!(said(&"<".repeat(MAX_TAGS + 1)).contains("more than 2000000: too many tags"));
        assert!(said(&"=".repeat(MAX_ATTRIBUTES + 1)).contains("more than 4000000: too many attributes"));
        let prefixes = |count: usize| (0..count).map(|i| format!("<g xmlns:p{i}=''/>")).collect::<String>();
        assert_eq!(said(&prefixes(MAX_PREFIXES)), "");
        assert!(said(&prefixes(MAX_PREFIXES + 1)).contains("more than 64 prefixes"));
        assert_eq!(said(&"<g xmlns=''/>".repeat(MAX_DECLARATIONS)), "");
        assert!(said(&"<g xmlns=''/>".repeat(MAX_DECLARATIONS + 1)).contains("more than 250000 times"));
    }
}
