//! Bad job files: each problem with its place and its remedy.

use super::{Case, change, expect_one_problem, parse, parse_day, parse_text, sample};
use serde_json::{Value, json};
use tuckroll::Error;

#[track_caller]
fn check(cases: Vec<Case>) {
    for case in cases {
        let mut file = sample();
        change(&mut file, case.pointer, case.value.clone());
        expect_one_problem(parse(&file), &case);
    }
}

fn case(pointer: &'static str, value: Value, place: &'static str, says: &'static [&'static str]) -> Case {
    Case { pointer, value: Some(value), place, says }
}

fn missing(pointer: &'static str, place: &'static str, says: &'static [&'static str]) -> Case {
    Case { pointer, value: None, place, says }
}

/// Thinner than 40 tolerances nothing can be judged: about a thousandth of an inch on 24 inch film.
#[test]
fn a_part_too_thin_for_the_tolerance() {
    let sliver = |t: f64| json!([[1.1, 0], [3, 0], [3, t], [1.1, t]]);
    let pointer = "/panels/1/parts/1/outline";
    let place = "day.json: panels[1] (panel \"Größe 3/\\\"name\\\"\")";
    let says = &["near (2.050, 0.000) in", "0.000960 in", "tolerance of this film", "right unit"];
    check(vec![case(pointer, sliver(0.00095), place, says)]);
    let mut file = sample();
    change(&mut file, pointer, Some(sliver(0.00097)));
    assert!(parse(&file).is_ok(), "{:?}", parse(&file));
}

#[test]
fn head_and_roll() {
    check(vec![
        missing("/format", "day.json", &["`format` is missing", "\"format\": \"tuckroll-job-1\""]),
        case("/format", json!("tuckroll-job-2"), "day.json: format", &["tuckroll-job-1", "newer version"]),
        case("/format", json!("tuckroll-layout-1"), "day.json: format", &["this is a layout"]),
        case("/format", json!(1), "day.json: format", &["expected a string, found a number"]),
        missing("/name", "day.json", &["`name` is missing"]),
        case("/name", json!("a\u{1b}[2J"), "day.json: name", &["control character"]),
        missing("/unit", "day.json", &["`unit` is missing"]),
        case("/unit", json!("cm"), "day.json: unit", &["cm", "`mm`", "`in`"]),
        missing("/gap", "day.json", &["`gap` is missing"]),
        case("/gap", json!(-0.1), "day.json: gap", &["below 0"]),
        case("/notes", json!([]), "day.json: notes", &["expected an object, found a list"]),
        case("/source", json!(null), "day.json: source", &["found null", "leave out"]),
        missing("/roll", "day.json", &["`roll` is missing"]),
        missing("/roll/width", "day.json: roll", &["`width` is missing"]),
        case("/roll/width", json!(0), "day.json: roll.width", &["not above 0"]),
        case(
            "/roll/width",
            json!("24"),
            "day.json: roll.width",
            &["finite number, found a string", "without quotes"],
        ),
        case("/roll/width", json!(1e6), "day.json: roll.width", &["beyond 10 km", "check the unit"]),
        case(
            "/roll/edge_margin",
            json!([1]),
            "day.json: roll.edge_margin",
            &["list of 1", "[at y = 0, at y = width]"],
        ),
        case("/roll/edge_margin", json!([1, -1]), "day.json: roll.edge_margin[1]", &["below 0"]),
        case(
            "/roll/edge_margin",
            json!(12),
            "day.json: roll",
            &["edge margins", "leave nothing", "check the margins"],
        ),
        case("/roll/lead_margin", json!(-1), "day.json: roll.lead_margin", &["below 0"]),
        case("/roll/length", json!(0), "day.json: roll.length", &["not above 0"]),
        case("/roll/flaws/0", json!([[0, 0], [1, 1]]), "day.json: roll.flaws[0]", &["fewer than three"]),
        case(
            "/roll/lenght",
            json!(1),
            "day.json: roll.lenght",
            &["unknown key", "`length`", "newer version"],
        ),
        case("/colour", json!(1), "day.json: colour", &["unknown key", "newer version"]),
        case("/a\u{7}b", json!(1), "day.json: \"a\\u{7}b\"", &["unknown key"]),
        case("/kits", json!([]), "day.json: kits", &["no kits"]),
        case("/kits/0/copies", json!(0), "day.json: kits[0].copies", &["0 copies"]),
        case("/kits/0/id", json!("a\u{7}b"), "day.json: kits[0].id", &["control character"]),
        case("/kits/0/file", json!("plates.svg"), "plates.svg: line 1, column 1", &["expected value"]),
        case("/films", json!("plates.svg"), "plates.svg: line 1, column 1", &["expected value"]),
    ]);
}

