//! Transform lists, as the SVG attribute and the CSS property write them.

use super::length::{Length, split_number};
use crate::shape::{Point, Turn};

/// An affine map of the plane.
pub(super) type Map = geo::AffineTransform<f64>;

/// Parses a transform list into one map (SVG 1.1, section 7.6; CSS Transforms 1, section 13).
/// The error says what was not understood.
pub(super) fn parse(text: &str) -> Result<Map, String> {
    let mut map = Map::identity();
    let mut rest = text.trim();
    if rest == "none" {
        return Ok(map);
    }
    while !rest.is_empty() {
        let (name, tail) = rest.split_once('(').ok_or_else(|| format!("'{}' is no transform", head(rest)))?;
        let (arguments, tail) = tail.split_once(')').ok_or("a transform that is not closed by ')'")?;
        // The one written first is applied last.
        map = function(name.trim(), arguments)?.compose(&map);
        rest = tail.trim_start();
        rest = rest.strip_prefix(',').unwrap_or(rest).trim_start();
    }
    Ok(map)
}

/// The start of a text, short enough for a message.
fn head(text: &str) -> String {
    text.chars().take(24).collect()
}

fn function(name: &str, arguments: &str) -> Result<Map, String> {
    let wrong = || format!("the transform {}({}) is not understood", head(name), head(arguments));
    let args = split_arguments(arguments).ok_or_else(wrong)?;
    let numbers: Option<Vec<f64>> = args.iter().map(|a| plain(a)).collect();
    let lengths: Option<Vec<f64>> =
        args.iter().map(|a| Length::parse(a).and_then(|l| l.resolve(None))).collect();
    let angle = args.first().and_then(|a| degrees(a));
    let about = |rest: &[&str]| rest.iter().map(|a| Length::parse(a).and_then(|l| l.resolve(None))).collect();
    let map = match (name, args.len()) {
        ("matrix", 6) => numbers.and_then(|n| matrix(&n)),
        ("translate", 1) | ("translateX", 1) => lengths.map(|l| Map::translate(l[0], 0.0)),
        ("translate", 2) => lengths.map(|l| Map::translate(l[0], l[1])),
        ("translateY", 1) => lengths.map(|l| Map::translate(0.0, l[0])),
        ("scale", 1) => numbers.map(|n| scale(n[0], n[0])),
        ("scale", 2) => numbers.map(|n| scale(n[0], n[1])),
        ("scaleX", 1) => numbers.map(|n| scale(n[0], 1.0)),
        ("scaleY", 1) => numbers.map(|n| scale(1.0, n[0])),
        ("rotate", 1) => angle.map(rotation),
        ("rotate", 3) => {
            let centre: Option<Vec<f64>> = about(&args[1..]);
            angle.zip(centre).map(|(a, c)| around(Point { x: c[0], y: c[1] }, &rotation(a)))
        }
        ("skewX", 1) | ("skew", 1) => angle.map(|a| skew(a, 0.0)),
        ("skewY", 1) => angle.map(|a| skew(0.0, a)),
        ("skew", 2) => angle.zip(degrees(args[1])).map(|(a, b)| skew(a, b)),
        _ => None,
    };
    map.ok_or_else(wrong)
}

/// Most arguments that a function takes: the six of a matrix.
const MOST_ARGUMENTS: usize = 6;

/// Arguments parted by blanks, by commas, or by a sign (`1-2`).
fn split_arguments(text: &str) -> Option<Vec<&str>> {
    let mut args = Vec::new();
    let blank = |c: char| c.is_ascii_whitespace();
    let mut rest = text.trim();
    while !rest.is_empty() {
        if args.len() == MOST_ARGUMENTS {
            return None;
        }
        let (_, tail) = split_number(rest)?;
        let unit = tail.find(|c: char| !(c.is_ascii_alphabetic() || c == '%')).unwrap_or(tail.len());
        let (arg, tail) = rest.split_at(rest.len() - tail.len() + unit);
        args.push(arg);
        let tail = tail.trim_start_matches(blank);
        rest = match tail.strip_prefix(',') {
            // A comma promises another argument.
            Some(more) if more.trim().is_empty() => return None,
            Some(more) => more.trim_start_matches(blank),
            None => tail,
        };
    }
    Some(args)
}

