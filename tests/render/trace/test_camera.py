"""Cameras by number: what they frame, which way up, and how large."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.render.trace.camera import MARGIN, TALLEST, Scale, facing, fitted, framed, lying, turned, windowed

STRAIGHT = np.eye(3)


def test_a_frame_is_whole_pixels_about_its_middle() -> None:
    camera = framed(STRAIGHT, np.array([0.3, -0.1]), np.array([0.2, 0.1]), Scale(400))
    assert (camera.width_px, camera.height_px) == (400, 200)
    assert camera.frame_a == pytest.approx([0.2, 0.4, -0.15, -0.05])
    assert camera.metres_per_px == pytest.approx(0.0005)
    assert camera.cut_c is None
    to_scale = framed(STRAIGHT, np.array([0.0, 0.0]), np.array([0.10049, 0.05049]), Scale(metres_per_px=0.001))
    assert (to_scale.width_px, to_scale.height_px) == (100, 50)
    assert to_scale.frame_a == pytest.approx([-0.05, 0.05, -0.025, 0.025])
    speck = framed(STRAIGHT, np.zeros(2), np.array([1e-5, 1e-5]), Scale(metres_per_px=0.001))
    assert (speck.width_px, speck.height_px) == (1, 1)


def test_a_fitted_camera_sees_every_point_with_room_about_it() -> None:
    x_pc = np.array([[0.0, 0.0, 0.0], [0.2, 0.1, 0.05], [0.1, 0.05, -0.3]])
    camera = fitted(STRAIGHT, x_pc, Scale(500), room=0.01)
    around = 0.01 + MARGIN * 0.2
    assert camera.frame_a == pytest.approx([-around, 0.2 + around, -around, 0.1 + around], abs=camera.metres_per_px)
    assert camera.width_px == 500
    cut = np.array([0.0, 0.0, 1.0])
    assert fitted(STRAIGHT, x_pc, Scale(500), room=0.0, cut_c=cut).cut_c is cut
    aside = fitted(turned(0.5 * np.pi, 0.0), x_pc, Scale(500), room=0.0)  # looks along x: z to the left
    assert aside.frame_a[:2] == pytest.approx([-0.05 - MARGIN * 0.35, 0.3 + MARGIN * 0.35], abs=1e-9)


def test_what_is_too_tall_stands_in_the_middle_of_a_picture_as_wide_as_asked_for() -> None:
    tall = np.array([[0.0, 0.0, 0.0], [0.01, 1.0, 0.0]])
    camera = fitted(STRAIGHT, tall, Scale(100), room=0.0)
    assert camera.width_px == 100
    assert camera.height_px == pytest.approx(TALLEST * 100, abs=1)
    assert 0.5 * (camera.frame_a[0] + camera.frame_a[1]) == pytest.approx(0.005)
    true = fitted(STRAIGHT, tall, Scale(metres_per_px=0.001), room=0.0)
    assert true.height_px > TALLEST * true.width_px


def test_a_window_is_seen_exactly_from_either_side() -> None:
    window = np.array([0.1, 0.3, -0.2, -0.1])
    front = windowed(STRAIGHT, window, Scale(200))
    assert front.frame_a == pytest.approx([0.1, 0.3, -0.2, -0.1])
    back = windowed(turned(np.pi, 0.0), window, Scale(200))
    assert back.frame_a == pytest.approx([-0.3, -0.1, -0.2, -0.1])
    tall = windowed(STRAIGHT, np.array([0.0, 0.01, 0.0, 1.0]), Scale(400))
    assert tall.height_px == pytest.approx(TALLEST * 400, rel=0.02)  # as high as may be, and narrower
    assert tall.frame_a == pytest.approx([0.0, 0.01, 0.0, 1.0], rel=0.02)
    true = windowed(STRAIGHT, np.array([0.0, 0.01, 0.0, 1.0]), Scale(metres_per_px=0.001))
    assert (true.width_px, true.height_px) == (10, 1000)


@pytest.mark.parametrize(("about", "down"), [(0.0, 0.0), (0.3, 0.2), (-1.2, 0.7), (np.pi, 0.1)])
def test_a_turned_camera_stands_where_it_says_with_up_up(about: float, down: float) -> None:
    right, up, towards = turned(about, down)
    assert towards == pytest.approx([np.sin(about) * np.cos(down), np.sin(down), np.cos(about) * np.cos(down)])
    assert right[1] == 0.0
    assert up[1] == pytest.approx(np.cos(down))
    assert np.cross(right, up) == pytest.approx(towards)


def test_fabric_on_a_table_is_seen_from_its_lower_right() -> None:
    assert lying(0.0, 0.0) == pytest.approx(np.eye(3))
    assert lying(0.0, 0.0, -1.0) == pytest.approx(np.diag([-1.0, 1.0, -1.0]))
    right, up, towards = lying(0.4, 0.6)
    assert towards == pytest.approx([np.sin(0.6) * np.sin(0.4), -np.sin(0.6) * np.cos(0.4), np.cos(0.6)])
    assert right[2] == pytest.approx(0.0)  # the table lies level in the picture
    assert up[2] > 0.0
    back = lying(0.4, 0.6, -1.0)[2]
    assert back == pytest.approx([-towards[0], towards[1], -towards[2]])


def test_a_camera_faces_what_it_is_told_to() -> None:
    right, up, towards = facing(np.array([0.0, 0.0, 4.0]), np.array([0.0, 2.0, 1.0]))
    assert (right.tolist(), up.tolist(), towards.tolist()) == ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
