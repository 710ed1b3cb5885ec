"""What the book keeps of a fit is the fit."""

import io
import json
import zipfile
from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import SIZE, Optics, Pooled, Unstated, expected_curve
from stainbook.optics.document import LAYOUT, from_document, to_document


@pytest.fixture
def optics():
    stains = {
        "husk": expected_curve("husk", "surface", "brown"),
        "tide": replace(expected_curve("tide", "infiltrating", "blue"), shared=np.full((SIZE, 3), 0.25)),
        "clear": expected_curve("clear", "clear", None),
    }
    ceramics = {"zirconia": Ceramic(2.2, 0.01, 0.002, known=True), "": Ceramic(1.55, 0.0, 0.001)}
    return Optics(stains, ceramics, Pooled((0.9, 0.02), (-0.01, 0.03), 0.14), "bench-1", Unstated(0.01, 0.0, 0.02))


def test_round_trip_through_json(optics):
    document, data = to_document(optics)
    again = from_document(json.loads(json.dumps(document)), data)
    assert (again.pooled, again.ceramics, again.operator) == (optics.pooled, optics.ceramics, optics.operator)
    assert again.unstated == optics.unstated
    assert again.stains["husk"].shared is None
    np.testing.assert_array_equal(again.stains["tide"].shared, optics.stains["tide"].shared)
    assert list(again.stains) == list(optics.stains)
    for name, curve in optics.stains.items():
        other = again.stains[name]
        assert (other.name, other.kind, other.family, other.chips) == (name, curve.kind, curve.family, curve.chips)
        np.testing.assert_array_equal(other.mean, curve.mean)
        np.testing.assert_allclose(other.factor, curve.factor, rtol=0, atol=1e-6)  # kept as single precision


def test_nothing_to_keep():
    assert from_document(*to_document(Optics({}))).stains == {}


def test_another_layout_is_refused(optics):
    document, data = to_document(optics)
    with pytest.raises(ValueError, match=f"expected {LAYOUT}"):
        from_document(document | {"layout": LAYOUT + 1}, data)
    with pytest.raises(ValueError, match="layout None"):
        from_document({}, data)


@pytest.mark.parametrize("data", [b"", b"no arrays at all", b"PK\x03\x04 cut short"])
def test_damaged_arrays_are_a_value_error(optics, data):
    document, _ = to_document(optics)
    with pytest.raises(ValueError, match="arrays"):
        from_document(document, data)


def packed(header, array=b"", name="factor_0.npy"):
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, b"\x93NUMPY\x01\x00" + len(header).to_bytes(2, "little") + header + array)
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("shape", "array"),
    [
        (b"(10000000000000,)", b""),  # more than any memory holds, were it believed
        (b"(8912896,)", bytes(8 * 8912896)),  # 68 MB out of 70 kB
    ],
)
def test_arrays_that_would_fill_the_memory_are_a_value_error(optics, shape, array):
    document, _ = to_document(optics)
    header = b"{'descr': '<f8', 'fortran_order': False, 'shape': " + shape + b", }\n"
    with pytest.raises(ValueError, match="arrays"):
        from_document(document, packed(header, array))


def test_bytes_that_do_not_unpack_are_a_value_error(optics):
    document, data = to_document(optics)
    broken = bytearray(data)
    broken[200:260] = b"\xff" * 60
    with pytest.raises(ValueError, match="arrays"):
        from_document(document, bytes(broken))


def test_arrays_that_do_not_fit_the_document(optics):
    document, data = to_document(optics)
    document["stains"][0]["mean"] = [0.0]
    with pytest.raises(ValueError, match="shape"):
        from_document(document, data)
    document, _ = to_document(optics)
    _, fewer = to_document(Optics({"husk": optics.stains["husk"]}))
    with pytest.raises(ValueError, match="arrays"):
        from_document(document, fewer)
