"""One job type as it is rigged, drawn with its forces: a sketch, its heights and piece to scale within reason."""

from __future__ import annotations

from math import atan2, cos, pi, sin

from catalog_schema.catalogue import Catalogue, RopeLength
from catalog_schema.units import UnitSystem, show
from recommender.diagrams import shapes
from recommender.diagrams.callouts import SIZE, Callout, column
from recommender.diagrams.scene import GROUND, STEM_X, WIDTH, Scene, between
from recommender.diagrams.svg import LETTER_WIDTH, Markup, Point, cut_to, element, path
from recommender.kit.result import CAUTIONS, Assignment
from recommender.physics import STANDARD_GRAVITY
from recommender.report.figures import force, length_needed, mark_if_locked, mass, percent, words
from recommender.report.layout import wrapped
from recommender.report.specification import catalogue_id
from recommender.work.cases import LoadCase

COLUMN = 214.0
LINE_LETTERS = 20
"""Letters of a bold line that fit beside the picture."""
APART = "Each force at its own worst friction: not all at once."
DONE = {"lower": "lowered", "lift": "lifted", "catch": "caught"}
SMALL, CAUTION_STEP = 13.0, 16.0
CALLOUT_LETTERS = int((WIDTH - COLUMN - 2) / (LETTER_WIDTH * SIZE))
"""Letters of a line beside the picture; longer ones go on in the next."""
CAUTION_LINES = (CAUTIONS[0], CAUTIONS[2])
DARK = "svg:root{color:#1d241f}@media (prefers-color-scheme:dark){svg:root{color:#e9ece6}}"
"""For the file by itself; inside a page the ink is the page's own."""


def draw_setup(
    assignment: Assignment, case: LoadCase, system: UnitSystem = "metric", catalogue: Catalogue | None = None
) -> str:
    """A job type as it is rigged with a kit, as one SVG picture.

    Parameters
    ----------
    assignment : Assignment
        How the job type is rigged, with its forces.
    case : LoadCase
        Its geometry.
    system : {'metric', 'us'}
    catalogue : Catalogue, optional
        Says whether the redirect is a ring and what the lifter is.

    Returns
    -------
    str
        An ``<svg>`` element with title and description; readable from a width of 320 pixels, on light and dark.

    Raises
    ------
    ValueError
        If the load case is of another job type.
    """
    if assignment.job != case.job:
        raise ValueError(f"case must be of job type {assignment.job!r}, not of {case.job!r}")
    scene = Scene(
        assignment,
        case,
        system,
        ring=_kind(catalogue, assignment.parts["redirect"]) in ("ring", "multi_hole_ring"),
        lifter_kind=_kind(catalogue, assignment.parts.get("lifter", "")),
    )
    caution = [line for text in CAUTION_LINES for line in wrapped(text, 52)]
    below = GROUND + (79 if assignment.line_tension_jam_n else 62)
    height = below + CAUTION_STEP * len(caution)
    callouts = _callouts(scene)
    return element(
        "svg",
        element("title", f"{assignment.job}: {DONE[assignment.technique]}"),
        element("desc", _in_words(callouts)),
        Markup(f"<style>{DARK}</style>"),
        element(
            "g",
            _heading(scene),
            *_tree(scene),
            *_gear(scene),
            *_forces(scene),
            column(callouts, COLUMN, WIDTH - COLUMN - 2, 50.0, GROUND - 4),
            *_key(scene),
            *_caution(caution, below),
            font_family="system-ui, -apple-system, 'Segoe UI', 'DejaVu Sans', sans-serif",
        ),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        role="img",
        width="100%",
        style="max-width:34rem;height:auto",
    ).text


def _kind(catalogue: Catalogue | None, item: str) -> str:
    name = catalogue_id(item)
    if catalogue is None or name not in catalogue.ids:
        return ""
    found = catalogue.item(name)
    return "" if isinstance(found, RopeLength) else str(getattr(found, "kind", ""))


def _heading(scene: Scene) -> Markup:
    text = f"{scene.assignment.job}: {DONE[scene.assignment.technique]}"
    return element(
        "text", cut_to(text, WIDTH - 16, 16), x=8, y=24, font_size=16, font_weight=700, fill=shapes.INK
    )


