//! What the writers make, read back by others.

mod dxf;
mod sample;
mod svg;
