//! DXF as text: lines of group code and value.

use std::fmt::Write;

use crate::shape::Point;
use crate::write::number::push_fixed;

/// Collects group code and value pairs. Reference: DXF Reference, chapter "Group codes in
/// numerical order": strings, reals and integers in fixed ranges of codes.
#[derive(Debug, Default)]
pub(super) struct Pairs {
    out: String,
    /// The last handle given out; 0 before the first.
    handle: u64,
    /// Digits behind the point of every real number.
    decimals: usize,
}

impl Pairs {
    pub fn new(decimals: usize) -> Self {
        Self { decimals, ..Self::default() }
    }

    /// A string. Whatever could end the line or lies outside printable ASCII becomes `_`.
    pub fn text(&mut self, code: u16, value: &str) {
        self.code(code);
        self.out.extend(value.chars().map(|c| if (' '..='~').contains(&c) { c } else { '_' }));
        self.out.push('\n');
    }

    pub fn int(&mut self, code: u16, value: i64) {
        self.code(code);
        let _ = writeln!(self.out, "{value}");
    }

    pub fn real(&mut self, code: u16, value: f64) {
        self.code(code);
        let start = self.out.len();
        push_fixed(&mut self.out, value, self.decimals);
        // Some readers tell reals from integers by the point.
        if !self.out[start..].contains('.') {
            self.out.push_str(".0");
        }
        self.out.push('\n');
    }

    /// A point in the plane under `code` and `code + 10`.
    pub fn point(&mut self, code: u16, p: Point) {
        self.real(code, p.x);
        self.real(code + 10, p.y);
    }

    /// A point with z = 0.
    pub fn point3(&mut self, code: u16, p: Point) {
        self.point(code, p);
        self.real(code + 20, 0.0);
    }

    /// A new handle, never given out before in this file.
    pub fn new_handle(&mut self) -> u64 {
        self.handle += 1;
        self.handle
    }

    pub fn handle(&mut self, code: u16, handle: u64) {
        self.code(code);
        let _ = writeln!(self.out, "{handle:X}");
    }

    pub fn section(&mut self, name: &str) {
        self.text(0, "SECTION");
        self.text(2, name);
    }

    pub fn end_section(&mut self) {
        self.text(0, "ENDSEC");
    }

    /// A variable of the header; its value follows.
    pub fn variable(&mut self, name: &str) {
        self.text(9, name);
    }

    /// The first handle that is still free.
    pub fn free_handle(&self) -> u64 {
        self.handle + 1
    }

    /// The text.
    pub fn finish(self) -> String {
        self.out
    }

    fn code(&mut self, code: u16) {
        let _ = writeln!(self.out, "{code:>3}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_value_can_break_out_of_its_line() {
        let mut p = Pairs::new(6);
        p.text(999, "a\n  0\r\nEOF\u{85}\u{2028}ü");
        assert_eq!(p.finish(), "999\na_  0__EOF___\n");
    }

    #[test]
    fn reals_carry_a_point_and_handles_are_hexadecimal() {
        let mut p = Pairs::new(6);
        p.point(10, Point { x: 3.0, y: -0.25 });
        p.handle(5, 255);
        assert_eq!(p.finish(), " 10\n3.0\n 20\n-0.25\n  5\nFF\n");
    }
}