fn plain(text: &str) -> Option<f64> {
    split_number(text).filter(|(_, unit)| unit.is_empty()).map(|(n, _)| n)
}

fn degrees(text: &str) -> Option<f64> {
    let (number, unit) = split_number(text)?;
    match unit {
        "" | "deg" => Some(number),
        "rad" => Some(number.to_degrees()),
        "grad" => Some(number * 0.9),
        "turn" => Some(number * 360.0),
        _ => None,
    }
}

/// From the six numbers of SVG's `matrix(a b c d e f)`, which run down the columns.
fn matrix(n: &[f64]) -> Option<Map> {
    let [a, b, c, d, e, f] = *n else { return None };
    Some(Map::new(a, c, e, b, d, f))
}

/// Scales about the origin.
pub(super) fn scale(x: f64, y: f64) -> Map {
    Map::new(x, 0.0, 0.0, 0.0, y, 0.0)
}

/// Turns from the x axis towards the y axis; quarter turns are exact.
fn rotation(degrees: f64) -> Map {
    let turn = Turn::degrees(degrees);
    Map::new(turn.cos(), -turn.sin(), 0.0, turn.sin(), turn.cos(), 0.0)
}

fn skew(x: f64, y: f64) -> Map {
    Map::new(1.0, libm::tan(x.to_radians()), 0.0, libm::tan(y.to_radians()), 1.0, 0.0)
}

/// The map `inner` with `centre` as its origin.
pub(super) fn around(centre: Point, inner: &Map) -> Map {
    Map::translate(-centre.x, -centre.y).compose(inner).compose(&Map::translate(centre.x, centre.y))
}

/// A `transform-origin` of two lengths.
pub(super) fn origin(text: &str) -> Option<Point> {
    let list: Option<Vec<f64>> =
        split_arguments(text)?.into_iter().map(|a| Length::parse(a).and_then(|l| l.resolve(None))).collect();
    match list?.as_slice() {
        [x, y] => Some(Point { x: *x, y: *y }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, x: f64, y: f64) -> (f64, f64) {
        let p = parse(text).unwrap().apply(Point { x, y });
        (p.x, p.y)
    }

    #[test]
    fn the_last_written_is_applied_first() {
        assert_eq!(at("translate(10 20) scale(2)", 1., 1.), (12., 22.));
        assert_eq!(at("scale(2),translate(10,20)", 1., 1.), (22., 42.));
        assert_eq!(at("matrix(1 2 3 4 5 6)", 1., 1.), (9., 12.));
        assert_eq!(at("", 1., 2.), (1., 2.));
        assert_eq!(at("none", 1., 2.), (1., 2.));
    }

    #[test]
    fn quarter_turns_are_exact_and_turn_x_to_y() {
        assert_eq!(at("rotate(90)", 1., 0.), (0., 1.));
        assert_eq!(at("rotate(90 10 10)", 11., 10.), (10., 11.));
        assert_eq!(at("rotate(0.25turn)", 1., 0.), (0., 1.));
        assert_eq!(at("translate(10px,5px) rotate(-90deg)", 1., 0.), (10., 4.));
        let (x, y) = at("skewX(45)", 0., 1.);
        assert!((x - 1.0).abs() < 1e-15 && y == 1.0);
    }

    #[test]
    fn arguments_may_run_together() {
        assert_eq!(at("translate(10-20)", 0., 0.), (10., -20.));
        assert_eq!(at("matrix(1,0,0,1 , 5,6)translate(1)", 0., 0.), (6., 6.));
    }

    #[test]
    fn wrong_lists_are_named() {
        for text in [
            "translate(1",
            "turn(1)",
            "scale(1,)",
            "scale(nan)",
            "matrix(1 2 3)",
            "rotate(1 2)",
            "rotate(1m)",
            "translate(10%)",
            "scale(1 2 3)",
            "matrix(1 2 3 4 5 6 7)",
            "rotate3d(1,0,0,5deg)",
            "x",
            "scale(1e999)",
        ] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
