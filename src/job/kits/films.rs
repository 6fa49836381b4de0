//! The film library: a file that a shop edits, and the one that is shipped.

use crate::error::Shown;
use crate::job::decode::Decoder;
use crate::json::{self, Fields, Node, Report, nearest};
use crate::panels::{Film, Limit};
use crate::{Error, Problem};

/// The value of `format` in a film library.
pub(crate) const FORMAT: &str = "tuckroll-films-1";

/// The films that are known when nobody names a library.
const SHIPPED: &str = include_str!("films.json");

/// A shop's films. Never empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Films {
    films: Vec<Film>,
}

impl Films {
    /// The shipped library.
    ///
    /// # Errors
    ///
    /// [`Error::Internal`] when it is damaged, which a test excludes.
    pub fn shipped() -> Result<Self, Error> {
        Self::parse(SHIPPED.as_bytes(), "the shipped films").map_err(|e| Error::Internal(e.to_string()))
    }

    /// The text of the shipped library, to start a shop's own from.
    pub fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// Parses the bytes of a library, called `name` in problems.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] with everything that is wrong with it.
    pub fn parse(bytes: &[u8], name: &str) -> Result<Self, Error> {
        let tree = json::parse(bytes, name)?;
        let mut report = Report::new(name);
        let films = Decoder::new(&mut report).films(&Node::root(&tree));
        report.or_ok(films).map(|(films, _)| films)
    }

    /// The film `id`, or the first of the library when none is named.
    ///
    /// # Errors
    ///
    /// A [`Problem`] without a place that lists what there is.
    pub fn find(&self, id: Option<&str>) -> Result<&Film, Problem> {
        let Some(id) = id else { return Ok(&self.films[0]) };
        self.films.iter().find(|f| f.id == id).ok_or_else(|| {
            let known = || self.films.iter().map(|f| f.id.as_str());
            let like = nearest(id, known()).map(|l| format!("did you mean {l:?}? ")).unwrap_or_default();
            let list: Vec<&str> = known().collect();
            let remedy = format!("{like}the library has {}", list.join(", "));
            Problem::new("", format!("there is no film {id:?} in the film library"), remedy)
        })
    }

    /// All films.
    pub fn all(&self) -> &[Film] {
        &self.films
    }
}

impl Decoder<'_> {
    fn films(&mut self, node: &Node<'_>) -> Option<Films> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        let list = fields.need("films", self.report);
        let films = list.map_or_else(Vec::new, |n| self.film_list(&n));
        self.notes(fields.get("notes"));
        fields.finish(self.report);
        (!films.is_empty()).then_some(Films { films })
    }

    fn film_list(&mut self, node: &Node<'_>) -> Vec<Film> {
        let Some(items) = self.few(node) else { return Vec::new() };
        if items.len() == 0 {
            node.problem(self.report, "there are no films", "give at least one");
        }
        let mut films: Vec<Film> = Vec::new();
        for item in items {
            let Some(film) = self.film(&item) else { continue };
            if films.iter().any(|f| f.id == film.id) {
                item.problem(self.report, format!("the film {:?} is listed twice", film.id), "keep one");
            }
            films.push(film);
        }
        films
    }

    fn film(&mut self, node: &Node<'_>) -> Option<Film> {
        let mut fields = Fields::open(node, self.report)?;
        let id = fields.need("id", self.report).and_then(|n| self.id(&n));
        let name = fields.get("name").and_then(|n| self.title(&n));
        let max_stretch = fields.need("max_stretch", self.report).and_then(|n| self.limit(&n));
        let max_shrink = fields.need("max_shrink", self.report).and_then(|n| self.limit(&n));
        let thickness = fields.get("thickness_mm").and_then(|n| self.positive(&n));
        let source = fields.get("source").and_then(|n| self.title(&n)).unwrap_or_default();
        fields.finish(self.report);
        let id = id?;
        let name = name.unwrap_or_else(|| id.clone());
        Some(Film { id, name, max_stretch: max_stretch?, max_shrink: max_shrink?, thickness, source })
    }

    /// `{"warn": 10, "stop": 15}`, in per cent.
    fn limit(&mut self, node: &Node<'_>) -> Option<Limit> {
        let mut fields = Fields::open(node, self.report)?;
        let mut percent = |key: &'static str| {
            let node = fields.need(key, self.report)?;
            let value = node.number(self.report)?;
            if !(0.0..=100.0).contains(&value) {
                node.problem(self.report, format!("{} is not between 0 and 100 %", Shown(value)), "");
            }
            Some(value / 100.0)
        };
        let (warn, stop) = (percent("warn"), percent("stop"));
        fields.finish(self.report);
        let limit = Limit { warn: warn?, stop: stop? };
        if limit.warn > limit.stop {
            node.problem(self.report, "`warn` is above `stop`", "a warning comes first");
        }
        Some(limit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shipped_films_are_sound_and_cast_comes_first() {
        let films = Films::shipped().unwrap();
        assert_eq!(films.find(None).unwrap().id, "cast");
        // A film maker's laying instructions: warn at 10 %, stop at 15 %.
        let cast = films.find(Some("cast")).unwrap();
        assert_eq!((cast.max_stretch.warn, cast.max_stretch.stop), (0.10, 0.15));
        for film in films.all() {
            assert!(film.max_shrink.stop < film.max_stretch.stop, "{}", film.id);
            // What hot film can be drawn to is never a limit.
            assert!(film.max_stretch.stop <= 0.15, "{}", film.id);
            assert!(!film.source.is_empty());
        }
        let problem = films.find(Some("kast")).unwrap_err();
        assert!(problem.remedy.contains("\"cast\""), "{problem}");
    }

    #[test]
    fn a_bad_library_is_refused_whole() {
        let text = r#"{"format": "tuckroll-films-1", "films": [
            {"id": "a", "max_stretch": {"warn": 20, "stop": 15}, "max_shrink": {"warn": 1, "stop": 200}},
            {"id": "a", "max_stretch": {"warn": 1}, "colour": "red"}]}"#;
        let e = Films::parse(text.as_bytes(), "f.json").unwrap_err().to_string();
        for part in [
            "films[0].max_stretch",
            "200 is not",
            "`stop` is missing",
            "`max_shrink` is missing",
            "unknown key",
        ] {
            assert!(e.contains(part), "{part}: {e}");
        }
        assert!(Films::parse(br#"{"format": "tuckroll-films-1", "films": []}"#, "f").is_err());
    }
}
