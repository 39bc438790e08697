"""The rim's circle from either edge, and how far from its middle a bridge stands."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rim import RimPlace, rim_from_far_edge, rim_from_near_edge

heads = st.floats(150, 400)
places = st.floats(200, 700)


@given(near=places, head=heads)
def test_near_and_far_edge_give_the_same_rim(near, head):
    one, other = rim_from_near_edge(near, head), rim_from_far_edge(near + head, head)
    assert one.middle_mm == pytest.approx(other.middle_mm)
    assert one.far_mm - one.near_mm == pytest.approx(head)
    assert one.near_mm == pytest.approx(near)


@given(near=places, head=heads, angle=st.floats(-math.pi, math.pi), inside=st.floats(-50, 70))
def test_distance_to_the_edge_is_measured_towards_the_middle(near, head, angle, inside):
    rim = rim_from_near_edge(near, head)
    radius = head / 2 - inside
    point = np.array([radius * math.cos(angle)]), np.array([rim.middle_mm + radius * math.sin(angle)])
    assert rim.inside_mm(*point) == pytest.approx([inside], abs=1e-9)


@given(near=places, head=heads)
def test_middle_share_is_nothing_at_the_middle_and_whole_at_the_edge(near, head):
    rim = rim_from_near_edge(near, head)
    assert rim.middle_share(rim.middle_mm) == 0
    assert [rim.middle_share(edge) for edge in (rim.near_mm, rim.far_mm)] == pytest.approx([1, 1])
    assert rim.middle_share(rim.near_mm + head / 6) == pytest.approx(2 / 3)


def test_points_of_any_shape_are_judged():
    assert RimPlace(600.0, 280.0).inside_mm(np.zeros((2, 3)), np.full((2, 3), 600.0)).shape == (2, 3)
