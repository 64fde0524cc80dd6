"""Where names stand: within the diagram, on no other name, and never nearer to somebody else's place."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.documents.label_places import Ground, along, apart_px

EDGES = (0.0, 0.0, 300.0, 200.0)
NOTHING = np.zeros((0, 2))
PLACES = st.lists(
    st.tuples(st.floats(0, 300, allow_nan=False), st.floats(0, 200, allow_nan=False)), min_size=1, max_size=8
)


@settings(max_examples=60)
@given(PLACES)
def test_names_stay_within_the_edges_and_apart(places):
    ground = Ground(EDGES, NOTHING)
    boxes = []
    for i, place in enumerate(places):
        others = np.array([p for k, p in enumerate(places) if k != i]).reshape(-1, 2)
        box = ground.place([place], 60.0, 15.0, others)
        if box is None:
            continue
        assert box[0] >= 0 and box[1] >= 0 and box[2] <= 300 and box[3] <= 200
        assert all(box[0] >= o[2] or o[0] >= box[2] or box[1] >= o[3] or o[1] >= box[3] for o in boxes)
        if len(others):
            assert apart_px(others, box).min() > apart_px(np.array([place]), box)[0]
        boxes.append(box)


def test_a_free_side_is_taken_before_one_that_a_line_runs_through():
    # a line to the right of the place, where a name stands first
    ground = Ground(EDGES, along(np.array([150.0, 300.0]), np.array([100.0, 100.0])))
    box = ground.place([(150.0, 100.0)], 60.0, 15.0)
    assert box is not None
    assert ground.is_clear(box)


def test_without_room_there_is_no_place():
    assert Ground((0.0, 0.0, 50.0, 50.0), NOTHING).place([(25.0, 25.0)], 60.0, 15.0) is None


def test_points_along_a_line_follow_it():
    # a right angle of 30 and 40 px, a point every 10 px
    found = along(np.array([0.0, 30.0, 30.0]), np.array([0.0, 0.0, 40.0]), 10.0)
    expected = [[0, 0], [10, 0], [20, 0], [30, 0], [30, 10], [30, 20], [30, 30], [30, 40]]
    assert found.tolist() == expected


def test_how_far_a_point_is_from_a_box():
    # 3-4-5 triangle from the corner, straight down from an edge, inside
    points = np.array([[103.0, 54.0], [50.0, -7.0], [50.0, 25.0]])
    assert apart_px(points, (0.0, 0.0, 100.0, 50.0)).tolist() == [5.0, 7.0, 0.0]
