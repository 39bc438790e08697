"""Paper over a step and an arch: the mark on it lands at the true straight distance.

The reference here is built another way than the code: the top as its definition writes it, the paper's first and last
touch as the steepest and the shallowest line of sight among samples, the arc by adaptive quadrature; and once more as
the upper hull of densely sampled points.
"""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar
from scipy.spatial import ConvexHull

from geometry.surface import Arch, ArchShape, Surface, SurfaceError, height_mm, paper_mm

WITHIN_MM = 1e-6
NO_SIGHT_MM = 1e-5
"""Nearer to its own point a line of sight is all rounding."""
MANDOLIN_SCALE_MM = 352.425

steady = settings(deadline=None, derandomize=True)

lengths = st.floats(0, 800)
falls = st.floats(-0.15, 0.15)
steps = st.just(0.0) | st.floats(0, 40)


@st.composite
def arches(draw, highest=0.5):
    span = draw(st.floats(20, 500))
    rise = span * draw(st.floats(1e-4, highest))
    return Arch(min(rise, span / 2), span, draw(st.floats(-300, 500)), draw(st.sampled_from(ArchShape)))


# at a foot that stands upright, the height moves with the root of a rounding of x: skipped where two runs are compared
leaning = arches(highest=0.45)
surfaces = st.builds(Surface, steps, falls, st.none() | arches())
arched = st.builds(Surface, steps, falls, arches())


def flat_to_arch(arch, u):
    """Height over the chord and its slope at u, as the definition writes them."""
    if abs(u) >= arch.span_mm / 2:
        return 0.0, 0.0
    if arch.shape is ArchShape.PARABOLIC:
        return arch.rise_mm * (1 - (2 * u / arch.span_mm) ** 2), -8 * arch.rise_mm * u / arch.span_mm**2
    radius = (arch.span_mm**2 / 4 + arch.rise_mm**2) / (2 * arch.rise_mm)
    over_centre = math.sqrt(radius**2 - u**2)
    return over_centre - (radius - arch.rise_mm), -u / over_centre


def top(surface, x):
    arch = surface.arch
    over_foot = flat_to_arch(arch, x - arch.crest_mm)[0] - flat_to_arch(arch, -arch.crest_mm)[0] if arch else 0.0
    return -surface.step_mm - surface.fall * x + over_foot


def start_of(surface, from_top):
    return -surface.step_mm if from_top else 0.0


def arch_samples(surface, along, count):
    """Places on the arch between start and end, closer together towards its edges; none if they span no arch."""
    half, crest = surface.arch.span_mm / 2, surface.arch.crest_mm
    low, high = np.arcsin(np.clip((np.array([0.0, along]) - crest) / half, -1, 1))
    x = crest + half * np.sin(np.linspace(low, high, count))
    return x[(x > NO_SIGHT_MM) & (x < along - NO_SIGHT_MM)] if low < high else np.zeros(0)


def steepest(sight, x, low, high):
    """Where the line of sight is steepest: the best of the samples x, then refined between its neighbours."""
    best = int(np.argmax([sight(place) for place in x]))
    near, far = (x[best - 1] if best else low), (x[best + 1] if best + 1 < len(x) else high)
    found = minimize_scalar(lambda place: -sight(place), bounds=(near, far), method="bounded", options={"xatol": 1e-9})
    return max((float(found.x), float(x[best])), key=sight)


def paper_by_sight(surface, along, from_top):
    """Look from the start along the highest line over the top, and back from the end; between them lies the arc."""
    z0, z1 = start_of(surface, from_top), top(surface, along)
    chord = math.hypot(along, z1 - z0)
    x = arch_samples(surface, along, 161)
    if len(x) == 0:
        return chord
    first = steepest(lambda place: (top(surface, place) - z0) / place, x, NO_SIGHT_MM, along)
    last = steepest(lambda place: (top(surface, place) - z1) / (along - place), x, 0.0, along - NO_SIGHT_MM)
    if last <= first:
        return chord

    half, crest = surface.arch.span_mm / 2, surface.arch.crest_mm

    def path(t):
        """√(1 + z′²) dx with x = crest + s/2 · sin t, in which an upright foot is not a pole."""
        return math.hypot(1, flat_to_arch(surface.arch, half * math.sin(t))[1] - surface.fall) * half * math.cos(t)

    ends = np.arcsin(np.clip((np.array([first, last]) - crest) / half, -1, 1))
    arc = quad(path, *ends, epsabs=1e-8, epsrel=1e-10, limit=200)[0]
    before = math.hypot(first, top(surface, first) - z0)
    return before + arc + math.hypot(along - last, top(surface, last) - z1)


