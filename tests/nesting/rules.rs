//! One rule at a time, on jobs so small that the shortest layout is found by hand.

use super::{heading, is_long, job_text, lay, on_100, parse, rectangle, solve, solve_in, with};
use serde_json::{Value, json};
use tuckroll::layout::{Layout, Placement};

/// An L that is not like itself at any other heading.
fn hook(id: &str) -> Value {
    json!({"id": id, "outline": [[0, 0], [40, 0], [40, 12], [12, 12], [12, 30], [0, 30]]})
}

/// A square frame of side 100 with a square hole of side 60 in its middle.
fn frame() -> Value {
    with(rectangle("frame", 100.0, 100.0), json!({"holes": [[[20, 20], [80, 20], [80, 80], [20, 80]]]}))
}

#[test]
fn panels_of_a_match_group_share_one_heading_within_their_kit() {
    let mut panels = Vec::new();
    for kit in ["A", "B"] {
        for id in ["left", "right"] {
            let keys = json!({"kit": kit, "copies": 3, "match": "set", "grain": {"rule": "quarter"}});
            panels.push(with(hook(&format!("{kit}/{id}")), keys));
        }
    }
    panels[1]["grain"]["along"] = json!(90);
    panels[3]["mirror"] = json!(true);
    let layout = solve(&on_100(1.0, panels));
    for kit in ["A", "B"] {
        let of_kit = |p: &&Placement| layout.panels[p.panel].kit.as_deref() == Some(kit);
        let all: Vec<f64> = layout.placements.iter().filter(of_kit).map(|p| heading(&layout, p)).collect();
        assert_eq!(all.len(), 6);
        assert!(all.iter().all(|h| (h - all[0]).abs() < 1e-9), "{kit}: {all:?}");
    }
}

#[test]
fn members_of_a_match_group_take_a_heading_that_all_permit() {
    let keys = |rule| json!({"copies": 2, "match": "set", "grain": {"rule": rule}});
    let panels = vec![with(hook("any"), keys("free")), with(hook("strict"), keys("one-way"))];
    let layout = solve(&on_100(1.0, panels));
    assert!(layout.placements.iter().all(|p| heading(&layout, p) == 0.0), "{:?}", layout.placements);
}

#[test]
fn a_flaw_across_the_film_is_passed_without_a_gap() {
    let roll = json!({"width": 100, "flaws": [[[0, 0], [10, 0], [10, 100], [0, 100]]]});
    let job = parse(&job_text(roll, 5.0, vec![rectangle("sheet", 50.0, 100.0)])).unwrap();
    is_long(&solve(&job), 60.0);
    // Nor does the first layout keep one, which fillers cannot mend.
    is_long(&solve_in(&job, 0), 60.0);
}

#[test]
fn a_panel_lies_between_two_flaws_where_there_is_room() {
    let roll = |second: f64| {
        let flaw = |x: f64| json!([[x, 20], [x + 5.0, 20], [x + 5.0, 80], [x, 80]]);
        json!({"width": 100, "flaws": [flaw(30.0), flaw(second)]})
    };
    let job = |second| parse(&job_text(roll(second), 3.0, vec![rectangle("sheet", 50.0, 100.0)])).unwrap();
    is_long(&solve(&job(86.0)), 85.0);
    is_long(&solve(&job(84.0)), 139.0);
}

#[test]
fn margins_are_kept_free_and_counted() {
    let roll = json!({"width": 100, "edge_margin": [4, 6], "lead_margin": 7, "tail_margin": 11});
    let job = parse(&job_text(roll, 3.0, vec![rectangle("sheet", 50.0, 90.0)])).unwrap();
    let layout = solve(&job);
    is_long(&layout, 68.0);
    assert!((layout.placements[0].at.x - 7.0).abs() < 1e-3);
    assert!((layout.placements[0].at.y - 4.0).abs() < 1e-3);
}

