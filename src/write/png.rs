//! The preview as a picture.

use crate::error::Error;
use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, Filter};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Most pixels of a picture: 400 MB in memory, and more than any screen or office printer shows.
pub const MOST_PIXELS: u64 = 100_000_000;

/// Paints an SVG document, such as [`svg`](super::svg) gives, as a PNG of that width in pixels.
/// What the document leaves free is white. Nothing outside the document is opened.
///
/// # Errors
///
/// [`Error::Input`] when the text is no SVG, or the picture would have no pixel or more than
/// [`MOST_PIXELS`].
pub fn png(svg: &str, width_px: u32) -> Result<Vec<u8>, Error> {
    let refused = |what: String| Error::input("preview.png", what, "ask for another width");
    let tree = Tree::from_str(svg, &Options::default())
        .map_err(|e| Error::input("preview.svg", format!("cannot be painted: {e}"), ""))?;
    let scale = width_px as f32 / tree.size().width();
    let height = (tree.size().height() * scale).ceil();
    if f64::from(width_px) * f64::from(height) > MOST_PIXELS as f64 {
        return Err(refused(format!("would be {width_px} by {height} pixels")));
    }
    let mut pixels = Pixmap::new(width_px, height as u32)
        .ok_or_else(|| refused(format!("cannot be {width_px} by {height} pixels")))?;
    pixels.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    encode(&pixels).map_err(|e| Error::Internal(format!("cannot encode the picture: {e}")))
}

/// Without transparency, of which there is none, and unfiltered: flat colours and thin lines
/// repeat exactly, which a filter would hide. A quarter smaller than the renderer's own way.
fn encode(pixels: &Pixmap) -> Result<Vec<u8>, EncodingError> {
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, pixels.width(), pixels.height());
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::High);
    encoder.set_filter(Filter::NoFilter);
    let rgb: Vec<u8> = pixels.pixels().iter().flat_map(|p| [p.red(), p.green(), p.blue()]).collect();
    encoder.write_header()?.write_image_data(&rgb)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_has_the_width_asked_for_and_sensible_sizes_only() {
        let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="10mm"/>"#;
        let picture = png(svg, 200).unwrap();
        assert!(picture.starts_with(b"\x89PNG"));
        // Width and height stand in the first chunk (PNG specification, section 11.2.1).
        assert_eq!((&picture[16..20], &picture[20..24]), (&[0, 0, 0, 200][..], &[0, 0, 0, 50][..]));
        for bad in [0, u32::MAX] {
            assert!(matches!(png(svg, bad), Err(Error::Input(_))), "{bad}");
        }
        assert!(matches!(png("<html/>", 10), Err(Error::Input(_))));
    }
}