/// The sample on two pieces of film.
fn on_rolls() -> Value {
    let mut file = sample();
    change(&mut file, "/roll", None);
    let price = json!({"amount": "2", "per": "yd"});
    let rolls = json!([{"id": "a", "width": 24, "film": "white", "price": price}, {"id": "b", "width": 12, "film": "white", "price": price}]);
    change(&mut file, "/rolls", Some(rolls));
    file
}

#[test]
fn pieces_of_film() {
    for case in [
        case("/rolls", json!([]), "day.json: rolls", &["no pieces of film"]),
        missing("/rolls/0/id", "day.json: rolls[0]", &["no `id`", "folder"]),
        case("/rolls/1/id", json!("A"), "day.json: rolls[1].id", &["rolls[0]", "capital letters"]),
        case(
            "/rolls/0/id",
            json!("../up"),
            "day.json: rolls[0].id (roll \"../up\")",
            &["cannot name a folder", "letters, digits"],
        ),
        case("/rolls/0/id", json!("nul"), "day.json: rolls[0].id (roll \"nul\")", &["device"]),
        case(
            "/rolls/0/id",
            json!("Summary.json"),
            "day.json: rolls[0].id (roll \"Summary.json\")",
            &["a file of the result"],
        ),
        missing("/rolls/1/price", "day.json: rolls[1]", &["price of the film is missing", "amount \"0\""]),
        case(
            "/rolls/0/price/amount",
            json!(2),
            "day.json: rolls[0].price.amount (roll \"a\")",
            &["as a string", "\"2\""],
        ),
        case(
            "/rolls/0/price/amount",
            json!("2,5"),
            "day.json: rolls[0].price.amount (roll \"a\")",
            &["comma", "point"],
        ),
        case(
            "/rolls/0/price/amount",
            json!("-1"),
            "day.json: rolls[0].price.amount (roll \"a\")",
            &["below 0"],
        ),
        case(
            "/rolls/0/price/per",
            json!("mile"),
            "day.json: rolls[0].price.per (roll \"a\")",
            &["mile", "`yd2`"],
        ),
        case(
            "/panels/0/film",
            json!("whte"),
            "day.json",
            &["panel \"fin\"", "no piece of film \"whte\"", "did you mean \"white\"?"],
        ),
        case("/roll", json!({"width": 24}), "day.json", &["`roll` and `rolls`", "one of"]),
    ] {
        let mut file = on_rolls();
        change(&mut file, case.pointer, case.value.clone());
        expect_one_problem(parse_day(&file), &case);
    }
    assert!(parse_day(&on_rolls()).is_ok());
    let mut file = on_rolls();
    change(&mut file, "/rolls/1/film", Some(json!("black")));
    let e = parse_day(&file).unwrap_err().to_string();
    assert!(e.contains("names no film") && e.contains("black, white"), "{e}");
    // Where one roll is wanted.
    let e = parse(&on_rolls()).unwrap_err().to_string();
    assert!(e.contains("several pieces of film") && e.contains("tuckroll nest"), "{e}");
}

#[test]
fn money_and_offcuts() {
    check(vec![
        missing("/roll/price", "day.json: roll", &["price of the film is missing", "leave out `rates`"]),
        case("/rates/decimals", json!(5), "day.json: rates.decimals", &["4 are the most"]),
        case("/rates/waste", json!("fair"), "day.json: rates.waste", &["fair", "`area`", "`box`"]),
        case("/rates/currency", json!("gold doubloons"), "day.json: rates.currency", &["12 characters"]),
        case("/rates/ink/per", json!("m"), "day.json: rates.ink", &["charged by area", "m2"]),
        case(
            "/rates/labour/per_hour",
            json!("1e3"),
            "day.json: rates.labour.per_hour",
            &["no price", "\"4.20\""],
        ),
        case(
            "/rates/labour/minutes_per_job",
            json!(-1),
            "day.json: rates.labour.minutes_per_job",
            &["-1 minutes"],
        ),
        case("/rates/inks", json!(1), "day.json: rates.inks", &["unknown key", "`ink`"]),
        missing("/keep/width", "day.json: keep", &["`width` is missing"]),
        case("/keep/length", json!(0), "day.json: keep.length", &["not above 0"]),
        case(
            "/panels/1/priority",
            json!(0),
            "day.json: panels[1].priority (panel \"Größe 3/\\\"name\\\"\")",
            &["1 is the most urgent"],
        ),
        case("/kits/0/priority", json!(1.5), "day.json: kits[0].priority", &["not a whole number"]),
        case("/roll/film", json!("black"), "day.json", &["no piece of film \"white\""]),
    ]);
}

