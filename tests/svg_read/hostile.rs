//! Files that mean harm or are damaged: an error that says what, never a panic, hang or flood.

use super::{ALL, fixture};
use proptest::prelude::*;
use std::time::{Duration, Instant};
use tuckroll::Error;
use tuckroll::read::{Drawing, ReadOptions, read};

const HEAD: &str = "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' \
                    width='100mm' height='100mm' viewBox='0 0 100 100'>";

fn try_read(text: &str) -> Result<Drawing, Error> {
    read(text.as_bytes(), "bad.svg", &ReadOptions::default())
}

fn refused(text: &str, words: &str) {
    let error = try_read(text).unwrap_err();
    assert_eq!(error.exit_code(), 2);
    let said = error.to_string();
    assert!(said.contains("bad.svg") && said.contains(words), "wanted {words:?}: {said}");
}

fn in_svg(body: &str) -> String {
    format!("{HEAD}{body}</svg>")
}

#[test]
fn entity_bombs_and_outside_entities() {
    let mut laughs = String::from("<!DOCTYPE svg [<!ENTITY a0 'ha'>");
    for i in 1..12 {
        laughs += &format!("<!ENTITY a{i} '{}'>", format!("&a{};", i - 1).repeat(10));
    }
    refused(&format!("{laughs}]>{HEAD}<g id='&a11;'/></svg>"), "entity made of other entities");
    let flat = format!("<!DOCTYPE svg [<!ENTITY a '{}'>]>", "h".repeat(1000));
    refused(&format!("{flat}{HEAD}<g id='{}'/></svg>", "&a;".repeat(100_000)), "grow beyond");
    let outside = "<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>";
    refused(&format!("{outside}{HEAD}<text>&x;</text></svg>"), "never loaded");
    refused(&in_svg("<g id='&nothing;'/>"), "unknown entity");
}

#[test]
fn deep_nesting() {
    refused(&in_svg(&format!("{}{}", "<g>".repeat(100_000), "</g>".repeat(100_000))), "nested deeper");
    refused(&in_svg(&format!("{}{}", "<svg>".repeat(300), "</svg>".repeat(300))), "nested deeper");
    let chain: String = (1..400).map(|i| format!("<g id='n{i}'><use href='#n{}'/></g>", i - 1)).collect();
    refused(&in_svg(&format!("<defs><g id='n0'/>{chain}</defs><use href='#n399'/>")), "nested deeper");
}

#[test]
fn use_bombs_and_uses_of_themselves() {
    let mut bomb = String::from("<defs><rect id='b0' width='1' height='1'/>");
    for i in 1..12 {
        let uses = format!("<use href='#b{}'/>", i - 1).repeat(10);
        bomb += &format!("<g id='b{i}'>{uses}</g>");
    }
    refused(&in_svg(&format!("{bomb}</defs><use href='#b11'/>")), "more than 500000 elements");
    refused(&in_svg("<use id='a' href='#a'/>"), "contains itself");
    refused(&in_svg("<g id='a'><use href='#a'/></g>"), "contains itself");
    refused(&in_svg("<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>"), "contains itself");
    refused(&in_svg("<symbol id='s'><use xlink:href='#s'/></symbol><use href='#s'/>"), "contains itself");
}

#[test]
fn numbers_out_of_this_world() {
    refused(&in_svg("<path d='M0 0L1e300 0L0 5z'/>"), "not a number up to 1e9");
    refused(&in_svg("<path d='M0 0C1e300 0 0 1e300 5 5z'/>"), "curve would need more");
    refused(&in_svg("<path d='M0 0A1e300 1e300 0 0 1 5 5z'/>"), "");
    refused(&in_svg("<path d='M0 0LNaN 5'/>"), "column");
    refused(&in_svg("<circle r='1e12'/>"), "curve would need more");
    refused(&in_svg("<circle r='inf'/>"), "not a length");
    refused(&in_svg("<rect width='5' height='5' x='1000000000000'/>"), "not a number up to 1e9");
    refused(&in_svg("<g transform='scale(1e200)'><g transform='scale(1e200)'><circle r='1'/></g></g>"), "");
    refused(&in_svg("<rect width='5' height='5' transform='matrix(1 2 3 4 5 nan)'/>"), "not understood");
    refused(&in_svg("<polygon points='0,0 1e999,1 5,5'/>"), "not made of numbers");
    assert!(try_read(&in_svg("<circle r='1' transform='scale(0)'/>")).unwrap().found.is_empty());
}

#[test]
fn floods() {
    let many = format!("<path d='M0 0{}'/>", " 1 1 2 0".repeat(2_100_000));
    refused(&in_svg(&many), "more than 4000000 points");
    let rules = ".a{fill:none}".repeat(5000);
    refused(&in_svg(&format!("<style>{rules}</style>")), "more than 4096 selectors");
    let texts = "<text>x</text>".repeat(100_000);
    assert!(try_read(&in_svg(&texts)).unwrap().warnings.len() < 20);
    let faults = "<path d='X'/>".repeat(100_000);
    let said = try_read(&in_svg(&faults)).unwrap_err().to_string();
    assert!(said.lines().count() <= 20);
    let big = vec![b' '; (64 << 20) + 1];
    let mut file = HEAD.as_bytes().to_vec();
    file.extend(big);
    let error = read(&file, "bad.svg", &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("more than the 67108864 that are read"), "{error}");
}

