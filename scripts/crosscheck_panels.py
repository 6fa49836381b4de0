#!/usr/bin/env python3
"""Holds the panels that the program writes for the demo kits against other libraries.

    pip install -r scripts/requirements.txt
    python3 scripts/crosscheck_panels.py --tuckroll target/release/tuckroll

Every nose, transition, tube and fin of fixtures/kits and fixtures/demo is written again without
laps and allowances, so that its panels are the bare surface, and then

  1. by numeric integration (scipy, QUADPACK) of the formulas as they are printed (G. A. Crowell Sr.,
     The Descriptive Geometry of Nose Cones, 1996): length of a gore's centre line and of its edge,
     and the area of all gores against the surface of revolution;
  2. by a mesh library (trimesh): the printed profile is revolved, and the area of the mesh is held
     against the area of all panels;
  3. the same the other way round: the written gore is rolled up again (radius = half width n / pi,
     station = distance along the film), revolved by trimesh, and the body must have the surface,
     length and diameter that the kit asked for;
  4. fins against the outline that shapely builds from the kit's numbers, faces being mirror images;
  5. with laps and allowances the film covers the bare panel and reaches beyond it by what was asked.

The last line is 'N passed, N failed'; exit code 1 when something failed.
"""
import argparse
import copy
import json
import math
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
import shapely
import trimesh
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from shapely.geometry import Polygon

ROOT = pathlib.Path(__file__).resolve().parent.parent
CHORD = 0.001  # tolerance that the program is told, mm
STEP = 1e-30  # of the complex-step derivative (Squire and Trapp, SIAM Review 40, 1998)


class Meridian:
    """A curve (x(u), r(u)), u from 0 at the tip to 1 at the base, in pieces of analytic functions."""

    def __init__(self, pieces):
        self.pieces = pieces  # (x, r, from, to)

    def integral(self, f):
        """Of f(x, r, dx, dr) du over all pieces."""
        total = 0.0
        for x, r, a, b in self.pieces:

            def g(u, x=x, r=r):
                dx, dr = (float(np.imag(w(u + 1j * STEP))) / STEP for w in (x, r))
                return f(float(np.real(x(u))), float(np.real(r(u))), dx, dr)

            total += quad(g, a, b, limit=400, epsabs=1e-10, epsrel=1e-11)[0]
        return total

    def arc(self):
        return self.integral(lambda x, r, dx, dr: math.hypot(dx, dr))

    def surface(self):
        return self.integral(lambda x, r, dx, dr: 2.0 * math.pi * r * math.hypot(dx, dr))

    def edge(self, n):
        """Length of the edge of one of n gores: along it the half width changes by pi dr / n."""
        return self.integral(lambda x, r, dx, dr: math.sqrt(dx * dx + dr * dr + (math.pi / n * dr) ** 2))

    def points(self, count=400):
        out = []
        for x, r, a, b in self.pieces:
            for u in a + (b - a) * np.linspace(0.0, 1.0, count + 1)[1 if out else 0:]:
                out.append((max(0.0, float(np.real(r(u)))), float(np.real(x(u)))))
        return np.array(out)

    def ends(self):
        (_, r0, a, _), (_, r1, _, b) = self.pieces[0], self.pieces[-1]
        return float(np.real(r0(a))), float(np.real(r1(b)))


def radius(profile, R, L):
    """The printed formula r(t), t = x / L from the tip."""
    shape, number = profile if isinstance(profile, tuple) else (profile, None)
    if shape == "conical":
        return lambda t: R * t
    if shape in ("ogive", "tangent-ogive"):
        rho = (R * R + L * L) / (2.0 * R)
        return lambda t: np.sqrt(rho * rho - (L - L * t) ** 2) + R - rho
    if shape == "elliptical":
        return lambda t: R * np.sqrt(1.0 - (1.0 - t) ** 2)
    if shape == "parabolic":
        return lambda t: R * (2.0 * t - number * t * t) / (2.0 - number)
    if shape == "power":
        return lambda t: R * t**number
    if shape in ("von-karman", "lv-haack", "haack"):
        c = {"von-karman": 0.0, "lv-haack": 1.0 / 3.0}.get(shape, number)
        theta = lambda t: np.arccos(1.0 - 2.0 * t)
        return lambda t: R / math.sqrt(math.pi) * np.sqrt(theta(t) - np.sin(2.0 * theta(t)) / 2.0 + c * np.sin(theta(t)) ** 3)
    raise ValueError(shape)


