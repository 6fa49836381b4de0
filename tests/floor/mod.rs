//! From a layout to the machine: the cut plan.

mod plan;
mod tours;