def paper_by_hull(surface, along, from_top):
    """Length of the upper hull of densely sampled points."""
    x = arch_samples(surface, along, 20001)
    z = [top(surface, place) for place in x]
    points = np.array([(0.0, start_of(surface, from_top)), *zip(x, z, strict=True), (along, top(surface, along))])
    if len(points) == 2:
        return math.dist(*points)
    floor = points[:, 1].min() - 1.0
    closed = np.vstack([points, [(0.0, floor), (along, floor)]])
    on_hull = np.sort(ConvexHull(closed).vertices)
    upper = closed[on_hull[on_hull < len(points)]]
    return float(np.hypot(*np.diff(upper, axis=0).T).sum())


def random_profiles(seed, count):
    """Profiles on a grid of 1/64 mm, with the board's end and the mark before, on, at the edge of and behind the arch."""
    rng = np.random.default_rng(seed)

    def grid(low, high):
        return float(np.round(rng.uniform(low, high) * 64) / 64)

    for _ in range(count):
        half, shape = grid(10, 200), rng.choice(list(ArchShape))
        rise = max(1 / 64, half if rng.random() < 0.1 else grid(0, half * rng.choice([0.02, 0.2, 1.0])))
        crest = half * rng.choice([-1, 0, 1]) if rng.random() < 0.2 else grid(-1.5 * half, 2.5 * half)
        along = crest + half * rng.choice([0, 1]) if rng.random() < 0.1 else grid(1, 4 * half)
        surface = Surface(
            step_mm=rng.choice([0.0, grid(0, 3), grid(0, 40)]),
            fall=rng.choice([0.0, rng.uniform(-0.15, 0.15)]),
            arch=Arch(rise, 2 * half, float(crest), ArchShape(shape)),
        )
        yield surface, max(float(along), 1.0), bool(rng.random() < 0.5)


def test_mark_on_a_thousand_tops_is_where_lines_of_sight_and_quadrature_put_it():
    straight = 0
    for surface, along, from_top in random_profiles(seed=1, count=1000):
        expected = paper_by_sight(surface, along, from_top)
        assert float(paper_mm(surface, np.array(along), from_top)) == pytest.approx(expected, rel=0, abs=WITHIN_MM), (
            surface,
            along,
            from_top,
        )
        straight += expected == math.hypot(along, top(surface, along) - start_of(surface, from_top))
    assert 200 < straight < 800, "the profiles must try both the chord and the arch"


def test_mark_is_where_the_hull_of_the_sampled_top_puts_it():
    for surface, along, from_top in random_profiles(seed=2, count=60):
        expected = paper_by_hull(surface, along, from_top)
        assert float(paper_mm(surface, np.array(along), from_top)) == pytest.approx(expected, rel=0, abs=WITHIN_MM)


@pytest.mark.parametrize("shape", ArchShape)
@pytest.mark.parametrize("fall", [0.0, 0.1, -0.1])
@pytest.mark.parametrize("step", [0.0, 2.0])
def test_one_sheet_of_marks_is_right_before_on_and_behind_the_arch(shape, fall, step):
    surface = Surface(step, fall, Arch(16.0, 200.0, 150.0, shape))
    marks = np.linspace(5, 400, 80).reshape(4, 20)
    expected = [[paper_by_sight(surface, mark, False) for mark in row] for row in marks]
    np.testing.assert_allclose(paper_mm(surface, marks), expected, rtol=0, atol=WITHIN_MM)


def test_ten_millimetres_over_a_mandolin_top_cost_over_two_cents():
    """A board 10 mm over the top that ends 110 mm before the bridge."""
    lost_mm = float(paper_mm(Surface(10.0), np.array(110.0))) - 110
    assert lost_mm == pytest.approx(math.sqrt(110**2 + 10**2) - 110, abs=1e-12)
    assert lost_mm == pytest.approx(0.4536, abs=5e-5)
    cents_per_mm = 1200 / (MANDOLIN_SCALE_MM * math.log(2))
    assert 2 < lost_mm * cents_per_mm < 2.3


