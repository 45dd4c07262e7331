"""The colour difference CIEDE2000 against its published test data, and against an independent program.

Source of the table: Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research and
Application 30(1), 2005, Table 1 (derived: taken over from a checked copy, all rows within 1e-4 there).
"""

import coloraide
import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.colours.spaces import Lab, ciede2000

PAIRS = """
50,2.6772,-79.7751;50,0,-82.7485;2.0425 | 50,3.1571,-77.2803;50,0,-82.7485;2.8615
50,2.8361,-74.0200;50,0,-82.7485;3.4412 | 50,-1.3802,-84.2814;50,0,-82.7485;1.0000
50,-1.1848,-84.8006;50,0,-82.7485;1.0000 | 50,-0.9009,-85.5211;50,0,-82.7485;1.0000
50,0,0;50,-1,2;2.3669 | 50,-1,2;50,0,0;2.3669
50,2.49,-0.001;50,-2.49,0.0009;7.1792 | 50,2.49,-0.001;50,-2.49,0.0010;7.1792
50,2.49,-0.001;50,-2.49,0.0011;7.2195 | 50,2.49,-0.001;50,-2.49,0.0012;7.2195
50,-0.001,2.49;50,0.0009,-2.49;4.8045 | 50,-0.001,2.49;50,0.0010,-2.49;4.8045
50,-0.001,2.49;50,0.0011,-2.49;4.7461 | 50,2.5,0;50,0,-2.5;4.3065
50,2.5,0;73,25,-18;27.1492 | 50,2.5,0;61,-5,29;22.8977
50,2.5,0;56,-27,-3;31.9030 | 50,2.5,0;58,24,15;19.4535
50,2.5,0;50,3.1736,0.5854;1.0000 | 50,2.5,0;50,3.2972,0;1.0000
50,2.5,0;50,1.8634,0.5757;1.0000 | 50,2.5,0;50,3.2592,0.3350;1.0000
60.2574,-34.0099,36.2677;60.4626,-34.1751,39.4387;1.2644 | 63.0109,-31.0961,-5.8663;62.8187,-29.7946,-4.0864;1.2630
61.2901,3.7196,-5.3901;61.4292,2.2480,-4.9620;1.8731 | 35.0831,-44.1164,3.7933;35.0232,-40.0716,1.5901;1.8645
22.7233,20.0904,-46.6940;23.0331,14.9730,-42.5619;2.0373 | 36.4612,47.8580,18.3852;36.2715,50.5065,21.2231;1.4146
90.8027,-2.0831,1.4410;91.1528,-1.6435,0.0447;1.4441 | 90.9257,-0.5406,-0.9208;88.6381,-0.8985,-0.7239;1.5381
6.7747,-0.2908,-2.4247;5.8714,-0.0985,-2.2286;0.6377 | 2.0776,0.0795,-1.1350;0.9033,-0.0636,-0.5514;0.9082
"""


def rows():
    for row in PAIRS.replace("|", "\n").strip().splitlines():
        one, other, difference = row.split(";")
        yield Lab(*map(float, one.split(","))), Lab(*map(float, other.split(","))), float(difference)


TABLE = list(rows())
assert len(TABLE) == 34


@pytest.mark.parametrize(("one", "other", "difference"), TABLE, ids=[f"pair {n}" for n in range(1, 35)])
def test_a_published_pair_differs_by_the_published_amount(one, other, difference):
    assert ciede2000(one, other) == pytest.approx(difference, abs=5e-5)
    assert ciede2000(other, one) == pytest.approx(difference, abs=5e-5)


labs = st.builds(Lab, st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


@given(labs, labs)
def test_an_independent_program_finds_the_same_difference(one, other):
    theirs = coloraide.Color("lab-d65", list(one)).delta_e(coloraide.Color("lab-d65", list(other)), method="2000")
    # At a hue difference of exactly half a turn the formula jumps; rounding may fall on either side.
    if abs(abs(_hue(one) - _hue(other)) - 180) > 1e-6:
        assert ciede2000(one, other) == pytest.approx(theirs, abs=1e-6)


def _hue(colour):
    return coloraide.Color("lab-d65", list(colour)).convert("lch-d65").get("hue", nans=False)
