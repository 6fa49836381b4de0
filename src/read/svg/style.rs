//! The properties of an element: attributes, style sheet and `style` attribute together.

use super::css::{Declaration, Sheet, Subject, declarations};
use super::property::{PROPERTIES, STYLE_ONLY};
use roxmltree::Node;
use std::collections::BTreeMap;

/// What a part of a rule counts for in [`Properties::read`]: about as much work as so many bytes of text.
const RULE_PART: usize = 16;

/// The value that holds for each property of one element.
#[derive(Debug, Default)]
pub(super) struct Properties<'a> {
    values: BTreeMap<&'a str, Value<'a>>,
    /// How much text had to be read for them, in bytes: attributes, and rules of the style sheet.
    pub read: usize,
}

/// A value, and whether it comes from a style.
#[derive(Debug, Clone, Copy)]
struct Value<'a> {
    text: &'a str,
    styled: bool,
}

impl<'a> Properties<'a> {
    /// Gathers them in the order of the cascade (CSS 2.1, section 6.4; SVG 1.1, section 6.4):
    /// attributes, style sheet, `style` attribute, then what is `!important`.
    pub fn of(node: Node<'a, 'a>, sheet: &Sheet<'a>) -> Self {
        let mut all = Self::default();
        for attribute in node.attributes() {
            // The bytes of a picture stand in its reference and are not looked at.
            if attribute.name() != "href" || node.tag_name().name() == "use" {
                all.read += attribute.value().len();
            }
            if attribute.namespace().is_none() && PROPERTIES.contains(&attribute.name()) {
                all.values.insert(attribute.name(), Value { text: attribute.value(), styled: false });
            }
        }
        let mut parts = 0;
        let matching: Vec<Declaration<'a>> = sheet.matching(&subject(node), &mut parts).collect();
        all.read += RULE_PART * parts;
        let style = node.attribute("style").unwrap_or_default();
        for important in [false, true] {
            let both = matching.iter().copied().chain(declarations(style));
            for d in both.filter(|d| d.important == important) {
                all.values.insert(d.name, Value { text: d.value, styled: true });
            }
        }
        all
    }

    /// Whether the value of a property is a certain word, which is written in capitals or not.
    pub fn is(&self, name: &str, word: &str) -> bool {
        self.get(name).is_some_and(|value| value.eq_ignore_ascii_case(word))
    }

    /// The trimmed value of a property.
    pub fn get(&self, name: &str) -> Option<&'a str> {
        self.values.get(name).map(|v| v.text.trim())
    }

    /// The value of a property if a style and not an attribute sets it.
    pub fn styled(&self, name: &str) -> Option<&'a str> {
        self.values.get(name).filter(|v| v.styled).map(|v| v.text.trim())
    }

    /// The first property of CSS alone that moves the element.
    pub fn style_only_move(&self) -> Option<&'static str> {
        STYLE_ONLY.into_iter().find(|name| self.get(name).is_some() && !self.is(name, "none"))
    }
}

fn subject<'a>(node: Node<'a, 'a>) -> Subject<'a> {
    Subject {
        element: node.tag_name().name(),
        id: node.attribute("id"),
        classes: node.attribute("class").unwrap_or_default(),
    }
}

/// What children inherit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Inherited {
    /// Not `visibility: hidden`.
    pub visible: bool,
    /// Whether the inside is painted; if not, every line counts for itself.
    pub filled: bool,
    /// `fill-rule: evenodd`; otherwise nonzero.
    pub even_odd: bool,
}

impl Default for Inherited {
    /// The initial values of SVG.
    fn default() -> Self {
        Self { visible: true, filled: true, even_odd: false }
    }
}

impl Inherited {
    /// With the properties of an element; values that are not known leave things as they are.
    pub fn with(mut self, own: &Properties<'_>) -> Self {
        if own.is("visibility", "visible") {
            self.visible = true;
        } else if own.is("visibility", "hidden") || own.is("visibility", "collapse") {
            self.visible = false;
        }
        // As its parent where it says so; the initial value where it says that.
        let kept = ["inherit", "unset", "revert"].iter().any(|word| own.is("fill", word));
        if own.get("fill").is_some() && !kept {
            self.filled = !own.is("fill", "none");
        }
        if own.is("fill-rule", "evenodd") {
            self.even_odd = true;
        } else if own.is("fill-rule", "nonzero") || own.is("fill-rule", "initial") {
            self.even_odd = false;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fill(element: &str) -> Option<String> {
        let text = format!("<svg>{element}</svg>");
        let document = roxmltree::Document::parse(&text).unwrap();
        let sheet = Sheet::parse(".a{fill:class} .i{fill:strong !important}").unwrap();
        let node = document.root_element().first_element_child().unwrap();
        Properties::of(node, &sheet).get("fill").map(str::to_owned)
    }

    #[test]
    fn the_cascade_runs_from_attribute_over_sheet_to_style() {
        assert_eq!(fill("<path fill='attribute'/>").as_deref(), Some("attribute"));
        assert_eq!(fill("<path fill='attribute' class='a'/>").as_deref(), Some("class"));
        assert_eq!(fill("<path class='a' style='fill: own '/>").as_deref(), Some("own"));
        assert_eq!(fill("<path class='i' style='fill:own'/>").as_deref(), Some("strong"));
        assert_eq!(fill("<path/>"), None);
    }
}
