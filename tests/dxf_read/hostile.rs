//! Damaged and hostile files: each ends in a clear error or a warning, soon, and never in a panic.

use super::{drawing, entities, file, fixture, told, try_read};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};

const SAMPLES: [&str; 7] = [
    "lines-R12-asc.dxf",
    "lines-R2018-bin.dxf",
    "curves-R2000-asc.dxf",
    "curves-R2013-bin.dxf",
    "blocks-R12-bin.dxf",
    "blocks-R2010-asc.dxf",
    "left-out-R2004-asc.dxf",
];

#[track_caller]
fn refused(bytes: impl AsRef<[u8]>, word: &str) {
    let error = try_read(bytes).expect_err("this is refused");
    assert_eq!(error.exit_code(), 2);
    assert!(error.to_string().contains(word), "no {word:?} in: {error}");
}

#[test]
fn whatever_is_cut_off_is_refused() {
    for name in SAMPLES {
        let bytes = fixture(name);
        let whole = bytes.trim_ascii_end().len();
        for end in (0..whole).step_by(whole / 150).chain([whole - 1]) {
            assert!(try_read(&bytes[..end]).is_err(), "{name} cut at {end}");
        }
    }
}

#[test]
fn garbage_is_refused() {
    refused("", "empty");
    refused("\n\n", "empty");
    refused("hello", "`hello`");
    refused("\u{0}\u{1}\u{2}", "t.dxf");
    refused(b"\xff\xfe0\0\n\0", "UTF-16");
    refused(b"AutoCAD Binary DXF\r\n\x1a\0", "EOF");
    refused(b"AutoCAD Binary DXF\r\n\x1a\0\xff\xff\xff\xff", "damaged");
    refused("0\nEOF\n", "ENTITIES");
    refused("0\nSECTION\n2\nENTITIES\n0\nEOF\n", "ENDSEC");
    refused("0\nCIRCLE\n10\n0\n0\nEOF\n", "section");
    refused("0\nSECTION\n2\nENTITIES\n\n0\nENDSEC\n0\nEOF\n", "blank");
    let mut random = Xoshiro256PlusPlus::seed_from_u64(20);
    for length in [1, 10, 1000, 100_000] {
        let mut bytes = vec![0; length];
        random.fill_bytes(&mut bytes);
        assert!(try_read(&bytes).is_err());
        assert!(
            try_read([b"AutoCAD Binary DXF\r\n\x1a\0\0\0SECTION\0".as_slice(), &bytes].concat()).is_err()
        );
    }
}

#[test]
fn more_records_or_group_codes_than_any_drawing_has_are_refused() {
    let with = |what: String| format!("0\nSECTION\n2\nENTITIES\n{what}0\nENDSEC\n0\nEOF\n");
    assert!(try_read(with("0\nA\n".repeat(999_998))).is_ok());
    refused(with("0\nA\n".repeat(999_999)), "more than 1000000 entities (split");
    assert!(try_read(with(format!("0\nA\n{}", "9\n\n".repeat(8_000_000)))).is_ok());
    refused(with(format!("0\nA\n{}", "9\n\n".repeat(8_000_001))), "more than 8000000 group codes");
}

#[test]
fn numbers_beyond_reason() {
    for number in ["nan", "inf", "-inf", "1e400", "0,5", "_", "1.2.3", "٣"] {
        refused(entities(&format!("0 CIRCLE 8 a 10 {number} 20 0 40 1")), "group code 10");
    }
    refused(entities("0 LINE 8 a 10 1e12 20 0 11 0 21 0"), "nearer to its origin");
    refused(entities("0 CIRCLE 8 a 10 0 20 0 40 1e12"), "chord tolerance");
    refused(entities("0 LWPOLYLINE 8 a 90 1000000000 70 1 10 0 20 0"), "1000000000 vertices are promised");
    refused(entities("0 LWPOLYLINE 8 a 90 99999999999999999999 10 0 20 0"), "whole number");
    refused(entities("0 LWPOLYLINE 8 a 42 1 10 0 20 0"), "before the first vertex");
    refused(entities("0 LWPOLYLINE 8 a 10 0 10 1 20 1"), "vertex 1 has no y");
    refused(entities("0 CIRCLE 8 a 10 0 20 0 40 1 5555 1"), "5555");
    // Angles and bulges without end, lengths of nothing.
    for fine in [
        "0 ARC 8 a 10 0 20 0 40 1 50 1e300 51 -1e300",
        "0 LWPOLYLINE 8 a 70 1 10 0 20 0 42 1e308 10 1 20 0 42 -1e-308",
        "0 ELLIPSE 8 a 10 0 20 0 11 1 21 0 40 1e-300 41 1e300 42 0",
        "0 CIRCLE 8 a 10 0 20 0 40 0",
        "0 ELLIPSE 8 a 10 0 20 0 11 0 21 0 40 1",
        "0 LWPOLYLINE 8 a 90 0 70 1",
        "0 POLYLINE 8 a 66 1 70 1 0 SEQEND",
        "0 POLYLINE 8 a 66 1 70 1 0 VERTEX 10 1 20 1",
        "0 VERTEX 8 a 10 0 20 0",
        "0 SPLINE 8 a 71 3",
        "0 INSERT 8 a",
        "0 INSERT 8 a 2 B 10 0 20 0 41 0",
        "0 LINE 8 a 10 5 20 5 11 5 21 5",
    ] {
        let _ = try_read(entities(fine))
            .map(|d| assert!(d.found.len() + d.broken.len() + d.warnings.len() > 0, "{fine}"));
    }
    let dates = "0 SECTION 2 HEADER 9 $TDCREATE 40 1e300 9 $TDUPDATE 40 nan 9 $TDINDWG 40 -1e99 0 ENDSEC";
    assert_eq!(drawing(file(dates, "0 CIRCLE 8 a 10 0 20 0 40 1")).found.len(), 1);
}