@pytest.mark.parametrize("shape", ArchShape)
def test_paper_from_one_foot_of_an_arch_to_the_other_has_its_length(shape):
    """A half circle is π r; a parabola as high as half its span is (√5 + asinh(2)/2) half spans long."""
    paper = float(paper_mm(Surface(0.0, arch=Arch(100.0, 200.0, 100.0, shape)), np.array(200.0)))
    turns = {ArchShape.CIRCULAR: math.pi, ArchShape.PARABOLIC: math.sqrt(5) + math.asinh(2) / 2}
    assert paper == pytest.approx(100 * turns[shape], rel=1e-14)


@steady
@given(lengths, steps)
def test_flat_top_moves_no_mark_by_a_single_bit(along, step):
    assert paper_mm(Surface(0.0), np.array(along)) == along
    assert paper_mm(Surface(step), np.array(along), from_top=True) == along


@steady
@given(arches(), steps, st.floats(0, 1))
def test_mark_before_the_arch_begins_is_not_moved_by_a_single_bit(arch, step, share):
    begins = arch.span_mm / 2 + 10
    along = np.array(share * begins)
    before = dataclasses.replace(arch, crest_mm=begins + arch.span_mm / 2 + 1)
    assert paper_mm(Surface(step, arch=before), along, from_top=True) == along


@steady
@given(surfaces, st.lists(lengths, max_size=6), st.booleans())
def test_many_marks_at_once_stand_where_each_would_alone(surface, along, from_top):
    together = paper_mm(surface, np.array(along, dtype=float), from_top)
    assert together.shape == (len(along),)
    np.testing.assert_allclose(
        together, [paper_mm(surface, np.array(one), from_top).item() for one in along], rtol=1e-14
    )


@steady
@given(surfaces, lengths, st.booleans())
def test_paper_is_never_shorter_than_the_straight_way_through(surface, along, from_top):
    rise = float(height_mm(surface, np.array(along))) - start_of(surface, from_top)
    assert float(paper_mm(surface, np.array(along), from_top)) >= math.hypot(along, rise) - 1e-9


@steady
@given(arched, lengths)
def test_paper_that_starts_on_the_top_is_never_longer_than_the_top_itself(surface, along):
    x = np.concatenate(([0.0], arch_samples(surface, along, 4001), [along]))
    over_the_top = np.hypot(np.diff(x), np.diff(height_mm(surface, x))).sum()
    assert float(paper_mm(surface, np.array(along), from_top=True)) <= over_the_top + 1e-3


@steady
@given(falls, st.none() | arches(highest=0.3), steps, lengths, st.floats(0.01, 100))
def test_mark_farther_away_needs_more_paper(fall, arch, step, along, farther):
    """Without a step to climb down; a top that climbs towards a higher start can come nearer to it."""
    near, far = paper_mm(Surface(step, fall, arch), np.array([along, along + farther]), from_top=True)
    assert near < far


@steady
@given(steps, st.floats(0, 0.15), lengths, st.floats(0.01, 100))
def test_mark_farther_down_a_top_that_falls_away_needs_more_paper(step, fall, along, farther):
    near, far = paper_mm(Surface(step, fall), np.array([along, along + farther]))
    assert near < far


@steady
@given(st.builds(Surface, steps, falls, st.none() | leaning), lengths, st.booleans(), st.floats(0.01, 100))
def test_top_drawn_in_other_units_needs_the_same_paper_in_those_units(surface, along, from_top, scale):
    arch = surface.arch and Arch(
        surface.arch.rise_mm * scale,
        surface.arch.span_mm * scale,
        surface.arch.crest_mm * scale,
        surface.arch.shape,
    )
    scaled = paper_mm(Surface(surface.step_mm * scale, surface.fall, arch), np.array(along * scale), from_top)
    expected = scale * float(paper_mm(surface, np.array(along), from_top))
    assert float(scaled) == pytest.approx(expected, rel=1e-11, abs=1e-10 * scale)


@steady
@given(falls, leaning, st.floats(1, 800))
def test_way_over_the_top_is_as_long_back_as_there(fall, arch, along):
    """Seen from the mark, the arch lies mirrored and what fell away rises."""
    back = dataclasses.replace(arch, crest_mm=along - arch.crest_mm)
    there = float(paper_mm(Surface(0.0, fall, arch), np.array(along)))
    assert float(paper_mm(Surface(0.0, -fall, back), np.array(along))) == pytest.approx(there, rel=1e-11)


@steady
@given(surfaces, lengths)
def test_without_a_step_it_does_not_matter_where_the_sheet_is_butted(surface, along):
    level = dataclasses.replace(surface, step_mm=0.0)
    assert paper_mm(level, np.array(along)) == paper_mm(level, np.array(along), from_top=True)


