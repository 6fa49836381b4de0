"""Where the points of a panel come to lie on the roll, for the cross-checks."""
import math

import numpy as np


def placed(points, place):
    """Points on the roll: mirrored first, then turned, then moved."""
    p = np.array(points, dtype=float)
    if place["mirrored"]:
        p = p * [1, -1]
    quarter = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
    t = math.radians(place["rotation"])
    c, s = quarter.get(place["rotation"], (math.cos(t), math.sin(t)))
    return p @ np.array([[c, s], [-s, c]]) + [place["x"], place["y"]]