/// Beside a panel 60 long and 40 across, 100 wide film has 60 x 60 left.
#[test]
fn a_filler_fits_into_what_is_left_and_moves_nothing() {
    let required = rectangle("required", 60.0, 40.0);
    let filler = |length| with(rectangle("filler", length, 56.9), json!({"optional": true, "copies": 2}));
    let alone = solve(&on_100(3.0, vec![required.clone()]));
    for (length, found) in [(59.9, 1), (60.0, 1), (28.4, 2), (28.5, 2), (60.1, 0)] {
        let layout = solve(&on_100(3.0, vec![required.clone(), filler(length)]));
        assert_eq!(layout.placements.len(), 1 + found, "length {length}");
        assert_eq!(layout.placements[0], alone.placements[0]);
        assert_eq!(layout.measures.length, alone.measures.length);
        assert!((layout.measures.filler_area - found as f64 * length * 56.9).abs() < 1e-6);
    }
}

/// Two wedges on their sides leave a notch; a square fits only where it touches both.
#[test]
fn a_filler_finds_the_notch_between_two_panels() {
    let lower = json!({"id": "lower", "outline": [[0, 0], [100, 0], [100, 10], [0, 50]]});
    let upper = json!({"id": "upper", "outline": [[0, 50], [100, 90], [100, 100], [0, 100]]});
    let filler = |size| with(rectangle("filler", size, size), json!({"optional": true}));
    // The notch is 0.8 (x - 0) high at x; a square of 44 begins at x = 55 and ends at 99.
    for (size, found) in [(44.0, 1), (45.0, 0)] {
        let layout = solve(&on_100(0.0, vec![lower.clone(), upper.clone(), filler(size)]));
        is_long(&layout, 100.0);
        assert_eq!(layout.placements.len(), 2 + found, "{size}");
    }
}

#[test]
fn required_panels_lie_the_same_with_and_without_fillers() {
    let required = || {
        let keys = json!({"copies": 5, "grain": {"rule": "quarter"}});
        vec![with(hook("hook"), keys.clone()), with(rectangle("plate", 33.0, 21.0), keys)]
    };
    let mut panels = required();
    panels.push(with(rectangle("spare", 2.0, 2.0), json!({"copies": 40, "optional": true})));
    let (with_fillers, without) = (solve(&on_100(2.0, panels)), solve(&on_100(2.0, required())));
    assert!(with_fillers.measures.filler_area > 0.0, "there is room for some");
    assert_eq!(with_fillers.placements[..10], without.placements[..]);
    assert_eq!(with_fillers.measures.length, without.measures.length);
}

#[test]
fn a_panel_lies_in_a_hole_only_where_that_is_allowed() {
    let panels =
        |fill: bool| vec![with(frame(), json!({"fill_holes": fill})), rectangle("square", 50.0, 50.0)];
    is_long(&solve(&on_100(3.0, panels(true))), 100.0);
    is_long(&solve(&on_100(3.0, panels(false))), 153.0);
}

/// A square of 50 in a hole of 60 has 5 on every side.
#[test]
fn the_gap_is_kept_inside_a_hole() {
    let panels = || vec![with(frame(), json!({"fill_holes": true})), rectangle("square", 50.0, 50.0)];
    is_long(&solve(&on_100(4.9, panels())), 100.0);
    is_long(&solve(&on_100(5.1, panels())), 155.1);
}

#[test]
fn without_a_gap_a_panel_may_all_but_fill_a_hole() {
    let panels = vec![with(frame(), json!({"fill_holes": true})), rectangle("square", 59.99, 59.99)];
    is_long(&solve(&on_100(0.0, panels)), 100.0);
}

/// There is one place for it, which no area shows.
#[test]
fn without_a_gap_a_panel_may_fill_a_hole_exactly() {
    let panels = |side| vec![with(frame(), json!({"fill_holes": true})), rectangle("square", side, side)];
    is_long(&solve(&on_100(0.0, panels(60.0))), 100.0);
    is_long(&solve(&on_100(0.0, panels(60.01))), 160.01);
}

/// A square hole of 80 with a square of 20 in its middle leaves 30 on every side.
#[test]
fn what_lies_in_a_hole_keeps_clear_of_the_other_parts_there() {
    let square = |from: f64, to: f64| json!([[from, from], [to, from], [to, to], [from, to]]);
    let frame = json!({"outline": square(0.0, 100.0), "holes": [square(10.0, 90.0)]});
    let set = json!({"id": "set", "fill_holes": true, "parts": [frame, {"outline": square(40.0, 60.0)}]});
    let panels = |side| vec![set.clone(), rectangle("square", side, side)];
    is_long(&solve(&on_100(0.0, panels(29.9))), 100.0);
    is_long(&solve(&on_100(0.0, panels(50.0))), 150.0);
}