#[test]
fn stock_files() {
    let with = |stock: Value| {
        let mut file = sample();
        change(&mut file, "/roll", None);
        change(&mut file, "/stock", Some(json!("stock.json")));
        let files = |name: &str| {
            let text = match name {
                "stock.json" => stock.to_string(),
                "kit.json" => super::KIT.into(),
                "films.json" => super::FILMS.into(),
                _ => super::PLATES.into(),
            };
            Ok(text.into_bytes())
        };
        tuckroll::job::parse_day(file.to_string().as_bytes(), "day.json", &files, &Default::default())
    };
    let good: Value = serde_json::from_str(super::STOCK).unwrap();
    let day = with(good.clone()).unwrap().day;
    assert!(day.several && day.rolls.len() == 2);
    assert_eq!(day.shop.keep.unwrap().length, 8.0, "the job's own comes before the stock's");
    let said = |pointer: &str, value: Option<Value>| {
        let mut stock = good.clone();
        change(&mut stock, pointer, value);
        with(stock).unwrap_err().to_string()
    };
    for (pointer, value, words) in [
        ("/unit", Some(json!("mm")), "in one unit"),
        ("/rolls", Some(json!([])), "no film in"),
        ("/format", Some(json!("tuckroll-job-1")), "stock.json: format"),
        ("/cut/0/layout", None, "stock.json: cut[0]"),
        ("/rolls/0/id", Some(json!("a/b")), "stock.json: rolls[0].id"),
    ] {
        let e = said(pointer, value);
        assert!(e.contains(words), "no {words} in {e}");
    }
}

#[test]
fn a_job_has_panels_or_kits() {
    let mut file = sample();
    for none in [Some(json!([])), None] {
        change(&mut file, "/panels", none);
        assert!(parse(&file).is_ok());
    }
    change(&mut file, "/kits", None);
    let none = case("/panels", json!([]), "day.json: panels", &["no panels"]);
    change(&mut file, none.pointer, none.value.clone());
    expect_one_problem(parse(&file), &none);
    change(&mut file, "/panels", None);
    expect_one_problem(parse(&file), &missing("/panels", "day.json", &["`panels` is missing"]));
}

#[test]
fn panels() {
    check(vec![
        case("/panels/0", json!(7), "day.json: panels[0]", &["expected an object"]),
        missing("/panels/0/id", "day.json: panels[0]", &["`id` is missing"]),
        case("/panels/0/id", json!(""), "day.json: panels[0].id (panel \"\")", &["empty", "printable"]),
        case("/panels/0/id", json!(" a"), "day.json: panels[0].id (panel \" a\")", &["space"]),
        case(
            "/panels/0/id",
            json!("a\nb"),
            "day.json: panels[0].id (panel \"a\\nb\")",
            &["control character"],
        ),
        case(
            "/panels/0/id",
            json!("a\u{202e}b"),
            "day.json: panels[0].id (panel \"a\\u{202e}b\")",
            &["invisible"],
        ),
        case(
            "/panels/1/id",
            json!("fin"),
            "day.json: panels[1].id",
            &["used by panels[0]", "an id of its own"],
        ),
        case("/panels/1/id", json!("plate/2"), "day.json: panels[2].id", &["used by panels[1]"]),
        // Three, two, two and one of panels, and the orders of the kit.
        case("/kits/0/copies", json!(99_998), "day.json: panels", &[": 100006 copies in all", "100000"]),
        // Where there is too much on the film as well, kits are not looked at any more.
        case(
            "/panels/0/copies",
            json!(99_999),
            "day.json: panels",
            &["more than 100004 copies in all", "100000"],
        ),
    ]);
    let id = "x".repeat(201);
    let mut file = sample();
    change(&mut file, "/panels/0/id", Some(json!(id)));
    assert!(parse(&file).unwrap_err().to_string().contains("more than 200 characters"));
}

