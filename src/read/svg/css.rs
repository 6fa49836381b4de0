//! Style sheets: rules with simple selectors (element, class, id, and these run together).
//!
//! Enough of CSS 2.1 for what drawing programs write, to learn what is hidden, filled, or set
//! as a property instead of an attribute. Whatever else a sheet holds is left out and named.

use std::collections::BTreeMap;

/// Most selectors in a file; drawing programs write one per line style.
pub(super) const MAX_SELECTORS: usize = 4096;

/// A property with its value, as in `fill: none`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Declaration<'a> {
    /// The name of the property.
    pub name: &'a str,
    /// Its value without `!important`.
    pub value: &'a str,
    /// Whether `!important` stood behind it.
    pub important: bool,
}

/// All rules of a file.
#[derive(Debug, Default)]
pub(super) struct Sheet<'a> {
    rules: Vec<Rule<'a>>,
    blocks: Vec<Vec<Declaration<'a>>>,
    /// The rules by what an element must have for them: its id, a class, its name, or nothing.
    by_key: BTreeMap<Key<'a>, Vec<usize>>,
    /// What was left out.
    pub left_out: Vec<&'a str>,
}

#[derive(Debug)]
struct Rule<'a> {
    selector: Selector<'a>,
    block: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Key<'a> {
    Id(&'a str),
    Class(&'a str),
    Element(&'a str),
    Any,
}

/// What a selector asks of an element.
#[derive(Debug, Default, PartialEq)]
struct Selector<'a> {
    element: Option<&'a str>,
    ids: Vec<&'a str>,
    classes: Vec<&'a str>,
}

/// What an element is called, for selectors to match.
#[derive(Debug, Clone, Copy)]
pub(super) struct Subject<'a> {
    /// Its local name.
    pub element: &'a str,
    /// Its id.
    pub id: Option<&'a str>,
    /// Its `class` attribute.
    pub classes: &'a str,
}

impl<'a> Sheet<'a> {
    /// Parses a style sheet whose comments are gone (see [`without_comments`]); `None` when it
    /// has more than [`MAX_SELECTORS`].
    pub fn parse(text: &'a str) -> Option<Self> {
        let mut sheet = Self::default();
        let mut rest = text.trim();
        while !rest.is_empty() {
            rest =
                if rest.starts_with('@') { sheet.skip_at_rule(rest) } else { sheet.rule(rest) }.trim_start();
            if sheet.rules.len() > MAX_SELECTORS {
                return None;
            }
        }
        Some(sheet)
    }

    /// `@media …{…{…}…}`, `@import …;` and their like.
    fn skip_at_rule(&mut self, text: &'a str) -> &'a str {
        let name = text.split(|c: char| c.is_whitespace() || matches!(c, '{' | ';')).next().unwrap_or(text);
        self.left_out.push(name);
        let mut depth = 0_usize;
        for (i, c) in text.char_indices() {
            match c {
                '{' => depth += 1,
                '}' => depth = depth.saturating_sub(1),
                _ => {}
            }
            if depth == 0 && matches!(c, '}' | ';') {
                return text.get(i + 1..).unwrap_or_default();
            }
        }
        ""
    }

    fn rule(&mut self, text: &'a str) -> &'a str {
        let Some((selectors, rest)) = text.split_once('{') else {
            self.left_out.push(text);
            return "";
        };
        let (block, rest) = rest.split_once('}').unwrap_or((rest, ""));
        self.blocks.push(declarations(block));
        for selector in selectors.split(',').map(str::trim).take(MAX_SELECTORS + 1) {
            match Selector::parse(selector) {
                Some(selector) => self.add(selector),
                None => self.left_out.push(selector),
            }
        }
        rest
    }

    fn add(&mut self, selector: Selector<'a>) {
        self.by_key.entry(selector.key()).or_default().push(self.rules.len());
        self.rules.push(Rule { selector, block: self.blocks.len() - 1 });
    }

    /// The declarations for an element, weakest first: by specificity, then by order.
    pub fn matching(&self, subject: &Subject<'_>) -> impl Iterator<Item = Declaration<'a>> + '_ {
        let classes = subject.classes.split_ascii_whitespace().map(Key::Class);
        let keys = [Some(Key::Any), Some(Key::Element(subject.element)), subject.id.map(Key::Id)];
        let mut hits: Vec<usize> = keys
            .into_iter()
            .flatten()
            .chain(classes)
            .filter_map(|key| self.by_key.get(&key))
            .flatten()
            .copied()
            .filter(|i| self.rules.get(*i).is_some_and(|r| r.selector.matches(subject)))
            .collect();
        hits.sort_by_key(|i| (self.rules.get(*i).map(|r| r.selector.specificity()), *i));
        hits.dedup();
        hits.into_iter()
            .filter_map(|i| self.blocks.get(self.rules.get(i)?.block))
            .flat_map(|block| block.iter().copied())
    }
}

impl<'a> Selector<'a> {
    /// Parses `name.class#id`; `None` for anything with a combinator, attribute or pseudo-class.
    fn parse(text: &'a str) -> Option<Self> {
        let mut selector = Self::default();
        let end = text.find(['.', '#']).unwrap_or(text.len());
        let (element, mut rest) = text.split_at(end);
        match element {
            "" | "*" => {}
            name => selector.element = Some(identifier(name)?),
        }
        while let Some(mark) = rest.chars().next() {
            let tail = rest.get(1..)?;
            let end = tail.find(['.', '#']).unwrap_or(tail.len());
            let (name, next) = tail.split_at(end);
            let list = if mark == '#' { &mut selector.ids } else { &mut selector.classes };
            list.push(identifier(name)?);
            rest = next;
        }
        (!text.is_empty()).then_some(selector)
    }

    fn key(&self) -> Key<'a> {
        let id = self.ids.first().map(|id| Key::Id(id));
        let class = self.classes.first().map(|class| Key::Class(class));
        id.or(class).or(self.element.map(Key::Element)).unwrap_or(Key::Any)
    }

    /// Ids, classes and elements, in this order of weight (CSS 2.1, section 6.4.3).
    fn specificity(&self) -> (usize, usize, usize) {
        (self.ids.len(), self.classes.len(), usize::from(self.element.is_some()))
    }

    fn matches(&self, subject: &Subject<'_>) -> bool {
        self.element.is_none_or(|name| name == subject.element)
            && self.ids.iter().all(|id| subject.id == Some(id))
            && self.classes.iter().all(|class| subject.classes.split_ascii_whitespace().any(|c| c == *class))
    }
}

fn identifier(text: &str) -> Option<&str> {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_') || !c.is_ascii();
    (!text.is_empty() && text.chars().all(plain)).then_some(text)
}

/// The declarations of a block or a `style` attribute.
pub(super) fn declarations(text: &str) -> Vec<Declaration<'_>> {
    split_outside(text)
        .into_iter()
        .filter_map(|part| {
            let (name, value) = part.split_once(':')?;
            let value = value.trim();
            let plain = value.strip_suffix("important").and_then(|v| v.trim_end().strip_suffix('!'));
            let (name, value, important) = (name.trim(), plain.unwrap_or(value).trim(), plain.is_some());
            (!name.is_empty() && !value.is_empty()).then_some(Declaration { name, value, important })
        })
        .collect()
}