#[test]
fn a_panel_that_keeps_its_hull_clear_lies_in_no_hole_that_cuts_it() {
    let bent =
        |a: f64, b: f64, from: f64| json!([[from, from], [b, from], [b, a], [a, a], [a, b], [from, b]]);
    let frame = with(
        rectangle("frame", 100.0, 100.0),
        json!({"holes": [bent(40.0, 90.0, 10.0)], "fill_holes": true}),
    );
    let small = json!({"id": "bent", "outline": bent(29.0, 79.0, 0.0), "grain": {"rule": "one-way"}});
    is_long(&solve(&on_100(0.0, vec![frame.clone(), small.clone()])), 100.0);
    let hull = with(small, json!({"keep_clear": "hull"}));
    is_long(&solve(&on_100(0.0, vec![frame, hull])), 179.0);
}

/// Turned by a half the notched panel has its corners where they were, and the notch on the other side.
#[test]
fn the_same_corners_do_not_make_the_same_outline() {
    let k = 100.0 / 6.0;
    let scaled = |list: &[(f64, f64)]| list.iter().map(|(x, y)| [x * k, y * k]).collect::<Vec<_>>();
    let notched = scaled(&[(-3., -3.), (3., -3.), (0., -1.), (0., 1.), (3., 3.), (-3., 3.)]);
    let wedge = scaled(&[(0., -3.), (3., -1.), (3., 1.), (0., 3.)]);
    let panels = vec![
        json!({"id": "notched", "outline": notched, "grain": {"rule": "two-way"}}),
        json!({"id": "wedge", "outline": wedge, "grain": {"rule": "one-way"}}),
    ];
    is_long(&solve(&on_100(0.0, panels)), 100.0);
}

/// A bar of 200 x 10, drawn at 30 degrees, is 10 long where it lies across the film, and overlaps nothing however it
/// lies.
#[test]
fn a_panel_that_overlaps_nothing_turns_to_where_it_is_short() {
    let (c, s) = (libm::sqrt(0.75), 0.5);
    let bar =
        [(0.0, 0.0), (200.0, 0.0), (200.0, 10.0), (0.0, 10.0)].map(|(x, y)| [x * c - y * s, x * s + y * c]);
    let bars = |copies: u32| {
        let bar = json!({"id": "bar", "outline": bar, "copies": copies, "grain": {"rule": "free"}});
        parse(&job_text(json!({"width": 300}), 0.0, vec![bar])).unwrap()
    };
    is_long(&solve(&bars(1)), 10.0);
    is_long(&solve(&bars(3)), 30.0);
}

/// The square lies in the notch of the L; kept clear of the hull, whose side is x + y = 140, its
/// corner at y = 50 lies at x = 90 at the least.
#[test]
fn others_keep_clear_of_the_hull_where_that_is_asked() {
    let notched =
        json!({"id": "notched", "outline": [[0, 0], [100, 0], [100, 40], [40, 40], [40, 100], [0, 100]]});
    let square = || rectangle("square", 50.0, 50.0);
    is_long(&solve(&on_100(0.0, vec![notched.clone(), square()])), 100.0);
    let hull = with(notched, json!({"keep_clear": "hull"}));
    is_long(&solve(&on_100(0.0, vec![hull, square()])), 140.0);
}

/// Two bars of 20 x 100 that keep their places, 60 apart.
#[test]
fn a_panel_lies_between_the_parts_of_another() {
    let bar = |x: f64| json!({"outline": [[x, 0], [x + 20.0, 0], [x + 20.0, 100], [x, 100]]});
    let bars = json!({"id": "bars", "parts": [bar(0.0), bar(80.0)]});
    let sheet = || rectangle("sheet", 50.0, 100.0);
    is_long(&solve(&on_100(5.0, vec![bars.clone(), sheet()])), 100.0);
    let hull = with(bars, json!({"keep_clear": "hull"}));
    is_long(&solve(&on_100(5.0, vec![hull, sheet()])), 155.0);
}

