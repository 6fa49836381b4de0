//! Style sheets: rules with simple selectors (element, class, id, and these run together).
//!
//! Enough of CSS 2.1 for what drawing programs write, to learn what is hidden, filled, or set
//! as a property instead of an attribute. Whatever else a sheet holds is left out and named.

use super::property;
use std::collections::{BTreeMap, BTreeSet};

/// Most selectors in a file; drawing programs write one per line style.
pub(super) const MAX_SELECTORS: usize = 4096;

/// Most ids and classes of one selector; drawing programs write one, seldom two.
const MAX_PARTS: usize = 16;

/// Parts of the sheet that are named as left out; one more tells that there are others.
pub(super) const MOST_NAMED: usize = 5;

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
    /// The classes that rules ask for; an element may name any number of others.
    classes: BTreeSet<&'a str>,
    /// How many selectors were understood, those of rules that say nothing of what is read included.
    selectors: usize,
    /// What was left out, [`MOST_NAMED`] and one more at most.
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
            if sheet.selectors > MAX_SELECTORS {
                return None;
            }
        }
        Some(sheet)
    }

    /// `@media …{…{…}…}`, `@import …;` and their like.
    fn skip_at_rule(&mut self, text: &'a str) -> &'a str {
        let name = text.split(|c: char| c.is_whitespace() || matches!(c, '{' | ';')).next().unwrap_or(text);
        self.leave_out(name);
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
            self.leave_out(text);
            return "";
        };
        let (block, rest) = rest.split_once('}').unwrap_or((rest, ""));
        let block = lasting(block);
        let used = self.selectors;
        for selector in selectors.split(',').map(str::trim).take(MAX_SELECTORS + 1) {
            match Selector::parse(selector) {
                Some(selector) => self.add(selector, &block),
                None => self.leave_out(selector),
            }
        }
        if self.selectors > used && !block.is_empty() {
            self.blocks.push(block);
        }
        rest
    }

    /// Files a rule whose block is the next one; without a block it is only counted.
    fn add(&mut self, selector: Selector<'a>, block: &[Declaration<'a>]) {
        self.selectors += 1;
        if block.is_empty() {
            return;
        }
        self.by_key.entry(selector.key()).or_default().push(self.rules.len());
        self.classes.extend(&selector.classes);
        self.rules.push(Rule { selector, block: self.blocks.len() });
    }

    fn leave_out(&mut self, text: &'a str) {
        if self.left_out.len() <= MOST_NAMED {
            self.left_out.push(text);
        }
    }

    /// The declarations for an element, weakest first: by specificity, then by order. The ids,
    /// classes and declarations that were looked at are added to `looked_at`.
    pub fn matching(
        &self,
        subject: &Subject<'_>,
        looked_at: &mut usize,
    ) -> impl Iterator<Item = Declaration<'a>> + '_ {
        let classes: BTreeSet<&str> =
            subject.classes.split_ascii_whitespace().filter(|c| self.classes.contains(c)).collect();
        let keys = [Some(Key::Any), Some(Key::Element(subject.element)), subject.id.map(Key::Id)];
        let keys = keys.into_iter().flatten().chain(classes.iter().map(|c| Key::Class(c)));
        let mut hits: Vec<(Specificity, usize, &[Declaration<'a>])> = Vec::new();
        // A rule has one key and no key comes twice, so no rule does.
        for i in keys.filter_map(|key| self.by_key.get(&key)).flatten() {
            let Some(rule) = self.rules.get(*i) else { continue };
            let block = self.blocks.get(rule.block).map_or(&[][..], Vec::as_slice);
            *looked_at += 1 + rule.selector.ids.len() + rule.selector.classes.len() + block.len();
            if rule.selector.matches(subject, &classes) {
                hits.push((rule.selector.specificity(), *i, block));
            }
        }
        hits.sort_by_key(|(specificity, i, _)| (*specificity, *i));
        hits.into_iter().flat_map(|(_, _, block)| block.iter().copied())
    }
}

/// How much a selector weighs: ids, classes and elements, in this order (CSS 2.1, section 6.4.3).
type Specificity = (usize, usize, usize);

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
            if selector.ids.len() + selector.classes.len() > MAX_PARTS {
                return None;
            }
            rest = next;
        }
        (!text.is_empty()).then_some(selector)
    }

    fn key(&self) -> Key<'a> {
        let id = self.ids.first().map(|id| Key::Id(id));
        let class = self.classes.first().map(|class| Key::Class(class));
        id.or(class).or(self.element.map(Key::Element)).unwrap_or(Key::Any)
    }

    fn specificity(&self) -> Specificity {
        (self.ids.len(), self.classes.len(), usize::from(self.element.is_some()))
    }

    /// Whether it selects an element; `classes` are those of the element that rules ask for.
    fn matches(&self, subject: &Subject<'_>, classes: &BTreeSet<&str>) -> bool {
        self.element.is_none_or(|name| name == subject.element)
            && self.ids.iter().all(|id| subject.id == Some(id))
            && self.classes.iter().all(|class| classes.contains(class))
    }
}

fn identifier(text: &str) -> Option<&str> {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_') || !c.is_ascii();
    (!text.is_empty() && text.chars().all(plain)).then_some(text)
}

