//! The command as its users meet it.

mod words;
