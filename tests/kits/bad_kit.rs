//! Every bad kit is refused with part, field and remedy, or doubted aloud.

use super::parse;
use serde_json::{Value, json};
use tuckroll::job::kits::{Films, KitOptions, parse_kit};

fn kit(part: Value) -> Value {
    let mut part = part;
    let fields = part.as_object_mut().unwrap();
    fields.entry("id").or_insert_with(|| "p".into());
    json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm", "parts": [part]})
}

fn nose(extra: Value) -> Value {
    let mut part = json!({"kind": "nose", "profile": "ogive", "diameter": 60, "length": 240, "gores": 6});
    for (key, value) in extra.as_object().unwrap() {
        if value.is_null() {
            part.as_object_mut().unwrap().remove(key);
        } else {
            part[key] = value.clone();
        }
    }
    kit(part)
}

/// Checks that the one problem stands at `place` and says `words`.
#[track_caller]
fn refused(kit: &Value, place: &str, words: &[&str]) {
    let e = parse(kit, &KitOptions::default()).expect_err(place);
    let text = e.to_string();
    assert!(text.starts_with(&format!("kit.json: {place}")), "{place}: {text}");
    assert_eq!(text.lines().count(), 1, "{text}");
    for word in words {
        assert!(text.contains(word), "no {word:?} in {text}");
    }
}

#[test]
fn dimensions_of_noses() {
    refused(&nose(json!({"length": 0})), "parts[0].length (part \"p\")", &["not above 0"]);
    refused(&nose(json!({"length": -3})), "parts[0].length", &["not above 0"]);
    refused(&nose(json!({"diameter": null})), "parts[0] (part \"p\")", &["`diameter`", "`circumference`"]);
    refused(&nose(json!({"circumference": 188})), "parts[0].circumference", &["both given"]);
    refused(&nose(json!({"tip": {"length": 240}})), "parts[0].tip.length", &["as long as the nose"]);
    refused(&nose(json!({"tip": {"length": 300}})), "parts[0].tip.length", &["as long as the nose"]);
    refused(&nose(json!({"tip": {"diameter": 60}})), "parts[0].tip.diameter", &["as wide as its base"]);
    refused(&nose(json!({"tip": {"radius": 30}})), "parts[0].tip.radius", &["as wide as the base"]);
    refused(&nose(json!({"tip": {"radius": 3, "length": 3}})), "parts[0].tip", &["one of"]);
    refused(
        &nose(json!({"profile": {"shape": "haack", "c": 1.5}})),
        "parts[0].profile.c",
        &["between 0 and 1"],
    );
    refused(&nose(json!({"profile": {"shape": "haack"}})), "parts[0].profile", &["`c` is missing"]);
    refused(&nose(json!({"profile": "haack"})), "parts[0].profile", &["needs a number", "\"c\""]);
    refused(&nose(json!({"profile": "spike"})), "parts[0].profile", &["unknown word", "elliptical"]);
    refused(
        &nose(json!({"profile": {"shape": "secant-ogive", "radius": 100}})),
        "parts[0].profile.radius",
        &["must be more than"],
    );
    refused(&nose(json!({"balance": 2})), "parts[0].balance", &["between 0 and 1"]);
    refused(&nose(json!({"gores": 0})), "parts[0].gores", &["0 pieces"]);
    refused(&nose(json!({"gores": "many"})), "parts[0].gores", &["\"auto\""]);
    refused(&nose(json!({"fore": {"trim": 3}})), "parts[0].fore", &["closed tip"]);
    refused(&nose(json!({"aft": {"trim": 3, "fold": 3}})), "parts[0].aft", &["beside"]);
    refused(&nose(json!({"seams": {"overlap": 20}})), "parts[0].seams.overlap", &["more than half"]);
    refused(&nose(json!({"wings": 2})), "parts[0].wings", &["unknown key"]);
    refused(&nose(json!({"id": "a/b"})), "parts[0].id", &["slash"]);
    refused(&nose(json!({"film": "kast"})), "parts[0].film", &["\"cast\""]);
}