/// The declarations of a block of which no other of the same importance takes the place.
fn lasting(block: &str) -> Vec<Declaration<'_>> {
    let mut last = BTreeMap::new();
    // One after the other: collecting would hold all of them at once.
    for d in declarations(block) {
        last.insert((d.important, d.name), d);
    }
    last.into_values().collect()
}

/// The declarations of a block or a `style` attribute, of the properties that are read at all.
pub(super) fn declarations(text: &str) -> impl Iterator<Item = Declaration<'_>> {
    split_outside(text).filter_map(|part| {
        let (name, value) = bare(part).split_once(':')?;
        let value = bare(value);
        let plain = without_word(value, "important").and_then(|v| bare(v).strip_suffix('!'));
        let (value, important) = (bare(plain.unwrap_or(value)), plain.is_some());
        let name = property::read_as(bare(name)).filter(|_| !value.is_empty())?;
        Some(Declaration { name, value, important })
    })
}

/// The text without blanks and comments at its ends.
fn bare(text: &str) -> &str {
    let mut text = text.trim();
    loop {
        let after = text.strip_prefix("/*").map(|rest| rest.split_once("*/").map_or("", |(_, after)| after));
        let before = || text.strip_suffix("*/").and_then(|rest| Some(rest.rsplit_once("/*")?.0));
        match after.or_else(before) {
            Some(rest) => text = rest.trim(),
            None => return text,
        }
    }
}

/// The text before a word at its end, which is written in capitals or not.
fn without_word<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let (before, last) = text.split_at_checked(text.len().checked_sub(word.len())?)?;
    last.eq_ignore_ascii_case(word).then_some(before)
}

/// Splits at semicolons outside parentheses and quotes: `url(data:image/png;base64,…)` is one part.
fn split_outside(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let text = rest?;
        let end = semicolon_outside(text);
        rest = end.and_then(|end| text.get(end + 1..));
        text.get(..end.unwrap_or(text.len()))
    })
}

/// Where the first semicolon outside parentheses and quotes stands.
fn semicolon_outside(text: &str) -> Option<usize> {
    let (mut depth, mut quote, mut comment) = (0_usize, None, 0);
    text.char_indices().find_map(|(i, c)| {
        if i < comment {
            return None;
        }
        if quote.is_none() && text[i..].starts_with("/*") {
            comment = text[i + 2..].find("*/").map_or(text.len(), |end| i + 2 + end + 2);
            return None;
        }
        match (quote, c) {
            (Some(q), _) => quote = (q != c).then_some(q),
            (None, '"' | '\'') => quote = Some(c),
            (None, '(') => depth += 1,
            (None, ')') => depth = depth.saturating_sub(1),
            (None, ';') if depth == 0 => return Some(i),
            _ => {}
        }
        None
    })
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
        sheet
            .matching(&subject, &mut 0)
            .filter(|d| d.name == "fill")
            .last()
            .map_or("-", |d| d.value)
            .to_owned()
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
        let list: Vec<_> = declarations("fill:none !important;; mask: url('a;b') ; x ; y:").collect();
        assert_eq!(list.len(), 2);
        assert_eq!(list[0], Declaration { name: "fill", value: "none", important: true });
        assert_eq!(list[1].value, "url('a;b')");
    }

    #[test]
    fn a_sheet_of_too_many_selectors_is_refused() {
        assert!(Sheet::parse(&".a{fill:x}".repeat(MAX_SELECTORS + 1)).is_none());
        assert!(Sheet::parse(&format!("{}{{fill:x}}", vec![".a"; 1_000_000].join(","))).is_none());
    }
    #[test]
    fn of_a_sheet_only_what_can_count_is_kept() {
        let many = format!("*,*{{{}fill:x;fill:y;stroke:z;fill:w !important}} p{{{{}}", "a:b;".repeat(1000));
        let sheet = Sheet::parse(&many).unwrap();
        // One block with the last fill of either importance, for two selectors; the third has nothing to say.
        assert_eq!((sheet.rules.len(), sheet.blocks.len(), sheet.selectors), (2, 1, 3));
        assert_eq!(sheet.blocks[0].iter().map(|d| d.value).collect::<Vec<_>>(), ["y", "w"]);
        assert!(Sheet::parse(&"a b{fill:x}".repeat(1000)).unwrap().blocks.is_empty());
        assert_eq!(Sheet::parse(&"a b{fill:x}".repeat(1000)).unwrap().left_out.len(), MOST_NAMED + 1);
        assert_eq!(Sheet::parse(&format!("{}{{fill:x}}", ".a".repeat(17))).unwrap().left_out.len(), 1);
        assert!(Sheet::parse(&format!("{}{{fill:x}}", ".a".repeat(16))).unwrap().left_out.is_empty());
    }

    #[test]
    fn a_class_that_is_named_again_brings_its_rules_once() {
        let rules = ".a{fill:x}".repeat(100);
        let sheet = Sheet::parse(&rules).unwrap();
        let (classes, mut looked_at) = ("a ".repeat(1000), 0);
        let subject = Subject { element: "g", id: None, classes: &classes };
        assert_eq!(sheet.matching(&subject, &mut looked_at).count(), 100);
        // For each rule one for itself, one for its class and one for its declaration.
        assert_eq!(looked_at, 300);
    }
}
