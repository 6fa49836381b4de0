//! The command as its users meet it.

mod compare;
mod cut;
mod foreign;
mod group;
mod jobs;
mod layouts;
mod names;
mod nest;
mod outlines;
mod outside;
mod panels;
mod pieces;
mod pipeline;
mod recut;
mod replace;
mod report;
mod stock;
mod stops;
mod uses;
mod words;