#[test]
fn keys_of_a_panel() {
    check(vec![
        case("/panels/0/kit", json!(""), "day.json: panels[0].kit (panel \"fin\")", &["empty"]),
        case(
            "/panels/0/lines/0/copy",
            json!(4),
            "day.json: panels[0].lines[0].copy (panel \"fin\")",
            &["a line of copy 4, and there are 3"],
        ),
        case(
            "/panels/1/numbers/copies",
            json!([5, 2]),
            "day.json: panels[1].numbers.copies (panel \"Größe 3/\\\"name\\\"\")",
            &["not the numbers of 2 of 5 copies"],
        ),
        case(
            "/panels/0/copies",
            json!(0),
            "day.json: panels[0].copies (panel \"fin\")",
            &["0 copies", "leave out"],
        ),
        case(
            "/panels/0/copies",
            json!(1.5),
            "day.json: panels[0].copies (panel \"fin\")",
            &["not a whole number"],
        ),
        case(
            "/panels/0/copies",
            json!(-1),
            "day.json: panels[0].copies (panel \"fin\")",
            &["not a whole number"],
        ),
        case(
            "/panels/0/copies",
            json!(1e9),
            "day.json: panels[0].copies (panel \"fin\")",
            &["100000", "split"],
        ),
        case(
            "/panels/0/copies",
            json!("3"),
            "day.json: panels[0].copies (panel \"fin\")",
            &["found a string"],
        ),
        case("/panels/0/mirror", json!(1), "day.json: panels[0].mirror (panel \"fin\")", &["true or false"]),
        case(
            "/panels/0/keep_clear",
            json!("box"),
            "day.json: panels[0].keep_clear (panel \"fin\")",
            &["`hull`"],
        ),
        case(
            "/panels/0/grain/rule",
            json!("any"),
            "day.json: panels[0].grain.rule (panel \"fin\")",
            &["`free`"],
        ),
        case(
            "/panels/0/grain/slack",
            json!(45.5),
            "day.json: panels[0].grain.slack (panel \"fin\")",
            &["0 to 45"],
        ),
        case(
            "/panels/0/grain/slack",
            json!(-1),
            "day.json: panels[0].grain.slack (panel \"fin\")",
            &["0 to 45"],
        ),
        case(
            "/panels/0/grain/along",
            json!(1e30),
            "day.json: panels[0].grain.along (panel \"fin\")",
            &["-360 to 360"],
        ),
        case(
            "/panels/0/grain/angle",
            json!(1),
            "day.json: panels[0].grain.angle (panel \"fin\")",
            &["unknown key"],
        ),
        case(
            "/panels/0/copie",
            json!(1),
            "day.json: panels[0].copie (panel \"fin\")",
            &["mean `copies`", "newer"],
        ),
        case("/panels/0/layer", json!("x"), "day.json: panels[0].layer (panel \"fin\")", &["no `file`"]),
        case(
            "/panels/0/lines/0/role",
            json!("fold"),
            "day.json: panels[0].lines[0].role (panel \"fin\")",
            &["`draw`"],
        ),
        case(
            "/panels/0/lines/0/points",
            json!([[1, 2]]),
            "day.json: panels[0].lines[0].points (panel \"fin\")",
            &["two"],
        ),
        case(
            "/panels/2/pick",
            json!([]),
            "day.json: panels[2].pick (panel \"plate\")",
            &["`tuckroll outlines`"],
        ),
    ]);
}

