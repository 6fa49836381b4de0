//! What is doubtful in a job although it can be cut.

use super::Job;
use crate::Warning;

/// Warnings about shapes that film does not hold, one for each panel and kind.
pub fn cautions(job: &Job) -> Vec<Warning> {
    let _ = job;
    Vec::new()
}
