"""The half ellipsoid and its tape coordinates against quadrature and against a general geodesic library.

scipy's quadrature knows nothing of elliptic integrals; geographiclib (Karney CFF, Algorithms for geodesics, J Geod 87,
43-55, 2013, doi:10.1007/s00190-012-0578-z) measures along the surface of a spheroid. Where two semi-axes are equal, the
midline and the planes square on it are meridians and the equator of such a spheroid, and the tape must read the same.
"""

from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from scipy.integrate import dblquad, quad
from scipy.optimize import minimize_scalar

from clients.scalp.head import Head

WORKED = np.loadtxt(Path(__file__).parent / "half_ellipsoids.csv", delimiter=",")
HEADS = (Head.from_tapes(), Head((100, 80, 70)), Head((80, 95, 140)))


@pytest.mark.parametrize("worked", WORKED)
def test_the_worked_heads_come_out_to_a_tenth_of_a_millimetre(worked):
    head = Head.from_tapes(*worked[:3] * 25.4)
    np.testing.assert_allclose(head.semi_axes_mm, worked[3:6], atol=0.06)
    assert head.area_cm2 == pytest.approx(worked[6], abs=0.6)


def arc_by_quadrature(p, q, start, end):
    """Length of the ellipse (p cos, q sin) between two angles."""
    return quad(lambda angle: np.hypot(p * np.sin(angle), q * np.cos(angle)), start, end, epsabs=1e-9)[0]


@pytest.mark.parametrize("head", HEADS)
def test_the_tapes_are_the_arcs_that_quadrature_finds(head):
    a, b, c = head.semi_axes_mm
    assert head.tapes_mm.circumference_mm == pytest.approx(arc_by_quadrature(a, b, 0, 2 * np.pi), abs=1e-6)
    assert head.tapes_mm.front_to_nape_mm == pytest.approx(arc_by_quadrature(a, c, 0, np.pi), abs=1e-6)
    assert head.tapes_mm.ear_to_ear_mm == pytest.approx(arc_by_quadrature(b, c, 0, np.pi), abs=1e-6)


@pytest.mark.parametrize("head", HEADS)
def test_the_area_is_the_one_that_quadrature_finds(head):
    a, b, c = head.semi_axes_mm

    def per_solid_angle(n_z, longitude):
        flat = np.sqrt(1 - n_z**2)
        normal = np.array([flat * np.cos(longitude), flat * np.sin(longitude), n_z])
        return np.linalg.norm(normal * (b * c, a * c, a * b))

    area, _ = dblquad(per_solid_angle, 0, np.pi / 2, 0, 1, epsabs=1e-3)
    assert head.area_cm2 == pytest.approx(4 * area / 100, rel=1e-6)


@pytest.mark.parametrize("head", HEADS)
def test_points_along_the_midline_and_over_the_ears_read_their_arcs(head):
    a, b, c = head.semi_axes_mm
    for angle in (0.05, 0.7, 1.4, 2.2, 3.0):
        s, t = head.tape_coordinates([a * np.cos(angle), 0, c * np.sin(angle)])
        assert (s, t) == pytest.approx((arc_by_quadrature(a, c, 0, angle), 0), abs=1e-6)
        s, t = head.tape_coordinates([0, b * np.cos(angle), c * np.sin(angle)])
        expected = (head.tapes_mm.front_to_nape_mm / 2, arc_by_quadrature(b, c, angle, np.pi / 2))
        assert (s, t) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("head", HEADS)