def _tree(scene: Scene) -> list[Markup]:
    catching = scene.case.technique == "catch"
    top = scene.cut if catching else 52.0
    half, base = scene.halves
    parts = [shapes.ground(GROUND, WIDTH - 8), shapes.stem(STEM_X, top, GROUND, half, base, cut=catching)]
    if scene.away:
        parts.append(shapes.stem(scene.brake[0] - 16, GROUND - 84, GROUND, 9, 10, cut=True))
    y = scene.redirect[1]
    height = show(scene.height, "length", scene.system)
    parts.append(shapes.measure(14, y, GROUND))
    parts.append(
        element(
            "text",
            height,
            x=10,
            y=(y + GROUND) / 2,
            font_size=12,
            fill=shapes.INK,
            text_anchor="middle",
            transform=f"rotate(-90 10 {(y + GROUND) / 2:.1f})",
        )
    )
    return parts


def _gear(scene: Scene) -> list[Markup]:
    parts, at = scene.assignment.parts, scene.redirect
    half, base = scene.halves
    hung = (at[0], at[1] - scene.radius - 3)
    drawn = [shapes.strap(STEM_X, at[1] - scene.radius - 12, half, hung), *_piece(scene)]
    drawn.append(shapes.over_sheave(at, scene.radius, scene.top, scene.brake))
    drawn.append(shapes.redirect(at, scene.radius, ring=scene.ring))
    x, y = scene.brake
    if "brake" in parts:
        drawn += [] if scene.away else [shapes.strap(STEM_X, y + 26, base, (x, y + 22))]
        drawn.append(shapes.bollard((x, y + 10)))
    if "lifter" in parts:
        low = GROUND - 40 if "brake" in parts else y + 14
        if "brake" in parts:
            drawn.append(path([(x, y + 20), (x, low - 10)], stroke=shapes.LINE, stroke_width=3.2))
        drawn += [
            shapes.strap(STEM_X, low + 22, base, (x, low + 16)),
            shapes.lifter((x, low), scene.lifter_kind),
        ]
    elif "brake" in parts:
        drawn.append(_tail((x + 9, y + 18)))
    return drawn


def _tail(start: Point) -> Markup:
    """Line behind the brake, to the hand and a heap on the ground."""
    (x, y), deep = start, GROUND - start[1]
    to_ground = f"q14 6 20 22 q4 {deep - 32:.1f} 16 {deep - 26:.1f}"
    heap = "q12 0 12 -4 q-2 -5 -12 -3 q-8 4 6 6 q14 2 20 -1"
    return element(
        "path",
        d=f"M{x:.1f} {y:.1f} {to_ground} {heap}",
        fill="none",
        stroke=shapes.LINE,
        stroke_width=2.4,
        stroke_linecap="round",
        opacity=0.8,
    )


def _piece(scene: Scene) -> list[Markup]:
    """The piece as it hangs, as a ghost where it comes from, and its way."""
    ways = {"catch": _caught, "lift": _lifted, "lower": _swung if scene.case.swing_angle else _lowered}
    before = ways[scene.case.technique](scene)
    return [*before, shapes.log(scene.top, scene.piece, scene.thickness)]


def _caught(scene: Scene) -> list[Markup]:
    (x, y), upper = scene.top, scene.cut - scene.piece * 0.75
    end = (x + scene.thickness / 2 + 5, y + 14)
    d = f"M{STEM_X + scene.thickness / 2 + 3:.1f} {upper:.1f} C{x + 50:.1f} {upper:.1f} {x + 58:.1f} {y - 34:.1f}"
    ghost = shapes.log((STEM_X, scene.cut - scene.piece), scene.piece, scene.thickness, ghost=True, knot=0.78)
    return [ghost, *_way(d, end, 2.2)]