/// Two trapezoids 100 and 40 long as wide as the film: side by side, or with one mirrored so that the
/// slanted sides lie along each other.
#[test]
fn panels_are_mirrored_where_it_helps_and_is_allowed() {
    let panels = |mirror: bool| {
        let outline = json!([[0, 0], [100, 0], [70, 100], [30, 100]]);
        vec![json!({"id": "fin", "copies": 2, "mirror": mirror, "outline": outline})]
    };
    let plain = solve(&on_100(0.0, panels(false)));
    is_long(&plain, 200.0);
    assert!(plain.placements.iter().all(|p| !p.mirrored));
    let mirrored = solve(&on_100(0.0, panels(true)));
    is_long(&mirrored, 170.0);
    assert_eq!(mirrored.placements.iter().filter(|p| p.mirrored).count(), 1);
}

/// Drawn at 5 degrees it is wider than the film, turned back it is not.
#[test]
fn slack_is_used_where_a_panel_fits_only_turned() {
    let corners = [(0.0, 0.0), (80.0, 0.0), (80.0, 99.0), (0.0, 99.0)];
    let (sin, cos) = (libm::sin(5.0_f64.to_radians()), libm::cos(5.0_f64.to_radians()));
    let outline: Vec<[f64; 2]> =
        corners.iter().map(|(x, y)| [cos * x - sin * y, sin * x + cos * y]).collect();
    let panel = |slack: f64| json!({"id": "tilted", "outline": outline, "grain": {"slack": slack}});
    let layout = solve(&on_100(0.0, vec![panel(8.0)]));
    let turned = heading(&layout, &layout.placements[0]);
    assert!((352.0..=356.0).contains(&turned), "{turned}");
    assert!(super::lay(&on_100(0.0, vec![panel(3.0)]), 1).is_err());
}

/// Sides that are parallel but for rounding once opened cracks in which two panels seemed not to overlap.
#[test]
fn turned_panels_with_parallel_sides_do_not_overlap() {
    for along in [0.0, 30.0, -326.8184538840566, 12.345] {
        let keys = json!({"copies": 2, "grain": {"along": along}});
        let outline = json!([[0, 0], [50.2, 0], [50.2, 12.8], [12.8, 12.8], [12.8, 50.2], [0, 50.2]]);
        solve(&on_100(0.0, vec![with(json!({"id": "L", "outline": outline}), keys)]));
    }
}

/// Turned to be longer than the strip tried, it once began before the film.
#[test]
fn a_panel_alone_turns_without_leaving_the_film() {
    let outline = json!([[3, 0], [-1.5, 2.6], [-9.25, -16]]);
    let layout =
        solve(&on_100(0.0, vec![json!({"id": "splinter", "outline": outline, "grain": {"slack": 45}})]));
    assert!(layout.measures.length > 5.0, "{}", layout.measures.length);
}

/// A panel that fits at one exact heading only, which need not be on any grid of whole steps.
#[test]
fn a_panel_that_fits_at_a_single_odd_heading_finds_it() {
    let corners = [(0.0, 0.0), (180.0, 0.0), (180.0, 99.99), (0.0, 99.99)];
    let angle = 5.317_f64.to_radians();
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let outline: Vec<[f64; 2]> =
        corners.iter().map(|(x, y)| [cos * x - sin * y, sin * x + cos * y]).collect();
    for keys in [
        json!({"grain": {"slack": 8}}),
        json!({"grain": {"rule": "free"}, "mirror": true}),
        json!({"grain": {"rule": "free", "along": 77.7}, "copies": 3}),
    ] {
        let layout = solve(&on_100(0.0, vec![with(json!({"id": "tilted", "outline": outline}), keys)]));
        let copies = layout.placements.len() as f64;
        assert!((layout.measures.length - 180.0 * copies).abs() < 0.05, "{}", layout.measures.length);
    }
}

/// The same drawn the other way round, so that it fits only mirrored, or only at the far side of 0.
#[test]
fn a_mirrored_panel_finds_its_single_heading_too() {
    let angle = 7.1203_f64.to_radians();
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let corners = [(0.0, 0.0), (180.0, 0.0), (180.0, 99.99), (0.0, 99.99)];
    let outline: Vec<[f64; 2]> =
        corners.iter().map(|(x, y)| [cos * x - sin * y, sin * x + cos * y]).collect();
    for (along, slack) in [(0.0, 8.0), (14.2, 7.5), (-14.2, 22.0), (20.0, 13.0)] {
        let keys = json!({"mirror": true, "grain": {"slack": slack, "along": along}});
        let job = on_100(0.0, vec![with(json!({"id": "tilted", "outline": outline}), keys)]);
        is_long(&solve(&job), 180.0);
    }
}

