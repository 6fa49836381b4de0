//! The `tuckroll` command.
fn main() {}
