#!/usr/bin/env python3
"""Works out every bill again with Python's `decimal` and compares to the last minor unit.

    scripts/crosscheck_money.py [--tuckroll target/release/tuckroll] [--count 40] [--seed 1]

Random jobs with random prices and rates, on one roll and on several, and the day in
fixtures/films, are nested with little effort. From the layouts alone the film, ink, laminate, tape and
labour of each kit are worked out with 60 digits (decimal.Decimal, by M. Cowlishaw's General
Decimal Arithmetic specification), rounded half up and shared out by the largest remainder, and
compared with what `nest --json` prints. Units of length: 1 ft = 0.3048 m and 1 yd = 0.9144 m
exactly (NIST SP 811, appendix B).

The last line is 'N passed, N failed'.
"""
import argparse
import json
import pathlib
import random
import subprocess
import sys
import tempfile
from decimal import ROUND_HALF_UP, Decimal, getcontext
from fractions import Fraction

getcontext().prec = 60
METRES = {"m": Fraction(1), "ft": Fraction(3048, 10000), "yd": Fraction(9144, 10000)}
ITEMS = ["film_cost", "ink_cost", "laminate_cost", "transfer_tape_cost", "labour_cost"]


def exact(x):
    """A float as the fraction it is."""
    return Fraction(x)


def whole(x, step):
    """Rounded half up to a multiple of `step`."""
    q = Fraction(x) / step
    return (q + Fraction(1, 2)).__floor__() * step


def minor(amount, decimals):
    """An amount in minor units, half up, by way of Decimal."""
    value = Decimal(amount.numerator) / Decimal(amount.denominator)
    return int((value * 10**decimals).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def cost(price, width_m, length_m, area_m2):
    """What a stretch of film, or an area, costs at a price."""
    per, amount = price["per"], Fraction(price["amount"])
    if per.endswith("2"):
        return amount * (width_m * length_m if area_m2 is None else area_m2) / METRES[per[:-1]] ** 2
    return amount * length_m / METRES[per]


def share(total, weights):
    """Largest remainder; ties to the first."""
    keys = sorted(weights, key=lambda k: (k is None, k or ""))
    if all(weights[k] == 0 for k in keys):
        weights = {k: 1 for k in keys}
    whole_sum = sum(Fraction(weights[k]) for k in keys)
    quota = {k: total * Fraction(weights[k]) / whole_sum for k in keys}
    shares = {k: quota[k].__floor__() for k in keys}
    left = total - sum(shares.values())
    for k in sorted(keys, key=lambda k: -(quota[k] - shares[k]))[:left]:
        shares[k] += 1
    return shares


def area(points):
    n = len(points)
    return abs(sum(points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1] for i in range(n))) / 2


def panel_parts(panel):
    return panel.get("parts") or [{"outline": panel["outline"], "holes": panel.get("holes", [])}]


