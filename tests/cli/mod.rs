//! The command as its users meet it.

mod compare;
mod cut;
mod jobs;
mod layouts;
mod nest;
mod outlines;
mod panels;
mod pipeline;
mod report;
mod stops;
mod uses;
mod words;