@steady
@given(falls, arches(), steps)
def test_mark_at_the_foot_of_the_step_is_a_step_of_paper_away(fall, arch, step):
    surface = Surface(step, fall, arch)
    assert paper_mm(surface, np.array(0.0)) == step
    assert paper_mm(surface, np.array(0.0), from_top=True) == 0


@steady
@given(arched, lengths)
def test_height_of_the_top_is_as_defined(surface, along):
    assert float(height_mm(surface, np.array(along))) == pytest.approx(top(surface, along), rel=0, abs=1e-7)


@pytest.mark.parametrize("shape", ArchShape)
def test_slight_arch_costs_as_much_as_its_slope_says(shape):
    """8 h²/(3 s) over the chord, the leading term for both shapes; no digits may be lost in a huge radius."""
    rise, span = 1e-3, 200.0
    extra = float(paper_mm(Surface(0.0, arch=Arch(rise, span, span / 2, shape)), np.array(span))) - span
    assert extra == pytest.approx(8 * rise**2 / (3 * span), abs=2e-13)


def same(number, other):
    """Equal, or both not a number."""
    return number == other or (math.isnan(number) and math.isnan(other))


@pytest.mark.parametrize(
    ("rise", "span", "crest", "code", "value", "limit"),
    [
        (101.0, 200.0, 100.0, "arch-too-high", 101.0, 100.0),
        (0.0, 200.0, 100.0, "arch-rise", 0.0, 0.0),
        (-1.0, 200.0, 100.0, "arch-rise", -1.0, 0.0),
        (math.nan, 200.0, 100.0, "arch-rise", math.nan, 0.0),
        (math.inf, 200.0, 100.0, "arch-rise", math.inf, 0.0),
        (15.0, 0.0, 100.0, "arch-span", 0.0, 0.0),
        (15.0, -200.0, 100.0, "arch-span", -200.0, 0.0),
        (15.0, math.inf, 100.0, "arch-span", math.inf, 0.0),
        (15.0, 200.0, math.nan, "arch-crest", math.nan, math.inf),
    ],
)
def test_impossible_arch_is_refused_with_the_number_at_fault(rise, span, crest, code, value, limit):
    with pytest.raises(SurfaceError) as refusal:
        Arch(rise, span, crest, ArchShape.CIRCULAR)
    assert (refusal.value.code, refusal.value.limit) == (code, limit)
    assert same(refusal.value.value, value)


def test_fall_of_45_degrees_is_taken():
    assert height_mm(Surface(10.0, 1.0), np.array([5.0])).tolist() == [-15.0]


@pytest.mark.parametrize("half", [0.4, 5.0])
def test_half_circle_stands_upright_on_the_flat(half):
    """√(r² − u²) right up to its foot, and nothing outside."""
    arch = Arch(half, 2 * half, 0.0, ArchShape.CIRCULAR)
    along = half * np.array([-1.6, -1.0, -0.999, -0.5, 0.0, 0.8, 0.9999, 1.0, 3.0])
    expected = np.sqrt(np.maximum(half**2 - along**2, 0.0))
    np.testing.assert_allclose(arch.height_mm(along), expected, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize(
    ("step", "fall", "code", "value", "limit"),
    [
        (-0.1, 0.0, "top-step", -0.1, 0.0),
        (math.nan, 0.0, "top-step", math.nan, 0.0),
        (math.inf, 0.0, "top-step", math.inf, 0.0),
        (10.0, 3.0, "top-too-steep", 3.0, 1.0),
        (10.0, -1.000001, "top-too-steep", -1.000001, 1.0),
        (10.0, math.nan, "top-too-steep", math.nan, 1.0),
    ],
)
def test_impossible_step_or_neck_angle_is_refused_with_the_number_at_fault(step, fall, code, value, limit):
    with pytest.raises(SurfaceError) as refusal:
        Surface(step, fall)
    assert (refusal.value.code, refusal.value.limit) == (code, limit)
    assert same(refusal.value.value, value)


@pytest.mark.parametrize("along", [-1e-9, math.nan, math.inf])
def test_mark_that_lies_on_the_board_is_refused(along):
    with pytest.raises(SurfaceError) as refusal:
        paper_mm(Surface(10.0), np.array([110.0, along, -7.0]))
    assert (refusal.value.code, refusal.value.limit) == ("top-distance", 0.0)
    assert same(refusal.value.value, along), "the first at fault"