def _swung(scene: Scene) -> list[Markup]:
    angle, (x, y) = scene.case.swing_angle, (scene.redirect[0] + scene.radius, scene.redirect[1])
    out = (x + scene.lead * sin(angle), y + scene.lead * cos(angle))
    length = min(scene.piece, 44.0)
    low = (out[0] + length * sin(angle), out[1] + length * cos(angle))
    end = (x + scene.thickness / 2 + 6, scene.top[1] + scene.piece * 0.75)
    d = f"M{low[0]:.1f} {low[1] + 5:.1f} Q{(low[0] + end[0]) / 2:.1f} {end[1] + 6:.1f}"
    return [
        path([(x, y), out], stroke=shapes.LINE, stroke_width=2, stroke_dasharray="4 3"),
        shapes.log(out, length, min(scene.thickness, 24.0), tilt=angle, ghost=True),
        *_way(d, end, pi),
    ]


def _lifted(scene: Scene) -> list[Markup]:
    x, y = scene.top
    below = (x, y + between(22.0, 60.0, scene.case.lift_height * scene.scale))
    side = x + scene.thickness / 2 + 8
    d = f"M{side:.1f} {below[1] + scene.piece * 0.6:.1f} L"
    return [
        shapes.log(below, scene.piece, scene.thickness, ghost=True),
        *_way(d, (side, y + scene.piece * 0.5), -pi / 2),
    ]


def _lowered(scene: Scene) -> list[Markup]:
    x, y = scene.top[0] + scene.thickness / 2 + 8, scene.top[1] + scene.piece * 0.55
    return _way(f"M{x:.1f} {y:.1f} L", (x, y + 40), pi / 2)


def _way(d: str, end: Point, direction: float) -> list[Markup]:
    """The way that the piece takes: a dotted line that ends in a thin head."""
    dotted = element(
        "path",
        d=f"{d} {end[0]:.1f} {end[1]:.1f}",
        fill="none",
        stroke=shapes.INK,
        stroke_width=1.5,
        stroke_dasharray="1.5 3.5",
        stroke_linecap="round",
        opacity=0.85,
    )
    return [dotted, shapes.head(end, direction, size=6.5, fill=shapes.INK, opacity=0.85)]


def _forces(scene: Scene) -> list[Markup]:
    a, up, down = scene.assignment, -pi / 2, pi / 2
    jam = {
        name: scene.long(getattr(a, f"{name}_jam_n"))
        for name in ("line_tension", "redirect_reaction", "brake_tension")
    }
    (x, y), lean = scene.redirect, scene.case.leg_angle / 2 if scene.away else 0.0
    top, brake = scene.top, scene.brake
    weight = a.piece_mass_kg * float(STANDARD_GRAVITY)
    arrows = [
        shapes.arrow((x, y), down + lean, scene.long(a.redirect_reaction_n), jam=jam["redirect_reaction"]),
        shapes.arrow(
            (top[0], top[1] - 2), up, scene.long(a.line_tension_n), jam=jam["line_tension"], backs_to=6
        ),
        shapes.arrow((top[0], top[1] + scene.piece / 2), down, scene.piece / 2 + scene.long(weight)),
    ]
    towards = atan2(y - brake[1], x - brake[0]) if scene.away else up
    if "brake" in a.parts:
        at_brake = scene.long(a.brake_tension_n)
        arrows.append(
            shapes.arrow((brake[0], brake[1] - 6), towards, at_brake, jam=jam["brake_tension"], backs_to=-6)
        )
    return arrows


def _callouts(scene: Scene) -> list[Callout]:
    a, (x, y), top, brake = scene.assignment, scene.redirect, scene.top, scene.brake
    found = [
        _about(scene, "redirect", "redirect_reaction", (x + 4, y - scene.radius * 0.3)),
        _about(scene, "line", "line_tension", (top[0], top[1] - scene.lead * 0.45)),
        Callout((top[0] + scene.thickness * 0.3, top[1] + scene.piece * 0.7), _about_piece(scene)),
    ]
    if "brake" in a.parts:
        found.append(_about(scene, "brake", "brake_tension", (brake[0] + 8, brake[1] + 10)))
    if "lifter" in a.parts:
        low = GROUND - 40 if "brake" in a.parts else brake[1] + 14
        pull = f"pulls {force(a.lifter_pull_n, scene.system)}"
        found.append(Callout((brake[0] + 11, low), (*_named(a, "lifter"), pull, _used(a, "lifter"))))
    return [
        Callout(one.about, tuple(part for line in one.lines for part in wrapped(line, CALLOUT_LETTERS)))
        for one in found
    ]


