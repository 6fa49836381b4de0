//! The command as its users meet it.

mod jobs;
mod layouts;
mod nest;
mod outlines;
mod panels;
mod pipeline;
mod stops;
mod words;