/// A group whose only common heading lies between the steps of any grid.
#[test]
fn a_match_group_finds_its_single_heading() {
    let tilted = |degrees: f64, keys| {
        let (sin, cos) = (libm::sin(degrees.to_radians()), libm::cos(degrees.to_radians()));
        let corners = [(0.0, 0.0), (150.0, 0.0), (150.0, 99.995), (0.0, 99.995)];
        let outline: Vec<[f64; 2]> =
            corners.iter().map(|(x, y)| [cos * x - sin * y, sin * x + cos * y]).collect();
        with(json!({"id": format!("at {degrees}"), "match": "set", "outline": outline}), keys)
    };
    let small = |keys| with(with(hook("small"), json!({"match": "set"})), keys);
    let free = || json!({"grain": {"rule": "free"}});
    let layout = solve(&on_100(0.0, vec![tilted(11.317, free()), small(free())]));
    let all: Vec<f64> = layout.placements.iter().map(|p| heading(&layout, p)).collect();
    assert!((all[0] - all[1]).abs() < 1e-7, "{all:?}");
    for other in [small(json!({})), tilted(12.0, free())] {
        let e = super::lay(&on_100(0.0, vec![tilted(11.317, free()), other.clone()]), 1).unwrap_err();
        assert_eq!(e.exit_code(), 1);
        let id = format!("{}", other["id"]);
        assert!(e.to_string().contains(&id) && e.to_string().contains("match group \"set\""), "{e}");
    }
}

/// A member of a group that fits at one of its headings only decides for all.
#[test]
fn a_match_group_takes_a_heading_at_which_every_panel_fits() {
    let keys = |along: f64| json!({"match": "set", "grain": {"rule": "quarter", "along": along}});
    let panels = vec![with(hook("hook"), keys(0.0)), with(rectangle("long", 120.0, 40.0), keys(90.0))];
    let layout = solve(&on_100(0.0, panels));
    assert!(layout.placements.iter().all(|p| heading(&layout, p) % 180.0 == 90.0), "{:?}", layout.placements);
}

/// A filler of a group that fits at none of its headings is left out and hinders nobody.
#[test]
fn a_filler_that_does_not_fit_its_group_is_left_out() {
    let keys = json!({"match": "set", "grain": {"rule": "one-way"}});
    let tall = json!({"match": "set", "optional": true, "grain": {"rule": "quarter", "along": 90}});
    let panels =
        vec![with(rectangle("plate", 150.0, 40.0), keys), with(rectangle("tall", 120.0, 30.0), tall)];
    assert_eq!(solve(&on_100(0.0, panels)).placements.len(), 1);
}

#[test]
fn two_way_panels_turn_by_half_and_one_way_panels_do_not() {
    let panels = |rule: &str| {
        let outline = json!([[0, 0], [100, 0], [0, 100]]);
        vec![json!({"id": "triangle", "copies": 2, "outline": outline, "grain": {"rule": rule}})]
    };
    is_long(&solve(&on_100(0.0, panels("one-way"))), 200.0);
    is_long(&solve(&on_100(0.0, panels("two-way"))), 100.0);
}

/// A job of twelve rectangles, its lengths scaled.
fn scaled(unit: &str, scale: f64) -> Layout {
    let sized = |id, l: f64, w: f64| {
        with(rectangle(id, l * scale, w * scale), json!({"copies": 4, "grain": {"rule": "quarter"}}))
    };
    let panels = vec![sized("a", 61.0, 24.0), sized("b", 35.0, 48.0), sized("c", 20.0, 13.0)];
    let text = job_text(json!({"width": 100.0 * scale}), 2.0 * scale, panels);
    solve_in(&parse(&text.replace("\"mm\"", &format!("{unit:?}"))).unwrap(), 20)
}

/// Multiplied by a power of two, a number keeps all its digits: no length of the search's own
/// may show, whatever the unit.
#[test]
fn a_job_at_another_scale_is_laid_out_the_same() {
    let (mm, scaled) = (scaled("mm", 1.0), scaled("in", 1.0 / 32.0));
    assert_eq!(mm.measures.length, 32.0 * scaled.measures.length);
    for (a, b) in mm.placements.iter().zip(&scaled.placements) {
        assert_eq!((a.at.x, a.at.y, a.rotation), (32.0 * b.at.x, 32.0 * b.at.y, b.rotation));
    }
}

