#![doc = include_str!("page.md")]
//!
#![doc = include_str!("picture.svg")]
//!
#![doc = include_str!("sources.md")]