def _about(scene: Scene, part: str, force_name: str, at: Point) -> Callout:
    """A part with its force, in the jam too, and how hard it works."""
    a, system = scene.assignment, scene.system
    lines = [force(getattr(a, f"{force_name}_n"), system)]
    if getattr(a, f"{force_name}_jam_n"):
        lines.append(f"line locked: {force(getattr(a, f'{force_name}_jam_n'), system)}")
    hold = _hold(a) if part == "brake" else []
    return Callout(at, (*_named(a, part), *lines, _used(a, part), *hold))


def _hold(a: Assignment) -> list[str]:
    """Who holds the line with the wraps that fit, where one person does not."""
    hold = a.holding
    if hold is None or hold.people == 1:
        return []
    lines = [f"{hold.people} people on the tail", f"with {hold.wraps_max:g} wraps"]
    return [*lines, f"only {hold.there} there: cut smaller"] if hold.people > hold.there else lines


def _named(a: Assignment, part: str) -> list[str]:
    name, sling = f"{words(part).capitalize()} {catalogue_id(a.parts[part])}", a.parts.get(f"{part}_sling")
    if sling is None:
        return [name]
    whole = f"{name}, sling {catalogue_id(sling)}"
    return [whole] if len(whole) <= LINE_LETTERS else [name, f"in sling {catalogue_id(sling)}"]


def _used(a: Assignment, place: str) -> str:
    """The hardest-working of the parts at a place, which where there are several, and if the locked line decides."""
    parts = [part for part in a.utilisation if part.split("_")[0] == place]
    part = max(parts, key=lambda name: a.utilisation[name])
    which = "" if len(parts) == 1 else f"{words(part.removeprefix(f'{place}_'))} "
    return f"{which}used {percent(a.utilisation[part])}{mark_if_locked(a.governing[part])}"


def _about_piece(scene: Scene) -> tuple[str, ...]:
    a, case, system = scene.assignment, scene.case, scene.system
    weight = force(a.piece_mass_kg * float(STANDARD_GRAVITY), system)
    lines = [
        f"Piece to {mass(a.piece_mass_kg, system)}",
        f"weight {weight}",
        f"to {length_needed(case.piece_length, system)} long",
    ]
    if case.technique == "catch":
        lines.append(f"falls {length_needed(case.drop, system)}, then")
        lines.append(f"line runs {show(case.run, 'length', system)}" if case.run else "the line is locked")
        lines.append(f"ends {length_needed(a.drop_below_cut_m or 0.0, system)} under cut")
    elif case.technique == "lift":
        lines.append(f"pulled up {length_needed(case.lift_height, system)}")
    elif case.swing_angle:
        lines.append(f"swings in from {show(case.swing_angle, 'angle', system)}")
    if case.technique == "lower" and case.drop:
        lines.append(f"slack {length_needed(case.drop, system)}")
    if scene.away:
        lines.append(f"legs {show(case.leg_angle, 'angle', system)} apart")
    return tuple(lines)


def _key(scene: Scene) -> list[Markup]:
    y = GROUND + 24
    parts = [shapes.arrow((8, y - 4), 0.0, 26), _small("force with the largest piece", 42, y)]
    if scene.assignment.line_tension_jam_n:
        parts.append(
            path([(8, y + 13), (34, y + 13)], stroke=shapes.JAM, stroke_width=2.6, stroke_dasharray="4 3")
        )
        parts.append(_small("the same, if the line locks at the brake", 42, y + 17))
    y = GROUND + (41 if scene.assignment.line_tension_jam_n else 24) + 17
    return [*parts, _small(APART, 8, y)]


def _caution(lines: list[str], top: float) -> list[Markup]:
    return [_small(line, 8, top + CAUTION_STEP * k) for k, line in enumerate(lines)]


def _small(text: str, x: float, y: float) -> Markup:
    return element("text", text, x=x, y=y, font_size=SMALL, fill=shapes.INK)


def _in_words(callouts: list[Callout]) -> str:
    return ". ".join([", ".join(one.lines) for one in callouts] + list(CAUTION_LINES))
