"""How many hole locations a green still has, by the course's own rules."""

from math import floor, sqrt

from winterrisk.course.sections import Reopening


def hole_locations(size: float, closed: float, rules: Reopening) -> int:
    """Hole locations left on a green with some of its turf closed.

    No map of the green is known: it is taken as a square, closed turf as one strip along a side (judged). Holes
    keep their distance from the edge and from the strip, and stand in rows.

    Args:
        size, closed [m2]: of the green, and of it closed to play. rules: of the course file.
    """
    side = sqrt(size)
    width = side - 2 * rules.edge
    left = side - min(closed, size) / side
    depth = width if closed <= 0 else left - rules.edge - rules.distance
    if width < 0 or depth < 0:
        return 0
    return (floor(width / rules.spacing + 1e-9) + 1) * (floor(depth / rules.spacing + 1e-9) + 1)