#[test]
fn deep_nesting_is_refused_without_a_stack_overflow() {
    for (code, depth) in [(102, 1_000_000), (1002, 1_000_000), (102, 65), (1002, 65)] {
        let groups = format!("{code}\n{{A\n").repeat(depth);
        let text = entities("0 LINE 8 a 10 0 20 0 11 1 21 1").replace("21\n1\n", &format!("21\n1\n{groups}"));
        refused(text, "deep");
    }
    let lists = "1002\n{\n".repeat(64) + &"1002\n}\n".repeat(64);
    let text = entities("0 CIRCLE 8 a 10 0 20 0 40 1").replace("40\n1\n", &format!("40\n1\n{lists}"));
    assert_eq!(drawing(text).found.len(), 1);
    refused(entities("0 CIRCLE 8 a 10 0 20 0 102 {A 40 1"), "does not end");
}

#[test]
fn groups_in_what_is_not_read_may_be_anything() {
    // As the schema of a thumbnail is written: a group is closed by its own name.
    let group = "102 {ATTRRECORD 341 135 102 ATTRRECORD} 1002 {";
    let objects = format!("0 SECTION 2 OBJECTS 0 XRECORD 5 134 {} 0 ENDSEC", [group; 70].join(" "));
    assert_eq!(drawing(file(&objects, "0 CIRCLE 8 a 10 0 20 0 40 1")).found.len(), 1);
}

/// `count` blocks of which each inserts the next one `times` times; the last holds a circle.
fn chain(count: usize, times: usize) -> String {
    let mut blocks = String::from("0 SECTION 2 BLOCKS ");
    for i in 0..count {
        blocks += &format!("0 BLOCK 2 B{i} 10 0 20 0 ");
        for t in 0..times {
            let inner = if i + 1 < count {
                format!("0 INSERT 2 B{} 10 {t} 20 0 ", i + 1)
            } else {
                "0 CIRCLE 10 0 20 0 40 1 ".into()
            };
            blocks += &inner;
        }
        blocks += "0 ENDBLK ";
    }
    blocks + "0 ENDSEC"
}

#[test]
fn blocks_without_end() {
    let insert = "0 INSERT 8 a 2 B0 10 0 20 0";
    assert_eq!(drawing(file(&chain(32, 1), insert)).found.len(), 1);
    refused(file(&chain(33, 1), insert), "nested more than 32 deep");
    refused(file(&chain(30, 10), insert), "more than");
    refused(
        file(&chain(1, 1), &format!("{insert} 70 2000000000 71 2000000000 44 9 45 9")),
        "blocks are inserted",
    );
    refused(file(&chain(1, 0), &format!("{insert} 70 2000000000 71 2000000000")), "blocks are inserted");
    let circle = "0 SECTION 2 BLOCKS 0 BLOCK 2 B0 10 0 20 0 0 INSERT 2 B1 10 0 20 0 0 ENDBLK \
        0 BLOCK 2 B1 10 0 20 0 0 INSERT 2 B0 10 0 20 0 0 INSERT 2 B1 10 0 20 0 0 ENDBLK 0 ENDSEC";
    let told = told(&drawing(file(circle, insert)));
    assert!(told.contains("`B0` contains itself") && told.contains("`B1` contains itself"), "{told}");
}

