#!/usr/bin/env python3
"""How dense copies of one convex outline can lie on endless film: limits to hold layouts against.

    python3 scripts/lattice_limit.py JOB.json [--panel ID]
    python3 scripts/lattice_limit.py --self-check

Two headings (`two-way`): the densest double lattice. For a direction let d be the longest chord
and h the distance between the two chords of length d/2 on either side of it; the density is
area / (d h), and the best direction is sought (G. Kuperberg, W. Kuperberg, Double-lattice
packings of convex bodies in the plane, Discrete Comput. Geom. 5, 1990; D. M. Mount, The densest
double-lattice packing of a convex polygon, DIMACS 6, 1991, has it in linear time, which nothing
here needs).

One heading (`one-way`): no packing of translates is denser than the best lattice (L. Fejes Toth
1950; C. A. Rogers, The closed packing of convex two-dimensional domains, Acta Math. 86, 1951).
A lattice packs K just when it packs the difference body D = K - K laid at half size, and the best one
touches in six points u, v, u - v and their negatives (H. Minkowski 1904). For a given u on
the rim of D, v and v - u are the ends of the chord of D that is parallel to u and as long, so
the cell is d h / 4 with d and h of D as above: the same search serves both.

With a gap g the outline is grown by g/2 first: its sum with a polygon inside the disc, so that the
limit stays on the safe side. The double-lattice limit is the best *of its kind*: that nothing
with two headings is denser is proved for the regular pentagon (Hales, Kusner 2016) and for
centrally symmetric outlines, not in general.
"""
import argparse
import json
import math
import pathlib
import sys


def area(p):
    return 0.5 * sum(p[i - 1][0] * p[i][1] - p[i][0] * p[i - 1][1] for i in range(len(p)))


def hull(points):
    """Convex hull, counter-clockwise, collinear points dropped (Andrew's monotone chain)."""
    pts = sorted(set(map(tuple, points)))

    def half(seq):
        out = []
        for p in seq:
            while len(out) > 1 and turn(out[-2], out[-1], p) <= 0:
                out.pop()
            out.append(p)
        return out[:-1]

    return half(pts) + half(pts[::-1])


def turn(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def minkowski_sum(a, b):
    """Sum of two convex polygons, by merging their sides in order of direction."""
    sides = lambda p: [(p[(i + 1) % len(p)][0] - p[i][0], p[(i + 1) % len(p)][1] - p[i][1]) for i in range(len(p))]
    every = sorted(sides(a) + sides(b), key=lambda s: math.atan2(s[1], s[0]))
    low = lambda p: min(p, key=lambda q: (q[1], q[0]))
    # Sides sorted from -pi up start after the topmost-left vertex; find the start by walking once.
    x = y = 0.0
    walk = []
    for dx, dy in every:
        walk.append((x, y))
        x, y = x + dx, y + dy
    w, target = low(walk), (low(a)[0] + low(b)[0], low(a)[1] + low(b)[1])
    return hull([(px - w[0] + target[0], py - w[1] + target[1]) for px, py in walk])


def chords(poly, theta):
    """(height across theta, chord length along it) at every vertex: concave, linear between the rows."""
    c, s = math.cos(theta), math.sin(theta)
    turned = [(x * c + y * s, y * c - x * s) for x, y in poly]
    n = len(turned)
    low = min(range(n), key=lambda i: turned[i][1])
    high = max(range(n), key=lambda i: turned[i][1])

    def chain(step):
        i, out = low, [turned[low]]
        while i != high:
            i = (i + step) % n
            out.append(turned[i])
        return out

    right, left = chain(1), chain(-1)
    heights = sorted(p[1] for p in turned)
    tiny = 1e-12 * (heights[-1] - heights[0])
    ends = [[p[0] for p in turned if abs(p[1] - y) <= tiny] for y in (heights[0], heights[-1])]
    rows = [(y, hi - lo) for y, hi, lo in zip(heights, along(right, heights, tiny), along(left, heights, tiny))]
    # A level side at either end lies in one of the two chains only.
    rows[0] = (heights[0], max(ends[0]) - min(ends[0]))
    rows[-1] = (heights[-1], max(ends[1]) - min(ends[1]))
    return [r for i, r in enumerate(rows) if i == 0 or r[0] - rows[i - 1][0] > tiny or i == len(rows) - 1]


def along(side, heights, tiny):
    """x of a rising chain at each of the rising heights."""
    out, k = [], 0
    for y in heights:
        while k + 2 < len(side) and side[k + 1][1] < y:
            k += 1
        (ax, ay), (bx, by) = side[k], side[k + 1]
        out.append(bx if by - ay <= tiny else ax + (bx - ax) * min(1.0, max(0.0, (y - ay) / (by - ay))))
    return out


def longest_and_span(poly, theta):
    """d, the longest chord along theta, and h, the distance of the chords of length d/2 on both sides."""
    rows = chords(poly, theta)
    d = max(w for _, w in rows)
    top = max(range(len(rows)), key=lambda i: rows[i][1])

    def level(order):
        for (y0, w0), (y1, w1) in zip(order, order[1:]):
            if w1 < 0.5 * d:
                return y0 + (y1 - y0) * (w0 - 0.5 * d) / (w0 - w1)
        return order[-1][0]

    return d, level(rows[top:]) - level(rows[top::-1])


def least_product(poly):
    """The least d h over all directions, and the direction."""
    cost = lambda t: math.prod(longest_and_span(poly, t))
    n = len(poly)
    special = [math.atan2(poly[i][1] - poly[j][1], poly[i][0] - poly[j][0]) % math.pi for i in range(n) for j in range(i)]
    grid = sorted({*(math.pi * k / 720 for k in range(720)), *(special if n <= 24 else [])})
    values = [cost(t) for t in grid]
    m = len(grid)
    dips = [i for i, v in enumerate(values) if v <= values[i - 1] and v <= values[(i + 1) % m]]
    best = (math.inf, 0.0)
    for i in sorted(dips, key=lambda i: values[i])[:8]:
        lo = grid[i - 1] - (math.pi if i == 0 else 0.0)
        hi = grid[(i + 1) % m] + (math.pi if i + 1 == m else 0.0)
        best = min(best, golden(cost, lo, grid[i]), golden(cost, grid[i], hi), (values[i], grid[i]))
    return best


def golden(f, a, b):
    """Golden-section search; the cost need not be smooth."""
    k = (math.sqrt(5.0) - 1.0) / 2.0
    x, y = b - k * (b - a), a + k * (b - a)
    fx, fy = f(x), f(y)
    for _ in range(60):
        if fx < fy:
            b, y, fy = y, x, fx
            x = b - k * (b - a)
            fx = f(x)
        else:
            a, x, fx = x, y, fy
            y = a + k * (b - a)
            fy = f(y)
    return min((fx, x), (fy, y))


def difference_body(poly):
    return minkowski_sum(poly, hull([(-x, -y) for x, y in poly]))


def limits(outline, gap=0.0):
    """(double lattice, plain lattice) densities of a convex outline."""
    own = abs(area(outline))
    body = hull(outline)
    if area(body) - own > 1e-9 * own:
        raise ValueError("the outline is not convex; its limit is not known this way")
    if gap > 0:
        disc = [(0.5 * gap * math.cos(math.pi * k / 90), 0.5 * gap * math.sin(math.pi * k / 90)) for k in range(180)]
        body = minkowski_sum(body, hull(disc))
    return own / least_product(body)[0], own / (0.25 * least_product(difference_body(body))[0])


def regular(n, r=1.0):
    return [(r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n)) for k in range(n)]