/// 25.4 is no power of two: the last digits differ, the search takes another way and ends near.
#[test]
fn a_job_in_inches_is_about_as_long_as_in_millimetres() {
    let ratio = 25.4 * scaled("in", 1.0 / 25.4).measures.length / scaled("mm", 1.0).measures.length;
    assert!((ratio - 1.0).abs() < 0.05, "{ratio}");
}

/// Ten copies, or one copy in each of ten orders, drawn from another corner and the other way round.
#[test]
fn equal_panels_of_different_kits_are_one_kind() {
    let rule = json!({"rule": "quarter"});
    let copies = vec![with(hook("hook"), json!({"copies": 10, "grain": rule}))];
    let drawn = [
        json!([[0, 0], [40, 0], [40, 12], [12, 12], [12, 30], [0, 30]]),
        json!([[12, 30], [12, 12], [40, 12], [40, 0], [0, 0], [0, 30]]),
    ];
    let order = |k: usize| json!({"id": format!("K{k}/hook"), "kit": format!("K{k}"), "outline": drawn[k % 2], "grain": rule});
    let (one, many) = (solve(&on_100(1.0, copies)), solve(&on_100(1.0, (0..10).map(order).collect())));
    let places = |l: &Layout| -> Vec<_> {
        l.placements.iter().map(|p| (p.at.x, p.at.y, p.rotation, p.mirrored)).collect()
    };
    assert_eq!(places(&one), places(&many));
}

#[test]
fn a_gap_wider_than_the_panels_is_kept() {
    let panels = vec![with(rectangle("tag", 10.0, 10.0), json!({"copies": 4}))];
    is_long(&solve(&on_100(80.0, panels)), 100.0);
}

/// Two such outlines would have a million pairs of corners: the search keeps away from a simpler one around them.
#[test]
fn outlines_of_very_many_corners_are_nested_with_room_to_spare() {
    let radius = |k: u32| if k.is_multiple_of(2) { 20.0 } else { 18.0 };
    let at = |k: u32| std::f64::consts::TAU * f64::from(k) / 1200.0;
    let outline: Vec<[f64; 2]> =
        (0..1200).map(|k| [radius(k) * libm::cos(at(k)), radius(k) * libm::sin(at(k))]).collect();
    let jagged = json!({"id": "jagged", "copies": 2, "outline": outline});
    let specks: Vec<_> = (0..150)
        .map(|k| {
            let (x, y) = (3.0 * f64::from(k % 15), 3.0 * f64::from(k / 15));
            json!({"outline": [[x, y], [x + 2.0, y], [x + 2.0, y + 2.0], [x, y + 2.0]]})
        })
        .collect();
    let specks = json!({"id": "specks", "copies": 2, "parts": specks});
    let (layout, nested, faults) = lay(&on_100(1.0, vec![jagged, specks]), 0).unwrap();
    assert!(faults.is_empty(), "{faults:?}");
    // Side by side: 40 + 1 + 40 across the film, and 44 for each of the others at most.
    assert!(layout.measures.length < 135.0, "{}", layout.measures.length);
    let told: String = nested.warnings.iter().map(ToString::to_string).collect();
    assert!(told.contains("\"jagged\" and 1 more") && told.contains("room to spare"), "{told}");
}

/// A corner in the middle of a straight side makes a turn of the last digit once it is turned, and it was taken for one
/// nearly all the way round: panels lay on the flaw, and the check refused the layout.
#[test]
fn a_flaw_with_a_corner_along_a_straight_side() {
    let roll = json!({"width": 100, "flaws": [[[30, 40], [45, 40], [60, 40], [60, 60], [30, 60]]]});
    let fin = json!({"id": "fin", "outline": [[0, 0], [40, 0], [30, 20], [10, 20]], "copies": 8,
                     "grain": {"rule": "free"}});
    let job = parse(&job_text(roll, 2.0, vec![fin])).unwrap();
    let (_, _, faults) = lay(&job, 2).unwrap();
    assert!(faults.is_empty(), "{faults:?}");
}
