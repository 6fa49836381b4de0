//! Viewports: sizes, view boxes and what a user unit measures.

use super::length::{Length, MM_PER_PX, split_number};
use super::transform::{Map, scale};
use crate::shape::Point;

/// Width and height of a viewport, in user units of what is inside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Size {
    /// Extent along x.
    pub width: f64,
    /// Extent along y.
    pub height: f64,
}

impl Size {
    /// What 100 % is for a length that is neither along x nor along y (SVG 1.1, section 7.10).
    pub fn diagonal(self) -> f64 {
        (0.5 * (self.width * self.width + self.height * self.height)).sqrt()
    }
}

/// A `viewBox`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ViewBox {
    /// Least x and y.
    pub min: Point,
    /// Its extent; both above zero.
    pub size: Size,
}

impl ViewBox {
    /// Parses four numbers, parted by blanks or commas; width and height must be above zero.
    pub fn parse(text: &str) -> Option<Self> {
        let mut rest = text.trim();
        let mut numbers = [0.0; 4];
        for (i, slot) in numbers.iter_mut().enumerate() {
            let (number, tail) = split_number(rest)?;
            *slot = number;
            let tail = tail.trim_start();
            rest = tail.strip_prefix(',').filter(|_| i < 3).unwrap_or(tail).trim_start();
        }
        let [x, y, width, height] = numbers;
        let sound = rest.is_empty() && width > 0.0 && height > 0.0;
        sound.then_some(Self { min: Point { x, y }, size: Size { width, height } })
    }
}

/// How a view box is fitted into a viewport: `preserveAspectRatio`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fit {
    /// Where along x and y the slack goes, 0 to 1; `None` stretches both ways.
    align: Option<(f64, f64)>,
    slice: bool,
}

impl Default for Fit {
    fn default() -> Self {
        Self { align: Some((0.5, 0.5)), slice: false }
    }
}

impl Fit {
    /// Parses the attribute (SVG 1.1, section 7.8).
    pub fn parse(text: &str) -> Option<Self> {
        let mut words = text.split_ascii_whitespace().skip_while(|w| *w == "defer");
        let align = match words.next()? {
            "none" => None,
            word => Some((share(word.get(..4)?, 'x')?, share(word.get(4..)?, 'Y')?)),
        };
        let slice = match words.next() {
            None | Some("meet") => false,
            Some("slice") => true,
            Some(_) => return None,
        };
        words.next().is_none().then_some(Self { align, slice })
    }

    /// The scale along x and y that brings `inner` into `outer`.
    fn scales(&self, outer: Size, inner: Size) -> (f64, f64) {
        let (x, y) = (outer.width / inner.width, outer.height / inner.height);
        match (self.align, self.slice) {
            (None, _) => (x, y),
            (Some(_), false) => (x.min(y), x.min(y)),
            (Some(_), true) => (x.max(y), x.max(y)),
        }
    }

    /// The map from the view box into a viewport of the given size, whose corner is the origin.
    pub fn map(&self, view: ViewBox, outer: Size) -> Map {
        let (x, y) = self.scales(outer, view.size);
        let (ax, ay) = self.align.unwrap_or((0.0, 0.0));
        Map::translate(-view.min.x, -view.min.y).compose(&scale(x, y)).compose(&Map::translate(
            ax * (outer.width - x * view.size.width),
            ay * (outer.height - y * view.size.height),
        ))
    }
}

fn share(word: &str, axis: char) -> Option<f64> {
    match word.strip_prefix(axis)? {
        "Min" => Some(0.0),
        "Mid" => Some(0.5),
        "Max" => Some(1.0),
        _ => None,
    }
}

/// What the head of a drawing says about its scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// Millimetres of one user unit along x.
    pub mm_per_unit: f64,
    /// Millimetres along y divided by millimetres along x; 1 unless the picture is stretched.
    pub stretch: f64,
    /// Whether a unit of measurement was written.
    pub real: bool,
    /// Relative difference between the scales that width and height ask for.
    pub mismatch: f64,
    /// The viewport in user units, where it is known.
    pub size: Option<Size>,
}

