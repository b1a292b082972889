"""Lines, rings and tubes of the side view, each a string of SVG in the page's own ink."""

from pinchbolt.drawing.bike_shape import Point

INK = 'fill="none" stroke="currentColor" stroke-linejoin="round"'
LINKS = ' stroke-dasharray="11 5"'
FAINT = ' stroke-opacity="0.45"'


def path(d: str, width: float = 7, more: str = "") -> str:
    """A line of ink."""
    # Dashes are cut square, else their round ends close the gaps.
    cap = "butt" if "dasharray" in more else "round"
    return f'<path {INK} stroke-linecap="{cap}" stroke-width="{width:g}" d="{d}"{more}/>'


def ring(centre: Point, radius: float, width: float = 7, more: str = "") -> str:
    """A circle of ink."""
    return f'<circle {INK} stroke-width="{width:g}" cx="{centre[0]:.0f}" cy="{centre[1]:.0f}" r="{radius:g}"{more}/>'


def disc(centre: Point, radius: float) -> str:
    """A filled circle."""
    return f'<circle fill="currentColor" cx="{centre[0]:.0f}" cy="{centre[1]:.0f}" r="{radius:g}"/>'


def shade(centre: Point, radius: float) -> str:
    """A circle of grey."""
    return f'<circle fill="currentColor" fill-opacity="0.28" cx="{centre[0]:.0f}" cy="{centre[1]:.0f}" r="{radius:g}"/>'


def line(*points: Point) -> str:
    """The d of a line through points."""
    return "M" + "L".join(f"{x:.0f} {y:.0f}" for x, y in points)


def tube(d: str, width: float = 34, wall: float = 7) -> str:
    """A tube as its two edges: ink with the page's paper inside."""
    return (
        f'<path class="bike-edge" {INK} stroke-linecap="round" stroke-width="{width:g}" d="{d}"/>'
        f'<path class="bike-inside" fill="none" stroke="#ffffff" stroke-linecap="round" stroke-linejoin="round" '
        f'stroke-width="{width - 2 * wall:g}" d="{d}"/>'
    )


def panel(d: str, width: float = 7) -> str:
    """A closed sheet of the page's paper with an edge of ink: what stands behind it is hidden."""
    return (
        f'<path class="bike-panel" fill="#ffffff" stroke="currentColor" stroke-linejoin="round" stroke-width="{width:g}" '
        f'd="{d}"/>'
    )
