//! The files beside a job or kit that is judged: drawings, kits, a film library, stocks.

use tuckroll::Error;

macro_rules! file {
    ($name:literal, $path:literal) => {
        ($name, include_bytes!(concat!("../../../", $path)).as_slice())
    };
}

/// Small ones, so that it is their use that is tried and not their reading.
const FILES: [(&str, &[u8]); 12] = [
    file!("badge.svg", "fixtures/kits/badge.svg"),
    file!("shapes.svg", "fixtures/svg/shapes.svg"),
    file!("lines.dxf", "fixtures/dxf/lines-R12-asc.dxf"),
    file!("curves.dxf", "fixtures/dxf/curves-R2013-bin.dxf"),
    file!("fins.dxf", "fixtures/demo/moon-fins.dxf"),
    file!("plate.json", "fixtures/kits/plate.json"),
    file!("tube.json", "fixtures/kits/tube.json"),
    file!("wren.json", "fixtures/films/wren.json"),
    file!("pebble.json", "fixtures/films/pebble.json"),
    file!("films.json", "src/job/kits/films.json"),
    file!("stock.json", "tests/fuzz/seeds/stock/day.json"),
    file!("inches.json", "tests/fuzz/seeds/stock/rules.json"),
];

/// The file of this name, the same in every folder.
pub fn beside(name: &str) -> Result<Vec<u8>, Error> {
    let last = name.rsplit('/').next().unwrap_or_default();
    match FILES.iter().find(|(n, _)| *n == last) {
        Some((_, bytes)) => Ok(bytes.to_vec()),
        None => Err(Error::input("", format!("there is no file {name}"), "name another")),
    }
}