impl Scale {
    /// From the outermost `svg`. Width or height that is absent or a percentage follows the other
    /// one; without either, a user unit is a CSS pixel of 25.4/96 mm.
    pub fn of(width: Option<Length>, height: Option<Length>, view: Option<ViewBox>, fit: Fit) -> Self {
        let stated = |length| match length {
            Some(Length::Px { px, mm, real }) if px > 0.0 => Some((px, mm, real)),
            _ => None,
        };
        let (width, height) = (stated(width), stated(height));
        let real = [width, height].iter().flatten().any(|(.., real)| *real);
        let plain =
            Self { mm_per_unit: MM_PER_PX, stretch: 1.0, real, mismatch: 0.0, size: view.map(|v| v.size) };
        let Some(view) = view else {
            let size = width.zip(height).map(|((width, ..), (height, ..))| Size { width, height });
            return Self { size, ..plain };
        };
        let along_x = width.map(|(_, mm, _)| mm / view.size.width);
        let along_y = height.map(|(_, mm, _)| mm / view.size.height);
        match (along_x, along_y) {
            (None, None) => plain,
            (Some(k), None) | (None, Some(k)) => Self { mm_per_unit: k, ..plain },
            (Some(kx), Some(ky)) => {
                let outer = Size { width: kx, height: ky };
                let (x, y) = fit.scales(outer, Size { width: 1.0, height: 1.0 });
                let mismatch = (kx - ky).abs() / kx.max(ky);
                Self { mm_per_unit: x, stretch: y / x, mismatch, ..plain }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale_of(width: &str, height: &str, view: &str, fit: &str) -> Scale {
        let fit = if fit.is_empty() { Fit::default() } else { Fit::parse(fit).unwrap() };
        Scale::of(Length::parse(width), Length::parse(height), ViewBox::parse(view), fit)
    }

    #[test]
    fn real_units_and_view_box_give_the_scale() {
        let s = scale_of("210mm", "297mm", "0 0 210 297", "");
        assert!((s.mm_per_unit - 1.0).abs() < 1e-15 && s.real && s.mismatch < 1e-15);
        let s = scale_of("2in", "", "0 0 100 50", "");
        assert!((s.mm_per_unit - 0.508).abs() < 1e-15 && s.real);
        let s = scale_of("100%", "10mm", "0 0 100 5", "");
        assert!((s.mm_per_unit - 2.0).abs() < 1e-15 && s.real);
    }

    #[test]
    fn without_real_units_a_pixel_is_a_96th_of_an_inch() {
        for (width, height, view) in [("", "", ""), ("", "", "0 0 10 10"), ("100", "100px", "0 0 100 100")] {
            let s = scale_of(width, height, view, "");
            assert!((s.mm_per_unit - 25.4 / 96.0).abs() < 1e-15 && !s.real);
        }
    }

    #[test]
    fn unequal_scales_follow_the_fit() {
        let s = scale_of("100mm", "50mm", "0 0 100 100", "");
        assert!((s.mm_per_unit - 0.5).abs() < 1e-15 && s.stretch == 1.0 && s.mismatch == 0.5);
        let s = scale_of("100mm", "50mm", "0 0 100 100", "none");
        assert!((s.mm_per_unit - 1.0).abs() < 1e-15 && (s.stretch - 0.5).abs() < 1e-15);
        let s = scale_of("100mm", "50mm", "0 0 100 100", "xMinYMax slice");
        assert!((s.mm_per_unit - 1.0).abs() < 1e-15 && s.stretch == 1.0);
    }

    #[test]
    fn view_box_lands_where_the_fit_puts_it() {
        let view = ViewBox::parse("10,10 100,100").unwrap();
        let outer = Size { width: 400.0, height: 200.0 };
        let corner = |fit: &str| Fit::parse(fit).unwrap().map(view, outer).apply(Point { x: 10.0, y: 10.0 });
        assert_eq!(corner("xMidYMid"), Point { x: 100.0, y: 0.0 });
        assert_eq!(corner("xMinYMin meet"), Point { x: 0.0, y: 0.0 });
        assert_eq!(corner("xMaxYMax slice"), Point { x: 0.0, y: -200.0 });
        assert_eq!(corner("none"), Point { x: 0.0, y: 0.0 });
    }

    #[test]
    fn malformed_values_are_refused() {
        for text in ["", "0 0 10", "0 0 0 10", "0 0 10 -1", "0 0 10 10 10", "a b c d", "0 0 10 10,"] {
            assert_eq!(ViewBox::parse(text), None, "{text}");
        }
        for text in ["", "xMid", "xMidYMid fit", "midmid", "none none", "ééé", "xMidYMid meet x"] {
            assert_eq!(Fit::parse(text), None, "{text}");
        }
    }
}