/// Splits at semicolons outside parentheses and quotes: `url(data:image/png;base64,…)` is one part.
fn split_outside(text: &str) -> Vec<&str> {
    let (mut parts, mut start, mut depth, mut quote) = (Vec::new(), 0, 0_usize, None);
    for (i, c) in text.char_indices() {
        match (quote, c) {
            (Some(q), _) => quote = (q != c).then_some(q),
            (None, '"' | '\'') => quote = Some(c),
            (None, '(') => depth += 1,
            (None, ')') => depth = depth.saturating_sub(1),
            (None, ';') if depth == 0 => {
                parts.push(text.get(start..i).unwrap_or_default());
                start = i + 1;
            }
            _ => {}
        }
    }
    parts.push(text.get(start..).unwrap_or_default());
    parts
}

/// The text without CSS comments and without the marks that hide a sheet from old readers.
pub(super) fn without_comments(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, comment)) = rest.split_once("/*") {
        out.push_str(before);
        out.push(' ');
        rest = comment.split_once("*/").map_or("", |(_, after)| after);
    }
    out.push_str(rest);
    out.replace("<!--", "").replace("-->", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fill_of(sheet: &Sheet<'_>, element: &str, id: Option<&str>, classes: &str) -> String {
        let subject = Subject { element, id, classes };
        sheet.matching(&subject).filter(|d| d.name == "fill").last().map_or("-", |d| d.value).to_owned()
    }

    #[test]
    fn specificity_then_order_decide() {
        let text = without_comments(
            "/* a } */ #one{fill:i} .a, .b{fill:c;stroke:x} path{fill:e} *{fill:any} path.b{fill:pb} .a{fill:c2}",
        );
        let sheet = Sheet::parse(&text).unwrap();
        assert_eq!(fill_of(&sheet, "g", None, ""), "any");
        assert_eq!(fill_of(&sheet, "path", None, ""), "e");
        assert_eq!(fill_of(&sheet, "g", None, "a"), "c2");
        assert_eq!(fill_of(&sheet, "g", None, "b"), "c");
        assert_eq!(fill_of(&sheet, "path", None, "x b"), "pb");
        assert_eq!(fill_of(&sheet, "path", Some("one"), "a b"), "i");
    }

    #[test]
    fn what_is_not_understood_is_left_out_and_named() {
        let sheet = Sheet::parse(
            "@import 'x.css'; @media print { path{fill:a} g{} } g path{fill:b} a:hover{fill:c} p{fill:d",
        )
        .unwrap();
        assert_eq!(sheet.left_out, ["@import", "@media", "g path", "a:hover"]);
        assert_eq!(fill_of(&sheet, "path", None, ""), "-");
        assert_eq!(fill_of(&sheet, "p", None, ""), "d");
        assert_eq!(Sheet::parse("garbage").unwrap().left_out, ["garbage"]);
        assert!(Sheet::parse("} } ; { ,,").is_some());
    }

    #[test]
    fn declarations_know_importance_and_parentheses() {
        let list = declarations("fill:none !important;; mask: url('a;b') ; x ; y:");
        assert_eq!(list.len(), 2);
        assert_eq!(list[0], Declaration { name: "fill", value: "none", important: true });
        assert_eq!(list[1].value, "url('a;b')");
    }

    #[test]
    fn a_sheet_of_too_many_selectors_is_refused() {
        assert!(Sheet::parse(&".a{fill:x}".repeat(MAX_SELECTORS + 1)).is_none());
        assert!(Sheet::parse(&format!("{}{{fill:x}}", vec![".a"; 1_000_000].join(","))).is_none());
    }
}
