//! A file to come: written beside its place, so that it has its name as a whole or not at all.

use std::io;
use std::path::Path;
use tempfile::{Builder, NamedTempFile};

/// What the names of files and folders to come begin with.
pub const PREFIX: &str = ".tuckroll-";

/// A draft in a folder, removed when dropped. Others may read it as far as the user's mask lets them, like any file.
pub fn draft_in(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(PREFIX);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}
