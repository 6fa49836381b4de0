//! Layouts in: one of a file, or all that a nest wrote into a folder, one for each piece of film.

use super::input::{self, Source};
use super::{listing, names, proof};
use std::path::{Path, PathBuf};
use tuckroll::Error;
use tuckroll::layout::Layout;

/// A layout of a piece of film.
pub struct Laid {
    /// The piece of film it is for, where a nest took several.
    pub piece: Option<String>,
    /// The layout.
    pub layout: Layout,
}

/// What a nest wrote into a folder.
pub struct Nested {
    /// A layout, or one for each piece of film.
    pub layouts: Vec<Laid>,
    /// Whether film was found for every order.
    pub complete: bool,
}

/// The layouts of a file, of a folder, or of standard input, all of which must keep every rule.
pub fn typed(path: PathBuf) -> Result<Vec<Laid>, Error> {
    typed_by(path, proven)
}

/// The layouts of a file, of a folder, or of standard input, each read by `read`.
pub fn typed_by(path: PathBuf, read: impl Fn(&Source) -> Result<Layout, Error>) -> Result<Vec<Laid>, Error> {
    if path.is_dir() {
        return Ok(in_folder_by(&path, read)?.layouts);
    }
    Ok(vec![Laid { piece: None, layout: read(&Source::of(path))? }])
}

/// The layouts of the folder that a nest wrote, all of which must keep every rule.
pub fn in_folder(dir: &Path) -> Result<Nested, Error> {
    in_folder_by(dir, proven)
}

/// The layouts of the folder that a nest wrote, each read by `read`.
fn in_folder_by(dir: &Path, read: impl Fn(&Source) -> Result<Layout, Error>) -> Result<Nested, Error> {
    let layout = |within: &Path, piece| {
        let layout = read(&file_in(within, names::LAYOUT)?)?;
        Ok::<_, Error>(Laid { piece, layout })
    };
    if !dir.join(names::SUMMARY).exists() {
        return Ok(Nested { layouts: vec![layout(dir, None)?], complete: true });
    }
    let source = file_in(dir, names::SUMMARY)?;
    let listing::Listing { rolls, complete } = listing::read(&source.bytes()?, &source.name())?;
    let layouts = rolls.into_iter().map(|id| layout(&dir.join(&id), Some(id))).collect::<Result<_, _>>()?;
    Ok(Nested { layouts, complete })
}

/// A file of a folder. Whoever names a pipe may mean it; one that is found in a folder would only be waited for.
fn file_in(dir: &Path, name: &str) -> Result<Source, Error> {
    let path = dir.join(name);
    if path.metadata().is_ok_and(|kind| !kind.is_file()) {
        let remedy = "nest the job again, or name the layout itself";
        return Err(Error::input(path.display().to_string(), "is not a file", remedy));
    }
    Ok(Source::File(path))
}

/// The layout of one file, which must keep every rule.
pub fn proven(source: &Source) -> Result<Layout, Error> {
    let layout = input::layout(source)?;
    proof::foreign(&layout, &source.name())?;
    Ok(layout)
}