#[test]
fn measured_profiles() {
    let with = |points: Value| {
        let profile =
            json!({"shape": "measured", "stations": "surface", "widths": "diameter", "points": points});
        nose(json!({"profile": profile, "diameter": null, "length": null}))
    };
    assert!(parse(&with(json!([[0, 0], [40, 30], [90, 60], [160, 66]])), &KitOptions::default()).is_ok());
    refused(
        &with(json!([[0, 0], [90, 30], [40, 60]])),
        "parts[0].profile.points",
        &["station 3", "in order"],
    );
    refused(&with(json!([[0, 0], [10, 30]])), "parts[0].profile.points", &["station 2", "\"axis\""]);
    refused(&with(json!([[0, 0]])), "parts[0].profile.points", &["fewer than two"]);
    let mut both = with(json!([[0, 0], [40, 30]]));
    both["parts"][0]["length"] = json!(30);
    refused(&both, "parts[0].length", &["measured profile says this itself"]);
}

#[test]
fn tubes_transitions_fins() {
    let tube = |extra: Value| {
        let mut part = json!({"kind": "tube", "diameter": 60, "length": 100});
        part.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        kit(part)
    };
    refused(&tube(json!({"seam_angle": 80})), "parts[0].seam_angle", &["75"]);
    refused(&tube(json!({"with_next": true})), "parts[0].with_next", &["no tube"]);
    refused(&tube(json!({"aft": {"cut": {"angle": 80}}})), "parts[0].aft.cut.angle", &["75"]);
    refused(
        &tube(json!({"aft": {"cut": {"angle": 70}}, "fore": {"cut": {"angle": 70}}})),
        "parts[0].length",
        &["meet"],
    );
    refused(&tube(json!({"aft": {"fold": 40}})), "parts[0].aft.fold", &["meet in the middle"]);
    let fin = |planform: Value, extra: Value| {
        let mut part = json!({"kind": "fin", "count": 3, "planform": planform});
        part.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        kit(part)
    };
    let swept = || json!({"shape": "trapezoid", "root": 80, "tip": 30, "span": 50, "sweep": 20});
    refused(&fin(swept(), json!({"count": 0})), "parts[0].count", &["0 copies"]);
    refused(&fin(swept(), json!({"set_back": 30})), "parts[0].set_back", &["smaller set-back"]);
    refused(&fin(swept(), json!({"set_back": 3, "wrap": 3})), "parts[0].set_back", &["beside `wrap`"]);
    refused(&fin(swept(), json!({"wrap_first": "left"})), "parts[0].wrap_first", &["without `wrap`"]);
    refused(
        &fin(json!({"shape": "polygon", "points": [[0, 0], [50, 5], [20, 40]]}), json!({})),
        "parts[0].planform.points",
        &["y = 0"],
    );
    refused(
        &kit(json!({"kind": "transition", "fore_diameter": 20, "aft_diameter": 40, "length": 0})),
        "parts[0].length",
        &["not above 0"],
    );
}

/// No film reaches over a joint that comes apart: from neither side, and only body parts have one.
#[test]
fn joints_that_come_apart_in_flight() {
    let body = |nose: Value, tube: Value| {
        let mut n = json!({"id": "n", "kind": "nose", "profile": "ogive", "diameter": 60, "length": 240, "separates": true});
        let mut t = json!({"id": "t", "kind": "tube", "diameter": 60, "length": 300});
        n.as_object_mut().unwrap().extend(nose.as_object().unwrap().clone());
        t.as_object_mut().unwrap().extend(tube.as_object().unwrap().clone());
        json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm", "parts": [n, t]})
    };
    refused(
        &body(json!({"aft": {"reach": 4}}), json!({})),
        "parts[0].aft.reach (part \"n\")",
        &["would bridge the joint behind \"n\"", "leave out `reach`"],
    );
    refused(
        &body(json!({}), json!({"fore": {"reach": 2}})),
        "parts[1].fore.reach (part \"t\")",
        &["would bridge"],
    );
    // What is trimmed flush, or folded into the part's own end, bridges nothing.
    let flush = body(json!({"aft": {"trim": 5}}), json!({"fore": {"trim": 5}, "aft": {"fold": 4}}));
    assert!(parse(&flush, &KitOptions::default()).is_ok());
    // At a joint that stays together film may reach over.
    let mut glued = body(json!({"aft": {"reach": 4}}), json!({}));
    glued["parts"][0]["separates"] = json!(false);
    assert!(parse(&glued, &KitOptions::default()).is_ok());
    // Nor behind a part that is shorter than the film reaches, from either side.
    let band = |a: Value, b: Value, c: Value| {
        let mut parts = [("a", 200), ("band", 40), ("c", 300)]
            .map(|(id, length)| json!({"id": id, "kind": "tube", "diameter": 66, "length": length}));
        for (part, extra) in parts.iter_mut().zip([a, b, c]) {
            part.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        }
        json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm", "parts": parts})
    };
    let parting = || json!({"separates": true});
    refused(
        &band(json!({"aft": {"reach": 60}}), parting(), json!({})),
        "parts[0].aft.reach (part \"a\")",
        &["would bridge the joint behind \"band\"", "40.0 mm of `reach` are the most"],
    );
    refused(
        &band(parting(), json!({}), json!({"fore": {"reach": 60}})),
        "parts[2].fore.reach (part \"c\")",
        &["would bridge the joint behind \"a\"", "40.0 mm"],
    );
    for whole in [
        band(json!({"aft": {"reach": 40}}), parting(), json!({})),
        band(parting(), json!({}), json!({"fore": {"reach": 40}})),
    ] {
        assert!(parse(&whole, &KitOptions::default()).is_ok());
    }
    let fin = json!({"kind": "fin", "count": 3, "separates": true,
        "planform": {"shape": "elliptical", "root": 60, "span": 40}});
    refused(&kit(fin), "parts[0].separates (part \"p\")", &["nose, tube or transition"]);
}