/// What takes a second or two and, where nothing limits it, hours. Other tests run at the same time.
#[track_caller]
fn soon<T>(what: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let result = what();
    assert!(start.elapsed() < Duration::from_secs(100), "{:?}", start.elapsed());
    result
}

#[test]
fn a_path_of_more_subpaths_than_a_drawing_has_contours() {
    let triangles: String = (0..300_000).map(|k| format!("M{} {}h.5v.5z", k % 500, k / 500)).collect();
    soon(|| refused(&in_svg(&format!("<path d='{triangles}'/>")), "more than 50000 contours"));
    // Each crosses itself, and such count as well.
    let bow_ties: String =
        (0..200_000).map(|k| format!("M{} {}l1 1h-1l1-1z", 2 * (k % 500), 2 * (k / 500))).collect();
    soon(|| refused(&in_svg(&format!("<path fill='none' d='{bow_ties}'/>")), "more than 50000 contours"));
}

#[test]
fn style_sheets_that_multiply() {
    // 4096 rules for everything, of a hundred thousand declarations each.
    let all = vec!["*"; 4096].join(",");
    for (declarations, found) in [("a:b;", 1), ("fill:none;", 1), ("fill:none;display:none;", 0)] {
        let rule = format!("{all}{{{}}}", declarations.repeat(100_000));
        let text = in_svg(&format!("<style>{rule}</style><rect width='5' height='5'/>"));
        assert_eq!(soon(|| try_read(&text)).unwrap().found.len(), found, "{declarations}");
    }
    // 4096 rules for a class that an element names 33,000 times.
    let rules = ".a{fill:none}".repeat(4096);
    let named = format!("<style>{rules}</style><rect class='{}' width='5' height='5'/>", "a ".repeat(33_000));
    assert_eq!(soon(|| try_read(&in_svg(&named))).unwrap().found.len(), 1);
    // Half a million elements of 4096 rules each.
    let many = format!("<style>{rules}</style>{}", "<g class='a'/>".repeat(400_000));
    soon(|| refused(&in_svg(&many), "more than 512 MiB of attributes and style rules"));
    // Blocks and names of nothing.
    for sheet in
        ["{}".repeat(5_000_000), "a b{fill:x}".repeat(1_000_000), format!("g{{{}}}", ";".repeat(10_000_000))]
    {
        let text = in_svg(&format!("<style>{sheet}</style><rect width='5' height='5'/>"));
        assert_eq!(soon(|| try_read(&text)).unwrap().found.len(), 1);
    }
}

#[test]
fn floods_of_attributes() {
    let attributes = |count: u32| (0..count).map(|i| format!(" a{i}=''")).collect::<String>();
    let text = in_svg(&format!("<rect{} width='5' height='5'/>", attributes(254)));
    assert_eq!(try_read(&text).unwrap().found.len(), 1);
    soon(|| refused(&in_svg(&format!("<g{}/>", attributes(1_000_000))), "more than 256 attributes"));
    soon(|| refused(&in_svg(&"<g a='' b='' c='' d='' e=''/>".repeat(1_000_000)), "too many attributes"));
    refused(&in_svg(&format!("<!--{}-->", "<".repeat(2_000_001))), "too many tags and comments");
    // Every element would take over the prefixes of all round it.
    let nested = |i: u32| format!("<g xmlns:p{i}='{i}'>");
    refused(&in_svg(&(0..5000).map(nested).collect::<String>()), "more than 64 prefixes");
    soon(|| refused(&in_svg(&"<g xmlns:a=''/>".repeat(300_000)), "more than 250000 times"));
}

