"""Distances on the WGS 84 ellipsoid.

Geodesic test set of GeographicLib (C. Karney), 20 rows: positions and length, good to 1e-8 m in the source. Ours is
Vincenty's method: bound 1e-3 m, as the source allows such a method. The Land's End example is the usual worked one for
Vincenty's formula, printed to a millimetre.
"""

import pytest

from pinchbolt.engines.rides import distance_on_ellipsoid
from pinchbolt.errors import InputRefused

ROWS = [
    (35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305),
    (55.52454, 106.05087, 77.03196, 197.18234, 4105086.1713924406),
    (-21.97856, 142.59065, 41.84138, 98.56635, 8394328.894657671),
    (-66.99028, 112.2363, -12.70631, 285.90344, 11150344.2312080241),
    (-17.42761, 173.34268, -15.84784, 5.93557, 16076603.1631180673),
    (32.84994, 48.28919, -56.28556, 202.29132, 16727068.9438164461),
    (6.96833, 52.74123, -7.39675, 206.17291, 17102477.2496958388),
    (-50.56724, -16.30485, -33.56571, -94.97412, 6455670.5118668696),
    (-58.93002, -8.90775, -8.91104, 133.13503, 11756066.0219864627),
    (-68.82867, -74.28391, -50.63005, -8.36685, 3956936.926063544),
    (-10.62672, -32.0898, 5.883, -134.31681, 11470869.3864563009),
    (-21.76221, 166.90563, 48.72884, 213.97627, 9098627.3986554915),
    (-19.79938, -174.47484, -11.99349, -154.35109, 2319004.8601169389),
    (-11.95887, -116.94513, 4.57352, 7.16501, 13834722.5801401374),
    (-87.85331, 85.66836, 66.48646, 16.09921, 17286615.3147144645),
    (1.74708, 128.32011, -11.16617, 11.87109, 12942901.1241347408),
    (-25.72959, -144.90758, -57.70581, -269.17879, 9413446.7452453107),
    (-41.22777, 122.32875, -7.57291, 130.37946, 3812686.035106021),
    (11.01307, 138.25278, 6.62726, 247.05981, 11911190.819018408),
    (-29.47124, 95.14681, -27.46601, -69.15955, 13487015.8381145492),
]


@pytest.mark.parametrize(("north", "east", "north2", "east2", "metres"), ROWS)
def test_lengths_of_the_public_geodesic_test_set(north, east, north2, east2, metres):
    """Each of the 20 lengths, from pole to pole, within a millimetre."""
    assert distance_on_ellipsoid([north, north2], [east, east2])[0] == pytest.approx(metres, abs=1e-3)


def test_from_lands_end_to_the_north_of_scotland():
    """The worked example of the formula: 969,954.166 m."""
    found = distance_on_ellipsoid([50.06632, 58.64402], [-5.71475, -3.07009])[0]
    assert found == pytest.approx(969954.166, abs=0.0005)


def test_positions_opposite_each_other_are_refused():
    """Where the method has no end, a sentence stands instead of a figure."""
    with pytest.raises(InputRefused, match=r"^two positions lie opposite each other"):
        distance_on_ellipsoid([0.0, 0.5], [0.0, 179.7])
