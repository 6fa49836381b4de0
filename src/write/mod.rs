//! Files out: pure functions of a layout.
