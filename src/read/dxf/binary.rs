//! Pairs of a binary file.
//!
//! After a sentinel of 22 bytes every pair is a group code and a value whose type follows from
//! the code (DXF Reference, Binary DXF Files and Group Code Value Types). Up to R12 a code is
//! one byte, 255 meaning that two more follow; later it is always two. Numbers are
//! little-endian, strings end with a zero byte.

use super::pair::{Fault, Pair, Value};
use crate::read::kind::BINARY_DXF;

/// Reads pair after pair.
pub(super) struct Pairs<'a> {
    bytes: &'a [u8],
    at: usize,
    wide_codes: bool,
}

/// What kind of value a group code has.
enum Type {
    Text,
    Real,
    Bool,
    Short,
    Long,
    Huge,
    Chunk,
}

impl Type {
    fn of(code: i32) -> Option<Self> {
        Some(match code {
            310..=319 | 1004 => Self::Chunk,
            0..=9 | 100..=105 | 300..=369 | 390..=399 | 410..=419 | 430..=439 | 470..=481 | 999..=1009 => {
                Self::Text
            }
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Self::Real,
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Self::Short,
            90..=99 | 420..=429 | 440..=459 | 1071 => Self::Long,
            160..=169 => Self::Huge,
            290..=299 => Self::Bool,
            _ => return None,
        })
    }
}

impl<'a> Pairs<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        let at = BINARY_DXF.len();
        // The first pair is 0 SECTION or a comment 999: a second zero byte, or a code above 255.
        let wide_codes = matches!(bytes.get(at..at + 2), Some([0, 0] | [0xe7, 3]));
        Self { bytes, at, wide_codes }
    }

    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let taken = self.bytes.get(self.at..self.at + N)?.try_into().ok()?;
        self.at += N;
        Some(taken)
    }

    fn code(&mut self) -> Option<i32> {
        if self.wide_codes {
            return self.take().map(i16::from_le_bytes).map(i32::from);
        }
        match self.take()? {
            [255] => self.take().map(i16::from_le_bytes).map(i32::from),
            [code] => Some(i32::from(code)),
        }
    }

    fn value(&mut self, of: &Type) -> Option<Value<'a>> {
        Some(match of {
            Type::Text => Value::Text(self.text()?),
            Type::Chunk => {
                let [length] = self.take()?;
                let end = self.at + usize::from(length);
                let chunk = self.bytes.get(self.at..end)?;
                self.at = end;
                Value::Text(chunk)
            }
            Type::Real => Value::Real(f64::from_le_bytes(self.take()?)),
            Type::Bool => Value::Whole(i64::from(self.take::<1>()?[0])),
            Type::Short => Value::Whole(i64::from(i16::from_le_bytes(self.take()?))),
            Type::Long => Value::Whole(i64::from(i32::from_le_bytes(self.take()?))),
            Type::Huge => Value::Whole(i64::from_le_bytes(self.take()?)),
        })
    }

    fn text(&mut self) -> Option<&'a [u8]> {
        let rest = self.bytes.get(self.at..)?;
        let length = rest.iter().position(|b| *b == 0)?;
        self.at += length + 1;
        Some(&rest[..length])
    }

    fn pair(&mut self) -> Result<Pair<'a>, Fault> {
        let at = self.at;
        let ends = || Fault::new(at, "the file ends in the middle of a value");
        let code = self.code().ok_or_else(ends)?;
        let unknown = || Fault::new(at, format!("there is no group code {code}; the file is damaged here"));
        let value = self.value(&Type::of(code).ok_or_else(unknown)?).ok_or_else(ends)?;
        Ok(Pair { code, value, at })
    }
}

impl<'a> Iterator for Pairs<'a> {
    type Item = Result<Pair<'a>, Fault>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.at >= self.bytes.len() {
            return None;
        }
        let pair = self.pair();
        if pair.is_err() {
            self.at = self.bytes.len();
        }
        Some(pair)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(tail: &[u8]) -> Vec<Result<Pair<'static>, Fault>> {
        let bytes: &'static [u8] = Box::leak([BINARY_DXF, tail].concat().into_boxed_slice());
        Pairs::new(bytes).collect()
    }

    #[test]
    fn narrow_and_wide_codes() {
        let narrow = [b"\0SECTION\0\x0a".as_slice(), &1.5f64.to_le_bytes(), b"\xff\xe8\x03xdata\0"].concat();
        let wide = [b"\0\0SECTION\0\x0a\0".as_slice(), &1.5f64.to_le_bytes(), b"\xe8\x03xdata\0"].concat();
        for (tail, last) in [(narrow, 40), (wide, 42)] {
            let pairs: Vec<Pair> = read(&tail).into_iter().map(Result::unwrap).collect();
            assert_eq!(pairs[0], Pair { code: 0, value: Value::Text(b"SECTION"), at: 22 });
            assert_eq!((pairs[1].code, pairs[1].value), (10, Value::Real(1.5)));
            assert_eq!(pairs[2], Pair { code: 1000, value: Value::Text(b"xdata"), at: last });
        }
    }

    #[test]
    fn damage_ends_with_a_fault() {
        for tail in
            [&b"\0\0SECTION"[..], b"\0\0SECTION\0\x0a\0\0\0", b"\0\0S\0\x50\x05x\0", b"\0\0S\0\x36\x01\x10a"]
        {
            assert!(read(tail).pop().unwrap().is_err());
        }
    }
}
