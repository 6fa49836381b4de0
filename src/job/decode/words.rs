//! Names and words.

use super::Decoder;
use crate::job::limits::MAX_ID_CHARS;
use crate::json::Node;
use serde::Deserialize;

impl Decoder<'_> {
    /// One of the words of a set.
    pub(crate) fn word<T: for<'de> Deserialize<'de>>(&mut self, node: &Node<'_>) -> Option<T> {
        node.text(self.report)?;
        T::deserialize(node.value)
            .map_err(|e| {
                node.problem(self.report, e.to_string().replace("unknown variant", "unknown word"), "")
            })
            .ok()
    }

    /// One of the words of a set, or the default where the key is absent.
    pub(crate) fn word_or_default<T>(&mut self, node: Option<Node<'_>>) -> T
    where
        T: Default + for<'de> Deserialize<'de>,
    {
        node.and_then(|n| self.word(&n)).unwrap_or_default()
    }

    /// Yes or no; no where the key is absent.
    pub(crate) fn flag(&mut self, node: Option<Node<'_>>) -> bool {
        node.and_then(|n| n.flag(self.report)).unwrap_or_default()
    }

    /// The number of one copy of a panel.
    pub(crate) fn copy_number(&mut self, node: &Node<'_>) -> Option<u32> {
        let copy = node.whole(self.report)?;
        let valid = u32::try_from(copy).ok().filter(|c| *c > 0);
        if valid.is_none() {
            node.problem(self.report, format!("{copy} is no number of a copy"), "copies are numbered from 1");
        }
        valid
    }

    /// A name that is printed on labels and looked up: not empty, printable, not too long.
    pub(crate) fn id(&mut self, node: &Node<'_>) -> Option<String> {
        let text = node.text(self.report)?;
        let fault = if text.is_empty() {
            "the name is empty"
        } else if text.trim() != text {
            "the name starts or ends with a space"
        } else if text.chars().any(is_invisible) {
            "the name has a control character or an invisible one"
        } else if text.chars().count() > MAX_ID_CHARS {
            node.problem(
                self.report,
                format!("the name has more than {MAX_ID_CHARS} characters"),
                "shorten it",
            );
            return None;
        } else {
            return Some(text.to_owned());
        };
        node.problem(self.report, fault, "use printable characters: it appears on labels and in reports");
        None
    }

    /// A name that may be absent.
    pub(crate) fn optional_id(&mut self, node: Option<Node<'_>>) -> Option<String> {
        node.and_then(|n| self.id(&n))
    }

    /// A line of text that is shown in reports.
    pub(crate) fn title(&mut self, node: &Node<'_>) -> Option<String> {
        let text = node.text(self.report)?;
        if text.chars().any(char::is_control) {
            node.problem(self.report, "the text has a control character", "keep it to one printable line");
        }
        Some(text.to_owned())
    }
}

/// Characters that leave no mark: two names could look alike and differ. Controls, and the
/// format characters that change the direction of text or have no width.
fn is_invisible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{AD}' | '\u{61C}' | '\u{180E}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}')
}