CHECKS = [
    # name, outline, which limit, value, source
    ("pentagon, double", regular(5), 0, (5 - math.sqrt(5)) / 3, "Kuperberg & Kuperberg 1990; Hales & Kusner 2016 (from memory)"),
    ("heptagon, double", regular(7), 0, 0.892691, "Kuperberg & Kuperberg 1990; Mount 1991 (from memory)"),
    ("scalene triangle, double", [(0, 0), (7, 1), (2, 5)], 0, 1.0, "half turns tile the plane"),
    ("quadrilateral, double", [(0, 0), (6, -1), (7, 4), (1, 3)], 0, 1.0, "half turns tile the plane"),
    ("triangle, plain", [(0, 0), (7, 1), (2, 5)], 1, 2 / 3, "I. Fary 1950 (from memory)"),
    ("parallelogram, plain", [(0, 0), (5, 1), (6, 4), (1, 3)], 1, 1.0, "tiles"),
    ("regular hexagon, plain", regular(6), 1, 1.0, "tiles"),
    ("regular octagon, plain", regular(8), 1, (4 + 4 * math.sqrt(2)) / (5 + 4 * math.sqrt(2)), "published as 0.906164 (from memory)"),
    ("regular octagon, double", regular(8), 0, (4 + 4 * math.sqrt(2)) / (5 + 4 * math.sqrt(2)), "symmetric: the same"),
    ("disc as 360-gon, plain", regular(360), 1, math.pi / math.sqrt(12), "Thue; Fejes Toth (from memory)"),
]  # fmt: skip


def self_check():
    wrong = 0
    for name, outline, which, value, source in CHECKS:
        got = limits(outline)[which]
        tol = 1e-4 if "disc" in name else 1e-6
        ok = abs(got - value) <= tol
        wrong += not ok
        print(f"{'ok ' if ok else 'BAD'} {name:28} {got:.6f}  published {value:.6f}  {source}")
    return 1 if wrong else 0


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("job", nargs="?", type=pathlib.Path)
    ap.add_argument("--panel", help="id of the panel; all convex ones when left out")
    ap.add_argument("--self-check", action="store_true")
    a = ap.parse_args()
    if a.self_check:
        return self_check()
    if a.job is None:
        ap.error("a job file or --self-check")
    job = json.loads(a.job.read_text())
    for panel in job["panels"]:
        if "outline" not in panel or (a.panel and panel["id"] != a.panel):
            continue
        try:
            double, plain = limits(panel["outline"], job.get("gap", 0.0))
        except ValueError as e:
            print(f"{panel['id']}: {e}")
            continue
        print(f"{panel['id']}: two-way {100 * double:.3f} % (double lattice), one-way {100 * plain:.3f} % (plain lattice)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