/// What a tube says that another one's wrap covers is not dropped without a word.
#[test]
fn settings_under_a_wrap() {
    let wrap = |a: Value, b: Value| {
        let mut first = json!({"id": "a", "kind": "tube", "diameter": 66, "length": 200, "with_next": true});
        let mut next = json!({"id": "b", "kind": "tube", "diameter": 66, "length": 100});
        first.as_object_mut().unwrap().extend(a.as_object().unwrap().clone());
        next.as_object_mut().unwrap().extend(b.as_object().unwrap().clone());
        json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm", "film": "cast", "parts": [first, next]})
    };
    for (key, value) in [
        ("film", json!("calendered-monomeric")),
        ("pieces", json!(2)),
        ("seam_angle", json!(20)),
        ("seams", json!({"front": 180})),
        ("grain", json!({"rule": "two-way"})),
        ("spares", json!(1)),
        ("fore", json!({"cut": {"angle": 20}})),
    ] {
        refused(
            &wrap(json!({}), json!({key: value})),
            &format!("parts[1].{key} (part \"b\")"),
            &["one wrap covers \"a\" and \"b\"", "write it at \"a\""],
        );
    }
    refused(
        &wrap(json!({"aft": {"trim": 3}}), json!({})),
        "parts[0].aft (part \"a\")",
        &["write it at \"b\""],
    );
    // What says the same, or what is meant for the whole wrap, is read.
    let same = json!({"film": "cast", "pieces": 2});
    let whole = wrap(json!({"pieces": 2, "fore": {"trim": 3}}), same);
    assert!(parse(&whole, &KitOptions::default()).is_ok());
    assert!(parse(&wrap(json!({}), json!({"aft": {"reach": 3}})), &KitOptions::default()).is_ok());
}

#[test]
fn all_problems_come_at_once() {
    let mut file = nose(json!({"length": -1, "tip": {"radius": -2}, "seams": {"overlap": -1, "lap": "two"}}));
    file["unit"] = json!("cm");
    let e = parse(&file, &KitOptions::default()).unwrap_err().to_string();
    assert_eq!(e.lines().count(), 5, "{e}");
}

/// What film can do: the limits of the shipped cast film; a dome in two gores is beyond them.
#[test]
fn film_that_will_not_lie_down_stops_the_kit() {
    let dome = nose(json!({"profile": "elliptical", "length": 30, "gores": 2}));
    let e = parse(&dome, &KitOptions::default()).unwrap_err();
    assert_eq!(e.exit_code(), 1);
    assert!(e.to_string().contains("will not lie down (use 7 or more"), "{e}");
    let warm = nose(json!({"profile": "elliptical", "length": 30, "gores": 6}));
    let made = parse(&warm, &KitOptions::default()).unwrap();
    assert!(made.warnings.iter().any(|w| w.what.contains("needs heat")), "{:?}", made.warnings);
    // No number of gores of a film for flat surfaces covers a dome on a narrow roll.
    let mut stiff = nose(json!({"profile": "elliptical", "length": 30, "gores": "auto"}));
    stiff["film"] = json!("calendered-monomeric");
    let e = parse(&stiff, &KitOptions::default()).unwrap_err();
    assert!(e.exit_code() == 1 && e.to_string().contains("in any number of pieces"), "{e}");
}