#[test]
fn blocks_of_much_that_is_left_out_are_not_visited_without_end() {
    let start = std::time::Instant::now();
    let block = |inner: &str| format!("0 SECTION 2 BLOCKS 0 BLOCK 2 B0 10 0 20 0 {inner} 0 ENDBLK 0 ENDSEC");
    let points = |count| "0 POINT 8 a 10 0 20 0 ".repeat(count);
    let too_many = "more than 8000000 entities and vertices";
    refused(file(&block(&points(490_000)), "0 INSERT 8 a 2 B0 10 0 20 0 70 447 71 447"), too_many);
    // The INSERT and 80 times 99,999 points are 7,999,921; one more instance is too many.
    let at_limit = |rows| format!("0 INSERT 8 a 2 B0 10 0 20 0 71 {rows} 0 CIRCLE 8 a 10 0 20 0 40 1");
    let d = drawing(file(&block(&points(99_999)), &at_limit(80)));
    assert!(d.found.len() == 1 && told(&d).contains("7999920 POINT left out"), "{}", told(&d));
    refused(file(&block(&points(99_999)), &at_limit(81)), too_many);
    // A curve whose knots are all the same draws nothing and has to be looked through all the same.
    let control = "10 0 20 0 ".repeat(10_000);
    let spline = format!("0 SPLINE 8 a 71 3 {} {control}", "40 1 ".repeat(10_004));
    refused(file(&block(&spline), "0 INSERT 8 a 2 B0 10 0 20 0 70 400 71 400"), too_many);
    // A layer with a name of a megabyte, looked up for each instance.
    let long = format!("0 POINT 8 {} 10 0 20 0", "L".repeat(1 << 20));
    refused(file(&block(&long), "0 INSERT 8 a 2 B0 10 0 20 0 70 400 71 400"), too_many);
    // A block with a name of a megabyte, which the place of each stroke would name.
    let name = "B".repeat(1 << 20);
    let named = block("0 CIRCLE 8 a 10 0 20 0 40 .1").replace("B0", &name);
    let d = drawing(file(&named, &format!("0 INSERT 8 a 2 {name} 10 0 20 0 70 40 71 50 44 1 45 1")));
    assert_eq!(d.found.len(), 2000);
    // Seconds; without the limit hours. Other tests run at the same time.
    assert!(start.elapsed() < std::time::Duration::from_secs(300), "{:?}", start.elapsed());
}

#[test]
fn large_files_are_read_and_larger_ones_are_refused() {
    refused(vec![b'0'; 65 << 20], "64 MB");
    let many: String = (0..100_000)
        .map(|i| format!("0\nLINE\n8\nL{}\n10\n{i}\n20\n0\n11\n{i}\n21\n1\n", i % 20_000))
        .collect();
    let text = entities("0 CIRCLE 10 0 20 0 40 1").replace("0\nCIRCLE", &format!("{many}0\nCIRCLE"));
    let d = drawing(text);
    assert_eq!(d.found.len(), 1);
    assert!(told(&d).contains("99980 more runs of lines that are not closed"));
    let long_line = entities("0 CIRCLE 8 LAYER 10 0 20 0 40 1").replace("LAYER", &"x".repeat(20 << 20));
    assert_eq!(drawing(long_line).found.len(), 1);
    refused(
        entities("0 CIRCLE 8 a 10 NUMBER 20 0 40 1").replace("NUMBER", &"9".repeat(20 << 20)),
        "group code 10",
    );
}

/// Bytes changed, dropped and doubled, lines swapped, numbers replaced: no panic, and no hang.
#[test]
fn random_damage_never_panics() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(21);
    let samples = SAMPLES.map(fixture);
    let (mut read, mut refused) = (0, 0);
    for round in 0..1400 {
        let mut bytes = samples[round % SAMPLES.len()].clone();
        for _ in 0..=random.next_u32() % 4 {
            damage(&mut bytes, &mut random);
        }
        match try_read(&bytes) {
            Ok(_) => read += 1,
            Err(error) => {
                assert_eq!(error.exit_code(), 2, "{error}");
                refused += 1;
            }
        }
    }
    assert!(read > 0 && refused > 0, "{read} read, {refused} refused");
}

fn damage(bytes: &mut Vec<u8>, random: &mut Xoshiro256PlusPlus) {
    const NUMBERS: [&[u8]; 8] = [b"nan", b"1e400", b"-1", b"0", b"1e9", b"2147483647", b"{", b"0,5"];
    let at = random.next_u32() as usize % bytes.len();
    let length = (random.next_u32() as usize % 40).min(bytes.len() - at);
    match random.next_u32() % 5 {
        0 => bytes[at] = random.next_u32() as u8,
        1 => drop(bytes.drain(at..at + length)),
        2 => {
            let copy = bytes[at..at + length].to_vec();
            bytes.splice(at..at, copy);
        }
        3 => {
            let end = bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |i| at + i);
            let start = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
            let number = NUMBERS[random.next_u32() as usize % NUMBERS.len()];
            bytes.splice(start..end.max(start), number.iter().copied());
        }
        _ => bytes.truncate(at.max(1)),
    }
}