def placed_box(panel, place):
    import math

    a = math.radians(place["rotation"])
    c, s = math.cos(a), math.sin(a)
    if place["rotation"] % 90 == 0:
        c, s = [(1, 0), (0, 1), (-1, 0), (0, -1)][int(place["rotation"] // 90)]
    xs, ys = [], []
    for part in panel_parts(panel):
        for x, y in part["outline"]:
            y = -y if place["mirrored"] else y
            xs.append(x * c - y * s + place["x"])
            ys.append(x * s + y * c + place["y"])
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def claims(layout):
    """Areas by kit in m2: panels, fillers, boxes of both, and pieces."""
    mm = 25.4 if layout["unit"] == "in" else 1.0
    step, found = Fraction(1, 10**12), {}
    panels = {p["id"]: p for p in layout["panels"]}
    for place in layout["placements"]:
        panel = panels[place["panel"]]
        row = found.setdefault(panel.get("kit"), {"panel": 0, "filler": 0, "box": 0, "filler_box": 0, "pieces": 0})
        a = sum(area(p["outline"]) - sum(area(h) for h in p.get("holes", [])) for p in panel_parts(panel))
        kind = "filler" if panel.get("optional") else "panel"
        row[kind] += whole(exact(a * mm * mm) / 10**6, step)
        row["filler_box" if panel.get("optional") else "box"] += whole(exact(placed_box(panel, place) * mm * mm) / 10**6, step)
        row["pieces"] += 1
    return found


def bill(layouts):
    rates = layouts[0].get("rates", {})
    decimals = rates.get("decimals", 2)
    rows = {}
    for layout in layouts:
        for kit, row in claims(layout).items():
            rows.setdefault(kit, dict.fromkeys(ITEMS, 0) | {"pieces": 0})["pieces"] += row["pieces"]
    for layout in layouts:
        mm = 25.4 if layout["unit"] == "in" else 1.0
        width, length = (whole(exact(v * mm) / 1000, Fraction(1, 10**6)) for v in (layout["roll"]["width"], layout["length"]))
        own = claims(layout)
        panels, boxes = (sum(r[k] for r in own.values()) for k in ("panel", "box"))
        if rates.get("waste", "area") == "area":
            weights = {k: r["panel"] for k, r in own.items()}
        else:
            # The program takes areas to 0.01 mm2 before it multiplies two of them.
            c = lambda a: (a * 10**8).__floor__()
            weights = {k: c(r["panel"]) * c(boxes) + c(width * length - panels) * c(r["box"]) for k, r in own.items()}
        charge = [("film_cost", layout["roll"]["price"], None, weights)]
        if "laminate" in rates:
            charge.append(("laminate_cost", rates["laminate"], width * length, weights))
        if "ink" in rates:
            inked = {k: r["panel"] + r["filler"] for k, r in own.items()}
            charge.append(("ink_cost", rates["ink"], sum(inked.values()), inked))
        if "transfer_tape" in rates:
            taped = {k: r["box"] + r["filler_box"] for k, r in own.items()}
            charge.append(("transfer_tape_cost", rates["transfer_tape"], sum(taped.values()), taped))
        for item, price, quantity, by in charge:
            for kit, amount in share(minor(cost(price, width, length, quantity), decimals), by).items():
                rows[kit][item] += amount
    if "labour" in rates:
        labour = rates["labour"]
        job, kit, panel = (whole(exact(labour.get(f"minutes_per_{k}", 0)) * 60_000, 1) for k in ("job", "kit", "panel"))
        own = {k: kit + panel * r["pieces"] for k, r in rows.items()}
        total = minor(Fraction(labour["per_hour"]) * (job + sum(own.values())) / 3_600_000, decimals)
        for k, amount in share(total, {k: Fraction(job, len(rows)) + s for k, s in own.items()}).items():
            rows[k]["labour_cost"] = amount
    return rows, decimals


def random_job(rng):
    unit = rng.choice(["mm", "mm", "in"])
    scale = 25.4 if unit == "in" else 1.0
    def price(areas=False):
        per = rng.choice(["m2", "ft2", "yd2"] if areas else ["m", "ft", "yd", "m2", "ft2", "yd2"])
        return {"amount": rng.choice(["0", "4.5", "0.333333", "12.05", f"{rng.uniform(0, 40):.4f}"]), "per": per}
    panels = []
    for i in range(rng.randint(2, 9)):
        w, h = rng.uniform(20, 180) / scale, rng.uniform(20, 180) / scale
        outline = rng.choice([[[0, 0], [w, 0], [w, h], [0, h]], [[0, 0], [w, 0], [0.3 * w, h]], [[0, 0], [w, 0.2 * h], [w, h], [0.4 * w, 0.5 * h]]])
        panel = {"id": f"p{i}", "copies": rng.randint(1, 4), "outline": outline, "grain": {"rule": rng.choice(["one-way", "two-way", "quarter"])}}
        kit = rng.choice(["A", "B", "C.1", "C.2", None])
        if kit:
            panel["kit"] = kit
        if i and rng.random() < 0.25:
            panel["optional"] = True
        panels.append(panel)
    rates = {"decimals": rng.choice([0, 2, 2, 3]), "waste": rng.choice(["area", "box"])}
    for key in ("ink", "laminate", "transfer_tape"):
        if rng.random() < 0.7:
            rates[key] = price(areas=True)
    if rng.random() < 0.7:
        rates["labour"] = {"per_hour": f"{rng.uniform(0, 90):.2f}", "minutes_per_job": rng.choice([0, 10, 7.25]),
                           "minutes_per_kit": rng.choice([0, 4.5]), "minutes_per_panel": rng.choice([0, 0.35, 0.77, 0.008])}
    job = {"format": "tuckroll-job-1", "name": "random", "unit": unit, "gap": 2 / scale, "panels": panels, "rates": rates}
    roll = lambda: {"width": rng.uniform(260, 700) / scale, "price": price()}
    if rng.random() < 0.4:
        job["rolls"] = [roll() | {"id": f"r{k}"} for k in range(3)]
        job["rolls"][0]["length"] = 350 / scale
    else:
        job["roll"] = roll()
    if rng.random() < 0.2:
        del job["rates"]
    return job


def check(tuckroll, job_path, out):
    """What differs between the program's bill and ours."""
    ran = subprocess.run([tuckroll, "nest", job_path, "-o", out, "--rounds", "1", "--json"], capture_output=True, text=True)
    if ran.returncode not in (0, 1):
        return [f"exit {ran.returncode}: {ran.stderr.strip()[-300:]}"]
    told = json.loads(ran.stdout)
    layouts = [json.loads((out / r["layout"]).read_text()) for r in told["rolls"]] if "rolls" in told else [json.loads((out / "layout.json").read_text())]
    ours, decimals = bill(layouts)
    text = lambda n: str(Decimal(n).scaleb(-decimals).quantize(Decimal(1).scaleb(-decimals)))
    wrong = []
    rows = {row.get("kit"): row for row in told["cost"]["kits"]}
    if set(rows) != set(ours):
        return [f"kits {sorted(map(str, rows))} and {sorted(map(str, ours))}"]
    for kit, row in ours.items():
        for item in ITEMS:
            if rows[kit][item] != text(row[item]):
                wrong.append(f"{kit} {item}: {rows[kit][item]}, {text(row[item])} here")
    for item in ITEMS:
        if sum(Decimal(r[item]) for r in rows.values()) != Decimal(told["cost"]["total"][item]):
            wrong.append(f"{item} does not sum to its total")
    if sum(Decimal(f["cost"]) for f in told["cost"]["films"]) != Decimal(told["cost"]["total"]["film_cost"]):
        wrong.append("the pieces of film do not sum to the film of the kits")
    if sum(Decimal(told["cost"]["total"][i]) for i in ITEMS) != Decimal(told["cost"]["total"]["total_cost"]):
        wrong.append("the items do not sum to the total")
    return wrong


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tuckroll", default="target/release/tuckroll")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    rng, passed, failed = random.Random(args.seed), 0, 0
    root = pathlib.Path(__file__).resolve().parent.parent
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        jobs = [root / "fixtures/films/day.json"]
        for i in range(args.count):
            jobs.append(folder / f"job{i}.json")
            jobs[-1].write_text(json.dumps(random_job(rng)))
        for i, job in enumerate(jobs):
            wrong = check(args.tuckroll, job, folder / f"out{i}")
            passed, failed = passed + (not wrong), failed + bool(wrong)
            for line in wrong[:5]:
                print(f"{job.name}: {line}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