#[test]
fn shapes() {
    let outline = "day.json: panels[0].outline (panel \"fin\")";
    let holes = "day.json: panels[0].holes (panel \"fin\")";
    check(vec![
        missing(
            "/panels/1/parts",
            "day.json: panels[1] (panel \"Größe 3/\\\"name\\\"\")",
            &["no shape", "`file`"],
        ),
        case(
            "/panels/3/parts",
            json!([]),
            "day.json: panels[3] (panel \"lid\")",
            &["several shapes", "one of"],
        ),
        case(
            "/panels/0/outline/1",
            json!([1]),
            "day.json: panels[0].outline[1] (panel \"fin\")",
            &["[x, y]"],
        ),
        case(
            "/panels/0/outline/1/0",
            json!(null),
            "day.json: panels[0].outline[1][0] (panel \"fin\")",
            &["found null"],
        ),
        case(
            "/panels/0/outline/1/1",
            json!(1e12),
            "day.json: panels[0].outline[1][1] (panel \"fin\")",
            &["beyond 10 km"],
        ),
        case("/panels/0/outline", json!([[0, 0], [1, 1], [0, 0]]), outline, &["three", "corners"]),
        case("/panels/0/outline", json!([[0, 0], [1, 1], [2, 2], [3, 3]]), outline, &["one line", "area"]),
        case(
            "/panels/0/outline",
            json!([[0, 0], [4, 2], [4, 0], [0, 2]]),
            outline,
            &["crosses", "points [0] and [2]", "near (2, 1) in", "`parts`"],
        ),
        case("/panels/0/holes/0", json!([[9, 9], [10, 9], [10, 10]]), holes, &["hole [0] is not inside"]),
        case(
            "/panels/0/holes/1",
            json!([[1.6, 1], [2, 1], [2, 1.4]]),
            holes,
            &["[0] and [1] overlap", "apart"],
        ),
        case(
            "/panels/0/holes/0",
            json!([[1, 1], [2, 2]]),
            "day.json: panels[0].holes[0] (panel \"fin\")",
            &["three"],
        ),
        case(
            "/panels/1/parts/1/outline",
            json!([[0.5, 0.1], [2, 0.1], [2, 0.2]]),
            "day.json: panels[1].parts (panel \"Größe 3/\\\"name\\\"\")",
            &["[0] and [1] overlap", "one outline"],
        ),
        case(
            "/panels/1/holes",
            json!([]),
            "day.json: panels[1].holes (panel \"Größe 3/\\\"name\\\"\")",
            &["without an outline", "inside each part"],
        ),
    ]);
}

#[test]
fn too_many_points_are_counted_before_they_are_compared() {
    let points: Vec<[f64; 2]> = (0..20_001).map(|i| [f64::from(i), f64::from(i % 7)]).collect();
    let place = "day.json: panels[0].outline (panel \"fin\")";
    let mut file = sample();
    change(&mut file, "/panels/0/outline", Some(json!(points)));
    expect_one_problem(parse(&file), &case("", json!(0), place, &["20001 points", "20000 are the most"]));
}

#[test]
fn fillers_alone_are_no_job() {
    let mut file = sample();
    change(&mut file, "/kits", None);
    for pointer in ["/panels/0/optional", "/panels/2/optional", "/panels/3/optional"] {
        change(&mut file, pointer, Some(json!(true)));
    }
    expect_one_problem(parse(&file), &case("", json!(0), "day.json: panels", &["every panel is optional"]));
}

#[test]
fn all_problems_of_a_file_come_at_once_in_its_order() {
    let mut file = sample();
    for (pointer, value) in [
        ("/gap", json!(-1)),
        ("/roll/width", json!(0)),
        ("/panels/0/copies", json!(0)),
        ("/panels/0/outline/0/0", json!("x")),
        ("/panels/1/colour", json!(1)),
        ("/panels/3/file", json!(3)),
    ] {
        change(&mut file, pointer, Some(value));
    }
    let Err(Error::Input(problems)) = parse(&file) else { panic!() };
    let places: Vec<&str> = problems.0.iter().map(|p| p.place.as_str()).collect();
    assert_eq!(
        places,
        [
            "day.json: roll.width",
            "day.json: gap",
            "day.json: panels[0].copies (panel \"fin\")",
            "day.json: panels[0].outline[0][0] (panel \"fin\")",
            "day.json: panels[1].colour (panel \"Größe 3/\\\"name\\\"\")",
            "day.json: panels[3].file (panel \"lid\")",
        ]
    );
}

#[test]
fn a_flood_of_problems_is_counted() {
    let mut file = sample();
    change(&mut file, "/panels/0/outline", Some(json!(vec![json!(null); 5000])));
    let Err(Error::Input(problems)) = parse(&file) else { panic!() };
    assert_eq!(problems.0.len(), 51);
    assert!(problems.to_string().contains("4950 more problems"), "{problems}");
}

#[test]
fn files_that_are_no_job() {
    for (text, says) in [
        ("", "empty"),
        ("[]", "expected an object, found a list"),
        ("{\"format\": \"tuckroll-job-1\", \"gap\": NaN}", "line 1, column 37"),
        ("{\"format\": \"tuckroll-job-1\", \"gap\": 1e400}", "out of range"),
        ("{\"gap\": 1, \"gap\": 2}", "\"gap\" is written twice"),
        ("  0\nSECTION\n", "line 2"),
    ] {
        let e = parse_text(text).unwrap_err();
        assert!(e.exit_code() == 2 && e.to_string().contains(says), "{e}");
    }
}