#[test]
fn gores_that_cannot_fit_the_roll_at_any_number() {
    let narrow = KitOptions { width: Some(9.0), ..KitOptions::default() };
    let e = parse(&nose(json!({"gores": "auto"})), &narrow).unwrap_err();
    assert!(e.exit_code() == 1 && e.to_string().contains("the film has 9.0 mm"), "{e}");
    // Who has said "auto" is not told to say it.
    assert!(e.to_string().contains("no number of pieces fits") && !e.to_string().contains("auto"), "{e}");
}

#[test]
fn doubts_about_units_and_circumferences() {
    let doubt = |file: &Value, word: &str| {
        let made = parse(file, &KitOptions::default()).unwrap();
        assert!(made.warnings.iter().any(|w| w.to_string().contains(word)), "{word}: {:?}", made.warnings);
    };
    doubt(&nose(json!({"diameter": 262, "length": 240})), "circumference typed as a diameter");
    doubt(&nose(json!({"diameter": 2.6, "length": 10, "seams": {"overlap": 0.2}})), "inches typed as mm");
    // The doubt is told where it is the reason of a failure, too.
    let e = parse(&nose(json!({"diameter": 2.6, "length": 10})), &KitOptions::default()).unwrap_err();
    assert!(e.to_string().contains("more than half") && e.to_string().contains("inches typed as mm"), "{e}");
    let mut long = nose(json!({"diameter": 66, "length": 410}));
    long["unit"] = json!("in");
    doubt(&long, "mm read as inches");
    let mut fins = nose(json!({}));
    fins["parts"].as_array_mut().unwrap().push(json!({"id": "fin", "kind": "fin", "count": 3,
        "planform": {"shape": "trapezoid", "root": 700, "tip": 30, "span": 50, "sweep": 20}}));
    doubt(&fins, "a fin of 700.0");
    // A kit of nothing but fins is as large as its largest fin.
    let fins_only = |root: f64, span: f64| {
        kit(
            json!({"kind": "fin", "count": 3, "planform": {"shape": "elliptical", "root": root, "span": span}}),
        )
    };
    doubt(&fins_only(3.5, 2.0), "inches typed as mm");
    doubt(&fins_only(12_000.0, 2000.0), "mm read as inches");
    assert_eq!(parse(&fins_only(90.0, 60.0), &KitOptions::default()).unwrap().warnings, []);
    let mut joint = nose(json!({"length": 900}));
    joint["parts"]
        .as_array_mut()
        .unwrap()
        .push(json!({"id": "body", "kind": "tube", "diameter": 188.5, "length": 400}));
    doubt(&joint, "circumference typed as a diameter");
}

#[test]
fn a_library_of_ones_own_sets_the_limits() {
    let text = r#"{"format": "tuckroll-films-1", "films": [
        {"id": "stiff", "max_stretch": {"warn": 0.5, "stop": 1}, "max_shrink": {"warn": 0.5, "stop": 1}}]}"#;
    let films = Films::parse(text.as_bytes(), "films.json").unwrap();
    let auto = nose(json!({"gores": "auto"}));
    let copies = |films: Option<&Films>| {
        let options = KitOptions { films, ..KitOptions::default() };
        parse(&auto, &options).unwrap().panels[0].copies
    };
    assert!(copies(Some(&films)) > copies(None));
}

#[test]
fn plates_of_a_drawing_are_counted_before_they_are_made() {
    let squares: String =
        (0..20_000).map(|i| format!("M{} {}h1v1h-1z", 2 * (i % 400), 2 * (i / 400))).collect();
    let drawing = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='900mm' height='900mm' viewBox='0 0 900 900'>\
         <path d='{squares}'/></svg>"
    );
    let files = |_: &str| Ok(drawing.clone().into_bytes());
    let plate = kit(json!({"kind": "plate", "file": "a.svg", "all": true, "copies": 4, "spares": 2}));
    let e = parse_kit(plate.to_string().as_bytes(), "kit.json", &files, &KitOptions::default()).unwrap_err();
    let expected =
        "kit.json: parts[0].file (part \"p\"): 120000 copies in all; 100000 are the most (split the job)";
    assert_eq!(e.to_string(), expected);
}