#[test]
fn long_texts_that_are_shown_again_and_again() {
    // Ten megabytes that draw nothing, a thousand times.
    let uses = "<use href='#a'/>".repeat(1000);
    for long in [
        format!("<path id='a' d='M0 0{}'/>", "M0 0".repeat(2_500_000)),
        format!("<g id='a' class='{}'/>", "a ".repeat(5_000_000)),
        format!("<g id='a' style='{}'/>", "a:b;".repeat(2_500_000)),
    ] {
        soon(|| refused(&in_svg(&format!("<defs>{long}</defs>{uses}")), "more than 512 MiB of attributes"));
    }
    let picture = format!("<image id='a' href='data:image/png;base64,{}'/>", "A".repeat(10_000_000));
    let shown = in_svg(&format!("<defs>{picture}</defs>{uses}<rect width='5' height='5'/>"));
    assert_eq!(soon(|| try_read(&shown)).unwrap().found.len(), 1);
    // A layer with a name of a megabyte, and ten thousand shapes on it.
    let shapes: String = (0..10_000).map(|i| format!("<rect x='{i}' width='.5' height='.5'/>")).collect();
    let on_layer = |length| in_svg(&format!("<g id='{}'>{shapes}</g>", "x".repeat(length)));
    soon(|| refused(&on_layer(1 << 20), "names of the layers of all contours come to more than 64 MiB"));
    assert_eq!(soon(|| try_read(&on_layer(1 << 10))).unwrap().found.len(), 10_000);
    let arguments = format!("<g transform='scale({})'/>", "1 ".repeat(5_000_000));
    soon(|| refused(&in_svg(&arguments), "is not understood"));
    let lines = in_svg(&format!("{}<rect width='5' height='5'/>", "\n".repeat(60 << 20)));
    assert_eq!(soon(|| try_read(&lines)).unwrap().found.len(), 1);
}

/// Whatever can refer to something outside refers to a pipe that nobody writes to and to a port that nobody
/// called: who opens the one hangs, who calls the other is seen.
#[cfg(unix)]
#[test]
fn references_to_other_files_open_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("other.svg");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    port.set_nonblocking(true).unwrap();
    let pipe = pipe.to_str().unwrap();
    let file = format!("file://{pipe}");
    let net = format!("http://{}/other.svg", port.local_addr().unwrap());
    for other in [pipe, &file, &net] {
        let body = format!(
            "<style>@import url({other}); @font-face{{src:url({other})}} .f{{fill:url({other}#a)}}</style>\n\
             <use href='{other}#a'/><use xlink:href='{other}#a'/><image href='{other}' width='5' height='5'/>\n\
             <image xlink:href='{other}' width='5' height='5'/><script href='{other}'/>\n\
             <rect class='f' width='5' height='5' clip-path='url({other}#a)' filter='url({other}#a)'/>"
        );
        let head = format!("<?xml-stylesheet href='{other}'?><!DOCTYPE svg SYSTEM '{other}'>");
        let text = head + &in_svg(&body);
        let (send, receive) = std::sync::mpsc::channel();
        std::thread::spawn(move || send.send(try_read(&text)));
        let drawing =
            receive.recv_timeout(Duration::from_secs(100)).expect("it waits for another file").unwrap();
        assert_eq!(drawing.found.len(), 1);
        let told = drawing.warnings.iter().map(|w| format!("{w}\n")).collect::<String>();
        assert_eq!(told.matches("a reference to another file is not followed").count(), 2, "{told}");
        assert_eq!(told.matches("a picture is left out").count(), 2, "{told}");
    }
    let nobody = port.accept().expect_err("somebody called");
    assert_eq!(nobody.kind(), std::io::ErrorKind::WouldBlock);
}

#[test]
fn a_zigzag_of_sixty_thousand_sides_takes_no_time_and_a_longer_one_is_refused() {
    let zigzag = |sides: u32| {
        let point = |i| format!(" {} {}", i % 2 * 90, f64::from(i) * 0.001);
        in_svg(&format!("<path d='M-5 -5L{}L-5 100z'/>", (0..sides).map(point).collect::<String>()))
    };
    assert_eq!(try_read(&zigzag(60_000)).unwrap().found.len(), 1);
    refused(&zigzag(70_000), "more than 65536");
}

#[test]
fn other_files() {
    refused("<html><body/></html>", "'html', not svg");
    refused("<svg xmlns='http://example.org/else'/>", "not svg");
    refused("<svg", "not well-formed");
    refused("<!-- -->", "not well-formed");
    let error = read(b"<svg a='\xff'/>", "bad.svg", &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("not UTF-8"), "{error}");
}

#[test]
fn truncated_anywhere_is_an_error() {
    for name in ALL {
        let bytes = fixture(name);
        let whole = bytes.trim_ascii_end().len();
        for end in (0..whole).step_by(7) {
            let result = read(&bytes[..end], name, &ReadOptions::default());
            assert!(result.is_err(), "{name}: cut at {end}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Bytes of a fixture overwritten, dropped or doubled: any result will do, but one.
    #[test]
    fn damaged_files_end_in_a_result(
        which in 0..ALL.len(),
        cuts in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..4_u8), 1..12),
    ) {
        let mut bytes = fixture(ALL[which]);
        for (at, value, kind) in cuts {
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] = value,
                1 => drop(bytes.remove(at)),
                2 => bytes.insert(at, b"0123456789.-eE %'\"<>/zZMA"[usize::from(value) % 25]),
                _ => {
                    let end = (at + usize::from(value)).min(bytes.len());
                    let piece = bytes[at..end].to_vec();
                    bytes.splice(at..at, piece);
                }
            }
        }
        if let Ok(d) = read(&bytes, "bad.svg", &ReadOptions::default()) {
            prop_assert!(d.found.iter().all(|f| f.region.area() > 0.0));
        }
    }
}
