//! The command as its users meet it.

mod outlines;
mod words;