def named(profile):
    if isinstance(profile, str):
        return profile
    return profile["shape"], profile.get("k", profile.get("n", profile.get("c")))


def nose(part, mm):
    profile = part["profile"]
    if isinstance(profile, dict) and profile["shape"] == "measured":
        return None
    R = mm * (part["diameter"] / 2.0 if "diameter" in part else part["circumference"] / (2.0 * math.pi))
    L, tip = mm * part["length"], part.get("tip", {})
    if "radius" in tip:
        return blunted_cone(R, L, mm * tip["radius"]) if profile == "conical" else None
    r = radius(named(profile), R, L)
    start = 0.0
    if "length" in tip:
        start = mm * tip["length"] / L
    if "diameter" in tip:
        start = brentq(lambda t: float(np.real(r(t))) - mm * tip["diameter"] / 2.0, 1e-12, 1.0)
    return section_of(r, L, start)


def section_of(r, L, start):
    # t = u^4 tames the infinite slope at the tip, t = 1 - (1 - u)^2 the end of an arc.
    x, rr = (lambda u: L * u**4), (lambda u: r(u**4))
    return Meridian([(x, rr, start**0.25, 1.0)])


def blunted_cone(R, H, q):
    """A sphere of radius q laid into a cone that is H long with it; b is the half angle of the cone."""
    b = brentq(lambda b: R - q * math.cos(b) - (H - q + q * math.sin(b)) * math.tan(b), 1e-6, 1.5)
    x0, r0 = q - q * math.sin(b), q * math.cos(b)
    top = math.pi / 2.0 - b
    cap = (lambda u: q * (1.0 - np.cos(top * u)), lambda u: q * np.sin(top * u), 0.0, 1.0)
    flank = (lambda u: x0 + (H - x0) * u, lambda u: r0 + (R - r0) * u, 0.0, 1.0)
    return Meridian([cap, flank])


def transition(part, mm):
    R0, R1 = mm * part["fore_diameter"] / 2.0, mm * part["aft_diameter"] / 2.0
    L, profile = mm * part["length"], part.get("profile", "conical")
    if profile == "conical":
        return Meridian([(lambda u: L * u, lambda u: R0 + (R1 - R0) * u, 0.0, 1.0)])
    # The nose of the wider end, cut where it has the narrower one, what is left being L long.
    small, large = sorted((R0, R1))

    def cut(length):
        r = radius(named(profile), large, length)
        return brentq(lambda t: float(np.real(r(t))) - small, 1e-12, 1.0)

    whole = brentq(lambda length: length * (1.0 - cut(length)) - L, L, 1e3 * L)
    return section_of(radius(named(profile), large, whole), whole, cut(whole))


# --- what the program writes --------------------------------------------------------------------------