def test_any_point_lies_in_the_plane_square_on_the_midline_at_its_foot_and_t_is_the_arc_in_it(head):
    a, b, c = head.semi_axes_mm
    rng = np.random.default_rng(5)
    normals = rng.normal(size=(12, 3))
    normals[:, 2] = np.abs(normals[:, 2])
    for point in normals / np.linalg.norm(normals, axis=1, keepdims=True) * head.semi_axes_mm:
        ends = (0, np.pi / 2) if point[0] > 0 else (np.pi / 2, np.pi)
        foot = minimize_scalar(  # the nearest point of the midline on the point's own half, front or back
            lambda angle, point=point: np.hypot(a * np.cos(angle) - point[0], c * np.sin(angle) - point[2]),
            bounds=ends,
            method="bounded",
            options={"xatol": 1e-10},
        ).x
        down = np.array([np.cos(foot) / a, 0, np.sin(foot) / c])
        down /= np.linalg.norm(down)

        def below(depth, start=foot, down=down):
            """Half-width of the cut at a depth below the midline in that plane."""
            x, _, z = np.array([a * np.cos(start), 0, c * np.sin(start)]) - depth * down
            return b * np.sqrt(max(1 - (x / a) ** 2 - (z / c) ** 2, 0))

        deepest = np.hypot(a * np.cos(foot) - point[0], c * np.sin(foot) - point[2])
        assert below(deepest) == pytest.approx(abs(point[1]), abs=1e-3)  # so it lies in the plane
        depths = deepest * np.linspace(0, 1, 4001) ** 2  # fine where the cut is steep
        widths = np.array([below(depth) for depth in depths])
        arc = np.hypot(np.diff(depths), np.diff(widths)).sum()
        s, t = head.tape_coordinates(point)
        assert s == pytest.approx(arc_by_quadrature(a, c, 0, foot), abs=1e-3)
        assert t == pytest.approx(np.copysign(arc, point[1]), abs=5e-3)


def spheroid(equator, pole):
    return Geodesic(equator, (equator - pole) / equator)


def geodetic_latitude(equator, pole, reduced):
    return np.degrees(np.arctan2(equator * np.sin(reduced), pole * np.cos(reduced)))


@pytest.mark.parametrize("b", [70, 84, 100, 120])
def test_on_a_head_round_from_the_side_t_is_a_meridian_of_the_spheroid(b):
    head, earth = Head((93, b, 93)), spheroid(93, b)
    for along, reduced in ((0.3, 0.2), (1.0, 0.9), (1.9, -0.6), (2.8, 1.3)):
        point = (93 * np.cos(along) * np.cos(reduced), b * np.sin(reduced), 93 * np.sin(along) * np.cos(reduced))
        latitude = geodetic_latitude(93, b, reduced)
        metres = earth.Inverse(0, 0, latitude, 0)["s12"]
        assert head.tape_coordinates(point) == pytest.approx((93 * along, np.copysign(metres, reduced)), abs=1e-4)


@pytest.mark.parametrize("c", [80, 93, 131])
def test_on_a_head_round_from_above_the_midline_and_the_ear_line_are_meridians(c):
    head, earth = Head((93, 93, c)), spheroid(93, c)
    for reduced in (0.1, 0.8, 1.5):
        from_hairline = earth.Inverse(0, 0, geodetic_latitude(93, c, reduced), 0)["s12"]
        from_crown = earth.Inverse(90, 0, geodetic_latitude(93, c, reduced), 0)["s12"]
        flat, up = 93 * np.cos(reduced), c * np.sin(reduced)
        s, t = head.tape_coordinates([[flat, 0, up], [0, flat, up]]).T
        # the library's series is meant for flattenings as slight as the Earth's; here it is off by 0.00001 mm
        assert s[0] == pytest.approx(from_hairline, abs=1e-4)
        assert t[1] == pytest.approx(from_crown, abs=1e-4)


def test_the_shortest_way_is_no_shorter_than_t_and_no_longer_than_s_and_t():
    head, earth = Head((93, 84, 93)), spheroid(93, 84)
    for along, reduced in ((0.4, 0.5), (1.2, 1.0), (2.0, 0.3)):
        s, t = head.tape_coordinates(
            (93 * np.cos(along) * np.cos(reduced), 84 * np.sin(reduced), 93 * np.sin(along) * np.cos(reduced))
        )
        shortest = earth.Inverse(0, 0, geodetic_latitude(93, 84, reduced), np.degrees(along))["s12"]
        assert t - 1e-6 <= shortest <= s + t + 1e-6
