//! What `summary.json` lists, read again: which pieces of film a nest of several has used.

use serde::Deserialize;
use serde::de::IgnoredAny;
use std::path::Path;
use tuckroll::{Error, json};

/// The value of `format` in a summary.
pub const FORMAT: &str = "tuckroll-summary-1";

/// What is needed of a summary to find its layouts again.
#[derive(Debug, Deserialize)]
struct Listed {
    format: String,
    rolls: Vec<ListedRoll>,
    left_out: Vec<IgnoredAny>,
}

#[derive(Debug, Deserialize)]
struct ListedRoll {
    id: String,
}

/// The pieces of film that a summary lists.
#[derive(Debug)]
pub struct Listing {
    /// Their ids, which are the names of their folders.
    pub rolls: Vec<String>,
    /// Whether film was found for every order.
    pub complete: bool,
}

/// Reads what a summary lists.
///
/// # Errors
///
/// [`Error::Input`] when this is no summary, or larger than any file may be.
pub fn read(summary: &[u8], name: &str) -> Result<Listing, Error> {
    let wrong = |what: String| Error::input(name, what, "nest the job again");
    let listed: Option<Listed> = serde_json::from_value(json::parse(summary, name)?).ok();
    let Some(listed) = listed.filter(|l| l.format == FORMAT) else {
        return Err(wrong("this is no summary of a nest".into()));
    };
    let rolls: Vec<String> = listed.rolls.into_iter().map(|roll| roll.id).collect();
    // A piece's id is a folder's name and nothing more.
    match rolls.iter().find(|id| Path::new(id).file_name() != Some(id.as_ref())) {
        Some(id) => Err(wrong(format!("{id:?} is no piece of film"))),
        None => Ok(Listing { rolls, complete: listed.left_out.is_empty() }),
    }
}