def panels(tuckroll, kit, folder):
    """Panels of a kit in mm by part, as the program writes them."""
    path = folder / "kit.json"
    path.write_text(json.dumps(kit))
    args = [tuckroll, "panels", path, "-o", folder / "out", "--replace", "--outside-files", "--chord-tolerance", str(CHORD)]
    done = subprocess.run(args, capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(done.stderr)
    listed = json.loads((folder / "out/panels.json").read_text())
    mm = 25.4 if listed["unit"] == "in" else 1.0
    found = {}
    for panel in listed["panels"]:
        part = panel.get("parts", [panel])[0]
        ring = mm * np.array(part["outline"])
        found.setdefault(panel["id"].split("/")[0], []).append((panel["id"], panel.get("copies", 1), ring))
    return found


def bare(kit):
    kit = copy.deepcopy(kit)
    kit.setdefault("seams", {})["overlap"] = 0
    for part in kit["parts"]:
        for key in ("balance", "seams", "root_allowance", "wrap", "set_back", "with_next"):
            part.pop(key, None)
        for end in ("aft", "fore"):
            cut = part.pop(end, {}).get("cut")
            if cut:
                part[end] = {"cut": cut}
    return kit


def area(ring):
    return Polygon(ring).area


def long_edge(ring):
    """The edge on the left of a gore, from its last point at the base to the fore end."""
    k = int(np.argmax(ring[:, 0]))
    left = [p for p in np.vstack((ring[k:], ring[:k])) if p[1] >= 0.0 or p[0] == ring[k, 0]]
    line = np.array(sorted(left, key=lambda p: (p[0], p[1])))
    # Both corners of a blunt end lie at the greatest x; the upper one is the edge's.
    return np.array([p for p in line if not (p[0] == line[-1][0] and p[1] < line[-1][1])])


def rolled_up(edge, n):
    """(radius, axial place) of the body on which the gore lies, base first."""
    r = edge[:, 1] * n / math.pi
    ds, dr = np.diff(edge[:, 0]), np.diff(r)
    return np.column_stack((r, np.concatenate(([0.0], np.cumsum(np.sqrt(np.maximum(0.0, ds**2 - dr**2)))))))


def revolve(points, sections=360):
    return trimesh.creation.revolve(points, sections=sections)


# --- checks ---------------------------------------------------------------------------------------------


def near(value, expected, share):
    return abs(value - expected) <= share * abs(expected), f"{value:.6g} for {expected:.6g}"


def check_gores(body, found, length):
    _, n, ring = found[0]
    surface, edge = body.surface(), long_edge(ring)
    line = np.hypot(*np.diff(edge, axis=0).T).sum()
    # Straight lines within the chord tolerance leave this much of a width at most.
    slack = 2.0 * CHORD / max(edge[:, 1])
    yield "centre line, scipy", *near(np.ptp(ring[:, 0]), body.arc(), 1e-8)
    yield "edge, scipy", *near(line, body.edge(n), 1e-4)
    yield "area of all gores, scipy", *near(n * area(ring), surface, slack + 1e-6)
    yield "area of all gores, trimesh", *near(n * area(ring), revolve(body.points()).area, slack + 1e-4)
    again = revolve(rolled_up(edge, n))
    (fore, aft), high = body.ends(), again.extents
    yield "rolled up, surface", *near(again.area, surface, slack + 1e-4)
    yield "rolled up, diameter", *near(max(high[:2]), 2.0 * max(fore, aft), 1e-4)
    yield "rolled up, length", *near(high[2], length, 2e-3)


def check_sectors(body, found):
    _, n, ring = found[0]
    fore, aft = body.ends()
    height = float(np.ptp(body.points(1)[:, 1]))
    slant = math.hypot(height, aft - fore)
    yield "area, scipy", *near(n * area(ring), body.surface(), 1e-4)
    yield "area, trimesh", *near(n * area(ring), revolve(np.array([(aft, 0.0), (fore, height)])).area, 1e-4)
    # The straight edges are slants.
    sides = np.hypot(*np.diff(np.vstack((ring, ring[:1])), axis=0).T)
    yield "straight edges", *near(sorted(sides)[-2], slant, 1e-9)


def check_tube(part, found, mm):
    R = mm * (part["diameter"] / 2.0 if "diameter" in part else part["circumference"] / (2.0 * math.pi))
    L = mm * part["length"]
    tube = trimesh.creation.cylinder(R, L, sections=1440)
    caps = np.abs(tube.face_normals[:, 2]) > 0.5
    side = tube.area_faces[~caps].sum()
    whole = sum(n * area(ring) for _, n, ring in found)
    yield "area, trimesh", *near(whole, side, 1e-4)
    yield "area, 2 pi R L", *near(whole, 2.0 * math.pi * R * L, 1e-6)


def fin_outline(planform, mm):
    if planform["shape"] == "polygon":
        return Polygon(mm * np.array(planform["points"], float))
    root, span = mm * planform["root"], mm * planform["span"]
    if planform["shape"] == "elliptical":
        u = np.linspace(0.0, math.pi, 20001)
        return Polygon(np.column_stack((root / 2.0 * (1.0 + np.cos(u)), span * np.sin(u))))
    tip, sweep = mm * planform["tip"], mm * planform["sweep"]
    return Polygon([(0.0, 0.0), (root, 0.0), (root - sweep, span), (root - sweep - tip, span)])


def check_fin(part, found, mm):
    wanted = fin_outline(part["planform"], mm)
    faces = {name.split("/")[1]: (n, Polygon(ring)) for name, n, ring in found}
    mirror = shapely.affinity.scale(wanted, 1.0, -1.0, origin=(0.0, 0.0))
    for face, outline in (("right", wanted), ("left", mirror)):
        n, ours = faces[face]
        off = ours.symmetric_difference(outline).area
        yield f"{face} face, shapely", n == part["count"] and off <= 2.0 * CHORD * outline.length, f"off by {off:.4g} mm2"


def check_measured(part, found, mm):
    """Another monotone interpolation of the same stations (scipy's PCHIP): a sanity bound, not the same curve."""
    profile = part["profile"]
    stations = mm * np.array(profile["points"], float)
    per = 2.0 * math.pi if profile["widths"] == "circumference" else 2.0
    r = PchipInterpolator(stations[:, 0], stations[:, 1] / per)
    along = (lambda s: 1.0) if profile["stations"] == "surface" else (lambda s: math.hypot(1.0, float(r(s, 1))))
    marks = stations[1:-1, 0]
    surface = quad(lambda s: 2.0 * math.pi * float(r(s)) * along(s), 0.0, stations[-1, 0], points=marks, limit=500)[0]
    _, n, ring = found[0]
    yield "area, PCHIP", *near(n * area(ring), surface, 0.01)
    edge = long_edge(ring)
    for s, width in stations:
        half = np.interp(stations[-1, 0] - s, edge[:, 0], edge[:, 1])
        yield f"width at {s:.1f} mm", abs(half - math.pi / n * width / per) <= 2.0 * CHORD, f"half width {half:.4f}"


def check_cover(kit, tuckroll, folder, found):
    """The film of the kit as it is covers the bare panel and is larger."""
    for part, list_ in panels(tuckroll, kit, folder).items():
        if part not in found or len(list_) != len(found[part]):
            continue
        for (name, n, film), (_, m, bare_) in zip(list_, found[part]):
            film, bare_ = Polygon(film), Polygon(bare_)
            ok = n == m and film.is_valid and film.area >= bare_.area * (1.0 - 1e-9)
            uncovered = bare_.difference(film.buffer(0.01)).area
            yield f"{name} with laps covers the surface", ok and uncovered <= 1e-6 * bare_.area, f"{uncovered:.3g} mm2 bare"


def checks(path, tuckroll, folder):
    kit = json.loads(path.read_text())
    mm = 25.4 if kit["unit"] == "in" else 1.0
    for part in kit["parts"]:
        if "file" in part:
            part["file"] = str(path.parent / part["file"])
    found = panels(tuckroll, bare(kit), folder)
    for part in bare(kit)["parts"]:
        mine = found.get(part["id"], [])
        if not mine:
            continue
        if part["kind"] == "fin":
            results = check_fin(part, mine, mm)
        elif part["kind"] == "tube":
            results = check_tube(part, mine, mm)
        elif part["kind"] == "transition":
            body = transition(part, mm)
            results = check_sectors(body, mine) if "sector" in mine[0][0] else check_gores(body, mine, mm * part["length"])
        elif part["kind"] == "nose":
            body = nose(part, mm)
            cut = mm * part.get("tip", {}).get("length", 0.0)
            results = check_gores(body, mine, mm * part["length"] - cut) if body else check_measured(part, mine, mm)
        else:
            continue
        yield from ((f"{part['id']}: {name}", ok, why) for name, ok, why in results)
    straight = [p for p in kit["parts"] if p["kind"] in ("nose", "tube", "transition") and not p.get("balance") and not p.get("set_back")]
    keep = {p["id"] for p in straight}
    yield from check_cover(kit, tuckroll, folder, {k: v for k, v in found.items() if k in keep})


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--tuckroll", type=pathlib.Path, default=ROOT / "target/release/tuckroll")
    ap.add_argument("-v", "--verbose", action="store_true", help="print what agrees, too")
    a = ap.parse_args()
    tuckroll = a.tuckroll.resolve()
    passed = failed = 0
    kits = [p for folder in ("fixtures/kits", "fixtures/demo") for p in sorted((ROOT / folder).glob("*.json"))]
    kits = [p for p in kits if json.loads(p.read_text())["format"] == "tuckroll-kit-1"]
    with tempfile.TemporaryDirectory() as folder:
        for path in kits:
            for name, ok, why in checks(path, tuckroll, pathlib.Path(folder)):
                passed, failed = passed + bool(ok), failed + (not ok)
                if a.verbose or not ok:
                    print(f"{'ok    ' if ok else 'FAILED'} {path.stem} {name}: {why}")
    print(f"{len(kits)} kits")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not kits else 0


if __name__ == "__main__":
    sys.exit(main())
